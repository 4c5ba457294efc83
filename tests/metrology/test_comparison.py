"""Two results compared, against the arithmetic of a general library of uncertain numbers and the CCQM-K30 data."""

import math

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.metrology.comparison import difference, normalised_error, zeta_score
from assaywright.metrology.estimate import Contribution, Estimate, influence
from assaywright.metrology.refusal import Refusal
from tests.published.rows import read_reference

# E_n and zeta in this file are computed from the published results, not printed there: a second road, no outside check.
KEY_COMPARISON = read_reference("metrology/comparison_ccqm_k30_lead.csv")


def two_results(shared: float, first_own: float = 0.0002, second_own: float = 0.0003) -> tuple[Estimate, Estimate]:
    """Two concentrations that share one titrant."""
    titrant = Contribution("titrant", shared, label="titrant")
    return (Estimate(0.1004, "mol/L", (titrant, Contribution("first", first_own))),
            Estimate(0.1000, "mol/L", (titrant, Contribution("second", second_own))))


@pytest.mark.parametrize("line", KEY_COMPARISON, ids=lambda line: line["lab"])
def test_scores_of_a_key_comparison_agree_with_a_second_calculation(line):
    result = influence("lab", float(line["value_mg_per_kg"]), float(line["standard_uncertainty_mg_per_kg"]), "mg/kg")
    reference = influence("reference", float(line["reference_value"]), float(line["reference_U"]) / 2, "mg/kg")
    outcome = normalised_error(result, reference, first_coverage_factor=float(line["coverage_factor"]))
    assert outcome.difference == pytest.approx(float(line["d_recalc"]), abs=5e-4)
    assert outcome.normalised_error == pytest.approx(float(line["En_recalc"]), abs=1e-3)
    assert outcome.agree == (abs(float(line["En_recalc"])) <= 1)
    assert zeta_score(result, reference).zeta == pytest.approx(float(line["zeta_recalc"]), abs=1e-3)


@given(*(st.floats(1e-5, 1e-3) for _ in range(3)))
def test_the_uncertainty_of_a_difference_is_that_of_uncertain_numbers(shared, first_own, second_own):
    first, second = two_results(shared, first_own, second_own)
    titrant, one, other = (GTC.ureal(0, u) for u in (shared, first_own, second_own))
    expected = GTC.result((0.1004 + titrant + one) - (0.1000 + titrant + other))
    ours = difference(first, second)
    assert ours.value == pytest.approx(expected.x, rel=1e-12)
    assert ours.standard_uncertainty == pytest.approx(expected.u, rel=1e-9)


@given(*(st.floats(1e-5, 1e-3) for _ in range(3)), st.floats(1.9, 3.0), st.floats(1.9, 3.0))
def test_e_n_divides_by_the_expanded_uncertainty_of_the_difference(shared, first_own, second_own, k_first, k_second):
    first, second = two_results(shared, first_own, second_own)
    outcome = normalised_error(first, second, first_coverage_factor=k_first, second_coverage_factor=k_second)
    titrant, one, other = (GTC.ureal(0, u) for u in (shared, first_own, second_own))
    expected = GTC.result(k_first * (titrant + one) - k_second * (titrant + other)).u
    assert outcome.expanded_uncertainty == pytest.approx(expected, rel=1e-9)
    assert outcome.normalised_error == pytest.approx(0.0004 / expected, rel=1e-9)


def test_what_two_results_share_makes_their_disagreement_graver():
    apart = normalised_error(*two_results(0.0))
    sharing = normalised_error(*two_results(0.0004))
    assert sharing.normalised_error == pytest.approx(apart.normalised_error, rel=1e-12)
    first, second = two_results(0.0004)
    ignorant = 0.0004 / math.hypot(2 * first.standard_uncertainty, 2 * second.standard_uncertainty)
    assert sharing.normalised_error > 1.5 * ignorant


def test_agreement_ends_where_e_n_passes_one():
    first = influence("a", 0.0, 0.3, "1")
    for value, agree in ((0.99, True), (1.0, True), (1.01, False), (-1.01, False)):
        assert normalised_error(first, influence("b", value, 0.4, "1")).agree == agree


@pytest.mark.parametrize(("value", "verdict"), [
    (0.0, "satisfactory"), (2.0, "satisfactory"), (2.02, "questionable"), (2.98, "questionable"),
    (3.0, "unsatisfactory"), (-3.02, "unsatisfactory"),
])
def test_the_zeta_score_is_judged_by_two_and_three(value, verdict):
    # ISO 13528:2015 (from memory).
    assert zeta_score(influence("a", value, 0.6, "1"), influence("b", 0.0, 0.8, "1")).verdict == verdict


def test_results_in_different_units_are_not_compared():
    with pytest.raises(Refusal, match="cannot be compared"):
        difference(influence("a", 1.0, 0.1, "mol/L"), influence("b", 1.0, 0.1, "g/L"))


def test_results_that_share_everything_have_no_score():
    one = influence("a", 1.0, 0.1, "mol/L")
    for compare in (normalised_error, zeta_score):
        with pytest.raises(Refusal, match="share everything"):
            compare(one, one)


def test_a_coverage_factor_that_cannot_be_is_refused():
    with pytest.raises(Refusal, match="coverage factor"):
        normalised_error(*two_results(0.0), first_coverage_factor=0.0)
