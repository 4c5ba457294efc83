"""The forms for instruments and reference materials: which fields each kind has, and the table that they make.

The table is the one that a worksheet states; whether it can be, its reader says, not the form.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from assaywright.records.toml_text import DATE, day_text

DAYS = ("issued", "due", "use_before")
WITHIN = "certificate."
DAY_LENGTH = len("2026-11-30")


@dataclass(frozen=True)
class Asked:
    """A field of a form.

    Fields:
        key: of the table; with "certificate." in front, of its certificate.
        words: what it is called.
        hint: an example, or what it is for.
        choices: words to choose from; none where it is typed.
        needed: whether the form asks for it.
        wide: whether it holds several lines.
    """

    key: str
    words: str
    hint: str = ""
    choices: tuple[str, ...] = ()
    needed: bool = False
    wide: bool = False


@dataclass(frozen=True)
class Filled:
    """A field with what stands in it."""

    asked: Asked
    text: str


ID = Asked("id", "Number", "as it stands on the instrument", needed=True)
CERTIFICATE = (
    Asked("certificate.id", "Calibration certificate", "K-26-031"),
    Asked("certificate.issued", "Issued on", "2026-03-11"),
    Asked("certificate.due", "Valid through", "2027-03-11, or a month"),
    Asked("certificate.traceable_to", "Traceable to", "SI, by weighing water"),
)
VESSEL = (
    ID, Asked("nominal", "Nominal volume", "50 mL", needed=True), Asked("class", "Class", choices=("A", "AS", "B")),
    Asked("standard", "Standard", "ISO 385"), Asked("tolerance", "Tolerance", "0.05 mL, triangular"),
    Asked("graduation", "Graduation", "0.1 mL"), Asked("reference_temperature", "Reference temperature", "20 °C"),
    Asked("material", "Material", "borosilicate glass 3.3"),
    Asked("use", "Adjusted", choices=("to deliver", "to contain")),
    Asked("corrections", "Corrections along the scale", "one a line: 10 mL; +0.008 mL", wide=True),
    Asked("calibration_uncertainty", "Uncertainty of the corrections", "0.010 mL, k = 2"),
    Asked("scale_correlation", "Correlation along the scale", "0 to 1"), *CERTIFICATE,
)
BALANCE = (
    ID, Asked("readability", "Readability", "0.1 mg"), Asked("linearity", "Linearity", "0.2 mg, rectangular"),
    Asked("repeatability", "Repeatability", "0.1 mg"), Asked("minimum_weight", "Minimum weight", "0.2 g"),
    Asked("adjusted", "Adjusted in", choices=("reference air", "air of the day")), *CERTIFICATE,
)
THERMOMETER = (ID, Asked("uncertainty", "Uncertainty", "0.3 °C, rectangular", needed=True), *CERTIFICATE)
KINDS: dict[str, tuple[Asked, ...]] = {
    **dict.fromkeys(("burette", "pipette", "flask", "piston burette", "piston pipette", "measuring cylinder"), VESSEL),
    "balance": BALANCE, "thermometer": THERMOMETER,
}
MATERIAL = (
    Asked("number", "Number", "as it stands on the bottle", needed=True),
    Asked("name", "Name", "potassium hydrogen phthalate", needed=True),
    Asked("formula", "Formula", "C8H5KO4", needed=True),
    Asked("content", "Certified content", "99.97 % ± 0.04 %, k = 2", needed=True),
    Asked("basis", "Content stated for it", choices=("as is", "dried")),
    Asked("dried", "Dried", "2 h at 110 °C, cooled in a desiccator"),
    Asked("weighed_as", "Content stated for weighing", choices=("in vacuo", "in air")),
    Asked("density", "Density", "1.636 g/mL"), Asked("minimum_sample", "Minimum sample", "0.1 g"),
    Asked("lot", "Lot", "of its maker"), Asked("use_before", "Use before the end of", "2028-02, or a day"),
    replace(CERTIFICATE[0], words="Certificate", hint="RM-KHP-4", needed=True), *CERTIFICATE[1:],
)


def filled(asked: tuple[Asked, ...], table: Mapping[str, Any]) -> tuple[Filled, ...]:
    """Return a form's fields with what stands in them, from a table of the records or as typed."""
    return tuple(Filled(one, _text(table, one.key)) for one in asked)


def _text(table: Mapping[str, Any], key: str) -> str:
    if key in table:
        value = table[key]
    else:
        inner = table.get("certificate")
        value = inner.get(key.removeprefix(WITHIN), "") if isinstance(inner, Mapping) and key.startswith(WITHIN) else ""
    if isinstance(value, list):
        return "\n".join("; ".join(map(str, pair)) for pair in value)
    return day_text(value)


def table_of(kind: str, typed: Mapping[str, str], before: Mapping[str, Any]) -> dict[str, Any]:
    """Return the table that a form states of an instrument; what the form doesn't ask for stays as it was."""
    asked = {one.key for one in KINDS.get(kind, VESSEL)}
    kept = {key: value for key, value in before.items() if key not in asked and key not in ("certificate", "kind")}
    table = {**kept, **_table(KINDS.get(kind, VESSEL), typed)}
    return {"kind": kind, **table} if KINDS.get(kind, VESSEL) is VESSEL else table


def material_table(typed: Mapping[str, str]) -> dict[str, Any]:
    """Return the table that a form states of a reference material."""
    table = _table(MATERIAL, typed)
    number = table.pop("number", "")
    table.setdefault("lot", number)
    return table


def _table(asked: tuple[Asked, ...], typed: Mapping[str, str]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    certificate: dict[str, Any] = {}
    for one in asked:
        text = typed.get(one.key, "").strip()
        if not text:
            continue
        key = one.key.removeprefix(WITHIN)
        value: Any = _pairs(text) if one.key == "corrections" else _day(text) if key in DAYS else text
        (certificate if one.key.startswith(WITHIN) else table)[key] = value
    return {**table, **({"certificate": certificate} if certificate else {})}


def _pairs(text: str) -> list[list[str]]:
    """Return the lines of a field as pairs; a line that is none goes on as it is, to be refused by its reader."""
    return [[part.strip() for part in line.split(";")] for line in text.splitlines() if line.strip()]


def _day(text: str) -> Any:
    """Return a whole date as the records keep one; a month, and what is neither, as text."""
    from datetime import date

    try:
        return {DATE: date.fromisoformat(text).isoformat()} if len(text) == DAY_LENGTH else text
    except ValueError:
        return text
