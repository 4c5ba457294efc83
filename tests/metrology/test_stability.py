"""Drift and shelf life against ISO/TS 28037, NIST's certified data and a worked shelf life by ICH Q1E."""

import math
from collections.abc import Iterator

import GTC
import numpy as np
import pytest
from scipy import stats

from assaywright.metrology.estimate import Contribution, Estimate, covariance, exact
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.stability import (
    Bounds,
    carried_until,
    day_of_meeting,
    limits_of_confidence,
    line_through,
    own_uncertainty,
)
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

LIMIT = 95.0  # of label claim [%], LeBlond and others 2011
ONE_LINE = ("b2", "b5", "b7")  # the lots of their Table IV, of one line
DIGITS = 9


def batches(*names):
    """Months and values of some lots."""
    rows = [one for one in read_reference("metrology/stability_data.csv") if one["batch"] in names]
    return [float(one["month"]) for one in rows], [exact(float(one["value"]), "%") for one in rows]


def shelf_life_rows() -> Iterator[PublishedRow]:
    common, alone = line_through(*batches(*ONE_LINE)), line_through(*batches("b8"))
    ours = {
        "intercept": common.intercept.value, "slope": common.slope.value, "F_regression": common.slope_t**2,
        "shelf_life_month": day_of_meeting(common, Bounds(LIMIT), 0, 60),
        "shelf_life_month full": day_of_meeting(common, Bounds(LIMIT), 0, 60),
        "intercept_b8": alone.intercept.value, "slope_b8": alone.slope.value,
        "shelf_life_month (separate fits) full": day_of_meeting(alone, Bounds(LIMIT), 0, 60)}
    for line in read_reference("metrology/stability_results.csv"):
        yield row_of(line, ours[line["quantity"]], quantity=f"{line['example']}, {line['quantity']}",
                     tolerance=float(line["tolerance"]))


def certified_rows() -> Iterator[PublishedRow]:
    data = read_reference("metrology/strd_regression_data.csv")
    line = line_through([float(one["x1"]) for one in data], [exact(float(one["y"])) for one in data])
    ours = {"B0": line.intercept.value, "sd_B0": line.intercept.standard_uncertainty, "B1": line.slope.value,
            "sd_B1": line.slope.standard_uncertainty, "residual_standard_deviation": line.scatter}
    for one in read_reference("metrology/strd_regression_certified.csv"):
        yield row_of({**one, "printed": one["certified"]}, ours[one["statistic"]],
                     quantity=f"{one['dataset']}, {one['statistic'].replace('_', ' ')}",
                     tolerance=abs(float(one["certified"])) * 0.5 * 10.0**-DIGITS,
                     note=f"{DIGITS} significant digits demanded")


def weighted_rows() -> Iterator[PublishedRow]:
    data = read_reference("metrology/calibration_data.csv")
    line = line_through([float(one["x"]) for one in data], [
        Estimate(float(one["y"]), "1", (Contribution(one["order"], float(one["u_y"])),)) for one in data])
    ours = {"intercept": line.intercept.value, "slope": line.slope.value,
            "u_intercept": line.intercept.standard_uncertainty, "u_slope": line.slope.standard_uncertainty,
            "covariance": covariance(line.intercept, line.slope), "chi_squared_observed": line.chi_squared}
    for one in read_reference("metrology/calibration_results.csv"):
        yield row_of(one, ours[one["quantity"]], quantity=f"weighted line, {one['quantity'].replace('_', ' ')}")


def published_rows() -> Iterator[PublishedRow]:
    yield from shelf_life_rows()
    yield from certified_rows()
    yield from weighted_rows()


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_value_is_the_published_one(row):
    assert_agrees(row)


DAYS = (0.0, 31.0, 58.0, 92.0)
VALUES = (0.10012, 0.10004, 0.09999, 0.09987)
OWN = (2.0e-5, 3.0e-5, 2.5e-5, 2.0e-5)


def sharing(common=0.0, of_two=0.0, degrees=math.inf):
    """Four concentrations that share a standard, and of which the last two share a burette."""
    return [Estimate(value, "mol/L", (
        Contribution("standard", common), Contribution(f"own {place}", own, degrees),
        *([Contribution("burette", of_two)] if place > 1 else [])))
        for place, (value, own) in enumerate(zip(VALUES, OWN, strict=True))]


def test_slope_and_line_are_those_of_generalised_least_squares_by_a_general_library():
    line = line_through(DAYS, sharing(4e-5, 3e-5))
    standard, burette = GTC.ureal(0, 4e-5), GTC.ureal(0, 3e-5)
    known = [value + GTC.ureal(0, own) + standard + (burette if place > 1 else 0)
             for place, (value, own) in enumerate(zip(VALUES, OWN, strict=True))]
    matrix = np.diag(np.square(OWN)) + 4e-5**2 + 3e-5**2 * np.outer([0, 0, 1, 1], [0, 0, 1, 1])
    whitened = np.linalg.inv(np.linalg.cholesky(matrix))
    weights = np.linalg.pinv(whitened @ np.column_stack([np.ones(4), DAYS])) @ whitened
    intercept, slope = (GTC.result(sum(one * value for one, value in zip(row, known, strict=True))) for row in weights)
    on_a_day = GTC.result(intercept + 120 * slope)
    for ours, expected in ((line.slope, slope), (line.at(120), on_a_day)):
        assert ours.value == pytest.approx(expected.x, rel=1e-9)
        assert ours.standard_uncertainty == pytest.approx(expected.u, rel=1e-9)
    residuals = whitened @ (np.array(VALUES) - intercept.x - slope.x * np.array(DAYS))
    assert line.chi_squared == pytest.approx(float(residuals @ residuals), rel=1e-6)


def test_chances_of_slope_and_fit_are_those_of_a_general_library():
    days, values = batches(*ONE_LINE[:1])
    expected = stats.linregress(days, [one.value for one in values])
    bare = line_through(days, values)
    assert bare.slope_probability == pytest.approx(expected.pvalue, rel=1e-9)
    assert (bare.fits, bare.fit_probability) == (True, None)
    line = line_through(DAYS, sharing(4e-5))
    assert line.fit_probability == pytest.approx(stats.chi2.sf(line.chi_squared, 2), rel=1e-9)
    assert line.slope_probability == pytest.approx(2 * stats.norm.sf(abs(line.slope_t)), rel=1e-9)


def test_what_all_values_share_neither_hides_nor_feigns_a_drift():
    alone, together = line_through(DAYS, sharing()), line_through(DAYS, sharing(common=5e-4))
    assert together.slope.value == pytest.approx(alone.slope.value, rel=1e-9)
    assert together.slope.standard_uncertainty == pytest.approx(alone.slope.standard_uncertainty, rel=1e-6)
    assert together.slope_probability == pytest.approx(alone.slope_probability, rel=1e-4)
    assert together.at(40).standard_uncertainty > 10 * alone.at(40).standard_uncertainty
    change = Bounds(VALUES[3] - 2e-4, VALUES[3] + 2e-4, since=3)
    assert day_of_meeting(together, change, 92, 400) == pytest.approx(day_of_meeting(alone, change, 92, 400), rel=1e-6)
    assert [own_uncertainty(one, [each for each in sharing(5e-4) if each.value != one.value])
            for one in sharing(5e-4)] == pytest.approx(OWN)


def test_a_new_calibration_between_two_standardisations_makes_the_drift_less_certain():
    apart, shared = line_through(DAYS, sharing(1e-5)), line_through(DAYS, sharing(1e-5, of_two=1e-4))
    assert shared.slope.standard_uncertainty > 1.5 * apart.slope.standard_uncertainty


def test_limits_of_confidence_take_students_t_and_are_met_where_they_cross():
    line = line_through(DAYS, sharing(degrees=4))
    bounds = Bounds(0.0997, 0.1003)
    day = day_of_meeting(line, bounds, 92, 400)
    (low, high), = limits_of_confidence(line, bounds, [day])
    at = line.at(day)
    assert low == pytest.approx(0.0997, rel=1e-12)
    assert at.value - low == pytest.approx(GTC.reporting.k_factor(at.degrees_of_freedom) * at.standard_uncertainty,
                                           rel=1e-6)
    assert high - at.value == pytest.approx(at.value - low, rel=1e-9)
    one_sided = day_of_meeting(line, Bounds(0.0997), 92, 400)
    assert one_sided > day, "one-sided, where only one bound can be met"
    assert day_of_meeting(line, bounds, 92, day - 1) is None
    assert day_of_meeting(line, Bounds(lower=0.09999), 92, 400) == 92, "met already"


def test_a_rise_that_turns_into_a_fall_is_no_straight_line():
    turning = [Estimate(value, "mol/L", (Contribution(str(place), 2e-5),))
               for place, value in enumerate((0.1000, 0.1004, 0.1001, 0.0995))]
    line = line_through(DAYS, turning)
    assert not line.fits
    assert line.fit_probability < 1e-6
    assert line_through(DAYS, sharing()).fits


def test_nothing_is_foretold_beyond_what_the_values_carry():
    assert carried_until(0, 90) == 180
    assert carried_until(10, 1000) == 1000 + 365.25


@pytest.mark.parametrize(("days", "values", "sentence"), [
    (DAYS[:2], sharing()[:2], "2 values tell no drift"),
    ((5.0,) * 4, sharing(), "all values were found on one day"),
    (DAYS, [*sharing()[:3], exact(0.1, "mol/L")], "some values have an uncertainty and some have none"),
    (DAYS, [*sharing()[:3], exact(0.1, "eq/L")], "the values differ in their unit"),
    (DAYS, [Estimate(one.value, "mol/L", one.contributions[:1]) for one in sharing(1e-5)], "share everything"),
])
def test_what_tells_no_drift_is_refused_in_a_sentence(days, values, sentence):
    with pytest.raises(Refusal, match=sentence):
        line_through(days, values)


def test_a_bound_is_needed():
    with pytest.raises(Refusal, match="no bound to meet"):
        Bounds()
