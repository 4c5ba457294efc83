"""Standard buffers, recipes and measured pH as text and as JSON."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

from assaywright.assay.wording import written_figures, written_number
from assaywright.chemistry.buffer import TRIED_TO_MOL_PER_L, BufferState, Recipe
from assaywright.chemistry.buffer_bracket import BracketedPH
from assaywright.chemistry.buffer_equilibrium import Ingredient
from assaywright.chemistry.buffer_stock import stock_of
from assaywright.chemistry.cautions import cautions
from assaywright.chemistry.solute import find_solute
from assaywright.cli.figures import fixed
from assaywright.cli.tables import Column, drawn, heading, paragraph
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import report
from assaywright.metrology.working import write_working
from assaywright.reference.buffers import StandardBuffer
from assaywright.reference.safety import hazards

Values = Sequence[tuple[StandardBuffer, Estimate | None, float | None]]
CAUTION = ("Wear eye protection and gloves; add acid to water, never water to acid, and strong base slowly: both heat "
           "up. The safety data sheets, local rules and a qualified person decide; this is no instruction of work.")
COMPUTED = ("Computed: from the composition, by charge balance with the equation of Davies; it lies within 0.02 of the "
            "reference value from 5 to 40 °C. The bottle's certificate goes before this table.")
STOCKS = ("What is a gas, or sold dissolved, is taken as a solution of the stated concentration, standardised; of "
          "another strength take the same amount of substance: volume times concentration stays.")
CHECK = ("Weigh the substances as named, hydrates too; make up to the mark at the temperature, and measure: the "
         "computed pH is a start, the electrode decides.")


def standards_lines(values: Values, temperature_degC: float, width: int) -> Iterator[str]:
    """Yield the standard buffers at a temperature [°C]."""
    yield from heading(f"standard buffers at {temperature_degC:g} °C")
    rows = [(one.name, "outside its table" if held is None else fixed(held.value, 3),
             "" if held is None else fixed(2 * held.standard_uncertainty, 3),
             "" if computed is None else fixed(computed, 3), one.rank, one.strength) for one, held, computed in values]
    yield from drawn((Column("buffer"), Column("pH", right=True), Column("U (k = 2)", right=True),
                      Column("computed", right=True), Column("rank"), Column("strength", flexible=True)), rows, width)
    for one, _, _ in values if len(values) == 1 else ():
        yield from paragraph(f"Made of {one.composition}.", width)
        yield from paragraph(f"Source: {one.source} ({one.status}).", width)
    yield from paragraph(COMPUTED, width)


def recipe_lines(made: Recipe, litres: float, width: int) -> Iterator[str]:
    """Yield a recipe: cautions first."""
    yield from heading("cautions, before the first step")
    for one in made.ingredients:
        told = _hazards(one)
        if told:
            yield from paragraph(told, width)
    yield from paragraph(CAUTION, width)
    yield from heading(f"recipe for {litres:g} L")
    rows = [(find_solute(one.substance).name, find_solute(one.substance).formula.text,
             written_figures(one.concentration.value, 5), _taken(one, grams, litres))
            for one, grams in zip(made.ingredients, made.grams_per_L, strict=True)]
    yield from drawn((Column("substance", flexible=True), Column("formula"), Column("mol/L", right=True),
                      Column("take", right=True)), rows, width)
    if any(stock_of(one) for one in made.ingredients):
        yield from paragraph(STOCKS, width)
    yield from paragraph(CHECK, width)
    state = made.state
    yield from heading("what comes of it")
    yield from paragraph(f"pH {_stated(state.pH)} at {made.temperature_degC:g} °C", width)
    yield from paragraph(f"changes by {written_figures(state.per_K, 2)} per °C", width)
    capacity = written_figures(state.capacity_mol_per_L, 3)
    yield from paragraph(f"buffer capacity dC/dpH = {capacity} mol/L, the slope at this pH, for small changes", width)
    yield from paragraph(f"for one whole unit of pH: up by {_amount(state.base_mol_per_L)} of strong base, down by "
                         f"{_amount(state.acid_mol_per_L)} of strong acid", width)
    strength = written_figures(state.ionic_strength_mol_per_L, 3)
    yield from paragraph(f"ionic strength {strength} mol/L{_beyond(state)}", width)


def _taken(one: Ingredient, grams: Estimate, litres: float) -> str:
    """Return what is weighed or measured out of an ingredient."""
    stock = stock_of(one)
    if stock is None:
        return f"{written_figures(grams.value * litres, 5)} g"
    return f"{written_figures(stock.mL_per_L * litres, 4)} mL of {stock.concentration_mol_per_L:g} mol/L"


def _amount(amount_mol_per_L: float) -> str:
    return f"{written_figures(amount_mol_per_L, 3)} mol/L" if math.isfinite(amount_mol_per_L) else "more than 10 mol/L"


def _beyond(state: BufferState) -> str:
    """Return what the ionic strength means for the uncertainty of the pH; empty where nothing."""
    if state.beyond_limit:
        return "; beyond the reach of the model of activities, and the uncertainty of the pH has grown with it"
    if state.ionic_strength_mol_per_L > TRIED_TO_MOL_PER_L:
        return (f"; above the {TRIED_TO_MOL_PER_L:g} mol/L of the standard buffers, and the uncertainty of the pH has "
                "grown with it")
    return ""


def measured_lines(found: BracketedPH, temperature_degC: float, width: int) -> Iterator[str]:
    """Yield a pH measured between two buffers."""
    unit = found.model.inputs["E_x"].estimate.unit
    shown = "" if unit == "1" else f" {unit}"
    yield from heading("result")
    yield from paragraph(f"pH {_stated(found.pH)} at {temperature_degC:g} °C", width)
    yield from paragraph("without the residual liquid junction potential, some 0.01 in dilute solutions", width)
    yield from heading("electrode")
    yield from paragraph(f"slope {written_figures(found.slope_per_pH, 4)}{shown} per unit of pH, "
                         f"{fixed(100 * found.slope_share, 1)} % of the theoretical one", width)
    yield from paragraph(f"reading at pH 7: {written_figures(found.reading_at_neutral, 3)}{shown}", width)
    yield from heading("working")
    working = write_working(found.model)
    for given in working.given:
        unit = "" if given.unit == "1" else f" {given.unit}"
        yield f"    {given.symbol} = {given.value}{unit}        {given.uncertainty}        {given.label}"
    for line in working.lines:
        yield f"    {line.symbol} = {line.formula} = {line.figures} = {line.value}        {line.label}"
    if found.remarks:
        yield from heading("remarks")
        for remark in found.remarks:
            yield from paragraph(str(remark), width)


def _hazards(one: Ingredient) -> str:
    """Return an ingredient with the hazard statements of what is taken of it, solid or solution, in our wording."""
    name, stock = find_solute(one.substance).name, stock_of(one)
    try:
        if stock is not None:
            found = cautions(name, concentration_mol_per_L=stock.concentration_mol_per_L)
            statements = found.statements
            name = f"{found.substance}, {stock.concentration_mol_per_L:g} mol/L"
        else:
            held = hazards(name)
            statements = held[0].statements if held else ()
    except Refusal:
        return ""
    return f"{name}: {'; '.join(f'{each.code} {each.wording}' for each in statements)}" if statements else ""


def _stated(estimate: Estimate) -> str:
    k = coverage_factor(estimate.degrees_of_freedom)
    if not estimate.standard_uncertainty:
        return written_figures(estimate.value, 5)
    value, uncertainty = report(estimate.value, k * estimate.standard_uncertainty)
    return f"{written_number(value)} ± {uncertainty} (k = {written_figures(k, 3)})"


# --- for programs -----------------------------------------------------------------------------------------------------


def standards_record(values: Values, temperature_degC: float) -> dict[str, Any]:
    """Return the standard buffers at a temperature [°C] for JSON."""
    return {"kind": "standard buffers", "temperature_degC": temperature_degC, "buffers": [
        {"name": one.name, "pH": held and held.value, "standard_uncertainty": held and held.standard_uncertainty,
         "computed_pH": computed, "rank": one.rank, "composition": one.composition, "source": one.source,
         "status": one.status} for one, held, computed in values]}


def recipe_record(made: Recipe, litres: float) -> dict[str, Any]:
    """Return a recipe for JSON."""
    state = made.state
    return {
        "kind": "buffer recipe", "temperature_degC": made.temperature_degC, "volume_L": litres,
        "ingredients": [
            {"substance": find_solute(one.substance).name, "formula": find_solute(one.substance).formula.text,
             "concentration_mol_per_L": one.concentration.value, **_taken_record(one, grams, litres)}
            for one, grams in zip(made.ingredients, made.grams_per_L, strict=True)],
        "pH": state.pH.value, "standard_uncertainty": state.pH.standard_uncertainty,
        "ionic_strength_mol_per_L": state.ionic_strength_mol_per_L, "capacity_mol_per_L": state.capacity_mol_per_L,
        "base_for_one_pH_mol_per_L": _finite(state.base_mol_per_L),
        "acid_for_one_pH_mol_per_L": _finite(state.acid_mol_per_L),
        "pH_per_K": state.per_K, "beyond_limit": state.beyond_limit,
    }


def _taken_record(one: Ingredient, grams: Estimate, litres: float) -> dict[str, float | None]:
    stock = stock_of(one)
    if stock is None:
        return {"mass_g": grams.value * litres, "stock_mL": None, "stock_mol_per_L": None}
    return {"mass_g": None, "stock_mL": stock.mL_per_L * litres, "stock_mol_per_L": stock.concentration_mol_per_L}


def _finite(amount: float) -> float | None:
    return amount if math.isfinite(amount) else None


def measured_record(found: BracketedPH, temperature_degC: float) -> dict[str, Any]:
    """Return a measured pH at a temperature [°C] for JSON."""
    return {
        "kind": "measured pH", "temperature_degC": temperature_degC, "pH": found.pH.value,
        "standard_uncertainty": found.pH.standard_uncertainty, "slope_per_pH": found.slope_per_pH,
        "slope_share": found.slope_share, "reading_at_neutral": found.reading_at_neutral,
        "unit_of_readings": found.model.inputs["E_x"].estimate.unit,
        "remarks": [{"kind": one.kind, "severity": one.severity.value, "where": one.where, "what": one.what,
                     "remedy": one.remedy} for one in found.remarks],
        "releasable": not any(one.holds for one in found.remarks),
    }
