"""What follows for instruments, reference materials, solutions and methods."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import Attachment, Calibration, Event, Instrument, Material, MethodEdition, Solution
from assaywright.records.models.equipment import WITHDRAWN
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows
from assaywright.records.toml_text import day_text


def _day(table: dict[str, Any], key: str) -> str:
    return day_text(table.get("certificate", {}).get(key))


@follows("instrument.registered", "instrument.calibrated")
def _instrument(event: Event, payload: dict[str, Any]) -> None:
    table = payload["table"]
    rows(Instrument).update_or_create(
        identity=event.subject,
        defaults={"kind": payload["kind"], "due": _day(table, "due"), "version": event.number,
                  "body": canonical(table)},
    )
    if "certificate" in table:
        rows(Calibration).create(
            id=event.number, instrument=event.subject, certificate=str(table["certificate"].get("id", "")),
            issued=_day(table, "issued"), due=_day(table, "due"), version=event.number, body=canonical(table))
    _file(event, payload)


def _file(event: Event, payload: dict[str, Any]) -> None:
    """Keep which file a certificate was read from, where it was."""
    if file := payload.get("file"):
        rows(Attachment).create(id=event.number, subject=event.subject, name=file["name"], sha256=file["sha256"],
                                size=file["size"], version=event.number)


@follows("instrument.withdrawn")
def _instrument_withdrawn(event: Event, payload: dict[str, Any]) -> None:
    rows(Instrument).filter(pk=event.subject).update(state=WITHDRAWN, version=event.number)


@follows("material.received")
def _material(event: Event, payload: dict[str, Any]) -> None:
    table = payload["table"]
    rows(Material).update_or_create(
        identity=event.subject,
        defaults={"name": table.get("name", event.subject), "use_before": day_text(table.get("use_before")),
                  "version": event.number, "body": canonical(table)},
    )
    _file(event, payload)


@follows("instrument.checked")
def _instrument_checked(event: Event, payload: dict[str, Any]) -> None:
    rows(Instrument).filter(pk=event.subject).update(version=event.number)


@follows("material.checked")
def _material_checked(event: Event, payload: dict[str, Any]) -> None:
    rows(Material).filter(pk=event.subject).update(version=event.number)


@follows("material.withdrawn")
def _material_withdrawn(event: Event, payload: dict[str, Any]) -> None:
    rows(Material).filter(pk=event.subject).update(state=WITHDRAWN, version=event.number)


@follows("solution.prepared")
def _solution(event: Event, payload: dict[str, Any]) -> None:
    table = payload["table"]
    rows(Solution).update_or_create(
        identity=event.subject,
        defaults={"name": table["name"], "formula": table["formula"], "nominal": table["nominal"],
                  "use_before": day_text(table.get("use_before")), "version": event.number,
                  "body": canonical({**table, "prepared": payload.get("prepared", ""),
                                     "volume": payload.get("volume", "")})},
    )


@follows("solution.verified")
def _verified(event: Event, payload: dict[str, Any]) -> None:
    solution = rows(Solution).get(pk=event.subject)
    rows(Solution).filter(pk=event.subject).update(
        body=canonical({**solution.content, "verified": payload}), version=event.number)


@follows("solution.specified")
def _specified(event: Event, payload: dict[str, Any]) -> None:
    solution = rows(Solution).get(pk=event.subject)
    rows(Solution).filter(pk=event.subject).update(
        body=canonical({**solution.content, "certified": payload["table"]}), version=event.number)


@follows("solution.discarded")
def _discarded(event: Event, payload: dict[str, Any]) -> None:
    rows(Solution).filter(pk=event.subject).update(state=WITHDRAWN, version=event.number)


@follows("method.adopted")
def _method(event: Event, payload: dict[str, Any]) -> None:
    rows(MethodEdition).create(
        id=event.number, name=event.subject, edition=payload["edition"], sha256=payload["sha256"],
        version=event.number, body=canonical({"text": payload.get("text", "")}))
