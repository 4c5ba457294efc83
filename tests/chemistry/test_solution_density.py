"""Densities of solutions: rows left out are found again, roads back and forth meet, what is not held is refused."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assaywright.chemistry.density import (
    density_ratio,
    mass_percent_from_density,
    mass_percent_from_mass_concentration,
    mass_percent_from_molarity,
    solution_density,
)
from assaywright.chemistry.density_beyond import Beyond, density_beyond
from assaywright.chemistry.density_curve import DensityCurve, density_curve
from assaywright.chemistry.local_cubic import local_cubic
from assaywright.chemistry.solute import check_dissolves, find_solute, solubility
from assaywright.chemistry.water import water_density_tanaka2001
from assaywright.metrology.estimate import Estimate, exact, influence
from assaywright.metrology.refusal import Refusal
from assaywright.reference.densities import density_tables, solubilities

TABLES = {one.key: one for one in density_tables()}
MIDDLES = [(key, row) for key, one in TABLES.items() for row in range(len(one.rows) - 1)]


def typed(value: float, u: float, unit: str) -> Estimate:
    return influence("test|typed", value, u, unit)


# --- interpolation ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", TABLES)
def test_a_row_left_out_of_its_table_is_found_again_within_the_stated_uncertainty(key):
    table = TABLES[key]
    solute = find_solute(table.substance)
    for number, row in enumerate(table.rows[:-1]):
        others = replace(table, rows=table.rows[:number] + table.rows[number + 1:])
        found = DensityCurve(solute, table.temperature_degC, (others,)).point(row.mass_percent).estimate
        u = math.hypot(found.standard_uncertainty, row.half_width_g_per_mL / math.sqrt(3))
        assert abs(found.value - row.density_g_per_mL) <= 2 * u, (key, row)


@pytest.mark.parametrize("key", TABLES)
def test_a_row_of_a_table_is_the_density_there(key):
    table = TABLES[key]
    for row in table.rows:
        found = DensityCurve(find_solute(table.substance), table.temperature_degC, (table,)).point(row.mass_percent)
        assert found.estimate.value == pytest.approx(row.density_g_per_mL, abs=1e-12)


def test_a_cubic_is_reproduced_exactly_with_its_slope():
    nodes = (0.0, 0.5, 2.0, 3.0, 7.0, 8.0)
    heights = [1 + x - 0.3 * x**2 + 0.07 * x**3 for x in nodes]
    for x in (0.1, 1.0, 2.5, 6.0, 8.0):
        made = local_cubic(nodes, x)
        value = sum(w * heights[k] for k, w in zip(made.rows, made.weights, strict=True))
        slope = sum(w * heights[k] for k, w in zip(made.rows, made.slopes, strict=True))
        assert value == pytest.approx(1 + x - 0.3 * x**2 + 0.07 * x**3, rel=1e-12)
        assert slope == pytest.approx(1 - 0.6 * x + 0.21 * x**2, rel=1e-9, abs=1e-12)


@given(st.sampled_from(sorted(TABLES)), st.floats(0.001, 0.999))
def test_the_slope_is_the_derivative_of_the_density(key, share):
    table = TABLES[key]
    curve = DensityCurve(find_solute(table.substance), table.temperature_degC, (table,))
    w = share * curve.greatest_percent
    rows = [0.0, *(row.mass_percent for row in table.rows)]
    step = 1e-5
    assume(min(abs(w - row) for row in rows) > 2 * step)
    by_difference = (curve.point(w + step).estimate.value - curve.point(w - step).estimate.value) / (2 * step)
    assert curve.point(w).slope == pytest.approx(by_difference, rel=1e-5, abs=1e-8)


def test_nothing_dissolved_is_water():
    for table in TABLES.values():
        found = DensityCurve(find_solute(table.substance), table.temperature_degC, (table,)).point(0.0).estimate
        assert found.value == pytest.approx(water_density_tanaka2001(table.temperature_degC) / 1000, abs=1e-12)


# --- temperature ------------------------------------------------------------------------------------------------------


def test_sources_agree_at_20_degC_within_their_allowances():
    for substance, percents in (("HCl", (2, 10, 17)), ("NaOH", (2, 10, 17)), ("NaCl", (2, 10, 25))):
        groups = [one for one in TABLES.values() if find_solute(substance).is_the_one(one.substance, one.formula)]
        measured = tuple(one for one in groups if one.temperature_degC != 20)
        for percent in percents:
            across = DensityCurve(find_solute(substance), 20.0, measured).point(percent).estimate
            print_ = solution_density(substance, percent)
            u = math.hypot(across.standard_uncertainty, print_.standard_uncertainty)
            assert abs(across.value - print_.value) <= 2 * u, (substance, percent)


def test_the_slope_of_molar_caustic_is_that_of_the_standard_table_for_volumes():
    # GB/T 601, Appendix A, Table A.1: 1 mol/L NaOH at 25 °C -1.5 mL/L, which holds 25e-6 per K of glass.
    ratio = density_ratio("NaOH", 3.85, 20.0, 25.0)
    assert ratio.value * (1 + 25e-6 * 5) == pytest.approx(1 - 0.0015, abs=0.0001)
    assert ratio.standard_uncertainty < 5e-5
    # the same for 1 mol/L HCl, -1.3 mL/L
    assert density_ratio("HCl", 3.59, 20.0, 25.0).value * (1 + 25e-6 * 5) == pytest.approx(1 - 0.0013, abs=0.0001)


def test_the_trueness_of_a_table_cancels_in_the_ratio():
    apart = solution_density("NaOH", 10.0, 25.0).standard_uncertainty
    assert density_ratio("NaOH", 10.0, 25.0, 40.0).standard_uncertainty < apart / 5


def test_a_temperature_that_was_not_measured_is_refused_with_what_is_held():
    with pytest.raises(Refusal, match="sulfuric acid at 25 °C are held; measured ones are held at 20 °C"):
        solution_density("sulfuric acid", 10.0, 25.0)
    with pytest.raises(Refusal, match="give the density measured on the solution"):
        density_ratio("KCl", 10.0, 20.0, 25.0)
    with pytest.raises(Refusal, match="perchloric acid"):
        solution_density("perchloric acid", 70.0)


# --- back again -------------------------------------------------------------------------------------------------------


@given(st.sampled_from(["HCl", "NaOH", "HNO3", "NH3", "NaCl", "AgNO3"]), st.floats(0.01, 0.99))
def test_density_and_concentration_lead_back_to_the_mass_per_cent(substance, share):
    w = share * density_curve(find_solute(substance), 20.0).greatest_percent
    density = solution_density(substance, w)
    assert mass_percent_from_density(substance, exact(density.value, "g/mL")).value == pytest.approx(w, abs=1e-8)
    held = exact(10 * w * density.value, "g/L")
    assert mass_percent_from_mass_concentration(substance, held).value == pytest.approx(w, abs=1e-8)


def test_the_uncertainty_of_a_solved_content_is_that_of_differences():
    u = 0.01
    found = mass_percent_from_molarity("NaOH", typed(6.0, u, "mol/L"))
    up, down = (mass_percent_from_molarity("NaOH", exact(6.0 + d, "mol/L")).value for d in (u, -u))
    part = next(p for p in found.contributions if p.key == "test|typed")
    assert part.amount == pytest.approx((up - down) / 2, rel=1e-5)
    measured = mass_percent_from_density("NaOH", typed(1.2, 0.001, "g/mL"))
    up, down = (mass_percent_from_density("NaOH", exact(1.2 + d, "g/mL")).value for d in (0.001, -0.001))
    part = next(p for p in measured.contributions if p.key == "test|typed")
    assert part.amount == pytest.approx((up - down) / 2, rel=1e-3)


def test_a_density_that_two_contents_have_is_refused_with_both():
    with pytest.raises(Refusal, match=r"1.06 g/mL is the density of acetic acid at 55.* and at 94"):
        mass_percent_from_density("acetic acid", exact(1.06, "g/mL"))
    with pytest.raises(Refusal, match="is the density of sulfuric acid at"):
        mass_percent_from_density("H2SO4", exact(1.8350, "g/mL"))
    with pytest.raises(Refusal, match="those held run from"):
        mass_percent_from_density("NaOH", exact(1.9, "g/mL"))


# --- what cannot be ---------------------------------------------------------------------------------------------------


def test_more_than_all_and_more_than_dissolves_are_refused():
    with pytest.raises(Refusal, match="cannot be"):
        solution_density("NaOH", 101.0)
    with pytest.raises(Refusal, match=r"more than dissolves in water at 20 °C, 26\.4"):
        solution_density("NaCl", 30.0)
    with pytest.raises(Refusal, match="lies outside"):
        mass_percent_from_molarity("HCl", exact(20.0, "mol/L"))
    check_dissolves(find_solute("NaCl"), 28.0, 90.0)


def test_a_hydrate_counts_with_its_water():
    anhydrous = solution_density("sodium thiosulfate", 10.0)
    hydrate = solution_density("sodium thiosulfate pentahydrate", 10.0 * 248.17 / 158.10)
    assert hydrate.value == pytest.approx(anhydrous.value, abs=2e-6)
    with pytest.raises(Refusal, match="more than dissolves"):
        check_dissolves(find_solute("Na2CO3·10H2O"), 60.0, 20.0)


def test_isomers_do_not_answer_for_one_another():
    assert not find_solute("lactic acid").is_the_one("glucose", "C6H12O6")
    assert not find_solute("fumaric acid").is_the_one("maleic acid", "C4H4O4")
    assert find_solute("oxalic acid dihydrate").is_the_one("oxalic acid, anhydrous", "H2C2O4")


def test_a_saturated_solution_lies_beyond_its_table():
    for one in solubilities():
        for table in TABLES.values():
            if find_solute(one.formula).is_the_one(table.substance, table.formula):
                assert table.greatest_percent <= one.mass_percent * 1.02, one.substance


@pytest.mark.parametrize("nonsense", ["", "   ", "unobtainium", "SO4 2-", "NaOh2"])
def test_what_is_no_substance_is_refused(nonsense):
    with pytest.raises(Refusal):
        find_solute(nonsense)


@pytest.mark.parametrize("table", [one for one in density_tables() if one.temperature_degC == 20.0
                                   and solubility(find_solute(one.substance)) is not None and len(one.rows) > 9],
                         ids=lambda one: one.substance)
def test_a_table_cut_short_is_continued_to_the_rows_that_were_cut_off(table):
    # Source: CRC Handbook, concentrative properties of aqueous solutions, the rows cut off; the bound of the doubt is
    # ours, and its expanded value must reach them.
    tried = 0
    for kept in range(max(5, len(table.rows) // 2), len(table.rows)):
        short = DensityCurve(find_solute(table.substance), 20.0, (replace(table, rows=table.rows[:kept]),))
        beyond = Beyond(short, table.greatest_percent)
        for row in table.rows[kept:]:
            if row.mass_percent <= 1.5 * short.greatest_percent:
                found = beyond.density(row.mass_percent)
                assert abs(found.value - row.density_g_per_mL) <= 2 * found.standard_uncertainty + 0.0001, row
                held = 10 * row.mass_percent * found.value
                assert beyond.mass_percent(held) == pytest.approx(row.mass_percent, rel=1e-9)
                tried += 1
    assert tried > 3


def test_the_doubt_grows_beyond_the_table():
    caustic = density_beyond(find_solute("NaOH"), 20.0)
    near, far = (caustic.density(percent).standard_uncertainty for percent in (50.5, 52.0))
    assert solution_density("NaOH", 50.0).standard_uncertainty < near < far
    assert density_beyond(find_solute("H2SO4"), 20.0) is None
    # At 25 °C the table of hydrochloric acid ends at 18 %, at 20 °C at 40 %: nothing is extrapolated from 18 to 37 %.
    assert density_beyond(find_solute("HCl"), 25.0) is None
    assert density_beyond(find_solute("HCl"), 20.0) is not None
