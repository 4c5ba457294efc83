"""Coverage factors against Table G.2 of JCGM 100:2008."""

import math
from collections.abc import Iterator

import pytest

from assaywright.metrology.gum import coverage_factor, coverage_with_one_rectangular
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

TABLE = read_reference("metrology/critical_student_t.csv")
SIGMAS = {"0.6827": 1.0, "0.9545": 2.0, "0.9973": 3.0}
MISPRINTED = {("p=0.9", "35"): "printed 1.70, exact 1.6896"}


def probability(row: dict[str, str]) -> float:
    """The columns headed 68.27, 95.45 and 99.73 % are those of one, two and three standard deviations."""
    text = row["parameter"].removeprefix("p=")
    return math.erf(SIGMAS[text] / math.sqrt(2)) if text in SIGMAS else float(text)


def published_rows() -> Iterator[PublishedRow]:
    for row in TABLE:
        if (row["parameter"], row["n"]) not in MISPRINTED:
            ours = coverage_factor(float(row["n"]), probability(row))
            yield row_of(row, ours, quantity=f"t, {row['parameter']}, {row['n']} degrees of freedom")


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_the_coverage_factor_is_that_of_the_table(row):
    assert_agrees(row)


def test_the_one_misprint_of_the_table_is_known_and_ours_is_the_exact_value():
    misprint = next(row for row in TABLE if (row["parameter"], row["n"]) in MISPRINTED)
    assert misprint["printed"] == "1.70"
    assert coverage_factor(35, 0.90) == pytest.approx(1.6896, abs=5e-5)


def test_degrees_of_freedom_between_whole_numbers_give_a_factor_between():
    assert coverage_factor(17) < coverage_factor(16.7) < coverage_factor(16)


@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 0.8, 0.99, 1.0])
@pytest.mark.parametrize("factor", [1.0, 1.65, 1.96, 2.0])
def test_a_rectangular_influence_beside_a_normal_rest_covers_as_the_convolution_integrated_by_scipy(share, factor):
    # JCGM 100:2008, G.1.4: the distribution of a sum is the convolution; integrated by SciPy, a library of others.
    from scipy.integrate import quad
    from scipy.stats import norm, uniform

    half, spread = math.sqrt(3 * share), math.sqrt(1 - share)
    if share == 0:
        expected = norm.cdf(factor) - norm.cdf(-factor)
    elif share == 1:
        expected = uniform(-half, 2 * half).cdf(factor) - uniform(-half, 2 * half).cdf(-factor)
    else:
        expected, _ = quad(
            lambda x: (norm.cdf((factor - x) / spread) - norm.cdf((-factor - x) / spread)) / (2 * half), -half, half,
            epsabs=1e-12, limit=200,
        )
    assert coverage_with_one_rectangular(share, factor) == pytest.approx(expected, abs=1e-9)


def test_the_coverage_factor_of_a_rectangular_distribution_for_95_percent_is_1_65():
    # EA-4/02 M:2022, S9.14: k = 1.65 for a rectangular distribution and 95 % (from memory); JCGM 100:2008, 4.3.7.
    assert coverage_with_one_rectangular(1.0, 1.65) == pytest.approx(0.95, abs=0.005)
