"""A reviewed worksheet opened again, and one that counts for nothing: with the reason, and nothing is taken away."""

from assaywright.actions.assays import assay_of_number, has_worked_on, open_assay
from assaywright.actions.equipment import IN_CHARGE, WORKERS
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.records.limits import ever_outside
from assaywright.records.log import append
from assaywright.records.models import Assay, Determination, Event, Signature
from assaywright.records.models.assays import REVIEWED
from assaywright.records.models.people import REVIEWER, SIGNATORY
from assaywright.records.selectors.above import resting_on


@repeatable
def assay_reopen(*, identity: str, by: str, reason: str, expected: int | None = None, act: str = "") -> Event:
    """Open a reviewed assay or standardisation again, so that it is corrected, sent and reviewed anew.

    Every result on record stays. What rests on it, as known now, stands in the event.

    Raises:
        Refusal: it is not reviewed, own work, a lot was released or a certificate issued on it and ``by`` is no
            authorised signatory, no reason, somebody else changed it, or ``by`` may not.
    """
    person = demand(by, REVIEWER, SIGNATORY)
    assay = assay_of_number(identity)
    if assay.stage != REVIEWED:
        raise Refusal(f"{identity} is {assay.stage}, not reviewed", where=identity,
                      remedy="correct it as it is, or let the reviewer send it back")
    if has_worked_on(person, assay):
        raise Refusal(f"{person.name} has worked on {identity}", where=identity,
                      remedy="let somebody else reopen it: nobody reopens their own work")
    above = resting_on(assay)
    if above.released or above.certificates:
        demand(by, SIGNATORY)
    return append("assay.reopened", subject=identity, by=by, act=act, expected=expected, seen=assay.version,
                  reason=needed(reason, "the reason", "reason"), payload={
                      "worksheets": [one.identity for one in above.assays],
                      "released": [one.identity for one in above.released],
                      "certificates": [one.number for one in above.certificates]})


@repeatable
def assay_void(*, identity: str, by: str, reason: str, expected: int | None = None, act: str = "") -> Event:
    """Declare a worksheet void: it stays on record and in the lists, and counts for nothing.

    Raises:
        Refusal: it is in review, reviewed or void, it was reviewed once, its result lies or ever lay outside its
            limits, another worksheet rests on it, determinations are on record and ``by`` is not in charge or has
            titrated it, no reason, somebody else changed it, or ``by`` may not.
    """
    demand(by, *WORKERS)
    assay = open_assay(identity)
    if Determination.objects.filter(assay=identity).exists():
        _of_recorded(assay, by)
    above = resting_on(assay).assays
    if above:
        raise Refusal(f"{above[0].identity} rests on {identity}", where=identity,
                      remedy="choose another standardisation in its heading first")
    return append("assay.voided", subject=identity, by=by, act=act, expected=expected, seen=assay.version,
                  reason=needed(reason, "the reason", "reason"), payload={})


def _of_recorded(assay: Assay, by: str) -> None:
    """Refuse to void what has been titrated where that could hide a result, or where it is one's own."""
    person = demand(by, *IN_CHARGE)
    identity = assay.identity
    if has_worked_on(person, assay):
        raise Refusal(f"{person.name} has worked on {identity}", where=identity,
                      remedy="let somebody else in charge declare it void: nobody does so with their own titrations")
    if Signature.objects.filter(subject=identity).exists():
        raise Refusal(f"{identity} was reviewed once, and its result stays", where=identity,
                      remedy="correct what is wrong in it, and have it reviewed anew")
    if decided := ever_outside(assay):
        raise Refusal(f"the result of {identity}, as it is or was before something was corrected or left out, "
                      f"{_said(decided)}", where=identity,
                      remedy="put the lot on hold and investigate; a result outside its limits is never set aside by "
                             "declaring its worksheet void")


def _said(decided: str) -> str:
    return decided if decided.startswith("does") else f"is outside what can be proven ({decided})"
