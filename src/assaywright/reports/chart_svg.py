"""A drawing in SVG, element by element: no chart library, no style sheet, no script.

Only presentation attributes are used, so a page with a strict content security policy shows the drawing as it is. All
figures stand in one face with tabular numerals, in the colours of the house: paper, ink, one accent.
"""

import re
from collections.abc import Iterable
from html import escape

PAPER = "#FBFAF5"
INK = "#1C1D1F"
QUIET = "#55565A"
FAINT = "#CFCCC1"
ACCENT = "#1F4D43"
FACE = "Libertinus Serif, Georgia, Times New Roman, serif"
MEAN_WIDTH_OF_A_LETTER = 0.57  # of the widest face that may stand in for the first, where that is not installed
NO_BREAK = "\u00a0"

Point = tuple[float, float]


class Drawing:
    """A drawing that grows by elements and is read out once.

    Arguments:
        width_px, height_px: of the drawing [px].
        title, description: read to those who do not see it.
        name: of the drawing on its page; two drawings on one page need two.
    """

    def __init__(
        self, width_px: float, height_px: float, *, title: str, description: str, name: str = "chart"
    ) -> None:
        self._size = (width_px, height_px)
        self._name = name
        self._said = (title, description)
        self._elements: list[str] = []

    def __str__(self) -> str:
        width, height = map(number, self._size)
        title, description = (escape(text) for text in self._said)
        said_by = f"{self._name}-title {self._name}-desc"
        return "\n".join([
            (f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="{said_by}" '
             f'width="{width}" height="{height}" viewBox="0 0 {width} {height}" font-family="{FACE}">'),
            f'<title id="{self._name}-title">{title}</title>',
            f'<desc id="{self._name}-desc">{description}</desc>',
            f'<rect width="{width}" height="{height}" fill="{PAPER}"/>', *self._elements, "</svg>", "",
        ])

    def rectangle(
        self, corner: Point, size: Point, *, fill: str = "none", stroke: str = "", width: float = 1.0,
        opacity: float = 1.0,
    ) -> None:
        """Draw a rectangle from its upper left corner."""
        place = f'x="{number(corner[0])}" y="{number(corner[1])}"'
        self._elements.append(
            f'<rect {place} width="{number(max(size[0], 0))}" height="{number(max(size[1], 0))}" fill="{fill}"'
            f'{_stroke(stroke, width)}{_opacity(opacity)}/>'
        )

    def line(self, start: Point, end: Point, *, stroke: str = INK, width: float = 1.0, dashes: str = "") -> None:
        """Draw a straight line, dashed where a pattern is given."""
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        self._elements.append(
            f'<line x1="{number(start[0])}" y1="{number(start[1])}" x2="{number(end[0])}" y2="{number(end[1])}"'
            f'{_stroke(stroke, width)}{dashed}/>'
        )

    def curve(self, points: Iterable[Point], *, stroke: str = INK, width: float = 1.6) -> None:
        """Draw a line through points."""
        places = " L".join(f"{number(x)},{number(y)}" for x, y in points)
        self._elements.append(f'<path d="M{places}" fill="none" stroke-linejoin="round"{_stroke(stroke, width)}/>')

    def shape(self, points: Iterable[Point], *, fill: str, stroke: str = "", width: float = 1.0) -> None:
        """Draw a closed shape through its corners."""
        places = " L".join(f"{number(x)},{number(y)}" for x, y in points)
        self._elements.append(f'<path d="M{places} Z" fill="{fill}"{_stroke(stroke, width)}/>')

    def text(
        self, place: Point, words: str, *, size: float = 13.0, anchor: str = "start", fill: str = INK,
        bold: bool = False, italic: bool = False, turned: bool = False, halo: bool = False,
    ) -> None:
        """Write words at a place: "start", "middle" or "end" of them stands there; turned ones read upwards.

        A halo is a second writing in paper colour beneath, so that lines do not cross the letters.
        """
        x, y = number(place[0]), number(place[1])
        style = f' font-size="{number(size)}" text-anchor="{anchor}"'
        style += ' font-weight="700"' if bold else ""
        style += ' font-style="italic"' if italic else ""
        style += f' transform="rotate(-90 {x} {y})"' if turned else ""
        said = escape(words)
        if halo:
            self._elements.append(f'<text x="{x}" y="{y}"{style} fill="{PAPER}" stroke="{PAPER}" stroke-width="4" '
                                  f'stroke-linejoin="round" aria-hidden="true">{said}</text>')
        self._elements.append(f'<text x="{x}" y="{y}"{style} fill="{fill}">{said}</text>')


def number(value: float) -> str:
    """Return a coordinate with two decimals at most."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def width_of(words: str, size: float) -> float:
    """Return about how wide words will be [px]: enough to keep labels apart, no typesetting."""
    return len(words) * size * MEAN_WIDTH_OF_A_LETTER


def lines_of(words: str, size: float, width_px: float) -> tuple[str, ...]:
    """Return words in lines of about a width at most, broken between words, never between a figure and its unit.

    Arguments:
        words: the text.
        size: of the letters [px].
        width_px: of a line [px].
    """
    lines = [""]
    for word in re.sub(r"(?<=\d) (?=%|mL|mol)", NO_BREAK, words).split(" "):
        if lines[-1] and width_of(f"{lines[-1]} {word}", size) > width_px:
            lines.append("")
        lines[-1] += f" {word}" if lines[-1] else word
    return tuple(lines)


def _stroke(colour: str, width: float) -> str:
    return f' stroke="{colour}" stroke-width="{number(width)}"' if colour else ""


def _opacity(opacity: float) -> str:
    return f' fill-opacity="{number(opacity)}"' if opacity < 1 else ""
