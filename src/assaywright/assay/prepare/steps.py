"""The steps of a preparation, in order: what goes into which vessel, when it cools, and when it is made up."""

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
    if diluting:
        steps.insert(0, f"Put about {_first_water(weak)} of {weak.name} into {into}.")
        steps.append(f"Add the {strong.name}{slowly} with {stirring} and rinse its vessel into it.")
    else:
        steps.append(f"Put {weak.text} of {weak.name} into {into}; add the {strong.name}{slowly} with {stirring}.")
    degrees = preparation.temperature.text if preparation.temperature else "20 °C"
    if plan.volume_mL is not None:
        steps += _to_mark(preparation, plan, weak, vessel, first, degrees, cooled=changes_temperature(heat))
    elif diluting:
        if heat is None or heat.notable:
            steps.append("Let it cool before the rest of the water comes: water on a hot mixture spits.")
        steps.append(f"Add the rest of the {weak.name}, {weak.text} altogether; mix thoroughly.")
    if plan.volume_mL is None and first:
        steps.append(f"Let it come to {degrees} before it is filled into the {vessel}.")
    steps.append("Take a sample and determine the content: what was weighed is nominal, the titration decides.")
    steps.append("Label with name, content, lot, day, use-before, hazards and who made it.")
    return tuple(steps)


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
