"""Beside whether two figures agree: where the customer's lies by the limits, and how likely ours conforms."""

from dataclasses import dataclass
from fractions import Fraction

from assaywright.assay.agree.finding import Finding
from assaywright.assay.decide import decide
from assaywright.assay.result import ConformityDecision, Result
from assaywright.assay.specification import Specification
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.units import exact_conversion, kind_of

WITHIN, BELOW, ABOVE, NOT_COMPARABLE = "within", "below", "above", "not comparable"


@dataclass(frozen=True, slots=True)
class AgainstLimits:
    """Both figures held against the limits of what was sold.

    Fields:
        theirs: WITHIN, BELOW or ABOVE the limits as they state it, their uncertainty left aside; NOT_COMPARABLE where
            the limits are of another kind.
        passed: the limit that theirs passes, as typed; empty where it passes none.
        limits: as text.
        ours: our own decision, by the rule agreed on.
    """

    theirs: str
    passed: str
    limits: str
    ours: ConformityDecision

    @property
    def outside(self) -> bool:
        """Whether theirs lies outside the limits."""
        return self.theirs in (BELOW, ABOVE)


def against_limits(ours: Result, specification: Specification, finding: Finding) -> AgainstLimits | None:
    """Return both figures held against limits; None where there are none.

    A figure of exactly a limit lies within it.

    Arguments:
        ours: in a unit of the kind of the limits.

    Raises:
        Refusal: the limits are of another kind than ours, or the rule lacks what it needs.
    """
    decision = decide(ours, specification)
    if decision is None:
        return None
    theirs, passed = _where(finding.found, specification.lower, specification.upper)
    return AgainstLimits(theirs, passed, decision.limits, decision)


def _where(found: Quantity, lower: Quantity | None, upper: Quantity | None) -> tuple[str, str]:
    for limit, side, sign in ((lower, BELOW, 1), (upper, ABOVE, -1)):
        if limit is None:
            continue
        if kind_of(limit.unit) != kind_of(found.unit):
            return NOT_COMPARABLE, ""
        if sign * (_exactly(found, limit.unit) - Fraction(limit.value)) < 0:
            return side, f"{limit.value} {limit.unit}"
    return WITHIN, ""


def _exactly(found: Quantity, unit: str) -> Fraction:
    if found.unit == unit:
        return Fraction(found.value)
    factor, offset = exact_conversion(found.unit, unit)
    return Fraction(found.value) * factor + offset
