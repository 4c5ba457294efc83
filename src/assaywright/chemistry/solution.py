"""How the density of a solution changes with temperature: the ratio that brings its volume to 20 °C.

Four laws, named by the user: a column of the standard table for standard solutions ("aq_0.1_0.2"), "water", a constant
coefficient ("0.0011 /K"), or densities measured on the very solution. Density models for mixtures are no such law: they
give the slope of dilute alkali 20 to 40 % too small.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from assaywright.chemistry.water import check_water_temperature, water_density_tanaka2001
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, combine, exact, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.laws import law_source
from assaywright.reference.solutions import (
    EDITION,
    GLASS_EXPANSION_PER_K,
    VolumeCorrectionColumn,
    volume_correction_column,
    volume_correction_columns,
)

BASE_DEGC = 20.0
WATER = "water"
STEP_K = 1e-3
GREATEST_COEFFICIENT_PER_K = 0.01
FARTHEST_K = 30.0

_COEFFICIENT = re.compile(r"\s*(?P<number>\d*\.?\d+(?:[eE]-?\d+)?)\s*(?:/\s*K|K\s*\^?\s*-\s*1|per\s+K)\s*$")

Law = str | Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class ThermalRatio:
    """The density of a solution at a temperature over its density at 20 °C.

    Fields:
        ratio: rho(t)/rho(20 °C) [1].
        slope_per_K: its derivative by temperature [1/K].
        estimate: the ratio with what the law leaves open, under permanent keys [1].
        source: who states the law.
        status: "read" or "recalled"; "measured" for densities of the user's own.
        doubt: why a printed figure used here is doubted; empty where none is.
    """

    ratio: float
    slope_per_K: float
    estimate: Estimate
    source: str
    status: str
    doubt: str = ""


def thermal_ratio(law: Law, temperature_degC: float) -> ThermalRatio:
    """Return rho(t)/rho(20 °C) of a solution, and its slope.

    A volume read at t is V20 = V [1 + gamma (t - 20)] ratio at 20 °C. To another reference temperature t_c divide by
    the ratio at t_c.

    Arguments:
        law: a column of the table of volume corrections, "water", a coefficient of cubic expansion as text
            ("0.0011 /K"), or pairs of temperature [°C] and density [one unit throughout].
        temperature_degC: t, as typed [°C].

    Raises:
        Refusal: an unknown law, or a temperature outside the law's range: no law is extrapolated.

    Source: GB/T 601, Appendix A, Table A.1; Tanaka et al. 2001 for water; the user's own densities or coefficient.

    Example:
        >>> round((thermal_ratio("aq_0.1_0.2", 24.0).ratio * (1 + 25e-6 * 4) - 1) * 1000, 6)
        -0.9
    """
    if not math.isfinite(temperature_degC):
        raise Refusal("a temperature that is not a number", where="temperature", remedy="give it in °C")
    if not isinstance(law, str):
        return _by_measured_densities(tuple(law), temperature_degC)
    if law == WATER:
        return _by_water(temperature_degC)
    coefficient = _COEFFICIENT.match(law)
    if coefficient:
        return _by_coefficient(float(coefficient["number"]), temperature_degC)
    if law in volume_correction_columns():
        return _by_column(volume_correction_column(law), temperature_degC)
    raise Refusal(f"'{law}' is no law of thermal expansion", where="thermal",
                  remedy=f"name \"water\", a coefficient such as \"0.0011 /K\", or one of "
                         f"{', '.join(volume_correction_columns())}")


def _by_column(column: VolumeCorrectionColumn, temperature_degC: float) -> ThermalRatio:
    """Take the glass of 25e-6 per K out of the printed corrections, interpolated between whole degrees.

    ratio = (1 + correction/1000) / (1 + 25e-6 (t - 20))
    """
    degrees = tuple(column.corrections)
    if not degrees[0] <= temperature_degC <= degrees[-1]:
        raise Refusal(f"{temperature_degC:g} °C lies outside the {degrees[0]} to {degrees[-1]} °C tabulated for "
                      f"{column.solution}", where="temperature", remedy="work within the range, or measure densities")
    lower = min(math.floor(temperature_degC), degrees[-1] - 1)
    weight = temperature_degC - lower
    terms = [(one, degree) for one, degree in ((1 - weight, lower), (weight, lower + 1)) if one > 0]
    correction = combine("1", ((one / 1000, _printed(column, degree)) for one, degree in terms))
    glass = 1 + GLASS_EXPANSION_PER_K * (temperature_degC - BASE_DEGC)
    estimate = combine("1", ((1 / glass, exact(1.0)), (1 / glass, correction)))
    slope = (_table_slope(column, temperature_degC) - estimate.value * GLASS_EXPANSION_PER_K) / glass
    doubts = dict.fromkeys(column.corrections[degree].doubt for _, degree in terms)
    return ThermalRatio(estimate.value, slope, estimate, column.source, column.status, "; ".join(filter(None, doubts)))


def _printed(column: VolumeCorrectionColumn, degree: int) -> Estimate:
    one = column.corrections[degree]
    key = influence_key("volume correction", column.key, EDITION, f"rounding at {degree} °C")
    uncertainty_mL_per_L = standard_uncertainty_of_half_width(one.half_width_mL_per_L)
    label = f"rounding of the printed correction of {column.solution} at {degree} °C"
    return influence(key, one.correction_mL_per_L, uncertainty_mL_per_L, "mL/L", distribution="rectangular",
                     label=label)


def _table_slope(column: VolumeCorrectionColumn, temperature_degC: float) -> float:
    """Slope of the printed corrections over 1000: of the segment, or across both neighbours at a whole degree."""
    degrees = tuple(column.corrections)
    left = max(math.ceil(temperature_degC) - 1, degrees[0])
    right = min(math.floor(temperature_degC) + 1, degrees[-1])
    rise = column.corrections[right].correction_mL_per_L - column.corrections[left].correction_mL_per_L
    return rise / (right - left) / 1000


def _by_water(temperature_degC: float) -> ThermalRatio:
    check_water_temperature(temperature_degC)
    base = water_density_tanaka2001(BASE_DEGC)
    ratio = water_density_tanaka2001(temperature_degC) / base
    rise = water_density_tanaka2001(temperature_degC + STEP_K) - water_density_tanaka2001(temperature_degC - STEP_K)
    return ThermalRatio(ratio, rise / (2 * STEP_K) / base, exact(ratio), law_source("tanaka_2001"), "read")


def _by_coefficient(coefficient_per_K: float, temperature_degC: float) -> ThermalRatio:
    """Take the density to fall in proportion: ratio = 1 - beta (t - 20).

    Source of the form: British Pharmacopoeia 2012, Appendix I B, perchloric acid in acetic acid.
    """
    away = temperature_degC - BASE_DEGC
    if not 0 < coefficient_per_K <= GREATEST_COEFFICIENT_PER_K or abs(away) > FARTHEST_K:
        raise Refusal(f"an expansion of {coefficient_per_K:g} per K at {temperature_degC:g} °C", where="thermal",
                      remedy=f"give one up to {GREATEST_COEFFICIENT_PER_K:g} per K, within {FARTHEST_K:g} K of 20 °C")
    ratio = 1 - coefficient_per_K * away
    stated = f"cubic expansion of {coefficient_per_K:g} per K as stated"
    return ThermalRatio(ratio, -coefficient_per_K, exact(ratio), stated, "read")


def _by_measured_densities(points: tuple[tuple[float, float], ...], temperature_degC: float) -> ThermalRatio:
    """Interpolate between the measured densities; 20 °C must lie among them."""
    line = tuple(sorted(points))
    temperatures = [temperature for temperature, _ in line]
    if len(line) < 2 or len(set(temperatures)) < len(line) or not all(0 < density < math.inf for _, density in line):
        raise Refusal("measured densities that are fewer than two, repeat a temperature or are not above zero",
                      where="densities", remedy="give pairs of temperature and density")
    for wanted in (temperature_degC, BASE_DEGC):
        if not temperatures[0] <= wanted <= temperatures[-1]:
            span = f"{temperatures[0]:g} to {temperatures[-1]:g} °C"
            raise Refusal(f"{wanted:g} °C lies outside the {span} of the measured densities", where="densities",
                          remedy="measure beyond it; nothing is extrapolated")
    base, _ = _interpolated(line, BASE_DEGC)
    density, slope = _interpolated(line, temperature_degC)
    return ThermalRatio(density / base, slope / base, exact(density / base), "densities measured on this solution",
                        "measured")


def _interpolated(line: tuple[tuple[float, float], ...], temperature_degC: float) -> tuple[float, float]:
    """Return value and slope of the straight line between neighbours; at a point the mean of both slopes."""
    slopes = []
    value = line[0][1]
    for (left, low), (right, high) in pairwise(line):
        if left <= temperature_degC <= right:
            slopes.append((high - low) / (right - left))
            value = low + slopes[-1] * (temperature_degC - left)
    return value, sum(slopes) / len(slopes)
