"""Evaluate a model with uncertain numbers: one result with its budget. The referee of the other evaluators.

The arithmetic of uncertain numbers is GTC's; nothing of it is stored. Each influence becomes one standardised
uncertain number (value 0, standard uncertainty 1), so that an influence shared by several inputs is one and the same.
"""

import math
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

    def step(self, symbol: str, label: str, value: Any, unit: str, source: str = "") -> Any:
        """Return the value as it is."""
        return value


@dataclass(frozen=True, slots=True)
class Propagation:
    """A result by the law of propagation of uncertainty.

    Fields:
        estimate: the result with its contributions by permanent key.
        sensitivities: input name to partial derivative [result unit per input unit], for inputs with uncertainty.
    """

    estimate: Estimate
    sensitivities: dict[str, float]


def evaluate_gum(model: Model) -> Propagation:
    """Return the model's result, its contributions by influence and its sensitivities by input.

    u(y)^2 = sum((c_k u_k)^2) over the independent influences k, shared ones added with their signs first.

    Source: JCGM 100:2008, 5.1.2 and F.1.2.3; G.4.1 for the degrees of freedom.
    """
    influences: dict[str, tuple[Any, Contribution]] = {}
    values: dict[str, Any] = {}
    probes: dict[str, Any] = {}
    for name, given in model.inputs.items():
        estimate = given.estimate
        if not estimate.contributions:
            values[name] = estimate.value
            continue
        uncertain: Any = estimate.value
        for part in estimate.contributions:
            if part.key not in influences:
                influences[part.key] = (GTC.ureal(0.0, 1.0, part.degrees_of_freedom), part)
            uncertain = uncertain + part.amount * influences[part.key][0]
        values[name] = probes[name] = GTC.result(uncertain)
    outcome = model.equation(values, UncertainMeans())
    if not hasattr(outcome, "u"):
        return Propagation(Estimate(float(outcome), model.unit), {})
    parts = tuple(
        Contribution(key, GTC.rp.u_component(outcome, one), part.degrees_of_freedom, part.distribution, part.label)
        for key, (one, part) in influences.items()
    )
    sensitivities = {name: GTC.rp.sensitivity(outcome, probe) for name, probe in probes.items()}
    return Propagation(Estimate(float(outcome.x), model.unit, parts), sensitivities)


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
