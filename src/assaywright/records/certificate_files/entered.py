"""A calibration as it was entered against the file from which its form was filled: what a person typed over it."""

import json
from collections.abc import Mapping
from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.records.certificate_files.read import read_calibration_file
from assaywright.records.certificate_files.stated import SIGNS
from assaywright.records.files import read
from assaywright.records.instruments import changes_of
from assaywright.records.models import Event


def said_of_file(payload: Mapping[str, Any]) -> str:
    """Return from which file an event's form was filled, and how its column was read; empty where from none."""
    file = payload.get("file")
    if not isinstance(file, Mapping):
        return ""
    states = SIGNS.get(file.get("column_states", ""), "").partition(":")[0].partition(",")[0]
    how = f", its column said to state {states}" if states else ""
    return f"read from {file['name']}{how}, SHA-256 {file['sha256']}"


def typed_over(event: Event) -> tuple[str, ...]:
    """Return what was entered other than the file states, field by field; or why that cannot be told.

    Arguments:
        event: that entered the calibration.
    """
    payload = json.loads(event.payload)
    file, table = payload.get("file"), payload["table"]
    if not file:
        return ()
    known = event.subject if file["name"].casefold().endswith(".toml") else ""
    try:
        found = read_calibration_file(read(file["sha256"]), file["name"], kind=payload["kind"], identity=known,
                                      sign=file.get("column_states", "")).table
    except Refusal as refusal:
        return (f"The entry is not compared with its file here: {refusal}",)
    certificate = {**table.get("certificate", {}), **found.get("certificate", {})}
    stated = {**table, **found, **({"certificate": certificate} if certificate else {})}
    return tuple(f"{what}: {by_file or 'not stated'} in the file, {entered or 'not stated'} as entered."
                 for what, by_file, entered in changes_of(stated, table))
