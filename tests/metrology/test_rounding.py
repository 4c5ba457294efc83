"""Rounding against the examples of USP General Notices 7.20, ASTM E29, ISO 80000-1 Annex B and JCGM 100, 7.2.6."""

import math
from collections.abc import Iterator
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import (
    decimal_of,
    decimal_of_result,
    plain,
    report,
    round_half_even,
    round_half_up,
    round_to_places,
    round_to_significant,
    round_to_step,
)
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

EXAMPLES = read_reference("metrology/rounding_examples.csv")
RULES_OF = {"half up": ("half up",), "half even": ("half even",), "nearest (no tie)": ("half up", "half even")}
SET_ASIDE = {("JCGM 100:2008", "10.47"): "an uncertainty rounded up by judgement, not by a rule"}

numbers = st.decimals(min_value=-(10**6), max_value=10**6, places=6, allow_nan=False)
steps = st.sampled_from([Decimal(text) for text in ("0.001", "0.01", "0.05", "0.1", "0.3", "1", "10", "100")])


def cases() -> Iterator[tuple[dict[str, str], str]]:
    for example in EXAMPLES:
        for rule in RULES_OF.get(example["rule"], ()):
            yield example, rule


def published_rows() -> Iterator[PublishedRow]:
    for example, rule in cases():
        ours = round_to_step(example["input"], example["rounding_step"], rule)
        quantity = f"{example['input']} to {example['rounding_step']}, {rule}"
        yield row_of(example, float(ours), quantity=quantity, tolerance=0.0)


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_a_published_example_is_rounded_as_printed(row):
    assert_agrees(row)


@pytest.mark.parametrize(("example", "rule"), list(cases()))
def test_a_rounded_number_is_written_with_the_printed_digits(example, rule):
    assert plain(round_to_step(example["input"], example["rounding_step"], rule)) == example["printed"]


def test_every_published_example_is_used_or_set_aside_by_name():
    left = {(example["source"], example["input"]) for example in EXAMPLES if example["rule"] not in RULES_OF}
    assert left == set(SET_ASIDE)


def test_a_tie_that_binary_would_lose_goes_up():
    # Common practice, no source: 2.675 in binary is 2.67499999999999982.
    assert plain(round_half_up(decimal_of(2.675), "0.01")) == "2.68"
    assert plain(round_half_up("97.95", "0.1")) == "98.0"
    assert plain(round_half_up("101.45", "0.1")) == "101.5"


def test_a_step_need_not_be_a_power_of_ten():
    assert plain(round_half_up("1.025", "0.05")) == "1.05"
    assert plain(round_half_even("1.025", "0.05")) == "1.00"
    assert plain(round_half_up("1.024999", "0.05")) == "1.00"


def test_a_number_of_many_digits_is_rounded_without_losing_any():
    digits = "1234567890123456789012345678901234567890"
    assert plain(round_half_up(f"{digits}.5", "1")) == "1234567890123456789012345678901234567891"
    assert plain(round_half_up(f"{digits}.4{'9' * 40}", "1")) == digits


def test_half_up_takes_the_larger_magnitude_of_a_negative_tie():
    assert plain(round_half_up("-0.25", "0.1")) == "-0.3"
    assert plain(round_half_even("-0.25", "0.1")) == "-0.2"


def test_nothing_is_written_as_minus_zero():
    assert plain(round_half_up("-0.04", "0.1")) == "0.0"


@given(numbers, steps)
def test_a_rounded_number_is_a_multiple_of_the_step_no_further_than_half_of_it(number, step):
    for rounding in (round_half_up, round_half_even):
        rounded = rounding(number, step)
        assert rounded % step == 0
        assert abs(rounded - number) <= step / 2
        assert rounding(rounded, step) == rounded


@given(numbers, steps)
def test_the_two_rules_differ_in_ties_alone(number, step):
    up, even = round_half_up(number, step), round_half_even(number, step)
    if up != even:
        assert abs(up - number) == abs(even - number) == step / 2
        assert (even / step) % 2 == 0
        assert abs(up) > abs(even)


@given(numbers, steps)
def test_rounding_does_not_depend_on_the_sign(number, step):
    assert round_half_up(-number, step) == -round_half_up(number, step)
    assert round_half_even(-number, step) == -round_half_even(number, step)


def test_significant_digits_survive_a_carry_into_a_new_place():
    assert plain(round_to_significant("0.00995", 2)) == "0.010"
    assert plain(round_to_significant("99.6", 2)) == "100"
    assert plain(round_to_significant("0.00994", 2)) == "0.0099"


def test_significant_digits_change_place_at_one_hundred():
    # Common practice, no source: four significant digits are two places at 98.29 and one at 100.28.
    assert plain(round_to_significant("98.294", 4)) == "98.29"
    assert plain(round_to_significant("100.28", 4)) == "100.3"


def test_zero_has_no_significant_digit_and_stays_zero():
    assert round_to_significant("0", 3) == 0


def test_negative_places_round_to_hundreds():
    assert plain(round_to_places("59950", -2, "half even")) == "60000"
    assert plain(round_to_places("1.005", 2)) == "1.01"


def test_a_result_is_reported_to_the_place_of_its_uncertainty():
    # EURACHEM/CITAC CG 4, Appendix A2: 0.10214 mol/L with U = 0.00020 mol/L.
    assert report(0.1021361597, 0.0002010014) == ("0.10214", "0.00020")
    # JCGM 100:2008, 7.2.4: 100.021 47 g with U = 0.79 mg (from memory).
    assert report(100.02147, 0.00079) == ("100.02147", "0.00079")


def test_an_uncertainty_that_rounds_up_to_a_new_place_takes_the_value_with_it():
    assert report(0.5, 0.00995) == ("0.500", "0.010")
    assert report(-1234.5, 99.6) == ("-1230", "100")


def test_a_large_uncertainty_rounds_the_value_to_tens_and_hundreds():
    assert report(56789.0, 1234.0) == ("56800", "1200")


def test_the_named_rounding_is_used_for_the_value_and_its_uncertainty():
    assert report(0.125, 0.025) == ("0.125", "0.025")
    assert report(0.1245, 0.135) == ("0.12", "0.14")
    assert report(0.125, 0.145, "half even") == ("0.12", "0.14")
    assert report(0.125, 0.145, "half up") == ("0.13", "0.15")


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e4))
def test_a_reported_uncertainty_has_two_significant_digits_and_the_value_as_many_places(value, uncertainty):
    value_text, uncertainty_text = report(value, uncertainty)
    assert "E" not in value_text
    places = -min(int(Decimal(uncertainty_text).as_tuple().exponent), 0)
    assert -min(int(Decimal(value_text).as_tuple().exponent), 0) == places
    assert abs(Decimal(uncertainty_text) - Decimal(uncertainty)) <= Decimal(uncertainty_text) * Decimal("0.051")
    assert abs(Decimal(value_text) - Decimal(value)) <= Decimal(uncertainty_text) * Decimal("0.051")


@pytest.mark.parametrize("uncertainty", [0.0, -0.1, math.nan, math.inf])
def test_an_uncertainty_that_sets_no_place_is_refused(uncertainty):
    with pytest.raises(Refusal, match="sets no decimal place"):
        report(0.1, uncertainty)


def test_a_float_becomes_the_decimal_that_was_typed():
    assert decimal_of(0.1) == Decimal("0.1")
    assert decimal_of(24.55) == Decimal("24.55")
    assert str(decimal_of("24.50")) == "24.50"


def test_the_dust_of_binary_arithmetic_does_not_break_a_tie():
    assert 0.1 + 0.2 != 0.3
    assert decimal_of_result(0.1 + 0.2) == Decimal("0.3")
    assert 97.35 + 0.6 < 97.95
    assert plain(round_half_up(decimal_of_result(97.35 + 0.6), "0.1")) == "98.0"


@given(st.decimals(min_value=-(10**9), max_value=10**9, places=6))
def test_fifteen_digits_survive_the_way_through_a_float(number):
    assert decimal_of_result(float(number)) == number
    assert decimal_of(float(number)) == number


@pytest.mark.parametrize("text", ["", "abc", "1,5", "nan", "inf"])
def test_text_that_is_not_a_finite_number_is_refused(text):
    with pytest.raises(Refusal):
        round_half_up(text, "0.1")


@pytest.mark.parametrize("step", ["0", "-0.1"])
def test_a_step_that_is_not_above_zero_is_refused(step):
    with pytest.raises(Refusal, match="rounding step"):
        round_half_up("1", step)


def test_an_unknown_rounding_and_too_few_digits_are_refused():
    with pytest.raises(Refusal, match="not known"):
        round_to_step("1", "0.1", "half down")
    with pytest.raises(Refusal, match="significant digits"):
        round_to_significant("1", 0)
