"""What every list has in common: filters, headings to sort by, pages, and the list taken along as it is filtered.

All of it stands in the address, so that it works without script, and a list as somebody sees it can be passed on.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.http import urlencode

from assaywright.metrology.refusal import Refusal
from assaywright.records.selectors.listed import (
    END_OF_DAY,
    ON_A_PAGE,
    Column,
    Filter,
    Found,
    Listed,
    Wanted,
    every_row,
    found,
)
from assaywright.records.selectors.taken_along import taken_along
from assaywright.records.spreadsheet import csv_bytes, json_bytes, xlsx_bytes

DAY = re.compile(r"[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?")
MOST_OF_A_WORKBOOK = 100_000
LONGEST = 120
KINDS = {"csv": "text/csv; charset=utf-8",
         "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "json": "application/json"}
WRITTEN_LIKE = "a day is written like 2026-11-30, a month like 2026-11, a year like 2026"


@dataclass(frozen=True)
class Field:
    """A field of the filters: what stands in it, and what there is to choose; without that it is typed.

    Fields:
        trouble: in a sentence, why the list is not narrowed down by what stands in it.
        is_day: whether a day is chosen; not where a month or a year stands in it, which a chooser of days cannot show.
    """

    name: str
    words: str
    value: str
    options: tuple[tuple[str, str], ...]
    is_day: bool = False
    trouble: str = ""


@dataclass(frozen=True)
class Heading:
    """The heading of a column; ``href`` sorts by it, and ``sorted`` says how the list is: ascending, descending."""

    words: str
    href: str
    sorted: str
    number: bool


@dataclass(frozen=True)
class Listing:
    """A page of a list as a template shows it.

    Fields:
        says: how many there are, in words. narrowed: whether anything is filtered.
        before, after: addresses of the pages beside this one; empty where there is none.
        kept: names and values that the form of the filters carries on.
        exports: kinds of files with the addresses of the list as one.
    """

    name: str
    rows: list[Any]
    count: int
    says: str
    narrowed: bool
    fields: tuple[Field, ...]
    headings: tuple[Heading, ...]
    kept: tuple[tuple[str, str], ...]
    page: int
    pages: int
    before: str
    after: str
    plain: str
    exports: tuple[tuple[str, str], ...]


def listing(request: HttpRequest, listed: Listed, prefix: str = "") -> Listing:
    """Return the page of a list that an address asks for.

    Arguments:
        prefix: before the names in the address, where a page has several lists.
    """
    wanted = _wanted(request, listed, prefix)
    shown = found(listed, wanted)
    address = _Address(request, prefix)
    narrowed = bool(any(wanted.filters.values()) or wanted.since or wanted.until)
    fields = _fields(listed, _Asked(request, prefix), prefix)
    return Listing(
        listed.name, shown.rows, shown.count, _says(shown, narrowed=narrowed),
        narrowed or any(one.trouble for one in fields), fields,
        tuple(_heading(one, listed, wanted, address) for one in listed.columns), address.kept(listed),
        shown.page, shown.pages, address.to(page=str(shown.page - 1)) if shown.page > 1 else "",
        address.to(page=str(shown.page + 1)) if shown.page < shown.pages else "", request.path,
        tuple((kind.upper(), address.to(page="", **{"as": kind})) for kind in KINDS))


def exported(request: HttpRequest, listed: Listed, prefix: str = "") -> HttpResponse | None:
    """Return the list as the file that an address asks for, filtered and sorted as it is; None where it asks for none.

    Raises:
        Refusal: it is too long, or something that it should be narrowed down by cannot be.
    """
    kind = request.GET.get(f"{prefix}as", "")
    if kind not in KINDS:
        return None
    if trouble := next((one.trouble for one in _fields(listed, _Asked(request, prefix), prefix) if one.trouble), ""):
        raise Refusal(trouble.removesuffix("."), where=listed.name, remedy="filter it anew, then take it along")
    rows, count = every_row(listed, _wanted(request, listed, prefix))
    if kind == "xlsx" and count > MOST_OF_A_WORKBOOK:
        raise Refusal(f"{count:,} rows are more than a workbook is made of ({MOST_OF_A_WORKBOOK:,})", where=listed.name,
                      remedy="filter the list first, or take it along as CSV")
    heading, texts = taken_along(listed, rows, count)
    answer = HttpResponse(_file(kind, listed.name, heading, texts), content_type=KINDS[kind])
    answer.headers["Content-Disposition"] = f'attachment; filename="{listed.name.replace(" ", "-")}.{kind}"'
    return answer


def _file(kind: str, name: str, heading: list[str], texts: Iterator[list[str]]) -> bytes:
    if kind == "xlsx":
        return xlsx_bytes(name, heading, texts)
    return csv_bytes(heading, texts) if kind == "csv" else json_bytes(heading, texts)


class _Asked:
    """What an address asks of a list, as it stands there."""

    def __init__(self, request: HttpRequest, prefix: str) -> None:
        self.sent, self.prefix = request.GET, prefix

    def __call__(self, name: str) -> str:
        return " ".join(self.sent.get(f"{self.prefix}{name}", "").split())[:LONGEST]


class _Address:
    """The address of a list with something in it changed; what is empty is left out."""

    def __init__(self, request: HttpRequest, prefix: str) -> None:
        self.path, self.prefix = request.path, prefix
        self.sent = {name: request.GET.get(name, "")[:LONGEST] for name in request.GET}

    def to(self, **changed: str) -> str:
        """Return the address with these changed."""
        said = {**self.sent, **{f"{self.prefix}{name}": text for name, text in changed.items()}}
        query = urlencode({name: text for name, text in said.items() if text})
        return f"{self.path}?{query}" if query else self.path

    def kept(self, listed: Listed) -> tuple[tuple[str, str], ...]:
        """Return what a form of filters carries on: what is not a filter of its own, and not the page."""
        own = {f"{self.prefix}{name}" for name in (*(one.name for one in listed.filters), "from", "to", "page", "as")}
        return tuple((name, text) for name, text in self.sent.items() if name not in own and text)


def _wanted(request: HttpRequest, listed: Listed, prefix: str) -> Wanted:
    asked = _Asked(request, prefix)
    since, until, page = asked("from"), asked("to"), asked("page")
    return Wanted({one.name: asked(one.name) for one in listed.filters},
                  "" if _no_day(since) else since, "" if _no_day(until) else until, asked("sort"),
                  int(page) if page.isascii() and page.isdigit() and len(page) < 7 else 1)


def _no_day(text: str) -> str:
    """Return in a sentence why a text is no day, month or year; an empty text where it is one, or nothing."""
    if not text:
        return ""
    if not DAY.fullmatch(text):
        return f"“{text}” is no day: {WRITTEN_LIKE}. The list is not narrowed down by it."
    try:
        date.fromisoformat(f"{text}-01-01"[:10])
    except ValueError:
        return f"There is no day {text}: {WRITTEN_LIKE}. The list is not narrowed down by it."
    return ""


def _fields(listed: Listed, asked: _Asked, prefix: str) -> tuple[Field, ...]:
    fields = [_chosen(one, asked(one.name), prefix) for one in listed.filters]
    if listed.period:
        since, until = asked("from"), asked("to")
        fields += [_of_a_day(f"{prefix}from", f"{listed.period_words} from", since, _no_day(since)),
                   _of_a_day(f"{prefix}to", "to", until, _no_day(until) or _before(since, until))]
    return tuple(fields)


def _chosen(one: Filter, text: str, prefix: str) -> Field:
    """Return a field with what there is to choose, and with what is asked for though it is not among that."""
    options = tuple(one.options()) if one.options else ()
    if not one.options or not text or text in {value for value, _ in options}:
        return Field(f"{prefix}{one.name}", one.words, text, options)
    return Field(f"{prefix}{one.name}", one.words, text, (*options, (text, f"{text} (there is none)")))


def _of_a_day(name: str, words: str, text: str, trouble: str) -> Field:
    return Field(name, words, text, (), is_day=not text or (len(text) == len("2026-11-30") and not trouble),
                 trouble=trouble)


def _before(since: str, until: str) -> str:
    """Return in a sentence that a period ends before it begins; an empty text where it does not."""
    if not since or not until or _no_day(since) or until + END_OF_DAY >= since:
        return ""
    return f"{until} is before {since}, so nothing lies between them."


def _heading(column: Column, listed: Listed, wanted: Wanted, address: _Address) -> Heading:
    chosen = listed.column(wanted.sort.removeprefix("-")) is not None
    present = wanted.sort if chosen else "" if listed.first else listed.usual
    if not column.sorts or not (column.field or column.ranked):
        return Heading(column.words, "", "", column.number)
    state = {column.name: "ascending", f"-{column.name}": "descending"}.get(present, "")
    turned = f"-{column.name}" if state == "ascending" else column.name
    return Heading(column.words, address.to(sort=turned, page=""), state, column.number)


def _says(shown: Found, *, narrowed: bool) -> str:
    first = (shown.page - 1) * ON_A_PAGE + 1
    span = f", {first:,} to {first + len(shown.rows) - 1:,} shown" if shown.count > len(shown.rows) else ""
    return f"{shown.count:,} of {shown.total:,}{span}" if narrowed else f"{shown.count:,}{span}"
