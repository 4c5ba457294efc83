"""Any list of the records: filtered, sorted, counted and cut into pages, in moments however long it is.

SQLite knows nothing of how often a value comes. Asked for what nearly every row is, sorted by something else, it would
gather and sort them all. So a condition that most rows meet is put in a form for which no index is used: then the list
is walked in its order, and the first page is full at once.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import Case, F, Model, Q, QuerySet, Value, When
from django.db.models.functions import Coalesce

from assaywright.records.selectors.searched import begins

ON_A_PAGE = 50
MOST_PAGES = 200
MOST_VALUES = 200
COMMON = 8  # a condition is common where one row of so many meets it
END_OF_DAY = "~"  # after every day, month and time of day that begin as a date does


@dataclass(frozen=True)
class Column:
    """A column of a list.

    Fields:
        name, words: in the address, and as its heading.
        field: of the table, by which it sorts and which is taken along; empty for none.
        text: of a row, what is taken along in place of the field.
        line: of a line, what is taken along of what is worked out for the page.
        ranked: keys of rows in the order of what is worked out, by which it sorts; rows it does not name come last.
    """

    name: str
    words: str
    field: str = ""
    sorts: bool = True
    number: bool = False
    text: Callable[[Any], str] | None = None
    line: Callable[[Any], str] | None = None
    ranked: Callable[[], Sequence[str]] | None = None


@dataclass(frozen=True)
class Filter:
    """What a list can be narrowed down by.

    Fields:
        name, words: in the address, and beside the field.
        field: of the table, to be equal; with ``begins`` to begin so.
        options: what there is to choose; without any a text is typed.
        condition: in place of the field, where that is not enough.
    """

    name: str
    words: str
    field: str = ""
    options: Callable[[], list[tuple[str, str]]] | None = None
    begins: bool = False
    condition: Callable[[str], Q] | None = None


@dataclass(frozen=True)
class Listed:
    """A list of the records.

    Fields:
        name: of the file that it is taken along as.
        usual: name of the column that it is sorted by at first; with a minus the other way round.
        period: field with the day that a period is about; empty for none, and its ``period_words``.
        first: order of the list at first, of one that is never long; asked for anew each time.
        lines: of some rows, in their order, the lines that the page shows them as.
        along: columns that are taken along beside those of the page.
    """

    name: str
    model: type[Model]
    columns: tuple[Column, ...]
    filters: tuple[Filter, ...]
    usual: str
    period: str = ""
    period_words: str = ""
    first: Callable[[], tuple[Any, ...]] | None = None
    lines: Callable[[Sequence[Any]], Sequence[Any]] | None = None
    along: tuple[Column, ...] = ()

    def column(self, name: str) -> Column | None:
        """Return the column of that name by which the list can be sorted."""
        return next((one for one in self.columns if one.name == name and one.sorts and (one.field or one.ranked)), None)


@dataclass(frozen=True)
class Wanted:
    """What is wanted of a list: values by the filters' names, a period, a column to sort by, and which page."""

    filters: Mapping[str, str]
    since: str = ""
    until: str = ""
    sort: str = ""
    page: int = 1


@dataclass(frozen=True)
class Found:
    """A page of a list.

    Fields:
        rows: on this page. count: how many are found. total: how many there are at all.
        page, pages: number of this page, and of the last one that is shown.
    """

    rows: list[Any]
    count: int
    total: int
    page: int
    pages: int


def values_of(model: type[Model], name: str) -> list[tuple[str, str]]:
    """Return the values that a field has, to choose from; found from one to the next by the field's index."""
    found: list[tuple[str, str]] = []
    last = ""
    while len(found) < MOST_VALUES:
        value = QuerySet(model).filter(**{f"{name}__gt": last}).order_by(name).values_list(name, flat=True).first()
        if value is None:
            break
        found.append((str(value), str(value)))
        last = str(value)
    return found


def words_of(*values: str) -> Callable[[], list[tuple[str, str]]]:
    """Return what there is to choose, where it is always the same."""
    return lambda: [(one, one) for one in values]


def found(listed: Listed, wanted: Wanted) -> Found:
    """Return one page of a list."""
    every: QuerySet[Any] = QuerySet(listed.model).all()
    total, matching = every.count(), _matching(every, listed, wanted, walked=False)
    count = matching.count() if _narrowed(wanted) else total
    pages = max(1, min(-(-count // ON_A_PAGE), MOST_PAGES))
    page = min(max(wanted.page, 1), pages)
    start = (page - 1) * ON_A_PAGE
    keys = list(_ordered(listed, wanted, count, total).values_list("pk", flat=True)[start:start + ON_A_PAGE])
    rows: dict[Any, Any] = QuerySet(listed.model).in_bulk(keys)
    return Found([rows[key] for key in keys if key in rows], count, total, page, pages)


def every_row(listed: Listed, wanted: Wanted) -> tuple[QuerySet[Any], int]:
    """Return all rows that are found, in their order, and how many they are."""
    every: QuerySet[Any] = QuerySet(listed.model).all()
    count = _matching(every, listed, wanted, walked=False).count()
    return _ordered(listed, wanted, count, every.count()), count


def _narrowed(wanted: Wanted) -> bool:
    return bool(any(wanted.filters.values()) or wanted.since or wanted.until)


def _ordered(listed: Listed, wanted: Wanted, count: int, total: int) -> QuerySet[Any]:
    walked = connection.vendor == "sqlite" and count * COMMON > total
    rows = _matching(QuerySet(listed.model).all(), listed, wanted, walked=walked)
    if listed.first and not listed.column(wanted.sort.removeprefix("-")):
        return rows.order_by(*listed.first())
    name = wanted.sort if listed.column(wanted.sort.removeprefix("-")) else listed.usual
    column = listed.column(name.removeprefix("-"))
    if column and column.ranked:
        keys = list(column.ranked())[::-1 if name.startswith("-") else 1]
        places = (When(pk=key, then=Value(place)) for place, key in enumerate(keys))
        ranked: QuerySet[Any] = rows.alias(rank=Case(*places, default=Value(len(keys)))).order_by("rank", "pk")
        return ranked
    way, by = "-" if name.startswith("-") else "", column.field if column else "pk"
    return rows.order_by(f"{way}{by}", *([] if by in ("pk", listed.model._meta.pk.attname) else [f"{way}pk"]))


def _matching(rows: QuerySet[Any], listed: Listed, wanted: Wanted, *, walked: bool) -> QuerySet[Any]:
    """Return the rows that meet the conditions; ``walked`` without an index for those that are fields."""
    by = listed.column((wanted.sort or listed.usual).removeprefix("-"))
    for one in listed.filters:
        text = wanted.filters.get(one.name, "")
        if not text:
            continue
        if one.condition is not None:
            rows = rows.filter(one.condition(text))
        elif one.begins:
            rows = rows.filter(begins(one.field, text))
        else:
            rows = _compared(rows, one.field, "exact", text, walked=walked and not (by and by.field == one.field))
    if listed.period:
        alone = walked and not (by and by.field == listed.period)
        if wanted.since:
            rows = _compared(rows, listed.period, "gte", wanted.since, walked=alone)
        if wanted.until:
            rows = _compared(rows, listed.period, "lte", wanted.until + END_OF_DAY, walked=alone)
    return rows


def _compared(rows: QuerySet[Any], name: str, how: str, text: str, *, walked: bool) -> QuerySet[Any]:
    if not walked:
        return rows.filter(**{f"{name}__{how}": text})
    alias = f"walked_{name}_{how}"
    found: QuerySet[Any] = rows.alias(**{alias: Coalesce(F(name), Value(""))}).filter(**{f"{alias}__{how}": text})
    return found
