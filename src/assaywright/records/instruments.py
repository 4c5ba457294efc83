"""The table of an instrument or a reference material, read as a worksheet would read it."""

import tomllib
from collections.abc import Mapping
from datetime import UTC
from typing import Any

from assaywright.assay.observations import Balance, ReferenceMaterial, Thermometer, Vessel
from assaywright.assay.reading.equipment import (
    BALANCE_FIELDS,
    THERMOMETER_FIELDS,
    VESSEL_FIELDS,
    read_balance,
    read_thermometer,
    read_vessel,
)
from assaywright.assay.reading.materials import STANDARD_FIELDS, read_standard
from assaywright.assay.reading.table import Conventions, Table
from assaywright.metrology.refusal import Refusal
from assaywright.records.toml_text import day_text, toml_text

BALANCE, THERMOMETER = "balance", "thermometer"
WITHIN = {"id": "certificate", "issued": "issued", "due": "valid through", "traceable_to": "traceable to"}


def read_instrument(kind: str, table: dict[str, Any]) -> Vessel | Balance | Thermometer:
    """Return what a table states of an instrument.

    Raises:
        Refusal: a worksheet would refuse the table.
    """
    plain = tomllib.loads(toml_text(table))
    fields = {BALANCE: BALANCE_FIELDS, THERMOMETER: THERMOMETER_FIELDS}.get(kind, VESSEL_FIELDS)
    read = Table(plain, f"{kind} {table.get('id', '')}".strip(), fields, Conventions(zone=UTC))
    if kind == BALANCE:
        return read_balance(kind, read)
    if kind == THERMOMETER:
        return read_thermometer(kind, read)
    vessel = read_vessel(kind, read)
    if vessel.kind != kind:
        raise Refusal(f"the table is of a {vessel.kind}, not of a {kind}", where="kind", remedy="choose the kind anew")
    return vessel


def read_material(table: dict[str, Any]) -> ReferenceMaterial:
    """Return what a table states of a reference material.

    Raises:
        Refusal: a worksheet would refuse the table.
    """
    plain = tomllib.loads(toml_text(table))
    return read_standard(Table(plain, "reference material", STANDARD_FIELDS, Conventions(zone=UTC)))


def certificate_of(table: Mapping[str, Any]) -> str:
    """Return the number of the certificate that a table states; empty where it states none."""
    return str((table.get("certificate") or {}).get("id", ""))


def changes_of(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[list[str]]:
    """Return what a table states otherwise than another: field by field, what it was, what it is."""
    was, now = _flat(before), _flat(after)
    return [[name, was.get(name, ""), now.get(name, "")] for name in dict.fromkeys([*was, *now])
            if was.get(name, "") != now.get(name, "")]


def _flat(table: Mapping[str, Any]) -> dict[str, str]:
    """Return a table as its page calls and writes what it states."""
    from assaywright.records.selectors.equipment import WORDS

    plain = {key: value for key, value in table.items() if key not in ("certificate", "corrections")}
    told = {WORDS.get(key, key): day_text(value) for key, value in plain.items()}
    inner = table.get("certificate") or {}
    told |= {said: day_text(inner[key]) for key, said in WITHIN.items() if inner.get(key)}
    if pairs := table.get("corrections"):
        told["corrections"] = "; ".join(f"{at}: {correction}" for at, correction in pairs)
    return {name: text for name, text in told.items() if text}
