"""What a burette delivered between its readings, and how its error is shared along the scale."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Means

NODES = ((4, "wide near"), (6, "near"))  # how many intervals between the nodes of each kind, and their names
FULL_SIZE_AT = 5  # a fifth of the scale above zero
WHOLE_SCALE = "whole scale"
ALL_BUT_CANCELLED = 1e-9


def delivered_volume(fillings: Sequence[tuple[Any, Any, Any, Any]], error: Any, m: Means, tag: str = "") -> Any:
    """Return the volume delivered, at the vessel's reference temperature.

    V = sum over fillings of [(R_f + C(R_f)) - (R_i + C(R_i))] + dV

    Arguments:
        fillings: for each filling initial reading, its correction, final reading, its correction [mL].
        error: what the scale's calibration or tolerance leaves open for this delivery, estimate 0 [mL].
        tag: set behind the symbol V in the working.

    Returns: [mL]

    Source: ISO 385 and ISO 4787, correction C(R) to be added to the reading R.
    """
    total: Any = None
    for initial, initial_correction, final, final_correction in fillings:
        interval = (final + final_correction) - (initial + initial_correction)
        total = interval if total is None else total + interval
    return m.step(f"V_d{tag}", "volume delivered by the burette", total + error, "mL", "ISO 4787")


def scale_weights(position_mL: float, scale_mL: float) -> dict[str, float]:
    """Return how strongly a scale position hangs on each node of the scale.

    Over what length a burette's errors stay alike is not known; a tenth to three tenths of the scale is assumed (5 to
    15 mL of 50 mL). The correlation of two positions a distance d apart, the mean of exp(-d²/(2 l²)) over those
    lengths l, is made from two kinds of nodes, with half of the variance each: a quarter and a sixth of the scale
    apart. A position hangs on the three nodes of each kind that lie nearest; the squares of the weights are the
    quadratic B-spline's, which add up to one, so that the error of every position has the same variance wherever it
    lies between the nodes. Neighbours err alike, positions half a scale apart nearly independently. At zero the error
    is nil, since volumes count from there; up to a fifth of the scale its variance grows in proportion to the volume.

    Returns: name of the node to weight [1].

    Source: a model of ours for "a stated function of scale position with a stated correlation along the scale".
    Published nowhere; that a burette's errors change over about 10 mL follows Talbot, who spreads a small correction
    evenly over that length (An Introductory Course of Quantitative Chemical Analysis, calibration, note 3).
    """
    if position_mL <= 0:
        return {}
    size = min(1.0, position_mL / scale_mL * FULL_SIZE_AT)
    weights: dict[str, float] = {}
    for nodes, kind in NODES:
        for node, square in _spline_squares(position_mL / scale_mL * nodes, nodes).items():
            weights[f"{kind} {node * scale_mL / nodes:.3g} mL"] = math.sqrt(size * square / len(NODES))
    return weights


def _spline_squares(place: float, last: int) -> dict[int, float]:
    """Return the quadratic B-spline's weights of the nodes around a place, all kept between zero and the last node."""
    nearest = math.floor(place + 0.5)
    offset = place - nearest
    squares: dict[int, float] = {}
    for node, square in (
        (nearest - 1, (0.5 - offset) ** 2 / 2),
        (nearest, 0.75 - offset**2),
        (nearest + 1, (0.5 + offset) ** 2 / 2),
    ):
        if square > 0:
            on_the_scale = min(max(node, 0), last)
            squares[on_the_scale] = squares.get(on_the_scale, 0.0) + square
    return squares


def interval_error(
    key: str, label: str, readings_mL: Sequence[tuple[float, float]], scale_mL: float, standard_uncertainty_mL: float,
    correlation: float, distribution: str, *, bounded: bool,
) -> Estimate:
    """Return the open error of the volume delivered between readings, estimate zero.

    A part sqrt(r) of the error is common to the whole scale, the rest belongs to the nodes near each reading; both
    grow from nil at the zero mark to their full size a fifth of the scale away from it. With ``bounded`` (a class
    tolerance bounds the delivered interval once) each filling's interval carries the standard uncertainty just once,
    however short it is and wherever it begins; else (calibrated corrections) final and initial reading carry it each.

    Arguments:
        key: permanent key of the scale's calibration, without the node.
        readings_mL: pairs of initial and final reading, one a filling.
        scale_mL: capacity of the scale.
        standard_uncertainty_mL: of the tolerance, or of one calibrated correction.
        correlation: r of the errors at two distant positions of the scale, 0 to 1.
        distribution: of the error.

    Returns: [mL]
    """
    total: dict[str, float] = {}
    for initial, final in readings_mL:
        pattern = _error_pattern(initial, final, scale_mL, correlation)
        norm = math.sqrt(sum(weight**2 for weight in pattern.values())) if bounded else 1.0
        if bounded and initial != final and norm < ALL_BUT_CANCELLED:
            pattern, norm = {WHOLE_SCALE: 1.0}, 1.0
        for name, weight in pattern.items():
            if weight:
                total[name] = total.get(name, 0.0) + weight / norm * standard_uncertainty_mL
    parts = tuple(
        Contribution(f"{key}, {name}", amount, math.inf, distribution, f"{label}, {name}")
        for name, amount in total.items() if amount != 0
    )
    return Estimate(0.0, "mL", parts)


def whole_burette(text: str) -> str:
    """Return the key or the label of a burette's error without the place on its scale; any other text as it is."""
    for place in (WHOLE_SCALE, *(f"scale {kind} " for _, kind in NODES)):
        text = text.partition(f", {place}")[0]
    return text


def _error_pattern(initial_mL: float, final_mL: float, scale_mL: float, correlation: float) -> dict[str, float]:
    """Return the unit error of final less initial reading: name of the influence to its signed weight."""
    pattern: dict[str, float] = {}
    for sign, position in ((1.0, final_mL), (-1.0, initial_mL)):
        weights = scale_weights(position, scale_mL)
        size = math.sqrt(sum(weight**2 for weight in weights.values()))
        pattern[WHOLE_SCALE] = pattern.get(WHOLE_SCALE, 0.0) + sign * math.sqrt(correlation) * size
        for node, weight in weights.items():
            name = f"scale {node}"
            pattern[name] = pattern.get(name, 0.0) + sign * math.sqrt(1 - correlation) * weight
    return pattern


def correction_at(reading_mL: float, points: Sequence[tuple[float, float]]) -> float:
    """Return a burette's correction at a reading, interpolated between the points of its certificate.

    Below the first point the correction falls to zero at the zero mark; beyond the last it stays as it is.

    Arguments:
        points: pairs (reading, correction), in rising order [mL].

    Returns: [mL]
    """
    line = list(points)
    if not line:
        return 0.0
    if line[0][0] > 0:
        line.insert(0, (0.0, 0.0))
    if reading_mL <= line[0][0]:
        return line[0][1]
    for (left, low), (right, high) in pairwise(line):
        if reading_mL <= right:
            return low + (high - low) * (reading_mL - left) / (right - left)
    return line[-1][1]
