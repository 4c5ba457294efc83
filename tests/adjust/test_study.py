"""The predicted probability of conforming holds: lots of the simulated bench, adjusted, looked at as they truly are.

The full study is ``python -m tests.adjust.study --lots 10000 --seeds 3 --write``; this is its small sister.
"""

import os
import statistics

import pytest

from tests.adjust.study import LEAST_P, Outcome, in_bins, p_value, played_as_stated, study

# The lots are played once, whatever number of workers share the tests.
pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("adjustment study")]

LOTS = 200
SEEDS = (20261014, 20261015, 20261016)  # dates, not chosen for their outcome


@pytest.fixture(scope="module")
def found():
    return study(SEEDS, LOTS, processes=min(2, os.cpu_count() or 1))


def test_the_share_that_conforms_is_the_predicted_probability_in_ten_bins(found):
    everything = [one for outcomes in found.values() for one in outcomes]
    assert len(everything) > 0.75 * LOTS * len(SEEDS)
    assert p_value(everything) > LEAST_P
    assert all(one.p_value > LEAST_P for one in in_bins(everything))
    for outcomes in found.values():
        assert p_value(outcomes) > LEAST_P


def test_every_bin_has_lots_in_it(found):
    assert all(one.number >= 20 for one in in_bins(one for outcomes in found.values() for one in outcomes))


def test_with_an_assay_that_errs_as_it_says_the_prediction_holds_exactly():
    outcomes = [played_as_stated(number) for number in range(1500)]
    assert p_value(outcomes) > LEAST_P
    errors = [one.error for one in outcomes]
    assert statistics.pstdev(errors) == pytest.approx(1.0, abs=4 / (2 * 1500) ** 0.5)
    assert statistics.fmean(errors) == pytest.approx(0.0, abs=4 / 1500**0.5)


def test_predictions_that_are_much_too_sure_would_be_found(found):
    everything = [one for outcomes in found.values() for one in outcomes]
    assert p_value(everything, stretch=2.5) < LEAST_P
    assert p_value(everything, stretch=0.3) < LEAST_P


def test_the_check_notices_a_lot_that_always_fails():
    assert p_value([Outcome(0.8, conforms=False, error=0.0)] * 20) < LEAST_P
    assert p_value([Outcome(0.8, conforms=number % 5 != 0, error=0.0) for number in range(20)]) > 0.5
