"""An open worksheet's heading corrected: the form that begins it, filled with what is stated, and what is other now."""

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from assaywright.actions.headings import (
    UNITS_OF_AIR,
    Chosen,
    check_heading,
    heading_of,
    instrument_of,
    known_solution,
    standard_of,
)
from assaywright.actions.reasons import past_day
from assaywright.assay.asked import Asked, asked, handling_of
from assaywright.metrology.refusal import Refusal
from assaywright.records.instruments import BALANCE, THERMOMETER
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Determination
from assaywright.records.readings import blank_to_come, with_unit
from assaywright.records.toml_text import DATE, day_text, toml_text

DAY = len("2026-11-30")
ROLES = ("titrant", "reagent", "against")
LAST = "last accepted"
WORDS = {
    "performed": "performed on", "title": "title", "note": "note", "taken": "sample taken",
    "density": "density of the sample", "thermal": "law of expansion", "handling": "the portion is",
    "titrant": "titrant", "reagent": "reagent in excess", "against": "standard solution that it is set against",
    "titrant_in_force": "of several standardisations of the titrant counts",
    "reagent_in_force": "of several standardisations of the reagent counts",
    "against_in_force": "of several standardisations of the standard solution counts",
    "standard": "reference material", "dried": "dried", "blank_volume": "blank", "balance": "balance",
    "thermometer": "thermometer", "dilution_temperature": "temperature of the dilution",
    "air_temperature": "air at the balance", "air_pressure": "pressure of the air",
    "air_humidity": "relative humidity", "pooled": "pooled repeatability",
}
WEIGHED_OF_DILUTION = {
    "gross": "portion for the dilution: gross mass", "tare": "portion for the dilution: tare",
    "net": "portion for the dilution: net mass", "total_gross": "whole dilution: gross mass",
    "total_tare": "whole dilution: tare of the flask", "total_net": "whole dilution: net mass",
}
WORDS |= {f"dilution_{key}": words for key, words in WEIGHED_OF_DILUTION.items()}
SAMPLE = {"taken": "", "density": "g/mL", "thermal": ""}


def handling_now(assay: Assay) -> str:
    """Return how a worksheet's portions are taken."""
    rows = [row.content for row in Determination.objects.filter(assay=assay.identity)]
    return handling_of(method_of(assay.method), assay.content, rows)


def fields_of(heading: Mapping[str, Any], handling: str) -> dict[str, str]:
    """Return a heading as the form that begins a worksheet would have it typed, by the form's names."""
    found = {"handling": handling, "performed": day_text(heading.get("performed"))[:DAY]}
    found |= {key: _text(heading, key) for key in ("title", "note")}
    found |= {key: _text(heading.get("sample", {}), key) for key in SAMPLE}
    for role in ROLES if heading.get("kind") == "assay" else ROLES[1:]:
        if table := heading.get(role):
            found |= {role: _text(table, "lot"), f"{role}_in_force": _text(table, "in_force") or LAST}
    standard = heading.get("standard", {})
    found |= {"standard": _text(standard, "lot") or _text(standard, "id"), "dried": _text(standard, "dried")}
    found |= {f"vessel {role}": _text(one, "id") for role, one in heading.get("vessels", {}).items()}
    for group, role in (("balances", BALANCE), ("thermometers", THERMOMETER)):
        found[role] = _text(heading.get(group, {}).get(role, {}), "id")
    found["dilution_temperature"] = _text(heading.get("dilution", {}), "temperature")
    found |= {f"dilution_{key}": text for key in WEIGHED_OF_DILUTION
              if (text := _text(heading.get("dilution", {}), key))}
    found |= {f"air_{key}": _text(heading.get("air", {}), key) for key in UNITS_OF_AIR}
    found["blank_volume"] = _text(heading.get("blank", {}), "volume")
    found["pooled"] = _text(heading.get("repeatability", {}), "pooled")
    return found


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[list[str]]:
    """Return what is other in a heading now, field by field: what it is called, what it was, what it is."""
    was, now = (fields_of(one, _handling(one)) for one in (before, after))
    names = [*WORDS, *sorted(name for name in {*was, *now} if name.startswith("vessel "))]
    return [[WORDS.get(name, name.removeprefix("vessel ")), was.get(name, ""), now.get(name, "")] for name in names
            if was.get(name, "") != now.get(name, "")]


def corrected(assay: Assay, typed: Mapping[str, str], *, by: str) -> tuple[dict[str, Any], list[str]]:
    """Return an open worksheet's heading with what is typed otherwise, and what it then rests on.

    What the form does not ask, and what is typed as it was, stays to the letter.

    Raises:
        Refusal: something chosen is not on record, or the determinations on record cannot be read with it.
    """
    method = method_of(assay.method)
    stated = handling_now(assay)
    wanted = asked(method, typed.get("handling") or stated)
    was = fields_of(assay.content, stated)
    new = {name: text.strip() for name, text in typed.items()
           if name in {*was, *_names(wanted)} and text.strip() != was.get(name, "")}
    heading = deepcopy(assay.content)
    chosen = Chosen(assay.method, assay.about, {**was, **typed, "number": assay.identity})
    if wanted.way != stated:
        whole, _ = heading_of(chosen, by=by)
        for group in ("vessels", "balances", "dilution"):
            heading.pop(group, None)
            heading |= {group: whole[group]} if group in whole else {}
        new = {name: text for name, text in new.items() if not name.startswith(("vessel ", "dilution_"))}
    for name, text in new.items():
        _put(heading, name, text, chosen, wanted)
    check_determinations(assay, heading, wanted)
    paths = [path for role in ROLES for path in heading.get(role, {}).get("worksheets", ())]
    numbers = dict(Assay.objects.filter(path__in=paths).values_list("path", "identity"))
    return heading, list(dict.fromkeys(numbers[path] for path in paths if path in numbers))


def check_determinations(assay: Assay, heading: dict[str, Any], wanted: Asked) -> None:
    """Try a heading with the determinations on record, or with one that nobody made.

    Raises:
        Refusal: the worksheet could not be read any more.
    """
    from assaywright.assay.worksheet import FORMAT, parse_worksheet

    rows = [row.content for row in Determination.objects.filter(assay=assay.identity).order_by("place")]
    if not rows:
        check_heading(heading, wanted, method_of(assay.method))
        return
    try:
        whole = {"format": FORMAT, **blank_to_come(assay), **heading, "determination": rows}
        parse_worksheet(toml_text(whole).encode(), assay.path)
    except Refusal as refusal:
        where = refusal.where.removeprefix(f"{assay.path}: ")
        if not where.startswith("determination"):
            raise Refusal(refusal.what, where=where, remedy=refusal.remedy) from refusal
        raise Refusal(f"the determinations on record cannot be read with this heading ({refusal.what})", where=where,
                      remedy="leave how the portion is taken as it is, or have the worksheet declared void and begin "
                             "another") from refusal


# --- one field after the other ----------------------------------------------------------------------------------------


def _put(heading: dict[str, Any], name: str, text: str, chosen: Chosen, wanted: Asked) -> None:
    """Put one field that is typed otherwise into a heading; an emptied one is taken out."""
    if name == "performed":
        heading["performed"] = {DATE: past_day(text, "performed")}
    elif name in ("title", "note"):
        _set(heading, name, text)
    elif name in SAMPLE and "sample" in heading:
        _set(heading["sample"], name, with_unit(text, SAMPLE[name]) if SAMPLE[name] and "±" not in text else text)
    elif name in ROLES:
        heading[name] = known_solution(chosen, name)[0]
    elif name.endswith("_in_force"):
        _in_force(heading.get(name.removesuffix("_in_force"), {}), text)
    elif name == "standard":
        heading["standard"] = standard_of(chosen)
    elif name == "dried" and "standard" in heading:
        heading["standard"] |= {"basis": "dried"} if text else {}
        _set(heading["standard"], "dried", text)
    elif name.startswith("air_"):
        _within(heading, "air", name.removeprefix("air_"), with_unit(text, UNITS_OF_AIR[name.removeprefix("air_")]))
    else:
        _put_equipment(heading, name, text, wanted)


def _put_equipment(heading: dict[str, Any], name: str, text: str, wanted: Asked) -> None:
    vessel = next((one for one in wanted.vessels if name == f"vessel {one.role}"), None)
    if vessel is not None:
        heading.setdefault("vessels", {})[vessel.role] = instrument_of(text, vessel.words, vessel.kinds)
    elif name in (BALANCE, THERMOMETER):
        _within(heading, f"{name}s", name, instrument_of(text, name, (name,)) if text else "")
    elif name == "dilution_temperature" and "dilution" in heading:
        for key in ("temperature",) if wanted.dilution else ("sample_temperature", "temperature"):
            _set(heading["dilution"], key, with_unit(text, "°C"))
    elif name.removeprefix("dilution_") in WEIGHED_OF_DILUTION and "dilution" in heading:
        _set(heading["dilution"], name.removeprefix("dilution_"), with_unit(text, "g"))
    elif name == "blank_volume":
        _within(heading, "blank", "volume", with_unit(text, "mL") if "±" not in text else text)
        if "blank" in heading:
            heading["blank"].setdefault("kind", wanted.blank)
    elif name == "pooled":
        _within(heading, "repeatability", "pooled", text)


def _in_force(table: dict[str, Any], text: str) -> None:
    if len(table.get("worksheets", ())) > 1:
        table["in_force"] = text


def _within(heading: dict[str, Any], group: str, key: str, value: Any) -> None:
    """Put something into a group of a heading; a group with nothing stated in it is taken out."""
    table = heading.setdefault(group, {})
    _set(table, key, value)
    if not table or set(table) == {"kind"}:
        del heading[group]


def _set(table: dict[str, Any], key: str, value: Any) -> None:
    if value:
        table[key] = value
    else:
        table.pop(key, None)


def _names(wanted: Asked) -> list[str]:
    roles = [name for role in wanted.solutions for name in (role, f"{role}_in_force")]
    return [*roles, *(f"vessel {one.role}" for one in wanted.vessels),
            *(f"dilution_{one.name}" for one in wanted.dilution)]


def _handling(heading: Mapping[str, Any]) -> str:
    return handling_of(method_of(str(heading["method"])), heading, ())


def _text(table: Mapping[str, Any], key: str) -> str:
    return str(table.get(key, ""))
