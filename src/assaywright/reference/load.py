"""Read the cited tables of ``reference/data``: the only place in the program that opens them."""

import csv
import hashlib
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from assaywright.metrology.refusal import Refusal

STATUSES = ("read", "recalled", "measured")
SOURCES = "sources"

Row = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """One cited table as it lies in the package.

    Fields:
        name: name of the file without its ending.
        rows: one read-only mapping from heading to text per row.
        sha256: hash of the text with plain line ends, for the record of a result that rests on it.
    """

    name: str
    rows: tuple[Row, ...]
    sha256: str


def names() -> tuple[str, ...]:
    """Return the names of all tables, in alphabetical order."""
    folder = files("assaywright.reference") / "data"
    return tuple(sorted(entry.name.removesuffix(".csv") for entry in folder.iterdir() if entry.name.endswith(".csv")))


@cache
def table(name: str) -> Table:
    """Return a table, read once and kept.

    Raises:
        Refusal: no such table, a heading that is missing, empty or given twice, a row with too few or too many fields,
            a row without a known source, or a row whose status is not one of :data:`STATUSES`.
    """
    file = files("assaywright.reference") / "data" / f"{name}.csv"
    if not file.is_file():
        raise Refusal(f"there is no reference table '{name}'", where="reference",
                      remedy=f"use one of {', '.join(names())}")
    content = file.read_text(encoding="utf-8").replace("\r\n", "\n")
    rows = tuple(_rows(name, content))
    if name != SOURCES:
        _check_citations(name, rows)
    return Table(name, rows, hashlib.sha256(content.encode()).hexdigest())


@cache
def by_key(name: str) -> Mapping[str, Row]:
    """Return a table's rows by the text in its column ``key``.

    Raises:
        Refusal: a key is given twice, or see :func:`table`.
    """
    found: dict[str, Row] = {}
    for number, row in enumerate(table(name).rows, start=2):
        if row["key"] in found:
            raise Refusal(f"the key '{row['key']}' is given twice", where=_line(name, number),
                          remedy="keep one row per key")
        found[row["key"]] = row
    return MappingProxyType(found)


def source(key: str) -> Row:
    """Return the row of ``sources.csv`` that a citation names.

    Raises:
        Refusal: there is no such source.
    """
    try:
        return by_key(SOURCES)[key]
    except KeyError:
        raise Refusal(f"there is no source '{key}'", where="reference/data/sources.csv",
                      remedy="add the source before the rows that rest on it") from None


def citation(row: Row) -> str:
    """Return who says so, in words: author, title, year, edition and the place within it.

    Example:
        >>> from assaywright.reference.load import by_key, citation
        >>> citation(by_key("glass_expansion")["borosilicate glass 3.3"])
        'ISO, ISO 4787 Laboratory glass and plastic ware: testing of capacity (2010), temperature note'
    """
    cited = source(row["source"])
    edition = "" if cited["edition"] == cited["year"] else cited["edition"]
    dated = f"{cited['title']} ({cited['year']})" if cited["year"] else cited["title"]
    return ", ".join(part for part in (cited["author"], dated, edition, row["locator"]) if part)


def number(text: str) -> float | None:
    """Return the figure that a field of a table holds, none where the field is blank."""
    return float(text) if text else None


def _rows(name: str, text: str) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    headings = next(reader, [])
    if not headings or not all(headings) or len(set(headings)) != len(headings):
        raise Refusal("a heading is missing, empty or given twice", where=_line(name, 1),
                      remedy="give each column one name")
    for number, fields in enumerate(reader, start=2):
        if len(fields) != len(headings):
            raise Refusal(f"{len(fields)} fields under {len(headings)} headings", where=_line(name, number),
                          remedy="quote a field that holds a comma")
        yield MappingProxyType(dict(zip(headings, fields, strict=True)))


def _check_citations(name: str, rows: tuple[Row, ...]) -> None:
    known = by_key(SOURCES)
    for number, row in enumerate(rows, start=2):
        if row.get("source", "") not in known:
            raise Refusal(f"the source '{row.get('source', '')}' is not known", where=_line(name, number),
                          remedy="name a key of sources.csv")
        if row.get("status", "") not in STATUSES:
            raise Refusal(f"the status '{row.get('status', '')}' is not known", where=_line(name, number),
                          remedy=f"use one of {', '.join(STATUSES)}")


def _line(name: str, number: int) -> str:
    return f"reference/data/{name}.csv, line {number}"
