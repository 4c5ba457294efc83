"""Making the tables anew from the events, and seeing whether they were what the events say."""

from collections.abc import Iterator
from itertools import islice
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from assaywright.records.chain import canonical
from assaywright.records.models import Event
from assaywright.records.models.kept import MadeFromEvents
from assaywright.records.projections import projected_models
from assaywright.records.projections.tables import Model, Table
from assaywright.records.replay import CHUNK, replayed


def rebuild() -> int:
    """Empty the tables that are made from events and make them anew; return the number of events."""
    with transaction.atomic():
        tables = replayed()
        for model in projected_models():
            QuerySet(model).delete()
        for model, table in tables.items():
            _write(model, table)
        return Event.objects.count()


def _write(model: Model, table: Table) -> None:
    keys = iter(table.rows)
    while some := list(islice(keys, CHUNK)):
        made: list[Any] = [table.as_object(key) for key in some]
        QuerySet(model).bulk_create(made)


def rows(model: type[MadeFromEvents]) -> Iterator[tuple[str, str]]:
    """Yield a table's rows: the key, and everything in it as text."""
    names = [field.attname for field in model._meta.concrete_fields]
    key = model._meta.pk.attname
    for row in QuerySet(model).order_by("pk").values(*names).iterator(CHUNK):
        yield str(row[key]), canonical({name: _plain(row[name]) for name in names})


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | int | bool | None) else str(value)


def differences() -> list[str]:
    """Return in sentences where a table is not what the events say; nothing is changed."""
    return compare(replayed())


def compare(tables: dict[Model, Table]) -> list[str]:
    """Return in sentences where the tables of the database are not those in memory, which are used up by it."""
    found: list[str] = []
    for model in projected_models():
        found += _compared(model, tables.get(model) or Table(model))
    return found


def _compared(model: Model, ought: Table) -> list[str]:
    what, place = model._meta.verbose_name, ought.place[ought.key]
    unexpected, changed = [], []
    for row in QuerySet(model).values_list(*ought.names).iterator(CHUNK):
        expected = ought.rows.pop(row[place], None)
        if expected is None:
            unexpected.append(f"{what} {row[place]} is in the table, and no event made it")
        elif list(row) != expected and not _same(model, row, expected):
            changed.append(f"{what} {row[place]} is not what the events say")
    missing = [f"{what} {key} is missing from the table, though an event made it" for key in ought.rows]
    return unexpected + missing + changed


def _same(model: Model, row: tuple[Any, ...], expected: list[Any]) -> bool:
    """Return whether values are the same once each has the type of its column."""
    return all(there == field.to_python(value)
               for field, there, value in zip(model._meta.concrete_fields, row, expected, strict=True))
