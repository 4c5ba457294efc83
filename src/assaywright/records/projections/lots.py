"""What follows for lots, bottles, samples, entered characteristics and investigations."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import Bottle, EnteredCharacteristic, Event, Investigation, Lot, Sample
from assaywright.records.models.lots import MADE, ON_HOLD, RECALLED, REJECTED, RELEASED
from assaywright.records.projections.certificates import withdraw
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows
from assaywright.records.toml_text import day_text

OPEN = "open"
RETEST = "retest authorised"
CONCLUDED = "concluded"


@follows("lot.made")
def _made(event: Event, payload: dict[str, Any]) -> None:
    table = payload["table"]
    rows(Lot).create(
        identity=event.subject, product=table["product"], made=day_text(table.get("made")),
        use_before=day_text(table.get("use_before")), version=event.number,
        body=canonical({**table, "quantity": payload.get("quantity", ""),
                        **({"edition": payload["edition"]} if "edition" in payload else {})}))


@follows("lot.respecified")
def _respecified(event: Event, payload: dict[str, Any]) -> None:
    found = rows(Lot).filter(pk=event.subject).first()
    if found is None:
        raise LookupError(f"event {event.number}: there is no lot {event.subject}")
    rows(Lot).filter(pk=event.subject).update(
        version=event.number, body=canonical({**found.content, "edition": payload["edition"]}))


@follows("lot.amended")
def _amended(event: Event, payload: dict[str, Any]) -> None:
    found = rows(Lot).filter(pk=event.subject).first()
    if found is None:
        raise LookupError(f"event {event.number}: there is no lot {event.subject}")
    content = {**found.content, **payload["heading"]}
    rows(Lot).filter(pk=event.subject).update(
        made=day_text(content.get("made")), use_before=day_text(content.get("use_before")), version=event.number,
        body=canonical(content))


@follows("lot.sampled")
def _sampled(event: Event, payload: dict[str, Any]) -> None:
    rows(Sample).create(
        id=event.number, lot=event.subject, taken=payload["taken"], retained_until=payload.get("retained_until", ""),
        version=event.number, body=canonical(payload))
    _touch(event)


@follows("bottle.opened")
def _opened(event: Event, payload: dict[str, Any]) -> None:
    rows(Bottle).create(identity=event.subject, lot=payload["lot"], opened=payload["opened"],
                          version=event.number, body=canonical(payload))


@follows("characteristic.entered")
def _entered(event: Event, payload: dict[str, Any]) -> None:
    """A retest says what it is one of; what came in with its lot waits for a second person as well.

    In records of earlier versions it counted as checked by whoever brought it in, and goes on doing so.
    """
    more: dict[str, Any] = {key: payload[key] for key in ("retest_of_entry", "imported", "to_check") if key in payload}
    if payload.get("imported") and not payload.get("to_check"):
        more["checked_by"] = event.by
    rows(EnteredCharacteristic).create(
        id=event.number, lot=event.subject, name=payload["table"]["name"], by=event.by, version=event.number,
        body=canonical({**payload["table"], **more}))
    _touch(event)


@follows("characteristic.checked")
def _checked(event: Event, payload: dict[str, Any]) -> None:
    for key in payload["entries"]:
        found = rows(EnteredCharacteristic).filter(pk=key).first()
        if found is None:
            raise LookupError(f"event {event.number}: there is no entry {key}")
        rows(EnteredCharacteristic).filter(pk=key).update(
            version=event.number, body=canonical({**found.content, "checked_by": event.by}))
    _touch(event)


@follows("lot.held")
def _held(event: Event, payload: dict[str, Any]) -> None:
    rows(Investigation).create(id=event.number, lot=event.subject, stage=OPEN, version=event.number,
                                 body=canonical({"reason": event.reason, **payload}))
    _touch(event, ON_HOLD)


@follows("retest.authorised")
def _retest(event: Event, payload: dict[str, Any]) -> None:
    _further(event, RETEST, {"checks": payload["checks"], "plan": payload["plan"], "authorised_by": event.by})
    _touch(event)


@follows("investigation.concluded")
def _concluded(event: Event, payload: dict[str, Any]) -> None:
    told: dict[str, Any] = {key: payload[key] for key in ("verdict", "set_aside", "stands", "checks") if key in payload}
    _further(event, CONCLUDED, {"conclusion": payload["conclusion"], "concluded_by": event.by, **told})
    _touch(event, MADE)


def _further(event: Event, stage: str, more: dict[str, Any]) -> None:
    investigation = rows(Investigation).filter(lot=event.subject).order_by("id").last()
    if investigation is None:
        raise LookupError(f"event {event.number}: no investigation of {event.subject} is open")
    rows(Investigation).filter(pk=investigation.pk).update(
        stage=stage, version=event.number, body=canonical({**investigation.content, **more}))


@follows("lot.released")
def _released(event: Event, payload: dict[str, Any]) -> None:
    _touch(event, RELEASED)


@follows("lot.rejected")
def _rejected(event: Event, payload: dict[str, Any]) -> None:
    _touch(event, REJECTED)


@follows("lot.recalled")
def _recalled(event: Event, payload: dict[str, Any]) -> None:
    for number in payload["certificates"]:
        withdraw(number, event, f"lot recalled: {event.reason}")
    _touch(event, RECALLED)


def _touch(event: Event, state: str = "") -> None:
    """Give the lot the event's number as its version, and a new state where there is one."""
    rows(Lot).filter(pk=event.subject).update(version=event.number, **({"state": state} if state else {}))
