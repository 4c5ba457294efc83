"""What an authorised person has let pass, brought to the outcomes that it concerns."""

from dataclasses import replace

from assaywright.assay.accepted import AcceptedIrregularity, with_accepted
from assaywright.assay.evaluate_lot import LotOutcome
from assaywright.records import days
from assaywright.records.behind import with_remarks_behind
from assaywright.records.models import AcceptedRemark, Person
from assaywright.records.set_aside import set_aside_remarks
from assaywright.records.unchecked import unchecked_remarks


def accepted_of(*subjects: str) -> tuple[AcceptedIrregularity, ...]:
    """Return what was accepted for worksheets and lots, by their numbers, in the order in which it was accepted."""
    people = {one.identity: one for one in Person.objects.all()}
    found = AcceptedRemark.objects.filter(subject__in=subjects).order_by("id")
    return tuple(_as_said(one, people.get(one.by)) for one in found)


def with_what_was_accepted(outcome: LotOutcome) -> LotOutcome:
    """Return a lot's outcome with what was accepted for the lot, its worksheets, and whatever enters their results."""
    outcome = with_remarks_behind(outcome)
    worksheets = worksheets_of(outcome)
    behind = (*unchecked_remarks(worksheets), *set_aside_remarks(worksheets))
    told = replace(outcome, remarks=(*outcome.remarks, *behind))
    found = with_accepted(told, accepted_of(outcome.lot.identity, *worksheets))
    return replace(found, accepted=tuple(dict.fromkeys((*found.accepted, *outcome.accepted))))


def worksheets_of(outcome: LotOutcome) -> list[str]:
    """Return the numbers of the worksheets that a lot's characteristics were assayed by."""
    return [one.worksheet.identity for one in outcome.outcomes]


def _as_said(row: AcceptedRemark, person: Person | None) -> AcceptedIrregularity:
    function = str(person.content.get("function", "")) if person else ""
    return AcceptedIrregularity(row.kind, row.place, row.what, row.reason, person.name if person else row.by, function,
                                days.local(row.at).date().isoformat())
