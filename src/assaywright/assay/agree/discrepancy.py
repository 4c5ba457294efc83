"""Is it a discrepancy at all? A customer's figure beside ours, with the uncertainty of both, or of ours alone."""

import math
from dataclasses import dataclass

from assaywright.assay.agree.finding import Finding
from assaywright.assay.result import Result
from assaywright.metrology.comparison import normalised_error
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import conversion, kind_of

AGREED, DISCREPANT, WITHIN_OURS, NOT_STATED = "no discrepancy", "discrepancy", "within ours", "theirs not stated"
AT_LEAST_MEANT = 1e-12  # what a difference of two equal figures leaves of rounding, relative


@dataclass(frozen=True, slots=True)
class Comparison:
    """A customer's figure beside ours.

    Fields:
        unit: of all figures.
        ours, theirs: values. our_uncertainty: our U.
        our_coverage_factor: k of ours.
        their_uncertainty: their U; None where they stated none.
        difference: theirs less ours.
        normalised_error: E_n; None where theirs is not stated.
        verdict: AGREED or DISCREPANT by E_n; without their uncertainty WITHIN_OURS or NOT_STATED.
        would_agree_from: where theirs is not stated and the difference is beyond our U, the U that theirs must reach
            for the two to agree; else None.
    """

    unit: str
    ours: float
    our_uncertainty: float
    our_coverage_factor: float
    theirs: float
    their_uncertainty: float | None
    difference: float
    normalised_error: float | None
    verdict: str
    would_agree_from: float | None = None

    @property
    def relative_percent(self) -> float:
        """The difference, relative to ours [%]."""
        return 100 * self.difference / self.ours

    @property
    def is_discrepancy(self) -> bool:
        """Whether there is something to explain, as far as is known."""
        return self.verdict in (DISCREPANT, NOT_STATED)


def compared(ours: Result, finding: Finding) -> Comparison:
    """Return a customer's figure beside ours, in the unit of ours.

    E_n = (x_theirs - x_ours) / sqrt(U_theirs² + U_ours²), and 1 or less in magnitude is no discrepancy. The two are
    taken as independent, as determinations of two laboratories are.

    Arguments:
        ours: stated in a unit of the same kind as theirs.

    Raises:
        Refusal: units of different kinds.

    Source: ISO 13528:2022, E_n scores, and ISO/IEC 17043 (both from memory).
    """
    theirs = their_estimate(finding, ours.estimate.unit)
    value, expanded = ours.estimate.value, ours.expanded_uncertainty
    difference = theirs.value - value
    if abs(difference) <= AT_LEAST_MEANT * abs(value):
        difference = 0.0
    found = (ours.estimate.unit, value, expanded, ours.coverage_factor, theirs.value)
    stated = finding.found.uncertainty
    if stated is None:
        within = abs(difference) <= expanded
        return Comparison(*found, None, difference, None, WITHIN_OURS if within else NOT_STATED,
                          None if within else math.sqrt(difference**2 - expanded**2))
    factor = float(stated.coverage_factor or 2)
    score = normalised_error(theirs, ours.estimate, first_coverage_factor=factor,
                             second_coverage_factor=ours.coverage_factor)
    return Comparison(*found, factor * theirs.standard_uncertainty, difference, score.normalised_error,
                      AGREED if score.agree else DISCREPANT)


def their_estimate(finding: Finding, unit: str) -> Estimate:
    """Return a customer's figure in another unit of its kind, with the uncertainty that they stated.

    Raises:
        Refusal: the unit is of another kind.
    """
    found = finding.found
    if kind_of(found.unit) != kind_of(unit):
        raise Refusal(f"theirs is stated in {found.unit} and ours in {unit}, which are of different kinds",
                      where="what they found", remedy=f"ask for it in {unit}, or convert it with what they know of it")
    factor, _ = conversion(found.unit, unit)
    uncertainty = found.uncertainty.standard_uncertainty if found.uncertainty else 0.0
    key = influence_key("enquiry", "customer", found.text, "value")
    return influence(key, float(found.value) * factor, uncertainty * factor, unit, label="the customer's figure")
