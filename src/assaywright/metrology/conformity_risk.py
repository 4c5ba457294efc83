"""The risk a conformity decision leaves: limits, what is known of a quantity, and how far it may lie outside.

Words are those of JCGM 106: tolerance limits bound what is permitted, acceptance limits what is accepted as measured;
consumer's risk is to accept what does not conform, producer's risk to reject what does. "Specific" concerns the lot in
hand, "global" the next one from the same making.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import plain


@dataclass(frozen=True, slots=True)
class Limits:
    """A pair of limits, either of which may be absent.

    Fields:
        lower, upper: exactly as typed [unit]; ``None`` when that side is open.
    """

    lower: Decimal | None
    upper: Decimal | None

    def __post_init__(self) -> None:
        given = [limit for limit in (self.lower, self.upper) if limit is not None]
        if not given:
            raise Refusal("a decision without a limit", remedy="give a lower or an upper limit")
        if not all(_is_exact(limit) for limit in given):
            raise Refusal("a limit that is not an exact decimal", remedy="give the digits as typed")
        if self.lower is not None and self.upper is not None and self.lower >= self.upper:
            raise Refusal(f"the lower limit {self.lower} is not below the upper {self.upper}", remedy="exchange them")

    def contain(self, value: Decimal) -> bool:
        """Whether the value lies within, limits included."""
        return (self.lower is None or value >= self.lower) and (self.upper is None or value <= self.upper)

    def moved_inwards(self, width: Decimal) -> "Limits | None":
        """Return the limits moved inwards by a width [unit], outwards when negative; ``None`` when nothing is left."""
        lower = None if self.lower is None else self.lower + width
        upper = None if self.upper is None else self.upper - width
        return None if lower is not None and upper is not None and lower >= upper else Limits(lower, upper)

    @property
    def as_floats(self) -> tuple[float, float]:
        """Lower and upper [unit], infinite where open."""
        return (-math.inf if self.lower is None else float(self.lower),
                math.inf if self.upper is None else float(self.upper))

    def __str__(self) -> str:
        if self.lower is None:
            return f"not more than {plain(self.upper or Decimal(0))}"
        if self.upper is None:
            return f"not less than {plain(self.lower)}"
        return f"{plain(self.lower)} to {plain(self.upper)}"


@dataclass(frozen=True, slots=True)
class NormalPrior:
    """What is known of the quantity before it is measured, such as the spread of earlier lots.

    Fields:
        mean: y_0 [unit]
        standard_uncertainty: u_0, above zero [unit].
    """

    mean: float
    standard_uncertainty: float

    def __post_init__(self) -> None:
        if not (self.standard_uncertainty > 0 and math.isfinite(self.standard_uncertainty + self.mean)):
            raise Refusal(f"a prior standard uncertainty of {self.standard_uncertainty}", remedy="give one above zero")

    def __str__(self) -> str:
        return f"normal prior {self.mean:g} with standard uncertainty {self.standard_uncertainty:g}"


def posterior(
    value: float, standard_uncertainty: float, degrees_of_freedom: float = math.inf, prior: NormalPrior | None = None
) -> tuple[float, float, float]:
    """Return mean, scale and degrees of freedom of what is known of a quantity after its measurement.

    Flat prior: y, u and the degrees of freedom of u (scaled and shifted t). Normal prior:
    1 / u_p^2 = 1 / u^2 + 1 / u_0^2 and y_p = u_p^2 (y / u^2 + y_0 / u_0^2), the measurement taken as normal.

    Arguments:
        value, standard_uncertainty: of the measurement, y and u [unit].
        degrees_of_freedom: of u.
        prior: y_0 and u_0 [unit]; flat when not given.

    Returns: mean [unit], scale [unit], degrees of freedom

    Source: JCGM 106:2012, clause 6 (from memory); JCGM 101:2008, 6.4.9 for the t-distribution.
    """
    if prior is None or standard_uncertainty == 0:
        return value, standard_uncertainty, degrees_of_freedom
    weight = prior.standard_uncertainty**2 / (standard_uncertainty**2 + prior.standard_uncertainty**2)
    return weight * value + (1 - weight) * prior.mean, standard_uncertainty * math.sqrt(weight), math.inf


def non_conformance_probability(
    mean: float, scale: float, limits: Limits, degrees_of_freedom: float = math.inf
) -> float:
    """Return the probability that the quantity lies outside its limits.

    1 - p_c = G((T_L - y) / u) + 1 - G((T_U - y) / u), with G normal, or Student's t for finite degrees of freedom

    Arguments:
        mean, scale: of what is known of the quantity [unit].
        limits: tolerance limits [unit].

    Source: JCGM 106:2012, 7.3 and 7.4.
    """
    lower, upper = limits.as_floats
    if scale == 0:
        return 0.0 if lower <= mean <= upper else 1.0
    below = distribution_function((lower - mean) / scale, degrees_of_freedom)
    return below + distribution_function((mean - upper) / scale, degrees_of_freedom)


@dataclass(frozen=True, slots=True)
class GlobalRisks:
    """Risks for the next lot, before it is measured.

    Fields:
        consumer: probability that it does not conform and is accepted.
        producer: probability that it conforms and is rejected.
    """

    consumer: float
    producer: float


def global_risks(
    limits: Limits, acceptance: Limits, prior: NormalPrior, standard_uncertainty: float
) -> GlobalRisks:
    """Return the global consumer's and producer's risk.

    R_C = integral outside the tolerance of g_0(x) P(accept | x) dx;  R_P = integral inside of g_0(x) P(reject | x) dx

    Arguments:
        limits: tolerance limits [unit].
        acceptance: acceptance limits [unit].
        prior: distribution of lots as made, g_0 [unit].
        standard_uncertainty: of the measurement, normal, above zero [unit].

    Raises:
        Refusal: a standard uncertainty that is not above zero.

    Source: JCGM 106:2012, 9.5.
    """
    u = standard_uncertainty
    if not (u > 0 and math.isfinite(u)):
        raise Refusal(f"a standard uncertainty of {u}", remedy="give one above zero")
    lower, upper = limits.as_floats

    def rejection(x: float) -> float:
        return non_conformance_probability(x, u, acceptance)

    def acceptance_probability(x: float) -> float:
        return 1 - rejection(x)

    steps = [edge + side * u for edge in acceptance.as_floats for side in (-8, -2, 0, 2, 8)]
    outside = _over_lots(acceptance_probability, prior, -math.inf, lower, steps)
    outside += _over_lots(acceptance_probability, prior, upper, math.inf, steps)
    return GlobalRisks(outside, _over_lots(rejection, prior, lower, upper, steps))


def _over_lots(probability: Callable[[float], float], prior: NormalPrior, low: float, high: float,
               steps: list[float]) -> float:
    """Return the integral of a probability over the lots between two values, broken where the probability bends."""
    from scipy.integrate import quad

    mean, spread = prior.mean, prior.standard_uncertainty
    start, stop = max(low, mean - 12 * spread), min(high, mean + 12 * spread)
    bends = [mean + side * spread for side in (-4, -1, 0, 1, 4)] + steps
    edges = [start, *sorted(edge for edge in bends if start < edge < stop), stop]

    def weighted(x: float) -> float:
        return math.exp(-(((x - mean) / spread) ** 2) / 2) / (spread * math.sqrt(2 * math.pi)) * probability(x)

    pieces = (quad(weighted, a, b, epsabs=1e-14, epsrel=1e-10)[0] for a, b in pairwise(edges) if a < b)
    return float(math.fsum(pieces))


def distribution_function(z: float, degrees_of_freedom: float = math.inf) -> float:
    """Return the probability below z: normal, or Student's t for finite degrees of freedom."""
    from scipy.special import ndtr, stdtr

    return float(ndtr(z) if math.isinf(degrees_of_freedom) else stdtr(degrees_of_freedom, z))


def distribution_quantile(probability: float, degrees_of_freedom: float = math.inf) -> float:
    """Return the z below which the probability lies: normal, or Student's t for finite degrees of freedom."""
    from scipy.special import ndtri, stdtrit

    return float(ndtri(probability) if math.isinf(degrees_of_freedom) else stdtrit(degrees_of_freedom, probability))


def _is_exact(limit: object) -> bool:
    return isinstance(limit, Decimal) and limit.is_finite()
