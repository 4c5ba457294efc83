"""Characteristics that are entered with their source, not titrated: their value, and the decision on them."""

from decimal import Decimal

from assaywright.assay.observations import Characteristic, Specification
from assaywright.assay.result import ConformityDecision, Result
from assaywright.assay.wording import written_decimal, written_limits
from assaywright.metrology.conformity import CONFORMS, DOES_NOT_CONFORM
from assaywright.metrology.estimate import influence, influence_key
from assaywright.metrology.quantity import Quantity, StatedUncertainty
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import plain, report, round_to_step

NOT_DECIDED = "not decided"
RULES_WITHOUT_UNCERTAINTY = ("simple acceptance", "absolute method", "rounding method")
AGREED_COVERAGE_FACTOR = Decimal(2)


def entered_result(characteristic: Characteristic) -> Result | None:
    """Return an entered value with its stated uncertainty as a result; None where no uncertainty is stated.

    An expanded uncertainty is taken over as typed with its k; any other form is stated with k = 2.

    Raises:
        Refusal: neither a value nor an observation was entered.
    """
    value = characteristic.value
    if value is None and not characteristic.text:
        raise Refusal("neither a worksheet nor an entered value", remedy="name a worksheet, or enter what was found")
    if value is None or value.uncertainty is None or characteristic.less_than:
        return None
    stated = value.uncertainty
    name = characteristic.specification.characteristic
    key = influence_key("entered", characteristic.source or name, value.text, "value")
    estimate = influence(key, float(value.value), stated.standard_uncertainty, value.unit, label=f"{name}, as entered",
                         degrees_of_freedom=stated.degrees_of_freedom, distribution=stated.distribution)
    if stated.form == "expanded" and stated.coverage_factor is not None:
        return Result(name, estimate, float(stated.coverage_factor), None, plain(value.value), plain(stated.amount))
    texts = report(float(value.value), _expanded(stated))
    return Result(name, estimate, float(AGREED_COVERAGE_FACTOR), None, *texts)


def reason_without_uncertainty(characteristic: Characteristic) -> str:
    """Return why an entered characteristic has no uncertainty."""
    if characteristic.less_than:
        return "an upper bound, found below what its source can measure"
    if characteristic.value is None:
        return "an observation, not a measured number"
    return "its source states none"


def judge_entered(characteristic: Characteristic) -> ConformityDecision | None:
    """Return the decision on a characteristic entered without uncertainty; None when it is only reported.

    A number conforms when it lies within the limits, both of them included. A number found below a bound conforms when
    that bound does not exceed the upper limit and there is no lower one. An observation is judged by a person.

    Raises:
        Refusal: the value and its limits stand in different units.
    """
    specification = characteristic.specification
    if not written_limits(specification):
        return None
    if characteristic.value is None:
        return _judge_observation(characteristic)
    _check_unit(characteristic.value, specification)
    if characteristic.less_than:
        return _judge_bound(characteristic.value, specification)
    return _judge_number(characteristic.value, specification)


def _expanded(stated: StatedUncertainty) -> float:
    return float(AGREED_COVERAGE_FACTOR) * stated.standard_uncertainty


def _judge_observation(characteristic: Characteristic) -> ConformityDecision:
    wanted = written_limits(characteristic.specification)
    decision = {True: CONFORMS, False: DOES_NOT_CONFORM, None: NOT_DECIDED}[characteristic.satisfied]
    sentence = (f"Nobody has judged whether ‘{characteristic.text}’ meets ‘{wanted}’." if decision == NOT_DECIDED else
                f"Found ‘{characteristic.text}’, which {decision} to ‘{wanted}’ in the judgement of the person named.")
    return ConformityDecision(decision, "judged by a person", characteristic.text, wanted, _agreeing(sentence))


def _agreeing(sentence: str) -> str:
    return sentence.replace("does not conform to", "does not meet").replace("conforms to", "meets")


def _judge_bound(bound: Quantity, specification: Specification) -> ConformityDecision:
    limits = written_limits(specification)
    below = f"less than {written_decimal(bound.value)} {bound.unit}".strip()
    upper = specification.upper
    if specification.lower is None and upper is not None and bound.value <= upper.value:
        return ConformityDecision(CONFORMS, "upper bound at or below the limit", below, limits,
                                  f"Found {below}; specified {limits}: conforms.")
    return ConformityDecision(NOT_DECIDED, "upper bound at or below the limit", below, limits,
                              f"Found {below}, which does not settle whether it is {limits}.")


def _judge_number(value: Quantity, specification: Specification) -> ConformityDecision:
    limits, rule = written_limits(specification), specification.rule
    if rule not in RULES_WITHOUT_UNCERTAINTY:
        return ConformityDecision(NOT_DECIDED, rule, written_decimal(value.value), limits,
                                  f"The rule ‘{rule}’ needs an uncertainty, and the value’s source states none.")
    compared = value.value
    if rule == "rounding method":
        if not specification.rounding_step:
            raise Refusal("the rounding method without a step to round to", remedy="give rounding_step")
        compared = round_to_step(compared, specification.rounding_step, specification.rounding)
    lower, upper = specification.lower, specification.upper
    within = (lower is None or lower.value <= compared) and (upper is None or compared <= upper.value)
    decision = CONFORMS if within else DOES_NOT_CONFORM
    found = f"{written_decimal(compared)} {value.unit}".strip()
    return ConformityDecision(decision, f"{rule}, no uncertainty taken into account", found, limits,
                              f"Found {found}; specified {limits}: {decision}.")


def _check_unit(value: Quantity, specification: Specification) -> None:
    for limit in (specification.lower, specification.upper):
        if limit is not None and limit.unit != value.unit:
            raise Refusal(f"the value is in {value.unit or 'no unit'}, its limit in {limit.unit or 'no unit'}",
                          remedy="state both in one unit")
