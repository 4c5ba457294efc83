"""Whether a determination has the readings of another: then it may have been recorded twice.

Compared are values with their units, so that "24.5" and "24.50 mL" are the same; temperatures, notes and the vessels
used are no readings of the titration.
"""

from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import kind_of
from assaywright.records.models import Assay, Determination

NO_READINGS = ("note", "label", "analyst", "at", "pipette", "burette", "balance", "excess_pipette", "excluded",
               "excluded_by")
TEMPERATURE = "temperature"
BASE = {"volume": "mL", "mass": "g"}
DIGITS = 9  # behind the point, in mL or g: what differs beyond them was not read


def place_of_same(assay: Assay, fields: dict[str, Any], place: int = 0) -> int | None:
    """Return the number of another determination of a worksheet with the same readings; None where there is none.

    Arguments:
        fields: of the determination, as typed.
        place: its own number, if it has one.
    """
    mark = str(assay.content.get("decimal_mark", "."))
    sought = _readings(fields, mark)
    if not sought:
        return None
    rows = Determination.objects.filter(assay=assay.identity).exclude(place=place).order_by("place")
    return next((row.place for row in rows if _readings(row.content, mark) == sought), None)


def _readings(fields: dict[str, Any], mark: str) -> dict[str, Any]:
    found = {key: value for key, value in fields.items() if key not in NO_READINGS and TEMPERATURE not in key}
    if "fillings" not in found and {"initial", "final"} <= found.keys():
        found["fillings"] = [[found.pop("initial"), found.pop("final")]]
    return {key: _value(value, mark) for key, value in found.items() if value not in ("", [])}


def _value(value: Any, mark: str) -> Any:
    """Return a text as its value in mL or g where it is a volume or a mass, else as a value with its unit or words."""
    if isinstance(value, list):
        return [_value(one, mark) for one in value]
    if not isinstance(value, str):
        return value
    try:
        quantity = read_quantity(value, decimal_mark=mark)
        base = BASE.get(kind_of(quantity.unit)) if quantity.unit != "1" else None
        if base:
            return round(quantity.to(base), DIGITS)
        return round(float(quantity.value), DIGITS) if quantity.unit == "1" else (float(quantity.value), quantity.unit)
    except Refusal:
        return " ".join(value.split()).casefold()
