"""What follows from what is typed at the bench, field by field."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import Confirmed, Event, KeptReading
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows


@follows("reading.kept")
def _kept(event: Event, payload: dict[str, Any]) -> None:
    found = rows(KeptReading).filter(assay=event.subject, place=payload["place"], name=payload["name"])
    row = found.first()
    said = {"text": payload["text"], "by": event.by, "at": event.recorded_at, "version": event.number}
    if row is None:
        rows(KeptReading).create(id=event.number, assay=event.subject, place=payload["place"], name=payload["name"],
                                 body=canonical({"before": []}), **said)
        return
    if payload.get("late"):  # typed earlier than what stands there, and sent later: kept beside it
        late = [payload["text"], event.by, event.recorded_at, event.number]
        found.update(body=canonical({"before": [*row.content["before"], late]}))
        return
    before = [*row.content["before"], [row.text, row.by, row.at, row.version]]
    found.update(body=canonical({"before": before}), **said)


@follows("question.confirmed")
def _confirmed(event: Event, payload: dict[str, Any]) -> None:
    rows(Confirmed).create(
        id=event.number, assay=event.subject, by=event.by, at=event.recorded_at, version=event.number,
        **{key: payload[key] for key in ("place", "name", "text", "code", "question")})


@follows("bench.checked")
def _checked(event: Event, payload: dict[str, Any]) -> None:
    """Nothing follows for the tables: the event itself tells who went through which checks."""
