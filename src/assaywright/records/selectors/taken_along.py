"""A list as it is taken along: the columns of its table, and those that are worked out for its page.

What has to be worked out is worked out a few hundred rows at a time; so it is done up to a limit only, within which an
answer still comes in a moment.
"""

import calendar
from collections.abc import Callable, Iterator
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from assaywright.metrology.refusal import Refusal
from assaywright.records.lists import table_of
from assaywright.records.selectors.listed import Column, Listed
from assaywright.records.spreadsheet import figure

AT_ONCE = 200
MOST_WORKED_OUT = 20_000


def taken_along(listed: Listed, rows: QuerySet[Any], count: int) -> tuple[list[str], Iterator[list[str]]]:
    """Return the headings of a list, and its rows in their order; numbers worked out as figures.

    Arguments:
        count: how many rows there are.

    Raises:
        Refusal: there are more than can be worked out at once.
    """
    columns = [one for one in (*listed.columns, *listed.along) if one.text or one.field or one.line]
    if listed.lines is None or not any(one.line for one in columns):
        return table_of(rows, [(one.words, one.text or one.field) for one in columns])
    if count > MOST_WORKED_OUT:
        raise Refusal(f"{count:,} rows are more than are worked out at once ({MOST_WORKED_OUT:,})", where=listed.name,
                      remedy="filter the list first")
    return [one.words for one in columns], _worked_out(listed.lines, columns, rows)


def _worked_out(lines: Callable[[Any], Any], columns: list[Column], rows: QuerySet[Any]) -> Iterator[list[str]]:
    walked = rows.iterator(AT_ONCE)
    while some := list(islice(walked, AT_ONCE)):
        for row, line in zip(some, lines(some), strict=True):
            yield [_cell(one, row, line) for one in columns]


def _cell(column: Column, row: Any, line: Any) -> str:
    if column.line:
        return figure(column.line(line)) if column.number else column.line(line)
    return column.text(row) if column.text else str(getattr(row, column.field))


def last_day_of(use_before: str) -> str:
    """Return the last day on which something may be used: of a month its last one; as it stands where it is neither."""
    parts = use_before.split("-")
    if len(parts) != 2 or not all(one.isascii() and one.isdigit() for one in parts) or not 1 <= int(parts[1]) <= 12:
        return use_before
    return f"{use_before}-{calendar.monthrange(max(int(parts[0]), 1), int(parts[1]))[1]:02}"
