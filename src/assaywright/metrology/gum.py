"""Evaluate a model with uncertain numbers: one result with its budget. The referee of the other evaluators.

The arithmetic of uncertain numbers is GTC's; nothing of it is stored. Each influence becomes one standardised
uncertain number (value 0, standard uncertainty 1), so that an influence shared by several inputs is one and the same;
one that belongs to a single input alone is that input's own uncertain number.
"""

import math
from collections import Counter
from dataclasses import dataclass
from typing import Any

import GTC

from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Model


class UncertainMeans:
    """Functions of uncertain numbers; the steps need no record here."""

    def exp(self, value: Any) -> Any:
        """Return e to the power of a dimensionless value."""
        return GTC.exp(value)

    def log10(self, value: Any) -> Any:
        """Return the decimal logarithm of a dimensionless value."""
        return GTC.log10(value)

    def sqrt(self, value: Any) -> Any:
        """Return the square root."""
        return GTC.sqrt(value)

    def second_order(self, factor: Any) -> Any:
        """Return the factor as it is."""
        return factor

    def step(self, symbol: str, label: str, value: Any, unit: str, source: str = "") -> Any:
        """Return the value as it is."""
        return value


@dataclass(frozen=True, slots=True)
class Propagation:
    """A result by the law of propagation of uncertainty.

    Fields:
        estimate: the result with its contributions by permanent key.
        sensitivities: input name to partial derivative [result unit per input unit], for inputs with an influence of
            their own.
    """

    estimate: Estimate
    sensitivities: dict[str, float]


def evaluate_gum(model: Model) -> Propagation:
    """Return the model's result, its contributions by influence and its sensitivities by input.

    u(y)^2 = sum((c_k u_k)^2) over the independent influences k, shared ones added with their signs first.

    Source: JCGM 100:2008, 5.1.2 and F.1.2.3; G.4.1 for the degrees of freedom.
    """
    users = Counter(part.key for given in model.inputs.values() for part in given.estimate.contributions)
    influences: dict[str, tuple[Any, Contribution, float]] = {}
    values: dict[str, Any] = {}
    for name, given in model.inputs.items():
        estimate = given.estimate
        parts = estimate.contributions
        if not parts:
            values[name] = estimate.value
        elif len(parts) == 1 and users[parts[0].key] == 1 and parts[0].amount:
            values[name] = _alone(estimate.value, parts[0], influences)
        else:
            values[name] = _composed(estimate, influences)
    outcome = model.equation(values, UncertainMeans())
    if not hasattr(outcome, "u"):
        return Propagation(Estimate(float(outcome), model.unit), {})
    contributions = tuple(
        Contribution(key, sign * GTC.rp.u_component(outcome, one), p.degrees_of_freedom, p.distribution, p.label)
        for key, (one, p, sign) in influences.items()
    )
    estimate = Estimate(float(outcome.x), model.unit, contributions)
    return Propagation(estimate, _sensitivities(model, estimate, users))


def _sensitivities(model: Model, estimate: Estimate, users: Counter[str]) -> dict[str, float]:
    """Return c = (c u)/u for every input that has an influence to itself.

    Through a shared influence the inputs cannot be told apart, and no sensitivity is stated.
    """
    amounts = {part.key: part.amount for part in estimate.contributions}
    found = {}
    for name, given in model.inputs.items():
        own = [part for part in given.estimate.contributions if users[part.key] == 1 and part.amount]
        if own:
            found[name] = amounts[own[0].key] / own[0].amount
    return found


def _alone(value: float, part: Contribution, influences: dict[str, tuple[Any, Contribution, float]]) -> Any:
    """Return the uncertain number of an input that one influence of its own makes uncertain."""
    number = GTC.ureal(value, abs(part.amount), part.degrees_of_freedom)
    influences[part.key] = (number, part, math.copysign(1.0, part.amount))
    return number


def _composed(estimate: Estimate, influences: dict[str, tuple[Any, Contribution, float]]) -> Any:
    """Return the uncertain number of an input with several influences, or with one that others share."""
    uncertain: Any = estimate.value
    for part in estimate.contributions:
        if part.key not in influences:
            influences[part.key] = (GTC.ureal(0.0, 1.0, part.degrees_of_freedom), part, 1.0)
        uncertain = uncertain + part.amount * influences[part.key][0]
    return uncertain


def coverage_factor(degrees_of_freedom: float, probability: float = 0.95) -> float:
    """Return the coverage factor from Student's t.

    k = t_p(nu), two-sided; nu is not truncated to an integer.

    Arguments:
        degrees_of_freedom: effective degrees of freedom, above zero; may be infinite.
        probability: coverage probability, between 0 and 1.

    Source: JCGM 100:2008, G.3.2 to G.3.4 and Table G.2.
    """
    from scipy.special import ndtri, stdtrit

    tail = 0.5 + probability / 2
    if math.isinf(degrees_of_freedom):
        return float(ndtri(tail))
    return float(stdtrit(degrees_of_freedom, tail))


def coverage_with_one_rectangular(share: float, coverage_factor: float) -> float:
    """Return how often value ± k u holds the truth when one rectangular influence stands beside a normal rest.

    P = (s/a) [G((k + a)/s) - G((k - a)/s)] - 1, G(x) = x Φ(x) + φ(x), with a = sqrt(3 p) and s = sqrt(1 - p), all in
    units of the combined standard uncertainty: the convolution of the two distributions, integrated from -k to k.

    Arguments:
        share: p, part of the variance that the rectangular influence makes up, 0 to 1.
        coverage_factor: k.

    Returns: coverage probability [1]

    Source: JCGM 100:2008, G.1.4 and G.1.5 (convolution), 4.3.7 (rectangular distribution).
    """
    from scipy.special import ndtr

    if share <= 0:
        return float(2 * ndtr(coverage_factor) - 1)
    half_width = math.sqrt(3 * share)
    if share >= 1:
        return min(1.0, coverage_factor / half_width)
    spread = math.sqrt(1 - share)

    def area(x: float) -> float:
        return x * float(ndtr(x)) + math.exp(-x * x / 2) / math.sqrt(2 * math.pi)

    above = area((coverage_factor + half_width) / spread)
    return spread / half_width * (above - area((coverage_factor - half_width) / spread)) - 1
