"""Laws of the density of water, air and solutions: rivals agree, evaluators agree, ranges hold."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.chemistry.air import air_density_cipm2007, air_density_cipm2007_kg_per_m3, air_density_oiml2004
from assaywright.chemistry.solution import thermal_ratio
from assaywright.chemistry.water import (
    check_water_temperature,
    dissolved_air_correction_tanaka2001,
    water_density_jones_harris1992,
    water_density_kell1975,
    water_density_tanaka2001,
)
from assaywright.metrology.estimate import covariance, influence
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.model import Model, ModelInput, PlainMeans
from assaywright.metrology.refusal import Refusal
from assaywright.reference.tables import volume_correction_column, volume_correction_columns

VOLUMETRY = Path(__file__).parents[1] / "reference" / "volumetry"


class ArrayMeans(PlainMeans):
    def exp(self, value):
        return np.exp(value)


def test_three_equations_for_water_agree_within_six_millionths():
    # Bettin and Spieweck 1990 state 0.006 kg/m3 for the older equations; the three here rest on different data.
    for temperature in np.arange(5.0, 40.1, 0.5):
        tanaka = water_density_tanaka2001(temperature)
        assert water_density_jones_harris1992(temperature) == pytest.approx(tanaka, abs=0.006)
        assert water_density_kell1975(temperature) == pytest.approx(tanaka, abs=0.006)


def test_water_is_densest_near_four_degrees():
    # Tanaka et al. 2001: 999.974 950 kg/m3 at 3.983 035 °C.
    peak = water_density_tanaka2001(3.983035)
    assert peak == pytest.approx(999.97495, abs=1e-9)
    assert water_density_tanaka2001(3.9) < peak > water_density_tanaka2001(4.1)


def test_water_full_of_air_is_lighter_by_some_two_and_a_half_millionths():
    # Tanaka et al. 2001 after Bignell 1983, from memory: about -2.5 ppm at 20 °C.
    lighter = dissolved_air_correction_tanaka2001(20.0) / water_density_tanaka2001(20.0)
    assert lighter == pytest.approx(-2.5e-6, abs=5e-8)


def test_water_beyond_the_range_of_its_law_is_refused():
    for temperature in (-0.1, 40.1, float("nan")):
        with pytest.raises(Refusal, match="0 to 40 °C"):
            check_water_temperature(temperature)
    check_water_temperature(60.0, "kell_1975")


@given(st.floats(10.0, 30.0), st.floats(900.0, 1100.0), st.floats(0.0, 80.0))
def test_the_short_formula_for_air_keeps_its_stated_two_parts_in_ten_thousand(temperature, pressure, humidity):
    # OIML R 111-1:2004, E.3, from memory: relative uncertainty 2e-4 for 900 to 1100 hPa, 10 to 30 °C, below 80 %,
    # beside the formula of 1991; the argon of the formula of 2007 (Picard et al.) adds another 7e-5.
    full = air_density_cipm2007(temperature, pressure, humidity, PlainMeans())
    short = air_density_oiml2004(temperature, pressure, humidity, PlainMeans())
    assert short == pytest.approx(full, rel=2.7e-4)


def test_damp_air_is_lighter_and_air_rich_in_carbon_dioxide_heavier():
    dry, damp = (air_density_cipm2007_kg_per_m3(20.0, 1013.25, humidity) for humidity in (0.0, 100.0))
    assert damp < dry
    assert air_density_cipm2007(20.0, 1013.25, 50.0, PlainMeans(), 0.0008) > air_density_cipm2007(
        20.0, 1013.25, 50.0, PlainMeans())


def test_one_law_serves_numbers_arrays_and_uncertain_numbers():
    temperatures = np.array([18.0, 20.0, 23.0])
    together = air_density_cipm2007(temperatures, 1000.0, 40.0, ArrayMeans())
    for temperature, density in zip(temperatures, together, strict=True):
        assert air_density_cipm2007(float(temperature), 1000.0, 40.0, PlainMeans()) == pytest.approx(density, rel=1e-14)
    given_t = ModelInput("t", "temperature", influence("thermometer", 20.0, 0.1, "°C"))
    model = Model(lambda x, m: air_density_cipm2007(x["t"], 1013.25, 50.0, m), {"t": given_t}, "kg/m³")
    found = evaluate_gum(model)
    rise = air_density_cipm2007(20.05, 1013.25, 50.0, PlainMeans()) - air_density_cipm2007(
        19.95, 1013.25, 50.0, PlainMeans())
    assert found.estimate.value == pytest.approx(air_density_cipm2007(20.0, 1013.25, 50.0, PlainMeans()), rel=1e-14)
    assert found.sensitivities["t"] == pytest.approx(rise / 0.1, rel=1e-5)
    water = Model(lambda x, _: water_density_tanaka2001(x["t"]), {"t": given_t}, "kg/m³")
    # Expansion of water at 20 °C, 2.07e-4 per K: handbooks, from memory.
    assert evaluate_gum(water).sensitivities["t"] / -998.2 == pytest.approx(2.07e-4, abs=5e-7)


@pytest.mark.parametrize(
    ("conditions", "told"),
    [((50.0, 1013.0, 50.0), "air temperature"), ((20.0, 101.3, 50.0), "hPa"), ((20.0, 760.0, 150.0), "humidity"),
     ((20.0, 101325.0, 50.0), "air pressure"), ((float("nan"), 1013.0, 50.0), "air temperature")],
)
def test_air_that_no_laboratory_has_is_refused(conditions, told):
    with pytest.raises(Refusal, match=told):
        air_density_cipm2007_kg_per_m3(*conditions)


def test_every_printed_correction_of_a_standard_solution_is_given_back():
    # GB/T 601, Appendix A, Table A.1, transcription T1: each cell of each column, glass 25e-6 per K put back in.
    with (VOLUMETRY / "temperature_correction_standard_solutions.csv").open(encoding="utf-8", newline="") as file:
        cells = [row for row in csv.DictReader(file) if row["transcription"].startswith("T1")]
    assert len(cells) == 245
    for row in cells:
        temperature = float(row["temperature_C"])
        ratio = thermal_ratio(row["solution_key"], temperature).ratio
        assert (ratio * (1 + 25e-6 * (temperature - 20)) - 1) * 1000 == pytest.approx(
            float(row["correction_mL_per_L"]), abs=1e-9), row
    assert {row["solution_key"] for row in cells} == set(volume_correction_columns())


def test_another_transcription_of_the_corrections_agrees_where_it_does_not_contradict_itself():
    # GB/T 601-2002 as quoted on a page of its own; its -1.2 for NaOH at 25 °C contradicts its own worked figure.
    with (VOLUMETRY / "temperature_correction_standard_solutions.csv").open(encoding="utf-8", newline="") as file:
        cells = [row for row in csv.DictReader(file) if row["transcription"].startswith("T3")]
    ours = [volume_correction_column(row["solution_key"]).corrections[int(row["temperature_C"])].correction_mL_per_L
            for row in cells]
    agreeing = [float(row["correction_mL_per_L"]) == value for row, value in zip(cells, ours, strict=True)]
    assert agreeing == ["contradicts" not in row["notes"] for row in cells] == [True, True, True, False]


def test_the_printed_column_for_water_follows_the_density_of_water_but_for_one_cell():
    # Two roads: GB/T 601 Table A.1 against Tanaka 2001. The cell at 33 °C is a suspected misprint, kept and flagged.
    column = volume_correction_column("water_le_0.05")
    for degree, printed in column.corrections.items():
        ratio = thermal_ratio("water", float(degree)).ratio
        computed = (ratio * (1 + 25e-6 * (degree - 20)) - 1) * 1000
        assert (abs(printed.correction_mL_per_L - computed) < 0.035) == (degree != 33), degree
        assert bool(printed.doubt) == (degree == 33)


def test_a_doubted_figure_of_the_table_is_used_and_told():
    assert "misprint" not in thermal_ratio("half_Na2CO3_1", 22.0).doubt
    assert "-1.2" in thermal_ratio("half_Na2CO3_1", 24.0).doubt
    assert "-1.2" in thermal_ratio("half_Na2CO3_1", 24.4).doubt
    assert thermal_ratio("half_Na2CO3_1", 23.0).doubt == ""


def test_between_whole_degrees_the_correction_is_interpolated():
    # Convention of ours: GB/T 601 tabulates whole degrees only. 26 °C -1.4, 27 °C -1.7 in the column for 0.1 mol/L.
    found = thermal_ratio("aq_0.1_0.2", 26.5)
    assert (found.ratio * (1 + 25e-6 * 6.5) - 1) * 1000 == pytest.approx(-1.55, abs=1e-9)


@given(st.sampled_from(["water", "aq_0.1_0.2", "HCl_1", "KOH_ethanol_0.1", "0.0011 /K"]), st.floats(11.0, 29.0))
def test_the_slope_is_the_slope_of_the_ratio(law, temperature):
    low, mid, high = (thermal_ratio(law, temperature + shift) for shift in (-1e-6, 0.0, 1e-6))
    one_sided = sorted(((high.ratio - mid.ratio) / 1e-6, (mid.ratio - low.ratio) / 1e-6))
    assert one_sided[0] - 1e-8 <= mid.slope_per_K <= one_sided[1] + 1e-8


def test_a_solution_is_heavier_in_the_cold_and_strong_alkali_expands_more_than_water():
    assert thermal_ratio("aq_0.1_0.2", 15.0).ratio > 1 > thermal_ratio("aq_0.1_0.2", 25.0).ratio
    slopes = [thermal_ratio(law, 25.0).slope_per_K for law in ("water", "half_H2SO4_1_NaOH_1", "0.0011 /K")]
    assert slopes == sorted(slopes, reverse=True)


def test_perchloric_acid_in_acetic_acid_expands_by_a_ninth_of_a_per_cent_per_kelvin():
    # British Pharmacopoeia 2012, Appendix I B, Perchloric Acid VS: Vc = V[1 + 0.0011 (t1 - t2)].
    volume = 25.00 * thermal_ratio("0.0011 /K", 24.0).ratio
    assert volume == pytest.approx(25.00 * (1 + 0.0011 * (20.0 - 24.0)), abs=1e-12)


def test_measured_densities_are_interpolated_and_never_extrapolated():
    points = [(15.0, 1.0401), (20.0, 1.0385), (25.0, 1.0366)]
    found = thermal_ratio(points, 22.5)
    assert found.ratio == pytest.approx((1.0385 + 1.0366) / 2 / 1.0385, rel=1e-12)
    assert found.slope_per_K == pytest.approx(-0.0019 / 5 / 1.0385, rel=1e-9)
    assert found.status == "measured"
    with pytest.raises(Refusal, match="outside the 15 to 25 °C"):
        thermal_ratio(points, 26.0)
    with pytest.raises(Refusal, match="20 °C lies outside"):
        thermal_ratio([(22.0, 1.038), (25.0, 1.0366)], 23.0)


@pytest.mark.parametrize("points", [[(20.0, 1.0)], [(20.0, 1.0), (20.0, 1.1)], [(15.0, 1.0), (25.0, -1.0)],
                                    [(15.0, 1.0), (25.0, float("nan"))], []])
def test_measured_densities_that_cannot_be_are_refused(points):
    with pytest.raises(Refusal):
        thermal_ratio(points, 20.0)


@pytest.mark.parametrize(
    ("law", "temperature", "told"),
    [("aq_0.1_0.2", 4.9, "5 to 36"), ("aq_0.1_0.2", 36.1, "5 to 36"), ("half_Na2CO3_1", 31.0, "5 to 30"),
     ("KOH_ethanol_0.1", 9.0, "10 to 36"), ("water", 41.0, "0 to 40"), ("0.5 /K", 21.0, "expansion"),
     ("0.0011 /K", 60.0, "expansion"), ("vinegar", 20.0, "name \"water\""), ("water", float("nan"), "not a number")],
)
def test_no_law_of_expansion_is_used_beyond_its_range(law, temperature, told):
    with pytest.raises(Refusal, match=told):
        thermal_ratio(law, temperature)


def test_the_rounding_of_a_printed_correction_is_shared_by_all_who_use_that_cell():
    here, again, warmer = (thermal_ratio("aq_0.1_0.2", t).estimate for t in (24.0, 24.0, 25.0))
    assert here.standard_uncertainty == pytest.approx(0.05e-3 / 3**0.5, rel=2e-4)
    assert covariance(here, again) == pytest.approx(here.variance, rel=1e-12)
    assert covariance(here, warmer) == 0
    assert thermal_ratio("aq_0.1_0.2", 20.0).estimate.contributions == ()
