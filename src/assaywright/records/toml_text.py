"""Tables written as TOML: the worksheet and the lot file that the records stand for."""

from collections.abc import Mapping, Sequence
from typing import Any

from assaywright.metrology.refusal import Refusal

DATE = "date"  # {"date": "2026-10-05"} in the records stands for a date in TOML, which JSON does not have
ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\r": "\\r", "\t": "\\t"}


def toml_text(table: Mapping[str, Any]) -> str:
    """Return a table as TOML, values first, tables and lists of tables after them."""
    return "\n".join(_lines(table, "")) + "\n"


def _lines(table: Mapping[str, Any], name: str) -> list[str]:
    lines = [f"{_key(key)} = {_value(value)}" for key, value in table.items() if not _is_table(value)]
    for key, value in table.items():
        full = f"{name}.{_key(key)}" if name else _key(key)
        if isinstance(value, Mapping) and _is_table(value):
            lines += ["", f"[{full}]", *_lines(value, full)]
        elif _is_table(value):
            for one in value:
                lines += ["", f"[[{full}]]", *_lines(one, full)]
    return lines


def _is_table(value: Any) -> bool:
    """Return whether a value stands under a heading of its own; a date and lists of plain values don't."""
    if isinstance(value, Mapping):
        return DATE not in value
    return isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) and DATE not in one
                                                           for one in value)


def _key(key: str) -> str:
    plain = key.replace("_", "").replace("-", "")
    return key if plain.isascii() and plain.isalnum() else _value(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + "".join(ESCAPES.get(letter, letter) for letter in value) + '"'
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Mapping) and DATE in value:
        return str(value[DATE])
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {_value(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, Sequence):
        return "[" + ", ".join(_value(inner) for inner in value) + "]"
    raise Refusal(f"a worksheet holds no {type(value).__name__}", remedy="write numbers with their unit, in quotes")


def day_text(value: Any) -> str:
    """Return a date of the records as text, whether it was written as a date or as text; empty where there is none."""
    return str(value[DATE] if isinstance(value, Mapping) else value or "")


def from_toml(value: Any) -> Any:
    """Return what ``tomllib`` read in the form of the records: dates marked as such, all else as it is."""
    if isinstance(value, dict):
        return {key: from_toml(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [from_toml(inner) for inner in value]
    if isinstance(value, bool | int | str):
        return value
    if hasattr(value, "isoformat"):
        return {DATE: value.isoformat()}
    raise Refusal(f"a number without quotes and unit, {value}", remedy='write it with its unit, "24.50 mL"')
