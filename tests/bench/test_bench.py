"""The simulated bench itself, against facts it was not built from: tables, printed examples, school arithmetic."""

import csv
import math
import tomllib
from pathlib import Path

import pytest

from tests.bench.acts import Solution, dilute
from tests.bench.chains import CARBONATE, NAOH, PHTHALATE, SCHEMES, play
from tests.bench.chance import Chance
from tests.bench.equipment import BURETTE_A, Balance, Burette, MeasuringVessel
from tests.bench.nature import (
    ATOMIC_WEIGHT_BOUNDS,
    Glass,
    Liquid,
    air_density_oiml_r111,
    aqueous,
    water_density_kell1975,
)
from tests.bench.repeatability import true_repeatability
from tests.bench.sheets import number

VOLUMETRY = Path(__file__).resolve().parents[1] / "reference" / "volumetry"


def rows(name):
    with (VOLUMETRY / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def perfect(seed=1):
    return Chance(seed, systematic=0.0, random=0.0, rounded=False)


def molar_mass(atoms):
    return sum(count * sum(ATOMIC_WEIGHT_BOUNDS[symbol]) / 2 for symbol, count in atoms.items())


# --- nature -----------------------------------------------------------------------------------------------------------


PURE_WATER = [
    row
    for row in rows("water_density.csv")
    if float(row["temperature_C"]) <= 40 and row["water"].startswith("air-free")
]


@pytest.mark.parametrize("row", PURE_WATER, ids=lambda row: row["temperature_C"])
def test_water_is_as_dense_as_the_published_table_says(row):
    # Tanaka et al. 2001 and handbooks, as the rows say; Kell's equation lies within 0.0045 kg/m³ of Tanaka's from 0 to
    # 40 °C (its temperatures are on IPTS-68, and its water has other isotopes).
    ours = water_density_kell1975(float(row["temperature_C"]))
    assert ours == pytest.approx(float(row["density_kg_per_m3"]), abs=0.0050)


NORMAL_PRESSURE = [
    row for row in rows("z_factors.csv") if row["quantity"] == "Z" and row["air_pressure_kPa"] == "101.3"
]


@pytest.mark.parametrize("row", NORMAL_PRESSURE, ids=lambda row: row["water_temperature_C"])
def test_a_millilitre_of_water_weighs_what_the_z_table_says(row):
    # ISO 8655-6, Annex A, Table A.1: Z in mL per g at 101.3 kPa and 50 % humidity; half a unit of the last printed
    # digit, and 0.000005 for Kell's water.
    temperature = float(row["water_temperature_C"])
    air = air_density_oiml_r111(temperature, 1013.0, 50)
    water = water_density_kell1975(temperature)
    indicated = number(Balance(perfect()).read(water / 1000 * (1 - air / water), "pan"))
    assert 1 / indicated == pytest.approx(float(row["value_printed"]), abs=0.000055)


def test_there_are_rows_to_compare_with():
    assert len(PURE_WATER) > 25
    assert len(NORMAL_PRESSURE) > 15


@pytest.mark.parametrize("check", ["B02", "B05", "B06"])
def test_a_mass_weighs_less_in_air_as_printed_examples_say(check):
    # Printed example after Harris for potassium hydrogen phthalate (read); factors by NIST SOP 2 (from memory).
    row = next(row for row in rows("buoyancy_checks.csv") if row["check"] == check)
    printed = row["mass_printed_g"] or row["mass_recalc_g"]
    air, density = float(row["air_density_g_per_mL"]), float(row["object_density_g_per_mL"])
    indicated = number(Balance(perfect()).read(float(printed) * (1 - air / density), "pan"))
    half_unit = 0.5 * 10 ** -len(printed.split(".")[1])
    assert indicated == pytest.approx(float(row["reading_g"]), abs=half_unit * 1.01)


@pytest.mark.parametrize(
    ("column", "solute", "concentration"),
    [
        ("water_le_0.05", "NaOH", 0.0),
        ("aq_0.1_0.2", "NaOH", 0.1),
        ("aq_0.1_0.2", "HCl", 0.1),
        ("HCl_1", "HCl", 1.0),
        ("HCl_0.5", "HCl", 0.5),
        ("half_H2SO4_1_NaOH_1", "NaOH", 1.0),
        ("half_H2SO4_0.5_NaOH_0.5", "NaOH", 0.5),
    ],
)
@pytest.mark.parametrize("temperature", [15, 18, 22, 25])
def test_a_standard_solution_shrinks_as_the_standard_correction_table_says(column, solute, concentration, temperature):
    # GB/T 601, Appendix A, Table A.1 (read), in a vessel of glass that grows by 25e-6 per kelvin. The table prints
    # tenths of a millilitre per litre and holds for 0.1 and 0.2 mol/L together: half a unit, and 0.11 for the rest.
    row = next(
        row
        for row in rows("temperature_correction_standard_solutions.csv")
        if row["solution_key"] == column and row["temperature_C"] == str(temperature)
    )
    liquid = aqueous(solute, concentration, perfect())
    correction = 1000 * (Glass(25e-6).growth(temperature) * liquid.shrinkage(temperature) - 1)
    assert correction == pytest.approx(float(row["correction_mL_per_L"]), abs=0.16)


@pytest.mark.parametrize(
    ("molality", "molarity", "solute"),
    [("0.1", 0.1, "NaOH"), ("1", 1.0, "NaOH"), ("1", 1.0, "HCl"), ("5", 4.93, "strong NaOH")],
)
def test_a_solution_expands_between_10_and_25_degrees_as_its_published_densities_say(molality, molarity, solute):
    # Evaluated table of densities of hydrochloric acid and sodium hydroxide (read), 5 decimals; the law has two
    # constants for all concentrations, so it is asked for 0.15 mL per litre over these 15 K.
    formula = solute.rsplit(maxsplit=1)[-1]
    cold, warm = (
        next(
            float(row["density_g_per_mL"])
            for row in rows("solution_densities.csv")
            if row["formula"] == formula
            and row["molality_printed_mol_per_kg"] == molality
            and row["temperature_C"] == temperature
        )
        for temperature in ("10", "25")
    )
    liquid = aqueous(solute, molarity, perfect())
    assert liquid.shrinkage(25) / liquid.shrinkage(10) == pytest.approx(warm / cold, abs=0.00015)


@pytest.mark.parametrize(
    ("solute", "concentration", "low", "high"),
    [("NaOH", 0.1, 0.105, 0.120), ("HCl", 0.1, 0.105, 0.120), ("NaOH", 1.0, 0.12, 0.16)],
)
def test_a_titrant_five_degrees_warmer_needs_a_larger_titre(solute, concentration, low, high):
    # 0.11 % at 0.1 mol/L and 0.12 to 0.15 % for 1 mol/L caustic: GB/T 601, Appendix A, between 20 and 25 °C.
    titrant = Solution(concentration, aqueous(solute, concentration, perfect()))
    glass = Glass(9.9e-6)
    cold, warm = (titrant.volume_of(4.0, t) / glass.growth(t) for t in (20.0, 25.0))
    assert low < 100 * (warm / cold - 1) < high


# --- equipment --------------------------------------------------------------------------------------------------------


def test_a_burette_of_class_a_never_errs_beyond_its_tolerance_and_its_error_is_triangular():
    # ISO 385:2005: the error of a delivery from the zero mark to any other is within the tolerance. A triangular
    # distribution has a standard deviation of half width over sqrt 6 (JCGM 100:2008, 4.3.9).
    burettes = [Burette(Chance(seed)) for seed in range(4000)]
    assert max(abs(one.scale_error(mark)) for one in burettes for mark in (5, 20, 35, 50)) <= BURETTE_A[50]
    full = math.sqrt(sum(one.scale_error(50) ** 2 for one in burettes) / len(burettes))
    assert full == pytest.approx(BURETTE_A[50] / math.sqrt(6), rel=0.04)
    assert all(one.scale_error(0) == 0 for one in burettes)


def test_a_calibrated_burette_differs_from_its_certificate_by_what_the_certificate_admits():
    # u = 0.005 mL from U = 0.010 mL, k = 2; correlation 0.8 between two marks.
    found = []
    for seed in range(4000):
        burette = Burette(Chance(seed), calibrated=True)
        corrections = {number(mark): number(text) for mark, text in burette.claims["corrections"]}
        found.append([corrections[mark] - burette.scale_error(mark) for mark in (10, 40)])
    variance = [sum(pair[k] ** 2 for pair in found) / len(found) for k in (0, 1)]
    covariance = sum(one * other for one, other in found) / len(found)
    assert [math.sqrt(value) for value in variance] == pytest.approx([0.005, 0.005], rel=0.05)
    assert covariance / math.sqrt(variance[0] * variance[1]) == pytest.approx(0.8, abs=0.03)


def test_the_meniscus_stands_where_scale_and_volume_meet():
    burette = Burette(Chance(5))
    mark = burette.mark_after(0.4, 30.0)
    delivered = (mark + burette.scale_error(mark)) - (0.4 + burette.scale_error(0.4))
    assert delivered == pytest.approx(30.0, abs=1e-9)


def test_a_pipette_keeps_its_error_and_scatters_about_it():
    pipette = MeasuringVessel(Chance(3), "pipette", 25, "P-25", 0.0075)
    volumes = [pipette.volume_at(20.0) for _ in range(2000)]
    mean = sum(volumes) / len(volumes)
    assert mean == pytest.approx(pipette.true_mL, abs=0.0007)
    assert math.sqrt(sum((volume - mean) ** 2 for volume in volumes) / 1999) == pytest.approx(0.0075, rel=0.06)


def test_loads_of_one_name_share_their_deviation_and_others_do_not():
    balance = Balance(Chance(8, random=0.0, rounded=False))
    again = [number(balance.read(10.0, load)) for load in ("gross", "gross", "tare")]
    assert again[0] == again[1]
    assert again[0] != again[2]


def test_a_dilution_keeps_the_amount_of_substance():
    # 25.00 mL of 5 mol/L in 250.0 mL make 0.5 mol/L.
    flask = MeasuringVessel(perfect(), "flask", 250, "F-250", 0.0)
    assert dilute(125.0, flask, Liquid(1020.0), 20.0).concentration == pytest.approx(0.5, rel=1e-12)


# --- what she writes --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "grid", "text"),
    [
        (0.484, "0.02", "0.48 mL"),
        (40.1249, "0.01", "40.12 mL"),
        (-0.0001, "0.01", "0.00 mL"),
        (18.6, "0.0001", "18.6000 mL"),
    ],
)
def test_a_reading_is_written_to_the_grid_of_its_instrument(value, grid, text):
    assert Chance(1).write(value, grid, "mL") == text


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_worksheet_is_toml_with_every_quantity_quoted(scheme):
    for sheet in play(scheme, Chance(2)):
        worksheet = tomllib.loads(sheet.text("0.05 %, 30 degrees of freedom"))
        assert worksheet["format"] == "assaywright worksheet 1"
        assert len(worksheet["determination"]) == 3
        assert all(isinstance(value, str) for value in worksheet["determination"][0].values())


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_same_seed_plays_the_same_chain_and_another_seed_another(scheme):
    first, again, other = ([sheet.text() for sheet in play(scheme, Chance(seed))] for seed in (4, 4, 5))
    assert first == again
    assert first != other


# --- a world without errors: readings equal the textbook's arithmetic -------------------------------------------------


def readings(sheet):
    return tomllib.loads(sheet.text())["determination"]


def portion_in_vacuo(sheet, determination, density_kg_m3):
    # m = W (1 - 1.2/8000)/(1 - rho_air/rho), OIML D 28.
    air = {key: number(text) for key, text in tomllib.loads(sheet.text())["air"].items()}
    rho = air_density_oiml_r111(air["temperature"], air["pressure"], air["humidity"])
    difference = number(determination["gross"]) - number(determination["tare"])
    return difference * (1 - 1.2 / 8000) / (1 - rho / density_kg_m3)


def titre(determination):
    return number(determination["final"]) - number(determination["initial"])


@pytest.mark.parametrize(
    ("scheme", "standard"),
    [("direct, pipetted", CARBONATE), ("standard solution against another, chain of three", PHTHALATE)],
)
def test_without_errors_a_standardisation_by_weighing_gives_c_equal_to_1000_m_w_z_over_m_v(scheme, standard):
    # EURACHEM/CITAC Guide CG 4, example A2, equation for the concentration, at 20 °C.
    sheet = play(scheme, perfect(), at_20=True)[0]
    for one in readings(sheet):
        amount = (
            1000 * portion_in_vacuo(sheet, one, standard.density) * standard.content / 100 / molar_mass(standard.atoms)
        )
        assert amount * standard.equivalents / titre(one) == pytest.approx(sheet.truths[""], rel=1e-8)


def test_without_errors_a_pipetted_assay_gives_c_v_equal_to_c_v():
    # EURACHEM/CITAC Guide CG 4, example A3: the two products of concentration and volume are equal.
    for scheme in ("direct, pipetted", "standard solution against another, chain of three"):
        *_, before, assay = play(scheme, perfect(), at_20=True)
        for one in readings(assay):
            assert before.truths[""] * titre(one) / 25.0 == pytest.approx(assay.truths[""], rel=1e-8)


def test_without_errors_a_weighed_assay_gives_the_mass_fraction():
    # w = 100 c V M / (1000 m): USP General Chapter 541, direct titrations, by titrimetric equivalent.
    before, assay = play("direct, weighed", perfect(), at_20=True)
    density = 1000 * number(tomllib.loads(assay.text())["sample"]["density"])
    for one in readings(assay):
        mass = 1000 * portion_in_vacuo(assay, one, density)
        found = 100 * before.truths[""] * titre(one) * molar_mass(NAOH) / mass
        assert found == pytest.approx(assay.truths[""], rel=1e-7)


def test_without_errors_a_diluted_assay_gives_ten_times_what_the_aliquot_holds():
    # % w/v = c V M/(10 V_aliquot) times 250/25, as in USP assays of strong solutions.
    before, assay = play("diluted, then aliquots", perfect(), at_20=True)
    for one in readings(assay):
        found = before.truths[""] * titre(one) * molar_mass(NAOH) / (10 * 25.0) * 250 / 25
        assert found == pytest.approx(assay.truths[""], rel=1e-8)


# --- repeatability ----------------------------------------------------------------------------------------------------


def test_the_scatter_of_a_titration_is_what_its_parts_add_up_to():
    # sqrt of the sum of squares: two readings of 0.008 mL rounded to 0.01 mL, an endpoint anywhere in 0.03 mL, two
    # weighings of 0.08 mg rounded to 0.1 mg, on 38 mL and 0.776 g; drawn from 600 chains: one sigma is 2 %.
    found = true_repeatability("standardisation by weighing", chains=600)["naoh-by-khp"]
    volume = math.sqrt(2 * 0.008**2 + 2 * 0.01**2 / 12 + 0.03**2 / 12) / 38
    mass = math.sqrt(2 * 0.00008**2 + 2 * 0.0001**2 / 12) / 0.776
    assert found == pytest.approx(math.hypot(volume, mass), rel=0.06)
