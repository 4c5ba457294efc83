"""Two results of one quantity set against each other, with what they share taken out of the uncertainty."""

import math
from dataclasses import dataclass

from assaywright.metrology.estimate import Estimate, combine, covariance
from assaywright.metrology.refusal import Refusal


@dataclass(frozen=True, slots=True)
class NormalisedError:
    """Outcome of a comparison by E_n.

    Fields:
        difference: first minus second [unit].
        expanded_uncertainty: of the difference [unit].
        normalised_error: E_n.
        agree: whether the magnitude of E_n is 1 or less.
    """

    difference: float
    expanded_uncertainty: float
    normalised_error: float
    agree: bool


@dataclass(frozen=True, slots=True)
class ZetaScore:
    """Outcome of a comparison by zeta score.

    Fields:
        difference: first minus second [unit].
        standard_uncertainty: of the difference [unit].
        zeta: the score.
        verdict: "satisfactory" up to 2, "questionable" up to 3, else "unsatisfactory".
    """

    difference: float
    standard_uncertainty: float
    zeta: float
    verdict: str


def difference(first: Estimate, second: Estimate) -> Estimate:
    """Return first minus second; influences they share cancel as far as they are equal.

    Returns: estimate [unit of both]

    Raises:
        Refusal: the two have different units.

    Source: JCGM 100:2008, F.1.2.3.
    """
    if first.unit != second.unit:
        raise Refusal(f"results in {first.unit} and in {second.unit} cannot be compared",
                      remedy="convert both to one unit")
    return combine(first.unit, ((1.0, first), (-1.0, second)))


def normalised_error(
    first: Estimate, second: Estimate, *, first_coverage_factor: float = 2.0, second_coverage_factor: float = 2.0
) -> NormalisedError:
    """Return E_n of two results, with the covariance through the influences they share.

    E_n = (x1 - x2) / sqrt(U1^2 + U2^2 - 2 k1 k2 cov(x1, x2))

    Arguments:
        first, second: results in one unit [unit].
        first_coverage_factor, second_coverage_factor: k of each, above zero.

    Raises:
        Refusal: different units, a coverage factor that cannot be, or two results without any independent uncertainty.

    Source: ISO 13528:2015, E_n score (from memory); the covariance term from JCGM 100:2008, 5.2.2.
    """
    for factor in (first_coverage_factor, second_coverage_factor):
        if not (factor > 0 and math.isfinite(factor)):
            raise Refusal(f"a coverage factor of {factor}", remedy="give a number above zero")
    gap = difference(first, second)
    variance = (
        (first_coverage_factor * first.standard_uncertainty) ** 2
        + (second_coverage_factor * second.standard_uncertainty) ** 2
        - 2 * first_coverage_factor * second_coverage_factor * covariance(first, second)
    )
    expanded = _uncertainty_of_difference(variance, first, second)
    score = gap.value / expanded
    return NormalisedError(gap.value, expanded, score, abs(score) <= 1)


def zeta_score(first: Estimate, second: Estimate) -> ZetaScore:
    """Return the zeta score of two results, with the covariance through the influences they share.

    zeta = (x1 - x2) / sqrt(u1^2 + u2^2 - 2 cov(x1, x2))

    Raises:
        Refusal: different units, or two results without any independent uncertainty.

    Source: ISO 13528:2015, zeta score with its limits 2 and 3 (from memory).
    """
    gap = difference(first, second)
    standard = _uncertainty_of_difference(gap.variance, first, second)
    score = gap.value / standard
    verdict = "satisfactory" if abs(score) <= 2 else "questionable" if abs(score) < 3 else "unsatisfactory"
    return ZetaScore(gap.value, standard, score, verdict)


def _uncertainty_of_difference(variance: float, first: Estimate, second: Estimate) -> float:
    # What is left of two equal variances after their shared part is taken off is rounding, not information.
    if variance <= 1e-24 * (first.variance + second.variance):
        raise Refusal("the two results share everything that makes them uncertain, so no score can be formed",
                      remedy="compare results of independent determinations")
    return math.sqrt(variance)
