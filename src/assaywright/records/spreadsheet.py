"""Tables out to spreadsheets, and spreadsheets in. What goes out is text or number, and never a formula.

A cell that begins with =, +, -, @, a tab or a line break is run by a spreadsheet as a formula, whoever typed it into a
name or a remark; so in CSV an apostrophe is put in front of it, and in XLSX the cell is marked as text. Plain numbers
stay what they are; a :class:`Figure` is a number in XLSX and JSON too, with its decimals.
(The list of first characters: OWASP, CSV Injection, from memory.)
"""

import csv
import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Any
from xml.etree.ElementTree import ParseError

from assaywright.metrology.refusal import Refusal

STARTS = ("=", "+", "-", "−", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
PLAIN_NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?([eE][+-]?[0-9]+)?")
ILLEGAL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
DECIMALS = re.compile(r"0\.(0+)")
FIGURE = re.compile(r"-?(0|[1-9][0-9]{0,14})(?:\.([0-9]{1,14}))?")  # a number of JSON that a spreadsheet keeps whole
Row = Sequence[str]
DAMAGED = (zipfile.BadZipFile, zlib.error, ParseError, ArithmeticError, AttributeError, EOFError, LookupError, OSError,
           NotImplementedError, RuntimeError, TypeError, ValueError)
"""What reading a damaged workbook raises, wherever the damage is."""


class Figure(str):
    """The text of a cell that held a number: its decimal mark is a point, whatever mark the texts beside it bear."""

    __slots__ = ()


def figure(text: str) -> str:
    """Return the text of a computed number as a :class:`Figure`; any other text as it is."""
    plain = text.replace("−", "-")
    return Figure(plain) if FIGURE.fullmatch(plain) else text


def harmless(text: str) -> str:
    """Return a text as a cell of CSV that no spreadsheet takes for a formula."""
    if text.lstrip(" ").startswith(STARTS) and not PLAIN_NUMBER.fullmatch(text):
        return f"'{text}"
    return text


def csv_bytes(heading: Row, rows: Iterable[Row]) -> bytes:
    """Return a table as CSV: UTF-8 with its mark, so that spreadsheets read the letters aright; RFC 4180."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_MINIMAL, lineterminator="\r\n")
    for row in (heading, *rows):
        writer.writerow([harmless(cell) for cell in row])
    return out.getvalue().encode("utf-8-sig")


def xlsx_bytes(title: str, heading: Row, rows: Iterable[Row]) -> bytes:
    """Return a table as XLSX, each cell a text as it is on record, or a figure's number; none is a formula."""
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    sheet = book.create_sheet(re.sub(r"[\[\]:*?/\\]", " ", title)[:31] or "table")
    for row in (heading, *rows):
        cells = []
        for text in row:
            if isinstance(text, Figure) and (found := FIGURE.fullmatch(text)):
                cell = WriteOnlyCell(sheet, value=float(text) if found[2] else int(text))
                cell.number_format = f"0.{'0' * len(found[2])}" if found[2] else "0"
                cells.append(cell)
                continue
            cell = WriteOnlyCell(sheet, value=ILLEGAL.sub("", text))
            cell.data_type = "s"  # openpyxl would take what begins with = for a formula
            cell.quotePrefix = text.startswith(STARTS)
            cells.append(cell)
        sheet.append(cells)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def json_bytes(heading: Row, rows: Iterable[Row]) -> bytes:
    """Return a table as JSON: objects by the headings, a figure as number as it is written, all else as text."""
    def told(text: str) -> str:
        is_number = isinstance(text, Figure) and FIGURE.fullmatch(text)
        return str(text) if is_number else json.dumps(text, ensure_ascii=False)

    names = [json.dumps(one, ensure_ascii=False) for one in heading]
    objects = ("{" + ", ".join(f"{name}: {told(text)}" for name, text in zip(names, row, strict=True)) + "}"
               for row in rows)
    return ("[" + ",\n ".join(objects) + "]\n").encode()


def written_how(data: bytes) -> tuple[str, str]:
    """Return what stands between the columns of a CSV file, and its encoding.

    The semicolon or the tab, whichever more lines hold, and a comma only where neither is there; UTF-8, and what is
    none as Windows writes it.

    Raises:
        Refusal: it is no text.
    """
    for encoding, read_as in (("utf-8", "utf-8-sig"), ("cp1252", "cp1252")):
        try:
            lines = data.decode(read_as).splitlines()[:200]
        except UnicodeDecodeError:
            continue
        counts = {mark: sum(mark in line for line in lines) for mark in (";", "\t")}
        best = max(counts, key=lambda mark: counts[mark])
        return best if counts[best] else ",", encoding
    raise Refusal("the file is no text", remedy="save it as CSV or XLSX")


def check_unpacked(data: bytes, most: int) -> None:
    """Refuse a workbook that is none, or unpacks to more than ``most`` [bytes]."""
    try:
        unpacked = sum(one.file_size for one in zipfile.ZipFile(io.BytesIO(data)).infolist())
    except DAMAGED:
        raise Refusal("the file is no XLSX workbook", remedy="save it as XLSX or CSV") from None
    if unpacked > most:
        raise Refusal(f"the workbook unpacks to more than {most // 1_000_000} MB", remedy="save its table as CSV")


def sheets_of(data: bytes) -> tuple[str, ...]:
    """Return the names of a workbook's sheets.

    Raises:
        Refusal: it is no XLSX.
    """
    from openpyxl import load_workbook

    try:
        return tuple(load_workbook(io.BytesIO(data), read_only=True).sheetnames)
    except DAMAGED as problem:
        raise Refusal("the file is no XLSX workbook", remedy="save it as XLSX or CSV") from problem


def read_csv(data: bytes, *, separator: str, encoding: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows of a CSV file with the line on which each begins.

    Raises:
        Refusal: it is not of this encoding, or a quote is not closed.
    """
    try:
        text = data.decode("utf-8-sig" if encoding == "utf-8" else encoding)
    except (UnicodeDecodeError, LookupError) as problem:
        raise Refusal(f"the file is not {encoding}", remedy='set encoding = "cp1252", or save it as UTF-8') from problem
    if "\x00" in text:
        raise Refusal("the file holds zero bytes, and no text does", remedy="save it as CSV")
    reader, line = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True), 1
    try:
        for row in reader:
            yield line, row
            line = reader.line_num + 1
    except csv.Error as problem:
        raise Refusal(f"line {line}: {problem}", remedy="correct the quotes in that line") from problem


def read_xlsx(data: bytes, *, sheet: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows of a sheet with their numbers, each cell as text; of a formula its value as it was last saved.

    Raises:
        Refusal: it is no XLSX, or has no such sheet.
    """
    from openpyxl import load_workbook

    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except DAMAGED as problem:
        raise Refusal("the file is no XLSX workbook", remedy="save it as XLSX or CSV") from problem
    if sheet and sheet not in book.sheetnames:
        raise Refusal(f"there is no sheet '{sheet}'", remedy=f"name one of {', '.join(book.sheetnames)}")
    if not sheet and len(book.sheetnames) > 1:
        raise Refusal("the workbook has several sheets", remedy=f'set sheet = to one of {", ".join(book.sheetnames)}')
    rows = None
    while True:
        try:
            rows = rows or enumerate(book[sheet or book.sheetnames[0]].iter_rows(), 1)
            number, row = next(rows)
            cells = [_cell(cell.value, getattr(cell, "number_format", "")) for cell in row]
        except StopIteration:
            return
        except DAMAGED as problem:
            raise Refusal("the workbook is damaged", remedy="save it anew as XLSX or CSV") from problem
        yield number, cells


def _cell(value: Any, number_format: str) -> str:
    """Return a cell as text: a day year first, a number with the decimals that its format shows, if none is lost."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time().isoformat() == "00:00:00" else value.isoformat(" ")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        text = format(value, ".15g")
        found = DECIMALS.fullmatch(number_format)
        padded = format(value, f".{len(found[1])}f") if found else text
        return Figure(padded if float(padded) == float(text) else text)
    return str(value)
