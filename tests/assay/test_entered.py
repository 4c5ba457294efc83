"""Entered characteristics: their results, the reasons for having none, and the decisions on them."""

from dataclasses import replace
from decimal import Decimal

import pytest

from assaywright.assay.entered import entered_result, judge_entered, reason_without_uncertainty
from assaywright.assay.observations import Characteristic, Specification
from assaywright.metrology.quantity import Quantity, StatedUncertainty
from assaywright.metrology.refusal import Refusal


def quantity(number, unit="mg/L", stated=None):
    return Quantity(Decimal(number), unit, f"{number} {unit}", stated)


def expanded(amount, k="2"):
    return StatedUncertainty(Decimal(amount), "expanded", Decimal(k))


def characteristic(number=None, lower=None, upper=None, **changes):
    limits = {"lower": lower and quantity(lower), "upper": upper and quantity(upper)}
    rule = {name: changes.pop(name) for name in ("rule", "rounding_step", "rounding") if name in changes}
    specification = Specification("chloride", text=changes.pop("required", ""), **limits, **rule)
    return Characteristic(specification, value=number and quantity(number), source="D-2", **changes)


def test_an_expanded_uncertainty_is_taken_over_with_its_own_k_and_its_own_digits():
    entry = replace(characteristic(), value=quantity("1.21910", "g/mL", expanded("0.00050", "2.05")))
    result = entered_result(entry)
    assert (result.value_text, result.uncertainty_text, result.coverage_factor) == ("1.21910", "0.00050", 2.05)
    assert result.estimate.standard_uncertainty == pytest.approx(0.00050 / 2.05)


def test_a_rectangular_half_width_is_stated_as_an_expanded_uncertainty_with_k_2():
    """JCGM 100:2008, 4.3.7: u = a/√3; 0.6/√3 = 0.34641, twice that is 0.69."""
    entry = replace(characteristic(), value=quantity("10.0", "mg/L", StatedUncertainty(Decimal("0.6"), "rectangular")))
    result = entered_result(entry)
    assert (result.value_text, result.uncertainty_text, result.coverage_factor) == ("10.00", "0.69", 2)


@pytest.mark.parametrize(("entry", "reason"), [
    (characteristic("5", less_than=True), "upper bound"),
    (characteristic("5"), "states none"),
    (characteristic(text="clear"), "observation")])
def test_what_has_no_uncertainty_has_a_reason(entry, reason):
    assert entered_result(entry) is None
    assert reason in reason_without_uncertainty(entry)


def test_nothing_entered_is_refused():
    with pytest.raises(Refusal, match="neither a worksheet nor an entered value"):
        entered_result(characteristic())


@pytest.mark.parametrize(("number", "decision"), [
    ("9.9", "conforms"), ("10", "conforms"), ("10.0", "conforms"), ("10.1", "does not conform"),
    ("4", "does not conform")])
def test_a_number_conforms_when_it_lies_within_the_limits_or_on_them(number, decision):
    assert judge_entered(characteristic(number, "5", "10")).decision == decision


@pytest.mark.parametrize(("bound", "limits", "decision"), [
    ("5", {"upper": "10"}, "conforms"), ("10", {"upper": "10"}, "conforms"), ("11", {"upper": "10"}, "not decided"),
    ("5", {"lower": "1", "upper": "10"}, "not decided"), ("5", {"lower": "1"}, "not decided")])
def test_less_than_conforms_only_when_its_bound_does_not_exceed_the_upper_limit(bound, limits, decision):
    assert judge_entered(characteristic(bound, less_than=True, **limits)).decision == decision


@pytest.mark.parametrize(("number", "rounding", "decision"), [
    ("10.04", "half up", "conforms"), ("10.05", "half up", "does not conform"), ("10.05", "half even", "conforms"),
    ("10.15", "half even", "does not conform")])
def test_the_rounding_method_rounds_in_decimal_and_compares_what_it_rounded(number, rounding, decision):
    entry = characteristic(number, upper="10.0", rule="rounding method", rounding_step="0.1", rounding=rounding)
    assert judge_entered(entry).decision == decision


def test_the_absolute_method_compares_the_number_as_it_stands():
    assert judge_entered(characteristic("10.04", upper="10.0", rule="absolute method")).decision == "does not conform"


@pytest.mark.parametrize("rule", ["guard band", "conformance probability"])
def test_a_rule_that_needs_an_uncertainty_decides_nothing_without_one(rule):
    found = judge_entered(characteristic("1", upper="10", rule=rule))
    assert found.decision == "not decided"
    assert "needs an uncertainty" in found.sentence


def test_the_rounding_method_without_a_step_is_refused():
    with pytest.raises(Refusal, match="rounding_step"):
        judge_entered(characteristic("1", upper="10", rule="rounding method"))


@pytest.mark.parametrize(("satisfied", "decision"), [
    (True, "conforms"), (False, "does not conform"), (None, "not decided")])
def test_an_observation_is_judged_by_a_person_or_not_at_all(satisfied, decision):
    found = judge_entered(characteristic(text="clear, yellow", required="colourless", satisfied=satisfied))
    assert found.decision == decision
    assert "conform to" not in found.sentence


def test_what_has_neither_limits_nor_a_requirement_is_only_reported():
    assert judge_entered(characteristic("5")) is None
    assert judge_entered(characteristic(text="clear")) is None


def test_a_value_and_a_limit_in_different_units_are_refused():
    entry = replace(characteristic(upper="10"), value=quantity("0.005", "g/L"))
    with pytest.raises(Refusal, match="one unit"):
        judge_entered(entry)
