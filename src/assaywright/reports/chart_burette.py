"""The burette of a determination as a drawing: where it stands, how far to run freely, where the endpoint is expected.

On the left the whole scale; on the right the part about the endpoint, enlarged, where one sees how closely it is known.
"""

import math
from decimal import Decimal

from assaywright.assay.bench.expected import Expectation
from assaywright.assay.bench.state import BenchState
from assaywright.assay.wording import written_decimal
from assaywright.reports.chart_scale import Scale, tick_labels
from assaywright.reports.chart_svg import ACCENT, FAINT, INK, PAPER, QUIET, Drawing

WIDTH, HEIGHT = 320.0, 440.0
TOP, BOTTOM = 34.0, 340.0
TUBE, TUBE_WIDTH = 52.0, 30.0
LENS, LENS_WIDTH = 214.0, 40.0
BESIDE = 5.0
LIQUID = "#DCE8E2"
WASH = "#A9CFC0"
SMALL = 12.0
MARGIN_BEFORE, MARGIN_AFTER = 0.12, 0.25  # of the enlarged part, so that its ends are seen in their surroundings
LEAST_BAND_PX = 3.0
MOST_MARKS = 60


def burette_chart(state: BenchState, name: str = "burette") -> str:
    """Return the drawing in SVG; empty where the scale of the burette is not known.

    Arguments:
        state: of the bench.
        name: of the drawing on its page.
    """
    if state.burette.nominal_mL is None or not state.burette.nominal_mL > 0:
        return ""
    drawing = Drawing(WIDTH, HEIGHT, title="Burette", description=_described(state), name=name)
    along = Scale(0.0, float(state.burette.nominal_mL), TOP, BOTTOM)
    _draw_tube(drawing, along, state)
    for reading, one in state.expected.items():
        _draw_parts(drawing, along, one, _start(state), whole=reading == state.under_way)
    _draw_readings(drawing, along, state)
    expected = state.expected.get(state.under_way)
    if expected is not None and expected.low_mL < along.high:
        _draw_lens(drawing, along, expected, state)
    for line, words in enumerate(_captions(state, expected)):
        drawing.text((8, BOTTOM + 56 + 18 * line), words, size=13, bold=line == 0)
    return str(drawing)


def _start(state: BenchState) -> float:
    return state.initial_mL if state.initial_mL is not None else 0.0


# --- words ------------------------------------------------------------------------------------------------------------


def _described(state: BenchState) -> str:
    """Return the drawing in words, for those who do not see it."""
    burette, told = state.burette, [f"{written_decimal(state.burette.nominal_mL or Decimal(0))} mL burette"]
    if burette.division_mL is not None:
        told.append(f"divided to {written_decimal(burette.division_mL)} mL")
    if state.initial_mL is not None:
        told.append(f"initial reading {state.initial_mL:.2f} mL")
    for reading, one in state.expected.items():
        words = "first endpoint" if reading != "final" else "endpoint"
        told.append(f"run freely to {_downwards(one.free_running_to_mL)} mL, from there dropwise, {words} expected at "
                    f"{one.final_mL:.2f} mL, give or take {one.half_width_mL:.2f} mL")
    if state.read_mL is not None:
        told.append(f"read at {state.read_mL:.2f} mL")
    return f"{'; '.join(told)}."


def _downwards(volume_mL: float) -> str:
    """Return how far to run freely, never rounded past it."""
    return f"{math.floor(volume_mL * 10 + 1e-9) / 10:.1f}"


def _captions(state: BenchState, expected: Expectation | None) -> list[str]:
    """Return what stands below the drawing: where the endpoint is expected, and how far to run freely."""
    if expected is None:
        return ["Nothing tells yet where the endpoint is."]
    scale = float(state.burette.nominal_mL or 0)
    if expected.low_mL >= scale:
        return [f"Titre of about {expected.titre_mL:.2f} mL expected:", "beyond the scale, so fill again on the way"]
    which = "First endpoint" if state.under_way != "final" else "Endpoint"
    free = (f"run freely to {_downwards(expected.free_running_to_mL)} mL, then dropwise"
            if expected.free_running_to_mL > _start(state) else "dropwise from the start")
    return [f"{which} at {expected.final_mL:.2f} ± {expected.half_width_mL:.2f} mL", free]


# --- the whole scale --------------------------------------------------------------------------------------------------


def _draw_tube(drawing: Drawing, along: Scale, state: BenchState) -> None:
    """Draw tube, tap and jet, with what is left in it, and the marks of the scale."""
    level = along.place(state.read_mL if state.read_mL is not None else _start(state))
    middle = TUBE + TUBE_WIDTH / 2
    right = TUBE + TUBE_WIDTH
    drawing.shape([(TUBE, level), (right, level), (right, BOTTOM + 8), (middle + 4, BOTTOM + 18),
                   (middle - 4, BOTTOM + 18), (TUBE, BOTTOM + 8)], fill=LIQUID)
    for x, inward in ((TUBE, 1), (right, -1)):
        drawing.curve([(x, TOP - 14), (x, BOTTOM + 8), (middle - 4 * inward, BOTTOM + 18),
                       (middle - 2 * inward, BOTTOM + 38)], stroke=INK, width=1.4)
    drawing.rectangle((middle - 14, BOTTOM + 20), (28, 7), fill=INK)
    ticks = along.ticks(10)
    for tick, label in zip(ticks, tick_labels(ticks), strict=True):
        y = along.place(tick)
        drawing.line((TUBE, y), (TUBE + 13, y), width=1.2)
        drawing.text((TUBE - 6, y + 4), label, size=SMALL, anchor="end", fill=QUIET)
    for tick in along.ticks(50):
        drawing.line((TUBE, along.place(tick)), (TUBE + 7, along.place(tick)), stroke=QUIET, width=0.7)
    drawing.text((TUBE - 6, TOP - 16), "mL", size=SMALL, anchor="end", fill=QUIET)


def _draw_parts(drawing: Drawing, along: Scale, one: Expectation, start_mL: float, *, whole: bool) -> None:
    """Draw beside the tube where to run freely, where dropwise, and the band; of another endpoint the band alone."""
    x = TUBE + TUBE_WIDTH + BESIDE
    low, high = along.place(one.low_mL), along.place(one.high_mL)
    if whole:
        start, free = along.place(start_mL), along.place(one.free_running_to_mL)
        drawing.rectangle((x, start), (8, free - start), fill=QUIET)
        if free - start > 90:
            drawing.text((x + 22, (start + free) / 2 + 8), "run freely", size=13, anchor="middle", turned=True)
        drawing.line((x + 4, free), (x + 4, low), stroke=ACCENT, width=4, dashes="3 3")
    if one.low_mL < along.high:
        drawing.rectangle((x, low), (12, max(high - low, LEAST_BAND_PX)), fill=ACCENT if whole else WASH)


def _draw_readings(drawing: Drawing, along: Scale, state: BenchState) -> None:
    """Draw the initial reading and the one under way as marks with their figures."""
    x = TUBE + TUBE_WIDTH
    for reading, words in ((state.initial_mL, "initial"), (state.read_mL, "read")):
        if reading is None or not 0 <= reading <= along.high:
            continue
        y = along.place(reading)
        drawing.line((TUBE, y), (x, y), width=2)
        if words == "initial" or not _is_in_lens(state, along):
            drawing.text((x + BESIDE + 14, y + 4), f"{words} {reading:.2f}", size=SMALL, halo=True)


# --- about the endpoint -----------------------------------------------------------------------------------------------


def _lens_of(one: Expectation, along: Scale) -> Scale:
    """Return the enlarged part of the scale: from a little before the dropwise part to a little after the band."""
    first = min(one.free_running_to_mL, one.low_mL)
    span = one.high_mL - first
    return Scale(max(0.0, first - MARGIN_BEFORE * span), min(along.high, one.high_mL + MARGIN_AFTER * span), TOP + 26,
                 BOTTOM)


def _is_in_lens(state: BenchState, along: Scale) -> bool:
    """Whether the reading under way is shown in the enlarged part."""
    one = state.expected.get(state.under_way)
    if one is None or one.low_mL >= along.high or state.read_mL is None:
        return False
    near = _lens_of(one, along)
    return near.low <= state.read_mL <= near.high


def _draw_lens(drawing: Drawing, along: Scale, one: Expectation, state: BenchState) -> None:
    """Draw the part about the endpoint enlarged: dropwise part, band, and the reading where it is in sight."""
    near = _lens_of(one, along)
    right = TUBE + TUBE_WIDTH + BESIDE + 14
    for value in (near.low, near.high):
        drawing.line((right, along.place(value)), (LENS - 4, near.place(value)), stroke=FAINT)
    drawing.rectangle((LENS, near.start_px), (LENS_WIDTH, near.end_px - near.start_px), fill=PAPER)
    free, band, end = (near.place(value) for value in (one.free_running_to_mL, one.low_mL, one.high_mL))
    drawing.rectangle((LENS, near.start_px), (8, free - near.start_px), fill=QUIET)
    drawing.line((LENS + 4, free), (LENS + 4, band), stroke=ACCENT, width=4, dashes="4 4")
    drawing.rectangle((LENS, band), (LENS_WIDTH, max(end - band, LEAST_BAND_PX)), fill=WASH)
    at = near.place(one.final_mL)
    drawing.line((LENS, at), (LENS + LENS_WIDTH, at), stroke=ACCENT, width=2)
    _draw_marks(drawing, near, state.burette.division_mL)
    drawing.rectangle((LENS, near.start_px), (LENS_WIDTH, near.end_px - near.start_px), stroke=INK)
    drawing.text((LENS, TOP + 16), "enlarged", size=SMALL, fill=QUIET)
    if band - free > 40:
        drawing.text((LENS - 8, (free + band) / 2 + 4), "dropwise", size=13, anchor="end", halo=True)
    drawing.text((LENS - 14, at + 4), "expected", size=13, anchor="end", fill=ACCENT, halo=True)
    _draw_reading_in_lens(drawing, near, at, state)


def _draw_marks(drawing: Drawing, near: Scale, division_mL: Decimal | None) -> None:
    """Draw the marks of the enlarged part: the burette's own where there is room, else round ones."""
    ticks = near.ticks(7)
    for tick, label in zip(ticks, tick_labels(ticks), strict=True):
        y = near.place(tick)
        drawing.line((LENS + LENS_WIDTH - 12, y), (LENS + LENS_WIDTH, y), width=1.2)
        drawing.text((LENS + LENS_WIDTH + 6, y + 4), label, size=SMALL, fill=QUIET)
    step = float(division_mL) if division_mL is not None and division_mL > 0 else 0.0
    if step and (near.high - near.low) / step <= MOST_MARKS:
        for count in range(math.ceil(near.low / step - 1e-9), math.floor(near.high / step + 1e-9) + 1):
            y = near.place(count * step)
            drawing.line((LENS + LENS_WIDTH - 6, y), (LENS + LENS_WIDTH, y), stroke=QUIET, width=0.8)


def _draw_reading_in_lens(drawing: Drawing, near: Scale, expected_px: float, state: BenchState) -> None:
    """Draw the reading as a pointer with its figure, clear of the word beside what is expected."""
    if state.read_mL is None or not near.low <= state.read_mL <= near.high:
        return
    y = near.place(state.read_mL)
    drawing.shape([(LENS - 1, y), (LENS - 10, y - 5), (LENS - 10, y + 5)], fill=INK)
    drawing.line((LENS, y), (LENS + LENS_WIDTH, y), width=2)
    words_y = y + 4 if abs(y - expected_px) > 16 else expected_px + (22 if y >= expected_px else -12)
    drawing.text((LENS - 14, words_y), f"read {state.read_mL:.2f}", size=13, anchor="end", bold=True, halo=True)
