"""At the burette and at the reviewer's desk: begun, recorded, corrected, excluded, sent, sent back, signed."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from assaywright.actions.asked_about import ask_about_others, check_masses
from assaywright.actions.equipment import WORKERS
from assaywright.actions.names import number
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed, past_day
from assaywright.actions.repeated import repeatable
from assaywright.actions.retests import authorisation, concluded_before, said_of_retest
from assaywright.actions.set_aside import as_not_sent_before, held_by, left_payload
from assaywright.actions.temperatures import demand_taken
from assaywright.actions.unsettled import signed_content, unsettle_above
from assaywright.assay.result import Outcome
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import determinations_of, evaluate_assay, evaluate_with, worksheet_bytes
from assaywright.records.log import append
from assaywright.records.models import Assay, Determination, Event, Person
from assaywright.records.models.assays import IN_REVIEW, REVIEWED, VOID
from assaywright.records.models.people import REVIEWER, SIGNATORY
from assaywright.records.readings import blank_to_come
from assaywright.records.toml_text import day_text

DAY = len("2026-11-30")
CLOSED = {IN_REVIEW: "let the reviewer send it back first",
          REVIEWED: "let a reviewer or an authorised signatory reopen it, with the reason",
          VOID: "begin another worksheet"}
REVIEWED_MEANING = "I have checked the raw data, the working and the remarks, and agree with the result"


@repeatable
def assay_begin(
    *, heading: dict[str, Any], about: str, rests_on: list[str], by: str, act: str = "",
    path: str = "",
) -> Event:
    """Begin an assay or a standardisation.

    Arguments:
        heading: a worksheet's tables without the determinations; ``id`` and ``performed`` among them.
        about: number of the lot or of the solution.
        rests_on: numbers of the standardisations that the heading names by their paths.

    Raises:
        Refusal: the number is taken, a standardisation is unknown, or ``by`` may not.
    """
    demand(by, *WORKERS)
    identity = number(str(heading.get("id", "")), "the worksheet's number", "number", among=Assay)
    heading = {**heading, "id": identity}
    _check_free(identity)
    _check_known(rests_on)
    if performed := day_text(heading.get("performed"))[:DAY]:
        past_day(performed, "performed")
    payload: dict[str, Any] = {
        "heading": heading, "about": about, "rests_on": rests_on, "path": path or f"{identity}.toml"}
    if (before := concluded_before(about, str(heading.get("method", "")), str(heading.get("kind", "")))) is not None:
        authorised = authorisation(about, str(heading["method"]), before)
        note = f"{heading.get('note', '')}; {said_of_retest(before, authorised)}".removeprefix("; ")
        payload |= {"authorised": authorised.number, "retest_of": before.identity, "heading": {**heading, "note": note}}
    return append("assay.begun", subject=identity, by=by, act=act, payload=payload)


@repeatable
def assay_amend(
    *, identity: str, heading: dict[str, Any], rests_on: list[str], by: str, reason: str, expected: int | None = None,
    act: str = "",
) -> Event:
    """Correct the heading of an assay; what changed stands in the event, field by field, before and after.

    Raises:
        Refusal: no such assay open, it would be another worksheet then, no evaluation takes a temperature of its
            blank or dilution, the day has not come, no reason, somebody else changed it, or ``by`` may not.
    """
    from assaywright.actions.heading_correction import changes

    demand(by, *WORKERS)
    assay = open_assay(identity)
    _check_same(assay.content, heading)
    _check_known(rests_on)
    demand_taken(heading, [fields for _, fields in determinations_of(assay)], assay.path)
    past_day(day_text(heading.get("performed"))[:DAY], "performed")
    changed = _as_first_sent(act, "changes", changes(assay.content, heading))
    return append("assay.amended", subject=identity, by=by, act=act, expected=expected, seen=assay.version,
                  reason=needed(reason, "the reason", "reason"),
                  payload={"heading": heading, "rests_on": rests_on, "changes": changed})


@repeatable
def determination_record(
    *, identity: str, fields: dict[str, Any], by: str, place: int | None = None, own: bool = False,
    looked_at: int | None = None, act: str = "",
) -> Event:
    """Record a determination, as typed; somebody else than the worksheet's analyst is named in it.

    Arguments:
        fields: of one [[determination]] of a worksheet, each as text with its unit.
        place: its number; the next free one by default. A taken one is refused, so that two people's entries both
            stay.
        own: whether readings that another determination of the worksheet has as well are readings of their own.
        looked_at: version of the worksheet as the page showed it; what was recorded since is asked about.

    Raises:
        Refusal: the assay is not open, the number is taken, a reading cannot be, another determination has the same
            readings, one was recorded since the page was shown, or ``by`` may not.
    """
    person = demand(by, *WORKERS)
    assay = open_assay(identity)
    taken = set(Determination.objects.filter(assay=identity).values_list("place", flat=True))
    sent_before = Event.objects.filter(act=act, subject=identity, kind="determination.recorded").first()
    if sent_before is not None:
        place = int(json.loads(sent_before.payload)["place"])
    place = place or max(taken, default=0) + 1
    if place in taken and sent_before is None:
        raise Refusal(f"determination {place} is on record already", where=identity,
                      remedy="record this one under the next number, or correct that one")
    if not fields.get("analyst") and person.name.casefold() != assay.analyst.casefold():
        fields = {**fields, "analyst": person.name}
    check_determination(assay, fields, place)
    if sent_before is None:
        ask_about_others(assay, fields, own=own, looked_at=looked_at)
    return append("determination.recorded", subject=identity, by=by, act=act,
                  payload={"place": place, "fields": fields, **({"own_readings": True} if own else {})})


@repeatable
def determination_correct(
    *, identity: str, place: int, fields: dict[str, Any], by: str, reason: str, confirmed: Sequence[str] = (),
    unanswered: Sequence[str] = (), expected: int | None = None, act: str = "",
) -> Event:
    """Correct a determination: the old readings stay on record beside the new, with the reason.

    Arguments:
        confirmed: what was asked of the new reading and answered with "it is so".
        unanswered: what there is to ask of it and nobody has answered.

    Raises:
        Refusal: no such determination, no reason, a reading cannot be, somebody else changed it, or ``by`` may not.
    """
    demand(by, *WORKERS)
    assay, row = open_assay(identity), _determination(identity, place)
    check_determination(assay, fields, place)
    return append("determination.corrected", subject=identity, by=by, act=act, expected=expected, seen=row.version,
                  reason=needed(reason, "the reason", "reason"),
                  payload={"place": place, "fields": fields, "before": _as_first_sent(act, "before", row.content),
                           **({"confirmed": list(confirmed)} if confirmed else {}),
                           **({"unanswered": list(unanswered)} if unanswered else {})})


@repeatable
def determination_exclude(
    *, identity: str, place: int, by: str, reason: str, expected: int | None = None, act: str = ""
) -> Event:
    """Leave a determination out of the mean, with a reason; it stays on record and on the worksheet.

    Raises:
        Refusal: no such determination, excluded already, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    open_assay(identity)
    row = _determination(identity, place)
    if row.excluded:
        raise Refusal(f"determination {place} is excluded already", where=identity, remedy="look at the worksheet")
    return append("determination.excluded", subject=identity, by=by, act=act, expected=expected, seen=row.version,
                  reason=needed(reason, "the reason", "reason"), payload={"place": place})


@repeatable
def determination_readmit(*, identity: str, place: int, by: str, reason: str, act: str = "") -> Event:
    """Take an excluded determination back into the mean.

    Raises:
        Refusal: it is not excluded, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    open_assay(identity)
    if not _determination(identity, place).excluded:
        raise Refusal(f"determination {place} is not excluded", where=identity, remedy="look at the worksheet")
    return append("determination.readmitted", subject=identity, by=by, act=act, payload={"place": place},
                  reason=needed(reason, "the reason", "reason"))


@repeatable
def assay_send(
    *, identity: str, by: str, left: Mapping[int, str] | None = None, expected: int | None = None, act: str = ""
) -> Event:
    """Send an assay to review, with its result as it is now, and what was typed at the bench and is not on record.

    Arguments:
        left: why a determination that is not on record does not count, by its number; 0 for the blank.

    Raises:
        Refusal: it cannot be evaluated yet, a determination holds all its readings and is neither on record nor set
            aside with a reason, it is not open, somebody else changed it, or ``by`` may not.
    """
    demand(by, *WORKERS)
    assay = open_assay(identity)
    said = left_payload(assay, left or {}, by)
    result = result_payload(assay, as_not_sent_before(assay, evaluate_assay(assay)))
    return append("assay.sent", subject=identity, by=by, act=act, expected=expected, seen=assay.version,
                  payload={**result, **held_by(said, result), **said})


@repeatable
def assay_return(*, identity: str, by: str, reason: str, expected: int | None = None, act: str = "") -> Event:
    """Send an assay back to who titrated it, with the reason.

    Raises:
        Refusal: it is not in review, no reason, own work, or ``by`` may not.
    """
    assay = _for_review(identity, by)
    return append("assay.returned", subject=identity, by=by, act=act, expected=expected, seen=assay.version,
                  reason=needed(reason, "the reason", "reason"), payload={})


@repeatable
def assay_review(*, identity: str, by: str, worksheet_sha256: str, act: str = "") -> Event:
    """Sign an assay as reviewer; whoever calls this has asked for the password again.

    The signature binds the worksheet, the result as printed, and all worksheets that it rests on. What rests on this
    one and is printed otherwise now comes back to be reviewed anew.

    Arguments:
        worksheet_sha256: of the worksheet that the reviewer looked at.

    Raises:
        Refusal: it is not in review, own work, it or what it rests on changed meanwhile, or ``by`` may not.
    """
    assay = _for_review(identity, by)
    if worksheet_sha256 != sha256_of(assay):
        raise Refusal("the worksheet is not the one that lay open here", where=identity, remedy="look at it once more")
    with transaction.atomic():
        event = append("assay.reviewed", subject=identity, by=by, act=act, payload={
            "meaning": REVIEWED_MEANING, "worksheet_sha256": worksheet_sha256, **signed_content(assay)})
        unsettle_above(event)
    return event


def may_work(by: str) -> None:
    """Refuse whoever may not titrate, before a form is looked at.

    Raises:
        Refusal: ``by`` may not.
    """
    demand(by, *WORKERS)


def may_review(identity: str, by: str) -> None:
    """Refuse whoever may not review an assay, before the password is asked for.

    Raises:
        Refusal: it is not in review, own work, or ``by`` may not.
    """
    if assay_of_number(identity).stage == IN_REVIEW:
        _for_review(identity, by)


# --- what they share --------------------------------------------------------------------------------------------------


def sha256_of(assay: Assay) -> str:
    """Return the hash of an assay's worksheet [hexadecimal]."""
    return hashlib.sha256(worksheet_bytes(assay)).hexdigest()


def result_payload(assay: Assay, outcome: Outcome) -> dict[str, Any]:
    """Return an outcome as an event keeps it: printed figures, the sparse form, and what it can be had again from."""
    from assaywright import __version__
    from assaywright.assay.stored import store

    estimate = outcome.result.estimate
    return {
        "measurand": outcome.result.measurand, "value": repr(estimate.value), "unit": estimate.unit,
        "standard_uncertainty": repr(estimate.standard_uncertainty),
        "expanded_uncertainty": repr(outcome.result.expanded_uncertainty), "releasable": outcome.releasable,
        "worksheet_sha256": sha256_of(assay), "software": __version__, "stored": store(outcome),
    }


def check_determination(assay: Assay, fields: dict[str, Any], place: int) -> None:
    """Refuse readings that a worksheet would refuse, before they are recorded.

    Raises:
        Refusal: with the field in its place.
    """
    from assaywright.assay.worksheet import FORMAT, parse_worksheet
    from assaywright.records.toml_text import toml_text

    check_masses(assay, fields, place)
    whole = {"format": FORMAT, **blank_to_come(assay), **assay.content, "determination": [fields]}
    try:
        parse_worksheet(toml_text(whole).encode(), assay.path)
    except Refusal as refusal:
        where = refusal.where.removeprefix(f"{assay.path}: ").replace("determination 1", f"determination {place}")
        raise Refusal(refusal.what, where=where, remedy=refusal.remedy) from refusal
    _check_temperatures(assay, fields, place)


def _check_temperatures(assay: Assay, fields: dict[str, Any], place: int) -> None:
    """Refuse a temperature that no evaluation would take; what else it cannot do yet is told when it is done."""
    if not any("temperature" in key and value for key, value in fields.items()):
        return
    try:
        evaluate_with(assay, fields, place)
    except Refusal as refusal:
        its_own = f"determination {place}, "
        if its_own in refusal.where and "temperature" in refusal.where:
            raise Refusal(refusal.what, where=f"determination {place}, {refusal.where.split(its_own)[-1]}",
                          remedy=refusal.remedy) from refusal


def open_assay(identity: str) -> Assay:
    """Return an assay that is still being titrated, or was sent back.

    Raises:
        Refusal: there is none, or it is in review or reviewed.
    """
    assay = assay_of_number(identity)
    if assay.stage in CLOSED:
        raise Refusal(f"{identity} is {assay.stage}", where=identity, remedy=CLOSED[assay.stage])
    return assay


def assay_of_number(identity: str) -> Assay:
    """Return an assay or a standardisation.

    Raises:
        Refusal: there is none of that number.
    """
    return Refusal.unless(Assay.objects.filter(pk=identity).first(), f"there is no worksheet {identity}",
                          where="number", remedy="choose one from the list")


def _as_first_sent(act: str, key: str, now: Any) -> Any:
    """Return what an act said of the state before it, when it was sent first; else what it is now."""
    event = Event.objects.filter(act=act).first() if act else None
    return json.loads(event.payload).get(key, now) if event is not None else now


def _determination(identity: str, place: int) -> Determination:
    found = Determination.objects.filter(assay=identity, place=place).first()
    return Refusal.unless(found, f"there is no determination {place}", where=identity, remedy="record it first")


def _for_review(identity: str, by: str) -> Assay:
    person = demand(by, REVIEWER, SIGNATORY)
    assay = assay_of_number(identity)
    if assay.stage != IN_REVIEW:
        raise Refusal(f"{identity} is {assay.stage}, not in review", where=identity, remedy="wait until it is sent")
    if has_worked_on(person, assay):
        raise Refusal(f"{person.name} has worked on {identity}", where=identity,
                      remedy="let somebody else review it: nobody reviews their own work")
    return assay


def has_worked_on(person: Person, assay: Assay) -> bool:
    """Return whether somebody has typed, imported, corrected or sent anything of an assay, or is named as analyst."""
    rows = [one.content for one in Determination.objects.filter(assay=assay.identity)]
    names = {assay.analyst, *(str(one.get("analyst", "")) for one in (*rows, assay.content.get("blank", {})))}
    return (person.name.casefold() in {name.casefold() for name in names}
            or Event.objects.filter(subject=assay.identity, kind__in=WORK, by=person.identity).exists())


def worked_on(by: str, assay: Assay) -> bool:
    """Return whether somebody, by the name to sign in with, has worked on an assay."""
    person = Person.objects.filter(pk=by).first()
    return person is not None and has_worked_on(person, assay)


WORK = ("assay.begun", "assay.amended", "determination.recorded", "determination.corrected", "determination.excluded",
        "determination.readmitted", "assay.sent", "assay.imported", "reading.kept")


def _check_free(identity: str) -> None:
    if Assay.objects.filter(pk=identity).exists():
        raise Refusal(f"there is a worksheet {identity} already", where="number", remedy="give this one its own number")


def _check_same(before: dict[str, Any], after: dict[str, Any]) -> None:
    """Refuse a heading of another worksheet: of another number, kind, method, lot or solution."""
    def of(heading: dict[str, Any]) -> list[Any]:
        subject = heading.get("sample" if heading.get("kind") == "assay" else "titrant", {})
        return [heading.get("id"), heading.get("kind"), heading.get("method"), subject.get("lot")]

    if of(before) != of(after):
        raise Refusal("number, method and lot of a worksheet stay as they are", where=str(before.get("id", "")),
                      remedy="have this worksheet declared void, and begin another")


def _check_known(rests_on: list[str]) -> None:
    for one in rests_on:
        assay_of_number(one)


