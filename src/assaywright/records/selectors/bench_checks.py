"""What is gone through before the titrations: cautions, solutions and instruments in date, glass and burette ready."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from assaywright.assay.asked import DILUTED
from assaywright.assay.bench.until import through
from assaywright.assay.method import Method
from assaywright.records.models import Assay, Instrument, Material, Solution
from assaywright.records.models.equipment import IN_USE
from assaywright.records.readings import asked_of
from assaywright.records.toml_text import day_text

DAY = len("2026-11-30")
SOLUTIONS = ("titrant", "reagent", "against")
BURETTE = "burette"
BLANKS = {
    "reagent blank": "Blank: its titration is planned, with all reagents and without a portion",
    "indicator blank": "Blank: its titration is planned, with water and indicator to the same colour",
    "titrated likewise": "Blank: its titration is planned, done like a determination without a portion",
    "neutralised solvent": "Blank: the solvent is neutralised to the indicator before the portion goes in",
}
TREATED_WATER = re.compile(r"water (?:freed|free) (?:of|from)|(?:boiled|degassed) water", re.IGNORECASE)
UNDATED = "no calibration date on record"
PAST = "past its date on the day of the work"


@dataclass(frozen=True, slots=True)
class Check:
    """One line to go through before the titrations; ``attention`` where what is on record speaks against it."""

    words: str
    attention: str = ""


def checks_of(assay: Assay, method: Method) -> Iterator[Check]:
    """Yield what is gone through before the titrations, with what the records say to it."""
    worn = method.cautions.protective_equipment
    if worn:
        yield Check(f"I wear {', '.join(worn)}")
    yield Check("I have read the cautions and the safety data sheets")
    heading, day = assay.content, assay.performed[:DAY]
    for role in SOLUTIONS:
        if isinstance(table := heading.get(role), dict):
            is_set = assay.kind == "standardisation" and role == "titrant"
            yield _solution("solution to be set" if is_set else role, table, day)
    if isinstance(table := heading.get("standard"), dict):
        yield _standard(table, day)
    for table in (*heading.get("vessels", {}).values(), *heading.get("balances", {}).values(),
                  *heading.get("thermometers", {}).values()):
        yield _instrument(table, day)
    yield from _at_hand(assay, method)
    yield Check("Burette rinsed with titrant, filled, its tip free of air, no drop hanging, its zero looked at")
    yield Check("Titrant, sample and glass are at the temperature of the room, and the thermometer stands in them")


def _at_hand(assay: Assay, method: Method) -> Iterator[Check]:
    """Yield what nothing on record speaks of: clean glass, a mixed flask, indicator, water and blank."""
    vessels = [str(one.get("kind", "")) for name, one in assay.content.get("vessels", {}).items() if name != BURETTE]
    if kinds := [f"{one}s" for one in dict.fromkeys(vessels) if one]:
        yield Check(f"{' and '.join(kinds).capitalize()} clean: they run off without leaving drops")
    if asked_of(assay).handling == DILUTED:
        yield Check("The flask of the dilution is made up to its mark, and mixed by turning it over many times")
    if method.endpoint.indicator:
        yield Check(f"Indicator at hand: {method.endpoint.indicator}")
    if water := next((one for one in (method.blank.text, *method.procedure) if TREATED_WATER.search(one)), ""):
        yield Check(f"Water as the method says: {water.rstrip('.')}")
    if method.blank.kind in BLANKS:
        yield Check(BLANKS[method.blank.kind])


def _solution(role: str, table: Mapping[str, Any], day: str) -> Check:
    row = Solution.objects.filter(pk=str(table.get("lot", ""))).first()
    words = f"{role.capitalize()}: {table.get('name', '')}, {table.get('lot', '')}"
    return _in_date(words, day_text(table.get("use_before")), row.state if row is not None else IN_USE, day)


def _standard(table: Mapping[str, Any], day: str) -> Check:
    """Return the line of a primary standard: which one, until when, and how it was dried."""
    number = str(table.get("lot", ""))
    row = Material.objects.filter(pk=number).first()
    until = day_text(table.get("use_before")) or (row.use_before if row is not None else "")
    words = f"Primary standard: {table.get('name', '')}, {number}"
    if dried := str(table.get("dried", "")):
        words += f", dried {dried}"
    return _in_date(words, until, row.state if row is not None else IN_USE, day)


def _in_date(words: str, until: str, state: str, day: str) -> Check:
    words += f", to be used {through(until)}" if until else ""
    past = bool(until) and day[:len(until)] > until
    return Check(words, PAST if past else "" if state == IN_USE else f"it is {state}")


def _instrument(table: Mapping[str, Any], day: str) -> Check:
    identity = str(table.get("id", ""))
    row = Instrument.objects.filter(pk=identity).first()
    certificate = table.get("certificate")
    stated = day_text(certificate.get("due")) if isinstance(certificate, Mapping) else ""
    due = (row.due if row is not None else "") or stated
    words = f"{str(table.get('kind', '') or (row.kind if row else 'instrument')).capitalize()} {identity}"
    words += f", calibration valid {through(due)}" if due else ""
    past = bool(due) and day[:len(due)] > due
    if row is not None and row.state != IN_USE:
        return Check(words, f"it is {row.state}")
    return Check(words, "its calibration is overdue" if past else "" if due else _undated(table))


def _undated(table: Mapping[str, Any]) -> str:
    """Return what is said of an instrument without a calibration date: what stands in the calibration's place."""
    if "corrections" in table:
        return UNDATED
    stated = "class" in table or "tolerance" in table
    return f"{UNDATED}: its {'class’s' if 'class' in table else 'stated'} tolerance is used" if stated else UNDATED
