"""The table of an instrument or a reference material, read as a worksheet would read it."""

import tomllib
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
from assaywright.records.toml_text import toml_text

BALANCE, THERMOMETER = "balance", "thermometer"


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
