"""The steps of a preparation, in order: what goes into which vessel, when it cools, and when it is made up."""

from assaywright.assay.prepare.dissolving import IODIDE, needs_iodide
from assaywright.assay.prepare.form import Preparation
from assaywright.assay.prepare.make import Plan
from assaywright.assay.prepare.result import Portion
from assaywright.assay.prepare.safety import groups_of
from assaywright.assay.prepare.vessels import apart, changes_temperature
from assaywright.chemistry.heat import Warming
from assaywright.chemistry.solute import Solute
from assaywright.metrology.rounding import decimal_of_result, plain, round_to_significant

STIR_FIRST = 2 / 3


def about(volume_mL: float, figures: int) -> str:
    """Return a volume in a few significant figures, in L from a litre on, never as a power of ten.

    Arguments:
        volume_mL: [mL]
        figures: significant ones.

    Example:
        >>> about(129_000, 2), about(517.4, 1)
        ('130 L', '500 mL')
    """
    if volume_mL >= 1000:
        return f"{_figures(volume_mL / 1000, figures)} L"
    return f"{_figures(volume_mL, figures)} mL"


def first_water_mL(weak: Portion) -> float:
    """Return the water that goes in before the substance, as it is printed [mL]: about two thirds of it."""
    part_mL = STIR_FIRST * (weak.volume_mL or weak.mass_g)
    return float(round_to_significant(decimal_of_result(part_mL), _first_figures(part_mL)))


def _first_figures(volume_mL: float) -> int:
    return 2 if volume_mL >= 1000 else 1


def _figures(number: float, figures: int) -> str:
    return plain(round_to_significant(decimal_of_result(number), figures))


def preparation_steps(
    preparation: Preparation, plan: Plan, portions: tuple[Portion, ...], solute: Solute, heat: Warming | None
) -> tuple[str, ...]:
    """Return what is to be done, in order.

    Arguments:
        preparation: with the vessel it is made in.
        plan: the amounts.
        portions: the stronger first.
        solute: of the solution.
        heat: at the hottest moment; none where it is not known.
    """
    strong, weak = portions
    source, diluting = plan.stocks[0].source, plan.stocks[1].source.form == "diluent"
    vessel = f"{preparation.vessel.kind} {preparation.vessel.identity}".strip()
    first = apart(preparation, heat, solid=source.form == "solid")
    into = f"a {first}" if first else f"the {vessel}"
    verb = "Measure" if source.measuring.by_volume else "Weigh"
    slowly = " slowly, in portions," if {"acids", "strong alkali"} & set(groups_of(solute)) else ""
    label = f", whose label has to say {strong.formula}" if strong.formula else ""
    stirring = "stirring and cooling" if heat is not None and heat.notable else "stirring"
    steps = [f"{verb} {strong.text} of {strong.name}{_with(strong)}{label}; write down what the instrument shows."]
    by_mass = plan.volume_mL is None and not plan.stocks[1].source.measuring.by_volume
    if diluting:
        steps.insert(0, _put_first(plan, weak, into, weighed=by_mass))
        if needs_iodide(solute):
            steps.append(IODIDE)
        steps.append(f"Add the {strong.name}{slowly} with {stirring} and rinse its vessel into it.")
    else:
        steps.append(f"Put {weak.text} of {weak.name} into {into}; add the {strong.name}{slowly} with {stirring}.")
    degrees = preparation.temperature.text if preparation.temperature else "20 °C"
    if plan.volume_mL is not None:
        steps += _to_mark(preparation, plan, weak, vessel, first, degrees, cooled=changes_temperature(heat))
    elif diluting:
        if (heat is not None and heat.notable) or (heat is None and slowly):
            steps.append("Let it cool before the rest of the water comes: water on a hot mixture spits.")
        elif heat is None:
            steps.append("Should it have grown warm, let it cool before the rest of the water comes.")
        steps.append(_rest_by_mass(plan, strong, weak) if by_mass else
                     f"Add the rest of the {weak.name}, {weak.text} altogether; mix thoroughly.")
    if plan.volume_mL is None and first:
        steps.append(f"Let it come to {degrees} before it is filled into the {vessel}.")
    steps.append("Take a sample and determine the content: what was weighed is nominal, the titration decides.")
    steps.append("Label with name, content, lot, day, use-before, hazards and who made it.")
    return tuple(steps)


def _first_g(plan: Plan, weak: Portion) -> float:
    """Return the water that is weighed before the substance [g], in whole steps and less than all of it."""
    measuring = plan.stocks[1].source.measuring
    first_g = measuring.rounded(first_water_mL(weak))  # about as many grams as millilitres
    return first_g if 0 < first_g < weak.amount else weak.amount


def _put_first(plan: Plan, weak: Portion, into: str, *, weighed: bool) -> str:
    """Return the step that puts the first water into the vessel: weighed where all of it is weighed."""
    if weighed:
        measuring = plan.stocks[1].source.measuring
        return f"Weigh {measuring.written(_first_g(plan, weak))} of {weak.name} into {into}{_with(weak)}."
    if first_water_mL(weak) <= 0:
        return f"Put some of the {weak.name} into {into}, less than half of what is to be made."
    return f"Put about {_first_water(weak)} of {weak.name} into {into}."


def _rest_by_mass(plan: Plan, strong: Portion, weak: Portion) -> str:
    """Return the step that weighs in the rest of the water, with what the scale shows then of the whole."""
    measuring = plan.stocks[1].source.measuring
    rest_g = weak.amount - _first_g(plan, weak)
    whole = "" if plan.stocks[0].source.measuring.by_volume else (
        f": the whole, without its vessel, then weighs {measuring.written(strong.amount + weak.amount)}")
    if not rest_g > 0:
        return f"Mix thoroughly; nothing is rinsed in but {weak.name} out of what was weighed{whole}."
    return (f"Add the rest of the {weak.name}, {measuring.written(rest_g)} together with what rinsed the vessel, so "
            f"that {weak.text} are in it altogether{whole}; mix thoroughly.")


def _first_water(weak: Portion) -> str:
    volume_mL = first_water_mL(weak)
    return about(volume_mL, _first_figures(volume_mL))


def _to_mark(
    preparation: Preparation, plan: Plan, weak: Portion, vessel: str, first: str, degrees: str, *, cooled: bool
) -> list[str]:
    """Return the steps from the solution as dissolved to the one made up: cool, transfer, rinse, make up."""
    steps = []
    if cooled:
        steps.append(f"Let it come to {degrees} (within 1 K) before it is made up.")
    if first:
        steps.append(f"Transfer it to the {vessel} and rinse the {first} into it three times with {weak.name}.")
    if preparation.vessel.kind != "tank":
        return [*steps, f"Make up with {weak.name} to {preparation.amount.text}, at {degrees}; mix thoroughly."]
    weighed = f", or on a balance to {_kilograms(plan.total_g)} altogether" if plan.aimed else ""
    return [*steps, (f"Make up with {weak.name} to the level of {preparation.amount.text}, at {degrees}{weighed}; mix "
                     "thoroughly.")]


def _kilograms(mass_g: float) -> str:
    return f"{_figures(mass_g / 1000, 4)} kg"


def _with(portion: Portion) -> str:
    lot = f", lot {portion.lot}" if portion.lot else ""
    return f"{lot} ({portion.instrument})" if portion.instrument else lot
