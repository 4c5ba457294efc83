"""What follows for accepted irregularities and for what the accreditation covers."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import AcceptedRemark, Accreditation, Event
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows


@follows("remark.accepted")
def _accepted(event: Event, payload: dict[str, Any]) -> None:
    rows(AcceptedRemark).create(
        id=event.number, subject=event.subject, kind=payload["kind"], place=payload["where"], what=payload["what"],
        reason=event.reason, by=event.by, at=event.recorded_at, version=event.number,
        body=canonical({"meaning": payload["meaning"]}))


@follows("accreditation.stated")
def _stated(event: Event, payload: dict[str, Any]) -> None:
    rows(Accreditation).create(id=event.number, number=payload["number"], since=payload["since"], version=event.number,
                               body=canonical({"scope": payload["scope"], "covers": payload["covers"]}))
