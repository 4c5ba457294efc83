"""Plain tables and paragraphs for a terminal of any width: words to the left, numbers to the right."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace

from assaywright.cli.opening import wrapped
from assaywright.cli.plain_text import plain

GAP = "  "
NARROWEST, COMFORTABLE = 12, 16

_SOFT = re.compile(r"[^-/()]*[-/)]+|\([^-/()]*[-/)]*|[^-/()]+")


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Fields:
        heading: above it.
        right: whether its cells stand at its right edge, as numbers do.
        flexible: whether its cells may be broken into lines when the terminal is too narrow.
        spare: whether it only draws what another column says, and goes when the terminal is too narrow.
    """

    heading: str
    right: bool = False
    flexible: bool = False
    spare: bool = False


Grid = tuple[Sequence[Column], list[list[str]]]


def drawn(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int, *, indent: str = "  ") -> list[str]:
    """Return the lines of a table.

    Where it is too wide its flexible cells are broken between words, then its headings too, then the spare columns go;
    where it is still too wide, each row becomes a paragraph that names its columns.

    Arguments:
        columns: headings and how their cells stand.
        rows: cells, one for each column.
        width: of the terminal, in characters.
    """
    named = [replace(column, heading=plain(column.heading)) for column in columns]
    whole: Grid = named, [[plain(cell) for cell in row] for row in rows]
    for narrowest in (COMFORTABLE, 1):
        for grid in (whole, _without_spare(*whole)):
            for broken in (False, True):
                widths = _widths(grid, width - places(indent), narrowest, broken=broken)
                if widths is not None:
                    return _laid_out(grid, widths, indent)
    return _told(*_without_spare(*whole), width, indent)


def _without_spare(columns: Sequence[Column], rows: list[list[str]]) -> Grid:
    kept = [number for number, column in enumerate(columns) if not column.spare]
    return [columns[number] for number in kept], [[row[number] for number in kept] for row in rows]


def _widths(grid: Grid, room: int, narrowest: int, *, broken: bool) -> list[int] | None:
    """Return the widths of the columns, or None where they find no room."""
    columns, rows = grid
    cells = [[row[number] for row in rows] for number in range(len(columns))]
    headings = [_longest_word(column.heading) if broken else places(column.heading) for column in columns]
    widths = [max(heading, *map(places, texts), 1) for heading, texts in zip(headings, cells, strict=True)]
    excess = sum(widths) + len(GAP) * (len(columns) - 1) - room
    for number, column in enumerate(columns):
        if column.flexible and excess > 0:
            least = max(NARROWEST, headings[number], min(narrowest, widths[number]),
                        *(_longest_word(text) for text in cells[number]))
            narrower = min(widths[number], max(least, widths[number] - excess))
            excess -= widths[number] - narrower
            widths[number] = narrower
    return widths if excess <= 0 else None


def _laid_out(grid: Grid, widths: Sequence[int], indent: str) -> list[str]:
    columns, rows = grid
    lines = _row([column.heading for column in columns], columns, widths, indent)
    lines.append(indent + GAP.join(plain("─") * each for each in widths))
    for row in rows:
        lines += _row(row, columns, widths, indent)
    return lines


def _told(columns: Sequence[Column], rows: list[list[str]], width: int, indent: str) -> list[str]:
    """Return each row as a paragraph that begins with its first cell and names the columns of the others."""
    lines = []
    for first, *others in rows:
        told = [f"{column.heading} {cell}".strip() for column, cell in zip(columns[1:], others, strict=True) if cell]
        text = f"{first}: {'; '.join(told)}" if told else first
        lines += paragraph(text, width, first=indent, rest=indent + "  ")
    return lines


def _row(cells: Sequence[str], columns: Sequence[Column], widths: Sequence[int], indent: str) -> list[str]:
    """Return one row, on as many lines as its cells need."""
    broken = [_broken(cell, width) for cell, width in zip(cells, widths, strict=True)]
    lines = []
    for number in range(max(len(cell) for cell in broken)):
        texts = [cell[number] if number < len(cell) else "" for cell in broken]
        padded = [_padded(text, width, right=column.right)
                  for text, column, width in zip(texts, columns, widths, strict=True)]
        lines.append((indent + GAP.join(padded)).rstrip())
    return lines


def _broken(cell: str, width: int) -> list[str]:
    """Return a cell in lines; a word too long for one is broken only at a hyphen, a stroke or a bracket."""
    if places(cell) <= width:
        return [cell]
    lines = [""]
    for word in cell.split():
        pieces = _pieces(word) if places(word) > width else [word]
        for number, piece in enumerate(pieces):
            joint = " " if lines[-1] and number == 0 else ""
            if lines[-1] and places(lines[-1]) + len(joint) + places(piece) > width:
                lines.append(piece)
            else:
                lines[-1] += joint + piece
    return lines


def _pieces(word: str) -> list[str]:
    return _SOFT.findall(word)


def _longest_word(text: str) -> int:
    """Return the places of the longest piece that is never broken."""
    return max((places(piece) for word in text.split() for piece in _pieces(word)), default=0)


def _padded(text: str, width: int, *, right: bool) -> str:
    space = " " * max(0, width - places(text))
    return space + text if right else text + space


def places(text: str) -> int:
    """Return how many places of a terminal a text takes."""
    return sum(0 if unicodedata.combining(letter) else 1 + (unicodedata.east_asian_width(letter) in "WF")
               for letter in text)


def paragraph(text: str, width: int, *, first: str = "  ", rest: str = "") -> list[str]:
    """Return a paragraph in lines; the first begins with one text, the others with another of the same length."""
    first, rest = plain(first), plain(rest)
    rest = rest or " " * len(first)
    lines = wrapped(text, max(20, width - max(len(first), len(rest))))
    return [f"{first if number == 0 else rest}{line}" for number, line in enumerate(lines)]


def heading(text: str, of: str = "") -> list[str]:
    """Return a heading with an empty line before it; a name in it keeps its letters, for NaOH is not NAOH."""
    return ["", plain(f"{text.upper()}: {of}" if of else text.upper())]


def bar(share: float, length: int = 20) -> str:
    """Return a share of one as a bar."""
    return "█" * round(share * length) or ("▏" if share > 0 else "")
