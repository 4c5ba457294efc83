"""The colour of the flask along the burette's scale, and enlarged about the endpoint, with its words."""

from collections.abc import Iterable

from assaywright.reports.chart_document import Cell, ColourStrip
from assaywright.reports.chart_scale import Scale, tick_labels
from assaywright.reports.chart_svg import ACCENT, INK, QUIET, Drawing, width_of

BAR_PX = 24.0
STRIP_HEIGHT_PX = 206.0
SMALL, BODY = 12.0, 13.0
GAP_BETWEEN_WORDS_PX = 14.0


def draw_strip(drawing: Drawing, strip: ColourStrip, along: Scale, top: float) -> None:
    """Draw both bars of a strip below one another.

    Arguments:
        drawing: to draw on.
        strip: what to show.
        along: the burette's scale, shared with the curve above.
        top: upper edge [px].
    """
    drawing.text((along.start_px - 44, top + 12), f"Colour of the flask with {strip.indicator}", size=BODY, bold=True)
    first = top + 46
    _draw_words(drawing, strip, along, first)
    _draw_bar(drawing, strip.cells, along, first)
    _draw_ticks(drawing, along, first + BAR_PX, about=8)
    near = Scale(strip.near_cells[0][0], strip.near_cells[-1][1], along.start_px, along.end_px)
    second = first + BAR_PX + 66
    _draw_widening(drawing, near, along, (first + BAR_PX + 24, second - 24))
    drawing.text((along.start_px, second - 8), "enlarged about the endpoint", size=SMALL, fill=QUIET)
    _draw_bar(drawing, strip.near_cells, near, second)
    _draw_ticks(drawing, near, second + BAR_PX, about=10)
    x, y = near.place(strip.equivalence_mL), near.place(strip.endpoint_mL)
    drawing.line((x, second - 5), (x, second + BAR_PX + 5), stroke=ACCENT, width=1.6, dashes="5 4")
    _draw_pointer(drawing, y, second)
    _draw_two_words(drawing, (y, f"endpoint {strip.endpoint_mL:.3f} mL"),
                    (x, f"equivalence point {strip.equivalence_mL:.3f} mL"), near, second + BAR_PX + 38)


def _draw_bar(drawing: Drawing, cells: Iterable[Cell], scale: Scale, top: float) -> None:
    for from_mL, to_mL, swatch in cells:
        start, end = scale.place(from_mL), scale.place(to_mL)
        # A hair too wide, so that no seam of paper shows between neighbours.
        drawing.rectangle((start, top), (min(end + 0.4, scale.end_px) - start, BAR_PX), fill=swatch)
    drawing.rectangle((scale.start_px, top), (scale.end_px - scale.start_px, BAR_PX), stroke=INK, width=1.0)


def _draw_ticks(drawing: Drawing, scale: Scale, y: float, about: int) -> None:
    ticks = scale.ticks(about)
    for tick, words in zip(ticks, tick_labels(ticks), strict=True):
        x = scale.place(tick)
        drawing.line((x, y), (x, y + 5), width=1.0)
        drawing.text((x, y + 18), words, size=SMALL, anchor="middle")


def _draw_words(drawing: Drawing, strip: ColourStrip, along: Scale, y: float) -> None:
    """Write the colours above a bar: one at each end, and the endpoint's where it lies, or as near as there is room."""
    at = f"{strip.at} at the endpoint"
    drawing.text((along.start_px, y - 6), strip.before, size=BODY)
    drawing.text((along.end_px, y - 6), strip.after, size=BODY, anchor="end")
    half = width_of(at, BODY) / 2
    least = along.start_px + width_of(strip.before, BODY) + GAP_BETWEEN_WORDS_PX + half
    most = along.end_px - width_of(strip.after, BODY) - GAP_BETWEEN_WORDS_PX - half
    x = min(max(along.place(strip.endpoint_mL), least), most)
    drawing.text((x, y - 12), at, size=BODY, anchor="middle", bold=True)
    _draw_pointer(drawing, along.place(strip.endpoint_mL), y)


def _draw_pointer(drawing: Drawing, x: float, y: float) -> None:
    drawing.shape(((x, y + 1), (x - 5, y - 7), (x + 5, y - 7)), fill=INK, stroke="#FFFFFF", width=0.8)


def _draw_widening(drawing: Drawing, near: Scale, along: Scale, between: tuple[float, float]) -> None:
    """Draw the two lines that lead from the stretch on the whole scale to the enlarged bar."""
    top, bottom = between
    drawing.line((along.place(near.low), top), (near.start_px, bottom), stroke=QUIET, width=0.7)
    drawing.line((along.place(near.high), top), (near.end_px, bottom), stroke=QUIET, width=0.7)


def _draw_two_words(
    drawing: Drawing, first: tuple[float, str], second: tuple[float, str], scale: Scale, y: float
) -> None:
    """Write two labels below their places, pushed apart where they would meet."""
    (left, left_words), (right, right_words) = sorted((first, second))
    half_left, half_right = width_of(left_words, SMALL) / 2, width_of(right_words, SMALL) / 2
    room = half_left + half_right + GAP_BETWEEN_WORDS_PX
    if right - left < room:
        middle = (left + right) / 2
        left, right = middle - room / 2, middle + room / 2
    left = max(left, scale.start_px + half_left)
    right = min(max(right, left + room), scale.end_px - half_right)
    left = min(left, right - room)
    for x, words in ((left, left_words), (right, right_words)):
        drawing.text((x, y), words, size=SMALL, anchor="middle", bold=words.startswith("endpoint"),
                     fill=INK if words.startswith("endpoint") else ACCENT)
