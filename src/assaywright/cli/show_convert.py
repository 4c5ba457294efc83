"""A conversion as text and as JSON."""

from collections.abc import Iterator
from typing import Any

from assaywright.assay.conversion import Conversion
from assaywright.assay.conversion_told import (
    each_mL_line,
    elsewhere_line,
    equivalents_line,
    expressed_as,
    factor_line,
    figures_of,
    figures_record,
    given_line,
    of_solution,
    result_line,
    solution_lines,
    uncertain_rows,
)
from assaywright.chemistry.content import Converted
from assaywright.cli.show_working import figure_of
from assaywright.cli.tables import Column, drawn, heading, paragraph
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.model import Model
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.working import write_working

REASONS = {"content": "needs --reaction", "density": "needs --density"}


def conversion_lines(found: Conversion, width: int) -> Iterator[str]:
    """Yield the lines of a conversion.

    Arguments:
        found: what was asked and found.
        width: of the terminal.
    """
    yield from paragraph(given_line(found), width, first="")
    if found.one is not None:
        yield from heading("result")
        yield from paragraph(result_line(found, found.one.estimate), width)
    else:
        yield from _all(found, width)
    if told := solution_lines(found):
        yield from heading("the solution")
        for one in told:
            yield from paragraph(one, width)
    if found.basis.remarks:
        yield from heading("remarks")
        for remark in found.basis.remarks:
            yield from paragraph(str(remark), width)
    for title, line in (("equivalents", equivalents_line(found)), ("factor", factor_line(found)),
                        ("titrimetric equivalent", each_mL_line(found)),
                        ("at another temperature", elsewhere_line(found))):
        if line:
            yield from heading(title)
            yield from paragraph(line, width)
    if found.one is not None:
        yield from _working(found.one.model)
        yield from _uncertain(found.one.estimate, width)
    if found.equivalent is not None:
        yield from _working(found.equivalent.model, "titrimetric equivalent")


def _all(found: Conversion, width: int) -> Iterator[str]:
    rows = []
    for one in found.contents:
        if one.estimate is None:
            rows.append((one.unit, "", "", _reason(one.refusal)))
        else:
            value, uncertainty, _ = figures_of(one.estimate)
            rows.append((one.unit, value, uncertainty or "not stated", of_solution(one.unit).strip(", ")))
    yield from heading(f"in all units{expressed_as(found)}")
    yield from drawn((Column("unit"), Column("content", right=True), Column("± U (95 %)", right=True),
                      Column("", flexible=True)), rows, width)


def _reason(refusal: Refusal | None) -> str:
    return "" if refusal is None else REASONS.get(refusal.where, str(refusal))


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
    if rows := uncertain_rows(estimate):
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
        "given": {**figures_record(content.estimate), "text": content.text,
                  "expressed_as": content.expressed.formula.text if content.expressed else None,
                  "temperature_degC": content.temperature_degC},
        "expressed_as": found.wanted.expressed.formula.text if found.wanted.expressed else None,
        "temperature_degC": found.wanted.temperature_degC,
        "result": figures_record(found.one.estimate) if found.one else None,
        "contents": [figures_record(one.estimate) if one.estimate else {"unit": one.unit, "value": None,
                                                                 "refused": str(one.refusal)}
                     for one in found.contents],
        "mass_percent": figures_record(basis.mass_percent) if basis.mass_percent else None,
        "density": {**figures_record(basis.density), "source": basis.density_source} if basis.density else None,
        "equivalents": {"number": float(found.known.counting.number), "counted": found.known.counting.counted,
                        "reaction": found.known.counting.reaction} if found.known.counting else None,
        "other_temperature": {
            "temperature_degC": found.elsewhere.temperature_degC,
            "ratio": figures_record(found.elsewhere.ratio) if found.elsewhere.ratio else None,
            "source": found.elsewhere.source,
        },
        "factor": figures_record(found.factor) if found.factor else None,
        "titrimetric_equivalent": {**figures_record(found.equivalent.estimate), "of": found.analyte.name}
        if found.equivalent and found.analyte else None,
        "remarks": [{"kind": one.kind, "severity": one.severity.value, "where": one.where, "what": one.what,
                     "remedy": one.remedy} for one in found.basis.remarks],
        "working": _lines(found.one) if found.one else None,
    }


def _lines(one: Converted) -> list[dict[str, str]]:
    return [{"symbol": line.symbol, "label": line.label, "formula": line.formula, "figures": line.figures,
             "value": line.value, "unit": line.unit} for line in write_working(one.model).lines]
