"""What a worksheet's heading states, written as one would write it by hand: instruments, solutions, sample, air."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from assaywright.assay.wording import written_date
from assaywright.records.toml_text import DATE, day_text

GROUPS = {
    "sample": "sample", "titrant": "titrant", "reagent": "reagent in excess",
    "against": "set against", "standard": "reference material", "vessels": "",
    "balances": "", "thermometers": "", "dilution": "dilution", "air": "air at the balance", "blank": "blank",
    "medium": "medium", "endpoint": "endpoint", "repeatability": "repeatability", "report": "stated as",
    "specification": "limits", "lot": "certificate states",
}
WORDS = {
    "lot": "lot", "taken": "taken", "density": "density", "densities": "densities", "thermal": "law of expansion",
    "nominal": "nominal", "use_before": "use before the end of", "worksheets": "by", "in_force": "in force",
    "concentration": "concentration", "class": "class", "graduation": "graduation",
    "corrections": "corrections", "calibration_uncertainty": "uncertainty of the corrections",
    "scale_correlation": "correlation along the scale", "tolerance": "tolerance", "readability": "readability",
    "linearity": "linearity", "repeatability": "repeatability", "adjusted": "adjusted in",
    "minimum_weight": "smallest portion", "uncertainty": "uncertainty", "sample_temperature": "portion at",
    "temperature": "temperature", "pressure": "pressure", "humidity": "relative humidity", "volume": "volume",
    "titrations": "titrated", "analyst": "titrated by", "at": "titrated on", "pooled": "pooled",
    "traceable_to": "traceable to", "issued": "issued",
    "due": "valid through", "content": "content", "dried": "dried", "basis": "on the basis",
    "factor": "with its factor", "at_temperature": "at", "reference_temperature": "at", "unit": "in",
    "lower": "from", "upper": "to", "hazards": "hazard statements", "responsible": "responsible",
    "responsible_function": "as", "certificate_number": "certificate number", "rule": "rule",
}
BARE = ("id", "name", "product", "kind", "characteristic", "formula", "maker", "standard")
FIRST = ("id", "name", "product", "characteristic", "formula", "lot", "nominal")
ORDER = {key: place for place, key in enumerate(dict.fromkeys((*FIRST, *WORDS, "certificate")))}
READINGS = ("initial", "final")
FILLINGS = "fillings"  # of a burette that was filled again


@dataclass(frozen=True)
class Stated:
    """One group of a heading: what it is, and what is stated of it."""

    words: str
    value: str


def stated(heading: Mapping[str, Any]) -> tuple[Stated, ...]:
    """Return what a heading states, group by group, in the order in which one reads it."""
    names = [*GROUPS, *(name for name, value in heading.items() if name not in GROUPS and _is_table(value))]
    found: list[Stated] = []
    for name in names:
        table = heading.get(name)
        if not isinstance(table, Mapping):
            continue
        if GROUPS.get(name, "x"):
            found.append(Stated(GROUPS.get(name, name.replace("_", " ")), "; ".join(_told(table, name))))
        else:
            found += [Stated(role.replace("_", " "), "; ".join(_told(one, role))) for role, one in table.items()]
    return tuple(one for one in found if one.value)


def in_words(performed: str) -> str:
    """Return a day of the records in words, "5 October 2026", with the time of day where there is one."""
    try:
        day = written_date(date.fromisoformat(performed[:10]))
    except ValueError:
        return performed
    return f"{day}, {performed[11:16]}" if performed[11:16] else day


def _told(table: Mapping[str, Any], group: str = "") -> Iterator[str]:
    """Yield what a table states, its names first; what only repeats the name of its group or field is left out."""
    for key in sorted(table, key=lambda one: ORDER.get(one, len(ORDER))):
        value = table[key]
        if value in ("", [], False, key, group):
            continue
        if key == "certificate" and _is_table(value):
            yield "certificate " + ", ".join(_told(value))
        elif key == "further" and _is_table(value):
            yield "diluted further: " + ", ".join(_told(value))
        elif key == "at":
            yield f"{WORDS[key]} {in_words(day_text(value))}"
        elif value is True:
            yield WORDS.get(key, key.replace("_", " "))
        elif key in BARE:
            yield _value(value)
        else:
            yield f"{WORDS.get(key, key.replace('_', ' '))} {_value(value)}"


def _value(value: Any) -> str:
    if isinstance(value, Mapping) and DATE in value:
        return in_words(day_text(value))
    if isinstance(value, Mapping):
        if all(key in value for key in READINGS):
            rest = {key: one for key, one in value.items() if key not in READINGS}
            return ", ".join([f"{value['initial']} to {value['final']}", *_told(rest)])
        if FILLINGS in value:
            runs = " and again ".join(f"{initial} to {final}" for initial, final in value[FILLINGS])
            return ", ".join([runs, *_told({key: one for key, one in value.items() if key != FILLINGS})])
        return ", ".join(_told(value))
    if isinstance(value, list):
        pairs = [f"{one[0]}: {one[1]}" if isinstance(one, list) and len(one) == 2 else _value(one) for one in value]
        return (" and " if any(isinstance(one, Mapping) for one in value) else ", ").join(pairs)
    text = str(value)
    return text.rpartition("/")[2].removesuffix(".toml") if text.endswith(".toml") else text


def _is_table(value: object) -> bool:
    return isinstance(value, Mapping) and DATE not in value
