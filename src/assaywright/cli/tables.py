"""Plain tables and paragraphs for a terminal of any width: words to the left, numbers to the right."""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from assaywright.cli.opening import wrapped

GAP = "  "
NARROWEST = 12


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Fields:
        heading: above it.
        right: whether its cells stand at its right edge, as numbers do.
        flexible: whether its cells may be broken into lines when the terminal is too narrow.
    """

    heading: str
    right: bool = False
    flexible: bool = False


def drawn(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int, *, indent: str = "  ") -> list[str]:
    """Return the lines of a table.

    Arguments:
        columns: headings and how their cells stand.
        rows: cells, one for each column.
        width: of the terminal, in characters.
    """
    widths = [max(places(column.heading), *(places(row[number]) for row in rows), 1)
              for number, column in enumerate(columns)]
    excess = len(indent) + sum(widths) + len(GAP) * (len(columns) - 1) - width
    for number, column in enumerate(columns):
        if column.flexible and excess > 0:
            narrower = max(NARROWEST, places(column.heading), widths[number] - excess)
            excess -= widths[number] - narrower
            widths[number] = narrower
    lines = _row([column.heading for column in columns], columns, widths, indent)
    lines.append(indent + GAP.join("─" * each for each in widths))
    for row in rows:
        lines += _row(row, columns, widths, indent)
    return lines


def _row(cells: Sequence[str], columns: Sequence[Column], widths: Sequence[int], indent: str) -> list[str]:
    """Return one row, on as many lines as its flexible cells need."""
    broken = [wrapped(cell, width) if column.flexible else [cell]
              for cell, column, width in zip(cells, columns, widths, strict=True)]
    lines = []
    for number in range(max(len(cell) for cell in broken)):
        texts = [cell[number] if number < len(cell) else "" for cell in broken]
        padded = [_padded(text, width, right=column.right)
                  for text, column, width in zip(texts, columns, widths, strict=True)]
        lines.append((indent + GAP.join(padded)).rstrip())
    return lines


def _padded(text: str, width: int, *, right: bool) -> str:
    space = " " * max(0, width - places(text))
    return space + text if right else text + space


def places(text: str) -> int:
    """Return how many places of a terminal a text takes."""
    return sum(0 if unicodedata.combining(letter) else 1 + (unicodedata.east_asian_width(letter) in "WF")
               for letter in text)


def paragraph(text: str, width: int, *, first: str = "  ", rest: str = "") -> list[str]:
    """Return a paragraph in lines; the first begins with one text, the others with another of the same length."""
    rest = rest or " " * len(first)
    lines = wrapped(text, max(20, width - len(first)))
    return [f"{first if number == 0 else rest}{line}" for number, line in enumerate(lines)]


def heading(text: str, of: str = "") -> list[str]:
    """Return a heading with an empty line before it; a name in it keeps its letters, for NaOH is not NAOH."""
    return ["", f"{text.upper()}: {of}" if of else text.upper()]


def bar(share: float, length: int = 20) -> str:
    """Return a share of one as a bar."""
    return "█" * round(share * length) or ("▏" if share > 0 else "")
