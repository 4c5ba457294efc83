"""Any list of the records as a table of texts, to be taken along as CSV, XLSX or JSON."""

import json
import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from django.db.models import Model, QuerySet

from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Event
from assaywright.records.projections import projected_models
from assaywright.records.replay import CHUNK

BODY, VERSION = "body", "version"
WHOLE = {"Assay", "MethodEdition", "Result"}  # their bodies are whole files; those are exported as such
HEADINGS = {"identity": "number", "id": "event", "version": "last event", "about": "lot or solution", "due": "due on",
            "performed": "performed on", "use_before": "use before", "made": "made on", "opened": "opened on"}
QUANTITY = re.compile(r"([+\-−]?[0-9]+(?:\.[0-9]+)?(?:[eE][+\-−]?[0-9]+)?) (%|[^\d\s%±][^\s±]*)")
LISTS = {"rests_on"}  # columns that hold numbers of worksheets as a JSON list
DEEPEST = 2  # tables within tables of a body that become columns of their own


def names() -> dict[str, type[Model]]:
    """Return the lists there are, by name."""
    models: list[type[Model]] = [Event, *projected_models()]
    return {str(model._meta.verbose_name_plural).replace(" ", "-"): model for model in models}


def table(name: str) -> tuple[list[str], Iterator[list[str]]]:
    """Return a list: its headings, and its rows in the order of their keys.

    What a row holds besides its columns becomes columns of its own. Where every figure of a column bears the same unit,
    the unit stands in the heading.

    Raises:
        Refusal: there is no such list.
    """
    known = names()
    if name not in known:
        raise Refusal(f"there is no list '{name[:40]}'", where="--list", remedy=f"choose among {', '.join(known)}")
    model = known[name]
    fields = [field.attname for field in model._meta.concrete_fields]
    rows = QuerySet(model).order_by("pk").values_list(*fields).iterator(CHUNK)
    if model is Event:
        return fields, ([_text(value) for value in row] for row in rows)
    key, with_body = model._meta.pk.attname, model.__name__ not in WHOLE
    order = [key, *(one for one in fields if one not in (key, BODY, VERSION))]
    flat = [_flat(dict(zip(fields, row, strict=True)), order, with_body=with_body) for row in rows]
    last = _heading(VERSION)
    found = dict.fromkeys([*map(_heading, order), *(heading for row in flat for heading in row)])
    return _with_units([*(one for one in found if one != last), last], flat)


def _flat(values: dict[str, Any], order: list[str], *, with_body: bool) -> dict[str, str]:
    """Return a row as texts by heading."""
    flat = {_heading(one): "; ".join(json.loads(values[one])) if one in LISTS else _text(values[one]) for one in order}
    if with_body:
        for key, value in _entries(json.loads(values[BODY])):
            flat.setdefault(_heading(key), value)
    return {**flat, _heading(VERSION): _text(values[VERSION])}


def _entries(table: dict[str, Any], before: str = "", depth: int = 1) -> Iterator[tuple[str, str]]:
    """Yield what a body holds, with the path to it; of tables in a list, their names."""
    for key, value in table.items():
        path = f"{before} {key}".strip()
        if isinstance(value, dict) and depth < DEEPEST:
            yield from _entries(value, path, depth + 1)
        elif isinstance(value, dict):
            plain = {name: one for name, one in value.items() if not isinstance(one, dict | list)}
            yield path, "; ".join(f"{name} {_text(one)}" for name, one in plain.items())
        elif isinstance(value, list):
            yield path, "; ".join(map(_in_a_list, value))
        else:
            yield path, _text(value)


def _in_a_list(value: Any) -> str:
    if isinstance(value, dict):
        return str(value.get("name", "")) or ", ".join(f"{name} {_text(one)}" for name, one in value.items())
    return ", ".join(map(_text, value)) if isinstance(value, list) else _text(value)


def _with_units(headings: list[str], rows: list[dict[str, str]]) -> tuple[list[str], Iterator[list[str]]]:
    """Return headings and rows, a unit that all figures of a column share in the heading."""
    units = {one: unit for one in headings if (unit := _shared_unit([row.get(one, "") for row in rows]))}
    told = [f"{one} / {units[one]}" if one in units else one for one in headings]
    return told, ([row.get(one, "").removesuffix(f" {units[one]}") if one in units else row.get(one, "")
                   for one in headings] for row in rows)


def _shared_unit(texts: Sequence[str]) -> str:
    found = [QUANTITY.fullmatch(text) for text in texts if text]
    units = {one[2] if one else "" for one in found}
    return units.pop() if len(units) == 1 else ""


def _heading(name: str) -> str:
    return HEADINGS.get(name, name.replace("_", " "))


def table_of(
    rows: QuerySet[Any], columns: Sequence[tuple[str, str | Callable[[Any], str]]]
) -> tuple[list[str], Iterator[list[str]]]:
    """Return some rows of a list: its headings, and the rows in their order.

    Arguments:
        columns: each heading with the name of its field, or with what tells its text of a row.
    """
    headings = [words for words, _ in columns]
    names = [told for _, told in columns if isinstance(told, str)]
    if len(names) == len(columns):
        values = rows.values_list(*names).iterator(CHUNK)
        return headings, ([_text(value) for value in row] for row in values)
    return headings, ([_text(getattr(row, told)) if isinstance(told, str) else told(row) for _, told in columns]
                      for row in rows.iterator(CHUNK))


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)
