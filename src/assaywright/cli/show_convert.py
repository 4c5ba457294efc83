"""A conversion as text and as JSON."""

import math
from collections.abc import Iterator
from typing import Any

from assaywright.assay.wording import written_figures, written_number
from assaywright.chemistry.content import Converted
from assaywright.chemistry.content_units import is_by_volume
from assaywright.chemistry.density_curve import density_curve
from assaywright.cli.convert import Conversion
from assaywright.cli.show_working import figure_of
from assaywright.cli.tables import Column, drawn, heading, paragraph
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.model import Model
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import report
from assaywright.metrology.working import write_working

DIGITS_WITHOUT_UNCERTAINTY = 6
FEWEST_SHARE = 0.0005
REASONS = {"content": "needs --reaction", "density": "needs --density"}


def conversion_lines(found: Conversion, width: int) -> Iterator[str]:
    """Yield the lines of a conversion.

    Arguments:
        found: what was asked and found.
        width: of the terminal.
    """
    content = found.content
    given = f", expressed as {content.expressed.formula.text}" if content.expressed else ""
    at = f" at {content.temperature_degC:g} °C" if is_by_volume(content.unit) else ""
    yield from paragraph(f"{content.text} of {content.solute.name} ({content.solute.formula.text}){given}{at}", width,
                         first="")
    if found.one is not None:
        yield from _one(found, found.one, width)
    else:
        yield from _all(found, width)
    yield from _solution(found, width)
    if found.basis.remarks:
        yield from heading("remarks")
        for remark in found.basis.remarks:
            yield from paragraph(str(remark), width)
    yield from _uses(found, width)
    yield from heading("at another temperature")
    yield from _elsewhere(found, width)
    if found.one is not None:
        yield from _working(found.one.model)
        yield from _uncertain(found.one.estimate, width)
    if found.equivalent is not None:
        yield from _working(found.equivalent.model, "titrimetric equivalent")


def _as(found: Conversion) -> str:
    expressed = found.wanted.expressed
    return f" as {expressed.formula.text}" if expressed else ""


def _one(found: Conversion, one: Converted, width: int) -> Iterator[str]:
    yield from heading("result")
    at = f" at {found.wanted.temperature_degC:g} °C" if is_by_volume(found.wanted.unit) else ""
    yield from paragraph(f"{_stated(one.estimate)}{_as(found)}{at}", width)


def _stated(estimate: Estimate) -> str:
    """Return value, unit, expanded uncertainty and coverage factor."""
    value, uncertainty, k = _figures(estimate)
    unit = "" if estimate.unit == "1" else f" {estimate.unit}"
    if not uncertainty:
        return f"{value}{unit} (taken as exact: no uncertainty was stated)"
    return f"{value}{unit} ± {uncertainty}{unit} (k = {written_figures(k, 3)}, about 95 %)"


def _figures(estimate: Estimate) -> tuple[str, str, float]:
    """Return value and expanded uncertainty as printed, and the coverage factor; no uncertainty where there is none."""
    freedom = estimate.degrees_of_freedom
    k = coverage_factor(freedom)
    expanded = k * estimate.standard_uncertainty
    if expanded <= 1e-9 * abs(estimate.value):
        figures = written_figures(estimate.value, DIGITS_WITHOUT_UNCERTAINTY)
        return figures.rstrip("0").rstrip(".") if "." in figures and "×" not in figures else figures, "", k
    value, uncertainty = report(estimate.value, expanded)
    return written_number(value), uncertainty, k


def _all(found: Conversion, width: int) -> Iterator[str]:
    rows = []
    for one in found.contents:
        if one.estimate is None:
            rows.append((one.unit, "", "", _reason(one.refusal)))
        else:
            value, uncertainty, _ = _figures(one.estimate)
            rows.append((one.unit, value, uncertainty or "not stated", ""))
    yield from heading(f"in all units{_as(found)}")
    yield from drawn((Column("unit"), Column("content", right=True), Column("± U (95 %)", right=True),
                      Column("", flexible=True)), rows, width)


def _reason(refusal: Refusal | None) -> str:
    return "" if refusal is None else REASONS.get(refusal.where, str(refusal))


def _solution(found: Conversion, width: int) -> Iterator[str]:
    """Yield density and mass per cent of the solution, with what is to be known about them."""
    basis = found.basis
    if basis.density is None:
        return
    yield from heading("the solution")
    yield from paragraph(f"density {_stated(basis.density)}, {basis.density_source}", width)
    if basis.mass_percent is not None:
        yield from paragraph(f"content by mass {_stated(basis.mass_percent)}", width)
    if found.known.density is None:
        yield from paragraph(f"About that density: {_note(found)}.", width)


def _note(found: Conversion) -> str:
    degrees = found.content.temperature_degC
    if not is_by_volume(found.content.unit):
        degrees = found.wanted.temperature_degC
    curve = density_curve(found.content.solute, degrees)
    return f"{curve.note or curve.method}; {curve.status}"


def _uses(found: Conversion, width: int) -> Iterator[str]:
    if found.known.counting is not None:
        counting = found.known.counting
        number = written_figures(float(counting.number), 6)
        yield from heading("equivalents")
        yield from paragraph(f"1 mol has {number} equivalents, counting {counting.counted} in {counting.reaction}",
                             width)
    if found.factor is not None and found.nominal is not None:
        yield from heading("factor")
        yield from paragraph(f"f = {_stated(found.factor)}, actual over nominal {found.nominal.text.strip()}", width)
    if found.equivalent is not None and found.analyte is not None:
        yield from heading("titrimetric equivalent")
        each = found.equivalent.estimate.scaled(1.0, "mg")
        yield from paragraph(f"each mL is equivalent to {_stated(each)} of {found.analyte.name} "
                             f"({found.analyte.formula.text})", width)


def _elsewhere(found: Conversion, width: int) -> Iterator[str]:
    other = found.elsewhere
    here = found.content.temperature_degC
    if other.ratio is None:
        yield from paragraph(f"A content by volume changes with temperature; by how much is not held: {other.source}",
                             width)
        return
    change = 100 * (other.ratio.value - 1)
    sign = "more" if change > 0 else "less"
    yield from paragraph(
        f"At {other.temperature_degC:g} °C in place of {here:g} °C every content by volume is "
        f"{written_figures(abs(change), 2)} % {sign} (ratio {_stated(other.ratio)}); contents by mass stay. "
        f"[{other.source}]", width)


def _working(model: Model, of: str = "") -> Iterator[str]:
    """Yield a model's working in the form that ``explain`` has."""
    working = write_working(model)
    values = {item.symbol: item.estimate.value for item in model.inputs.values()}
    yield from heading("working", of)
    for given in working.given:
        unit = "" if given.unit == "1" else f" {given.unit}"
        known = f"u = {given.uncertainty}{unit}" if given.uncertainty[:1].isdigit() else given.uncertainty
        source = f"  [{given.source}]" if given.source else ""
        figure = figure_of(given.value, values[given.symbol])
        yield f"    {given.symbol} = {figure}{unit}        {known}        {given.label}{source}"
    for line in working.lines:
        space = " " * len(line.symbol)
        unit = "" if line.unit == "1" else f" {line.unit}"
        yield f"    {line.symbol} = {line.formula}"
        yield f"    {space} = {line.figures}"
        yield f"    {space} = {line.value}{unit}        {line.label}"


def _uncertain(estimate: Estimate, width: int) -> Iterator[str]:
    """Yield what makes the result uncertain, the greatest first."""
    total = estimate.variance
    parts = sorted(estimate.contributions, key=lambda part: -abs(part.amount))
    rows = [(part.label or part.key, written_figures(abs(part.amount), 2), f"{100 * part.amount**2 / total:.1f} %")
            for part in parts if total and part.amount**2 > FEWEST_SHARE * total]
    if rows:
        yield from heading("what is uncertain")
        yield from drawn((Column("influence", flexible=True), Column(f"u [{estimate.unit}]", right=True),
                          Column("share", right=True)), rows, width)


# --- for programs -----------------------------------------------------------------------------------------------------


def conversion_record(found: Conversion) -> dict[str, Any]:
    """Return a conversion for JSON: every number with its unit."""
    content, basis = found.content, found.basis
    return {
        "kind": "conversion",
        "substance": {"name": content.solute.name, "formula": content.solute.formula.text},
        "given": {**_record(content.estimate), "text": content.text,
                  "expressed_as": content.expressed.formula.text if content.expressed else None,
                  "temperature_degC": content.temperature_degC},
        "expressed_as": found.wanted.expressed.formula.text if found.wanted.expressed else None,
        "temperature_degC": found.wanted.temperature_degC,
        "result": _record(found.one.estimate) if found.one else None,
        "contents": [_record(one.estimate) if one.estimate else {"unit": one.unit, "value": None,
                                                                 "refused": str(one.refusal)}
                     for one in found.contents],
        "mass_percent": _record(basis.mass_percent) if basis.mass_percent else None,
        "density": {**_record(basis.density), "source": basis.density_source} if basis.density else None,
        "equivalents": {"number": float(found.known.counting.number), "counted": found.known.counting.counted,
                        "reaction": found.known.counting.reaction} if found.known.counting else None,
        "other_temperature": {
            "temperature_degC": found.elsewhere.temperature_degC,
            "ratio": _record(found.elsewhere.ratio) if found.elsewhere.ratio else None,
            "source": found.elsewhere.source,
        },
        "factor": _record(found.factor) if found.factor else None,
        "titrimetric_equivalent": {**_record(found.equivalent.estimate), "of": found.analyte.name}
        if found.equivalent and found.analyte else None,
        "remarks": [{"kind": one.kind, "severity": one.severity.value, "where": one.where, "what": one.what,
                     "remedy": one.remedy} for one in found.basis.remarks],
        "working": _lines(found.one) if found.one else None,
    }


def _record(estimate: Estimate) -> dict[str, Any]:
    value, uncertainty, k = _figures(estimate)
    freedom = estimate.degrees_of_freedom
    return {"value": estimate.value, "unit": estimate.unit, "standard_uncertainty": estimate.standard_uncertainty,
            "expanded_uncertainty": k * estimate.standard_uncertainty, "coverage_factor": k,
            "degrees_of_freedom": freedom if math.isfinite(freedom) else None, "value_text": value,
            "uncertainty_text": uncertainty or None}


def _lines(one: Converted) -> list[dict[str, str]]:
    return [{"symbol": line.symbol, "label": line.label, "formula": line.formula, "figures": line.figures,
             "value": line.value, "unit": line.unit} for line in write_working(one.model).lines]
