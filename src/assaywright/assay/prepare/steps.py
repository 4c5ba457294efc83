"""The steps of a preparation, in order: what goes into which vessel, when it cools, and when it is made up."""

from assaywright.assay.prepare.dissolving import IODIDE, needs_iodide
from assaywright.assay.prepare.first_water import COOL_DEGC, FirstWater
from assaywright.assay.prepare.form import Preparation
from assaywright.assay.prepare.make import Plan
from assaywright.assay.prepare.result import Portion
from assaywright.assay.prepare.safety import corrodes
from assaywright.assay.prepare.vessels import apart, changes_temperature
from assaywright.chemistry.heat import Warming
from assaywright.chemistry.solute import Solute
from assaywright.metrology.rounding import decimal_of_result, plain, round_to_significant


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


def _figures(number: float, figures: int) -> str:
    return plain(round_to_significant(decimal_of_result(number), figures))


def preparation_steps(
    preparation: Preparation, plan: Plan, portions: tuple[Portion, ...], solute: Solute, heat: Warming | None,
    water: FirstWater,
) -> tuple[str, ...]:
    """Return what is to be done, in order.

    Arguments:
        preparation: with the vessel it is made in.
        plan: the amounts.
        portions: the stronger first.
        solute: of the solution.
        heat: at the hottest moment; none where it is not known.
        water: that goes in before the substance.
    """
    strong, weak = portions
    source, diluting = plan.stocks[0].source, plan.stocks[1].source.form == "diluent"
    vessel = f"{preparation.vessel.kind} {preparation.vessel.identity}".strip()
    first = apart(preparation, heat, solid=source.form == "solid")
    into = f"a {first}" if first else f"the {vessel}"
    verb = "Measure" if source.measuring.by_volume else "Weigh"
    slowly = " slowly, in portions," if corrodes(solute) else ""
    label = f", whose label has to say {strong.formula}" if strong.formula else ""
    stirring = "stirring and cooling" if heat is not None and heat.notable else "stirring"
    steps = [f"{verb} {strong.text} of {strong.name}{_with(strong)}{label}; write down what the instrument shows."]
    if diluting:
        steps.insert(0, _put_first(plan, weak, into, water))
        if needs_iodide(solute):
            steps.append(IODIDE)
        rinsed = ("rinse its vessel into it" if water.kept_g > 0 else
                  "rinse its vessel with some of the solution, not with water")
        steps.append(f"Add the {strong.name}{slowly} with {stirring} and {rinsed}.")
    else:
        steps.append(f"Put {weak.text} of {weak.name} into {into}; add the {strong.name}{slowly} with {stirring}.")
    degrees = preparation.temperature.text if preparation.temperature else "20 °C"
    if plan.volume_mL is not None:
        steps += _to_mark(preparation, plan, weak, vessel, first, degrees, water, cooled=changes_temperature(heat))
    elif diluting:
        steps += _rest_of_water(plan, strong, weak, heat, water)
    if plan.volume_mL is None and first:
        steps.append(f"Let it come to {degrees} before it is filled into the {vessel}.")
    steps.append("Take a sample and determine the content: what was weighed is nominal, the titration decides.")
    steps.append("Label with name, content, lot, day, use-before, hazards and who made it.")
    return tuple(steps)


def _put_first(plan: Plan, weak: Portion, into: str, water: FirstWater) -> str:
    """Return the step that puts the first water into the vessel: weighed where all of it is weighed."""
    if water.weighed:
        measuring = plan.stocks[1].source.measuring
        return f"Weigh {measuring.written(water.amount)} of {weak.name} into {into}{_with(weak)}."
    if water.amount <= 0:
        return f"Put some of the {weak.name} into {into}, less than half of what is to be made."
    figures = 3 if water.careful else 2 if water.amount >= 1000 else 1
    return f"Put about {about(water.amount, figures)} of {weak.name} into {into}."


def _rest_of_water(
    plan: Plan, strong: Portion, weak: Portion, heat: Warming | None, water: FirstWater
) -> list[str]:
    """Return the steps from the mixture to the whole by mass: cool, then the little water that was kept back."""
    measuring = plan.stocks[1].source.measuring
    whole = "" if plan.stocks[0].source.measuring.by_volume or not water.weighed else (
        f": the whole, without its vessel, then weighs {measuring.written(strong.amount + weak.amount)}")
    if not water.kept_g > 0:
        return [f"Mix thoroughly; no water comes after it{whole}."]
    steps = []
    if (heat is not None and heat.notable) or (heat is None and water.careful):
        steps.append(f"Let it cool to {COOL_DEGC:.0f} °C or less before the rest of the water comes: water on a hot "
                     "mixture spits.")
    elif heat is None:
        steps.append("Should it have grown warm, let it cool before the rest of the water comes.")
    add = _gently(water)
    if not water.weighed:
        return [*steps, f"{add} the rest of the {weak.name}, {weak.text} altogether; mix thoroughly."]
    steps.append(f"{add} the rest of the {weak.name}, {measuring.written(weak.amount - water.amount)} together "
                 f"with what rinsed the vessel, so that {weak.text} are in it altogether{whole}; mix thoroughly.")
    return steps


def _gently(water: FirstWater) -> str:
    """Return how the last water comes: slowly, where anything corrodes or grows warm."""
    if not water.careful:
        return "Add"
    meets = water.meets
    hot = f" (where the last water meets the mixture it gets up to {meets.at_most_degC} °C)" if (
        meets and meets.notable) else ""
    return f"Slowly and with stirring{hot} add"


def _to_mark(
    preparation: Preparation, plan: Plan, weak: Portion, vessel: str, first: str, degrees: str, water: FirstWater,
    *, cooled: bool,
) -> list[str]:
    """Return the steps from the solution as dissolved to the one made up: cool, transfer, rinse, make up."""
    steps = []
    if cooled:
        steps.append(f"Let it come to {degrees} (within 1 K) before it is made up.")
    if first:
        steps.append(f"Transfer it to the {vessel} and rinse the {first} into it three times with {weak.name}.")
    make_up = "Make up slowly" if water.careful and cooled else "Make up"
    if preparation.vessel.kind != "tank":
        return [*steps, f"{make_up} with {weak.name} to {preparation.amount.text}, at {degrees}; mix thoroughly."]
    weighed = f", or on a balance to {_kilograms(plan.total_g)} altogether" if plan.aimed else ""
    return [*steps, (f"{make_up} with {weak.name} to the level of {preparation.amount.text}, at {degrees}{weighed}; "
                     "mix thoroughly.")]


def _kilograms(mass_g: float) -> str:
    return f"{_figures(mass_g / 1000, 4)} kg"


def _with(portion: Portion) -> str:
    lot = f", lot {portion.lot}" if portion.lot else ""
    return f"{lot} ({portion.instrument})" if portion.instrument else lot
