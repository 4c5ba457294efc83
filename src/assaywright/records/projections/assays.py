"""What follows for assays, standardisations and their determinations."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import Assay, Determination, Event, Result, Signature
from assaywright.records.models.assays import IN_REVIEW, RETURNED, REVIEWED, VOID
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows
from assaywright.records.toml_text import day_text


@follows("assay.begun", "assay.imported")
def _begun(event: Event, payload: dict[str, Any]) -> None:
    heading = payload["heading"]
    rows(Assay).create(
        identity=event.subject, kind=heading["kind"], method=heading["method"], about=payload["about"],
        analyst=heading["analyst"], performed=day_text(heading["performed"]), rests_on=canonical(payload["rests_on"]),
        path=payload["path"], in_burette=in_burette_of(heading), version=event.number, body=canonical(heading))
    for place, fields in imported_by_place(payload).items():
        _determination(event, imported_key(event.number, place), place, fields)


def imported_by_place(payload: dict[str, Any]) -> dict[int, dict[str, Any]]:
    """Return the determinations that came in with their worksheet by their numbers: in a row, or as the event says."""
    found = payload.get("determinations", ())
    return dict(zip(payload.get("places") or range(1, len(found) + 1), found, strict=True))


def imported_key(event: int, place: int) -> int:
    """Return the key of a determination that came in with its worksheet: below nought, where no event's number is."""
    return -(event * 1000 + place)


def in_burette_of(heading: dict[str, Any]) -> str:
    """Return the number of the solution that stands in the burette, by a worksheet's heading; empty where none is."""
    against = heading.get("against", {})
    return str((against if against.get("in_burette") else heading.get("titrant", {})).get("lot", ""))


def _determination(event: Event, key: int, place: int, fields: dict[str, Any]) -> None:
    excluded = str(fields.pop("excluded", ""))
    rows(Determination).create(id=key, assay=event.subject, place=place, excluded=excluded, version=event.number,
                                 body=canonical(fields))


@follows("assay.amended")
def _amended(event: Event, payload: dict[str, Any]) -> None:
    heading = payload["heading"]
    rows(Assay).filter(pk=event.subject).update(
        body=canonical(heading), performed=day_text(heading["performed"]), rests_on=canonical(payload["rests_on"]),
        in_burette=in_burette_of(heading), version=event.number)


@follows("determination.recorded")
def _recorded(event: Event, payload: dict[str, Any]) -> None:
    _determination(event, event.number, payload["place"], dict(payload["fields"]))
    _touch(event)


@follows("determination.corrected")
def _corrected(event: Event, payload: dict[str, Any]) -> None:
    _of(event, payload).update(body=canonical(payload["fields"]), version=event.number)
    _touch(event)


@follows("determination.excluded")
def _excluded(event: Event, payload: dict[str, Any]) -> None:
    _of(event, payload).update(excluded=event.reason, version=event.number)
    _touch(event)


@follows("determination.readmitted")
def _readmitted(event: Event, payload: dict[str, Any]) -> None:
    _of(event, payload).update(excluded="", version=event.number)
    _touch(event)


def _of(event: Event, payload: dict[str, Any]) -> Any:
    return rows(Determination).filter(assay=event.subject, place=payload["place"])


@follows("assay.sent")
def _sent(event: Event, payload: dict[str, Any]) -> None:
    _result(event, payload)
    _touch(event, IN_REVIEW)


@follows("assay.unsettled")
def _unsettled(event: Event, payload: dict[str, Any]) -> None:
    """It waits for a reviewer with its new result; where it has none any more, for whoever corrects it."""
    if "value" in payload:
        _result(event, payload)
    _touch(event, IN_REVIEW if "value" in payload else RETURNED)


def _result(event: Event, payload: dict[str, Any]) -> None:
    rows(Result).create(
        id=event.number, assay=event.subject, version=event.number, body=canonical(payload["stored"]),
        **{name: payload[name] for name in (
            "measurand", "value", "unit", "standard_uncertainty", "expanded_uncertainty", "releasable",
            "worksheet_sha256", "software")})


@follows("assay.returned", "assay.reopened")
def _returned(event: Event, payload: dict[str, Any]) -> None:
    _touch(event, RETURNED)


@follows("assay.reviewed")
def _reviewed(event: Event, payload: dict[str, Any]) -> None:
    rows(Signature).create(
        id=event.number, subject=event.subject, by=event.by, meaning=payload["meaning"],
        sha256=payload["worksheet_sha256"], at=event.recorded_at, version=event.number)
    _touch(event, REVIEWED)


@follows("assay.voided")
def _voided(event: Event, payload: dict[str, Any]) -> None:
    _touch(event, VOID)


def _touch(event: Event, stage: str = "") -> None:
    """Give the assay the event's number as its version, and a new stage where there is one."""
    rows(Assay).filter(pk=event.subject).update(version=event.number, **({"stage": stage} if stage else {}))


