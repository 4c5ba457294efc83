"""A titration curve drawn on paper: curve, equivalence points, buffer regions, indicator, derivative, colour strip."""

from collections.abc import Sequence

from assaywright.reports.chart_document import Band, CurvePicture, Mark, Region
from assaywright.reports.chart_scale import Scale, tick_labels, widened
from assaywright.reports.chart_strip import STRIP_HEIGHT_PX, draw_strip
from assaywright.reports.chart_svg import ACCENT, FAINT, INK, QUIET, Drawing, lines_of, width_of

WIDTH_PX = 820.0
LEFT_PX, RIGHT_PX = 66.0, 796.0
TOP_PX, CURVE_HEIGHT_PX = 96.0, 300.0
GAP_PX, SLOPE_HEIGHT_PX = 58.0, 104.0
LINE_PX, TITLE_LINE_PX = 17.0, 24.0
ROOM_FOR_WORDS_PX = 26.0
OUT_PX = 44.0
SMALL, BODY, LARGE = 12.0, 13.0, 19.0
DASHES = "5 4"
BUFFER_FILL, BAND_FILL = "#DDE7E2", "#EFE3C4"


def curve_svg(picture: CurvePicture) -> str:
    """Return a curve as SVG: 820 px wide, paper-white, words beside every colour.

    Arguments:
        picture: what to show.
    """
    across = RIGHT_PX - LEFT_PX + OUT_PX
    title, subtitle = lines_of(picture.title, LARGE, across), lines_of(picture.subtitle, BODY, across)
    notes = [line for note in picture.notes for line in lines_of(note, SMALL, across)]
    top = TOP_PX + TITLE_LINE_PX * (len(title) - 1) + LINE_PX * (len(subtitle) - 1)
    slope_top = top + CURVE_HEIGHT_PX + GAP_PX
    strip_top = slope_top + SLOPE_HEIGHT_PX + 52
    notes_top = strip_top + STRIP_HEIGHT_PX * len(picture.strips) + 8
    drawing = Drawing(WIDTH_PX, notes_top + LINE_PX * max(len(notes), 1) + 6, title=picture.title,
                      description=picture.description)
    along = Scale(0.0, picture.volume_mL[-1], LEFT_PX, RIGHT_PX)
    y = _draw_lines(drawing, title, 34, LARGE, TITLE_LINE_PX, INK)
    _draw_lines(drawing, subtitle, y - 2, BODY, LINE_PX, QUIET)
    _draw_curve(drawing, picture, along, top)
    _draw_slope(drawing, picture, along, slope_top)
    for place, strip in enumerate(picture.strips):
        draw_strip(drawing, strip, along, strip_top + STRIP_HEIGHT_PX * place)
    _draw_lines(drawing, notes, notes_top + 0.8 * LINE_PX, SMALL, LINE_PX, QUIET)
    return str(drawing)


def _draw_lines(drawing: Drawing, lines: Sequence[str], y: float, size: float, step: float, fill: str) -> float:
    """Write lines from the left edge down, and return where the next would stand [px]."""
    for line in lines:
        drawing.text((LEFT_PX - OUT_PX, y), line, size=size, bold=size == LARGE, fill=fill)
        y += step
    return y


def _draw_curve(drawing: Drawing, picture: CurvePicture, along: Scale, top: float) -> None:
    bottom = top + CURVE_HEIGHT_PX
    low, high = widened(min(picture.values), max(picture.values))
    up = Scale(low, high, bottom, top)
    for region in picture.regions:
        drawing.rectangle((along.place(region.from_mL), top),
                          (along.place(region.to_mL) - along.place(region.from_mL), bottom - top), fill=BUFFER_FILL)
    for band in picture.bands:
        upper, lower = up.place(band.high), up.place(band.low)
        drawing.rectangle((LEFT_PX, upper), (RIGHT_PX - LEFT_PX, lower - upper), fill=BAND_FILL, opacity=0.75)
    _draw_upright(drawing, up, picture.quantity)
    _draw_along(drawing, along, bottom, "")
    for mark in picture.equivalence:
        x = along.place(mark.volume_mL)
        drawing.line((x, top), (x, bottom), stroke=ACCENT, dashes=DASHES)
    drawing.curve(((along.place(x), up.place(y)) for x, y in zip(picture.volume_mL, picture.values, strict=True)),
                  width=2.0)
    for region in picture.regions:
        _draw_region_words(drawing, region, picture, along, up)
    for band in picture.bands:
        _draw_band_words(drawing, band, picture.values[0], up)
    taken = LEFT_PX
    for mark in picture.equivalence:
        taken = _draw_equivalence(drawing, mark, along, up, taken)
    for mark in picture.endpoints:
        _draw_endpoint(drawing, mark, along.place(mark.volume_mL), up.place(mark.value))


def _draw_region_words(drawing: Drawing, region: Region, picture: CurvePicture, along: Scale, up: Scale) -> None:
    """Write a region's words at its foot, or at its head where the curve runs low; nothing where they do not fit."""
    start, end = along.place(region.from_mL), along.place(region.to_mL)
    if width_of(region.words, SMALL) > end - start - 8:
        return
    within = [value for volume, value in zip(picture.volume_mL, picture.values, strict=True)
              if region.from_mL <= volume <= region.to_mL]
    lowest = up.start_px - up.place(min(within, default=up.high))
    y = up.start_px - 8 if lowest > ROOM_FOR_WORDS_PX else up.end_px + 18
    drawing.text(((start + end) / 2, y), region.words, size=SMALL, anchor="middle", fill=QUIET)


def _draw_band_words(drawing: Drawing, band: Band, first_value: float, up: Scale) -> None:
    """Write the interval's words at the left end of its band, or at the right end where the curve begins within it."""
    margin = (band.high - band.low) / 2
    begins_within = band.low - margin < first_value < band.high + margin
    x, anchor = (RIGHT_PX - 6, "end") if begins_within else (LEFT_PX + 6, "start")
    drawing.text((x, (up.place(band.low) + up.place(band.high)) / 2 + 4), band.words, size=SMALL, anchor=anchor)


def _draw_equivalence(drawing: Drawing, mark: Mark, along: Scale, up: Scale, taken: float) -> float:
    """Draw a square on the curve and its words above the plot, one line up where they would meet their neighbour's.

    Returns: where the words end [px].
    """
    x, y = along.place(mark.volume_mL), up.place(mark.value)
    drawing.shape(((x - 7, y - 7), (x + 7, y - 7), (x + 7, y + 7), (x - 7, y + 7)), fill="none", stroke=ACCENT,
                  width=1.8)
    half = width_of(mark.words, SMALL) / 2
    middle = min(max(x, LEFT_PX + half), RIGHT_PX - half)
    meets = middle - half < taken
    drawing.text((middle, up.end_px - (22 if meets else 7)), mark.words, size=SMALL, anchor="middle", fill=ACCENT,
                 bold=True)
    return taken if meets else middle + half + 10


def _draw_endpoint(drawing: Drawing, mark: Mark, x: float, y: float) -> None:
    """Draw a diamond on the curve with its words on the side that has room."""
    drawing.shape(((x, y - 5), (x + 5, y), (x, y + 5), (x - 5, y)), fill=INK, stroke="#FFFFFF", width=0.8)
    room = RIGHT_PX - x > width_of(mark.words, SMALL) + 20
    drawing.text((x + 14 if room else x - 14, y + 4), mark.words, size=SMALL, anchor="start" if room else "end")


def _draw_slope(drawing: Drawing, picture: CurvePicture, along: Scale, top: float) -> None:
    bottom = top + SLOPE_HEIGHT_PX
    low, high = widened(min(0.0, *picture.slopes), max(0.0, *picture.slopes), 4)
    up = Scale(low, high, bottom, top)
    _draw_upright(drawing, up, picture.slope, about=4)
    _draw_along(drawing, along, bottom, "volume of titrant / mL")
    for mark in picture.equivalence:
        x = along.place(mark.volume_mL)
        drawing.line((x, top), (x, bottom), stroke=ACCENT, dashes=DASHES)
    drawing.curve(((along.place(x), up.place(y)) for x, y in zip(picture.volume_mL, picture.slopes, strict=True)),
                  width=1.4)


def _draw_upright(drawing: Drawing, up: Scale, label: str, about: int = 8) -> None:
    ticks = up.ticks(about)
    for tick, words in zip(ticks, tick_labels(ticks), strict=True):
        y = up.place(tick)
        drawing.line((LEFT_PX, y), (RIGHT_PX, y), stroke=FAINT, width=0.6)
        drawing.text((LEFT_PX - 8, y + 4), words, size=BODY, anchor="end")
    drawing.line((LEFT_PX, up.start_px), (LEFT_PX, up.end_px), width=1.2)
    drawing.text((LEFT_PX - OUT_PX, up.end_px - 12), label, size=BODY, bold=True)


def _draw_along(drawing: Drawing, along: Scale, y: float, label: str) -> None:
    ticks = along.ticks()
    for tick, words in zip(ticks, tick_labels(ticks), strict=True):
        x = along.place(tick)
        drawing.line((x, y), (x, y + 5), width=1.0)
        drawing.text((x, y + 19), words, size=BODY, anchor="middle")
    drawing.line((LEFT_PX, y), (RIGHT_PX, y), width=1.2)
    drawing.text((RIGHT_PX, y + 37), label, size=BODY, anchor="end", bold=True)
