"""A calibration as it was entered against the file from which its form was filled: what a person typed over it."""

import json
from collections.abc import Mapping
from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.records.certificate_files.read import read_calibration_file, read_material_certificate
from assaywright.records.certificate_files.stated import SIGNS
from assaywright.records.files import read
from assaywright.records.instruments import changes_of
from assaywright.records.models import Event


def said_of_file(payload: Mapping[str, Any]) -> str:
    """Return from which file an event's form was filled, and how its column was read; empty where from none."""
    file = payload.get("file")
    if not isinstance(file, Mapping):
        return ""
    return f"read from {file['name']}{how_read(payload)}, SHA-256 {file['sha256']}"


def how_read(payload: Mapping[str, Any]) -> str:
    """Return how the column of an event's file was said to be read, as the end of a clause; empty where nothing was."""
    file = payload.get("file") or {}
    states = SIGNS.get(file.get("column_states", ""), "").partition(":")[0].partition(",")[0]
    other = " against its heading" if file.get("against_heading") else ""
    return f", its column said to state {states}{other}" if states else ""


def typed_over(event: Event) -> tuple[str, ...]:
    """Return what was entered other than the file states, field by field; or why that cannot be told.

    Arguments:
        event: that entered the calibration, or received the reference material.
    """
    payload = json.loads(event.payload)
    file, table = payload.get("file"), payload["table"]
    if not file:
        return ()
    try:
        found = _stated(event, payload)
    except Refusal as refusal:
        return (f"The entry is not compared with its file here: {refusal}",)
    certificate = {**table.get("certificate", {}), **found.get("certificate", {})}
    stated = {**table, **found, **({"certificate": certificate} if certificate else {})}
    return tuple(f"{what}: {by_file or 'not stated'} in the file, {entered or 'not stated'} as entered."
                 for what, by_file, entered in changes_of(stated, table))


def _stated(event: Event, payload: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the file of an event states, read as it was read then."""
    file = payload["file"]
    data, name = read(file["sha256"]), file["name"]
    if "kind" not in payload:
        return read_material_certificate(data, name).table
    known = event.subject if name.casefold().endswith(".toml") else ""
    return read_calibration_file(data, name, kind=payload["kind"], identity=known,
                                 sign=file.get("column_states", ""), against_heading=None).table
