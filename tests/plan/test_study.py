"""What the plan predicts holds on the simulated bench; ``python -m tests.plan.study`` plays many more chains."""

import math

import pytest
from scipy.stats import binom, chi2

from tests.plan.study import WAYS, tally

CHAINS = 40
LEAST_P = 0.001

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("plan study")]


@pytest.mark.parametrize("way", list(WAYS))
def test_the_predicted_uncertainty_is_that_of_the_evaluation_and_of_the_bench(way):
    found = tally(way, range(CHAINS), seed=20261102)
    assert found.ratio == pytest.approx(1.0, abs=0.10)
    squares = sum(one * one for one in found.errors)  # of a spread that is within a tenth of 1, either way
    assert squares < 1.1**2 * chi2.ppf(1 - LEAST_P, CHAINS)
    assert squares > 0.9**2 * chi2.ppf(LEAST_P, CHAINS)
    assert binom.ppf(LEAST_P, CHAINS, 0.93) <= found.covered <= CHAINS
    assert math.isfinite(found.spread)
