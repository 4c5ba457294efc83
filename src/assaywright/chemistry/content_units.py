"""The units in which a content is stated, each with what it counts and per what."""

from assaywright.metrology.refusal import Refusal

PER_VOLUME = {
    "mol/L": 1.0,
    "mmol/L": 1000.0,
    "eq/L": 1.0,
    "meq/L": 1000.0,
    "g/L": 1.0,
    "mg/L": 1000.0,
    "mg/mL": 1.0,
    "% w/v": 0.1,
}
PER_MASS = {"mol/kg": 1.0, "mmol/kg": 1000.0, "% w/w": 0.1}
SHARES_OF_MASS = {"g/kg": 1.0, "mg/kg": 1000.0}
AS_AMOUNT = ("mol/L", "mmol/L", "mol/kg", "mmol/kg")
AS_EQUIVALENTS = ("eq/L", "meq/L")
SCALES = PER_VOLUME | PER_MASS | SHARES_OF_MASS


def check_content_unit(unit: str) -> None:
    """Refuse a unit that is no unit of content.

    Raises:
        Refusal: the unit is not one of :data:`SCALES`.
    """
    if unit not in SCALES:
        raise Refusal(f"'{unit}' is no unit of content", where="content", remedy=f"use one of {', '.join(SCALES)}")


def is_by_volume(unit: str) -> bool:
    """Whether the unit is per volume of solution."""
    return unit in PER_VOLUME


def counts(unit: str) -> str:
    """Return what a unit counts: "amount", "equivalents" or "mass"."""
    if unit in AS_EQUIVALENTS:
        return "equivalents"
    return "amount" if unit in AS_AMOUNT else "mass"
