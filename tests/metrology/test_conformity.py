"""Conformity decisions against JCGM 106, ILAC-G8, ASTM E29 and USP General Notices 7.20."""

import math
import re
from collections.abc import Iterator
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

from assaywright.metrology.conformity import (
    CONFORMS,
    DOES_NOT_CONFORM,
    NOT_PROVEN,
    DecisionRule,
    MeasuredValue,
    decide,
)
from assaywright.metrology.conformity_risk import (
    Limits,
    NormalPrior,
    global_risks,
    non_conformance_probability,
    posterior,
)
from assaywright.metrology.refusal import Refusal
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

EXAMPLES = read_reference("metrology/conformity_examples.csv")
ROUNDED = [line for line in read_reference("metrology/rounding_examples.csv") if line["specification"]]
STATED_AS_BOUND = {"ilac_g8_ILAC_G8_2009_rule": "the table states less than 2.5 %, the exact tail is 2.28 %"}
ASSAY = Limits(Decimal("0.0995"), Decimal("0.1005"))


def bounds(line: dict[str, str]) -> Limits:
    return Limits(*(Decimal(line[name]) if line[name] else None for name in ("lower_tolerance", "upper_tolerance")))


def probability(line: dict[str, str]) -> float:
    measured = MeasuredValue(Decimal(line["estimate"]), float(line["standard_uncertainty"]))
    return decide(measured, bounds(line)).conformance_probability


def least_z(line: dict[str, str]) -> float:
    rule = DecisionRule("conformance probability", probability=float(line["quantity"].rsplit(" ", 1)[1]))
    acceptance = decide(MeasuredValue(0.0, 1.0), Limits(Decimal(0), None), rule).acceptance
    assert acceptance is not None
    return acceptance.as_floats[0]


def speed(line: dict[str, str]) -> float:
    """The speed read at which the limit is exceeded with probability 0.999, at a relative uncertainty of 2 %."""
    limits, relative = bounds(line), float(line["standard_uncertainty"])
    read = optimize.brentq(lambda v: non_conformance_probability(v, relative * v, limits) - 0.999, 100.0, 120.0)
    return read if line["quantity"].startswith("acceptance") else read - 100.0


def risk_at_acceptance_limit(line: dict[str, str]) -> float:
    ratio = float(re.search(r"w = ([\d.]+) U", line["quantity"])[1])
    outcome = decide(MeasuredValue(2.0 * ratio, 1.0), Limits(Decimal(0), None), DecisionRule("guard band", ratio))
    assert outcome.accepted
    return outcome.specific_consumer_risk


def ours(line: dict[str, str]) -> float:
    for start, calculation in (("zener", probability), ("container", probability), ("one_sided", least_z),
                               ("speed", speed), ("ilac", risk_at_acceptance_limit)):
        if line["example"].startswith(start):
            return calculation(line)
    raise AssertionError(line)


def published_rows() -> Iterator[PublishedRow]:
    for line in EXAMPLES:
        if line["example"] not in STATED_AS_BOUND:
            yield row_of(line, ours(line), quantity=f"{line['example'].replace('_', ' ')}, {line['quantity']}")


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_a_published_probability_or_limit_is_ours(row):
    assert_agrees(row)


def test_the_risk_stated_as_a_bound_is_kept():
    (line,) = (one for one in EXAMPLES if one["example"] in STATED_AS_BOUND)
    assert 0.02 < risk_at_acceptance_limit(line) < float(line["printed"])


def stated_limits(line: dict[str, str]) -> Limits:
    number = Decimal(re.search(r"[\d.]+", line["specification"])[0])
    lower = "not less" in line["specification"] or line["specification"].endswith("min")
    return Limits(number, None) if lower else Limits(None, number)


@pytest.mark.parametrize("line", ROUNDED, ids=lambda line: f"{line['source']}: {line['input']}")
def test_a_rounded_value_conforms_where_the_published_example_says_so(line):
    rule = DecisionRule("rounding method", step=Decimal(line["rounding_step"]), rounding=line["rule"])
    outcome = decide(MeasuredValue(Decimal(line["input"]), 0.0), stated_limits(line), rule)
    assert outcome.accepted == (line["conforms"] == "yes")
    assert outcome.decision == (CONFORMS if line["conforms"] == "yes" else DOES_NOT_CONFORM)


def test_the_absolute_method_does_not_round():
    # ASTM E29 (from memory): by the absolute method 97.96 against not less than 98.0 fails, rounded it passes.
    limits, measured = Limits(Decimal("98.0"), None), MeasuredValue(Decimal("97.96"), 0.05)
    assert decide(measured, limits, DecisionRule("absolute method")).decision == DOES_NOT_CONFORM
    assert decide(measured, limits, DecisionRule("rounding method", step=Decimal("0.1"))).decision == CONFORMS


def test_a_computed_value_at_a_tie_is_rounded_as_the_tie_it_is():
    rule = DecisionRule("rounding method", step=Decimal("0.1"))
    assert 97.35 + 0.6 < 97.95
    assert decide(MeasuredValue(97.35 + 0.6, 0.05), Limits(Decimal("98.0"), None), rule).accepted


def test_without_a_named_rule_acceptance_is_simple_and_its_risk_is_told():
    outcome = decide(MeasuredValue(0.1005, 0.0002), ASSAY)
    assert (outcome.rule, outcome.decision, outcome.prior) == ("simple acceptance", CONFORMS, "flat prior")
    assert outcome.specific_consumer_risk == pytest.approx(0.5, abs=1e-6)
    assert outcome.specific_producer_risk is None


def test_a_value_on_the_limit_conforms_and_one_digit_beyond_does_not():
    assert decide(MeasuredValue(Decimal("0.1005"), 0.0), ASSAY).accepted
    assert not decide(MeasuredValue(Decimal("0.100500000000000000001"), 0.0), ASSAY).accepted


def test_the_guard_band_moves_both_limits_inwards_by_r_times_u():
    measured = MeasuredValue(0.1002, 0.0001)
    outcome = decide(measured, ASSAY, DecisionRule("guard band", guard_ratio=1.0))
    assert outcome.acceptance == Limits(Decimal("0.0997"), Decimal("0.1003"))
    assert (outcome.rule, outcome.decision) == ("guard band w = 1 U", CONFORMS)


@pytest.mark.parametrize(("value", "decision"), [
    ("0.1003", CONFORMS), ("0.1004", NOT_PROVEN), ("0.1007", NOT_PROVEN), ("0.1008", DOES_NOT_CONFORM),
    ("0.0997", CONFORMS), ("0.0996", NOT_PROVEN), ("0.0993", NOT_PROVEN), ("0.0992", DOES_NOT_CONFORM),
])
def test_between_acceptance_and_proven_failure_nothing_is_proven(value, decision):
    # ISO 14253-1 (from memory): neither conformity nor non-conformity is proven within the uncertainty range.
    measured = MeasuredValue(Decimal(value), 0.0001)
    outcome = decide(measured, ASSAY, DecisionRule("guard band", guard_ratio=1.0))
    assert outcome.decision == decision
    assert outcome.accepted == (decision == CONFORMS)


def test_a_one_sided_guard_band_moves_the_one_limit():
    outcome = decide(MeasuredValue(99.9, 0.05), Limits(Decimal("99.8"), None), DecisionRule("guard band", 1.0))
    assert outcome.acceptance == Limits(Decimal("99.9"), None)
    assert outcome.accepted


def test_a_negative_guard_band_rejects_only_what_is_proven_to_fail():
    # JCGM 106:2012, 8.3.3: guarded rejection.
    rule = DecisionRule("guard band", guard_ratio=-1.0)
    assert decide(MeasuredValue(0.1006, 0.0001), ASSAY, rule).decision == CONFORMS
    assert decide(MeasuredValue(0.1008, 0.0001), ASSAY, rule).decision == DOES_NOT_CONFORM


def test_a_guard_band_wider_than_the_tolerance_accepts_nothing():
    outcome = decide(MeasuredValue(0.1000, 0.0003), ASSAY, DecisionRule("guard band", guard_ratio=1.0))
    assert (outcome.acceptance, outcome.decision) == (None, NOT_PROVEN)


@pytest.mark.parametrize("limits", [ASSAY, Limits(Decimal("0.0995"), None), Limits(None, Decimal("0.1005"))])
@pytest.mark.parametrize("freedom", [math.inf, 6.0])
@pytest.mark.parametrize("prior", [None, NormalPrior(0.1002, 0.0003)])
def test_at_the_acceptance_limit_the_probability_is_the_least_one_asked_for(limits, freedom, prior):
    rule = DecisionRule("conformance probability", probability=0.95)
    acceptance = decide(MeasuredValue(0.1, 0.0001, freedom), limits, rule, prior=prior).acceptance
    for edge in (edge for edge in acceptance.as_floats if math.isfinite(edge)):
        outcome = decide(MeasuredValue(edge, 0.0001, freedom), limits, rule, prior=prior)
        assert outcome.conformance_probability == pytest.approx(0.95, abs=1e-9)


def test_a_probability_that_no_value_can_reach_accepts_nothing():
    rule = DecisionRule("conformance probability", probability=0.99)
    outcome = decide(MeasuredValue(0.1, 0.0003), ASSAY, rule)
    assert (outcome.acceptance, outcome.decision) == (None, NOT_PROVEN)
    assert decide(MeasuredValue(0.102, 0.0003), ASSAY, rule).decision == DOES_NOT_CONFORM


def test_few_degrees_of_freedom_lower_the_conformance_probability():
    few = decide(MeasuredValue(0.1002, 0.0002, 3.0), ASSAY).conformance_probability
    expected = stats.t.cdf(1.5, 3) - stats.t.cdf(-3.5, 3)
    assert few == pytest.approx(expected, abs=1e-12)
    assert few < decide(MeasuredValue(0.1002, 0.0002), ASSAY).conformance_probability


def test_the_posterior_of_a_normal_prior_is_that_of_bayes_theorem():
    value, u, prior = 0.1003, 0.0002, NormalPrior(0.0999, 0.0003)
    def density(x):
        return stats.norm.pdf(value, x, u) * stats.norm.pdf(x, prior.mean, prior.standard_uncertainty)
    low, high = 0.0985, 0.1015
    mass = integrate.quad(density, low, high, epsabs=1e-10)[0]
    mean = integrate.quad(lambda x: x * density(x), low, high, epsabs=1e-12)[0] / mass
    variance = integrate.quad(lambda x: (x - mean) ** 2 * density(x), low, high, epsabs=1e-14)[0] / mass
    ours_mean, ours_scale, _ = posterior(value, u, prior=prior)
    assert ours_mean == pytest.approx(mean, rel=1e-9)
    assert ours_scale == pytest.approx(math.sqrt(variance), rel=1e-6)


def rectangle(low, high, mean, covariance):
    """Probability of a rectangle under a bivariate normal distribution."""
    return stats.multivariate_normal.cdf(high, mean, covariance, lower_limit=low, abseps=1e-12, releps=1e-12)


@pytest.mark.parametrize("guard", ["0", "0.0001", "0.0003", "-0.0001"])
@pytest.mark.parametrize(("spread", "u"), [(0.0003, 0.0001), (0.0002, 0.0002), (0.0004, 0.00002)])
def test_the_global_risks_are_those_of_the_bivariate_normal_distribution(guard, spread, u):
    acceptance, prior = ASSAY.moved_inwards(Decimal(guard)), NormalPrior(0.1001, spread)
    risks = global_risks(ASSAY, acceptance, prior, u)
    (tol_low, tol_high), (acc_low, acc_high) = ASSAY.as_floats, acceptance.as_floats
    centre = [(edge - prior.mean) / spread for edge in (tol_low, tol_high, acc_low, acc_high)]
    covariance = [[1.0, 1.0], [1.0, 1.0 + (u / spread) ** 2]]
    both = rectangle([centre[0], centre[2]], [centre[1], centre[3]], [0.0, 0.0], covariance)
    measured = stats.norm(prior.mean, math.hypot(spread, u))
    made = stats.norm(prior.mean, spread)
    assert risks.consumer == pytest.approx(measured.cdf(acc_high) - measured.cdf(acc_low) - both, abs=1e-8)
    assert risks.producer == pytest.approx(made.cdf(tol_high) - made.cdf(tol_low) - both, abs=1e-8)


def test_simulated_lots_are_wrongly_accepted_and_rejected_as_often_as_the_global_risks_say():
    acceptance, prior, u = ASSAY.moved_inwards(Decimal("0.0001")), NormalPrior(0.1000, 0.0003), 0.0002
    generator = np.random.default_rng(7)
    made = generator.normal(prior.mean, prior.standard_uncertainty, 1_000_000)
    measured = made + generator.normal(0, u, made.size)
    (tol_low, tol_high), (acc_low, acc_high) = ASSAY.as_floats, acceptance.as_floats
    good = (made >= tol_low) & (made <= tol_high)
    taken = (measured >= acc_low) & (measured <= acc_high)
    risks = global_risks(ASSAY, acceptance, prior, u)
    assert np.mean(~good & taken) == pytest.approx(risks.consumer, abs=6e-4)
    assert np.mean(good & ~taken) == pytest.approx(risks.producer, abs=2e-3)


def test_the_global_risk_of_one_limit_is_that_of_a_far_second_limit():
    one = Limits(Decimal("0.0995"), None)
    two = Limits(Decimal("0.0995"), Decimal("0.2"))
    prior = NormalPrior(0.1, 0.0003)
    single, double = (global_risks(limits, limits, prior, 0.0002) for limits in (one, two))
    assert single.consumer == pytest.approx(double.consumer, abs=1e-12)
    assert single.producer == pytest.approx(double.producer, abs=1e-12)


@given(st.integers(0, 4))
def test_a_wider_guard_band_trades_consumers_risk_for_producers_risk(tenths):
    prior = NormalPrior(0.1, 0.0003)
    narrow, wide = (global_risks(ASSAY, ASSAY.moved_inwards(Decimal(width) / 10_000), prior, 0.0002)
                    for width in (tenths, tenths + 0.5))
    assert wide.consumer < narrow.consumer
    assert wide.producer > narrow.producer


def test_the_mean_specific_risk_of_accepted_lots_is_the_global_consumers_risk():
    # JCGM 106:2012, 9.5: the global risk is the specific risk averaged over what is accepted.
    prior, u = NormalPrior(0.1001, 0.0003), 0.0002
    def weighted(y):
        mean, scale, _ = posterior(y, u, prior=prior)
        density = stats.norm.pdf(y, prior.mean, math.hypot(u, prior.standard_uncertainty))
        return density * non_conformance_probability(mean, scale, ASSAY)
    averaged = integrate.quad(weighted, *ASSAY.as_floats, epsabs=1e-11)[0]
    assert global_risks(ASSAY, ASSAY, prior, u).consumer == pytest.approx(averaged, abs=1e-9)


def test_a_prior_adds_the_global_risks_to_the_outcome():
    prior = NormalPrior(0.1, 0.0003)
    outcome = decide(MeasuredValue(0.1001, 0.0002), ASSAY, prior=prior)
    assert outcome.global_risks == global_risks(ASSAY, ASSAY, prior, 0.0002)
    assert outcome.prior == "normal prior 0.1 with standard uncertainty 0.0003"
    assert decide(MeasuredValue(0.1001, 0.0002), ASSAY).global_risks is None


def test_a_rejected_lot_tells_the_probability_that_it_was_good():
    outcome = decide(MeasuredValue(0.1006, 0.0001), ASSAY)
    assert outcome.decision == DOES_NOT_CONFORM
    assert outcome.specific_consumer_risk is None
    assert outcome.specific_producer_risk == pytest.approx(stats.norm.cdf(-1), abs=1e-9)


def test_a_value_without_uncertainty_conforms_surely_or_surely_not():
    assert decide(MeasuredValue(0.1, 0.0), ASSAY).conformance_probability == 1.0
    assert decide(MeasuredValue(0.2, 0.0), ASSAY).conformance_probability == 0.0


def test_limits_are_told_in_words():
    assert str(ASSAY) == "0.0995 to 0.1005"
    assert str(Limits(Decimal("98.0"), None)) == "not less than 98.0"
    assert str(Limits(None, Decimal("0.02"))) == "not more than 0.02"


def test_the_rounding_method_says_where_acceptance_begins():
    rule = DecisionRule("rounding method", step=Decimal("0.1"))
    outcome = decide(MeasuredValue(98.1, 0.1), Limits(Decimal("98.0"), Decimal("102.0")), rule)
    assert outcome.acceptance == Limits(Decimal("97.95"), Decimal("102.05"))
    assert outcome.rule == "rounding method, to 0.1, half up"
    uneven = decide(MeasuredValue(98.1, 0.1), Limits(Decimal("98.03"), Decimal("102.07")), rule)
    assert uneven.acceptance == Limits(Decimal("98.05"), Decimal("102.05"))


def test_limits_that_cannot_be_are_refused():
    for lower, upper in ((None, None), (Decimal(2), Decimal(1)), (Decimal(1), Decimal(1)), (Decimal("nan"), None)):
        with pytest.raises(Refusal):
            Limits(lower, upper)
    with pytest.raises(Refusal, match="exact decimal"):
        Limits(0.0995, None)


@pytest.mark.parametrize("arguments", [
    {"name": "majority"}, {"name": "guard band"}, {"name": "simple acceptance", "guard_ratio": 1.0},
    {"name": "rounding method"}, {"name": "rounding method", "step": Decimal("0.1"), "rounding": "up"},
    {"name": "absolute method", "step": Decimal("0.1")}, {"name": "conformance probability"},
    {"name": "conformance probability", "probability": 0.4}, {"name": "guard band", "guard_ratio": math.nan},
])
def test_a_rule_without_what_it_needs_or_with_what_it_does_not_is_refused(arguments):
    with pytest.raises(Refusal):
        DecisionRule(**arguments)


def test_an_uncertainty_or_prior_that_cannot_be_is_refused():
    for arguments in ((0.1, -1.0), (0.1, math.nan), (0.1, 0.1, 0.0), (0.1, 0.1, 5.0, 0.0)):
        with pytest.raises(Refusal):
            MeasuredValue(*arguments)
    with pytest.raises(Refusal):
        NormalPrior(0.1, 0.0)
    with pytest.raises(Refusal):
        global_risks(ASSAY, ASSAY, NormalPrior(0.1, 0.1), 0.0)
