"""A preparation from its description to its sheet: amounts, content with uncertainty, heat, cautions, steps."""

from dataclasses import replace

from assaywright.assay.prepare.dissolving import unchecked_solubility
from assaywright.assay.prepare.far_density import far_densities
from assaywright.assay.prepare.first_water import FirstWater, first_water
from assaywright.assay.prepare.form import Preparation
from assaywright.assay.prepare.identity import formula_of, other_forms_of
from assaywright.assay.prepare.make import Plan, mass_concentration_wanted, planned
from assaywright.assay.prepare.measuring import MINIMUM_STEPS, amount_text, short_figures
from assaywright.assay.prepare.named import counting_named, solute_named
from assaywright.assay.prepare.result import Portion, Prepared, Safety, shares
from assaywright.assay.prepare.safety import AS_SUPPLIED, STRONGER, SUBSTANCE, corrodes, safety_of
from assaywright.assay.prepare.steps import about, preparation_steps
from assaywright.assay.prepare.stock import Stock
from assaywright.assay.prepare.vessels import GREATEST_FLASK_L, as_made
from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.chemistry.heat import HeatPortion, Warming, warming
from assaywright.chemistry.heat_of_adding import warmest_while_adding
from assaywright.chemistry.solute import Solute, find_solute
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.monte_carlo import simulate
from assaywright.metrology.working import write_working

WEAK_G_PER_L = 50.0  # a solution with less has about the density of water: common practice, no source


def prepare(preparation: Preparation, *, monte_carlo: int = 0, seed: int = 0) -> Prepared:
    """Return a preparation worked out.

    Arguments:
        preparation: what is to be made.
        monte_carlo: trials of a simulation of the same model; none when zero.
        seed: of the simulation.

    Raises:
        Refusal: what cannot be made; the sentence names the nearest that can.
    """
    solute = solute_named(preparation.substance)
    stated, preparation = preparation, as_made(preparation)
    plan = planned(preparation)
    portions = _portion(plan, 0, solute), _portion(plan, 1, solute)
    weighed_as = find_solute(plan.stocks[0].source.substance) if plan.stocks[0].source.substance else solute
    whole = warming(weighed_as, _heat_portions(plan, portions, 0.0))
    water = first_water(plan, portions, solute, warms=whole is not None and whole.notable)
    heat = warmest_while_adding(weighed_as, _heat_portions(plan, portions, water.kept_g))
    greatest = preparation.vessel.greatest_temperature
    greatest_degC = greatest.to("°C") if greatest else None
    percents = [(stock.source.name, AS_SUPPLIED if stock.source.form == "solid" else min(stock.content.value, 100.0),
                 stock.source.substance or solute.name)
                for stock in plan.stocks if stock.source.form != "diluent"]
    made = f"the solution made, {preparation.content.text}"
    made_percent, how = _percent_made(plan, preparation, solute)
    if made_percent is not None:
        percents.append((f"{made}{how}", made_percent, solute.name))
    adding = SUBSTANCE if plan.stocks[1].source.form == "diluent" else STRONGER
    safety = safety_of(
        solute, percents, heat, adding=adding, greatest_degC=greatest_degC, made_up=plan.volume_mL is not None,
        not_judged=() if made_percent is not None else (made,), in_bulk=preparation.vessel.kind == "tank")
    model = plan.model
    return Prepared(
        preparation, solute, portions, evaluate_gum(model).estimate, model,
        write_working(model, f"preparation {preparation.head.identity}".strip()),
        simulate(model, monte_carlo, seed) if monte_carlo else None, shares(evaluate_gum(model).estimate), heat,
        _heat_note(heat, plan), _with_last_water(safety, solute, water),
        preparation_steps(preparation, plan, portions, solute, heat, water),
        (*other_forms_of(plan.stocks[0].source, solute, plan.rounded[0]), *_notes(plan, stated, preparation)),
        (*_to_check(plan, preparation, solute), *_last_water_spits(water)))


def _with_last_water(safety: Safety, solute: Solute, water: FirstWater) -> Safety:
    """Return the cautions with what is to be said of the water kept back from an acid or caustic."""
    if not (corrodes(solute) and water.kept_g > 0 and water.amount > 0):
        return safety
    return replace(safety, first=(*safety.first, (
        "The little water kept back comes last, slowly, onto the cooled mixture, which is hardly stronger than what is "
        f"made ({short_figures(water.strongest_percent, 3)} % w/w at most).")))


def _last_water_spits(water: FirstWater) -> tuple[str, ...]:
    """Return what speaks against filling up to a mark a solution so strong that water boils on it."""
    if not (water.spits and water.kept_g > 0):
        return ()
    hot = "how hot it gets where they meet is not known" if water.meets is None else (
        f"where they meet it gets up to {water.meets.at_most_degC} °C and spits")
    return ((f"The last water would come onto a mixture of {short_figures(water.strongest_percent, 3)} % w/w: {hot}. "
             "Make it by mass, with all of the water in first."),)


def _percent_made(plan: Plan, preparation: Preparation, solute: Solute) -> tuple[float | None, str]:
    """Return the content of what is made [% w/w], none where it is not known, and how it was found, in brackets.

    Without a density a weak solution is taken to have that of water: most weigh more, so that its content is less.
    """
    if plan.percent is not None:
        return plan.percent, ""
    counting = counting_named(solute, preparation.reaction, preparation.counting)
    g_per_L = mass_concentration_wanted(preparation, solute, counting)
    if g_per_L > WEAK_G_PER_L:
        return None, ""
    return g_per_L / 10, f" ({short_figures(g_per_L / 10, 2)} % w/w, its density taken as 1 g/mL)"


def _to_check(plan: Plan, preparation: Preparation, solute: Solute) -> tuple[str, ...]:
    """Return what speaks against the sheet as it stands: solubility that nothing tells, densities that cannot be."""
    of_solid = plan.stocks[0].source.form == "solid"
    told = unchecked_solubility(solute, plan.percent) if of_solid else ()
    densities = [(stock.source.name, stock.source.density, stock.content.value, stock.temperature_degC)
                 for stock in plan.stocks if stock.source.form == "solution"]
    made = (f"the solution made, {preparation.content.text}", preparation.density, plan.percent, REFERENCE_DEGC)
    return (*told, *far_densities(solute, (*densities, made)))


def _portion(plan: Plan, number: int, solute: Solute) -> Portion:
    stock, amount = plan.stocks[number], plan.rounded[number]
    source = stock.source
    to_mark = plan.volume_mL is not None and source.form == "diluent"
    if to_mark:
        amount = plan.amounts[number]  # nothing is measured out: what is expected to go in
    density = stock.density.value if stock.density else None
    mass_g = amount * (density or 1.0) if source.measuring.by_volume else amount
    volume_mL = amount if source.measuring.by_volume else mass_g / density if density else None
    text = source.measuring.written(amount)
    if to_mark:
        text = f"to the mark (about {about(volume_mL or mass_g, 3)})" if plan.aimed else "to the mark"
    return Portion(source.name, text, amount, mass_g, volume_mL, plan.amounts[number], source.lot,
                   source.measuring.instrument, formula_of(source, solute))


def _heat_portions(plan: Plan, portions: tuple[Portion, ...], kept_g: float) -> list[HeatPortion]:
    """Return what is put together in the order of the steps: part of the water, the substance, the rest of the water.

    Of a solid the substance dissolves, and what else is in it counts as water. A weaker stock goes in whole, first.
    """
    strong, weak = portions
    source = plan.stocks[0].source
    share, degrees = min(plan.stocks[0].content.value, 100.0), plan.stocks[0].temperature_degC
    if source.form == "solid":
        pure_g = strong.mass_g * share / 100
        added = [HeatPortion(pure_g, 100.0, degrees), HeatPortion(strong.mass_g - pure_g, 0.0, degrees)]
    else:
        added = [HeatPortion(strong.mass_g, share, degrees)]
    weaker = plan.stocks[1]
    rest_g = kept_g if weaker.source.form == "diluent" else 0.0
    content = weaker.content.value
    return [HeatPortion(weak.mass_g - rest_g, content, weaker.temperature_degC), *added,
            HeatPortion(rest_g, content, weaker.temperature_degC)]


def _heat_note(heat: Warming | None, plan: Plan) -> str:
    if heat is None:
        return "no heat of solution is held for this substance and form"
    known = "some figures recalled, not read" if heat.recalled else "figures read"
    if heat.beyond_table:
        known += ", carried beyond the table"
    taken = "the water alone takes up the heat" if heat.water_only else "heat capacity from a table"
    at_20 = "" if any(one.temperature_degC != REFERENCE_DEGC for one in plan.stocks) else (
        ", all of it taken to be at 20 °C (what is warmer ends warmer by as much)")
    return f"an adiabatic estimate for caution{at_20}, {taken}; {known}: {'; '.join(heat.sources)}"


def _notes(plan: Plan, stated: Preparation, preparation: Preparation) -> list[str]:
    notes = []
    if stated.vessel.kind != preparation.vessel.kind:
        notes.append(f"{preparation.amount.text} are more than a volumetric flask takes (up to {GREATEST_FLASK_L:g} L, "
                     "common practice, no source): a tank with a level, or a vessel on a balance, is taken.")
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
            notes.append(f"{stock.source.name}: {amount_text(measuring, exact_amount, 6)} before rounding to whole "
                         "steps.")
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
