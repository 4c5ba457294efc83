"""Irregular results: computed, remarked on, and held back until an authorised person records why they may go."""

from assaywright.actions.assays import has_worked_on
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.assay.accepted import NEVER_ACCEPTED
from assaywright.assay.evaluate_lot import LotOutcome, evaluate_lot
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark
from assaywright.records.accepted import accepted_of, worksheets_of
from assaywright.records.bridge import evaluate_assay, lot_file, open_by_path, rests_on
from assaywright.records.log import append
from assaywright.records.models import Assay, Event, Lot, Person
from assaywright.records.models.assays import IN_REVIEW, REVIEWED
from assaywright.records.models.lots import MADE, ON_HOLD, RELEASED
from assaywright.records.models.people import SIGNATORY

MEANING = "I have judged this irregularity, and answer for letting the result go in spite of it"


@repeatable
def remark_accept(*, subject: str, kind: str, where: str, what: str, reason: str, by: str, act: str = "") -> Event:
    """Accept one remark that holds a worksheet or a lot back, with the reason; the password has been asked for.

    The very remark is accepted, as it reads: once a figure in it changes, it is another one and holds again.

    Arguments:
        subject: number of the worksheet or lot.
        kind, where, what: of the remark.

    Raises:
        Refusal: nothing of that number is held back by it, it is of a kind that nobody may accept, it was accepted
            already, a worksheet behind it is not in review yet, it is of ``by``'s own work, no reason, or ``by`` may
            not.
    """
    reason = needed(reason, "the reason", "reason")
    may_accept(subject=subject, kind=kind, where=where, what=what, by=by)
    return append("remark.accepted", subject=subject, by=by, act=act, reason=reason,
                  payload={"kind": kind, "where": where, "what": what, "meaning": MEANING})


def may_accept(*, subject: str, kind: str, where: str, what: str, by: str) -> None:
    """Refuse what nobody may accept, or not this person, before the password is asked for.

    Raises:
        Refusal: as for :func:`remark_accept`.
    """
    person = demand(by, SIGNATORY)
    if kind in NEVER_ACCEPTED:
        raise Refusal(f"{NEVER_ACCEPTED[kind]} is never accepted", where=subject,
                      remedy="put the lot on hold and investigate, or correct what is wrong")
    worksheets, remarks = _held(subject)
    named = (kind, where, what)
    remark = next((one for one in remarks if one.holds and (one.kind, one.where, one.what) == named), None)
    if remark is None:
        raise Refusal(f"{subject} is not held back by that remark", where=subject,
                      remedy="reload the page and read the remarks as they are now")
    if any(one.is_of(remark) for one in accepted_of(subject, *worksheets)):
        raise Refusal("that irregularity is accepted already", where=subject, remedy="look at its history")
    _look_at(worksheets, person)


def _held(subject: str) -> tuple[list[str], tuple[Remark, ...]]:
    """Return the worksheets that something rests on directly, and its remarks as they are now."""
    assay = Assay.objects.filter(pk=subject).first()
    if assay is not None:
        return [subject], evaluate_assay(assay).remarks
    lot = Refusal.unless(Lot.objects.filter(pk=subject).first(), f"there is no worksheet and no lot {subject}",
                         where="number", remedy="choose one from the list")
    if lot.state not in (MADE, RELEASED):
        raise Refusal(f"the lot {subject} is {lot.state}", where=f"lot {subject}",
                      remedy="conclude the investigation first" if lot.state == ON_HOLD else "look at its history")
    outcome: LotOutcome = evaluate_lot(lot_file(lot, whole=False), open_by_path)
    return worksheets_of(outcome), outcome.remarks


def _look_at(worksheets: list[str], person: Person) -> None:
    """Refuse what is still being titrated, and own work: of the worksheets, or of a standardisation below them."""
    for assay in Assay.objects.filter(pk__in=worksheets):
        if assay.stage not in (IN_REVIEW, REVIEWED):
            raise Refusal(f"{assay.identity} is {assay.stage}", where=assay.identity,
                          remedy="let it be sent to review first: what is corrected there may do away with the remark")
    for assay in _all_below(worksheets):
        if has_worked_on(person, assay):
            raise Refusal(f"{person.name} has worked on {assay.identity}", where=assay.identity,
                          remedy="let another authorised signatory judge it: nobody accepts their own irregularity")


def _all_below(worksheets: list[str]) -> list[Assay]:
    found: dict[str, Assay] = {}
    waiting = worksheets
    while waiting:
        layer = list(Assay.objects.filter(pk__in=waiting))
        found.update((one.identity, one) for one in layer)
        waiting = [one for assay in layer for one in rests_on(assay) if one not in found]
    return list(found.values())
