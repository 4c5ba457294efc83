"""Where projections write: into the tables of the database, or into memory, when all events are gone through anew.

Both are spoken to in the same few words of Django's: create, bulk_create, filter, get, update_or_create. In memory a
million events are gone through in seconds, and nobody who works meanwhile waits for a lock.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from assaywright.records.models.kept import MadeFromEvents
from assaywright.records.projections.lengths import Measured

Model = type[MadeFromEvents]
Key = Any
_IN_MEMORY: "ContextVar[dict[Model, Table] | None]" = ContextVar("tables in memory", default=None)


def rows(model: Model) -> Any:
    """Return what a projection writes a table's rows with: the database's own, or the table in memory."""
    tables = _IN_MEMORY.get()
    if tables is None:
        return Measured(model)
    if model not in tables:
        tables[model] = Table(model)
    return tables[model]


@contextmanager
def in_memory(tables: "dict[Model, Table]") -> "Iterator[None]":
    """Let projections write into these tables, by their model; one that is not there yet is made."""
    before = _IN_MEMORY.set(tables)
    try:
        yield
    finally:
        _IN_MEMORY.reset(before)


class Table:
    """A table in memory: rows by key, each a list of values in the order of the fields."""

    def __init__(self, model: Model) -> None:
        fields = model._meta.concrete_fields
        self.model = model
        self.names = [field.attname for field in fields]
        self.place = {name: number for number, name in enumerate(self.names)}
        self.key = model._meta.pk.attname
        self.defaults = [field.get_default() for field in fields]
        self.rows: dict[Key, list[Any]] = {}
        self.indexes: dict[tuple[str, ...], dict[tuple[Any, ...], list[Key]]] = {}

    def create(self, **fields: Any) -> None:
        """Add a row.

        Raises:
            ValueError: one with its key is there.
        """
        row, place = self.defaults.copy(), self.place
        for name, value in fields.items():
            row[place[name]] = value
        key = row[place[self.key]]
        if key in self.rows:
            raise ValueError(f"{self.model._meta.verbose_name} {key} is there already")
        self.rows[key] = row
        for names, index in self.indexes.items():
            index.setdefault(tuple(row[place[name]] for name in names), []).append(key)

    def bulk_create(self, objects: Iterable[MadeFromEvents]) -> None:
        """Add the rows of objects that are not in the database."""
        for one in objects:
            self.create(**{name: getattr(one, name) for name in self.names})

    def update_or_create(self, *, defaults: dict[str, Any], **wanted: Any) -> None:
        """Give the row with this key other values, or add it."""
        found = self.filter(**wanted)
        if not found.update(**defaults):
            self.create(**wanted, **defaults)

    def get(self, **wanted: Any) -> MadeFromEvents:
        """Return the one row.

        Raises:
            LookupError: there is none, or more than one.
        """
        found = self.filter(**wanted)
        if len(found.keys) != 1:
            raise LookupError(f"{len(found.keys)} rows of {self.model._meta.verbose_name} for {wanted}")
        return self.as_object(found.keys[0])

    def filter(self, **wanted: Any) -> "Selected":
        """Return the rows whose fields have these values."""
        if "pk" in wanted:
            wanted[self.key] = wanted.pop("pk")
        if self.key in wanted and len(wanted) == 1:
            key = wanted[self.key]
            return Selected(self, [key] if key in self.rows else [])
        names = tuple(sorted(wanted))
        if names not in self.indexes:
            self.indexes[names] = self._index(names)
        return Selected(self, list(self.indexes[names].get(tuple(wanted[name] for name in names), ())))

    def _index(self, names: tuple[str, ...]) -> dict[tuple[Any, ...], list[Key]]:
        index: dict[tuple[Any, ...], list[Key]] = {}
        places = [self.place[name] for name in names]
        for key, row in self.rows.items():
            index.setdefault(tuple(row[place] for place in places), []).append(key)
        return index

    def change(self, keys: list[Key], fields: dict[str, Any]) -> None:
        """Give rows other values."""
        if self.indexes:
            for names in [names for names in self.indexes if not fields.keys().isdisjoint(names)]:
                del self.indexes[names]
        place, rows_ = self.place, self.rows
        for key in keys:
            row = rows_[key]
            for name, value in fields.items():
                row[place[name]] = value

    def as_object(self, key: Key) -> MadeFromEvents:
        """Return a row as an object that is not in the database."""
        return self.model(**dict(zip(self.names, self.rows[key], strict=True)))


class Selected:
    """Rows that were chosen of a table in memory."""

    def __init__(self, table: Table, keys: list[Key]) -> None:
        self.table = table
        self.keys = keys

    def update(self, **fields: Any) -> int:
        """Give the rows other values; return how many there are."""
        if self.keys:
            self.table.change(self.keys, fields)
        return len(self.keys)

    def order_by(self, name: str) -> "Selected":
        """Return the rows in the order of a field."""
        place, rows_ = self.table.place[name], self.table.rows
        return Selected(self.table, sorted(self.keys, key=lambda key: rows_[key][place]))

    def first(self) -> MadeFromEvents | None:
        """Return the first row, or None."""
        return self.table.as_object(self.keys[0]) if self.keys else None

    def last(self) -> MadeFromEvents | None:
        """Return the last row, or None."""
        return self.table.as_object(self.keys[-1]) if self.keys else None

    def exists(self) -> bool:
        """Return whether there is any."""
        return bool(self.keys)
