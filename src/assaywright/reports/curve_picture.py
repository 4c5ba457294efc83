"""From a curve and its ranked indicators to the document that is drawn."""

import re
from itertools import pairwise

import numpy as np

from assaywright.chemistry.curve import BufferRegion, Curve
from assaywright.chemistry.equilibrium.arrays import Array
from assaywright.chemistry.formula import parse_formula
from assaywright.chemistry.indicator import Ranking, VisualEndpoint
from assaywright.chemistry.indicator_colour import colours_along
from assaywright.metrology.refusal import Refusal
from assaywright.reports.chart_document import Band, Cell, ColourStrip, CurvePicture, Mark, Region
from assaywright.reports.chart_scale import round_step

CELLS = 400
LEAST_WINDOW_ML = 0.25
DECIMALS = {"potential_V": 3}
MINUS = "−"
RAISED = str.maketrans("0123456789+-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻")
LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def curve_picture(
    curve: Curve, title: str, subtitle: str, *, ranking: Ranking | None = None, ends: tuple[VisualEndpoint, ...] = (),
    notes: tuple[str, ...] = (),
) -> CurvePicture:
    """Return what is drawn of a curve.

    Arguments:
        curve: one curve.
        title, subtitle: in words.
        ranking: at the equivalence point that the last of ``ends`` belongs to.
        ends: the indicators to show, in the order of the burette; none when not given.
        notes: lines below the drawing.
    """
    finite = np.isfinite(curve.values) & np.isfinite(curve.first_derivative)
    volumes, values = curve.volume_mL[finite], curve.values[finite]
    marks = tuple(_mark(curve, at) for at in np.ravel(curve.equivalence_points_mL))
    endpoints = tuple(_endpoint(end, volumes, values, of=end.indicator.name if len(ends) > 1 else "") for end in ends)
    label = label_of(curve)
    name = label.split(" ")[0]
    return CurvePicture(
        title, subtitle, _description(curve, marks, ends, ranking), label,
        f"d{name}/dV / ({'V ' if curve.quantity == 'potential_V' else ''}mL⁻¹)".replace("/ (mL⁻¹)", "/ mL⁻¹"),
        tuple(map(float, volumes)), tuple(map(float, values)), tuple(map(float, curve.first_derivative[finite])),
        marks, tuple(_region(one, curve) for one in curve.buffer_regions if _is_wide(one, volumes)),
        tuple(_band(end, curve) for end in ends if end.interval is not None), endpoints,
        tuple(_strip(curve, end) for end in ends), notes,
    )


def _endpoint(end: VisualEndpoint, volumes: Array, values: Array, *, of: str) -> Mark:
    value = float(np.interp(end.volume_mL, volumes, values))
    return Mark(end.volume_mL, value, f"endpoint of {of}" if of else "endpoint")


def label_of(curve: Curve) -> str:
    """Return what the upright scale is called: "pH", "pCa", "pAg", "E / V"."""
    if curve.quantity == "potential_V":
        return "E / V"
    if curve.quantity == "pH":
        return "pH"
    return "p" + curve.followed.replace("^", "").rstrip("+-0123456789 ")


def written(value: float, curve: Curve, *, coarser: bool = False) -> str:
    """Return a value of the followed quantity in figures, with one decimal fewer where that is enough."""
    unit = " V" if curve.quantity == "potential_V" else ""
    return f"{value:.{DECIMALS.get(curve.quantity, 2) - coarser}f}{unit}".replace("-", MINUS)


def typographic(name: str) -> str:
    """Return a formula with its digits lowered and its charge raised; any other name as it is.

    Example:
        >>> typographic("Cr2O7 2-"), typographic("acetic acid")
        ('Cr₂O₇²⁻', 'acetic acid')
    """
    try:
        charge = parse_formula(name).charge
    except Refusal:
        return name
    if not charge:
        return re.sub(r"(?<=[A-Za-z)\]])\d+", lambda found: found[0].translate(LOWERED), name)
    size = "" if abs(charge) == 1 else str(abs(charge))
    core = re.sub(rf"[\s^]*{size}[+-]$", "", name.strip())
    return core.translate(LOWERED) + f"{size}{'+' if charge > 0 else '-'}".translate(RAISED)


def _mark(curve: Curve, at: float) -> Mark:
    value = float(np.interp(at, curve.volume_mL, curve.values))
    name = label_of(curve).split(" ")[0]
    return Mark(float(at), value, f"equivalence point {at:.2f} mL, {name} {written(value, curve)}")


def _region(one: BufferRegion, curve: Curve) -> Region:
    several = sum(each.name == one.name for each in curve.buffer_regions) > 1
    name = f"buffer: {typographic(one.name)}, step {one.step}" if several else f"buffer: {typographic(one.name)}"
    return Region(float(one.from_mL), float(one.to_mL), name)


def _is_wide(one: BufferRegion, volumes: Array) -> bool:
    return bool(one.to_mL - one.from_mL > 0.02 * volumes[-1])


def _band(end: VisualEndpoint, curve: Curve) -> Band:
    low, high = Refusal.unless(end.interval, "the indicator has no interval", where="curve")
    low_words, high_words = (written(value, curve, coarser=True) for value in (low, high))
    return Band(low, high, f"{end.indicator.name}, {low_words} to {high_words}")


def _strip(curve: Curve, end: VisualEndpoint) -> ColourStrip:
    last = float(curve.volume_mL[-1])
    reach = max(abs(end.titration_error_mL), (end.crossing_mL or 0.0), LEAST_WINDOW_ML)
    half = min(round_step(1.25 * reach), 0.5 * last)
    from_mL = max(end.volume_mL - half, 0.0)
    near = np.linspace(from_mL, min(from_mL + 2 * half, last), CELLS + 1)
    before, at, after = end.colours
    return ColourStrip(end.indicator.name, _cells(curve, end, np.linspace(0.0, last, CELLS + 1)),
                       _cells(curve, end, near), end.volume_mL, end.equivalence_mL, before, at, after)


def _cells(curve: Curve, end: VisualEndpoint, edges: Array) -> tuple[Cell, ...]:
    """Return stretches of one colour; neighbours of the same colour are one stretch."""
    colours = colours_along(curve, end, (edges[:-1] + edges[1:]) / 2)
    starts = [0, *(place for place, (one, next_one) in enumerate(pairwise(colours), 1) if one != next_one)]
    ends = [*starts[1:], len(colours)]
    return tuple((float(edges[start]), float(edges[stop]), colours[start])
                 for start, stop in zip(starts, ends, strict=True))


def _description(
    curve: Curve, marks: tuple[Mark, ...], ends: tuple[VisualEndpoint, ...], ranking: Ranking | None
) -> str:
    finite = curve.values[np.isfinite(curve.values)]
    name = label_of(curve).split(" ")[0]
    first, last = (written(float(finite[place]), curve) for place in (0, -1))
    said = [f"{name} goes from {first} to {last} over {curve.volume_mL[-1]:.2f} mL of titrant."]
    said += [f"{mark.words[0].upper()}{mark.words[1:]}." for mark in marks]
    for end in ends:
        before, at, after = end.colours
        said.append(f"With {end.indicator.name} the flask goes from {before} through {at} to {after}; the endpoint is "
                    f"at {end.volume_mL:.2f} mL.")
    if ranking is not None:
        said.append(ranking.verdict)
    return " ".join(said)
