"""One equation, four evaluators: each road must end at the same figure."""

import math
from decimal import Decimal

import numpy as np
import pytest

from assaywright.metrology.batch import BatchInput, batch_inputs, evaluate_batch
from assaywright.metrology.estimate import (
    Contribution,
    Estimate,
    combine,
    correlation,
    covariance,
    exact,
    from_record,
    influence,
    to_record,
)
from assaywright.metrology.gum import coverage_factor, evaluate_gum
from assaywright.metrology.model import Model, ModelInput, evaluate_plain
from assaywright.metrology.monte_carlo import MOST_TRIALS, numerical_tolerance, run_trials, simulate
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.working import write_working


def standardisation(x, m):
    """A standardisation with every means an equation may use."""
    volume = m.step("V", "volume", (x["R_f"] - x["R_i"] + x["dV"]) * (1 + x["gamma"] * x["dt"]), "mL")
    amount = m.step("n", "amount", 1000 * x["m"] * x["P"] / x["M"], "mmol")
    c = m.step("c", "concentration", amount / volume, "mol/L")
    pc = m.step("p", "its negative logarithm", -1 * m.log10(c), "1")
    back = m.step("q", "and back", m.exp(-1 * pc * math.log(10)), "mol/L")
    return m.step("y", "result", m.sqrt(c * back), "mol/L")


def model():
    inputs = {
        "R_f": exact(38.62, "mL"),
        "R_i": exact(0.0, "mL"),
        "dV": Estimate(0.0, "mL", (Contribution("burette", 0.012, distribution="triangular"),
                                   Contribution("thermometer", 0.003))),
        "gamma": influence("glass", 9.9e-6, 1e-6, "1/K", distribution="rectangular"),
        "dt": Estimate(2.0, "K", (Contribution("thermometer", 0.2),)),
        "m": influence("balance", 0.7888, 0.0001, "g", degrees_of_freedom=12),
        "P": influence("material", 0.9997, 0.00035, "1"),
        "M": influence("atomic weights", 204.2206, 0.004, "g/mol", distribution="rectangular"),
    }
    return Model(standardisation, {name: ModelInput(name, name, one) for name, one in inputs.items()}, "mol/L")


def test_plain_uncertain_batched_and_written_values_agree():
    found = evaluate_gum(model())
    plain, steps = evaluate_plain(model())
    batch = evaluate_batch(standardisation, batch_inputs(model()), 3)
    written = write_working(model())
    assert found.estimate.value == pytest.approx(plain, rel=1e-15)
    assert batch.values == pytest.approx([plain] * 3, rel=1e-15)
    assert float(written.lines[-1].value) == pytest.approx(plain, rel=1e-10)
    assert steps["V"] == pytest.approx(38.62 * (1 + 9.9e-6 * 2), rel=1e-15)


def test_batched_contributions_equal_the_uncertain_numbers_to_twelve_digits():
    found = evaluate_gum(model()).estimate
    batch = evaluate_batch(standardisation, batch_inputs(model()), 5)
    assert batch.standard_uncertainty == pytest.approx([found.standard_uncertainty] * 5, rel=1e-12)
    assert batch.degrees_of_freedom == pytest.approx([found.degrees_of_freedom] * 5, rel=1e-12)
    for part in found.contributions:
        assert batch.contributions[part.key][4] == pytest.approx(part.amount, rel=1e-12)
    assert batch.estimate(2, "mol/L").standard_uncertainty == pytest.approx(found.standard_uncertainty, rel=1e-12)


def test_a_batch_of_different_results_equals_each_by_itself():
    readings = np.array([20.0, 30.0, 40.0])
    batch = evaluate_batch(standardisation, batch_inputs(model()) | {"R_f": BatchInput(readings)}, 3)
    for index, reading in enumerate(readings):
        single = model()
        given = ModelInput("R_f", "R_f", exact(reading, "mL"))
        alone = Model(standardisation, {**single.inputs, "R_f": given}, "mol/L")
        assert batch.standard_uncertainty[index] == pytest.approx(
            evaluate_gum(alone).estimate.standard_uncertainty, rel=1e-12)


def test_an_influence_shared_by_two_inputs_is_added_with_its_signs():
    """JCGM 100:2008, F.1.2.3: the thermometer's two effects on the volume add before they are squared."""
    def difference(x, m):
        return x["a"] - x["b"]

    a, b = (Estimate(5.0, "mL", (Contribution("same", 0.02),)) for _ in range(2))
    shared = Model(difference, {"a": ModelInput("a", "a", a), "b": ModelInput("b", "b", b)}, "mL")
    assert evaluate_gum(shared).estimate.standard_uncertainty == 0.0
    assert evaluate_batch(difference, batch_inputs(shared), 1).standard_uncertainty[0] == 0.0
    assert np.ptp(run_trials(shared, 1000, 1)) == 0.0


def test_simulation_finds_the_uncertainty_of_the_law_of_propagation():
    found = evaluate_gum(model()).estimate
    simulated = simulate(model(), 400_000, seed=3)
    assert simulated.mean == pytest.approx(found.value, abs=4 * found.standard_uncertainty / math.sqrt(400_000))
    assert simulated.standard_uncertainty == pytest.approx(found.standard_uncertainty, rel=0.02)


def test_simulation_draws_every_influence_of_an_input():
    """Independent parts of 0.3 and 0.4 make 0.5; shared by two inputs with opposite signs the larger one drops out."""
    first = Estimate(5.0, "mL", (Contribution("a", 0.3, distribution="rectangular"), Contribution("b", 0.4)))
    second = Estimate(2.0, "mL", (Contribution("c", 0.1), Contribution("b", -0.4)))

    def total(x, m):
        return m.step("y", "sum", x["first"] + x["second"], "mL")

    alone = Model(lambda x, m: m.step("y", "itself", x["first"], "mL"), {"first": ModelInput("a", "a", first)}, "mL")
    both = Model(total, {"first": ModelInput("a", "a", first), "second": ModelInput("b", "b", second)}, "mL")
    assert run_trials(alone, 400_000, 2).std() == pytest.approx(0.5, rel=0.005)
    assert run_trials(both, 400_000, 2).std() == pytest.approx(math.hypot(0.3, 0.1), rel=0.005)


def test_the_seed_alone_fixes_a_simulation():
    assert np.array_equal(run_trials(model(), 20_000, 7), run_trials(model(), 20_000, 7))
    assert not np.array_equal(run_trials(model(), 20_000, 7), run_trials(model(), 20_000, 8))


def one_influence(**kwargs):
    """The model of a quantity that is one standardised influence itself."""
    def itself(x, m):
        return m.step("y", "itself", x["a"], "1")

    return Model(itself, {"a": ModelInput("a", "a", influence("k", 0.0, 1.0, "1", **kwargs))}, "1")


@pytest.mark.parametrize(
    ("distribution", "half_width_in_u"),
    [("rectangular", math.sqrt(3)), ("triangular", math.sqrt(6)), ("arcsine", math.sqrt(2))],
)
def test_each_bounded_distribution_has_its_width_and_unit_standard_deviation(distribution, half_width_in_u):
    """JCGM 101:2008, 6.4.2, 6.4.5 and 6.4.6."""
    one = one_influence(distribution=distribution)
    values = run_trials(one, 200_000, 5)
    assert values.std() == pytest.approx(1.0, rel=0.01)
    assert abs(values).max() <= half_width_in_u * (1 + 1e-12)
    assert abs(values).max() == pytest.approx(half_width_in_u, rel=0.02)


def test_few_degrees_of_freedom_draw_from_the_t_distribution():
    """JCGM 101:2008, 6.4.9.2 and 6.4.9.4: the standard deviation exceeds u by sqrt(nu/(nu - 2))."""
    one = one_influence(degrees_of_freedom=8)
    assert run_trials(one, 400_000, 5).std() == pytest.approx(math.sqrt(8 / 6), rel=0.01)


@pytest.mark.parametrize("trials", [1, 0, -5, MOST_TRIALS + 1])
def test_an_unfit_number_of_trials_is_refused(trials):
    with pytest.raises(Refusal, match="Monte Carlo trials"):
        simulate(model(), trials)


def test_the_numerical_tolerance_follows_the_standard():
    """JCGM 101:2008, 7.9.2, examples 1 and 2 (from memory): u = 0.000 35 g, u = 2 K with one digit."""
    assert numerical_tolerance(0.00035, 2) == pytest.approx(0.000005)
    assert numerical_tolerance(2.0, 1) == pytest.approx(0.5)
    assert numerical_tolerance(0.000999, 2) == pytest.approx(0.00005)


def test_the_coverage_factor_is_students_t():
    """JCGM 100:2008, Table G.2: 95 %, nu = 10 and infinity (from memory)."""
    assert coverage_factor(10) == pytest.approx(2.23, abs=0.005)
    assert coverage_factor(math.inf) == pytest.approx(1.960, abs=0.0005)


def test_a_stored_estimate_comes_back_the_same():
    found = evaluate_gum(model()).estimate
    again = from_record(to_record(found))
    assert again == found
    assert covariance(again, found) == pytest.approx(found.variance, rel=1e-15)
    assert correlation(again, found) == pytest.approx(1.0)


def test_covariance_is_the_sum_over_shared_keys():
    first = Estimate(1.0, "g", (Contribution("a", 0.3), Contribution("b", -0.4)))
    second = Estimate(2.0, "mL", (Contribution("b", 0.5), Contribution("c", 0.1)))
    assert covariance(first, second) == pytest.approx(-0.2)
    both = combine("1", ((1.0, first), (1.0, second)))
    assert both.variance == pytest.approx(first.variance + second.variance + 2 * covariance(first, second))


@pytest.mark.parametrize("record", [{}, {"value": 1}, {"value": "x", "unit": "g", "contributions": []},
                                    {"value": 1, "unit": "g", "contributions": [{}]},
                                    {"value": float("nan"), "unit": "g", "contributions": []}])
def test_a_garbled_record_is_refused(record):
    with pytest.raises(Refusal):
        from_record(record)


@pytest.mark.parametrize("uncertainty", [-0.1, math.nan, math.inf])
def test_an_impossible_uncertainty_is_refused(uncertainty):
    with pytest.raises(Refusal, match="standard uncertainty"):
        influence("k", 1.0, uncertainty, "g")


def test_every_line_of_a_working_can_be_keyed_in_again():
    """An independent recomputation of each line, from the printed figures alone, meets the printed value."""
    for line in write_working(model()).lines:
        text = line.figures.replace("−", "-").replace("×", "*").replace("^", "**")
        value = eval(text, {"__builtins__": {}}, {"sqrt": math.sqrt, "exp": math.exp, "log10": math.log10})  # noqa: S307
        assert Decimal(f"{value:.11e}") == pytest.approx(Decimal(line.value.replace("−", "-")), rel=Decimal("2e-11"))
