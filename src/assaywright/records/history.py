"""Histories kept in spreadsheets before: columns mapped once in a small TOML file, read whole or not at all.

What comes in is marked as unverified: nobody has seen its raw data. It serves charts and comparisons, no certificate.
"""

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import partial
from itertools import islice
from typing import Any

from assaywright.assay.reading.dates import read_day
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_number, shown
from assaywright.metrology.units import canonical
from assaywright.records.spreadsheet import Figure, check_unpacked, read_csv, read_xlsx, sheets_of, written_how

FORMAT = "assaywright history 1"
MOST_BYTES, MOST_ROWS, MOST_UNPACKED = 50_000_000, 200_000, 200_000_000
FIELDS = {"lot": 60, "product": 120, "performed": 32, "value": 40, "unit": 20, "uncertainty": 200, "method": 200,
          "analyst": 100, "remark": 1000}
SETTINGS = {"format", "source", "decimal_mark", "thousands", "dates", "sheet", "separator", "encoding", "header_row",
            "columns", "fixed"}
THOUSANDS = ("", ".", ",", " ", "'", "’")
SPACES = str.maketrans(dict.fromkeys("\u00a0\u2007\u2009\u202f", " "))
DATES = {"year-month-day": (0, 1, 2), "day-month-year": (2, 1, 0), "month-day-year": (2, 0, 1)}
XLSX = ".xlsx"
BELOW_ZERO = ("1", "°C")  # a pH, and a temperature


@dataclass(frozen=True, slots=True)
class Mapping:
    """How a spreadsheet is read.

    Fields:
        source: name of the history.
        decimal_mark, thousands: of numbers that stand there as text.
        dates: order of day, month and year.
        columns: what we call it to the column's heading.
        fixed: what is the same in every row.
    """

    source: str
    decimal_mark: str
    thousands: str
    dates: str
    columns: dict[str, str]
    fixed: dict[str, str]
    sheet: str = ""
    separator: str = ","
    encoding: str = "utf-8"
    header_row: int = 1


@dataclass
class HistoryRead:
    """What a spreadsheet holds.

    Fields:
        rows: each with its number in the spreadsheet, its fields and the value as it stood there.
        troubles: in sentences, each with its row; with any of them nothing is imported.
    """

    rows: list[dict[str, Any]] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)


def read_mapping(data: bytes, path: str) -> Mapping:
    """Return how a spreadsheet is to be read.

    Raises:
        Refusal: it is no such file, a setting is unknown or missing, or means nothing.
    """
    try:
        table = tomllib.loads(data.decode())
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise Refusal(f"the file is no TOML ({problem})", where=path, remedy="correct it there") from problem
    try:
        return mapping_of(table)
    except Refusal as refusal:
        raise refusal.at(path) from None


def mapping_of(table: dict[str, Any]) -> Mapping:
    """Return how a spreadsheet is to be read, from a table of settings.

    Raises:
        Refusal: a setting is unknown or missing, or means nothing.
    """
    if table.get("format") != FORMAT:
        raise Refusal("it does not say what it is", where="format", remedy=f'begin it with format = "{FORMAT}"')
    for key in table:
        _among("setting", key, SETTINGS)
    if "decimal_mark" not in table:
        raise Refusal('it is not said whether "1,002" is a little more than one or a thousand and two',
                      where="decimal_mark", remedy='write decimal_mark = "." or decimal_mark = ","')
    if "dates" not in table:
        raise Refusal('it is not said whether "03/04/2019" is in March or in April', where="dates",
                      remedy=f"write dates = with one of {', '.join(DATES)}")
    columns, fixed = _texts(table, "columns"), _texts(table, "fixed")
    for key in (*columns, *fixed):
        _among("field", key, FIELDS)
    for needed in ("value", "unit"):
        if needed not in {*columns, *fixed}:
            raise Refusal(f"no column is named for the {needed}", where="columns", remedy=f'add {needed} = "HEADING"')
    if twice := columns.keys() & fixed.keys():
        raise Refusal(f"'{min(twice)}' is both a column and fixed", where="fixed", remedy="leave one of them out")
    plain = {key: table[key] for key in ("source", "decimal_mark", "thousands", "dates", "sheet", "separator",
                                         "encoding") if key in table}
    for key, value in plain.items():
        if not isinstance(value, str):
            raise Refusal("it is no text", where=key, remedy="write it in quotes")
    header = table.get("header_row", 1)
    if isinstance(header, bool) or not isinstance(header, int) or not 1 <= header <= 100:
        raise Refusal(f"{header} is no row that headings stand in", where="header_row", remedy="write its number")
    made = Mapping(columns=columns, fixed=fixed, header_row=header, **{"source": "", "thousands": "", **plain})
    _check(made)
    return made


def _check(made: Mapping) -> None:
    if not made.source.strip() or len(made.source) > 200:
        raise Refusal("the history has no name, or one that is too long", where="source",
                      remedy='write source = "Assay book 2019 to 2024"')
    _among("decimal mark", made.decimal_mark, {".", ","}, "decimal_mark")
    _among("order of dates", made.dates, DATES, "dates")
    _among("separator of thousands", made.thousands, THOUSANDS, "thousands")
    if made.thousands == made.decimal_mark:
        raise Refusal("decimal mark and separator of thousands are the same", where="thousands",
                      remedy="see how a large number is written in the spreadsheet")
    if len(made.separator) != 1:
        raise Refusal("the separator is not one character", where="separator", remedy='write separator = ";"')


def _texts(table: dict[str, Any], name: str) -> dict[str, str]:
    found = table.get(name, {})
    if not isinstance(found, dict) or not all(isinstance(one, str) for one in found.values()):
        raise Refusal("it is no table of texts", where=name, remedy='write lines like lot = "Batch no."')
    return dict(found)


def _among(what: str, value: str, known: Any, where: str = "") -> None:
    if value not in known:
        choice = ", ".join(f'"{one}"' for one in sorted(known))
        raise Refusal(f"there is no {what} '{shown(value)}'", where=where, remedy=f"choose among {choice}")


@dataclass(frozen=True, slots=True)
class LookedAt:
    """What a spreadsheet is before it is known how to read it.

    Fields:
        headings: of its columns, in the row that is said to hold them.
        first: the rows after it, a few, as they stand there.
        sheets: of a workbook; empty of a CSV file.
        sheet: the one that is looked at; empty where it has to be chosen.
        separator, encoding: of a CSV file, as they show.
    """

    headings: tuple[str, ...]
    first: tuple[tuple[str, ...], ...]
    sheets: tuple[str, ...]
    sheet: str
    separator: str
    encoding: str


def look_at(
    data: bytes, path: str, *, sheet: str = "", header_row: int = 1, separator: str = "", encoding: str = "",
    first: int = 3,
) -> LookedAt:
    """Return what a spreadsheet is: its sheets, its headings and its first rows.

    Arguments:
        sheet: of a workbook with several.
        separator, encoding: of a CSV file, where they are other than the file itself shows.
        first: how many rows.

    Raises:
        Refusal: it cannot be read at all.
    """
    sheets: tuple[str, ...] = ()
    if not data.strip() or data.startswith(b"%PDF"):
        raise Refusal("the file is empty, or no spreadsheet", where=path, remedy="choose a CSV or XLSX file")
    try:
        if path.casefold().endswith(XLSX):
            check_unpacked(data, MOST_UNPACKED)
            sheets = sheets_of(data)
            sheet = sheet if sheet in sheets else sheets[0] if len(sheets) == 1 else ""
            rows = read_xlsx(data, sheet=sheet) if sheet else iter(())
        else:
            shows = written_how(data)
            separator, encoding = separator or shows[0], encoding or shows[1]
            rows = read_csv(data, separator=separator, encoding=encoding)
        found = [cells for _, cells in islice(rows, max(0, header_row - 1), header_row + first)]
    except Refusal as refusal:
        raise refusal.at(path) from None
    headings = tuple(cell.strip() for cell in found[0]) if found else ()
    return LookedAt(headings, tuple(tuple(row) for row in found[1:]), sheets, sheet, separator, encoding)


def read_history(data: bytes, path: str, mapping: Mapping, *, today: date) -> HistoryRead:
    """Return what a spreadsheet holds, with what is wrong row by row.

    Arguments:
        today: the laboratory's day; no result is of a later one.

    Raises:
        Refusal: the file cannot be read at all, or a column is not there.
    """
    if len(data) > MOST_BYTES:
        raise Refusal("the file is larger than 50 MB", where=path, remedy="divide it")
    try:
        rows = (read_xlsx(data, sheet=mapping.sheet) if path.casefold().endswith(XLSX)
                else read_csv(data, separator=mapping.separator, encoding=mapping.encoding))
        return _read(rows, mapping, today)
    except Refusal as refusal:
        raise refusal.at(path) from None


def _read(rows: Iterator[tuple[int, list[str]]], mapping: Mapping, today: date) -> HistoryRead:
    places: dict[str, int] | None = None
    found = HistoryRead()
    for count, (number, cells) in enumerate(rows, 1):
        if count < mapping.header_row:
            continue
        if places is None:
            places = _places([cell.strip() for cell in cells], mapping, number)
            continue
        texts = {key: cells[place].strip() if not isinstance(cells[place], Figure) else cells[place]
                 for key, place in places.items() if place < len(cells)}
        if not any(texts.values()):
            continue
        row, faults = _row({**mapping.fixed, **texts}, mapping, today)
        found.troubles += [str(one.at(f"row {number}")) for one in faults]
        if not faults:
            found.rows.append({"row": number, **row})
        if len(found.rows) > MOST_ROWS:
            raise Refusal(f"there are more than {MOST_ROWS:,} rows", remedy="divide the file")
    if places is None:
        raise Refusal(f"there is no row {mapping.header_row} with headings", remedy="correct header_row")
    if not found.rows and not found.troubles:
        raise Refusal("there is no row with anything in it", remedy="see whether it is the right file and sheet")
    return found


def _places(headings: list[str], mapping: Mapping, number: int) -> dict[str, int]:
    places = {}
    for key, heading in mapping.columns.items():
        if headings.count(heading) != 1:
            what = "more than one column" if heading in headings else "no column"
            raise Refusal(f"row {number} has {what} '{shown(heading)}'", where=f"columns.{key}",
                          remedy=f"name one of: {', '.join(shown(one) for one in headings if one) or 'none there'}")
        places[key] = headings.index(heading)
    return places


def _row(texts: dict[str, str], mapping: Mapping, today: date) -> tuple[dict[str, Any], list[Refusal]]:
    """Return one row's fields, the value as a plain decimal and beside it as it stood there; and what is wrong."""
    faults: list[Refusal] = []

    def at(where: str, read: Callable[[str], str]) -> str:
        try:
            return read(texts.get(where, ""))
        except Refusal as refusal:
            faults.append(refusal.at(where))
            return ""

    for key in texts:
        at(key, partial(_kept, most=FIELDS[key]))
    if faults:
        return {}, faults
    if not texts.get("lot") and not texts.get("product"):
        faults.append(Refusal("neither lot nor product is named", where="lot", remedy="enter one of them"))
    row: dict[str, Any] = {key: str(text) for key, text in texts.items() if text}
    unit = at("unit", lambda text: canonical(_there(text, "unit")))
    row |= {"value": at("value", lambda text: _value(text, unit, mapping)), "as_typed": str(texts.get("value", "")),
            "unit": unit}
    if texts.get("performed"):
        row["performed"] = at("performed", lambda text: _past(day_of(text, mapping.dates), today))
    return row, faults


def _kept(text: str, most: int) -> str:
    if len(text) > most:
        raise Refusal(f"{len(text)} characters are too many", remedy=f"keep to {most}")
    if "\x00" in text:
        raise Refusal("the text holds a zero byte", remedy="take it out")
    return text


def _there(text: str, what: str) -> str:
    if not text:
        raise Refusal(f"there is no {what}", remedy="enter it, or empty the row")
    return text


def _value(text: str, unit: str, mapping: Mapping) -> str:
    """Return a result as a plain decimal; below zero only where its unit allows that."""
    value = number_of(_there(text, "value"), mapping)
    if len(value) > FIELDS["value"]:
        raise Refusal("no measurement gives so many digits", remedy="give the figure as read")
    if Decimal(value) < 0 and unit and unit not in BELOW_ZERO:
        raise Refusal(f"{shown(str(text))} {unit} is below zero, and no content is",
                      remedy="correct it in the spreadsheet")
    return value


def _past(day: date, today: date) -> str:
    if day > today:
        raise Refusal(f"{day} is still to come", remedy="correct the day in the spreadsheet")
    return day.isoformat()


def number_of(text: str, mapping: Mapping) -> str:
    """Return a number as a plain decimal with every digit that was typed.

    Raises:
        Refusal: no number, digits grouped otherwise than by threes, or one that may mean two numbers.
    """
    if isinstance(text, Figure):
        return format(Decimal(text), "f")
    plain = (text.translate(SPACES) if mapping.thousands == " " else text).strip()
    if mapping.thousands and mapping.thousands in plain:
        mark, by = re.escape(mapping.decimal_mark), re.escape(mapping.thousands)
        if not re.fullmatch(rf"[+−–-]?[0-9]{{1,3}}({by}[0-9]{{3}})+({mark}[0-9]+)?", plain):
            raise Refusal(f'the digits of "{shown(text)}" are not grouped by threes',
                          remedy="correct the number, or the setting thousands")
        plain = plain.replace(mapping.thousands, "")
    value = read_number(plain, decimal_mark=mapping.decimal_mark)
    return format(value, "f")


def day_of(text: str, order: str) -> date:
    """Return a day written in a stated order; a day year first is read always.

    Raises:
        Refusal: no day, or one that does not exist.
    """
    parts = re.fullmatch(r"([0-9]{1,4})[./-]([0-9]{1,2})[./-]([0-9]{1,4})", text.strip())
    if not parts:
        return read_day(text.split(maxsplit=1)[0] if re.fullmatch(r"[0-9-]{10} [0-9:.]+", text) else text)
    pieces = parts.groups()
    places = DATES["year-month-day"] if len(pieces[0]) == 4 else DATES[order]
    year, month, day = (pieces[place] for place in places)
    if len(year) != 4:
        raise Refusal(f'the year of "{shown(text)}" has not four digits', remedy="write it with four")
    return read_day(f"{year}-{int(month):02}-{int(day):02}")
