"""Outlier tests against ISO 5725-2 Table 5, the NIST/SEMATECH e-Handbook, and Dixon's tables."""

import itertools
import math
import re
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.metrology.outliers import (
    DIXON_RATIOS,
    dixon,
    dixon_critical_value,
    dixon_exceedance,
    grubbs,
    grubbs_critical_value,
    usual_dixon_ratio,
)
from assaywright.metrology.refusal import Refusal
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

GRUBBS = read_reference("metrology/critical_grubbs.csv")
DIXON = read_reference("metrology/critical_dixon.csv")
HANDBOOK = [float(line["value"]) for line in read_reference("metrology/precision_data.csv")
            if line["example"] == "nist_grubbs"]
HISTORIC = "the historic tables are good to two decimals; a sampling check of the print differs by as much"


def grubbs_rows() -> Iterator[PublishedRow]:
    for line in GRUBBS:
        significance = float(re.search(r"alpha=([\d.]+)", line["parameter"])[1])
        loose = line["verdict"] != "agrees"
        yield row_of(line, grubbs_critical_value(int(line["n"]), significance=significance),
                     quantity=f"Grubbs, {line['n']} values, {line['parameter']}",
                     tolerance=0.001 if loose else None,
                     note="the print is one unit of its last digit off" if loose else "")


def handbook_rows() -> Iterator[PublishedRow]:
    lines = {line["quantity"]: line for line in read_reference("metrology/precision_results.csv")
             if line["example"] == "nist_grubbs"}
    outcome = grubbs(HANDBOOK, side="largest")
    yield row_of(lines["G_max"], outcome.statistic, quantity="Grubbs, G of 245.57", tolerance=1e-4,
                 note="the print is truncated")
    yield row_of(lines["critical_0.05_upper_one_sided"], outcome.critical_value,
                 quantity="Grubbs, one-sided 5 %, 8 values")


def tail_and_ratio(line: dict[str, str]) -> tuple[float, str]:
    tail = float(re.search(r"alpha=([\d.]+)", line["parameter"])[1])
    return tail, "r10" if line["quantity"] == "dixon_Q" else line["quantity"].removeprefix("dixon_")


def dixon_rows() -> Iterator[PublishedRow]:
    for line in DIXON:
        if line["verdict"] == "agrees":
            tail, ratio = tail_and_ratio(line)
            yield row_of(line, dixon_critical_value(int(line["n"]), ratio, tail=tail),
                         quantity=f"Dixon {ratio}, {line['n']} values, tail {tail}", tolerance=0.005, note=HISTORIC)


def published_rows() -> Iterator[PublishedRow]:
    return itertools.chain(grubbs_rows(), handbook_rows(), dixon_rows())


@pytest.mark.parametrize("row", as_parameters(itertools.chain(grubbs_rows(), handbook_rows())))
def test_a_grubbs_figure_is_the_published_one(row):
    assert_agrees(row)


@pytest.mark.parametrize("ratio", DIXON_RATIOS)
def test_the_dixon_critical_values_are_the_published_ones(ratio):
    rows = [row for row in dixon_rows() if f"Dixon {ratio}," in row.quantity]
    assert len(rows) > 50
    for row in rows:
        assert_agrees(row)


def test_dixon_values_agree_with_the_print_on_the_whole_better_than_singly():
    # The scatter of the historic tables about the exact values has no bias; a bent law would show one.
    differences = [float(row.difference) for row in dixon_rows()]
    assert abs(np.mean(differences)) < 0.0005
    assert np.sqrt(np.mean(np.square(differences))) < 0.0015


def test_the_table_values_left_out_are_the_known_slips_and_the_worst_historic_ones():
    left = [line for line in DIXON if line["verdict"] != "agrees"]
    assert len(left) == 42
    for line in left:
        tail, ratio = tail_and_ratio(line)
        ours = dixon_critical_value(int(line["n"]), ratio, tail=tail)
        assert abs(ours - float(line["printed"])) > 0.004, line
        assert abs(ours - float(line["recalc"])) < 0.0015, "a sampling of the distribution gives ours, not the print"


def test_three_values_follow_the_closed_form():
    # Dixon, Ann. Math. Stat. 22 (1951) 68: F(r) = (3 / pi) (arctan((2 r - 1) / sqrt 3) + pi / 6), here derived afresh.
    for tail in (0.05, 0.025, 0.005, 0.5):
        closed = 0.5 + math.sqrt(3) / 2 * math.tan(math.pi / 3 * (1 - tail) - math.pi / 6)
        assert dixon_critical_value(3, "r10", tail=tail) == pytest.approx(closed, abs=1e-8)


@pytest.mark.parametrize(("n", "ratio"), [(4, "r10"), (7, "r20"), (8, "r11"), (9, "r12"), (12, "r21"), (16, "r22")])
def test_normal_samples_exceed_the_dixon_value_as_often_as_it_says(n, ratio):
    j, i = DIXON_RATIOS[ratio]
    draws = np.sort(np.random.default_rng(n).normal(size=(200_000, n)), axis=1)
    ratios = (draws[:, -1] - draws[:, -1 - j]) / (draws[:, -1] - draws[:, i - 1])
    for value in (0.2, 0.4, dixon_critical_value(n, ratio, tail=0.05)):
        assert np.mean(ratios > value) == pytest.approx(dixon_exceedance(value, n, ratio), abs=0.0045)


def test_normal_samples_are_flagged_by_grubbs_as_often_as_the_significance_says():
    draws = np.random.default_rng(11).normal(size=(100_000, 6))
    deviations = np.abs(draws - draws.mean(axis=1, keepdims=True)) / draws.std(axis=1, ddof=1)[:, None]
    assert np.mean(deviations.max(axis=1) > grubbs_critical_value(6)) == pytest.approx(0.05, abs=0.003)


def test_the_gap_is_taken_relative_to_the_range_each_ratio_asks_for():
    values = [1.0, 2.0, 4.0, 7.0, 11.0, 16.0, 22.0]
    expected = {"r10": 6 / 21, "r11": 6 / 20, "r12": 6 / 18, "r20": 11 / 21, "r21": 11 / 20, "r22": 11 / 18}
    for ratio, largest in expected.items():
        assert dixon(values, ratio=ratio, side="largest").statistic == pytest.approx(largest, rel=1e-12)
        mirrored = [-value for value in values]
        assert dixon(mirrored, ratio=ratio, side="smallest").statistic == pytest.approx(largest, rel=1e-12)


def test_a_flagged_value_is_named_with_its_place_and_stays():
    outcome = grubbs(HANDBOOK)
    assert (outcome.flagged, outcome.suspect, HANDBOOK[outcome.position]) == (True, 245.57, 245.57)
    assert outcome.power_note == ""
    assert "245.57 is flagged" in outcome.sentence


def test_fewer_than_six_values_say_that_the_test_has_almost_no_power():
    for outcome in (grubbs([24.50, 24.52, 24.60]), dixon([24.50, 24.52, 24.60, 24.51, 24.53])):
        assert outcome.power_note == "fewer than six values: the test has almost no power"
        assert outcome.power_note in outcome.sentence
    assert dixon([24.50, 24.52, 24.60, 24.51, 24.53, 24.54]).power_note == ""


def test_three_values_hardly_ever_show_an_outlier_however_far_one_lies():
    # The largest possible G of three values is 2 / sqrt 3 = 1.1547, a hair above the critical value.
    assert not grubbs([24.50, 24.52, 25.00]).flagged
    assert grubbs([24.50, 24.50, 25.00]).statistic == pytest.approx(2 / math.sqrt(3), rel=1e-12)


def test_the_suspected_side_is_the_side_asked_for():
    values = [10.0, 10.1, 10.2, 10.3, 10.4, 12.0]
    assert grubbs(values, side="smallest").suspect == 10.0
    assert not grubbs(values, side="smallest").flagged
    assert dixon(values, side="largest").flagged
    assert not dixon(values, side="smallest").flagged
    assert dixon(values).suspect == 12.0


@given(st.lists(st.integers(0, 10_000), min_size=3, max_size=12, unique=True))
def test_turning_the_values_upside_down_exchanges_largest_and_smallest(numbers):
    values = [number / 1000 for number in numbers]
    mirrored = [10 - value for value in values]
    for test in (grubbs, dixon):
        assert test(values, side="largest").statistic == pytest.approx(
            test(mirrored, side="smallest").statistic, rel=1e-9, abs=1e-12)


def test_equal_values_are_not_flagged():
    assert not grubbs([24.5] * 6).flagged
    assert not dixon([24.5] * 6).flagged


@pytest.mark.parametrize(("n", "ratio"), [(3, "r10"), (7, "r10"), (8, "r11"), (10, "r11"), (11, "r21"), (14, "r22")])
def test_the_ratio_in_use_goes_by_the_number_of_values(n, ratio):
    # Dixon, Biometrics 9 (1953) 74 (from memory).
    assert usual_dixon_ratio(n) == ratio


def test_what_cannot_be_tested_is_refused():
    with pytest.raises(Refusal, match="outlier test on 2 values"):
        grubbs([1.0, 2.0])
    with pytest.raises(Refusal, match="outlier test on 5 values"):
        dixon([1.0, 2.0, 3.0, 4.0, 5.0], ratio="r22")
    with pytest.raises(Refusal, match="not known"):
        dixon([1.0, 2.0, 3.0], ratio="r99")
    with pytest.raises(Refusal, match="side"):
        grubbs([1.0, 2.0, 3.0], side="left")
    with pytest.raises(Refusal, match="significance"):
        grubbs([1.0, 2.0, 3.0], significance=0.0)
    with pytest.raises(Refusal, match="finite"):
        dixon([1.0, 2.0, math.nan])
    with pytest.raises(Refusal, match="probability"):
        dixon_critical_value(5, "r10", tail=1.0)
