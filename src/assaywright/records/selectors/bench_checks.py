"""What is gone through before the titrations: cautions, solutions and instruments in date, glass and burette ready."""

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from assaywright.assay.asked import DILUTED
from assaywright.assay.bench.uncalibrated import foreseen_outcome, tolerance_shares
from assaywright.assay.bench.until import through
from assaywright.assay.method import Method
from assaywright.records.bridge import open_by_path
from assaywright.records.models import Assay, Determination, Instrument, Material, Solution
from assaywright.records.models.equipment import IN_USE
from assaywright.records.readings import asked_of
from assaywright.records.selectors.assays import outcome_of
from assaywright.records.selectors.bench_known import found_before, with_limits
from assaywright.records.selectors.bench_live import nominal_content
from assaywright.records.toml_text import day_text
from assaywright.records.unchecked import Entry, is_of, unchecked

DAY = len("2026-11-30")
LEAST_TOLD = 0.01  # of a share
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
NOT_COMPARED = "nobody else has compared what was entered with its certificate yet"
PAST = "past its date on the day of the work"


@dataclass(frozen=True, slots=True)
class Check:
    """One line to go through before the titrations.

    Fields:
        words: what is gone through.
        attention: where what is on record speaks against it, what that is.
        instrument: number of the registered instrument that has no calibration on record, on whose page one is entered.
    """

    words: str
    attention: str = ""
    instrument: str = ""


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
    costs, waiting = _Costs(assay, method), unchecked()
    for table in (*heading.get("vessels", {}).values(), *heading.get("balances", {}).values(),
                  *heading.get("thermometers", {}).values()):
        yield _instrument(table, day, costs, waiting)
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


def _instrument(table: Mapping[str, Any], day: str, costs: "_Costs", waiting: Collection[Entry]) -> Check:
    """Return the line of an instrument: by the certificate that the worksheet states, which the result goes by.

    Arguments:
        waiting: calibrations that nobody has compared with their certificates yet.
    """
    identity = str(table.get("id", ""))
    row = Instrument.objects.filter(pk=identity).first()
    certificate = table.get("certificate")
    if not isinstance(certificate, Mapping):
        certificate = {}
    due = day_text(certificate.get("due"))
    words = f"{str(table.get('kind', '') or (row.kind if row else 'instrument')).capitalize()} {identity}"
    words += f", certificate {number}" if (number := str(certificate.get("id", ""))) else ""
    words += f", calibration valid {through(due)}" if due else ""
    if row is not None and row.state != IN_USE:
        return Check(words, f"it is {row.state}")
    if due:
        past = ["its calibration is overdue"] if day[:len(due)] > due else []
        waits = [NOT_COMPARED] if any(is_of(one, identity, table) for one in waiting) else []
        return Check(words, "; ".join([*past, *waits]))
    return Check(words, _undated(table, costs), identity if row is not None else "")


def _undated(table: Mapping[str, Any], costs: "_Costs") -> str:
    """Return what is said of an instrument without a calibration date: what stands in its place, at what cost."""
    if "corrections" in table or not ("class" in table or "tolerance" in table):
        return UNDATED
    instead = f"its {'class’s' if 'class' in table else 'stated'} tolerance is used"
    return f"{UNDATED}: {instead}{costs.of(str(table.get('id', '')))}"


class _Costs:
    """How much of a result's variance the tolerances of vessels make up, reckoned once where it is asked for."""

    def __init__(self, assay: Assay, method: Method) -> None:
        self.assay, self.method = assay, method

    @cached_property
    def shares(self) -> dict[str, float]:
        """Shares, 0 to 1, by number of the vessel: of what is titrated, else of what is expected."""
        found = outcome_of(self.assay)[0] if Determination.objects.filter(assay=self.assay.identity).exists() else None
        if found is None:
            nominal = nominal_content(self.assay) or found_before(self.assay).text
            found = foreseen_outcome(self.method, with_limits(self.assay.content, self.assay), nominal=nominal,
                                     opener=open_by_path)
        return tolerance_shares(found) if found is not None else {}

    def of(self, identity: str) -> str:
        """Return the share of one vessel in words; empty where it is not known."""
        share = self.shares.get(identity)
        if share is None:
            return ""
        told = f"about {100 * share:.0f} %" if share >= LEAST_TOLD else f"less than {100 * LEAST_TOLD:.0f} %"
        return f", {told} of the result’s variance"
