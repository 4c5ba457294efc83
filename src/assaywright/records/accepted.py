"""What an authorised person has let pass, brought to the outcomes that it concerns."""

from collections.abc import Iterator
from dataclasses import replace

from assaywright.assay.accepted import AcceptedIrregularity, with_accepted
from assaywright.assay.evaluate_lot import LotOutcome
from assaywright.assay.result import ChainLink
from assaywright.records import days
from assaywright.records.behind import ROLES, with_remarks_behind
from assaywright.records.models import AcceptedRemark, Assay, Person
from assaywright.records.toml_text import day_text
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
    told = replace(outcome, remarks=(*outcome.remarks, *unchecked_remarks(worksheets)))
    found = with_accepted(told, accepted_of(outcome.lot.identity, *worksheets))
    return replace(found, accepted=tuple(dict.fromkeys((*found.accepted, *_let_pass_below(found)))))


def _let_pass_below(outcome: LotOutcome) -> Iterator[AcceptedIrregularity]:
    """Yield what was let pass of standardisations, as far as their values enter the lot's results."""
    entering = {name for one in outcome.outcomes for name in _results_of(one.chain)}
    for assay in Assay.objects.filter(pk__in=entering).order_by("pk"):
        for role in ROLES:
            for one in assay.content.get(role, {}).get("accepted", ()):
                if one["worksheet"] in entering:
                    yield AcceptedIrregularity(one["kind"], f"worksheet {one['worksheet']}", one["what"],
                                               one["reason"], one["by"], one["function"], day_text(one["day"]))


def _results_of(link: ChainLink) -> Iterator[str]:
    if link.kind == "result":
        yield link.identity
    for below in link.rests_on:
        yield from _results_of(below)


def worksheets_of(outcome: LotOutcome) -> list[str]:
    """Return the numbers of the worksheets that a lot's characteristics were assayed by."""
    return [one.worksheet.identity for one in outcome.outcomes]


def _as_said(row: AcceptedRemark, person: Person | None) -> AcceptedIrregularity:
    function = str(person.content.get("function", "")) if person else ""
    return AcceptedIrregularity(row.kind, row.place, row.what, row.reason, person.name if person else row.by, function,
                                days.local(row.at).date().isoformat())
