"""Acceptance rules against ISO 5725-6 Table 1, and their limits at the very edge."""

from collections.abc import Iterator

import numpy as np
import pytest

from assaywright.metrology.acceptance import MEDIAN, accept, critical_range_factor, stages
from assaywright.metrology.refusal import Refusal
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

CRITICAL_RANGE = "ISO 5725-6 critical range"
TWO_PERSONS = "GB/T 601 two persons by four"
PEOPLE = ["Mirren Aske"] * 4 + ["Odo Fell"] * 4


def published_rows() -> Iterator[PublishedRow]:
    for line in read_reference("metrology/critical_range_factors.csv"):
        yield row_of(line, critical_range_factor(int(line["n"])), quantity=f"f({line['n']})")
    # GB/T 601-2016, 3.6: CR0.95(4) = 0.15 % and CR0.95(8) = 0.18 % are critical ranges of one repeatability.
    yield PublishedRow("GB/T 601-2016", "3.6", "0.15 % of four carried to eight, %", "0.18",
                       0.15 * critical_range_factor(8) / critical_range_factor(4), status="from memory")


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_the_critical_range_factor_is_the_published_one(row):
    assert_agrees(row)


def test_the_range_of_normal_values_exceeds_the_critical_range_once_in_twenty():
    for n in (2, 4, 8):
        draws = np.random.default_rng(n).normal(size=(100_000, n))
        assert np.mean(np.ptp(draws, axis=1) > critical_range_factor(n)) == pytest.approx(0.05, abs=0.003)


def test_a_range_equal_to_its_limit_is_accepted():
    outcome = accept("range", [24.50, 24.55], unit="mL", parameters={"limit": 0.05})
    assert outcome.accepted
    assert outcome.value == outcome.limit == 0.05
    assert outcome.unit == "mL"
    assert accept("range", [99.9, 100.1], unit="%", parameters={"limit_percent": 0.2}).accepted


def test_a_range_one_hundredth_beyond_its_limit_is_not_accepted():
    assert not accept("range", [99.9, 100.102], unit="%", parameters={"limit_percent": 0.2}).accepted
    assert not accept("range", [24.50, 24.5505], unit="mL", parameters={"limit": 0.05}).accepted


def test_the_sentence_says_what_was_compared():
    outcome = accept("range", [0.1000, 0.1003, 0.1001], unit="mol/L", parameters={"limit_percent": 0.2})
    assert outcome.sentence == "The relative range of 3 determinations is 0.2996 %, beyond 0.2 %."


def test_a_missing_determination_keeps_a_good_range_from_acceptance():
    outcome = accept("range", [0.1000, 0.1001], unit="mol/L", parameters={"limit_percent": 0.2, "determinations": 3})
    assert (outcome.accepted, outcome.needs_more) == (False, 1)
    alone = accept("range", [0.1], unit="mol/L", parameters={"limit_percent": 0.2, "determinations": 3})
    assert (alone.accepted, alone.value, alone.needs_more) == (False, None, 2)


def test_a_limit_relative_to_a_blank_near_zero_is_refused():
    with pytest.raises(Refusal, match="told from zero"):
        accept("range", [0.02, -0.01], unit="mL", parameters={"limit_percent": 0.2})
    assert accept("range", [0.02, -0.01], unit="mL", parameters={"limit": 0.05}).accepted


def test_two_determinations_within_the_repeatability_limit_give_their_mean():
    # ISO 5725-6:1994, 5.2.2.2 (from memory), with s_r = 0.1: r = 2.77 s_r.
    outcome = accept(CRITICAL_RANGE, [10.0, 10.27], unit="mL", parameters={"repeatability": 0.1})
    assert (outcome.accepted, outcome.needs_more, outcome.quote) == (True, 0, "mean")


def test_two_determinations_too_far_apart_ask_for_two_more():
    outcome = accept(CRITICAL_RANGE, [10.0, 10.28], unit="mL", parameters={"repeatability": 0.1})
    assert (outcome.accepted, outcome.needs_more) == (False, 2)
    halfway = accept(CRITICAL_RANGE, [10.0, 10.28, 10.1], unit="mL", parameters={"repeatability": 0.1})
    assert (halfway.accepted, halfway.needs_more) == (False, 1)


def test_one_more_than_planned_is_held_against_the_range_of_as_many_when_the_planned_ones_agreed():
    # ISO 5725-6:1994, Table 1 (from memory): f(3) = 3.3, f(4) = 3.6; four stay within 3.6 × 0.1 = 0.36.
    planned = {"repeatability": 0.1, "determinations": 3}
    fourth = accept(CRITICAL_RANGE, [10.0, 10.2, 10.1, 10.34], unit="mL", parameters=planned)
    assert (fourth.accepted, fourth.needs_more) == (True, 0)
    assert fourth.limit == pytest.approx(0.36, abs=0.005)
    beyond = accept(CRITICAL_RANGE, [10.0, 10.2, 10.1, 10.38], unit="mL", parameters=planned)
    assert (beyond.accepted, beyond.needs_more) == (False, 2)


def test_four_determinations_are_held_against_the_critical_range_of_four():
    parameters = {"repeatability": 0.1}
    assert accept(CRITICAL_RANGE, [10.0, 10.28, 10.1, 10.36], unit="mL", parameters=parameters).accepted
    outcome = accept(CRITICAL_RANGE, [10.0, 10.28, 10.1, 10.37], unit="mL", parameters=parameters)
    assert (outcome.accepted, outcome.needs_more, outcome.quote) == (False, 0, MEDIAN)
    assert "median" in outcome.sentence


def test_a_costly_determination_is_repeated_one_at_a_time():
    parameters = {"repeatability": 0.1, "further": "a few"}
    two = accept(CRITICAL_RANGE, [10.0, 10.28], unit="mL", parameters=parameters)
    three = accept(CRITICAL_RANGE, [10.0, 10.28, 10.34], unit="mL", parameters=parameters)
    enough = accept(CRITICAL_RANGE, [10.0, 10.28, 10.33], unit="mL", parameters=parameters)
    four = accept(CRITICAL_RANGE, [10.0, 10.28, 10.34, 10.37], unit="mL", parameters=parameters)
    assert (two.needs_more, three.needs_more, enough.accepted, four.quote) == (1, 1, True, MEDIAN)


def test_the_stages_follow_the_number_of_determinations_planned():
    # ISO 5725-6:1994, 5.2.2 and 5.2.3 (from memory): 2n when quick, n + m with n/3 <= m <= n/2 when costly.
    assert stages(2, "as many again") == (2, 4)
    assert stages(3, "as many again") == (3, 6)
    assert stages(2, "a few") == (2, 3, 4)
    for n in range(3, 13):
        more = stages(n, "a few")[1] - n
        assert n / 3 <= more <= max(n / 2, 1)


def test_a_relative_repeatability_is_taken_of_the_mean():
    # s_r = 0.1 % of 0.1 mol/L; the critical range of two is 0.277 %.
    parameters = {"repeatability_percent": 0.1}
    assert accept(CRITICAL_RANGE, [0.10000, 0.10027], unit="mol/L", parameters=parameters).accepted
    assert not accept(CRITICAL_RANGE, [0.10000, 0.10028], unit="mol/L", parameters=parameters).accepted


def test_two_persons_by_four_are_held_to_the_range_of_four_and_of_eight():
    # GB/T 601-2016, 3.6 (from memory): 0.15 % for each person's four, 0.18 % for all eight.
    first, second = [0.10000, 0.10005, 0.10010, 0.10014], [0.10005, 0.10008, 0.10012, 0.10017]
    outcome = accept(TWO_PERSONS, first + second, unit="mol/L", analysts=PEOPLE)
    assert outcome.accepted
    assert outcome.value == pytest.approx(100 * 0.00017 / 0.10008875, rel=1e-9)


@pytest.mark.parametrize(("step", "accepted"), [("0.15", True), ("0.1503", False)])
def test_a_persons_range_of_exactly_its_limit_is_accepted(step, accepted):
    # Mean 100 for each person, so that the range in per cent is the range itself.
    half = float(step) / 2
    values = [100 - half, 100.0, 100.0, 100 + half]
    assert accept(TWO_PERSONS, values * 2, unit="mmol/L", analysts=PEOPLE).accepted == accepted


@pytest.mark.parametrize(("step", "accepted"), [("0.18", True), ("0.1803", False)])
def test_a_range_of_eight_of_exactly_its_limit_is_accepted(step, accepted):
    half = float(step) / 2
    first, second = [100 - half, 99.94, 99.94, 99.94], [100.06, 100.06, 100.06, 100 + half]
    assert accept(TWO_PERSONS, first + second, unit="mmol/L", analysts=PEOPLE).accepted == accepted


def test_eight_within_their_limit_do_not_excuse_one_persons_four():
    first, second = [0.10000, 0.10005, 0.10010, 0.10016], [0.10005, 0.10008, 0.10012, 0.10016]
    outcome = accept(TWO_PERSONS, first + second, unit="mol/L", analysts=PEOPLE)
    assert not outcome.accepted
    assert outcome.statistic == "relative range of four by Mirren Aske"


def test_both_persons_within_their_limit_do_not_excuse_the_eight():
    first, second = [0.10000, 0.10005, 0.10010, 0.10012], [0.10008, 0.10012, 0.10015, 0.10019]
    outcome = accept(TWO_PERSONS, first + second, unit="mol/L", analysts=PEOPLE)
    assert not outcome.accepted
    assert outcome.statistic == "relative range of eight"


def test_two_persons_by_four_ask_for_what_is_missing():
    outcome = accept(TWO_PERSONS, [0.1] * 6, unit="mol/L", analysts=PEOPLE[:6])
    assert (outcome.accepted, outcome.needs_more, outcome.value) == (False, 2, None)
    assert "Odo Fell 2" in outcome.sentence


def test_one_persons_four_beyond_their_limit_fail_before_the_other_has_begun():
    # Mean 100, so that the range in per cent is the range itself; 0.15 % of four by GB/T 601-2016, 3.6 (from memory).
    outcome = accept(TWO_PERSONS, [99.92, 100.0, 100.0, 100.08], unit="mmol/L", analysts=PEOPLE[:4])
    assert (outcome.accepted, outcome.needs_more, outcome.limit) == (False, 0, 0.15)
    assert outcome.value == pytest.approx(0.16)
    assert "0.16 %, beyond 0.15 %" in outcome.sentence
    within = accept(TWO_PERSONS, [99.93, 100.0, 100.0, 100.07], unit="mmol/L", analysts=PEOPLE[:4])
    assert (within.needs_more, within.value) == (4, None)


def test_two_persons_by_four_refuse_a_nameless_third_or_fifth():
    with pytest.raises(Refusal, match="lacks its analyst"):
        accept(TWO_PERSONS, [0.1] * 8, unit="mol/L")
    with pytest.raises(Refusal, match="3 persons"):
        accept(TWO_PERSONS, [0.1] * 3, unit="mol/L", analysts=["A", "B", "C"])
    with pytest.raises(Refusal, match="5 determinations"):
        accept(TWO_PERSONS, [0.1] * 5, unit="mol/L", analysts=["A"] * 5)


def test_the_pharmacopoeia_rule_takes_two_tenths_of_a_per_cent_by_default():
    # Ph. Eur. 4.2.2 (from memory). s of 99.8, 100, 100.2 is 0.2.
    assert accept("Ph. Eur. RSD", [99.8, 100.0, 100.2], unit="%").accepted
    assert not accept("Ph. Eur. RSD", [99.798, 100.0, 100.202], unit="%").accepted
    assert accept("Ph. Eur. RSD", [99.8, 100.2], unit="%", parameters={"limit_percent": 0.3}).needs_more == 1


def test_an_unknown_rule_parameter_or_number_is_refused():
    for rule, parameters, match in (
        ("spread", {}, "not known"),
        ("range", {"limit": 0.1, "width": 3}, "no parameter width"),
        ("range", {}, "needs one limit"),
        ("range", {"limit": 0.1, "limit_percent": 0.1}, "needs one limit"),
        ("range", {"limit": -0.1}, "a limit of -0.1"),
        ("range", {"limit": 0.1, "determinations": 1}, "1 determinations"),
        (CRITICAL_RANGE, {}, "needs one repeatability"),
        (CRITICAL_RANGE, {"repeatability": 0.1, "further": "many"}, "'many'"),
        (CRITICAL_RANGE, {"repeatability": 0.1, "determinations": 1}, "1 determinations"),
    ):
        with pytest.raises(Refusal, match=match):
            accept(rule, [1.0, 1.1], unit="mL", parameters=parameters)
