"""From what a certificate or a class states to a standard uncertainty: one mapping, one line each."""

import math

from assaywright.metrology.refusal import Refusal

HALF_WIDTH_DIVISORS = {
    "rectangular": math.sqrt(3.0),  # JCGM 100:2008, 4.3.7
    "triangular": math.sqrt(6.0),  # JCGM 100:2008, 4.3.9
    "arcsine": math.sqrt(2.0),  # JCGM 100:2008, H.1.3.4 and its note on cyclic variation
}


def standard_uncertainty_of_half_width(half_width: float, distribution: str = "rectangular") -> float:
    """Return the standard uncertainty of a quantity known only to lie within bounds.

    u = a / sqrt(3) rectangular, a / sqrt(6) triangular, a / sqrt(2) arcsine

    Arguments:
        half_width: half the distance between the bounds, a [unit of the quantity], zero or more.
        distribution: one of :data:`HALF_WIDTH_DIVISORS`.

    Returns: standard uncertainty [unit of the quantity]

    Raises:
        Refusal: a half width that is negative or not finite, or an unknown distribution.

    Source: JCGM 100:2008, 4.3.7 and 4.3.9.

    Example: the expansion of copper within 0.40e-6 per degree (4.3.7, example 1)

    >>> round(standard_uncertainty_of_half_width(0.40, "rectangular"), 2)
    0.23
    """
    if distribution not in HALF_WIDTH_DIVISORS:
        raise Refusal(
            f"the distribution '{distribution}' has no bounds to take a half width from",
            remedy=f"use one of {', '.join(HALF_WIDTH_DIVISORS)}",
        )
    return _amount(half_width, "half width") / HALF_WIDTH_DIVISORS[distribution]


def standard_uncertainty_of_expanded(expanded_uncertainty: float, coverage_factor: float) -> float:
    """Return the standard uncertainty behind a stated expanded uncertainty.

    u = U / k

    Arguments:
        expanded_uncertainty: U [unit of the quantity], zero or more.
        coverage_factor: k as stated, above zero.

    Returns: standard uncertainty [unit of the quantity]

    Raises:
        Refusal: a negative uncertainty or a coverage factor that is not above zero.

    Source: JCGM 100:2008, 4.3.3.
    """
    if not (coverage_factor > 0 and math.isfinite(coverage_factor)):
        raise Refusal(f"a coverage factor of {coverage_factor}", remedy="give the k that the certificate states")
    return _amount(expanded_uncertainty, "expanded uncertainty") / coverage_factor


def standard_uncertainty_of_interval(half_width: float, probability: float) -> float:
    """Return the standard uncertainty behind a normal interval stated by its probability alone.

    u = a / z, where z is the two-sided normal quantile: 1.96 for 95 %, 2.58 for 99 %.

    Arguments:
        half_width: half the length of the interval, a [unit of the quantity], zero or more.
        probability: stated level of confidence, between 0 and 1.

    Returns: standard uncertainty [unit of the quantity]

    Raises:
        Refusal: a negative half width, or a probability that is not between 0 and 1.

    Source: JCGM 100:2008, 4.3.4.
    """
    from scipy.special import ndtri

    if not 0 < probability < 1:
        raise Refusal(f"a probability of {probability}", remedy="give a fraction such as 0.95")
    return _amount(half_width, "half width") / float(ndtri(0.5 + probability / 2))


def _amount(number: float, name: str) -> float:
    if not (number >= 0 and math.isfinite(number)):
        raise Refusal(f"a {name} of {number}", remedy="give a number that is zero or more")
    return number
