"""Replicate determinations: their mean and scatter, pooled scatter, and what the scatter adds to a mean.

Values are taken as the decimals they were typed as, and the sums are exact; a figure is rounded to a float once, at its
end. So the order of the determinations never matters, and a range of 0.05 mL is 0.05 mL.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import decimal_of_result


@dataclass(frozen=True, slots=True)
class ReplicateStatistics:
    """Mean and scatter of replicate determinations.

    Fields:
        n: number of determinations.
        mean, median: [unit of the values]
        standard_deviation: s with n - 1 [unit]; ``None`` for one determination.
        relative_standard_deviation_percent: 100 s / |mean| [%]; ``None`` when withheld.
        range: largest minus smallest [unit]; ``None`` for one determination.
        relative_range_percent: 100 range / |mean| [%]; ``None`` when withheld.
        withheld: why a figure is ``None``; empty when none is.
    """

    n: int
    mean: float
    median: float
    standard_deviation: float | None
    relative_standard_deviation_percent: float | None
    range: float | None
    relative_range_percent: float | None
    withheld: str


def describe(values: Sequence[float]) -> ReplicateStatistics:
    """Return mean, median, standard deviation, range, and the two relative to the mean.

    mean = sum(x_i) / n;  s = sqrt(sum((x_i - mean)^2) / (n - 1))

    A relative figure is withheld when the mean is no larger than s: relative to a mean that cannot be told from zero,
    such as that of a blank, it says nothing. (common practice, no source)

    Arguments:
        values: the determinations, any one unit [unit].

    Raises:
        Refusal: no value, or one that is not finite.

    Source: JCGM 100:2008, 4.2.1 and 4.2.2.
    """
    return _described(tuple(values))


@lru_cache(maxsize=256)
def _described(values: tuple[float, ...]) -> ReplicateStatistics:
    """Describe the values in exact fractions; kept, since several rules look at the same determinations."""
    exact = _exact(values)
    n = len(exact)
    mean = sum(exact, Fraction(0)) / n
    median = _median(exact)
    if n == 1:
        return ReplicateStatistics(1, float(mean), float(median), None, None, None, None,
                                   "one determination has no observed scatter")
    variance = sum(((value - mean) ** 2 for value in exact), Fraction(0)) / (n - 1)
    spread = max(exact) - min(exact)
    s = math.sqrt(variance)
    if mean**2 <= variance or mean == 0:
        return ReplicateStatistics(n, float(mean), float(median), s, None, float(spread), None,
                                   "the mean cannot be told from zero, so no figure is given relative to it")
    return ReplicateStatistics(
        n, float(mean), float(median), s, 100 * math.sqrt(variance / mean**2), float(spread),
        float(100 * spread / abs(mean)), "",
    )


@dataclass(frozen=True, slots=True)
class PooledScatter:
    """A standard deviation pooled from several groups.

    Fields:
        standard_deviation: pooled repeatability standard deviation, s_r [unit].
        degrees_of_freedom: the sum of the groups'; infinite for a value taken as known.
    """

    standard_deviation: float
    degrees_of_freedom: float = math.inf

    def __post_init__(self) -> None:
        if not (self.standard_deviation > 0 and math.isfinite(self.standard_deviation)):
            raise Refusal(f"a pooled standard deviation of {self.standard_deviation}",
                          remedy="give a number above zero")
        if not self.degrees_of_freedom > 0:
            raise Refusal(f"{self.degrees_of_freedom} degrees of freedom", remedy="give a number above zero")


def pool(standard_deviations: Iterable[tuple[float, float]]) -> PooledScatter:
    """Return the standard deviation pooled from those of several groups.

    s_r^2 = sum(nu_i s_i^2) / sum(nu_i), with sum(nu_i) degrees of freedom

    Arguments:
        standard_deviations: pairs of a group's standard deviation [unit] and its degrees of freedom.

    Raises:
        Refusal: no degree of freedom at all, no scatter at all, or a figure that cannot be.

    Source: ISO 5725-2:1994, 7.4.5.1 (from memory); JCGM 100:2008, H.3.6 note on pooled variances (from memory).
    """
    total = 0.0
    weighted = 0.0
    for s, nu in standard_deviations:
        if not (s >= 0 and math.isfinite(s) and nu >= 0 and math.isfinite(nu)):
            raise Refusal(f"a group with standard deviation {s} and {nu} degrees of freedom",
                          remedy="give numbers that are zero or more")
        total += nu
        weighted += nu * s**2
    if total == 0:
        raise Refusal("no group has two determinations, so there is no scatter to pool",
                      remedy="give a group of at least two")
    return PooledScatter(math.sqrt(weighted / total), total)


def pool_groups(groups: Iterable[Sequence[float]]) -> PooledScatter:
    """Return the standard deviation pooled from groups of replicates; a group of one adds nothing.

    Arguments:
        groups: determinations, group by group, any one unit [unit].

    Source: ISO 5725-2:1994, 7.4.5.1 (from memory).
    """
    statistics = [describe(group) for group in groups]
    return pool((one.standard_deviation or 0.0, one.n - 1) for one in statistics)


@dataclass(frozen=True, slots=True)
class RepeatabilityTerm:
    """What random effects add to the uncertainty of a mean.

    Fields:
        standard_uncertainty: [unit of the values]
        degrees_of_freedom: of that uncertainty.
        basis: "pooled repeatability", "observed scatter" or "resolution".
    """

    standard_uncertainty: float
    degrees_of_freedom: float
    basis: str


def repeatability_of_mean(
    values: Sequence[float], pooled: PooledScatter | None = None, *, resolution: float = 0.0
) -> RepeatabilityTerm:
    """Return the repeatability of the mean: from the pooled scatter when there is one, else from the observed.

    u = s_r / sqrt(n) with the pooled degrees of freedom, else u = s / sqrt(n) with n - 1

    Values that agree only because they were read coarsely have no observed scatter; then u is that of the resolution,
    d / sqrt(12), which averaging does not reduce.

    Arguments:
        values: the determinations [unit].
        pooled: the method's pooled repeatability [unit].
        resolution: step in which the values move, d [unit], zero when it is negligible.

    Raises:
        Refusal: one determination without a pooled repeatability, or a value that cannot be.

    Source: JCGM 100:2008, 4.2.3 and 4.2.4 note 1; F.2.2.1 for the resolution.
    """
    if not (resolution >= 0 and math.isfinite(resolution)):
        raise Refusal(f"a resolution of {resolution}", remedy="give a step that is zero or more")
    statistics = describe(values)
    root_n = math.sqrt(statistics.n)
    if pooled is not None:
        return RepeatabilityTerm(pooled.standard_deviation / root_n, pooled.degrees_of_freedom, "pooled repeatability")
    if statistics.standard_deviation is None:
        raise Refusal("one determination shows no scatter of its own",
                      remedy="give the method's pooled repeatability, or a second determination")
    observed = statistics.standard_deviation / root_n
    floor = resolution / math.sqrt(12.0)
    if observed < floor:
        return RepeatabilityTerm(floor, math.inf, "resolution")
    return RepeatabilityTerm(observed, statistics.n - 1, "observed scatter")


@dataclass(frozen=True, slots=True)
class ScatterConsistency:
    """Whether the scatter seen today is the scatter the method is known for.

    Fields:
        ratio: observed s over pooled s_r.
        limit: greatest ratio expected at the stated probability.
        consistent: whether the ratio is within the limit.
    """

    ratio: float
    limit: float
    consistent: bool


def compare_scatter(values: Sequence[float], pooled: PooledScatter, probability: float = 0.95) -> ScatterConsistency:
    """Compare the observed scatter with the pooled repeatability, one-sided.

    s / s_r <= sqrt(chi2_p(n - 1) / (n - 1)); where s_r itself rests on nu degrees of freedom, sqrt(F_p(n - 1, nu)),
    which is the same for infinite nu.

    Arguments:
        values: two determinations or more [unit].
        pooled: the method's pooled repeatability [unit].
        probability: one-sided probability of the limit.

    Raises:
        Refusal: fewer than two determinations, or a probability that is not between 0 and 1.

    Source: ISO Guide 33:2000, comparison of the within-laboratory standard deviation with its required value
        (from memory).
    """
    from scipy.special import chdtri, fdtri

    statistics = describe(values)
    if statistics.standard_deviation is None:
        raise Refusal("one determination shows no scatter to compare", remedy="give two determinations or more")
    if not 0 < probability < 1:
        raise Refusal(f"a probability of {probability}", remedy="give a fraction such as 0.95")
    nu = statistics.n - 1
    if math.isinf(pooled.degrees_of_freedom):
        limit = math.sqrt(float(chdtri(nu, 1 - probability)) / nu)
    else:
        limit = math.sqrt(float(fdtri(nu, pooled.degrees_of_freedom, probability)))
    ratio = statistics.standard_deviation / pooled.standard_deviation
    return ScatterConsistency(ratio, limit, ratio <= limit)


def _exact(values: Sequence[float]) -> list[Fraction]:
    if len(values) == 0:
        raise Refusal("there is no determination", remedy="give at least one value")
    return [Fraction(decimal_of_result(value)) for value in values]


def _median(exact: Sequence[Fraction]) -> Fraction:
    ordered = sorted(exact)
    middle = len(ordered) // 2
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2
