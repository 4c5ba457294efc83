"""A titrant's standardisations over time as a drawing: values with their uncertainty, the line, and what it meets."""

from collections.abc import Sequence
from datetime import date, timedelta

from assaywright.assay.drift import LIMITS, Allowed, Drift
from assaywright.assay.wording import written_date, written_number
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.stability import Bounds, limits_of_confidence, own_uncertainty
from assaywright.reports.chart_scale import Scale, tick_labels, widened
from assaywright.reports.chart_svg import ACCENT, FAINT, INK, QUIET, Drawing, width_of

WIDTH_PX, HEIGHT_PX = 760.0, 440.0
LEFT_PX, RIGHT_PX, TOP_PX, BOTTOM_PX = 84.0, 736.0, 56.0, 330.0
BODY, SMALL = 13.0, 12.0
DASHES, DOTS = "6 4", "2 3"
STEPS = 60  # of the band
CAP_PX, DOT_PX, OWN_PX = 5.0, 3.5, 3.5
AMBER = "#8A4B00"
LEGEND_PX = 20.0


def drift_svg(drift: Drift, allowed: Allowed, *, title: str, today: date) -> str:
    """Return the drawing; the same is told in the table beside it.

    Arguments:
        drift: with one standardisation at least.
        allowed: largest change and limits.
        title: what is drawn.
        today: the laboratory's day.
    """
    found = drift.found
    first = found[0].day
    last = max([found[-1].day, today, *([drift.until] if drift.until else [])])
    days = max((last - first).days, 1)
    along = Scale(-0.03 * days, 1.05 * days, LEFT_PX, RIGHT_PX)
    band = _band(drift, days)
    up = _upright(drift, band, _bounds(drift, allowed))
    drawing = Drawing(WIDTH_PX, HEIGHT_PX, title=title, description=described(drift), name="drift")
    drawing.text((LEFT_PX - 60, 24), title, size=15 if len(title) < 70 else 12, bold=True)
    _axes(drawing, along, up, first, days, found[0].found.unit)
    if band:
        drawing.shape([*((along.place(day), up.place(low)) for day, low, _ in band),
                       *((along.place(day), up.place(high)) for day, _, high in reversed(band))], fill=FAINT)
        line = drift.line
        if line is not None:
            drawing.curve([(along.place(day), up.place(line.at(day).value)) for day, _, _ in band], stroke=ACCENT)
    for bound in _bounds(drift, allowed):
        drawing.line((LEFT_PX, up.place(bound)), (RIGHT_PX, up.place(bound)), stroke=AMBER, width=1.4, dashes=DASHES)
    if drift.until:
        _upright_day(drawing, along, (drift.until - first).days, _until_words(drift))
    _values(drawing, drift, along, up)
    _legend(drawing, drift, band=bool(band))
    return str(drawing)


def described(drift: Drift) -> str:
    """Return in sentences what the drawing shows, for those who do not see it."""
    found = drift.found
    told = f"{len(found)} standardisation{'' if len(found) == 1 else 's'}"
    if len(found) > 1:
        told += f" from {written_date(found[0].day)} to {written_date(found[-1].day)}"
    told += ", each with its expanded uncertainty."
    if drift.line is not None and not drift.why_not:
        told += f" A straight line goes through them with its limits of confidence: it {_until_words(drift)}."
    return f"{told} {drift.why_not}".strip()


def _until_words(drift: Drift) -> str:
    if drift.until is None:
        return "foretells no day"
    if drift.met_already:
        return f"may lie outside its limits on {written_date(drift.until)} already"
    return f"{'holds until' if drift.meets else 'holds at least until'} {written_date(drift.until)}"


def _bounds(drift: Drift, allowed: Allowed) -> tuple[float, ...]:
    """Return what must not be met: what the day was found by; else the largest change about the last value."""
    bounds = drift.bounds
    if bounds is None:
        value = drift.found[-1].found.value
        part = value * allowed.change_percent / 100
        bounds = Bounds(value - part, value + part)
    return tuple(one for one in (bounds.lower, bounds.upper) if one is not None)


def _band(drift: Drift, days: float) -> list[tuple[float, float, float]]:
    """Return days with the limits of confidence about the line, no farther than the values carry it.

    Nothing is returned where no line goes through the values.
    """
    if drift.line is None or drift.bounds is None:
        return []
    days = min(days, (drift.carried_until - drift.found[0].day).days)
    every = [days * step / STEPS for step in range(STEPS + 1)]
    return [(day, low, high) for day, (low, high) in zip(every, limits_of_confidence(
        drift.line, drift.bounds, every), strict=True)]


def _expanded(drift: Drift, number: int) -> tuple[float, float]:
    """Return U of a value, and the part of it that the value shares with none of the others."""
    one = drift.found[number].found
    factor = coverage_factor(one.degrees_of_freedom)
    others = [each.found for place, each in enumerate(drift.found) if place != number]
    return factor * one.standard_uncertainty, factor * own_uncertainty(one, others)


def _upright(drift: Drift, band: Sequence[tuple[float, float, float]], bounds: Sequence[float]) -> Scale:
    spread = [_expanded(drift, place)[0] for place in range(len(drift.found))]
    values = [one.found.value for one in drift.found]
    every = [*bounds, *(value - half for value, half in zip(values, spread, strict=True)),
             *(value + half for value, half in zip(values, spread, strict=True)),
             *(low for _, low, _ in band), *(high for _, _, high in band)]
    return Scale(*widened(min(every), max(every), 6), BOTTOM_PX, TOP_PX)


def _axes(drawing: Drawing, along: Scale, up: Scale, first: date, days: int, unit: str) -> None:
    ticks = up.ticks(6)
    for tick, words in zip(ticks, tick_labels(ticks), strict=True):
        drawing.line((LEFT_PX, up.place(tick)), (RIGHT_PX, up.place(tick)), stroke=FAINT, width=0.6)
        drawing.text((LEFT_PX - 8, up.place(tick) + 4), words, size=BODY, anchor="end")
    for day in _named(first, days):
        x = along.place((day - first).days)
        drawing.line((x, BOTTOM_PX), (x, BOTTOM_PX + 5))
        drawing.text((x, BOTTOM_PX + 19), day.isoformat(), size=SMALL, anchor="middle")
    drawing.line((LEFT_PX, BOTTOM_PX), (RIGHT_PX, BOTTOM_PX), width=1.2)
    drawing.line((LEFT_PX, BOTTOM_PX), (LEFT_PX, TOP_PX), width=1.2)
    drawing.text((LEFT_PX - 60, TOP_PX - 12), f"concentration / ({unit})", size=SMALL, bold=True)
    drawing.text((RIGHT_PX, BOTTOM_PX + 38), "day", size=SMALL, anchor="end", bold=True)


def _named(first: date, days: int) -> list[date]:
    """Return the days named along the axis: first days of months, or of some of them; of a short time, days."""
    if days < 45:
        step = max(1, round(days / 5))
        return [first + timedelta(days=day) for day in range(0, days + 1, step)]
    months = days / 30.4
    step = max(1, -(-int(months) // 6))
    every: list[date] = []
    year, month = first.year, first.month
    while True:
        month += step
        year, month = year + (month - 1) // 12, (month - 1) % 12 + 1
        day = date(year, month, 1)
        if (day - first).days > days:
            return every
        every.append(day)


def _upright_day(drawing: Drawing, along: Scale, day: int, words: str) -> None:
    x = along.place(day)
    drawing.line((x, TOP_PX), (x, BOTTOM_PX), stroke=INK, width=1.2, dashes=DOTS)
    anchor = "end" if x + width_of(words, SMALL) > RIGHT_PX else "start"
    drawing.text((x + (-6 if anchor == "end" else 6), TOP_PX + 12), words, size=SMALL, anchor=anchor, halo=True)


def _values(drawing: Drawing, drift: Drift, along: Scale, up: Scale) -> None:
    first = drift.found[0].day
    for place, one in enumerate(drift.found):
        x, value = along.place((one.day - first).days), one.found.value
        whole, own = _expanded(drift, place)
        low, high = up.place(value - whole), up.place(value + whole)
        drawing.line((x, low), (x, high), width=1.2)
        for y in (low, high):
            drawing.line((x - CAP_PX, y), (x + CAP_PX, y), width=1.2)
        drawing.line((x, up.place(value - own)), (x, up.place(value + own)), stroke=QUIET, width=OWN_PX)
        y = up.place(value)
        drawing.shape(((x - DOT_PX, y), (x, y - DOT_PX - 1), (x + DOT_PX, y), (x, y + DOT_PX + 1)), fill=ACCENT,
                      stroke=ACCENT)


def _legend(drawing: Drawing, drift: Drift, *, band: bool) -> None:
    told = ["value; thin bar: U, 95 %; thick: the part of it that is the value's own",
            "broken: " + ("limits of its concentration" if drift.meets == LIMITS else
                          "largest change allowed since the last value")]
    if band:
        told.append("line with its limits of confidence, 95 %" + (
            "" if drift.meets == LIMITS else ", of the change since the last value"))
    for number, words in enumerate(told):
        drawing.text((LEFT_PX - 20, BOTTOM_PX + 60 + number * LEGEND_PX), written_number(words), size=SMALL)
