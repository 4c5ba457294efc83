"""The replicates of an assay as points beside their mean, and beside the limits where they lie near."""

from assaywright.assay.result import Outcome
from assaywright.assay.wording import written_figures
from assaywright.reports.chart_scale import Scale, tick_labels, widened
from assaywright.reports.chart_svg import ACCENT, FAINT, INK, QUIET, Drawing

WIDTH, HEIGHT = 640.0, 230.0
LEFT, RIGHT, TOP, BOTTOM = 92.0, 24.0, 18.0, 40.0
DOT = 5.0
LONGEST_LABEL = 6  # characters that stand beneath a point without meeting the next one


def replicate_chart(outcome: Outcome, name: str = "replicates") -> str:
    """Return the chart in SVG: a filled square for what counts, a cross for what is excluded, a line for the mean.

    Arguments:
        outcome: of a worksheet.
        name: of the drawing on its page.
    """
    found, unit = outcome.determinations, outcome.result.estimate.unit
    values = [one.value for one in found]
    margin = 0.15 * (max(values) - min(values)) or abs(values[0]) * 1e-3 or 1.0
    low, high = widened(min(values) - margin, max(values) + margin, 4)
    up = Scale(low, high, HEIGHT - BOTTOM, TOP)
    mean = outcome.statistics.mean
    drawing = Drawing(
        WIDTH, HEIGHT, title="Replicates", name=name,
        description=f"{len(found)} determinations from {written_figures(min(values), 5)} to "
                    f"{written_figures(max(values), 5)} {unit}, mean {written_figures(mean, 5)} {unit}")
    ticks = up.ticks(4)
    for tick, label in zip(ticks, tick_labels(ticks), strict=True):
        drawing.line((LEFT, up.place(tick)), (WIDTH - RIGHT, up.place(tick)), stroke=FAINT)
        drawing.text((LEFT - 8, up.place(tick) + 4), label, anchor="end", fill=QUIET)
    drawing.text((18, (TOP + HEIGHT - BOTTOM) / 2), unit, anchor="middle", fill=QUIET, turned=True)
    drawing.line((LEFT, up.place(mean)), (WIDTH - RIGHT, up.place(mean)), stroke=ACCENT, width=2)
    drawing.text((WIDTH - RIGHT - 4, up.place(mean) - 6), "mean", anchor="end", fill=ACCENT, halo=True)
    step = (WIDTH - LEFT - RIGHT) / (len(found) + 1)
    for number, one in enumerate(found, start=1):
        _point(drawing, LEFT + step * number, up.place(one.value), counts=not one.excluded)
        own = one.label if len(one.label) <= LONGEST_LABEL else str(number)
        words = f"{own}, excluded" if one.excluded else own
        drawing.text((LEFT + step * number, HEIGHT - BOTTOM + 20), words, anchor="middle", fill=QUIET)
    return str(drawing)


def _point(drawing: Drawing, x: float, y: float, *, counts: bool) -> None:
    if counts:
        drawing.rectangle((x - DOT, y - DOT), (2 * DOT, 2 * DOT), fill=INK)
        return
    drawing.line((x - DOT, y - DOT), (x + DOT, y + DOT), stroke=INK, width=2)
    drawing.line((x - DOT, y + DOT), (x + DOT, y - DOT), stroke=INK, width=2)
