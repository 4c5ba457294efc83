"""The working as text: what was given, every line of the calculation, then the uncertainty summed up.

Each line of a calculation stands on three lines of text, and nothing else in the text begins like them::

    SYMBOL = the formula, in symbols
           = the same, in figures
           = the value, with its unit        what it is  [law applied]

Whoever keys the figures in gets the value, to its last digit: every value is rounded to the twelve digits that are
printed before it is carried on.
"""

from collections.abc import Iterator, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from assaywright.assay.result import Outcome, Result
from assaywright.assay.terms import numbered
from assaywright.assay.wording import written_coverage, written_figures, written_number
from assaywright.cli.plain_text import plain
from assaywright.cli.show_outcome import title_lines
from assaywright.cli.tables import heading, paragraph
from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Means, Model, ModelInput
from assaywright.metrology.working import Given, Line, Working, carried, plain_figure, write_working

GAP = " " * 8
INDENT = " " * 4
TERMS_ON_A_LINE = 6
DIGITS_OF_A_CONTRIBUTION = 6


def working_lines(outcome: Outcome, width: int) -> Iterator[str]:
    """Yield the lines of the working of every result of a worksheet.

    Arguments:
        outcome: of a worksheet.
        width: of the terminal; lines of figures are never broken.
    """
    yield from title_lines(outcome, width)
    yield from heading("given")
    yield from _given_lines(outcome)
    written: dict[str, Line] = {}
    for result, working in zip(outcome.results, outcome.workings, strict=True):
        yield from heading("calculation", result.measurand)
        yield from _calculation(working, written)
        yield from heading("uncertainty", result.measurand)
        yield from _uncertainty(result, width)


def _given_lines(outcome: Outcome) -> Iterator[str]:
    """Yield every input once: symbol, figure and unit, standard uncertainty, what it is and where it is from."""
    told: set[Given] = set()
    for model, working in zip(outcome.models, outcome.workings, strict=True):
        values = {item.symbol: item.estimate.value for item in model.inputs.values()}
        for given in working.given:
            if given not in told:
                told.add(given)
                yield _given(given, values.get(given.symbol, 0.0))


def _given(given: Given, value: float) -> str:
    figure = figure_of(given.value, value)
    unit = "" if given.unit == "1" else f" {given.unit}"
    uncertainty = f"u = {_plain(given.uncertainty)}{unit}" if given.uncertainty[:1].isdigit() else given.uncertainty
    source = f"  [{given.source}]" if given.source else ""
    return f"{INDENT}{given.symbol} = {figure}{unit}{GAP}{uncertainty}{GAP}{given.label}{source}"


def figure_of(text: str, value: float) -> str:
    """Return the figure that stands in the calculation: as typed where it says the value, else the value itself."""
    exact = carried(Decimal(repr(value)))
    first = text.replace("−", "-").replace(",", ".").split(" ")[0]
    try:
        typed = Decimal(first)
    except InvalidOperation:
        return plain_figure(exact)
    return written_number(format(typed, "f")) if typed == exact else plain_figure(exact)


def _plain(number: str) -> str:
    return written_figures(float(number), 2)


def _calculation(working: Working, written: dict[str, Line]) -> Iterator[str]:
    """Yield the lines that do not stand further up already, just so."""
    for line in working.lines:
        if written.get(line.symbol) != line:
            yield from _line(line)
        written[line.symbol] = line


def _line(line: Line) -> list[str]:
    """Return one line of the calculation on its three lines of text."""
    symbol = plain(line.symbol)
    space = " " * len(symbol)
    unit = "" if line.unit == "1" else f" {line.unit}"
    source = f"  [{line.source}]" if line.source else ""
    return [
        f"{INDENT}{symbol} = {line.formula}",
        f"{INDENT}{space} = {line.figures}",
        f"{INDENT}{space} = {line.value}{unit}{GAP}{line.label}{source}",
    ]


# --- the uncertainty --------------------------------------------------------------------------------------------------


def _uncertainty(result: Result, width: int) -> Iterator[str]:
    """Yield the contributions, their squares summed, the root, k, and what is printed."""
    parts = sorted((part for part in result.estimate.contributions if part.amount), key=lambda part: -abs(part.amount))
    unit = result.estimate.unit
    if not parts:
        yield "  nothing in the calculation is uncertain"
        return
    model = _model(result, parts)
    working = write_working(model)
    for given in working.given:
        unit_shown = "" if given.unit == "1" else f" {given.unit}"
        yield f"{INDENT}{given.symbol} = {given.value}{unit_shown}{GAP}{given.label}"
    for line in working.lines:
        yield from _line(line)
    yield from paragraph(f"{written_coverage(result)}.", width)
    yield from paragraph(f"Rounded once, at the end: the expanded uncertainty to two significant digits, "
                         f"{result.uncertainty_text} {unit}; the result to the same decimal place, "
                         f"{written_number(result.value_text)} {unit}.", width)


def _model(result: Result, parts: list[Contribution]) -> Model:
    """Return the model whose working is the sum of squares, its root, the degrees of freedom and U."""
    unit = result.estimate.unit
    inputs: dict[str, ModelInput] = {}
    for number, part in enumerate(parts, start=1):
        amount = float(f"{part.amount:.{DIGITS_OF_A_CONTRIBUTION}g}")
        symbol = f"u{numbered(number)}"
        inputs[f"u{number}"] = _input(symbol, part.label or part.key, amount, unit)
        if part.degrees_of_freedom != float("inf"):
            freedom = float(f"{part.degrees_of_freedom:.{DIGITS_OF_A_CONTRIBUTION}g}")
            inputs[f"nu{number}"] = _input(f"ν{numbered(number)}", f"degrees of freedom of {symbol}", freedom, "1")
    inputs["k"] = _input("k", "coverage factor", float(f"{result.coverage_factor:.5g}"), "1")

    def equation(x: Mapping[str, Any], m: Means) -> Any:
        total = _sum_of_squares([x[f"u{number}"] for number in range(1, len(parts) + 1)], unit, m)
        combined = m.step("u", "standard uncertainty of the result", m.sqrt(total), unit, "JCGM 100:2008, 5.1.2")
        finite = [number for number in range(1, len(parts) + 1) if f"nu{number}" in inputs]
        if finite:
            below = [x[f"u{number}"] ** 4 / x[f"nu{number}"] for number in finite]
            m.step("ν", "effective degrees of freedom", combined**4 / _sum(below), "1", "JCGM 100:2008, G.4.1")
        return m.step("U", "expanded uncertainty", x["k"] * combined, unit, "JCGM 100:2008, 6.2.1")

    return Model(equation, inputs, unit, "U", "expanded uncertainty")


def _input(symbol: str, label: str, value: float, unit: str) -> ModelInput:
    text = plain_figure(carried(Decimal(repr(value))))
    return ModelInput(symbol, label, Estimate(value, unit), text)


def _sum_of_squares(amounts: list[Any], unit: str, m: Means) -> Any:
    """Return the sum of squares, in steps short enough to be keyed in."""
    square = "1" if unit == "1" else f"({unit})^2"
    sums = []
    for number, start in enumerate(range(0, len(amounts), TERMS_ON_A_LINE), start=1):
        squares = _sum([amount**2 for amount in amounts[start:start + TERMS_ON_A_LINE]])
        sums.append(m.step(f"S{numbered(number)}", "squares of contributions", squares, square))
    return m.step("S", "sum of squares", _sum(sums), square) if len(sums) > 1 else sums[0]


def _sum(terms: list[Any]) -> Any:
    total = terms[0]
    for term in terms[1:]:
        total = total + term
    return total
