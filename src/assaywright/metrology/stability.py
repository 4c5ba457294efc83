"""Stability: a straight line through values over time, and the day on which a limit of confidence meets a bound.

Values that carry uncertainties are weighted by them, with what they share known to be shared: an influence common to
all of them moves the line as a whole and neither hides nor feigns a drift. Values without are weighted alike, and their
scatter about the line stands for their uncertainty. A bound is met where the limit of confidence meets it, not where
the line does; and nothing is foretold beyond what the values carry.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from assaywright.metrology.estimate import Contribution, Estimate, combine, covariance
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.refusal import Refusal

FEWEST = 3
HARDLY = 2  # values beyond the two that any line passes through
YEAR_DAYS = 365.25
MONTH_DAYS = YEAR_DAYS / 12
LARGEST_CONDITION = 1e12  # of the covariance matrix; beyond it the values hardly differ in what makes them uncertain
HALVINGS = 60


@dataclass(frozen=True, slots=True)
class StraightLine:
    """A straight line through values over time.

    Fields:
        days: on which the values were found, counted from any day.
        values: the estimates it goes through; where they came without uncertainty, with that of their scatter.
        intercept: the line on day 0 [unit of the values].
        slope: its change in a day [unit of the values per day].
        chi_squared: weighted sum of squared residuals, where the values came with uncertainties; else None.
        scatter: standard deviation of the values about the line, where they came without; else None [unit].
    """

    days: tuple[float, ...]
    values: tuple[Estimate, ...]
    intercept: Estimate
    slope: Estimate
    chi_squared: float | None
    scatter: float | None

    @property
    def beyond_two(self) -> int:
        """Number of values less the two that a line takes."""
        return len(self.values) - 2

    @property
    def fit_probability(self) -> float | None:
        """How often residuals of this size or larger come by chance about a straight line; None of bare values.

        Source: ISO/TS 28037:2010, 6.3: the observed chi-squared against its distribution with n - 2 degrees of freedom.
        """
        from scipy.special import chdtrc

        return None if self.chi_squared is None else float(chdtrc(self.beyond_two, self.chi_squared))

    @property
    def fits(self) -> bool:
        """Whether a straight line is consistent with the values' uncertainties, at 5 %; bare values cannot tell."""
        return self.fit_probability is None or self.fit_probability >= 0.05

    @property
    def hardly_tested(self) -> bool:
        """Whether the values are so few that hardly any course of them would speak against a straight line."""
        return self.beyond_two <= HARDLY

    @property
    def slope_t(self) -> float:
        """The slope over its standard uncertainty; infinite where that is nought."""
        uncertainty = self.slope.standard_uncertainty
        return self.slope.value / uncertainty if uncertainty else math.copysign(math.inf, self.slope.value)

    @property
    def slope_probability(self) -> float:
        """How often a slope of this size or larger, either way, comes by chance where nothing drifts.

        Source: ISO Guide 35:2017, evaluation of a stability study: the slope against zero by Student's t (from memory).
        """
        from scipy.special import ndtr, stdtr

        degrees = self.degrees_of_freedom(self.slope)
        tail = ndtr(-abs(self.slope_t)) if math.isinf(degrees) else stdtr(degrees, -abs(self.slope_t))
        return 2 * float(tail)

    def degrees_of_freedom(self, estimate: Estimate) -> float:
        """Return the degrees of freedom of something read off the line: n - 2 where its uncertainty is the scatter."""
        return estimate.degrees_of_freedom if self.scatter is None else float(self.beyond_two)

    def at(self, day: float) -> Estimate:
        """Return the line on a day, with its uncertainty [unit of the values]."""
        return combine(self.values[0].unit, ((1.0, self.intercept), (day, self.slope)))

    def expanded(self, estimate: Estimate) -> float:
        """Return the expanded uncertainty, 95 %, of something read off the line [unit of the estimate]."""
        return coverage_factor(self.degrees_of_freedom(estimate)) * estimate.standard_uncertainty


def line_through(days: Sequence[float], values: Sequence[Estimate]) -> StraightLine:
    """Return the straight line through values over time, by generalised least squares.

    b = (X' V^-1 X)^-1 X' V^-1 y, V the covariance matrix of the values. Each parameter is a linear combination of the
    values, so it keeps their contributions by key. Values of which none has an uncertainty are weighted alike.

    Arguments:
        days: counted from any day [d].
        values: one a day or several, of one unit.

    Raises:
        Refusal: fewer than three values, all on one day, of several units, only some with an uncertainty, or such as
            differ in nothing that makes them uncertain.

    Source: ISO/TS 28037:2010, clause 6, and clause 9 for covariances among the values (from memory).
    """
    if len(values) < FEWEST:
        raise Refusal(f"{len(values)} value{'' if len(values) == 1 else 's'} tell no drift: it takes {FEWEST}",
                      remedy=f"have {FEWEST} or more, on different days")
    if len(set(days)) == 1:
        raise Refusal("all values were found on one day, and tell no drift", remedy="find the value on another day")
    if len({one.unit for one in values}) > 1:
        raise Refusal("the values differ in their unit", remedy="convert them to one unit")
    bare = [one.variance == 0 for one in values]
    if any(bare) and not all(bare):
        raise Refusal("some values have an uncertainty and some have none", remedy="state the uncertainty of each")
    design = np.column_stack([np.ones(len(values)), np.asarray(days, float)])
    found = np.array([one.value for one in values])
    inverse = np.eye(len(values)) if all(bare) else _inverse(values)
    weights = np.linalg.solve(design.T @ inverse @ design, design.T @ inverse)
    residuals = found - design @ (weights @ found)
    chi_squared = float(residuals @ inverse @ residuals)
    scatter = math.sqrt(chi_squared / (len(values) - 2)) if all(bare) else None
    known = tuple(values) if scatter is None else tuple(_scattered(values, scatter))
    intercept, slope = (combine(known[0].unit, zip(map(float, row), known, strict=True)) for row in weights)
    return StraightLine(tuple(map(float, days)), known, intercept, slope, None if all(bare) else chi_squared, scatter)


def _inverse(values: Sequence[Estimate]) -> "np.ndarray[Any, np.dtype[np.float64]]":
    matrix = np.array([[covariance(one, other) for other in values] for one in values])
    if np.linalg.cond(matrix) > LARGEST_CONDITION:
        raise Refusal("values that share everything that makes them uncertain tell no drift",
                      remedy="leave out what was found twice from the same readings")
    return np.linalg.inv(matrix)


def _scattered(values: Sequence[Estimate], scatter: float) -> list[Estimate]:
    return [Estimate(one.value, one.unit, (Contribution(f"scatter|{place}", scatter, len(values) - 2),))
            for place, one in enumerate(values)]


def own_uncertainty(value: Estimate, others: Sequence[Estimate]) -> float:
    """Return the standard uncertainty of a value by what it shares with none of the others [unit of the value]."""
    shared = {part.key for one in others for part in one.contributions}
    return math.sqrt(math.fsum(part.amount**2 for part in value.contributions if part.key not in shared))


def carried_until(first: float, last: float) -> float:
    """Return the last day for which values over a period may foretell anything [d, counted as the arguments].

    Twice the period that they cover, and no more than twelve months beyond it.

    Arguments:
        first, last: days of the first and the last value [d].

    Source: ICH Q1E (2003), 2.4.1.1, for long-term data that are analysed statistically (from memory).
    """
    return last + min(last - first, YEAR_DAYS)


@dataclass(frozen=True, slots=True)
class Bounds:
    """The bounds that a value over time must not pass, at a probability; with both of them it is two-sided.

    Fields:
        lower, upper: [unit of the values]; None for none.
        since: number of the value, counted from nought, whose change the bounds are about; None where they are about
            the value itself. Of a change, what both share is left out.
    """

    lower: float | None = None
    upper: float | None = None
    since: int | None = None
    probability: float = 0.95

    def __post_init__(self) -> None:
        if self.lower is None and self.upper is None:
            raise Refusal("there is no bound to meet", remedy="give the lowest or the highest value allowed")


class _Read:
    """What is read off a line on any day, with the key of each influence beside its two amounts; quick to ask often."""

    def __init__(self, line: StraightLine, bounds: Bounds) -> None:
        unit = line.values[0].unit
        start = line.intercept
        self.shown = 0.0
        if bounds.since is not None:
            start = combine(unit, ((1.0, start), (-1.0, line.values[bounds.since])))
            self.shown = line.values[bounds.since].value
        parts = {one.key: one for one in (*start.contributions, *line.slope.contributions)}
        self.value = start.value, line.slope.value
        self.amounts = [np.array([{one.key: one.amount for one in each.contributions}.get(key, 0.0) for key in parts])
                        for each in (start, line.slope)]
        self.per_degree = np.array([1 / one.degrees_of_freedom for one in parts.values()])
        self.degrees = None if line.scatter is None else float(line.beyond_two)
        both = bounds.lower is not None and bounds.upper is not None
        self.probability = bounds.probability if both else 2 * bounds.probability - 1

    def limits(self, day: float) -> tuple[float, float]:
        """Return the limits of confidence on a day; of a change, about the value since which it is one."""
        squares = (self.amounts[0] + day * self.amounts[1]) ** 2
        variance = float(squares.sum())
        below = float(squares**2 @ self.per_degree)
        degrees = self.degrees or (variance**2 / below if below > 0 else math.inf)
        half = coverage_factor(degrees, self.probability) * math.sqrt(variance)
        middle = self.shown + self.value[0] + day * self.value[1]
        return middle - half, middle + half


def limits_of_confidence(line: StraightLine, bounds: Bounds, days: Sequence[float]) -> list[tuple[float, float]]:
    """Return the limits of confidence that meet the bounds, on some days [unit of the values].

    Of a change they lie about the value since which it is one, so that they can be held against the same bounds.
    """
    read = _Read(line, bounds)
    return [read.limits(day) for day in days]


def day_of_meeting(line: StraightLine, bounds: Bounds, start: float, end: float) -> float | None:
    """Return the day on which a limit of confidence first meets a bound; None where none does by the end.

    The lower limit of a line's mean is concave in time and the upper one convex, so from a day on which both lie within
    the bounds they leave them once.

    Arguments:
        start: day from which on it is looked for; returned where a bound is met already [d].
        end: day up to which it is looked for [d].

    Source: ICH Q1E (2003), B.1: the earliest time at which the 95 % confidence limit for the mean intersects the
    acceptance criterion; one-sided where it is known to change one way, else two-sided (from memory).
    """
    read = _Read(line, bounds)

    def met(day: float) -> bool:
        low, high = read.limits(day)
        return (bounds.lower is not None and low <= bounds.lower) or (bounds.upper is not None and high >= bounds.upper)

    if met(start):
        return start
    if not met(end):
        return None
    within, beyond = start, end
    for _ in range(HALVINGS):
        middle = (within + beyond) / 2
        within, beyond = (within, middle) if met(middle) else (middle, beyond)
    return beyond
