"""What a check of methods found, in text and as a record."""

from collections.abc import Iterator, Sequence
from typing import Any

from assaywright.assay.feasible import FEASIBLE, INFEASIBLE, NOT_COMPUTED, PLACES, Feasibility
from assaywright.assay.method import Method
from assaywright.cli.figures import fixed, signed
from assaywright.cli.tables import Column, drawn, heading, paragraph, places

Checked = Sequence[tuple[Method, Sequence[Feasibility]]]


def check_lines(found: Checked, weaker: Sequence[Feasibility], width: int) -> Iterator[str]:
    """Yield the lines of a check.

    Arguments:
        found: the methods with what the engine says of their endpoints.
        weaker: of a single method, the endpoints that are not feasible with other strengths of its titrant.
        width: of the terminal.
    """
    computed = [(method, one) for method, ends in found for one in ends if one.error_mL is not None]
    if computed:
        yield from _table([_row(method, one) for method, one in computed], width)
    for verdict in (INFEASIBLE, NOT_COMPUTED):
        told = [(method, one) for method, ends in found for one in ends if one.verdict == verdict]
        if told:
            yield from heading(verdict)
        for method, one in told:
            yield from paragraph(f"{method.name}: {_which(one)}{one.sentence}", width, rest="    ")
    if len(found) == 1:
        yield from _single(found[0][1], weaker, width)
    yield ""
    yield from paragraph(_summary(found), width, first="")


def _table(rows: list[list[str]], width: int) -> list[str]:
    """Return the table of what is computed; what is stated stands in it where the terminal is wide enough."""
    columns = [Column("method"), Column("endpoint"), Column("error / mL", right=True), Column("u / mL", right=True),
               Column("stated / mL", right=True)]
    lines = drawn(columns, rows, width, indent="")
    return lines if max(map(places, lines)) <= width else drawn(columns[:-1], [row[:-1] for row in rows], width,
                                                                indent="")


def _row(method: Method, one: Feasibility) -> list[str]:
    stated = ""
    if one.stated_mL is not None:
        value, half_width = one.stated_mL
        stated = f"{fixed(value, 3)} ± {fixed(half_width, 3)}"
    name = method.name if one.endpoint == "endpoint" else f"{method.name} (first)"
    return [name, one.verdict, signed(one.error_mL or 0.0, PLACES), fixed(one.standard_uncertainty_mL or 0.0, PLACES),
            stated]


def _which(one: Feasibility) -> str:
    return "" if one.endpoint == "endpoint" else "first endpoint: "


def _single(ends: Sequence[Feasibility], weaker: Sequence[Feasibility], width: int) -> Iterator[str]:
    yield ""
    for one in ends:
        if one.verdict == FEASIBLE:
            yield from paragraph(f"{_which(one)}{one.sentence}", width)
    for one in weaker:
        yield from paragraph(f"with {one.titrant_mol_per_L:g} mol/L not feasible: {_which(one)}{one.sentence}", width)


def _summary(found: Checked) -> str:
    ends = [one for _method, several in found for one in several]
    counts = [f"{sum(one.verdict == verdict for one in ends)} {verdict}"
              for verdict in (FEASIBLE, INFEASIBLE, NOT_COMPUTED)]
    are = "1 method" if len(found) == 1 else f"{len(found)} methods"
    return (f"{are}: reactions balanced in atoms and charge, equivalents borne out by them; endpoints: "
            f"{', '.join(counts)}.")


def check_records(found: Checked) -> list[dict[str, Any]]:
    """Return what was found, for programs."""
    return [
        {
            "method": method.name, "edition": method.edition, "file": method.where, "endpoint": one.endpoint,
            "indicator": one.indicator, "titrant_mol_per_L": one.titrant_mol_per_L, "verdict": one.verdict,
            "why": one.sentence, "equivalence_point_mL": one.equivalence_mL, "titration_error_mL": one.error_mL,
            "standard_uncertainty_mL": one.standard_uncertainty_mL,
            "stated_mL": None if one.stated_mL is None else list(one.stated_mL), "within_stated": one.within_stated,
        }
        for method, ends in found for one in ends
    ]
