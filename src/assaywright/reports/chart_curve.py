"""A titration curve drawn on paper: curve, equivalence points, buffer regions, indicator, derivative, colour strip."""

from assaywright.reports.chart_document import CurvePicture, Mark, Region
from assaywright.reports.chart_scale import Scale, tick_labels, widened
from assaywright.reports.chart_strip import STRIP_HEIGHT_PX, draw_strip
from assaywright.reports.chart_svg import ACCENT, FAINT, INK, QUIET, Drawing, lines_of, width_of

WIDTH_PX = 820.0
LEFT_PX, RIGHT_PX = 66.0, 796.0
TOP_PX, CURVE_HEIGHT_PX = 96.0, 300.0
GAP_PX, SLOPE_HEIGHT_PX = 58.0, 104.0
LINE_PX = 17.0
OUT_PX = 44.0
SMALL, BODY, LARGE = 12.0, 13.0, 19.0
DASHES = "5 4"
BUFFER_FILL, BAND_FILL = "#DDE7E2", "#EFE3C4"


def curve_svg(picture: CurvePicture) -> str:
    """Return a curve as SVG: 820 px wide, paper-white, words beside every colour.

    Arguments:
        picture: what to show.
    """
    slope_top = TOP_PX + CURVE_HEIGHT_PX + GAP_PX
    bottom = slope_top + SLOPE_HEIGHT_PX + 44
    strip_top = bottom + 8
    notes_top = strip_top + (STRIP_HEIGHT_PX if picture.strip is not None else 0.0) + 8
    notes = [line for note in picture.notes for line in lines_of(note, SMALL, RIGHT_PX - LEFT_PX + OUT_PX)]
    height = notes_top + LINE_PX * max(len(notes), 1) + 6
    drawing = Drawing(WIDTH_PX, height, title=picture.title, description=picture.description)
    along = Scale(picture.volume_mL[0], picture.volume_mL[-1], LEFT_PX, RIGHT_PX)
    drawing.text((LEFT_PX - OUT_PX, 34), picture.title, size=LARGE, bold=True)
    drawing.text((LEFT_PX - OUT_PX, 56), picture.subtitle, size=BODY, fill=QUIET)
    _draw_curve(drawing, picture, along)
    _draw_slope(drawing, picture, along, slope_top)
    if picture.strip is not None:
        draw_strip(drawing, picture.strip, along, strip_top)
    for place, note in enumerate(notes):
        drawing.text((LEFT_PX - OUT_PX, notes_top + LINE_PX * (place + 0.8)), note, size=SMALL, fill=QUIET)
    return str(drawing)


def _draw_curve(drawing: Drawing, picture: CurvePicture, along: Scale) -> None:
    bottom = TOP_PX + CURVE_HEIGHT_PX
    low, high = widened(min(picture.values), max(picture.values))
    up = Scale(low, high, bottom, TOP_PX)
    for region in picture.regions:
        _draw_region(drawing, region, along, bottom)
    if picture.band is not None:
        upper, lower = up.place(picture.band.high), up.place(picture.band.low)
        drawing.rectangle((LEFT_PX, upper), (RIGHT_PX - LEFT_PX, lower - upper), fill=BAND_FILL, opacity=0.75)
    _draw_upright(drawing, up, picture.quantity)
    _draw_along(drawing, along, bottom, "")
    for mark in picture.equivalence:
        x = along.place(mark.volume_mL)
        drawing.line((x, TOP_PX), (x, bottom), stroke=ACCENT, dashes=DASHES)
    drawing.curve(((along.place(x), up.place(y)) for x, y in zip(picture.volume_mL, picture.values, strict=True)),
                  width=2.0)
    if picture.band is not None:
        _draw_band_words(drawing, picture, up)
    taken = LEFT_PX
    for mark in picture.equivalence:
        taken = _draw_equivalence(drawing, mark, along, up, taken)
    if picture.endpoint is not None:
        _draw_endpoint(drawing, picture.endpoint, along.place(picture.endpoint.volume_mL),
                       up.place(picture.endpoint.value))


def _draw_region(drawing: Drawing, region: Region, along: Scale, bottom: float) -> None:
    start, end = along.place(region.from_mL), along.place(region.to_mL)
    drawing.rectangle((start, TOP_PX), (end - start, bottom - TOP_PX), fill=BUFFER_FILL)
    words = region.words if width_of(region.words, SMALL) < end - start - 8 else ""
    drawing.text(((start + end) / 2, bottom - 8), words, size=SMALL, anchor="middle", fill=QUIET)


def _draw_band_words(drawing: Drawing, picture: CurvePicture, up: Scale) -> None:
    """Write the interval's words where the curve is farther away: at the left end of a band or at its right end."""
    if picture.band is None:
        return
    middle = (picture.band.low + picture.band.high) / 2
    near_left = abs(picture.values[0] - middle) < abs(picture.values[-1] - middle)
    x, anchor = (RIGHT_PX - 6, "end") if near_left else (LEFT_PX + 6, "start")
    y = (up.place(picture.band.low) + up.place(picture.band.high)) / 2 + 4
    drawing.text((x, y), picture.band.words, size=SMALL, anchor=anchor)


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
    drawing.text((middle, TOP_PX - (22 if meets else 7)), mark.words, size=SMALL, anchor="middle", fill=ACCENT,
                 bold=True)
    return taken if meets else middle + half + 10


def _draw_endpoint(drawing: Drawing, mark: Mark, x: float, y: float) -> None:
    """Draw a diamond on the curve with its words on the side that has room."""
    drawing.shape(((x, y - 5), (x + 5, y), (x, y + 5), (x - 5, y)), fill=INK, stroke="#FFFFFF", width=0.8)
    room = RIGHT_PX - x > width_of(mark.words, SMALL) + 20
    drawing.text((x + 14 if room else x - 14, y + 4), mark.words, size=SMALL, anchor="start" if room else "end",
                 halo=True)


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
