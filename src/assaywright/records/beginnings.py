"""Days before which nothing can have been titrated: a lot made or sampled, a solution prepared or standardised."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from assaywright.assay.wording import written_date
from assaywright.metrology.remarks import Remark, Severity
from assaywright.records import days
from assaywright.records.models import Assay, Determination, Event, Lot, Sample, Solution
from assaywright.records.toml_text import day_text

DAY = len("2026-11-30")
BEGUN = ("assay.begun", "assay.imported")
ROLES = ("titrant", "reagent", "against")
BEFORE_ITS_DAY = "titrated-before-its-day"


@dataclass(frozen=True, slots=True)
class Beginning:
    """A day before which a worksheet cannot have been titrated, and why: "lot 0941 was made".

    Fields:
        day: year-month-day.
        remarked: whether an evaluation remarks on it by itself.
        of_sample: whether it is of what is assayed, which a blank is titrated without.
    """

    day: str
    what: str
    remarked: bool = False
    of_sample: bool = False


def begun_on(assay: Assay) -> str:
    """Return the day on which a worksheet was begun, year-month-day: its own, or that on record where it is earlier."""
    event = Event.objects.filter(subject=assay.identity, kind__in=BEGUN).order_by("number").first()
    found = [assay.performed[:DAY], *([days.local(event.recorded_at).date().isoformat()] if event is not None else [])]
    return min(day for day in found if day)


def beginnings(assay: Assay) -> tuple[Beginning, ...]:
    """Return the days before which a worksheet cannot have been titrated, the worksheet's own first."""
    return (Beginning(begun_on(assay), "the worksheet was begun"), *_made(assay))


def early_remarks(assay: Assay) -> tuple[Remark, ...]:
    """Return a question for each thing that was made, sampled or prepared after it was titrated."""
    portions = min(_days_of(assay), default="")
    used = min(filter(None, (portions, day_text(assay.content.get("blank", {}).get("at"))[:DAY])), default="")
    return tuple(Remark(BEFORE_ITS_DAY, Severity.QUESTION,
                        f"{one.what} on {_told(one.day)}, and it was titrated on {_told(first)}", assay.path,
                        "correct the day that is wrong")
                 for one in _made(assay) if not one.remarked
                 and "" < (first := portions if one.of_sample else used) < one.day)


def _made(assay: Assay) -> Iterator[Beginning]:
    lot = Lot.objects.filter(pk=assay.about).first() if assay.kind == "assay" else None
    if lot is not None:
        yield from _whole_days(lot.made, f"lot {lot.identity} was made", of_sample=True)
        begun = Event.objects.filter(subject=assay.identity, kind__in=BEGUN).order_by("number").first()
        taken = Sample.objects.filter(lot=lot.identity, id__lt=begun.number if begun else 0).values_list(
            "taken", flat=True)
        yield from _whole_days(min(taken, default=""), f"the first sample of lot {lot.identity} was taken",
                               of_sample=True)
    for role in ROLES:
        if isinstance(table := assay.content.get(role), Mapping):
            yield from _of_solution(role, table)


def _of_solution(role: str, table: Mapping[str, object]) -> Iterator[Beginning]:
    number = str(table.get("lot", ""))
    row = Solution.objects.filter(pk=number).first() if number else None
    if row is not None:
        yield from _whole_days(str(row.content.get("prepared", "")), f"the {role} {number} was prepared")
    paths = table.get("worksheets")
    set_on = list(Assay.objects.filter(path__in=paths).values_list("performed", flat=True)) if isinstance(
        paths, list) else []
    yield from _whole_days(min(set_on, default="")[:DAY], f"the {role} {number} was first standardised", remarked=True)


def _whole_days(day: str, what: str, *, remarked: bool = False, of_sample: bool = False) -> Iterator[Beginning]:
    """Yield a beginning where its day is known; a month alone tells no day."""
    if len(day) == DAY:
        yield Beginning(day, what, remarked, of_sample)


def _days_of(assay: Assay) -> Iterator[str]:
    """Yield the days on which portions of a worksheet were titrated."""
    rows = [one.content for one in Determination.objects.filter(assay=assay.identity)]
    for moment in (assay.performed, *(day_text(one.get("at")) for one in rows)):
        if moment:
            yield moment[:DAY]


def _told(day: str) -> str:
    return written_date(date.fromisoformat(day))
