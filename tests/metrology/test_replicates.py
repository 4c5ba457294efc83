"""Mean and scatter against NIST certified data sets, ISO 5725-2 Annex B, ASTM E691 and JCGM 100, H.2."""

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.replicates import (
    PooledScatter,
    compare_scatter,
    describe,
    pool,
    pool_groups,
    repeatability_of_mean,
)
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

# ISO 5725-2:1994, Annex B.3: laboratory 1 is an outlier at every level, laboratory 6 a Cochran outlier at level 5.
OUTLYING = {("iso5725_2_creosote", level, "lab1") for level in "1345"} | {("iso5725_2_creosote", "5", "lab6")}
# NIST Technical Note 1900 (2015), example E2: daily maxima of May 2012 in degrees Celsius (from memory).
TN1900_E2 = (18.75, 28.25, 25.75, 28.00, 28.50, 20.75, 21.00, 22.75, 18.50, 27.25, 20.75, 26.50, 28.00, 23.25, 28.00,
             21.75, 26.00, 26.50, 28.00, 33.25, 32.00, 29.50)
DIGITS = 9

readings = st.lists(st.decimals(min_value=1, max_value=50, places=2), min_size=2, max_size=8)


def certified_rows() -> Iterator[PublishedRow]:
    data = defaultdict(list)
    for line in read_reference("metrology/strd_univariate_data.csv"):
        data[line["dataset"]].append(float(line["y"]))
    for line in read_reference("metrology/strd_certified.csv"):
        statistics = describe(data[line["dataset"]])
        ours = statistics.mean if line["statistic"] == "mean" else statistics.standard_deviation
        certified = float(line["certified"])
        yield row_of({**line, "printed": line["certified"]}, ours,
                     quantity=f"{line['dataset']}, {line['statistic'].replace('_', ' ')}",
                     tolerance=abs(certified) * 0.5 * 10.0**-DIGITS,
                     note=f"{DIGITS} significant digits demanded")


def precision_rows() -> Iterator[PublishedRow]:
    groups = defaultdict(lambda: defaultdict(list))
    for line in read_reference("metrology/precision_data.csv"):
        if (line["example"], line["level"], line["group"]) not in OUTLYING:
            groups[line["example"], line["level"]][line["group"]].append(float(line["value"]))
    for line in read_reference("metrology/precision_results.csv"):
        cells = [cell for cell in groups[line["example"], line["level"]].values() if len(cell) > 1]
        every = describe(list(itertools.chain.from_iterable(cells)))
        ours = {
            "m": every.mean,
            "mean": every.mean,
            "sr": pool_groups(cells).standard_deviation,
            "s_cell_means": describe([describe(cell).mean for cell in cells]).standard_deviation,
        }.get(line["quantity"])
        if ours is not None:
            tolerance = 1e-4 if line["verdict"].startswith("agrees within 1 unit") else None
            yield row_of(line, ours, quantity=f"{line['example']}, level {line['level']}, {line['quantity']}",
                         tolerance=tolerance, note="print differs by one unit of its last digit" if tolerance else "")


def simultaneous_rows() -> Iterator[PublishedRow]:
    raw = read_reference("metrology/gum_h2_raw.csv")
    for column, mean, u in (("V_volt", "4.9990", "0.0032"), ("I_ampere", "0.019661", "0.0000095"),
                            ("phi_radian", "1.04446", "0.00075")):
        values = [float(line[column]) for line in raw]
        source = (raw[0]["source"], "H.2, Table H.2")
        yield PublishedRow(*source, f"mean of {column}", mean, describe(values).mean)
        yield PublishedRow(*source, f"u of the mean of {column}", u, repeatability_of_mean(values).standard_uncertainty)


def temperature_rows() -> Iterator[PublishedRow]:
    statistics, term = describe(TN1900_E2), repeatability_of_mean(TN1900_E2)
    for quantity, printed, ours in (("mean, C", "25.6", statistics.mean),
                                    ("s, C", "4.1", statistics.standard_deviation),
                                    ("u of the mean, C", "0.872", term.standard_uncertainty)):
        yield PublishedRow("NIST Technical Note 1900 (2015)", "Example E2", quantity, printed, ours or math.nan,
                           status="from memory")


def published_rows() -> Iterator[PublishedRow]:
    yield from certified_rows()
    yield from precision_rows()
    yield from simultaneous_rows()
    yield from temperature_rows()


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_figure_is_the_published_one(row):
    assert_agrees(row)


def test_every_published_line_of_the_precision_tables_but_the_grubbs_example_is_used():
    lines = read_reference("metrology/precision_results.csv")
    assert len(list(precision_rows())) == sum(line["example"] != "nist_grubbs" for line in lines) == 24


@given(readings, st.randoms(use_true_random=False))
def test_the_order_of_the_determinations_never_matters(values, random):
    numbers = [float(value) for value in values]
    shuffled = random.sample(numbers, len(numbers))
    assert describe(numbers) == describe(shuffled)


@given(readings)
def test_a_shift_moves_the_mean_and_leaves_the_scatter(values):
    numbers = [float(value) for value in values]
    shifted = describe([float(value + 100) for value in values])
    assert shifted.mean == pytest.approx(describe(numbers).mean + 100, rel=1e-14)
    assert shifted.standard_deviation == describe(numbers).standard_deviation
    assert shifted.range == describe(numbers).range


@given(readings)
def test_our_scatter_is_that_of_a_general_library(values):
    numbers = [float(value) for value in values]
    assert describe(numbers).standard_deviation == pytest.approx(np.std(numbers, ddof=1), rel=1e-9, abs=1e-12)
    assert describe(numbers).median == pytest.approx(np.median(numbers), rel=1e-14)


def test_a_range_of_readings_is_the_difference_that_was_read():
    assert 24.55 - 24.50 != 0.05
    assert describe([24.50, 24.55, 24.52]).range == 0.05


def test_one_determination_has_a_mean_and_no_scatter():
    statistics = describe([0.1002])
    assert (statistics.mean, statistics.standard_deviation, statistics.range) == (0.1002, None, None)
    assert "no observed scatter" in statistics.withheld


def test_no_relative_scatter_is_given_for_a_blank_that_cannot_be_told_from_zero():
    statistics = describe([0.02, -0.01, 0.01])
    assert statistics.standard_deviation == pytest.approx(0.015275, abs=1e-6)
    assert statistics.relative_standard_deviation_percent is None
    assert statistics.relative_range_percent is None
    assert "told from zero" in statistics.withheld
    assert describe([0.0, 0.0]).relative_standard_deviation_percent is None


def test_the_relative_scatter_of_negative_values_is_positive():
    assert describe([-10.0, -10.1]).relative_standard_deviation_percent == pytest.approx(0.7035, abs=1e-4)


def test_equal_readings_have_a_scatter_of_zero_relative_to_a_mean_above_zero():
    statistics = describe([24.5, 24.5])
    assert statistics.standard_deviation == statistics.relative_standard_deviation_percent == 0.0
    assert statistics.withheld == ""


def test_pooling_weighs_each_group_by_its_degrees_of_freedom():
    assert pool([(1.0, 1), (2.0, 3)]) == PooledScatter(math.sqrt((1 + 3 * 4) / 4), 4)
    assert pool_groups([[1.0, 3.0], [5.0]]) == PooledScatter(math.sqrt(2.0), 1)


def test_the_pooled_repeatability_takes_the_place_of_the_observed_scatter():
    values = [0.1000, 0.1004, 0.1002]
    pooled = repeatability_of_mean(values, PooledScatter(0.0003, 24))
    assert pooled.standard_uncertainty == pytest.approx(0.0003 / math.sqrt(3), rel=1e-15)
    assert (pooled.degrees_of_freedom, pooled.basis) == (24, "pooled repeatability")
    observed = repeatability_of_mean(values)
    assert observed.standard_uncertainty == pytest.approx(0.0002 / math.sqrt(3), rel=1e-12)
    assert (observed.degrees_of_freedom, observed.basis) == (2, "observed scatter")


def test_one_determination_leans_on_the_pooled_repeatability_or_is_refused():
    assert repeatability_of_mean([0.1], PooledScatter(0.0003, 24)).standard_uncertainty == 0.0003
    with pytest.raises(Refusal, match="no scatter of its own"):
        repeatability_of_mean([0.1])


def test_two_equal_coarse_readings_do_not_make_a_mean_without_uncertainty():
    # JCGM 100:2008, F.2.2.1: u = 0.29 d for an indication of resolution d.
    term = repeatability_of_mean([24.5, 24.5], resolution=0.1)
    assert (term.basis, term.degrees_of_freedom) == ("resolution", math.inf)
    assert_agrees(PublishedRow("JCGM 100:2008", "F.2.2.1", "u over resolution", "0.29",
                               term.standard_uncertainty / 0.1, status="from memory"))
    assert repeatability_of_mean([24.5, 24.6], resolution=0.001).basis == "observed scatter"


def test_a_scatter_beyond_its_limit_is_not_consistent():
    # chi-squared, 95 %: 5.991 for 2 degrees of freedom (any table of chi-squared; from memory).
    outcome = compare_scatter([0.0, 1.0, 2.0], PooledScatter(1.0))
    assert outcome.limit**2 * 2 == pytest.approx(5.991, abs=5e-4)
    assert (outcome.ratio, outcome.consistent) == (1.0, True)
    assert not compare_scatter([0.0, 1.8, 3.6], PooledScatter(1.0)).consistent


def test_the_limit_is_wider_when_the_pooled_scatter_itself_is_uncertain():
    # F, 95 %: 4.10 for 2 and 10 degrees of freedom (any table of F; from memory).
    outcome = compare_scatter([0.0, 1.0, 2.0], PooledScatter(1.0, 10))
    assert outcome.limit**2 == pytest.approx(4.10, abs=5e-3)


def test_the_scatter_check_raises_a_false_alarm_once_in_twenty():
    draws = np.random.default_rng(5).normal(size=(40_000, 3))
    limit = compare_scatter([0.0, 1.0, 2.0], PooledScatter(1.0)).limit
    assert np.mean(draws.std(axis=1, ddof=1) > limit) == pytest.approx(0.05, abs=0.004)


@pytest.mark.parametrize("values", [[], [1.0, math.nan], [math.inf]])
def test_no_value_and_a_value_that_is_not_finite_are_refused(values):
    with pytest.raises(Refusal):
        describe(values)


def test_a_pooled_scatter_that_cannot_be_is_refused():
    for scatter, freedom in ((0.0, 5.0), (-1.0, 5.0), (math.nan, 5.0), (1.0, 0.0)):
        with pytest.raises(Refusal):
            PooledScatter(scatter, freedom)
    with pytest.raises(Refusal, match="no scatter to pool"):
        pool_groups([[1.0], [2.0]])
    with pytest.raises(Refusal):
        compare_scatter([1.0], PooledScatter(1.0))
