"""An estimate: a value with the sparse list of everything that makes it uncertain, each under a permanent key."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from assaywright.metrology.refusal import Refusal

DISTRIBUTIONS = ("normal", "rectangular", "triangular", "arcsine")


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one elementary influence adds to an estimate.

    Fields:
        key: permanent identity of the influence: object, certificate edition and effect.
        amount: signed product of sensitivity and standard uncertainty [unit of the estimate].
        degrees_of_freedom: of the influence's standard uncertainty; infinite when it is known, not estimated.
        distribution: of the influence itself, one of :data:`DISTRIBUTIONS`.
        label: the influence in words.
    """

    key: str
    amount: float
    degrees_of_freedom: float = math.inf
    distribution: str = "normal"
    label: str = ""


def influence_key(kind: str, identity: str, edition: str, effect: str) -> str:
    """Return the permanent key of an influence: this object, by this certificate edition, through this effect."""
    return "|".join(part.strip().replace("|", "/") for part in (kind, identity, edition, effect))


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value and the signed contributions, by key, that make up its uncertainty.

    Two estimates covary through the keys they share, whenever and wherever each was computed.

    Fields:
        value: the estimate [unit].
        unit: its unit, as text.
        contributions: one entry per elementary influence; the influences are mutually independent.

    Source: JCGM 100:2008, 5.1.2, with F.1.2.3 for inputs that share an influence.
    """

    value: float
    unit: str
    contributions: tuple[Contribution, ...] = ()

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise Refusal("a value that is not a finite number", remedy="give a number")
        for part in self.contributions:
            if not math.isfinite(part.amount) or not part.degrees_of_freedom > 0:
                raise Refusal(
                    f"the uncertainty of {part.label or part.key} is not a finite number with degrees of "
                    "freedom above zero",
                    remedy="give a standard uncertainty as a number",
                )

    @property
    def variance(self) -> float:
        """Variance [unit squared]."""
        return math.fsum(part.amount**2 for part in self.contributions)

    @property
    def standard_uncertainty(self) -> float:
        """Standard uncertainty [unit]."""
        return math.sqrt(self.variance)

    @property
    def degrees_of_freedom(self) -> float:
        """Effective degrees of freedom by the Welch-Satterthwaite formula (JCGM 100:2008, G.4.1)."""
        return effective_degrees_of_freedom((p.amount, p.degrees_of_freedom) for p in self.contributions)

    def scaled(self, factor: float, unit: str) -> "Estimate":
        """Return this estimate times an exact factor, in another unit."""
        parts = tuple(
            Contribution(p.key, p.amount * factor, p.degrees_of_freedom, p.distribution, p.label)
            for p in self.contributions
        )
        return Estimate(self.value * factor, unit, parts)


def effective_degrees_of_freedom(parts: Iterable[tuple[float, float]]) -> float:
    """Return the effective degrees of freedom of a sum of independent contributions.

    nu_eff = u^4 / sum(u_i^4 / nu_i), not rounded.

    Arguments:
        parts: pairs of contribution [any one unit] and its degrees of freedom.

    Source: JCGM 100:2008, G.4.1, formula (G.2b).
    """
    variance = 0.0
    denominator = 0.0
    for amount, degrees_of_freedom in parts:
        variance += amount**2
        denominator += amount**4 / degrees_of_freedom
    return variance**2 / denominator if denominator > 0 else math.inf


def influence(
    key: str,
    value: float,
    standard_uncertainty: float,
    unit: str,
    *,
    degrees_of_freedom: float = math.inf,
    distribution: str = "normal",
    label: str = "",
) -> Estimate:
    """Return the estimate of a quantity that one elementary influence alone makes uncertain.

    Arguments:
        key: permanent key, see :func:`influence_key`.
        value: [unit]
        standard_uncertainty: [unit], zero for an exact value.
        degrees_of_freedom: above zero; infinite by default.
        distribution: one of :data:`DISTRIBUTIONS`.

    Raises:
        Refusal: a standard uncertainty that is negative or not a number, or an unknown distribution.
    """
    if not standard_uncertainty >= 0 or math.isinf(standard_uncertainty):
        raise Refusal(
            f"the standard uncertainty of {label or key} is {standard_uncertainty}",
            remedy="give a number that is zero or more",
        )
    if distribution not in DISTRIBUTIONS:
        raise Refusal(
            f"the distribution '{distribution}' is not known", remedy=f"use one of {', '.join(DISTRIBUTIONS)}"
        )
    if standard_uncertainty == 0:
        return Estimate(value, unit)
    return Estimate(value, unit, (Contribution(key, standard_uncertainty, degrees_of_freedom, distribution, label),))


def exact(value: float, unit: str = "1") -> Estimate:
    """Return an estimate without uncertainty: a count, a definition, a reading whose scatter enters elsewhere."""
    return Estimate(value, unit)


def combine(unit: str, terms: Iterable[tuple[float, Estimate]]) -> Estimate:
    """Return the linear combination of estimates with shared influences added with their signs.

    y = sum(a_i x_i)

    Arguments:
        unit: unit of the combination.
        terms: pairs of exact factor and estimate.

    Source: JCGM 100:2008, F.1.2.3.
    """
    value = 0.0
    merged: dict[str, Contribution] = {}
    for factor, estimate in terms:
        value += factor * estimate.value
        for part in estimate.contributions:
            before = merged.get(part.key)
            amount = factor * part.amount + (before.amount if before else 0.0)
            merged[part.key] = Contribution(part.key, amount, part.degrees_of_freedom, part.distribution, part.label)
    return Estimate(value, unit, tuple(merged.values()))


def covariance(first: Estimate, second: Estimate) -> float:
    """Return the covariance of two estimates: the sum over the influences they share.

    Returns: [product of the two units]

    Source: JCGM 100:2008, F.1.2.3, equation (F.1).
    """
    other = {part.key: part.amount for part in second.contributions}
    return math.fsum(part.amount * other[part.key] for part in first.contributions if part.key in other)


def correlation(first: Estimate, second: Estimate) -> float:
    """Return the correlation coefficient of two estimates; zero when either is exact."""
    scale = first.standard_uncertainty * second.standard_uncertainty
    return covariance(first, second) / scale if scale else 0.0


def to_record(estimate: Estimate) -> dict[str, Any]:
    """Return the estimate in its stored form: value, unit and the list key, contribution, degrees of freedom.

    Infinite degrees of freedom are stored as ``None``, since JSON has no infinity.
    """
    return {
        "value": estimate.value,
        "unit": estimate.unit,
        "contributions": [
            {
                "key": part.key,
                "amount": part.amount,
                "degrees_of_freedom": None if math.isinf(part.degrees_of_freedom) else part.degrees_of_freedom,
                "distribution": part.distribution,
                "label": part.label,
            }
            for part in estimate.contributions
        ],
    }


def from_record(record: dict[str, Any]) -> Estimate:
    """Return the estimate that :func:`to_record` stored.

    Raises:
        Refusal: the record is not of that form.
    """
    try:
        parts = tuple(
            Contribution(
                str(part["key"]),
                float(part["amount"]),
                math.inf if part["degrees_of_freedom"] is None else float(part["degrees_of_freedom"]),
                str(part["distribution"]),
                str(part["label"]),
            )
            for part in record["contributions"]
        )
        return Estimate(float(record["value"]), str(record["unit"]), parts)
    except (KeyError, TypeError, ValueError) as problem:
        if isinstance(problem, Refusal):
            raise
        raise Refusal(
            "a stored result that lacks or garbles a field", remedy="save it again with evaluate"
        ) from problem
