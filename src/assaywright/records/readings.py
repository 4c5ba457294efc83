"""Readings as typed on a page, put together to one determination of a worksheet, each text with its unit."""

import json
from collections.abc import Mapping
from typing import Any

from assaywright.assay.asked import ALIQUOT_PIPETTE, DILUTED, PIPETTE, Asked, asked, handling_of
from assaywright.assay.method import Method
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Determination

MOST_FILLINGS = 20
MOST_PLACES = 99  # determinations of a worksheet
BLANK = 0  # the blank's number among the determinations at the bench
ENDS = ("initial", "final")
LIKEWISE = "titrated likewise"
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


def blank_names(titration: int, filling: int = 1) -> tuple[str, str]:
    """Return the names of two readings of a blank: "final 2" of its second titration, "final 2.3" of its refilling."""
    if filling == 1:
        return filling_names(titration)
    first, last = ENDS
    return f"{first} {titration}.{filling}", f"{last} {titration}.{filling}"


def determination_of(asked: Asked, heading: Mapping[str, Any], typed: Mapping[str, str]) -> dict[str, Any]:
    """Return a determination as a worksheet holds it.

    Arguments:
        asked: what the worksheet's method asks for.
        heading: of the worksheet.
        typed: texts by the names of the readings; further fillings as "initial 2", "final 2" …, with "first 2" where
            the first of two endpoints was read in the second; "note".
    """
    found: dict[str, Any] = {}
    for one in asked.readings:
        if typed.get(one.name, "").strip():
            found[one.name] = with_unit(typed[one.name], one.unit)
    if asked.handling == DILUTED:
        found["pipette"] = ALIQUOT_PIPETTE if ALIQUOT_PIPETTE in heading.get("vessels", {}) else PIPETTE
    for number in range(2, MOST_FILLINGS + 1):
        if "first" in {one.name for one in asked.readings} - set(found) and typed.get(f"first {number}", "").strip():
            found |= {"first": with_unit(typed[f"first {number}"], "mL"), "first_filling": number}
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
    """Return the blank as a worksheet's heading holds it: each of its titrations with all its fillings.

    Arguments:
        method: of the worksheet.
        typed: texts by the names of the readings; further titrations as "initial 2", "final 2" …, further fillings of
            the first as "initial 1.2", "final 1.2" …
    """
    return {"kind": method.blank.kind, "titrations": list(blank_titrations(typed).values())}


def blank_to_come(assay: Assay) -> dict[str, Any]:
    """Return what stands in a heading for a blank titrated likewise that is still to come, after the portions."""
    kind = method_of(assay.method).blank.kind
    return {"blank": {"kind": kind, "titrations": [{"initial": "0 mL", "final": "0 mL"}]}} if kind == LIKEWISE else {}


def blank_titrations(typed: Mapping[str, str]) -> dict[int, dict[str, Any]]:
    """Return the titrations of a blank by their numbers, each as a worksheet holds it.

    Arguments:
        typed: as for :func:`blank_of`.
    """
    alike = {name: with_unit(typed[name], "°C") for name in ("excess_temperature", "temperature")
             if typed.get(name, "").strip()}
    found: dict[int, dict[str, Any]] = {}
    for number in range(1, MOST_FILLINGS + 1):
        pairs = [[with_unit(typed.get(name, ""), "mL") for name in blank_names(number, filling)]
                 for filling in range(1, MOST_FILLINGS + 1)]
        pairs = [pair for at, pair in enumerate(pairs) if any(pair) or (at == 0 and any(map(any, pairs)))]
        if pairs:
            read = dict(zip(ENDS, pairs[0], strict=True)) if len(pairs) == 1 else {"fillings": pairs}
            found[number] = {**read, **alike}
    return found


def blank_texts(heading: Mapping[str, Any]) -> dict[str, str]:
    """Return the readings of a titrated blank by the names that the bench page has for them."""
    found: dict[str, str] = {}
    for number, one in enumerate(heading.get("blank", {}).get("titrations", ()), 1):
        pairs = one.get("fillings") or [[one.get(end, "") for end in ENDS]]
        for filling, pair in enumerate(pairs, 1):
            found |= dict(zip(blank_names(number, filling), map(str, pair), strict=True))
        found |= {name: str(one[name]) for name in ("excess_temperature", "temperature") if name in one}
    return found


def reading_texts(content: Mapping[str, Any]) -> dict[str, str]:
    """Return the readings of a determination as a worksheet holds it, by the names that the bench page has for them."""
    found = {name: str(text) for name, text in content.items() if name not in ("fillings", "first_filling")}
    for number, pair in enumerate(content.get("fillings", ()), 1):
        found |= dict(zip(filling_names(number), map(str, pair), strict=True))
    if content.get("first_filling", 1) != 1 and "first" in found:
        found[f"first {content['first_filling']}"] = found.pop("first")
    return found


def page_name(name: str) -> str:
    """Return the name that the bench page has for a reading of a worksheet: "final 2" for "fillings.2.final".

    Of a blank: "final 2" for "titrations.2.final", "final 1.2" for "titrations.1.fillings.2.final".
    """
    parts = name.split(".")
    if len(parts) == 5:
        return blank_names(int(parts[1]), int(parts[3]))[parts[4] == ENDS[1]]
    if len(parts) != 3:
        return name
    _, number, end = parts
    return end if number == "1" or end not in ENDS else f"{end} {number}"
