"""The trade-off of a plan as a drawing: bench time against uncertainty, the options shown by their numbers."""

from assaywright.assay.plan.result import Option, Plan
from assaywright.assay.plan.setup import PIPETTED, PIPETTED_FLASK, WEIGHED, WEIGHED_DILUTION, WEIGHED_FLASK
from assaywright.reports.chart_scale import Scale, tick_labels, widened
from assaywright.reports.chart_svg import ACCENT, FAINT, INK, QUIET, Drawing, Point, width_of

WIDTH_PX, HEIGHT_PX = 760.0, 520.0
LEFT_PX, RIGHT_PX, TOP_PX, BOTTOM_PX = 70.0, 736.0, 60.0, 400.0
BODY, SMALL = 13.0, 12.0
HALF_PX, RING_PX = 3.5, 8.0
DASHES = "6 4"
LEGEND_COLUMNS, LEGEND_ROW_PX = 2, 20.0
SHAPES = {PIPETTED: "square", WEIGHED: "diamond", PIPETTED_FLASK: "open square", WEIGHED_FLASK: "open diamond",
          WEIGHED_DILUTION: "triangle"}


def plan_svg(plan: Plan) -> str:
    """Return the drawing: every feasible combination, each way with a shape of its own, the options numbered.

    Arguments:
        plan: as worked out.
    """
    drawing = Drawing(WIDTH_PX, HEIGHT_PX, title=f"Plan: {plan.title}", description=_described(plan))
    low, high = widened(min(one.minutes for one in plan.places) - 1, max(one.minutes for one in plan.places) + 1)
    along = Scale(low, high, LEFT_PX, RIGHT_PX)
    percents = [100 * one.relative_uncertainty for one in plan.places]
    wanted = _wanted(plan)
    up = Scale(0.0, widened(0.0, max([*percents, wanted or 0.0]))[1], BOTTOM_PX, TOP_PX)
    drawing.text((LEFT_PX, 24), plan.title, size=16, bold=True)
    _draw_axes(drawing, along, up)
    if wanted is not None:
        _draw_wanted(drawing, wanted, up)
    for way, minutes, percent in dict.fromkeys((one.way, round(along.place(one.minutes)),
                                                round(up.place(100 * one.relative_uncertainty)))
                                               for one in plan.places):
        _draw_shape(drawing, (minutes, percent), way, colour=QUIET)
    _draw_options(drawing, plan.options, along, up)
    _draw_legend(drawing, dict.fromkeys(one.way for one in plan.places))
    return str(drawing)


def _described(plan: Plan) -> str:
    return f"Rough bench time against relative expanded uncertainty of {plan.feasible} combinations. {plan.why}"


def _wanted(plan: Plan) -> float | None:
    """Return the relative uncertainty wanted [%]."""
    if plan.wanted is None:
        return None
    return 100 * plan.wanted / abs(plan.options[0].result.estimate.value)


def _draw_axes(drawing: Drawing, along: Scale, up: Scale) -> None:
    upright, flat = up.ticks(), along.ticks()
    for tick, words in zip(upright, tick_labels(upright), strict=True):
        drawing.line((LEFT_PX, up.place(tick)), (RIGHT_PX, up.place(tick)), stroke=FAINT, width=0.6)
        drawing.text((LEFT_PX - 8, up.place(tick) + 4), words, size=BODY, anchor="end")
    for tick, words in zip(flat, tick_labels(flat), strict=True):
        drawing.line((along.place(tick), BOTTOM_PX), (along.place(tick), BOTTOM_PX + 5))
        drawing.text((along.place(tick), BOTTOM_PX + 19), words, size=BODY, anchor="middle")
    drawing.line((LEFT_PX, BOTTOM_PX), (RIGHT_PX, BOTTOM_PX), width=1.2)
    drawing.line((LEFT_PX, BOTTOM_PX), (LEFT_PX, TOP_PX), width=1.2)
    drawing.text((LEFT_PX - 46, TOP_PX - 12), "expanded uncertainty, relative / %", size=BODY, bold=True)
    drawing.text((RIGHT_PX, BOTTOM_PX + 38), "rough bench time / min", size=BODY, anchor="end", bold=True)


def _draw_wanted(drawing: Drawing, wanted: float, up: Scale) -> None:
    y = up.place(wanted)
    drawing.line((LEFT_PX, y), (RIGHT_PX, y), stroke=ACCENT, width=1.4, dashes=DASHES)
    drawing.text((RIGHT_PX - 4, y - 6), f"wanted: {wanted:.2g} %", size=SMALL, anchor="end", fill=ACCENT, bold=True,
                 halo=True)


def _draw_shape(drawing: Drawing, at: Point, way: str, *, colour: str) -> None:
    """Draw the shape of a way; its outline alone where it is made up in a flask."""
    x, y, r = at[0], at[1], HALF_PX
    corners: dict[str, tuple[Point, ...]] = {
        "square": ((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)),
        "diamond": ((x, y - r - 1), (x + r + 1, y), (x, y + r + 1), (x - r - 1, y)),
        "triangle": ((x, y - r - 1), (x + r + 1, y + r), (x - r - 1, y + r)),
    }
    shape = SHAPES[way]
    solid = not shape.startswith("open")
    drawing.shape(corners[shape.removeprefix("open ")], fill=colour if solid else "none", stroke=colour)


def _draw_options(drawing: Drawing, options: tuple[Option, ...], along: Scale, up: Scale) -> None:
    """Write the numbers of the options beside their places, those that meet in one row."""
    places: dict[tuple[int, int], list[int]] = {}
    for one in options:
        place = (round(along.place(one.minutes)), round(up.place(100 * one.relative_uncertainty) / 12))
        places.setdefault(place, []).append(one.number)
    for one in options:
        x, y = along.place(one.minutes), up.place(100 * one.relative_uncertainty)
        _draw_shape(drawing, (x, y), one.setup.way, colour=ACCENT)
    for (x, row), numbers in places.items():
        words = ", ".join(str(number) for number in numbers)
        right = x + RING_PX + width_of(words, BODY) < RIGHT_PX
        drawing.text((x + RING_PX if right else x - RING_PX, 12 * row + 5), words, size=BODY,
                     anchor="start" if right else "end", fill=INK, bold=True, halo=True)


def _draw_legend(drawing: Drawing, ways: dict[str, None]) -> None:
    for number, way in enumerate(ways):
        x = LEFT_PX + (number % LEGEND_COLUMNS) * (RIGHT_PX - LEFT_PX) / LEGEND_COLUMNS
        y = BOTTOM_PX + 66 + (number // LEGEND_COLUMNS) * LEGEND_ROW_PX
        _draw_shape(drawing, (x + 6, y - 4), way, colour=INK)
        drawing.text((x + 20, y), way, size=SMALL)
