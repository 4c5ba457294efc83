"""How titrants have drifted by the results on record of their standardisations, and what falls due by that.

Nothing is evaluated here: each reviewed standardisation counts with the result that its signature binds, as it was
stored with its contributions. What follows from them is worked out once for each state of a solution.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import connection
from django.db.models import Count

from assaywright.assay.drift import Allowed, Drift, Standardised, drift_of, written_chance, written_change, written_fit
from assaywright.assay.reading.dates import read_day
from assaywright.assay.wording import written_degrees_of_freedom, written_number
from assaywright.metrology.estimate import Estimate, from_record, influence
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import report
from assaywright.metrology.typed import read_quantity
from assaywright.records.models import AcceptedRemark, Assay, Result, Solution
from assaywright.records.models.assays import REVIEWED, VOID
from assaywright.records.models.equipment import IN_USE
from assaywright.records.titrants import LIMITS, certified_facts

USUAL_CHANGE_PERCENT = "0.2"  # common practice, no source: what certificates of titrants promise
MOST_KEPT = 2000
MOST_RANKED = 500
BY_DRIFT, BY_DATE = "by its drift", "by its date"

_KEPT: dict[str, tuple[tuple[Any, ...], Drift]] = {}


@dataclass(frozen=True)
class Point:
    """A standardisation that counts, as printed, and what the line says of its day."""

    day: date
    worksheet: str
    found: str
    uncertainty: str
    line: str


@dataclass(frozen=True)
class Standing:
    """How a solution in use stands: its drift as printed, and when it falls due.

    Fields:
        since_first, since_first_u: change since the first standardisation with its expanded uncertainty, in per cent.
        per_month, per_month_u: drift by the line in a month, in per cent.
        due, by: the earlier of the predicted day and the date on the label, and which of them it is.
        days: from today to that day; below nought when it is past. None where neither is known.
        deviation: of the last control titration from the value in force, in per cent.
        lots: how many lots were titrated with it.
        change: largest change allowed since the value in force was found, in per cent.
        use_before: the date on the label, as typed.
    """

    drift: Drift
    since_first: str = ""
    since_first_u: str = ""
    per_month: str = ""
    per_month_u: str = ""
    due: date | None = None
    by: str = ""
    days: int | None = None
    deviation: str = ""
    lots: int = 0
    change: str = USUAL_CHANGE_PERCENT
    use_before: str = ""

    @property
    def points(self) -> tuple[Point, ...]:
        """The standardisations that count."""
        found = self.drift.found
        return tuple(_point(self.drift, one, (one.day - found[0].day).days) for one in found)

    @property
    def last(self) -> date | None:
        """The day on which the value in force was found."""
        return self.drift.found[-1].day if self.drift.found else None

    @property
    def carried(self) -> date | None:
        """The day to which the standardisations carry a prediction; None where a line does not go through them."""
        return self.drift.carried_until if self.drift.bounds else None

    @property
    def slope_t(self) -> str:
        """The slope over its standard uncertainty, as printed."""
        return written_number(f"{self.drift.line.slope_t:.2f}") if self.drift.line else ""

    @property
    def slope_degrees(self) -> str:
        """The degrees of freedom of the slope, as printed."""
        line = self.drift.line
        return written_degrees_of_freedom(line.degrees_of_freedom(line.slope)) if line else ""

    @property
    def fit(self) -> str:
        """How well a straight line fits, where one does, in words; empty without one, and where it is said why not."""
        return written_fit(self.drift.line) if self.drift.line and self.drift.line.fits else ""

    @property
    def slope_chance(self) -> str:
        """How often a slope of this size comes by chance, in per cent."""
        return written_chance(self.drift.line.slope_probability) if self.drift.line else ""

    @property
    def size(self) -> float | None:
        """Size of the drift since the first standardisation [%]; None where there is none."""
        return abs(self.drift.since_first.value) if self.drift.since_first else None

    @property
    def predicted(self) -> date | None:
        """The last day on which it holds by its drift; None where the data foretell no day."""
        return self.drift.until if self.drift.meets else None

    @property
    def at_least(self) -> date | None:
        """The day to which the data carry, where nothing is met until then."""
        return None if self.drift.meets else self.drift.until

    @property
    def said(self) -> str:
        """How long there is still, in words; empty where no day is known."""
        if self.days is None:
            return ""
        number = abs(self.days)
        length = f"{number} day{'' if number == 1 else 's'}"
        return "last day today" if not self.days else f"{length} left" if self.days > 0 else f"overdue by {length}"


def standings_of(solutions: Sequence[Solution], today: date) -> dict[str, Standing]:
    """Return how solutions stand, by their numbers.

    Arguments:
        today: the laboratory's day.
    """
    numbers = [one.identity for one in solutions]
    drifts = drifts_of(solutions)
    lots = dict(Assay.objects.filter(in_burette__in=numbers, kind="assay").exclude(stage=VOID).values_list(
        "in_burette").annotate(Count("about", distinct=True)))
    return {one.identity: _standing(one, drifts[one.identity], lots.get(one.identity, 0), today) for one in solutions}


def _standing(solution: Solution, drift: Drift, lots: int, today: date) -> Standing:
    since, since_u = written_change(None, drift.since_first) if drift.since_first else ("", "")
    month, month_u = written_change(drift.line, drift.per_month) if drift.per_month else ("", "")
    ways = [(drift.until, BY_DRIFT)] if drift.until and drift.meets else []
    if solution.use_before:
        ways.append((read_day(solution.use_before, month_allowed=True), BY_DATE))
    due, by = min(ways, key=lambda one: one[0]) if ways else (None, "")
    deviation = written_number(str(solution.content.get("verified", {}).get("deviation_percent", "")))
    return Standing(drift, since, since_u, month, month_u, due, by, (due - today).days if due else None, deviation,
                    lots, largest_change(solution), solution.use_before)


def _point(drift: Drift, one: Standardised, after: float) -> Point:
    expanded = coverage_factor(one.found.degrees_of_freedom) * one.found.standard_uncertainty
    value, uncertainty = report(one.found.value, expanded) if expanded > 0 else (f"{one.found.value:.6g}", "")
    places = len(value.partition(".")[2])
    line = f"{drift.line.at(after).value:.{places}f}" if drift.line else ""
    return Point(one.day, one.worksheet, value, uncertainty, line)


def ranked_by(key: Callable[[Standing], Any], today: date) -> list[str]:
    """Return the numbers of the solutions in use, in the order of something of their standing; those without left out.

    Arguments:
        key: of a standing; None where it has nothing to be ranked by.
        today: the laboratory's day.
    """
    standings = standings_of(list(Solution.objects.filter(state=IN_USE).order_by("identity")[:MOST_RANKED]), today)
    ranked = [(value, number) for number, one in standings.items() if (value := key(one)) is not None]
    return [number for _, number in sorted(ranked)]


def largest_change(solution: Solution) -> str:
    """Return the largest change of a solution allowed [%], as text: that of its last control titration, or 0.2."""
    return str(solution.content.get("verified", {}).get("limit_percent", "") or USUAL_CHANGE_PERCENT)


def drifts_of(solutions: Sequence[Solution]) -> dict[str, Drift]:
    """Return the drift of solutions by their numbers; worked out anew where something of it has changed."""
    numbers = [one.identity for one in solutions]
    reviewed: dict[str, list[Assay]] = defaultdict(list)
    rows = Assay.objects.filter(about__in=numbers, kind="standardisation", stage=REVIEWED)
    for one in rows.only("identity", "about", "performed", "version").order_by("performed", "identity"):
        reviewed[one.about].append(one)
    sheets = [one.identity for ones in reviewed.values() for one in ones]
    last = dict(Result.objects.filter(assay__in=sheets).order_by("id").values_list("assay", "id"))
    let_pass: dict[str, list[int]] = defaultdict(list)
    for subject, key in AcceptedRemark.objects.filter(subject__in=sheets).order_by("id").values_list("subject", "id"):
        let_pass[subject].append(key)
    place = str(connection.settings_dict["NAME"])
    states: dict[str, tuple[Any, ...]] = {one.identity: (place, one.version, *(
        (each.identity, each.version, last.get(each.identity), *let_pass[each.identity])
        for each in reviewed[one.identity])) for one in solutions}
    known = {one: kept[1] for one, state in states.items() if (kept := _KEPT.get(one)) and kept[0] == state}
    changed = [one for one in solutions if one.identity not in known]
    results = Result.objects.in_bulk([last[each.identity] for solution in changed
                                      for each in reviewed[solution.identity] if each.identity in last])
    if len(_KEPT) + len(changed) > MOST_KEPT:
        _KEPT.clear()
    for solution in changed:
        number = solution.identity
        counting = [(each, results[last[each.identity]]) for each in reviewed[number] if each.identity in last]
        found = [_standardised(each, result) for each, result in counting
                 if result.releasable or let_pass[each.identity]]
        known[number] = drift_of(found, allowed_of(solution, found))
        _KEPT[number] = states[number], known[number]
    return known


def _standardised(assay: Assay, result: Result) -> Standardised:
    stored = result.content
    return Standardised(assay.identity, date.fromisoformat(assay.performed[:10]), _estimate(result, stored),
                        float(stored.get("reference_temperature_degC", 20.0)))


def _estimate(result: Result, stored: dict[str, Any]) -> Estimate:
    """Return what a result tells; one that was stored without its contributions shares nothing with others."""
    try:
        return from_record(stored["result"])
    except (KeyError, Refusal):
        return influence(f"result|{result.pk}", float(result.value), float(result.standard_uncertainty), result.unit)


def allowed_of(solution: Solution, found: Iterable[Standardised]) -> Allowed:
    """Return what a solution may do: its largest change, and its limits where the records state some for it.

    Arguments:
        found: its standardisations, in whose unit the limits are.
    """
    unit = next((one.found.unit for one in found), "")
    stated = certified_facts(solution).get(LIMITS, {})
    lower, upper = (_bound(stated.get(one), unit) for one in ("lower", "upper"))
    return Allowed(float(largest_change(solution)), lower, upper)


def _bound(text: Any, unit: str) -> float | None:
    """Return a limit in a unit; None where there is none, or where it cannot be held against that unit."""
    try:
        return float(read_quantity(str(text)).to(unit)) if text and unit else None
    except Refusal:
        return None
