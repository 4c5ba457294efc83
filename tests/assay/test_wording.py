"""The words for dates, probabilities, coverage and limits."""

import math
from datetime import date
from decimal import Decimal

import pytest

from assaywright.assay.observations import Specification
from assaywright.assay.result import Result
from assaywright.assay.wording import (
    student_coverage,
    written_coverage,
    written_date,
    written_degrees_of_freedom,
    written_factor,
    written_figures,
    written_limits,
    written_probability,
)
from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.quantity import Quantity
from tests.published.rows import read_reference

STUDENT = read_reference("metrology/critical_student_t.csv")
MISPRINTED = {("p=0.9", "35")}
ROUNDED_PROBABILITIES = {"p=0.6827": 1, "p=0.9545": 2, "p=0.9973": 3}


@pytest.mark.parametrize("row", [row for row in STUDENT if (row["parameter"], row["n"]) not in MISPRINTED],
                         ids=lambda row: f"{row['parameter']}, {row['n']}")
def test_the_coverage_of_a_fixed_k_is_that_of_students_t(row):
    """JCGM 100:2008, Table G.2 (from memory): the printed k, half a digit down and up, encloses the probability."""
    sigmas = ROUNDED_PROBABILITIES.get(row["parameter"])
    wanted = math.erf(sigmas / math.sqrt(2)) if sigmas else float(row["parameter"].removeprefix("p="))
    factor, freedom = float(row["printed"]), float(row["n"])
    half_digit = 0.5 * 10.0 ** Decimal(row["printed"]).as_tuple().exponent
    assert student_coverage(factor - half_digit, freedom) <= wanted <= student_coverage(factor + half_digit, freedom)


def result(probability, freedom=math.inf, factor=2.0, nominal=None):
    estimate = Estimate(0.100123, "mol/L", (Contribution("all", 0.00005, freedom),))
    return Result("c", estimate, factor, probability, "0.10012", "0.00010", nominal)


def test_a_k_from_students_t_is_printed_with_its_probability_and_degrees_of_freedom():
    assert written_coverage(result(0.95, 23.0, 2.0687)) == "k = 2.07 for 95 % coverage, ν = 23"


def test_a_fixed_k_is_printed_with_the_coverage_that_it_has():
    """JCGM 100:2008, Table G.2 (from memory): with 20 degrees of freedom 95 % needs k = 2.09, so k = 2 covers less."""
    assert written_coverage(result(None, 20.0)) == (
        "k = 2 as agreed, ν = 20, by Student’s t 94.1 % coverage")
    assert written_coverage(result(None)).endswith("ν = ∞, by Student’s t 95.4 % coverage")


def test_of_an_entered_uncertainty_no_more_than_its_k_is_claimed():
    assert written_coverage(result(None, 20.0), entered=True) == (
        "k = 2 as entered from its source, with the digits that it states")


def test_the_factor_is_actual_over_nominal_and_has_its_uncertainty():
    assert written_factor(result(0.95, nominal=0.1)) == ("1.0012", "0.0010")
    assert written_factor(result(0.95)) == ("", "")


def test_no_probability_is_printed_as_a_certainty():
    assert written_probability(1.0) == written_probability(0.99996) == "> 99.99 %"
    assert written_probability(0.0) == written_probability(0.00002) == "< 0.01 %"
    assert written_probability(0.5) == "50 %"


def test_a_date_has_its_month_as_a_word():
    assert written_date(date(2026, 4, 3)) == "3 April 2026"
    assert written_date(None) == ""


@pytest.mark.parametrize(("number", "digits", "text"), [
    (0.0001, 2, "0.00010"), (-0.00225, 2, "−0.0023"), (5.77e-8, 3, "5.77 × 10⁻⁸"), (0.0, 3, "0"), (-0.0, 3, "0"),
    (123456.0, 3, "123000"), (math.inf, 3, "∞")])
def test_a_computed_figure_is_rounded_to_its_digits(number, digits, text):
    assert written_figures(number, digits) == text


@pytest.mark.parametrize(("freedom", "text"), [(math.inf, "ν = ∞"), (2400.0, "ν > 1000"), (7.25, "ν = 7.3")])
def test_degrees_of_freedom(freedom, text):
    assert written_degrees_of_freedom(freedom) == text


@pytest.mark.parametrize(("lower", "upper", "text"), [
    ("19.80", "20.20", "19.80 to 20.20 % w/v"), ("-5", None, "not less than −5 % w/v"),
    (None, "10.0", "not more than 10.0 % w/v"), (None, None, "clear")])
def test_limits_keep_the_digits_they_were_typed_with(lower, upper, text):
    limits = [number and Quantity(Decimal(number), "% w/v", number) for number in (lower, upper)]
    assert written_limits(Specification("x", "% w/v", *limits, text="clear" if text == "clear" else "")) == text
