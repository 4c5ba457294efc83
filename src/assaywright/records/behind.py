"""What the records know of the solutions behind a worksheet that the worksheet itself does not say.

A control titration that found a titrant off casts doubt on what was titrated with it since it was last found right, and
on what rests on that, until it is standardised anew and the standardisation reviewed. Intermediate checks between
calibrations: ISO/IEC 17025:2017, 6.4.10; judging earlier results after a defect: 6.4.9.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from assaywright.assay.evaluate_lot import LotOutcome
from assaywright.assay.result import Outcome
from assaywright.assay.troubles import remark
from assaywright.assay.wording import written_date
from assaywright.metrology.remarks import Remark
from assaywright.records import days
from assaywright.records.models import Assay, Event, Lot, Solution
from assaywright.records.models.assays import REVIEWED, VOID

RESTANDARDISE = "restandardise"
RESTANDARDISE_FIRST = "restandardise first"
ROLES = ("titrant", "against", "reagent")
BEGUN = ("assay.begun", "assay.imported")


@dataclass(frozen=True, slots=True)
class Verification:
    """A control titration: number of its event, its day, what it found, and when the titrant was last found right."""

    number: int
    day: str
    deviation_percent: str
    last_accepted: str


def to_be_restandardised(solution: str) -> Verification | None:
    """Return the control titration that asks for a new standardisation, until that is done and reviewed."""
    told = [(event, json.loads(event.payload)) for event in
            Event.objects.filter(subject=solution, kind="solution.verified").order_by("number")]
    if not told or told[-1][1].get("verdict") != RESTANDARDISE:
        return None
    failed = next(index for index in range(len(told), 0, -1)
                  if index == 1 or told[index - 2][1].get("verdict") != RESTANDARDISE) - 1
    first, last = told[failed][0], told[-1][0]
    if _standardised_since(solution, last):
        return None
    accepted = _day(told[failed - 1][0]) if failed else ""
    return Verification(last.number, _day(first), str(told[-1][1].get("deviation_percent", "")), accepted)


def doubtful_solutions() -> frozenset[str]:
    """Return the numbers of the solutions that are to be restandardised first."""
    verified = Event.objects.filter(kind="solution.verified").values_list("subject", flat=True).distinct()
    return frozenset(one for one in verified if to_be_restandardised(one))


def _standardised_since(solution: str, verified: Event) -> bool:
    """Return whether a standardisation that was begun and performed after a verification is reviewed."""
    reviewed = Assay.objects.filter(kind="standardisation", about=solution, stage=REVIEWED,
                                    performed__gte=_day(verified)).values("identity")
    return Event.objects.filter(subject__in=reviewed, kind__in=BEGUN, number__gt=verified.number).exists()


def _day(event: Event) -> str:
    return days.local(event.recorded_at).date().isoformat()


def remarks_behind(numbers: Iterable[str]) -> tuple[Remark, ...]:
    """Return what the records know of the solutions in worksheets and in those that they rest on, as remarks."""
    found: list[Remark] = []
    for assay in _chain(list(numbers)):
        for solution in _solutions(assay):
            found += _of_solution(solution, assay)
    return tuple(dict.fromkeys(found))


def with_remarks_behind(outcome: LotOutcome) -> LotOutcome:
    """Return a lot's outcome with what the records know of the solutions behind it."""
    told = remarks_behind(one.worksheet.identity for one in outcome.outcomes)
    return replace(outcome, remarks=(*outcome.remarks, *told)) if told else outcome


def assay_with_remarks_behind(assay: Assay, outcome: Outcome) -> Outcome:
    """Return a worksheet's outcome with what the records know of its lot and of the solutions behind it."""
    made = Lot.objects.filter(pk=assay.about).values_list("made", flat=True).first() if assay.kind == "assay" else ""
    told = list(remarks_behind([assay.identity]))
    if made and assay.performed[: len(made)] < made:
        told.append(_too_early(f"lot {assay.about} was made", made, assay))
    return replace(outcome, remarks=(*outcome.remarks, *told)) if told else outcome


def _of_solution(solution: Solution, assay: Assay) -> list[Remark]:
    found, performed = [], assay.performed[: len("2026-11-30")]
    prepared = str(solution.content.get("prepared", ""))
    if prepared and performed < prepared:
        found.append(_too_early(f"{solution.name}, lot {solution.identity}, was prepared", prepared, assay))
    doubt = to_be_restandardised(solution.identity)
    if doubt is None or (doubt.last_accepted and performed < doubt.last_accepted):
        return found
    if assay.about == solution.identity and _begun(assay) > doubt.number:
        return found  # the standardisation that is to settle it
    found.append(remark(
        "titrant-to-be-restandardised",
        f"{solution.name}, lot {solution.identity}, was verified on {written_date(date.fromisoformat(doubt.day))} and "
        f"lies {doubt.deviation_percent} % off the value in force", f"worksheet {assay.identity}",
        "restandardise it, and have the standardisation reviewed"))
    return found


def _too_early(what: str, day: str, assay: Assay) -> Remark:
    performed = written_date(date.fromisoformat(assay.performed[: len("2026-11-30")]))
    made = written_date(date.fromisoformat(day))
    return remark("dates-out-of-order", f"{what} on {made}, and the {assay.kind} was performed on {performed}",
                  f"worksheet {assay.identity}", "correct the date that is wrong")


def _solutions(assay: Assay) -> list[Solution]:
    """Return the solutions that a worksheet names, that it standardises among them."""
    named = [str(table.get("lot", "")) for role in ROLES if isinstance(table := assay.content.get(role), dict)]
    return list(Solution.objects.filter(pk__in=[one for one in named if one]).order_by("identity"))


def _chain(numbers: list[str]) -> list[Assay]:
    """Return worksheets with those that they rest on, void ones left out."""
    found: dict[str, Assay] = {}
    waiting = numbers
    while waiting:
        layer = list(Assay.objects.filter(pk__in=waiting).exclude(stage=VOID).order_by("identity"))
        found |= {one.identity: one for one in layer}
        waiting = [below for one in layer for below in json.loads(one.rests_on) if below not in found]
    return list(found.values())


def _begun(assay: Assay) -> int:
    begun = Event.objects.filter(subject=assay.identity, kind__in=BEGUN).order_by("number").first()
    return begun.number if begun else 0
