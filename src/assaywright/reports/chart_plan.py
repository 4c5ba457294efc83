"""The trade-off of a plan as a drawing: bench time against uncertainty, the options shown by their numbers."""

import math
from collections.abc import Sequence

from assaywright.assay.plan.result import Plan
from assaywright.assay.plan.setup import PIPETTED, PIPETTED_FLASK, WEIGHED, WEIGHED_DILUTION, WEIGHED_FLASK
from assaywright.reports.chart_scale import Scale, tick_labels, widened
from assaywright.reports.chart_svg import ACCENT, FAINT, INK, QUIET, Drawing, Point, width_of

LONGEST_TITLE = 56  # characters at full size
WIDTH_PX, HEIGHT_PX = 760.0, 520.0
LEFT_PX, RIGHT_PX, TOP_PX, BOTTOM_PX = 70.0, 736.0, 60.0, 400.0
BODY, SMALL = 13.0, 12.0
HALF_PX = 3.5
AWAY_PX = (6.0, 12.0, 20.0, 30.0, 42.0, 56.0, 72.0)  # of a number from its symbol, the nearest free one is taken
DIRECTIONS = (0, 180, 45, 135, 315, 225, 90, 270, 20, 160, 340, 200)  # from the right, against the clock [°]
LEADER_FROM_PX = 9.0  # farther off, a line leads to the number
DASHES = "6 4"
LEGEND_COLUMNS, LEGEND_ROW_PX = 2, 20.0
SHAPES = {PIPETTED: "square", WEIGHED: "diamond", PIPETTED_FLASK: "open square", WEIGHED_FLASK: "open diamond",
          WEIGHED_DILUTION: "triangle"}

Box = tuple[float, float, float, float]  # left, top, right, bottom [px]


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
    drawing.text((LEFT_PX, 24), plan.title, size=16 if len(plan.title) <= LONGEST_TITLE else 12, bold=True)
    _draw_axes(drawing, along, up)
    if wanted is not None:
        _draw_wanted(drawing, wanted, up)
    for way, minutes, percent in dict.fromkeys((one.way, round(along.place(one.minutes)),
                                                round(up.place(100 * one.relative_uncertainty)))
                                               for one in plan.places):
        _draw_shape(drawing, (minutes, percent), way, colour=QUIET)
    _draw_options(drawing, plan, along, up)
    _draw_legend(drawing, dict.fromkeys(one.way for one in plan.places), wanted)
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


def _draw_options(drawing: Drawing, plan: Plan, along: Scale, up: Scale) -> None:
    """Write the numbers of the options where no symbol and no other number is, with a line to a place farther off."""
    places: dict[Point, list[int]] = {}
    for one in plan.options:
        at = along.place(one.minutes), up.place(100 * one.relative_uncertainty)
        _draw_shape(drawing, at, one.setup.way, colour=ACCENT)
        near = next((other for other in places if math.dist(other, at) < HALF_PX), at)
        places.setdefault(near, []).append(one.number)
    taken = [_around((along.place(one.minutes), up.place(100 * one.relative_uncertainty)), HALF_PX + 1, HALF_PX + 1)
             for one in plan.places]
    for at, numbers in places.items():
        words = ", ".join(str(number) for number in numbers)
        half = width_of(words, BODY) / 2 + 2, BODY / 2
        middle = free_place(at, half, taken)
        taken.append(_around(middle, *half))
        away = math.dist(at, middle)
        if away > LEADER_FROM_PX + half[0]:
            start, end = ((at[0] + (middle[0] - at[0]) * share, at[1] + (middle[1] - at[1]) * share)
                          for share in ((HALF_PX + 2) / away, 1 - (BODY / 2 + 1) / away))
            drawing.line(start, end, stroke=INK, width=0.8)
        drawing.text((middle[0], middle[1] + 4.5), words, size=BODY, anchor="middle", fill=INK, bold=True, halo=True)


def free_place(at: Point, half: Point, taken: Sequence[Box]) -> Point:
    """Return where words go so that they meet nothing: the nearest place, to the right first.

    Arguments:
        at: what the words belong to [px].
        half: half of their width and height [px].
        taken: boxes to keep clear of: left, top, right, bottom [px].

    Returns: the middle of the words [px]; beside the point where nothing is free.
    """
    for away in AWAY_PX:
        for degrees in DIRECTIONS:
            turn = math.radians(degrees)
            middle = (at[0] + (away + half[0]) * math.cos(turn), at[1] - (away + half[1]) * math.sin(turn))
            box = _around(middle, *half)
            inside = box[0] > LEFT_PX and box[2] < RIGHT_PX and box[1] > TOP_PX and box[3] < BOTTOM_PX
            if inside and not any(_meet(box, other) for other in taken):
                return middle
    return at[0] + AWAY_PX[0] + half[0], at[1]


def _around(middle: Point, half_width: float, half_height: float) -> Box:
    return middle[0] - half_width, middle[1] - half_height, middle[0] + half_width, middle[1] + half_height


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _draw_legend(drawing: Drawing, ways: dict[str, None], wanted: float | None) -> None:
    """Write what the shapes and the broken line mean, below the drawing where nothing can lie over it."""
    told = [*ways, *([f"wanted: {wanted:.2g} %"] if wanted is not None else [])]
    for number, words in enumerate(told):
        x = LEFT_PX + (number % LEGEND_COLUMNS) * (RIGHT_PX - LEFT_PX) / LEGEND_COLUMNS
        y = BOTTOM_PX + 66 + (number // LEGEND_COLUMNS) * LEGEND_ROW_PX
        if words in ways:
            _draw_shape(drawing, (x + 6, y - 4), words, colour=INK)
        else:
            drawing.line((x - 2, y - 4), (x + 14, y - 4), stroke=ACCENT, width=1.4, dashes=DASHES)
        drawing.text((x + 20, y), words, size=SMALL)
