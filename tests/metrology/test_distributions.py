"""From half widths to standard uncertainties: JCGM 100:2008, 4.3."""

import math
from collections.abc import Iterator

import numpy as np
import pytest

from assaywright.metrology.distributions import (
    HALF_WIDTH_DIVISORS,
    standard_uncertainty_of_expanded,
    standard_uncertainty_of_half_width,
    standard_uncertainty_of_interval,
)
from assaywright.metrology.refusal import Refusal
from tests.published.rows import PublishedRow, as_parameters, assert_agrees


def published_rows() -> Iterator[PublishedRow]:
    for clause, quantity, printed, ours in (
        ("4.3.4", "factor of a 90 % interval", "1.64", 1 / standard_uncertainty_of_interval(1.0, 0.90)),
        ("4.3.4", "factor of a 95 % interval", "1.96", 1 / standard_uncertainty_of_interval(1.0, 0.95)),
        ("4.3.4", "factor of a 99 % interval", "2.58", 1 / standard_uncertainty_of_interval(1.0, 0.99)),
        ("4.3.3", "u of a 1 kg standard, U = 240 ug at k = 3, ug", "80", standard_uncertainty_of_expanded(240.0, 3.0)),
        ("4.3.5", "u of an interval of even odds, half width 1", "1.48", standard_uncertainty_of_interval(1.0, 0.5)),
        ("4.3.7", "u of a rectangular half width of 0.40", "0.23", standard_uncertainty_of_half_width(0.40)),
    ):
        yield PublishedRow("JCGM 100:2008", clause, quantity, printed, ours, status="from memory")


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_a_published_half_width_gives_the_published_uncertainty(row):
    assert_agrees(row)


@pytest.mark.parametrize("distribution", HALF_WIDTH_DIVISORS)
def test_the_standard_uncertainty_is_the_standard_deviation_of_the_distribution(distribution):
    # Moments of the densities on -1 to 1, by a sum over the middle of equal slices of probability.
    share = (np.arange(200_000) + 0.5) / 200_000
    quantile = {
        "rectangular": 2 * share - 1,
        "triangular": np.where(share < 0.5, np.sqrt(2 * share) - 1, 1 - np.sqrt(2 * (1 - share))),
        "arcsine": -np.cos(math.pi * share),
    }[distribution]
    assert standard_uncertainty_of_half_width(1.0, distribution) == pytest.approx(quantile.std(), rel=1e-6)


def test_an_exact_quantity_has_no_uncertainty():
    assert standard_uncertainty_of_half_width(0.0) == 0.0


@pytest.mark.parametrize("half_width", [-0.1, math.nan, math.inf])
def test_a_half_width_that_cannot_be_is_refused(half_width):
    for law in (standard_uncertainty_of_half_width, lambda a: standard_uncertainty_of_interval(a, 0.95),
                lambda a: standard_uncertainty_of_expanded(a, 2.0)):
        with pytest.raises(Refusal, match="zero or more"):
            law(half_width)


def test_a_word_probability_or_factor_that_cannot_be_is_refused():
    with pytest.raises(Refusal, match="no bounds"):
        standard_uncertainty_of_half_width(0.1, "normal")
    for probability in (0.0, 1.0, 95.0):
        with pytest.raises(Refusal, match="probability"):
            standard_uncertainty_of_interval(0.1, probability)
    for factor in (0.0, -2.0, math.inf):
        with pytest.raises(Refusal, match="coverage factor"):
            standard_uncertainty_of_expanded(0.1, factor)
