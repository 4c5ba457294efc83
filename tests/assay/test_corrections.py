"""The laws that turn readings into volumes and masses: by limiting cases, by two roads, by all four evaluators."""

import csv
import math
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assaywright.assay.corrections.buoyancy import buoyancy_factor
from assaywright.assay.corrections.calibrated_volume import calibrated_volume, z_factor
from assaywright.assay.corrections.delivered_volume import (
    correction_at,
    delivered_volume,
    interval_error,
    scale_weights,
)
from assaywright.assay.corrections.minimum_weight import is_heavy_enough, minimum_weight_mg
from assaywright.assay.corrections.temperature import expansion_factor
from assaywright.assay.corrections.weighing import linearity_error
from assaywright.chemistry.air import air_density_cipm2007
from assaywright.chemistry.solution import thermal_ratio
from assaywright.chemistry.water import water_density_tanaka2001
from assaywright.metrology.batch import batch_inputs, evaluate_batch
from assaywright.metrology.estimate import combine, correlation, exact, influence
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.model import Model, ModelInput, PlainMeans, evaluate_plain
from assaywright.metrology.monte_carlo import run_trials
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.working import write_working
from assaywright.reference.tables import primary_standard

VOLUMETRY = Path(__file__).parents[1] / "reference" / "volumetry"
PLAIN = PlainMeans()
BOROSILICATE_PER_K = 9.9e-6


def to_20_degC(temperature_degC: float, law: str, glass_per_K: float = BOROSILICATE_PER_K, vessel_degC: float = 20.0):
    found = thermal_ratio(law, temperature_degC)
    return expansion_factor(0.0, temperature_degC, vessel_degC, glass_per_K, found.ratio, found.slope_per_K, 0.0, PLAIN)


# ---------------------------------------------------------------------------------------------------------- buoyancy


def test_air_carries_phthalate_by_six_parts_in_ten_thousand_and_water_by_eleven():
    # Sizes of mistakes, common practice, no source: buoyancy ignored is -0.058 % for phthalate, -0.105 % for a liquid.
    phthalate = primary_standard("KHP").density.estimate.value
    assert buoyancy_factor(1.2, phthalate, "reference air", PLAIN) - 1 == pytest.approx(0.00058, abs=0.00001)
    assert buoyancy_factor(1.2, 998.2, "reference air", PLAIN) - 1 == pytest.approx(0.00105, abs=0.00001)


def test_a_load_as_dense_as_the_weights_needs_no_correction_in_reference_air():
    assert buoyancy_factor(1.2, 8000.0, "reference air", PLAIN) == pytest.approx(1.0, abs=1e-15)


@given(st.floats(0.8, 1.3), st.floats(500.0, 20000.0))
def test_both_forms_of_buoyancy_agree_in_reference_air_and_differ_as_the_weights_float(air, thing):
    reference, day = (buoyancy_factor(air, thing, how, PLAIN) for how in ("reference air", "air of the day"))
    assert day / reference == pytest.approx((1 - air / 8000) / (1 - 1.2 / 8000), rel=1e-13)
    assert buoyancy_factor(1.2, thing, "reference air", PLAIN) == buoyancy_factor(1.2, thing, "air of the day", PLAIN)


@given(st.floats(0.8, 1.3), st.floats(500.0, 7999.0))
def test_the_forces_on_the_balance_are_in_equilibrium(air, thing):
    # What the balance shows is the mass of weights of 8000 kg/m3 that in this air pull as hard as the load.
    mass = buoyancy_factor(air, thing, "air of the day", PLAIN)
    assert mass * (1 - air / thing) == pytest.approx(1 * (1 - air / 8000), rel=1e-13)


# ------------------------------------------------------------------------------------------------------- temperature


def test_a_warm_burette_delivers_more_than_its_mark():
    assert expansion_factor(0.0, 27.0, 20.0, BOROSILICATE_PER_K, 1.0, 0.0, 0.0, PLAIN) > 1


def test_but_a_warm_solution_holds_less_at_20_degrees():
    # Sizes of mistakes: titrant 5 °C warmer, 0.1 mol/L 0.11 %, 1 mol/L caustic 0.12 to 0.15 %, perchloric 0.55 %.
    assert to_20_degC(25.0, "aq_0.1_0.2") - 1 == pytest.approx(-0.0012, abs=0.0001)
    assert to_20_degC(25.0, "half_H2SO4_1_NaOH_1") - 1 == pytest.approx(-0.0016, abs=0.0001)
    assert to_20_degC(25.0, "0.0011 /K") - 1 == pytest.approx(-0.0055, abs=0.0001)


def test_a_vessel_of_27_degrees_is_right_at_27_degrees():
    assert expansion_factor(0.0, 27.0, 27.0, BOROSILICATE_PER_K, 1.0, 0.0, 0.0, PLAIN) == 1.0
    shifted = expansion_factor(0.0, 20.0, 27.0, BOROSILICATE_PER_K, 1.0, 0.0, 0.0, PLAIN)
    assert shifted == pytest.approx(1 - 7 * BOROSILICATE_PER_K, rel=1e-15)


def test_two_warm_vessels_with_like_solutions_cancel():
    # Edge case "both vessels warm: nearly cancels": 25 mL pipetted, 25 mL titrated, all at 28 °C.
    assert to_20_degC(28.0, "aq_0.1_0.2") / to_20_degC(28.0, "aq_0.1_0.2") == 1.0
    assert to_20_degC(28.0, "water_le_0.05") / to_20_degC(28.0, "aq_0.1_0.2") - 1 == pytest.approx(0.00024, abs=0.00005)
    assert to_20_degC(28.0, "aq_0.1_0.2") - 1 == pytest.approx(-0.0021, abs=0.0001)


def test_the_corrected_volumes_of_the_standard_table_are_met_to_a_tenth_of_a_microlitre():
    # GB/T 601, Appendix A, Table A.1: corrections as printed (read), volume by V20 = V (1 + correction/1000); the rows
    # "I" interpolate between whole degrees, which is a convention of ours.
    with (VOLUMETRY / "temperature_correction_checks.csv").open(encoding="utf-8", newline="") as file:
        cases = list(csv.DictReader(file))
    assert len(cases) == 19
    for row in cases:
        volume = float(row["volume_read_mL"]) * to_20_degC(float(row["temperature_C"]), row["solution_key"], 25e-6)
        expected = float(row["volume_read_mL"]) * (1 + float(row["correction_mL_per_L"]) / 1000)
        assert volume == pytest.approx(expected, abs=0.00005), row
        assert volume == pytest.approx(float(row["volume_20C_mL_recalc"]), abs=0.0001), row


def test_an_error_of_the_thermometer_moves_the_factor_as_a_second_reading_would():
    found = thermal_ratio("water", 24.0)
    moved = expansion_factor(0.5, 24.0, 20.0, BOROSILICATE_PER_K, found.ratio, found.slope_per_K, 0.0, PLAIN)
    assert moved == pytest.approx(to_20_degC(24.5, "water"), abs=2e-6)
    assert abs(moved - to_20_degC(24.0, "water")) > 1e-4


# -------------------------------------------------------------------------------------------------- delivered volume


def test_the_linearity_of_a_balance_counts_twice_when_weighing_by_difference():
    # EURACHEM/CITAC Guide CG 4, 3rd edition (2012), A2.4, step 3: 0.15 mg rectangular, twice: u(m) = 0.12 mg.
    loaded, tare = (
        linearity_error(f"balance, {side}", side, load, 0.15e-3 / math.sqrt(3), "rectangular")
        for side, load in (("loaded", 60.5450), ("tare", 60.1562))
    )
    assert 1000 * combine("g", [(1.0, loaded), (-1.0, tare)]).standard_uncertainty == pytest.approx(0.12, abs=0.005)


def test_a_correction_that_differs_at_both_ends_of_the_delivery_counts_at_both():
    # Edge case "burette correction differs at start and end".
    certificate = [(0.0, 0.0), (10.0, 0.01), (20.0, 0.03), (50.0, -0.03)]
    at = [correction_at(reading, certificate) for reading in (5.0, 15.0, 35.0)]
    assert at == pytest.approx([0.005, 0.02, 0.0])
    delivered = delivered_volume([(5.0, at[0], 15.0, at[1])], 0.0, PLAIN)
    assert delivered == pytest.approx(10.0 + 0.02 - 0.005, abs=1e-12)


def test_a_refilled_burette_counts_both_fillings():
    fillings = [(0.02, 0.0, 49.98, -0.03), (0.05, 0.0, 12.31, 0.012)]
    assert delivered_volume(fillings, 0.0, PLAIN) == pytest.approx(49.96 - 0.03 + 12.26 + 0.012, abs=1e-12)


def test_a_burette_correction_between_points_lies_on_the_straight_line_and_at_them_on_the_certificate():
    certificate = [(10.0, 0.02), (20.0, -0.02)]
    assert correction_at(20.0, certificate) == -0.02
    assert correction_at(5.0, certificate) == pytest.approx(0.01)
    assert correction_at(0.0, certificate) == 0.0
    assert correction_at(30.0, certificate) == -0.02
    assert correction_at(12.5, []) == 0.0


@given(st.floats(0.0, 49.0), st.floats(0.01, 50.0), st.sampled_from([0.0, 0.5, 1.0]))
def test_a_class_tolerance_bounds_the_delivered_interval_once(initial, length, r):
    final = initial + length
    assume(final <= 50.0)
    error = interval_error("burette 17", "burette", [(initial, final)], 50.0, 0.0204, r, "triangular", bounded=True)
    assert error.value == 0
    assert error.standard_uncertainty == pytest.approx(0.0204, rel=1e-9)


def test_what_was_not_delivered_has_no_error():
    for bounded in (True, False):
        nothing = interval_error("burette 17", "burette", [(12.0, 12.0)], 50.0, 0.02, 0.5, "normal", bounded=bounded)
        assert nothing.standard_uncertainty == pytest.approx(0.0, abs=1e-15)


@given(st.floats(1.0, 50.0), st.floats(0.0, 1.0))
def test_beginning_a_hundredth_below_the_zero_mark_changes_little(final, r):
    from_zero, from_below = (
        interval_error("burette 17", "burette", [(initial, final)], 50.0, 0.01, r, "normal", bounded=False)
        for initial in (0.0, 0.01))
    assert from_below.standard_uncertainty == pytest.approx(from_zero.standard_uncertainty, rel=0.11)


def test_a_short_delivery_near_the_top_of_a_calibrated_burette_is_not_free_of_error():
    error = interval_error("burette 17", "burette", [(1.0, 9.0)], 50.0, 0.01, 0.0, "normal", bounded=False)
    assert 0.005 < error.standard_uncertainty < 0.01


@pytest.mark.parametrize("r", [0.0, 0.3, 0.9, 1.0])
def test_two_calibrated_corrections_far_apart_leave_what_their_correlation_leaves(r):
    # JCGM 100:2008, 5.2.2: u2(a - b) = u2(a) + u2(b) - 2 r u(a) u(b).
    error = interval_error("burette 17", "burette", [(10.0, 50.0)], 50.0, 0.01, r, "normal", bounded=False)
    assert error.standard_uncertainty == pytest.approx(0.01 * math.sqrt(2 * (1 - r)), abs=1e-12)


@pytest.mark.parametrize(("one", "other"), [(10, 12), (11, 17), (20, 25), (25, 38), (12, 44), (30, 50), (18.3, 31.1),
                                           (32, 38)])
def test_errors_along_the_scale_hang_together_less_the_farther_apart_they_lie(one, other):
    # The correlation that the docstring states, integrated here by itself: the mean of exp(-d²/(2 l²)) over lengths l
    # from a tenth to three tenths of the scale.
    first, second = scale_weights(one, 50.0), scale_weights(other, 50.0)
    ours = sum(weight * second.get(node, 0.0) for node, weight in first.items())
    lengths = [5 + 10 * (k + 0.5) / 1000 for k in range(1000)]
    stated = sum(math.exp(-((other - one) ** 2) / (2 * length**2)) for length in lengths) / 1000
    assert ours == pytest.approx(stated, abs=0.06)
    assert sum(weight**2 for weight in first.values()) == pytest.approx(1.0, abs=1e-12)


def test_a_delivery_from_the_zero_mark_carries_the_error_of_one_reading():
    error = interval_error("burette 17", "burette", [(0.0, 40.0)], 50.0, 0.01, 0.5, "normal", bounded=False)
    assert error.standard_uncertainty == pytest.approx(0.01, rel=1e-12)


def test_replicates_that_end_near_one_another_share_the_error_of_the_scale():
    first, second, third = (
        interval_error("burette 17", "burette", [(0.0, end)], 50.0, 0.02, 0.0, "triangular", bounded=True)
        for end in (24.50, 24.62, 48.00))
    assert correlation(first, second) > 0.99
    assert correlation(first, third) < 0.5
    mean = combine("mL", ((0.5, first), (0.5, second)))
    assert mean.standard_uncertainty == pytest.approx(0.02, rel=0.01)


def test_another_burette_errs_on_its_own():
    one, other = (interval_error(key, key, [(0.0, 25.0)], 50.0, 0.02, 0.0, "triangular", bounded=True)
                  for key in ("burette 17", "burette 18"))
    assert correlation(one, other) == 0


# ------------------------------------------------------------------------------------------------- calibrated volume


def test_the_air_carries_part_of_the_water_weighed():
    water, air = water_density_tanaka2001(20.0), air_density_cipm2007(20.0, 1013.25, 50.0, PLAIN)
    assert z_factor(water, 0.0, PLAIN) == pytest.approx(1000 / water, rel=1e-15)
    assert z_factor(water, air, PLAIN) / z_factor(water, 0.0, PLAIN) - 1 == pytest.approx(0.00105, abs=0.00001)


def test_a_cold_vessel_is_larger_at_20_degrees():
    at_15 = calibrated_volume(10.0, 999.1, 1.2, 15.0, 27e-6, PLAIN)
    assert at_15 / calibrated_volume(10.0, 999.1, 1.2, 20.0, 27e-6, PLAIN) == pytest.approx(1 + 5 * 27e-6, rel=1e-12)


def test_weighing_the_water_a_vessel_delivers_gives_back_its_volume():
    # Two roads: the forward law (expansion, density, buoyancy) against the calibration equation.
    volume_20, temperature, expansion = 25.0, 26.0, 9.9e-6
    water, air = water_density_tanaka2001(temperature), air_density_cipm2007(temperature, 990.0, 40.0, PLAIN)
    held = volume_20 * expansion_factor(0.0, temperature, 20.0, expansion, 1.0, 0.0, 0.0, PLAIN)
    reading = held * water / 1000 / buoyancy_factor(air, water, "air of the day", PLAIN)
    assert calibrated_volume(reading, water, air, temperature, expansion, PLAIN) == pytest.approx(volume_20, rel=1e-8)


# ---------------------------------------------------------------------------------------------------- minimum weight


def test_the_minimum_weight_follows_the_repeatability_but_never_below_the_floor():
    # USP <41> Balances: rule read, inputs and figures of the rows without a print are ours; equality passes.
    with (VOLUMETRY / "minimum_weight_checks.csv").open(encoding="utf-8", newline="") as file:
        cases = list(csv.DictReader(file))
    assert len(cases) == 9
    for row in cases:
        scatter, step = Decimal(row["standard_deviation_s_mg"]), Decimal(row["readability_d_mg"])
        assert minimum_weight_mg(scatter, step) == Decimal(row["minimum_weight_mg_recalc"]), row
        if row["desired_smallest_net_weight_mg"]:
            passes = is_heavy_enough(Decimal(row["desired_smallest_net_weight_mg"]), scatter, step)
            assert passes == (row["passes_recalc"] == "yes"), row


def test_a_balance_without_step_or_with_negative_scatter_is_refused():
    for scatter, step in (("-0.1", "0.1"), ("0.1", "0"), ("NaN", "0.1")):
        with pytest.raises((Refusal, ArithmeticError)):
            minimum_weight_mg(Decimal(scatter), Decimal(step))


# ------------------------------------------------------------------------------------- one equation, four evaluators


def calibration_model() -> Model:
    def equation(x, m):
        temperature = x["t"] + x["δt"]
        air = air_density_cipm2007(temperature, x["p"], x["h"], m)
        water = water_density_tanaka2001(temperature)
        volume = calibrated_volume(x["W"], water, air, temperature, x["γ"], m)
        ratio = thermal_ratio("water", 22.0)
        content = expansion_factor(x["δt"], 22.0, 20.0, x["γ"], ratio.ratio, ratio.slope_per_K, 0.0, m)
        delivered = delivered_volume([(x["R_i"], 0.0, x["R_f"], 0.01)], x["δV"], m)
        return delivered * content / volume * buoyancy_factor(air, x["ρ"], "reference air", m)

    scale = interval_error("burette 17", "burette", [(0.02, 24.98)], 50.0, 0.02, 0.0, "triangular", bounded=True)
    given_inputs = {
        "t": exact(22.0, "°C"), "δt": influence("thermometer", 0.0, 0.1, "K", distribution="rectangular"),
        "p": influence("barometer", 1002.0, 1.0, "hPa"), "h": influence("hygrometer", 45.0, 5.0, "%"),
        "W": influence("balance", 24.871, 0.0004, "g"), "γ": influence("glass", 9.9e-6, 3e-7, "1/K"),
        "R_i": exact(0.02, "mL"), "R_f": exact(24.98, "mL"), "δV": scale,
        "ρ": influence("density", 1640.0, 5.0, "kg/m³"),
    }
    return Model(equation, {name: ModelInput(name, name, value) for name, value in given_inputs.items()}, "1")


def test_every_law_serves_all_four_evaluators_from_one_text():
    model = calibration_model()
    value, steps = evaluate_plain(model)
    propagated = evaluate_gum(model).estimate
    assert propagated.value == pytest.approx(value, rel=1e-14)
    assert {"b", "F", "r", "V_d", "Z", "V_20"} <= set(steps)
    batch = evaluate_batch(model.equation, batch_inputs(model), 1)
    assert batch.values[0] == pytest.approx(value, rel=1e-14)
    assert batch.standard_uncertainty[0] == pytest.approx(propagated.standard_uncertainty, rel=1e-11)
    trials = run_trials(model, 20_000, 7)
    assert trials.mean() == pytest.approx(value, abs=4 * propagated.standard_uncertainty / math.sqrt(20_000))
    assert trials.std() == pytest.approx(propagated.standard_uncertainty, rel=0.03)
    lines = {line.symbol for line in write_working(model).lines}
    assert {"b", "F", "Z", "V_20"} <= lines
