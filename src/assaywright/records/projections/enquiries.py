"""What follows from enquiries and the replies to them."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import Enquiry, Event
from assaywright.records.models.enquiries import ANSWERED, WITHDRAWN
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows

COLUMNS = ("about", "certificate", "asked_by", "received")


@follows("enquiry.opened")
def _opened(event: Event, payload: dict[str, Any]) -> None:
    rows(Enquiry).create(
        identity=event.subject, version=event.number, **{name: payload[name] for name in COLUMNS},
        body=canonical({"of": payload["of"], "characteristic": payload["characteristic"], "taken_down_by": event.by,
                        **payload["fields"]}))


@follows("enquiry.replied")
def _replied(event: Event, payload: dict[str, Any]) -> None:
    content = _content(event)
    reply = {"text": payload["reply"], "by": event.by, "on": payload["on"], "event": event.number}
    rows(Enquiry).filter(pk=event.subject).update(
        version=event.number, state=ANSWERED, answered=payload["on"],
        body=canonical({**content, "replies": [*content.get("replies", ()), reply]}))


@follows("enquiry.withdrawn")
def _withdrawn(event: Event, payload: dict[str, Any]) -> None:
    content = _content(event)
    rows(Enquiry).filter(pk=event.subject).update(
        version=event.number, state=WITHDRAWN,
        body=canonical({**content, "withdrawn_by": event.by, "withdrawn_because": event.reason}))


def _content(event: Event) -> dict[str, Any]:
    found = rows(Enquiry).filter(pk=event.subject).first()
    if found is None:
        raise LookupError(f"event {event.number}: there is no enquiry {event.subject}")
    content: dict[str, Any] = found.content
    return content
