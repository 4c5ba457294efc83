"""The worksheet as she writes it: text in TOML."""

from collections.abc import Mapping, Sequence
from typing import Any


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, Sequence):
        return "[" + ", ".join(_value(inner) for inner in value) + "]"
    raise TypeError(f"a worksheet holds no {type(value).__name__}")


def _entries(table: Mapping[str, Any]) -> list[str]:
    return [f"{key} = {_value(value)}" for key, value in table.items()]


def worksheet_text(
    heading: Mapping[str, Any],
    tables: Mapping[str, Mapping[str, Any]],
    determinations: Sequence[Mapping[str, Any]],
    dates: Mapping[str, str],
) -> str:
    """Return a worksheet.

    Arguments:
        heading: what stands above the first table, as text values.
        tables: by name; a name may hold a full stop ("vessels.burette").
        determinations: in order.
        dates: entries of the heading that are dates, unquoted.
    """
    lines = ['format = "assaywright worksheet 1"', *_entries(heading)]
    lines += [f"{key} = {value}" for key, value in dates.items()]
    for name, table in tables.items():
        lines += ["", f"[{name}]", *_entries(table)]
    for determination in determinations:
        lines += ["", "[[determination]]", *_entries(determination)]
    return "\n".join(lines) + "\n"
