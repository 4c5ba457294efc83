"""Readings as typed on a page, put together to one determination of a worksheet, each text with its unit."""

import json
from collections.abc import Mapping
from typing import Any

from assaywright.assay.asked import ALIQUOT_PIPETTE, DILUTED, PIPETTE, Asked, asked, handling_of
from assaywright.assay.method import Method
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Determination

MOST_FILLINGS = 20
BLANK = 0  # the blank's number among the determinations at the bench
ENDS = ("initial", "final")
SAME_READINGS = "same-readings"  # the question about readings that another determination has as well


def asked_of(assay: Assay) -> Asked:
    """Return what a worksheet's method asks for, with the portion taken as this worksheet takes it."""
    method = method_of(assay.method)
    rows = [json.loads(body) for body in
            Determination.objects.filter(assay=assay.identity).values_list("body", flat=True)]
    return asked(method, handling_of(method, assay.content, rows))


def with_unit(text: str, unit: str) -> str:
    """Return a figure with its unit: the one typed with it, else the one that stands beside the field."""
    text = text.strip()
    return f"{text} {unit}" if text and text[-1].isdigit() and unit not in text else text


def filling_names(number: int) -> tuple[str, str]:
    """Return the names of a filling's two readings: "initial" and "final" of the first, "initial 2" of the second."""
    first, last = ENDS
    return (first, last) if number == 1 else (f"{first} {number}", f"{last} {number}")


def determination_of(asked: Asked, heading: Mapping[str, Any], typed: Mapping[str, str]) -> dict[str, Any]:
    """Return a determination as a worksheet holds it.

    Arguments:
        asked: what the worksheet's method asks for.
        heading: of the worksheet.
        typed: texts by the names of the readings; further fillings as "initial 2", "final 2" …; "note".
    """
    found: dict[str, Any] = {}
    for one in asked.readings:
        if typed.get(one.name, "").strip():
            found[one.name] = with_unit(typed[one.name], one.unit)
    if asked.handling == DILUTED:
        found["pipette"] = ALIQUOT_PIPETTE if ALIQUOT_PIPETTE in heading.get("vessels", {}) else PIPETTE
    if further := _further(typed):
        found["fillings"] = [[found.pop(end, "") for end in ENDS], *further]
    if typed.get("note", "").strip():
        found["note"] = typed["note"].strip()
    return found


def _further(typed: Mapping[str, str]) -> list[list[str]]:
    """Return the fillings after the first, as far as anything is typed of them."""
    pairs = [[typed.get(name, "").strip() for name in filling_names(number)] for number in range(2, MOST_FILLINGS + 1)]
    return [[with_unit(text, "mL") for text in pair] for pair in pairs if any(pair)]


def blank_of(method: Method, typed: Mapping[str, str]) -> dict[str, Any]:
    """Return the blank as a worksheet's heading holds it: one titration for each pair of readings typed.

    Arguments:
        method: of the worksheet.
        typed: texts by the names of the readings; further titrations as "initial 2", "final 2" …
    """
    alike = {name: with_unit(typed[name], "°C") for name in ("excess_temperature", "temperature")
             if typed.get(name, "").strip()}
    titrations = []
    for number in range(1, MOST_FILLINGS + 1):
        pair = [typed.get(name, "").strip() for name in filling_names(number)]
        if any(pair):
            titrations.append({**dict(zip(ENDS, (with_unit(one, "mL") for one in pair), strict=True)), **alike})
    return {"kind": method.blank.kind, "titrations": titrations}


def blank_texts(heading: Mapping[str, Any]) -> dict[str, str]:
    """Return the readings of a titrated blank by the names that the bench page has for them."""
    found: dict[str, str] = {}
    for number, one in enumerate(heading.get("blank", {}).get("titrations", ()), 1):
        found |= {name: str(one.get(end, "")) for name, end in zip(filling_names(number), ENDS, strict=True)}
        found |= {name: str(one[name]) for name in ("excess_temperature", "temperature") if name in one}
    return found


def page_name(name: str) -> str:
    """Return the name that the bench page has for a reading of a worksheet: "final 2" for "fillings.2.final"."""
    parts = name.split(".")
    if len(parts) != 3:
        return name
    _, number, end = parts
    return end if number == "1" else f"{end} {number}"
