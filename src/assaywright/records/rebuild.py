"""Making the tables anew from the events, and seeing whether they were what the events say."""

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from assaywright.records.chain import canonical
from assaywright.records.models import Event, Head
from assaywright.records.models.kept import MadeFromEvents
from assaywright.records.named_rows import differences as differences_of
from assaywright.records.named_rows import named
from assaywright.records.projections import projected_models
from assaywright.records.projections.tables import Model, Table
from assaywright.records.replay import CHUNK, replayed


def rebuild() -> int:
    """Empty the tables that are made from events and make them anew; return the number of events."""
    with transaction.atomic():
        Head.objects.select_for_update().get(pk=Head.ONLY)  # whoever appends an event waits
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
    place = ought.place[ought.key]
    unexpected, changed = [], []
    for values in QuerySet(model).values_list(*ought.names).iterator(CHUNK):
        expected = ought.rows.pop(values[place], None)
        if expected is None:
            unexpected.append(not_made(model, ought.names, values))
        elif list(values) != expected:
            changed += changes(model, ought.names, values, expected)
    missing = [lost(model, ought.names, values) for values in ought.rows.values()]
    return unexpected + missing + changed


def not_made(model: Model, names: Sequence[str], values: Sequence[Any]) -> str:
    """Return in a sentence that a row has no event behind it."""
    return f"{named(model, dict(zip(names, values, strict=True)))} is in the table, and no event made it"


def lost(model: Model, names: Sequence[str], values: Sequence[Any]) -> str:
    """Return in a sentence that a row is not there."""
    return f"{named(model, dict(zip(names, values, strict=True)))} is missing from the table, though an event made it"


def changes(model: Model, names: Sequence[str], values: Sequence[Any], expected: Sequence[Any]) -> list[str]:
    """Return in a sentence what differs in a row once each value has the type of its column; none where nothing does.

    Arguments:
        names: of the columns.
        values: as they are in the table.
        expected: as the events say.
    """
    typed = [field.to_python(value) for field, value in zip(model._meta.concrete_fields, expected, strict=True)]
    if list(values) == typed:
        return []
    there, ought = dict(zip(names, values, strict=True)), dict(zip(names, typed, strict=True))
    return [f"{named(model, ought)}: {'; '.join(differences_of(there, ought))}"]
