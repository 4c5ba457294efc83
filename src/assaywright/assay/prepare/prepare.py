"""A preparation from its description to its sheet: amounts, content with uncertainty, heat, cautions, steps."""

from assaywright.assay.prepare.form import Preparation
from assaywright.assay.prepare.make import Plan, Stock, planned
from assaywright.assay.prepare.measuring import MINIMUM_STEPS
from assaywright.assay.prepare.result import Portion, Prepared, shares
from assaywright.assay.prepare.safety import groups_of, safety_of
from assaywright.chemistry.heat import HeatPortion, Warming, warming
from assaywright.chemistry.solute import Solute, find_solute
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.monte_carlo import simulate
from assaywright.metrology.working import write_working

STIR_FIRST = 2 / 3


def prepare(preparation: Preparation, *, monte_carlo: int = 0, seed: int = 0) -> Prepared:
    """Return a preparation worked out.

    Arguments:
        preparation: what is to be made.
        monte_carlo: trials of a simulation of the same model; none when zero.
        seed: of the simulation.

    Raises:
        Refusal: what cannot be made; the sentence names the nearest that can.
    """
    solute = find_solute(preparation.substance)
    plan = planned(preparation)
    portions = tuple(_portion(plan, number) for number in range(2))
    weighed_as = find_solute(plan.stocks[0].source.substance) if plan.stocks[0].source.substance else solute
    heat = warming(weighed_as, _heat_portions(plan, portions))
    greatest = preparation.vessel.greatest_temperature
    greatest_degC = greatest.to("°C") if greatest else None
    percents = [(stock.source.name, min(stock.content.value, 100.0), stock.source.substance or solute.name)
                for stock in plan.stocks if stock.source.form != "diluent"]
    if plan.aimed is not None:
        percents.append((f"the solution made, {preparation.content.text}", plan.aimed.mass_percent, solute.name))
    model = plan.model
    return Prepared(
        preparation, solute, portions, evaluate_gum(model).estimate, model,
        write_working(model, f"preparation {preparation.head.identity}".strip()),
        simulate(model, monte_carlo, seed) if monte_carlo else None, shares(evaluate_gum(model).estimate), heat,
        _heat_note(heat), safety_of(solute, percents, heat, diluting=False, greatest_degC=greatest_degC),
        _steps(preparation, plan, portions, solute, heat), tuple(_notes(plan, preparation)),
    )


def _portion(plan: Plan, number: int) -> Portion:
    stock, amount = plan.stocks[number], plan.rounded[number]
    source = stock.source
    to_mark = plan.volume_mL is not None and source.form == "diluent"
    density = stock.density.value if stock.density else None
    mass_g = amount * (density or 1.0) if source.measuring.by_volume else amount
    volume_mL = amount if source.measuring.by_volume else mass_g / density if density else None
    text = source.measuring.written(amount)
    if to_mark:
        text = f"to the mark (about {text})" if plan.aimed else "to the mark"
    return Portion(source.name, text, amount, mass_g, volume_mL, plan.amounts[number], source.lot,
                   source.measuring.instrument)


def _heat_portions(plan: Plan, portions: tuple[Portion, ...]) -> list[HeatPortion]:
    found = []
    for portion, stock in zip(portions, plan.stocks, strict=True):
        share = min(stock.content.value, 100.0)
        if stock.source.form == "solid":  # the substance dissolves; what else is in it counts as water
            pure_g = portion.mass_g * share / 100
            found += [HeatPortion(pure_g, 100.0, stock.temperature_degC),
                      HeatPortion(portion.mass_g - pure_g, 0.0, stock.temperature_degC)]
        else:
            found.append(HeatPortion(portion.mass_g, share, stock.temperature_degC))
    return found


def _heat_note(heat: Warming | None) -> str:
    if heat is None:
        return "no heat of solution is held for this substance and form"
    known = "some figures recalled, not read" if heat.recalled else "figures read"
    taken = "the water alone takes up the heat" if heat.water_only else "heat capacity from a table"
    return f"an adiabatic estimate for caution, {taken}; {known}: {'; '.join(heat.sources)}"


def _steps(
    preparation: Preparation, plan: Plan, portions: tuple[Portion, ...], solute: Solute, heat: Warming | None
) -> tuple[str, ...]:
    strong, weak = portions
    vessel = f"{preparation.vessel.kind} {preparation.vessel.identity}".strip()
    weak_source = plan.stocks[1].source
    first = _first_water(weak)
    verb = "Measure" if plan.stocks[0].source.measuring.by_volume else "Weigh"
    slowly = " slowly, in portions," if {"acids", "strong alkali"} & set(groups_of(solute)) else ""
    steps = [f"{verb} {strong.text} of {strong.name}{_with(strong)}; write down what the instrument shows."]
    if weak_source.form == "diluent":
        steps.insert(0, f"Put {first} of {weak.name} into the {vessel}.")
        steps.append(f"Add the {strong.name}{slowly} with stirring and rinse its vessel into it.")
    else:
        steps.append(f"Put {weak.text} of {weak.name} into the {vessel}; add the {strong.name}{slowly} with stirring.")
    degrees = f"{preparation.temperature.text}" if preparation.temperature else "20 °C"
    if plan.volume_mL is not None:
        if heat is None or abs(heat.rise_K) > 1:
            steps.append(f"Let it come to {degrees} (within 1 K) before it is made up.")
        steps.append(f"Make up with {weak.name} to {preparation.amount.text}, at {degrees}; mix thoroughly.")
    elif weak_source.form == "diluent":
        steps.append(f"Add {weak.name} to {weak.text} altogether; mix thoroughly.")
    steps.append("Take a sample and determine the content: what was weighed is nominal, the titration decides.")
    steps.append("Label with name, content, lot, day, use-before, hazards and who made it.")
    return tuple(steps)


def _with(portion: Portion) -> str:
    lot = f", lot {portion.lot}" if portion.lot else ""
    return f"{lot} ({portion.instrument})" if portion.instrument else lot


def _first_water(weak: Portion) -> str:
    volume_mL = weak.volume_mL or weak.mass_g
    part_mL = STIR_FIRST * volume_mL
    return f"about {part_mL / 1000:.2g} L" if part_mL >= 1000 else f"about {float(f'{part_mL:.1g}'):.0f} mL"


def _notes(plan: Plan, preparation: Preparation) -> list[str]:
    notes = []
    for stock, amount, exact_amount in zip(plan.stocks, plan.rounded, plan.amounts, strict=True):
        measuring = stock.source.measuring
        if plan.volume_mL is not None and stock.source.form == "diluent":
            continue
        if amount < MINIMUM_STEPS * measuring.step:
            notes.append(
                f"{measuring.written(amount)} of {stock.source.name} is below {MINIMUM_STEPS} steps of "
                f"{measuring.readability.text}: rounding alone may take more than 0.10 % (USP <41>, floor of 0.41 d, "
                "recalled).")
        if abs(amount / exact_amount - 1) > 1e-9:
            notes.append(f"{stock.source.name}: {exact_amount:.6g} {measuring.base} before rounding to whole steps.")
        if measuring.uncertainty is None:
            notes.append(f"{stock.source.name}: no uncertainty of measuring was stated; one step either way is taken "
                         "(common practice, no source).")
        if _assay_missing(stock):
            notes.append(f"{stock.source.name}: no assay was stated; 100 % is taken as exact, which it is not.")
        if stock.source.content is not None and stock.source.content.uncertainty is None:
            notes.append(f"{stock.source.name}: its content was stated without uncertainty and is taken as exact.")
    if plan.volume_mL is not None and preparation.vessel.tolerance is None and preparation.vessel.readability is None:
        notes.append("No tolerance of the vessel was stated; 0.1 % of its volume, rectangular, is taken (common "
                     "practice, no source).")
    return notes


def _assay_missing(stock: Stock) -> bool:
    return stock.source.form == "solid" and stock.source.content is None
