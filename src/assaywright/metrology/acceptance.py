"""May these determinations be averaged? The rules by name; each says what it compared and how many more it needs.

A rule never removes a determination. Limits in per cent are relative to the mean.
"""

import inspect
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.replicates import ReplicateStatistics, describe

# A normal value lies beyond 12 standard deviations once in 10^32; no range of interest is wider than 20.
WIDEST_VALUE, WIDEST_RANGE, QUADRATURE_NODES = 12.0, 20.0, 240
MEAN = "mean"
MEDIAN = "median"


@dataclass(frozen=True, slots=True)
class AcceptanceOutcome:
    """What an acceptance rule found.

    Fields:
        rule: its name, a key of :data:`ACCEPTANCE_RULES`.
        statistic: what was compared, in words.
        value: the statistic [``unit``]; ``None`` when there are too few determinations to form it.
        limit: greatest acceptable value [``unit``].
        unit: "%" of the mean, or the unit of the determinations.
        accepted: whether the rule is met and no determination is missing.
        sentence: the outcome in one sentence.
        needs_more: how many further determinations the rule asks for.
        quote: which figure the rule then makes the result, "mean" or "median".
    """

    rule: str
    statistic: str
    value: float | None
    limit: float
    unit: str
    accepted: bool
    sentence: str
    needs_more: int = 0
    quote: str = MEAN


def range_rule(
    values: Sequence[float],
    *,
    unit: str,
    limit_percent: float | None = None,
    limit: float | None = None,
    determinations: int = 2,
) -> AcceptanceOutcome:
    """Accept when largest minus smallest stays within a limit.

    Arguments:
        values: the determinations [unit].
        limit_percent: greatest range relative to the mean [%], or
        limit: greatest range [unit]; exactly one of the two.
        determinations: how many the method asks for, two or more.

    Raises:
        Refusal: not exactly one limit, or a relative one on a mean that cannot be told from zero.

    Source: common practice, no source; the method states the limit.
    """
    if (limit_percent is None) == (limit is None):
        raise Refusal("the rule 'range' needs one limit", remedy="give limit_percent or limit, not both")
    statistics = describe(values)
    if limit_percent is not None:
        value = _relative(statistics, statistics.relative_range_percent)
        return _outcome("range", "relative range", value, _limit(limit_percent), "%", statistics.n, determinations)
    return _outcome("range", "range", statistics.range, _limit(limit or 0.0), unit, statistics.n, determinations)


def relative_standard_deviation_rule(
    values: Sequence[float], *, limit_percent: float = 0.2, determinations: int = 3
) -> AcceptanceOutcome:
    """Accept when the relative standard deviation stays within a limit.

    Arguments:
        values: the determinations [unit].
        limit_percent: greatest relative standard deviation [%].
        determinations: how many the method asks for, two or more.

    Raises:
        Refusal: a mean that cannot be told from zero.

    Source: Ph. Eur. 4.2.2, volumetric solutions: repeatability 0.2 % (from memory); three determinations are common
        practice, no source.
    """
    statistics = describe(values)
    value = _relative(statistics, statistics.relative_standard_deviation_percent)
    return _outcome("Ph. Eur. RSD", "relative standard deviation", value, _limit(limit_percent), "%", statistics.n,
                    determinations)


@cache
def critical_range_factor(n: int, probability: float = 0.95) -> float:
    """Return the factor f(n) of the critical range.

    f(n) is the quantile of the range of n independent values of a normal distribution with standard deviation 1. The
    standard prints it rounded to one decimal (2.8 for two, 3.3 for three, 3.6 for four); it is computed here.

    Arguments:
        n: number of determinations, two or more.
        probability: 0.95 in the standard.

    Raises:
        Refusal: fewer than two determinations.

    Source: ISO 5725-6:1994, 4.1.4 and Table 1 (from memory).

    Example:
        >>> round(critical_range_factor(4), 1)
        3.6
    """
    from scipy.optimize import brentq

    if n < 2:
        raise Refusal(f"a range of {n} determinations", remedy="give two or more")
    return float(brentq(lambda width: range_probability(width, n) - probability, 0.0, WIDEST_RANGE, xtol=1e-12))


def range_probability(width: float, n: int) -> float:
    """Return the probability that n independent standard normal values have a range of at most ``width``.

    P = n integral of phi(x) [Phi(x + w) - Phi(x)]^(n - 1) dx, by Gauss-Legendre quadrature

    Arguments:
        width: w, in standard deviations.
        n: number of values, two or more.

    Source: Tippett, Biometrika 17 (1925) 364 (from memory).
    """
    import numpy as np
    from scipy.special import ndtr

    nodes, weights = _quadrature()
    x = nodes * WIDEST_VALUE
    density = np.exp(-x * x / 2) / math.sqrt(2 * math.pi)
    return float(n * WIDEST_VALUE * np.sum(weights * density * (ndtr(x + width) - ndtr(x)) ** (n - 1)))


@cache
def _quadrature() -> tuple[Any, Any]:
    """Return nodes and weights of the quadrature; finding them takes longer than all that is done with them."""
    import numpy as np

    return np.polynomial.legendre.leggauss(QUADRATURE_NODES)


def critical_range_rule(
    values: Sequence[float],
    *,
    unit: str,
    repeatability_percent: float | None = None,
    repeatability: float | None = None,
    determinations: int = 2,
    further: str = "as many again",
) -> AcceptanceOutcome:
    """Accept when the range stays within the critical range; otherwise ask for more, and in the end quote the median.

    CR0.95(n) = f(n) s_r; the stages are those of :func:`stages`. Where the first ones agreed and more were made all
    the same, all are held against the critical range of as many.

    Arguments:
        values: the determinations so far [unit].
        repeatability_percent: the method's repeatability standard deviation relative to the mean [%], or
        repeatability: the same in the unit of the values [unit]; exactly one of the two.
        determinations: how many the method starts with, two or more.
        further: "as many again" or "a few".

    Raises:
        Refusal: not exactly one repeatability, or a number or word that cannot be.

    Source: ISO 5725-6:1994, 5.2.2 and 5.2.3 (from memory).
    """
    if (repeatability_percent is None) == (repeatability is None):
        raise Refusal("the critical range needs one repeatability standard deviation",
                      remedy="give repeatability_percent or repeatability, not both")

    def held(some: Sequence[float], total: int) -> AcceptanceOutcome:
        limit = critical_range_factor(total)
        if repeatability_percent is not None:
            return range_rule(some, unit=unit, limit_percent=limit * repeatability_percent, determinations=total)
        return range_rule(some, unit=unit, limit=limit * (repeatability or 0.0), determinations=total)

    planned = stages(determinations, further)
    ahead = [total for total in planned if total >= len(values)] or [len(values)]
    if len(values) > determinations and held(values[:determinations], determinations).accepted:
        ahead = [len(values), *(total for total in planned if total > len(values))]
    return _next_stage(replace(held(values, ahead[0]), rule="ISO 5725-6 critical range"), ahead)


def stages(determinations: int, further: str) -> tuple[int, ...]:
    """Return the numbers of determinations at which the range is held against the critical range.

    Titration is quickly repeated ("as many again"): when n determinations fail, n further ones are made, so two go to
    four. Where a determination is costly ("a few"), two go to three and then four, and n > 2 go to n + m with m the
    least whole number not below n/3. When the last stage fails as well, the median of all is the result.

    Raises:
        Refusal: fewer than two determinations, or another word.

    Source: ISO 5725-6:1994, 5.2.2 and 5.2.3 (from memory).
    """
    if determinations < 2:
        raise Refusal(f"a range of {determinations} determinations", remedy="start with two or more")
    if further == "as many again":
        return (determinations, 2 * determinations)
    if further == "a few":
        return (2, 3, 4) if determinations == 2 else (determinations, determinations + math.ceil(determinations / 3))
    raise Refusal(f"further determinations '{further}'", remedy="say 'as many again' or 'a few'")


def _next_stage(outcome: AcceptanceOutcome, ahead: Sequence[int]) -> AcceptanceOutcome:
    """Return the outcome of a stage with what follows when it failed: further determinations, or the median."""
    if outcome.accepted or outcome.needs_more:
        return outcome
    if len(ahead) == 1:
        sentence = f"{outcome.sentence[:-1]}; the median of the {ahead[0]} is the result, and the cause is sought."
        return replace(outcome, sentence=sentence, quote=MEDIAN)
    missing = ahead[1] - ahead[0]
    return replace(outcome, sentence=f"{outcome.sentence[:-1]}; {missing} further needed.", needs_more=missing)


def two_persons_by_four_rule(
    values: Sequence[float],
    *,
    analysts: Sequence[str],
    limit_of_four_percent: float = 0.15,
    limit_of_eight_percent: float = 0.18,
) -> AcceptanceOutcome:
    """Accept a standardisation made by two persons, four determinations each.

    Each person's relative range of four, and that of all eight together, stay within their limits. The outcome carries
    the range that comes closest to its limit or goes furthest beyond it. A person's four that are made and lie beyond
    their limit fail the rule, whatever the other's will be.

    Arguments:
        values: the determinations [unit].
        analysts: who made each.
        limit_of_four_percent, limit_of_eight_percent: greatest relative ranges [%].

    Raises:
        Refusal: a determination without its analyst, more than two persons, more than four by one person, or a mean
            that cannot be told from zero.

    Source: GB/T 601-2016, 3.6 (from memory).
    """
    rule = "GB/T 601 two persons by four"
    shares = _shares(values, analysts)
    missing = 8 - len(values)
    done = f"Two persons make four determinations each; so far {', '.join(f'{a} {len(b)}' for a, b in shares.items())}"
    ranges = [(f"relative range of four by {person}", _relative_range(share), _limit(limit_of_four_percent))
              for person, share in shares.items() if len(share) == 4]
    if missing and all(value <= limit for _, value, limit in ranges):
        return AcceptanceOutcome(rule, "relative range of eight", None, limit_of_eight_percent, "%", accepted=False,
                                 sentence=f"{done}.", needs_more=missing)
    if not missing:
        ranges.append(("relative range of eight", _relative_range(values), _limit(limit_of_eight_percent)))
    worst = max(ranges, key=lambda one: one[1] / one[2])
    accepted = all(value <= limit for _, value, limit in ranges)
    clauses = "; the ".join(f"{name} is {value:.4g} %, {_relation(value, limit)} {limit:g} %"
                            for name, value, limit in ranges)
    sentence = f"{done}, and the {clauses}." if missing else f"The {clauses}."
    return AcceptanceOutcome(rule, *worst, unit="%", accepted=accepted, sentence=sentence)


ACCEPTANCE_RULES: dict[str, Callable[..., AcceptanceOutcome]] = {
    "range": range_rule,
    "ISO 5725-6 critical range": critical_range_rule,
    "GB/T 601 two persons by four": two_persons_by_four_rule,
    "Ph. Eur. RSD": relative_standard_deviation_rule,
}


@cache
def _arguments(function: Callable[..., AcceptanceOutcome]) -> frozenset[str]:
    return frozenset(inspect.signature(function).parameters)


def accept(
    rule: str,
    values: Sequence[float],
    *,
    unit: str,
    analysts: Sequence[str] = (),
    parameters: dict[str, float | int | str] | None = None,
) -> AcceptanceOutcome:
    """Apply the named rule with the parameters the method gives.

    Arguments:
        rule: a key of :data:`ACCEPTANCE_RULES`.
        values: the determinations [unit].
        unit: their unit.
        analysts: who made each; used by rules that ask for it.
        parameters: by the names of the rule's own arguments.

    Raises:
        Refusal: an unknown rule or parameter, and whatever the rule refuses.
    """
    if rule not in ACCEPTANCE_RULES:
        raise Refusal(f"the acceptance rule '{rule}' is not known", remedy=f"use one of {', '.join(ACCEPTANCE_RULES)}")
    function = ACCEPTANCE_RULES[rule]
    taken = _arguments(function)
    known = taken - {"values", "unit", "analysts"}
    given = dict(parameters or {})
    if not set(given) <= known:
        raise Refusal(f"the acceptance rule '{rule}' has no parameter {', '.join(sorted(set(given) - known))}",
                      remedy=f"use {', '.join(sorted(known))}")
    circumstances = {"unit": unit, "analysts": analysts}
    return function(values, **{name: circumstances[name] for name in taken & set(circumstances)}, **given)


def _outcome(rule: str, statistic: str, value: float | None, limit: float, unit: str, n: int,
             determinations: int) -> AcceptanceOutcome:
    if determinations < 2:
        raise Refusal(f"a rule on {determinations} determinations", remedy="ask for two or more")
    missing = max(0, determinations - n)
    if value is None:
        sentence = f"One determination has no {statistic}; {missing} further needed."
    else:
        sentence = (f"The {statistic} of {n} determinations is {value:.4g} {unit}, "
                    f"{_relation(value, limit)} {limit:.4g} {unit}.")
        if missing:
            sentence = f"{sentence.rstrip('.')}; {missing} further needed."
    accepted = value is not None and not missing and value <= limit
    return AcceptanceOutcome(rule, statistic, value, limit, unit, accepted, sentence, missing)


def _relation(value: float, limit: float) -> str:
    return "within" if value <= limit else "beyond"


def _relative(statistics: ReplicateStatistics, figure: float | None) -> float | None:
    if figure is None and statistics.n > 1:
        raise Refusal(f"the mean {statistics.mean:.4g} cannot be told from zero, so a limit in per cent of it is empty",
                      remedy="give a limit in the unit of the determinations")
    return figure


def _relative_range(values: Sequence[float]) -> float:
    statistics = describe(values)
    return _relative(statistics, statistics.relative_range_percent) or 0.0


def _limit(number: float) -> float:
    if not (number > 0 and math.isfinite(number)):
        raise Refusal(f"a limit of {number}", remedy="give a number above zero")
    return number


def _shares(values: Sequence[float], analysts: Sequence[str]) -> dict[str, list[float]]:
    if len(analysts) != len(values) or not all(person.strip() for person in analysts):
        raise Refusal("a determination lacks its analyst", remedy="name who made each determination")
    shares: dict[str, list[float]] = {}
    for value, person in zip(values, analysts, strict=True):
        shares.setdefault(person.strip(), []).append(value)
    if len(shares) > 2:
        raise Refusal(f"{len(shares)} persons made determinations", remedy="keep the rule's two persons")
    for person, share in shares.items():
        if len(share) > 4:
            raise Refusal(f"{person} made {len(share)} determinations and the rule takes four",
                          remedy="exclude the surplus with a reason, or use another rule")
    return shares
