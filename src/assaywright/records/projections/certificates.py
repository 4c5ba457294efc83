"""What follows for certificates, attached files and imported histories."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import Attachment, Certificate, Event, HistoricResult, Signature
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows


@follows("certificate.issued", "certificate.amended")
def _issued(event: Event, payload: dict[str, Any]) -> None:
    rows(Certificate).create(
        number=event.subject, lot=payload["lot"], worksheet=payload.get("worksheet", ""),
        pdf_sha256=payload["pdf_sha256"], issued=event.recorded_at, version=event.number,
        body=canonical(payload))
    rows(Signature).create(
        id=event.number, subject=event.subject, by=event.by, meaning=payload["meaning"], sha256=payload["pdf_sha256"],
        at=event.recorded_at, version=event.number)
    if payload.get("supersedes"):
        rows(Certificate).filter(pk=payload["supersedes"]).update(superseded_by=event.subject, version=event.number)


@follows("certificate.withdrawn")
def _withdrawn(event: Event, payload: dict[str, Any]) -> None:
    withdraw(event.subject, event, event.reason)
    rows(Signature).create(
        id=event.number, subject=event.subject, by=event.by, meaning=payload["meaning"], sha256=payload["pdf_sha256"],
        at=event.recorded_at, version=event.number)


def withdraw(number: str, event: Event, because: str) -> None:
    """Mark a certificate as withdrawn, by whom, when and why; its bytes stay, and so does a withdrawal before."""
    found = rows(Certificate).filter(pk=number).first()
    if found is None:
        raise LookupError(f"event {event.number}: there is no certificate {number}")
    content = found.content
    content.setdefault("withdrawn", {"because": because, "by": event.by, "at": event.recorded_at,
                                     "event": event.number})
    rows(Certificate).filter(pk=number).update(version=event.number, body=canonical(content))


@follows("file.attached")
def _attached(event: Event, payload: dict[str, Any]) -> None:
    rows(Attachment).create(id=event.number, subject=event.subject, name=payload["name"], sha256=payload["sha256"],
                            size=payload["size"], version=event.number)


@follows("history.imported")
def _history(event: Event, payload: dict[str, Any]) -> None:
    rows(HistoricResult).bulk_create(
        HistoricResult(
            id=f"{event.number}-{row['row']}", source=event.subject, row=row["row"], lot=row.get("lot", ""),
            product=row.get("product", ""), performed=row.get("performed", ""), value=row["value"],
            unit=row["unit"], version=event.number, body=canonical(row))
        for row in payload["rows"])
