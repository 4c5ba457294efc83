"""A calibration certificate as a spreadsheet: a column for each quantity, and facts in two cells above them.

A semicolon or a tab between the columns is read, and a decimal comma; whether a comma is one, the file's other figures
have to show. The unit stands in the heading, in the cell, or in a column of its own.
"""

import re
from decimal import Decimal

from assaywright.assay.reading.dates import read_day
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_number, shown
from assaywright.records.certificate_files.stated import CORRECTION, ERROR, TRUE_VOLUME, Amount, Point, Stated
from assaywright.records.certificate_files.words import (
    FACTOR,
    POSITION,
    STANDARD,
    UNCERTAINTY,
    UNIT,
    UNSAID,
    Heading,
    heading,
    unit_of,
)
from assaywright.records.spreadsheet import Figure, check_unpacked, read_csv, read_xlsx, written_how

MOST_ROWS, MOST_UNPACKED = 2000, 20_000_000
FOUND, UNCERTAINTIES = (CORRECTION, ERROR, TRUE_VOLUME), (UNCERTAINTY, STANDARD, UNSAID)
FACTS = {
    "id": ("certificate", "certificate number", "certificate no.", "certificate no", "calibration certificate"),
    "issued": ("issued", "issued on", "date of issue", "calibrated on", "calibration date", "date of calibration"),
    "due": ("due", "valid through", "valid until", "recalibration due", "next calibration"),
    "traceable_to": ("traceable to", "traceability"),
    "number": ("number", "instrument", "serial number", "identification", "inventory number"),
}
COMMA = re.compile(r"[+−–-]?(0,[0-9]+|[0-9]+,([0-9]{1,2}|[0-9]{4,}))(?![0-9])")
POINT = re.compile(r"[+−–-]?(0\.[0-9]+|[0-9]+\.([0-9]{1,2}|[0-9]{4,}))(?![0-9])")
WITH_UNIT = re.compile(r"([+−–-]?[0-9.,\u00a0\u202f]+(?:[eE][+−-]?[0-9]+)?)\s*(.*)")
Row = tuple[int, list[str]]


def read_sheet(data: bytes) -> Stated:
    """Return what a spreadsheet, CSV or XLSX, states.

    Raises:
        Refusal: it cannot be read, no row has the headings needed, or a cell is no number.
    """
    rows = _rows(data)
    facts: dict[str, str] = {}
    for place, (number, cells) in enumerate(rows):
        headings = _headings(cells, number)
        if headings is not None:
            return _stated(rows[place + 1:], headings, cells, facts)
        _fact(cells, number, facts)
    raise Refusal("no row has headings for a scale position and a correction, an error or a true volume",
                  remedy="name the columns like: scale position; correction; expanded uncertainty; k")


def _rows(data: bytes) -> list[Row]:
    if data.startswith(b"PK"):
        check_unpacked(data, MOST_UNPACKED)
        found = read_xlsx(data, sheet="")
    else:
        separator, encoding = written_how(data)
        found = read_csv(data, separator=separator, encoding=encoding)
    rows = []
    for one in found:
        rows.append(one)
        if len(rows) > MOST_ROWS:
            raise Refusal(f"the table has more than {MOST_ROWS:,} rows", remedy="keep to those of the certificate")
    return [(number, cells) for number, cells in rows if any(cell.strip() for cell in cells)]


def _headings(cells: list[str], number: int) -> dict[str, tuple[int, Heading]] | None:
    """Return the columns by what they hold, where a row has a position's heading and one of what was found there."""
    known = [(place, found) for place, cell in enumerate(cells) if (found := heading(cell))]
    names = [found.column for _, found in known]
    if POSITION not in names or not any(one in names for one in FOUND):
        return None
    for group in (*((one,) for one in names), FOUND, UNCERTAINTIES):
        same = [found.words for _, found in known if found.column in group]
        if len(same) > 1:
            raise Refusal(f"the columns '{same[0]}' and '{same[1]}' state the same, or each other's opposite",
                          where=f"row {number}", remedy="leave the one that the certificate is about")
    return {found.column: (place, found) for place, found in known}


def _fact(cells: list[str], number: int, facts: dict[str, str]) -> None:
    """Keep what two cells above the table say of the certificate."""
    told = [cell.strip() for cell in cells if cell.strip()]
    if len(told) != 2:
        return
    name = told[0].rstrip(":").strip().casefold()
    key = next((key for key, words in FACTS.items() if name in words), "")
    try:
        day = read_day(told[1], month_allowed=key == "due").isoformat() if key in ("issued", "due") else ""
    except Refusal as refusal:
        raise refusal.at(f"row {number}") from None
    if key:
        facts[key] = told[1] if not day or len(told[1]) == len("2026-11") else day


def _stated(
    rows: list[Row], columns: dict[str, tuple[int, Heading]], cells: list[str], facts: dict[str, str]
) -> Stated:
    found = next(columns[one] for one in FOUND if one in columns)
    if UNSAID in columns and FACTOR not in columns and columns[UNSAID][1].factor is None:
        raise Refusal(f"the column '{columns[UNSAID][1].words}' is called neither expanded nor standard",
                      remedy="write which it is, or add a column for k, as on the certificate")
    reading = _Cells(columns, _decimal_mark(rows, columns))
    points = tuple(point for number, row in rows if (point := reading.point(number, row, found[1].column)))
    if not points:
        raise Refusal("there is no row of figures under the headings", remedy="see that it is the right file")
    used = {place for place, _ in columns.values()}
    unread = [shown(cell.strip()) for place, cell in enumerate(cells) if cell.strip() and place not in used]
    notes = (f"Not read: the column{'s' if len(unread) > 1 else ''} {', '.join(unread)}.",) if unread else ()
    number = facts.pop("number", "")
    return Stated(points, found[1].column, found[1].words, facts, (number,) if number else (), notes)


def _decimal_mark(rows: list[Row], columns: dict[str, tuple[int, Heading]]) -> str:
    """Return the decimal mark of the figures that stand as text, as they themselves show it.

    Raises:
        Refusal: some show a comma and others a point, or one could be read both ways.
    """
    places = [place for name, (place, _) in columns.items() if name != UNIT]
    texts = [row[place].strip() for _, row in rows for place in places
             if place < len(row) and not isinstance(row[place], Figure)]
    comma = next((one for one in texts if COMMA.match(one) and "." not in one), "")
    point = next((one for one in texts if POINT.match(one) and "," not in one), "")
    if comma and point:
        raise Refusal(f"'{shown(comma)}' has a decimal comma and '{shown(point)}' a decimal point",
                      remedy="write all figures with the same mark")
    doubtful = next((one for one in texts if "," in one), "")
    if doubtful and not comma:
        raise Refusal(f"'{shown(doubtful)}' may be a number with a decimal comma, or thousands",
                      remedy="write it with a decimal point")
    return "," if comma else "."


class _Cells:
    """Reading the cells under the headings.

    Arguments:
        columns: by what they hold.
        mark: decimal mark of figures that stand as text.
    """

    def __init__(self, columns: dict[str, tuple[int, Heading]], mark: str) -> None:
        self.columns, self.mark = columns, mark
        self.uncertainty = next((one for one in UNCERTAINTIES if one in columns), "")

    def point(self, number: int, row: list[str], found: str) -> Point | None:
        """Return a row's point; None of a row without figures, which is a remark beneath the table.

        Raises:
            Refusal: a cell is empty, no number, or without its unit.
        """
        where = f"row {number}"
        if not any(self._cell(row, one)[:1].isdigit() or self._cell(row, one)[:1] in tuple("+-−–.,")
                   for one in (POSITION, found) if self._cell(row, one)):
            return None
        stated = self._amount(row, self.uncertainty, where) if self._cell(row, self.uncertainty) else None
        return Point(where, self._amount(row, POSITION, where), self._amount(row, found, where), stated,
                     self._factor(row, where))

    def _cell(self, row: list[str], column: str) -> str:
        place = self.columns[column][0] if column in self.columns else len(row)
        return row[place] if place < len(row) and isinstance(row[place], Figure) else (
            row[place].strip() if place < len(row) else "")

    def _factor(self, row: list[str], where: str) -> Decimal | None:
        if cell := self._cell(row, FACTOR):
            return self._number(cell, f"{where}, k")
        if self.uncertainty == STANDARD:
            return Decimal(1)
        return self.columns[self.uncertainty][1].factor if self.uncertainty else None

    def _amount(self, row: list[str], column: str, where: str) -> Amount:
        cell, head = self._cell(row, column), self.columns[column][1]
        where = f"{where}, {head.words}"
        parts = WITH_UNIT.fullmatch(cell)
        if parts is None:
            raise Refusal(f"'{shown(cell)}' is no number" if cell else "the cell is empty", where=where,
                          remedy="write what the certificate says")
        own = parts[2].strip()
        unit = unit_of(own) if own else head.unit or unit_of(self._cell(row, UNIT))
        if not unit:
            raise Refusal(f"'{shown(cell)}' stands there without its unit", where=where,
                          remedy="write it in the heading, like: correction / mL, or in a column called unit")
        plain = Figure(parts[1]) if isinstance(cell, Figure) else parts[1]
        return Amount(self._number(plain, where), unit)

    def _number(self, text: str, where: str) -> Decimal:
        try:
            return Decimal(text) if isinstance(text, Figure) else read_number(text, decimal_mark=self.mark)
        except Refusal as refusal:
            raise refusal.at(where) from None
