"""Does one value stand too far from the others? Tests that flag a value and leave it where it is.

A flagged value is still data: a person may exclude it with a reason, a test may not. On fewer than six values the tests
have almost no power, and the outcome says so. Critical values are computed, not read from tables: some tables in
circulation carry slips, and the historic ones are good to two decimals only.
"""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.replicates import describe

SIDES = ("either", "largest", "smallest")
FEWEST_FOR_POWER = 6

DIXON_RATIOS = {"r10": (1, 1), "r11": (1, 2), "r12": (1, 3), "r20": (2, 1), "r21": (2, 2), "r22": (2, 3)}
"""Ratio to (j, i): r = (x_n - x_(n-j)) / (x_n - x_i) for a suspect largest value x_n, mirrored for a smallest."""


@dataclass(frozen=True, slots=True)
class OutlierOutcome:
    """What an outlier test found.

    Fields:
        test: its name with the ratio, and which side was suspected.
        suspect: the value that stands furthest out [unit of the values].
        position: its position among the values as given, counted from 0.
        statistic, critical_value: dimensionless.
        significance: probability of flagging some value when none is an outlier.
        flagged: whether the statistic exceeds the critical value.
        power_note: empty from six values on.
        sentence: the outcome in one sentence.
    """

    test: str
    suspect: float
    position: int
    statistic: float
    critical_value: float
    significance: float
    flagged: bool
    power_note: str
    sentence: str


def grubbs(values: Sequence[float], *, side: str = "either", significance: float = 0.05) -> OutlierOutcome:
    """Test whether the value furthest from the mean is an outlier.

    G = |x - mean| / s

    Arguments:
        values: three or more [unit].
        side: "either", "largest" or "smallest", chosen before looking.
        significance: between 0 and 0.5.

    Raises:
        Refusal: fewer than three values, or a side or significance that cannot be.

    Source: ISO 5725-2:1994, 7.3.4 (from memory); Grubbs, Technometrics 11 (1969) 1 (from memory).
    """
    _require(values, 3, side, significance)
    statistics = describe(values)
    deviations = {"largest": max(values) - statistics.mean, "smallest": statistics.mean - min(values)}
    chosen = max(deviations, key=lambda name: deviations[name]) if side == "either" else side
    scatter = statistics.standard_deviation or 0.0
    statistic = deviations[chosen] / scatter if scatter > 0 else 0.0
    critical = grubbs_critical_value(len(values), significance=significance, two_sided=side == "either")
    return _outcome("Grubbs", values, side, chosen, statistic, critical, significance)


def grubbs_critical_value(n: int, *, significance: float = 0.05, two_sided: bool = True) -> float:
    """Return the critical value of Grubbs' statistic for one outlier.

    G = (n - 1) / sqrt(n) sqrt(t^2 / (n - 2 + t^2)), with t the upper quantile of Student's t for n - 2 degrees of
    freedom at significance / (2n) when two-sided, significance / n when one-sided.

    Valid: exact for the tails in use; beyond them it errs on the side of not flagging.

    Raises:
        Refusal: fewer than three values, or a significance that is not between 0 and 0.5.

    Source: Grubbs, Technometrics 11 (1969) 1 (from memory).

    Example: ISO 5725-2:1994, Table 5 prints 2.290 for ten values at 5 % (from memory)
        >>> round(grubbs_critical_value(10), 3)
        2.29
    """
    from scipy.special import stdtrit

    _require_size(n, 3, significance)
    tail = significance / (2 * n if two_sided else n)
    t = float(stdtrit(n - 2, 1 - tail))
    return (n - 1) / math.sqrt(n) * math.sqrt(t**2 / (n - 2 + t**2))


def dixon(
    values: Sequence[float], *, ratio: str = "", side: str = "either", significance: float = 0.05
) -> OutlierOutcome:
    """Test whether the gap beside the extreme value is too large a part of the range.

    Arguments:
        values: three or more [unit].
        ratio: one of :data:`DIXON_RATIOS`; the usual one for the number of values when empty.
        side: "either", "largest" or "smallest", chosen before looking.
        significance: between 0 and 0.5.

    Raises:
        Refusal: too few values for the ratio, or a word or significance that cannot be.

    Source: Dixon, Biometrics 9 (1953) 74; Rorabacher, Anal. Chem. 63 (1991) 139 (both from memory).
    """
    ratio = ratio or usual_dixon_ratio(len(values))
    _require(values, _fewest(ratio), side, significance)
    ordered = sorted(values)
    found = {"largest": _dixon_ratio([-value for value in reversed(ordered)], ratio),
             "smallest": _dixon_ratio(ordered, ratio)}
    chosen = max(found, key=lambda name: found[name]) if side == "either" else side
    tail = significance / 2 if side == "either" else significance
    critical = dixon_critical_value(len(values), ratio, tail=tail)
    return _outcome(f"Dixon {ratio}", values, side, chosen, found[chosen], critical, significance)


def usual_dixon_ratio(n: int) -> str:
    """Return the ratio in use for n values: r10 to seven, r11 to ten, r21 to thirteen, then r22.

    Source: Dixon, Biometrics 9 (1953) 74 (from memory).
    """
    return "r10" if n <= 7 else "r11" if n <= 10 else "r21" if n <= 13 else "r22"


@cache
def dixon_critical_value(n: int, ratio: str, *, tail: float) -> float:
    """Return the value that Dixon's ratio exceeds with the given probability, for one suspected side.

    Arguments:
        n: number of values.
        ratio: one of :data:`DIXON_RATIOS`.
        tail: probability beyond the value; half the significance when either side may hold the outlier.

    Returns: dimensionless, between 0 and 1, to five decimals or better for n up to 30

    Raises:
        Refusal: too few values for the ratio, or a probability that is not between 0 and 1.

    Source: the exact distribution, Dixon, Ann. Math. Stat. 22 (1951) 68 (from memory), by numerical integration.

    Example: Rorabacher, Anal. Chem. 63 (1991) 139, prints 0.970 for three values at 95 %, two-sided (from memory)
        >>> round(dixon_critical_value(3, "r10", tail=0.025), 3)
        0.97
    """
    from scipy.optimize import brentq

    if n < _fewest(ratio):
        raise Refusal(f"Dixon's {ratio} of {n} values", remedy=f"give {_fewest(ratio)} or more")
    if not 0 < tail < 1:
        raise Refusal(f"a probability of {tail}", remedy="give a fraction such as 0.025")
    return float(brentq(lambda value: dixon_exceedance(value, n, ratio) - tail, 0.0, 1.0, xtol=1e-9))


def dixon_exceedance(value: float, n: int, ratio: str) -> float:
    """Return the probability that Dixon's ratio of n normal values exceeds a value, for one suspected side.

    With x = x_n and v = x_n - x_i, the m = n - 1 - i values between them must leave at most j - 1 above x - r v:

    P(R > r) = n! / ((i-1)! m!) double integral of phi(x) phi(x-v) Phi(x-v)^(i-1) S dv dx, where with
    A = Phi(x-rv) - Phi(x-v) and B = Phi(x) - Phi(x-rv), S = A^m for j = 1 and A^m + m A^(m-1) B for j = 2

    Arguments:
        value: r, between 0 and 1.
        n: number of values.
        ratio: one of :data:`DIXON_RATIOS`.

    Source: joint distribution of two order statistics; ratios after Dixon, Ann. Math. Stat. 22 (1951) 68 (from memory).
    """
    import numpy as np
    from scipy.special import ndtr

    j, i = DIXON_RATIOS[ratio]
    m = n - 1 - i
    x, v, low, high, weights = _quadrature_grid()
    cut = ndtr(x - value * v)
    between = cut - low
    within = between**m if j == 1 else between ** (m - 1) * (between + m * (high - cut))
    orderings = math.exp(math.lgamma(n + 1) - math.lgamma(i) - math.lgamma(m + 1))
    return float(orderings * np.sum(weights * low ** (i - 1) * within))


@cache
def _quadrature_grid() -> tuple[Any, Any, Any, Any, Any]:
    """Return x, v, Phi(x - v), Phi(x) and the Gauss-Legendre weights times phi(x) phi(x - v), where these matter."""
    import numpy as np
    from scipy.special import ndtr

    nodes, node_weights = np.polynomial.legendre.leggauss(120)
    x, v = 8.5 * nodes[:, None], 7.0 * (nodes[None, :] + 1)
    weights = 8.5 * node_weights[:, None] * 7.0 * node_weights[None, :]
    density = np.exp(-(x**2 + (x - v) ** 2) / 2) / (2 * math.pi)
    return x, v, ndtr(x - v), ndtr(x), weights * density


def _dixon_ratio(ordered: Sequence[float], ratio: str) -> float:
    """Return the ratio for a suspect first value of an ordered list."""
    j, i = DIXON_RATIOS[ratio]
    span = ordered[len(ordered) - i] - ordered[0]
    return (ordered[j] - ordered[0]) / span if span > 0 else 0.0


def _fewest(ratio: str) -> int:
    if ratio not in DIXON_RATIOS:
        raise Refusal(f"Dixon's ratio '{ratio}' is not known", remedy=f"use one of {', '.join(DIXON_RATIOS)}")
    return sum(DIXON_RATIOS[ratio]) + 1


def _require_size(n: int, fewest: int, significance: float) -> None:
    if n < fewest:
        raise Refusal(f"an outlier test on {n} values", remedy=f"give {fewest} or more")
    if not 0 < significance < 0.5:
        raise Refusal(f"a significance of {significance}", remedy="give a fraction such as 0.05")


def _require(values: Sequence[float], fewest: int, side: str, significance: float) -> None:
    _require_size(len(values), fewest, significance)
    if side not in SIDES:
        raise Refusal(f"the side '{side}' is not known", remedy=f"use one of {', '.join(SIDES)}")
    if not all(math.isfinite(value) for value in values):
        raise Refusal("a value that is not a finite number", remedy="give numbers")


def _outcome(test: str, values: Sequence[float], side: str, chosen: str, statistic: float, critical: float,
             significance: float) -> OutlierOutcome:
    suspect = max(values) if chosen == "largest" else min(values)
    flagged = statistic > critical
    note = "fewer than six values: the test has almost no power" if len(values) < FEWEST_FOR_POWER else ""
    sided = "two-sided" if side == "either" else f"one-sided for the {side}"
    found = "is flagged" if flagged else "is not flagged"
    sentence = (f"{test}, {sided} at {100 * significance:g} %: {_shown(suspect, values)} {found}, "
                f"{statistic:.4f} against {critical:.4f}{'; ' + note if note else ''}.")
    return OutlierOutcome(f"{test}, {sided}", suspect, list(values).index(suspect), statistic, critical, significance,
                          flagged, note, sentence)


def _shown(suspect: float, values: Sequence[float]) -> str:
    """Return the suspect value to six digits, or more where three digits of the standard deviation need them."""
    deviation = statistics.stdev(values)
    finest = math.floor(math.log10(deviation)) - 2 if 0 < deviation < math.inf else 0
    largest = math.floor(math.log10(abs(suspect))) if suspect else 0
    return f"{suspect:.{max(6, largest - finest + 1)}g}"
