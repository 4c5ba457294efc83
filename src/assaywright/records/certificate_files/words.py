"""What the columns of a calibration certificate are called, and what numbers and units stand in their headings."""

import re
from dataclasses import dataclass
from decimal import Decimal

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import canonical, kind_of
from assaywright.records.certificate_files.stated import CORRECTION, ERROR, TRUE_VOLUME

UNSAID = "uncertainty"  # neither called expanded nor standard: a coverage factor beside it says which
POSITION, UNCERTAINTY, STANDARD, FACTOR, UNIT = "position", "expanded uncertainty", "standard uncertainty", "k", "unit"
COLUMNS = {
    POSITION: ("scale position", "position", "scale reading", "scale", "reading", "indication", "indicated value",
               "nominal volume", "nominal value", "nominal", "load", "nominal mass", "test load", "mark"),
    CORRECTION: ("correction", "corrections", "volume correction"),
    ERROR: ("error", "errors", "error of indication", "measurement error", "deviation", "systematic error"),
    TRUE_VOLUME: ("true volume", "actual volume", "delivered volume", "contained volume", "volume delivered",
                  "volume at 20 °c"),
    UNCERTAINTY: ("expanded uncertainty", "expanded uncertainty u", "expanded measurement uncertainty",
                  "uncertainty u"),
    UNSAID: ("uncertainty", "measurement uncertainty"),
    STANDARD: ("standard uncertainty", "standard uncertainty u"),
    FACTOR: ("k", "coverage factor", "coverage factor k", "k factor"),
    UNIT: ("unit", "units"),
}
CAPITAL = {"U": UNCERTAINTY, "u": STANDARD, "U(k)": UNCERTAINTY}  # the letters of JCGM 100:2008 (from memory)
KINDS = ("volume", "mass", "temperature")
STATED_FACTOR = re.compile(r"[(\[,;]?\s*\bk\s*=\s*([0-9]+(?:[.,][0-9]+)?)\s*[)\]]?")
LAST_PART = re.compile(r"^(.*?)\s*(?:\(([^()]+)\)|\[([^\[\]]+)\]|/\s*([^/]+)|,\s*([^,]+)|\bin\s+(\S+)|\s(\S+))$")


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading: which column it is, in the file's own words, with the unit and the factor that it states, if any."""

    column: str
    words: str
    unit: str = ""
    factor: Decimal | None = None


def heading(text: str) -> Heading | None:
    """Return what a heading says; None where it is none of those known."""
    rest, factor = " ".join(text.split()), None
    if found := STATED_FACTOR.search(rest):
        factor = Decimal(found[1].replace(",", "."))
        rest = f"{rest[:found.start()]} {rest[found.end():]}".strip()
    words, unit = _unit_apart(rest)
    column = CAPITAL.get(words) or next((name for name, known in COLUMNS.items() if words.casefold() in known), None)
    return None if column is None else Heading(column, words, unit, factor)


def _unit_apart(text: str) -> tuple[str, str]:
    """Return a heading without its unit, and the unit; empty where it states none."""
    if text.casefold() in COLUMNS[TRUE_VOLUME]:
        return text, ""
    found = LAST_PART.fullmatch(text)
    candidate = next((one for one in found.groups()[1:] if one), "") if found else ""
    unit = unit_of(candidate)
    return (found[1].strip(" ,;/"), unit) if found and unit else (text, "")


def unit_of(text: str) -> str:
    """Return the unit of a volume, a mass or a temperature; empty where the text is none."""
    try:
        unit = canonical(text.strip()) if text.strip() else ""
    except Refusal:
        return ""
    return unit if unit and kind_of(unit) in KINDS else ""
