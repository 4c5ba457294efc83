"""The blanks of a bench sheet: a place for every reading that the worksheet asks for, and for none that it does not."""

from collections.abc import Iterator
from dataclasses import dataclass

from assaywright.assay.plan.setup import (
    BARIUM_CHLORIDE,
    IN_A_FLASK,
    LIKEWISE,
    PIPETTED_FLASK,
    TWO_ENDPOINTS,
    WEIGHED,
    WEIGHED_DILUTION,
    WITH_AN_ALIQUOT,
    Setup,
)

WIDEST = 8  # columns that one can still write into on a page of A4; more become two tables
BY_DIFFERENCE = ("Gross, g", "Tare, g")
AFTERWARDS = ("Temp., °C", "Colour, remarks", "Initials")
EXTRA = "+"  # a line for one determination more


@dataclass(frozen=True, slots=True)
class FillIn:
    """A table to be filled in by hand.

    Fields:
        title: what its lines are.
        lines: how they are numbered.
        columns: their headings, each with its unit.
        of_determinations: whether a line is a determination, so that a sample goes with it.
    """

    title: str
    lines: tuple[str, ...]
    columns: tuple[str, ...]
    of_determinations: bool = False


def sheet_tables(setup: Setup) -> tuple[FillIn, ...]:
    """Return the tables of a bench sheet: the dilution, the portions, the titrations, the blanks."""
    return *_dilution(setup), *_determinations(setup), *_blanks(setup)


def _dilution(setup: Setup) -> Iterator[FillIn]:
    """Yield the line of what is diluted, once for all determinations."""
    if setup.way not in IN_A_FLASK:
        return
    portion = ("Pipette", "Sample temp., °C") if setup.way == PIPETTED_FLASK else BY_DIFFERENCE
    made_up = (("Flask", "Flask filled, g", "Flask empty, g") if setup.way == WEIGHED_DILUTION
               else ("Flask", "Flask temp., °C"))
    yield FillIn("The dilution", ("D",), (*portion, *made_up, "Initials"))


def _determinations(setup: Setup) -> Iterator[FillIn]:
    """Yield portions and titrations, in one table where that is not too wide."""
    lines = *(str(number) for number in range(1, setup.determinations + 1)), EXTRA
    portion = (*_portion(setup), *_excess(setup))
    if setup.method.scheme == BARIUM_CHLORIDE:
        yield FillIn("The aliquots, two alike for each determination", lines, portion, of_determinations=True)
        for title in ("Titrations of the total alkali", "Titrations of the hydroxide, with barium chloride"):
            yield FillIn(title, lines, ("Initial, mL", "Final, mL", *AFTERWARDS), of_determinations=True)
        return
    first = ("First, mL",) if setup.method.scheme == TWO_ENDPOINTS else ()
    titration = ("Initial, mL", *first, "Final, mL", *AFTERWARDS)
    if len(portion) + len(titration) <= WIDEST:
        yield FillIn("Determinations", lines, (*portion, *titration), of_determinations=True)
        return
    yield FillIn("Portions", lines, portion, of_determinations=True)
    yield FillIn("Titrations", lines, titration, of_determinations=True)


def _portion(setup: Setup) -> tuple[str, ...]:
    """Return the columns of what is titrated; nobody weighs a pipetted portion."""
    if setup.way in (WEIGHED, WEIGHED_DILUTION):
        return BY_DIFFERENCE
    of = "Aliquot" if setup.way in WITH_AN_ALIQUOT else "Sample" if setup.against is None else "Pipetted"
    return "Pipette", f"{of} temp., °C"


def _excess(setup: Setup) -> tuple[str, ...]:
    return () if setup.excess is None else ("Excess pipette", "Excess temp., °C")


def _blanks(setup: Setup) -> Iterator[FillIn]:
    """Yield the lines of the blanks: titrated likewise, or the method's own small one; nothing of a sample."""
    titration = ("Initial, mL", "Final, mL", *AFTERWARDS)
    if setup.blanks:
        lines = tuple(f"B{number}" for number in range(1, setup.blanks + 1))
        yield FillIn("Blanks titrated likewise, without a sample", lines, (*_excess(setup), *titration))
    elif setup.method.blank.required and setup.method.blank.kind not in ("neutralised solvent", LIKEWISE):
        yield FillIn(f"The {setup.method.blank.kind}", ("B1", "B2"), titration)
