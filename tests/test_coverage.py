"""The interval holds the truth as often as it says, and the second road agrees where it must.

Truth and readings come from the simulated bench in tests/bench, which works forward from true amounts and volumes and
shares no equation with the program. The full study is ``python -m tests.bench.coverage``; this is its small sister.
"""

import os
from dataclasses import replace

import numpy as np
import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.monte_carlo import run_trials
from tests.bench.chains import SCHEMES
from tests.bench.chance import Chance
from tests.bench.coverage import STRETCHES, Setting, Tally, acceptance_band, both, played, study, together, written
from tests.bench.page import main_table, stretched_table, verdict
from tests.bench.repeatability import true_repeatability

# The chains are played once, whatever number of workers share the tests.
pytestmark = pytest.mark.xdist_group("coverage")

CHAINS = 200
SEED = 20261012  # a date, not chosen for its outcome
SETTINGS = [one for scheme in SCHEMES for one in both(Setting(scheme, "pooled"))]
TRIALS = 200_000  # JCGM 101:2008, 7.2.2 asks for at least 1/(1 - p) times 10^4


@pytest.fixture(scope="module")
def found():
    return study(SETTINGS, [SEED], CHAINS, processes=min(2, os.cpu_count() or 1))


def all_schemes(found, repeatability):
    total = Tally()
    for (setting, measurand), by_seed in found.items():
        if setting.repeatability == repeatability and not measurand:
            total.add(together(by_seed))
    return total


@pytest.mark.slow
@pytest.mark.parametrize("setting", SETTINGS, ids=lambda setting: f"{setting.scheme}, {setting.repeatability}")
def test_the_interval_of_a_scheme_holds_the_truth_as_often_as_it_says(found, setting):
    # Outside the band lies what a coverage of 95.5 % gives once in a thousand: JCGM 100:2008, 6.2.2 for the meaning of
    # a coverage probability, binomial distribution for the band.
    least, most = acceptance_band(CHAINS)
    for (tried, measurand), by_seed in found.items():
        if tried == setting:
            assert together(by_seed).chains == CHAINS
            assert least <= together(by_seed).covered[0] <= most, (setting, measurand, together(by_seed))


@pytest.mark.slow
@pytest.mark.parametrize("repeatability", ["pooled", "observed"])
def test_the_intervals_of_all_schemes_together_hold_the_truth_as_often_as_they_say(found, repeatability):
    total = all_schemes(found, repeatability)
    least, most = acceptance_band(total.chains)
    assert total.chains == CHAINS * len(SCHEMES)
    assert least <= total.covered[0] <= most, total


@pytest.mark.slow
@pytest.mark.parametrize("repeatability", ["pooled", "observed"])
@pytest.mark.parametrize("stretch", [0.8, 2.0])
def test_an_uncertainty_too_small_or_too_large_would_be_noticed(found, repeatability, stretch):
    total = all_schemes(found, repeatability)
    least, most = acceptance_band(total.chains)
    assert not least <= total.covered[STRETCHES.index(stretch)] <= most


@pytest.mark.slow
def test_no_value_is_biased_by_more_than_a_fifth_of_its_uncertainty(found):
    # The mean of 200 errors of unit standard deviation has a standard deviation of 0.07; 0.3 is four of them.
    assert not [
        (setting, measurand)
        for (setting, measurand), by_seed in found.items()
        if abs(together(by_seed).mean_error) > 0.3
    ]


@pytest.mark.slow
def test_the_page_has_a_line_for_every_measurand_and_names_those_outside(found):
    assert len(main_table(found)) == len(found) + 1
    assert len(stretched_table(found)) == len(found) + 2
    broken = Tally(chains=100, covered=[90, 80, 100], errors=0.0, squares=100.0, relative=0.1)
    assert "90.0 %" in verdict({(SETTINGS[0], ""): {1: broken}})
    assert verdict({(SETTINGS[0], ""): {1: replace(broken, covered=[95, 90, 100])}}).startswith("Every line")


@pytest.mark.parametrize(("number", "least", "most"), [(200, 180, 199), (2000, 1878, 1938)])
def test_the_acceptance_band_leaves_out_one_in_a_thousand(number, least, most):
    # Normal approximation of the binomial distribution, 0.955 n ± 3.29 sqrt(0.955 × 0.045 n).
    found_least, found_most = acceptance_band(number)
    assert found_least == pytest.approx(least, abs=2)
    assert found_most == pytest.approx(most, abs=2)


def evaluated(scheme, repeatability, number):
    setting = Setting(scheme, repeatability)
    chance = Chance((SEED, number))
    chain = played(setting, chance)
    files = written(chain, chance, setting, true_repeatability(scheme, chains=200))
    last = chain[-1].path
    return evaluate_worksheet(parse_worksheet(files[last], last), files.__getitem__, monte_carlo=TRIALS, seed=1)


@pytest.mark.slow
@pytest.mark.parametrize("scheme", ["standardisation by solution", "direct, pipetted", "back titration, reagent known"])
def test_simulation_and_law_of_propagation_agree_when_repeatability_has_thirty_degrees_of_freedom(scheme):
    # JCGM 101:2008, 8.1: both ends of the interval within the numerical tolerance.
    for number in range(4):
        compared = evaluated(scheme, "pooled", number).monte_carlo
        assert compared.trials == TRIALS
        assert compared.agrees, compared


@pytest.mark.slow
def test_one_influence_that_is_not_normal_moves_the_ends_by_little_and_is_given_as_the_reason():
    # JCGM 100:2008, G.2.2: a normal distribution of the result asks that no single influence that is not normal
    # dominates. In a standardisation by weighing the burette's triangular tolerance makes more than half the variance.
    for number in range(4):
        compared = evaluated("standardisation by weighing", "pooled", number).monte_carlo
        assert max(compared.differences) < 0.03 * compared.standard_uncertainty
        assert compared.agrees or "one influence that is not normal" in compared.reason


@pytest.mark.slow
def test_simulation_and_law_of_propagation_differ_when_repeatability_rests_on_triplicates():
    # JCGM 101:2008, 6.4.9.4: a scaled and shifted t-distribution of two degrees of freedom has no variance, and the
    # Welch-Satterthwaite formula (JCGM 100:2008, G.4.1) is no more than an approximation to it.
    outcomes = [evaluated("direct, pipetted", "observed", number) for number in range(6)]
    two = [one for one in outcomes if one.statistics.repeatability_degrees_of_freedom == 2]
    assert len(two) >= 4
    assert not [one.monte_carlo for one in two if one.monte_carlo.agrees]
    assert all(one.monte_carlo.reason for one in two)


@pytest.mark.slow
def test_a_result_that_rests_on_one_rectangular_endpoint_says_that_its_interval_is_long():
    # JCGM 100:2008, G.2.2 and G.1.5: with most of the variance from one rectangular influence the interval from
    # Student's t is too long; JCGM 101:2008, 5.10: the simulated one is not.
    setting = Setting("two endpoints", "pooled")
    chance = Chance((SEED, 1))
    chain = played(setting, chance)
    files = written(chain, chance, setting, true_repeatability(setting.scheme, chains=200))
    last = chain[-1].path
    text = 'titration_error = "0 mL ± 0.25 mL, rectangular"\n'.encode() + files[last]
    outcome = evaluate_worksheet(parse_worksheet(text, last), files.__getitem__)
    found = [one for one in outcome.remarks if one.kind == "one-rectangular-influence"]
    assert len([one for one in found if "total alkali" in one.what]) == 1
    assert all("methyl orange" in one.what for one in found)
    draws = run_trials(outcome.models[0], 50_000, 1)
    low, high = np.quantile(draws, (0.025, 0.975))
    assert high - low < 1.9 * outcome.result.expanded_uncertainty
    assert not [one for one in evaluated("direct, pipetted", "pooled", 1).remarks if one.kind == found[0].kind]
