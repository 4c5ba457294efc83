"""From a result and a specification to a decision, by the rule the specification names."""

from decimal import Decimal

from assaywright.assay.observations import Specification
from assaywright.assay.result import ConformityDecision, Result
from assaywright.assay.wording import written_probability
from assaywright.metrology import conformity
from assaywright.metrology.conformity import DecisionRule, MeasuredValue
from assaywright.metrology.conformity_risk import Limits, NormalPrior
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import plain
from assaywright.metrology.units import conversion, kind_of

DECISIONS = {
    conformity.CONFORMS: "conforms",
    conformity.DOES_NOT_CONFORM: "does not conform",
    conformity.NOT_PROVEN: "conformity not proven",
}
SAID = {
    conformity.CONFORMS: "conforms to",
    conformity.DOES_NOT_CONFORM: "does not conform to",
    conformity.NOT_PROVEN: "is not proven to conform to",
}


def decide(result: Result, specification: Specification, where: str = "specification") -> ConformityDecision | None:
    """Return the decision on a result, or None for a characteristic that is only reported.

    Limits are exact decimals as typed. Without a named rule it is simple acceptance, with its risk.

    Raises:
        Refusal: limits in a unit of another kind than the result's, or a rule that lacks what it needs.

    Source: JCGM 106:2012, clauses 7 to 9; ASTM E29 for the rounding and the absolute method.
    """
    if specification.lower is None and specification.upper is None:
        return None
    try:
        unit = (specification.lower or specification.upper).unit  # type: ignore[union-attr]
        _check_kind(unit, result, "lower" if specification.lower is not None else "upper")
        measured = _in_unit_of(result, unit)
        limits = Limits(_limit(specification.lower, unit), _limit(specification.upper, unit))
        outcome = conformity.decide(measured, limits, _rule(specification), prior=_prior(specification, unit))
    except Refusal as refusal:
        raise refusal.at(where) from None
    decision = DECISIONS[outcome.decision]
    risks = outcome.global_risks
    compared = plain(outcome.compared) if specification.rule == "rounding method" else _shown(outcome.compared, result)
    shown_limits = _limits_text(specification)
    sentence = (
        f"{specification.characteristic or result.measurand} {SAID[outcome.decision]} {shown_limits} "
        f"by {outcome.rule}; "
        f"{compared} {unit} was compared, probability of conformity "
        f"{written_probability(outcome.conformance_probability)} ({outcome.prior})."
    )
    return ConformityDecision(
        decision,
        outcome.rule,
        f"{compared} {unit}",
        shown_limits,
        sentence,
        outcome.conformance_probability,
        outcome.prior,
        risks.consumer if risks else None,
        risks.producer if risks else None,
    )


def _check_kind(unit: str, result: Result, field: str) -> None:
    """Refuse limits whose unit is of another kind than the result's."""
    found = result.estimate.unit
    if kind_of(unit) != kind_of(found):
        raise Refusal(f"the limit is in {unit} and the result in {found}, which are of different kinds", where=field,
                      remedy=f"give the limits in {found}, or ask for the result in theirs with [report] "
                             f'unit = "{unit}"')


def _in_unit_of(result: Result, unit: str) -> MeasuredValue:
    estimate = result.estimate
    factor, offset = conversion(estimate.unit, unit)
    value = estimate.value if estimate.unit == unit else estimate.value * factor + offset
    return MeasuredValue(
        value, estimate.standard_uncertainty * factor, estimate.degrees_of_freedom, result.coverage_factor
    )


def _limit(stated: Quantity | None, unit: str) -> Decimal | None:
    if stated is None:
        return None
    if stated.unit != unit:
        raise Refusal("the two limits are in different units", remedy="give both in one unit")
    return stated.value


def _rule(specification: Specification) -> DecisionRule:
    """Return the decision rule with the one parameter that its name asks for."""
    name = specification.rule
    return DecisionRule(
        name,
        guard_ratio=(specification.guard_band_factor if specification.guard_band_factor is not None else 1.0)
        if name == "guard band"
        else None,
        step=Decimal(specification.rounding_step)
        if name == "rounding method" and specification.rounding_step
        else None,
        rounding=specification.rounding,
        probability=specification.conformance_probability if name == "conformance probability" else None,
    )


def _prior(specification: Specification, unit: str) -> NormalPrior | None:
    if specification.prior is None:
        return None
    mean, deviation = specification.prior
    return NormalPrior(mean.to(unit), deviation.to(unit))


def _shown(value: Decimal, result: Result) -> str:
    """Return an unrounded value with two digits more than the result prints."""
    places = -Decimal(result.value_text).as_tuple().exponent + 2 if result.value_text else 6  # type: ignore[operator]
    return f"{value:.{max(places, 0)}f}"


def _limits_text(specification: Specification) -> str:
    lower, upper = specification.lower, specification.upper
    if lower is not None and upper is not None:
        return f"{lower.value} to {upper.value} {upper.unit}"
    if lower is not None:
        return f"not less than {lower.value} {lower.unit}"
    return f"not more than {upper.value} {upper.unit}" if upper is not None else "report only"
