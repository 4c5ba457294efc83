"""What a curve shows: slopes, equivalence points, buffer regions, batches, marks; and what it refuses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.chemistry.activity import DAVIES, IDEAL, Davies
from assaywright.chemistry.curve import derivatives, titration_curve, volume_at
from assaywright.chemistry.equilibrium import (
    Acid,
    AcidBaseTitration,
    ComplexometricTitration,
    Conditions,
    Couple,
    HeldAcid,
    Ion,
    Medium,
    Metal,
    PrecipitationTitration,
    RedoxForm,
    RedoxTitration,
    Salt,
    SideReaction,
    Solution,
    StrongIon,
    mix,
    solve_acid_base,
)
from assaywright.metrology.refusal import Refusal

PLAIN = Conditions(activity=IDEAL, pKw=14.0)
SODIUM, CHLORIDE = StrongIon("Na+", 1), StrongIon("Cl-", -1)
ACETIC, CARBONIC = Acid("acetic acid", (4.757,)), Acid("carbonic acid", (6.352, 10.329))
PHOSPHORIC, CITRIC = Acid("phosphoric acid", (2.148, 7.198, 12.375)), Acid("citric acid", (3.128, 4.761, 6.396))
SULFURIC = Acid("hydrogensulfate", (1.99,), -1)
CAUSTIC, ACID = Solution(((SODIUM, 0.1),)), Solution(((CHLORIDE, 0.1),))
EDTA = Acid("EDTA", (2.00, 2.67, 6.16, 10.26))


def titrated(*parts, titrant=CAUSTIC, conditions=None):
    return AcidBaseTitration(Solution(parts), 25.0, titrant, conditions or Conditions())


def stages(titration):
    return {one.name: float(one.volume_mL) for one in titration.equivalence_points()}


# --- slopes -----------------------------------------------------------------------------------------------------------


def test_the_slopes_of_a_strong_acid_are_those_of_its_closed_form():
    titration = titrated((CHLORIDE, 0.1), conditions=PLAIN)
    volumes = np.array([1.0, 10.0, 20.0, 24.0, 24.9, 24.99, 25.01, 25.1, 26.0, 40.0])
    excess = (2.5 - 0.1 * volumes) / (25.0 + volumes)
    first, second = -5.0 / (25.0 + volumes) ** 2, 10.0 / (25.0 + volumes) ** 3
    root = np.sqrt(excess**2 + 4e-14)
    slope = -first / root / np.log(10.0)
    bend = -(second / root - excess * first**2 / root**3) / np.log(10.0)
    found = derivatives(titration, volumes)
    assert found[0] == pytest.approx(slope, rel=1e-5)
    assert found[1] == pytest.approx(bend, rel=1e-4)


def test_the_curve_is_steepest_at_the_equivalence_point_and_bends_both_ways_there():
    curve = titration_curve(titrated((ACETIC, 0.1)))
    steepest = curve.volume_mL[np.argmax(curve.first_derivative)]
    assert steepest == pytest.approx(25.0, abs=2e-3)
    assert curve.second_derivative[np.searchsorted(curve.volume_mL, 24.9)] > 0
    assert curve.second_derivative[np.searchsorted(curve.volume_mL, 25.1)] < 0


# --- equivalence points -----------------------------------------------------------------------------------------------


def test_equivalence_points_follow_from_stoichiometry_alone():
    assert stages(titrated((PHOSPHORIC, 0.1))) == {
        "phosphoric acid, step 1": 25.0, "phosphoric acid, step 2": 50.0, "phosphoric acid, step 3": 75.0}
    assert stages(titrated((CHLORIDE, 0.04), (ACETIC, 0.06))) == {"strong acid": 10.0, "acetic acid": 25.0}
    assert stages(titrated((SODIUM, 0.2), (CARBONIC, 0.1), titrant=ACID)) == {
        "carbonic acid, step 2": 25.0, "carbonic acid, step 1": 50.0}


def test_caustic_with_carbonate_has_three_equivalence_points_and_the_first_is_the_caustic():
    found = stages(titrated((SODIUM, 0.1), (CARBONIC, 0.02), titrant=ACID))
    assert found == pytest.approx({"strong base": 15.0, "carbonic acid, step 2": 20.0, "carbonic acid, step 1": 25.0})


def test_a_salt_counts_only_the_protons_it_still_has():
    hydrogen_phthalate = titrated((Acid("phthalic acid", (2.95, 5.408)), 0.1), (StrongIon("K+", 1), 0.1))
    assert stages(hydrogen_phthalate) == {"phthalic acid, step 2": 25.0}


def test_carbonate_in_the_titrant_moves_the_last_equivalence_point_and_parts_it_in_three():
    carbonated = Solution(((SODIUM, 0.1), (CARBONIC, 0.002)))
    found = stages(titrated((CHLORIDE, 0.1), titrant=carbonated))
    assert found["strong acid"] == pytest.approx(25.0)
    assert found["carbonic acid, step 1"] == pytest.approx(2.5 / 0.098)
    assert found["carbonic acid, step 2"] == pytest.approx(2.5 / 0.096)


@pytest.mark.parametrize(
    ("titration", "seen"),
    # common practice, no source: phosphoric acid shows two of its three steps, citric acid only the last, the first
    # proton of sulfuric acid not apart from the second, carbonate both.
    [(titrated((PHOSPHORIC, 0.1)), [25.0, 50.0]), (titrated((CITRIC, 0.1)), [75.0]),
     (titrated((SULFURIC, 0.1)), [50.0]), (titrated((SODIUM, 0.2), (CARBONIC, 0.1), titrant=ACID), [25.0, 50.0]),
     (titrated((Acid("boric acid", (9.24,)), 0.1)), [25.0])],
)
def test_only_points_with_a_jump_count_as_distinct(titration, seen):
    assert titration_curve(titration).equivalence_points_mL == pytest.approx(seen)


def test_calcium_and_magnesium_show_one_jump_for_their_sum():
    metals = ((Metal("Ca2+", 2, 10.65), 0.01), (Metal("Mg2+", 2, 8.79), 0.005))
    curve = titration_curve(ComplexometricTitration(
        Solution(metals), 50.0, Solution(((EDTA, 0.02),)), Medium(10.0, conditions=PLAIN), "Ca2+"))
    assert [float(one.volume_mL) for one in curve.equivalence_points] == [25.0, 37.5]
    assert curve.equivalence_points_mL == pytest.approx([37.5])


def test_a_back_titration_ends_where_the_metals_together_equal_the_ligand():
    analyte = Solution(((Metal("Al3+", 3, 16.4), 0.01), (EDTA, 0.02)))
    zinc = Solution(((Metal("Zn2+", 2, 16.5), 0.02),))
    curve = titration_curve(ComplexometricTitration(analyte, 50.0, zinc, Medium(5.0, conditions=PLAIN), "Zn2+"))
    assert curve.equivalence_points_mL[0] == pytest.approx(25.0)


def test_halides_fall_out_one_after_another_with_exact_equivalence_points():
    ions = ((Ion("I-", -1), 0.02), (Ion("Br-", -1), 0.03), (Ion("Cl-", -1), 0.05), (Ion("Na+", 1), 0.1))
    salts = (Salt("AgCl", "Cl-", 9.75), Salt("AgBr", "Br-", 12.3), Salt("AgI", "I-", 16.08))
    silver = Solution(((Ion("Ag+", 1), 0.1), (Ion("NO3-", -1), 0.1)))
    titration = PrecipitationTitration(Solution(ions), 50.0, silver, salts, "Ag+", "Ag+")
    assert stages(titration) == pytest.approx({"I-": 10.0, "Br-": 25.0, "Cl-": 50.0})
    curve = titration_curve(titration)
    assert all(curve.distinct)
    state = titration.state(np.array([20.0]))
    assert state.precipitated["AgI"] == pytest.approx(0.02 * 50 / 70, rel=1e-3)
    assert state.precipitated["AgCl"] == 0.0


def test_chromate_as_indicator_ion_precipitates_after_the_chloride():
    ions = ((Ion("Cl-", -1), 0.1), (Ion("CrO4 2-", -2), 0.003), (Ion("Na+", 1), 0.106))
    salts = (Salt("AgCl", "Cl-", 9.75), Salt("Ag2CrO4", "CrO4 2-", 11.95, 2, 1))
    silver = Solution(((Ion("Ag+", 1), 0.1), (Ion("NO3-", -1), 0.1)))
    titration = PrecipitationTitration(Solution(ions), 25.0, silver, salts, "Ag+", "Ag+")
    assert stages(titration) == pytest.approx({"Cl-": 25.0, "CrO4 2-": 26.5})
    solid = titration.state(np.array([24.9, 25.2])).precipitated["Ag2CrO4"]
    assert solid[0] == 0.0 < solid[1]


def test_vanadium_is_titrated_in_three_steps():
    # Potentials as in textbook tables, from memory: VO2+/VO2+ 1.00, VO2+/V3+ 0.337, V3+/V2+ -0.255, Ce 1.44 V.
    couples = (Couple("VO2+", "VO 2+", 1, 1.000, 2), Couple("VO 2+", "V3+", 1, 0.337, 2),
               Couple("V3+", "V2+", 1, -0.255), Couple("Ce4+", "Ce3+", 1, 1.44, medium="1 mol/L H2SO4"))
    vanadium, cerium = Solution(((RedoxForm("V2+"), 0.1),)), Solution(((RedoxForm("Ce4+"), 0.1),))
    titration = RedoxTitration(vanadium, 25.0, cerium, couples)
    assert stages(titration) == pytest.approx({"V2+": 25.0, "V3+": 50.0, "VO 2+": 75.0})
    assert titration_curve(titration).equivalence_points_mL == pytest.approx([25.0, 50.0, 75.0])
    assert titration.points(np.array([37.5])).values == pytest.approx([0.337], abs=1e-3)


def test_iodine_with_thiosulfate_counts_two_thiosulfates_to_one_iodine():
    couples = (Couple("I2", "I-", 2, 0.536, 0, 1, 2), Couple("S4O6 2-", "S2O3 2-", 2, 0.08, 0, 1, 2))
    titration = RedoxTitration(Solution(((RedoxForm("I2"), 0.05), (RedoxForm("I-"), 0.2))), 25.0,
                               Solution(((RedoxForm("S2O3 2-"), 0.1),)), couples)
    assert stages(titration) == {"I2": 25.0}


# --- buffer regions ---------------------------------------------------------------------------------------------------


def test_a_buffer_region_runs_from_a_tenth_to_ten_times_the_base():
    [region] = titration_curve(titrated((ACETIC, 0.1), conditions=PLAIN), np.linspace(0.0, 40.0, 4001)).buffer_regions
    assert (region.name, region.step) == ("acetic acid", 1)
    # From the ratio of the forms alone: 25/11 and 250/11 mL, but for the acid's own dissociation.
    assert float(region.from_mL) == pytest.approx(25 / 11, abs=0.06)
    assert float(region.to_mL) == pytest.approx(250 / 11, abs=0.06)


def test_fractions_sum_to_one_and_cross_at_the_pKa():
    titration = titrated((PHOSPHORIC, 0.05), conditions=PLAIN)
    curve = titration_curve(titration)
    forms = curve.fractions["phosphoric acid"]
    assert np.sum(forms, axis=0) == pytest.approx(np.ones(curve.volume_mL.size))
    [middle] = volume_at(titration, np.array([7.198]), curve)
    acid, base = (form[0] for form in titration.points(np.array([middle])).fractions["phosphoric acid"][1:3])
    assert acid == pytest.approx(base, rel=1e-9)


# --- the volume at a value --------------------------------------------------------------------------------------------

EVERY_KIND = {
    "rising pH": titrated((PHOSPHORIC, 0.1)),
    "falling pH": titrated((SODIUM, 0.1), (CARBONIC, 0.03), titrant=ACID),
    "pM": ComplexometricTitration(
        Solution(((Metal("Ca2+", 2, 10.65), 0.01),)), 50.0, Solution(((EDTA, 0.02),)), Medium(10.0), "Ca2+"),
    "pX": PrecipitationTitration(
        Solution(((Ion("Cl-", -1), 0.1), (Ion("Na+", 1), 0.1))), 25.0,
        Solution(((Ion("Ag+", 1), 0.1), (Ion("NO3-", -1), 0.1))), (Salt("AgCl", "Cl-", 9.75),), "Ag+", "Ag+"),
    "potential": RedoxTitration(
        Solution(((RedoxForm("Fe2+"), 0.1),)), 25.0, Solution(((RedoxForm("Ce4+"), 0.1),)),
        (Couple("Fe3+", "Fe2+", 1, 0.68), Couple("Ce4+", "Ce3+", 1, 1.44))),
}


@pytest.mark.parametrize("kind", EVERY_KIND)
def test_the_volume_at_a_value_gives_the_value_back(kind):
    titration = EVERY_KIND[kind]
    curve = titration_curve(titration)
    finite = curve.values[np.isfinite(curve.values)]
    wanted = np.linspace(np.min(finite), np.max(finite), 40)[1:-1]
    volumes = volume_at(titration, wanted, curve)
    assert np.all(np.isfinite(volumes))
    assert titration.points(volumes).values == pytest.approx(wanted, abs=1e-7)


def test_a_value_that_the_curve_does_not_reach_has_no_volume():
    titration = titrated((ACETIC, 0.1))
    assert np.isnan(volume_at(titration, np.array([1.0, 13.9]), titration_curve(titration))).all()


# --- batches ----------------------------------------------------------------------------------------------------------


def test_a_batch_of_curves_is_its_single_curves():
    strengths, pKas = np.array([[0.05], [0.1], [0.2]]), np.array([[4.7], [4.757], [4.8]])
    volumes = np.linspace(0.0, 60.0, 31)
    together = titration_curve(titrated((Acid("acid", (pKas,)), strengths)), volumes)
    assert together.values.shape == together.first_derivative.shape == (3, 31)
    assert together.equivalence_points_mL == pytest.approx(np.array([[12.5], [25.0], [50.0]]))
    for row, (strength, pKa) in enumerate(zip(strengths[:, 0], pKas[:, 0], strict=True)):
        alone = titration_curve(titrated((Acid("acid", (pKa,)), strength)), volumes)
        assert together.values[row] == pytest.approx(alone.values, abs=1e-11)
        assert together.first_derivative[row] == pytest.approx(alone.first_derivative, rel=1e-3)


def test_more_points_than_are_solved_at_once_change_nothing():
    titration = titrated((CITRIC, 0.03))
    few = np.linspace(0.0, 40.0, 11)
    many = np.linspace(0.0, 40.0, 20_001)
    assert titration.points(many).values[::2000] == pytest.approx(titration.points(few).values, abs=1e-12)


# --- laws of nature ---------------------------------------------------------------------------------------------------


@given(st.floats(1e-6, 2.0), st.floats(0.0, 13.0), st.floats(0.0, 2.0))
def test_more_base_always_raises_the_pH(strength, pKa, more):
    acid = Acid("acid", (pKa,))
    less, after = (float(solve_acid_base(Solution(((acid, strength), (SODIUM, base)))).pH)
                   for base in (more, more * 1.01 + 1e-6))
    assert after > less


@given(st.floats(0.01, 0.2), st.floats(1.0, 100.0), st.floats(0.1, 100.0))
def test_scaling_all_volumes_changes_no_value(strength, volume, factor):
    caustic = Solution(((SODIUM, 0.1),))
    one = AcidBaseTitration(Solution(((CITRIC, strength),)), volume, caustic)
    other = AcidBaseTitration(Solution(((CITRIC, strength),)), volume * factor, caustic)
    volumes = np.linspace(0.0, 2.0, 7) * volume
    assert other.points(volumes * factor).values == pytest.approx(one.points(volumes).values, abs=1e-10)


def test_the_order_of_components_does_not_matter():
    parts = ((ACETIC, 0.02), (CITRIC, 0.01), (SODIUM, 0.03), (CARBONIC, 0.001))
    one, other = (float(solve_acid_base(Solution(tuple(order))).pH) for order in (parts, parts[::-1]))
    assert one == pytest.approx(other, abs=1e-12)


def test_mixing_conserves_amounts():
    mixture = mix((Solution(((ACETIC, 0.1), (SODIUM, 0.02))), 25.0), (CAUSTIC, 10.0))
    assert float(mixture.total("acetic acid")) * 35.0 == pytest.approx(2.5)
    assert float(mixture.total("Na+")) * 35.0 == pytest.approx(0.5 + 1.0)


# --- carbon dioxide and impurities ------------------------------------------------------------------------------------


def test_dissolved_carbon_dioxide_lowers_the_pH_before_the_jump_and_delays_the_red_of_phenolphthalein():
    clean, charged = titrated((CHLORIDE, 0.1)), titrated((CHLORIDE, 0.1), (CARBONIC, 1.4e-4))
    volumes = [volume_at(one, np.array([8.5]), titration_curve(one))[0] for one in (clean, charged)]
    # 1.4e-4 mol/L in 25 mL takes up one proton's worth of base, 0.035 mL of 0.1 mol/L.
    assert volumes[1] - volumes[0] == pytest.approx(0.035, abs=0.002)


def test_an_open_flask_takes_up_carbon_dioxide_from_the_air():
    closed = titrated((CHLORIDE, 0.1))
    opened = AcidBaseTitration(closed.analyte, 25.0, closed.titrant, closed.conditions, HeldAcid(CARBONIC, 1.43e-5))
    after = np.array([25.5])
    assert closed.points(after).values[0] > 10.9
    assert 8.0 < opened.points(after).values[0] < 9.5


# --- activities and temperature ---------------------------------------------------------------------------------------


def test_beyond_its_limit_Davies_is_held_and_marked():
    strong = Solution(((SODIUM, np.array([0.1, 0.4999, 0.6, 3.0])), (CHLORIDE, np.array([0.1, 0.4999, 0.6, 3.0]))))
    state = solve_acid_base(strong)
    assert state.beyond_limit.tolist() == [False, False, True, True]
    held = DAVIES.screening(np.array([0.5, 0.6, 3.0]), 25.0)
    assert held[0] == held[1] == held[2]


def test_a_curve_marks_the_points_beyond_the_limit():
    curve = titration_curve(AcidBaseTitration(Solution(((CHLORIDE, 1.2),)), 25.0, Solution(((SODIUM, 1.0),))))
    assert curve.beyond_limit.any()
    assert not titration_curve(titrated((CHLORIDE, 0.1))).beyond_limit.any()


def test_neutral_species_are_salted_out_only_when_asked():
    parts = ((ACETIC, 0.05), (SODIUM, 0.225), (CHLORIDE, 0.2))
    plain, salted = (float(solve_acid_base(Solution(parts), Conditions(activity=model)).pH)
                     for model in (DAVIES, Davies(salting_out_L_per_mol=0.1)))
    assert plain - salted == pytest.approx(0.1 * 0.225, abs=1e-4)


def test_a_concentration_constant_holds_at_its_own_ionic_strength():
    stated = Acid("acid", (4.56,), ionic_strength_mol_per_L=0.1)
    state = solve_acid_base(Solution(((stated, 1e-6), (SODIUM, 0.1), (CHLORIDE, 0.1 - 5e-7))))
    acid, base = state.fractions["acid"]
    assert np.log10(acid * 1e-6 / (base * 1e-6 * state.hydrogen_mol_per_L)) == pytest.approx(4.56, abs=1e-4)


def test_warming_moves_the_pH_as_the_constants_say():
    tris = Acid("tris", (8.072,), 1, (47.45,), (-59.0,))
    buffer = Solution(((tris, 0.05), (CHLORIDE, 0.025)))
    cold, warm = (float(solve_acid_base(buffer, Conditions(degrees)).pH) for degrees in (20.0, 30.0))
    # -0.028 per kelvin for tris: Bates and Hetzer 1961, from memory.
    assert (warm - cold) / 10 == pytest.approx(-0.028, abs=0.001)


def test_an_acid_without_enthalpy_keeps_its_constants():
    assert Acid("acid", (4.0,)).pKa_at(45.0)[0] == 4.0


def test_a_formation_constant_falls_with_the_ionic_strength_as_tables_have_it():
    # lg K of CaY2-: 12.42 at zero (NIST 46) and 10.65 at 0.1 mol/L (Schwarzenbach), as textbooks quote both.
    medium = Medium(12.0, conditions=Conditions())
    brought = float(medium.brought(12.42, 4 - 4 - 16, 0.0))
    assert brought == pytest.approx(10.65, abs=0.1)


# --- side reactions ---------------------------------------------------------------------------------------------------


def test_ammonia_and_hydroxide_weaken_a_chelate_and_a_protonated_chelate_strengthens_it():
    from assaywright.chemistry.equilibrium import lg_conditional_constant

    bare = Metal("Zn2+", 2, 16.5)
    sided = Metal("Zn2+", 2, 16.5, (SideReaction("ammonia", (2.18, 4.43, 6.74, 8.70), 0),
                                    SideReaction("hydroxide", (5.0, 11.1, 13.6, 14.8), -1)))
    medium = Medium(10.0, (("ammonia", 0.1),), conditions=PLAIN)
    # alpha(Zn) 1.8e-5 in 0.10 mol/L ammonia: Harris, 8th edition, from memory; hydroxide adds a little.
    weaker = float(lg_conditional_constant(bare, EDTA, medium) - lg_conditional_constant(sided, EDTA, medium))
    assert weaker == pytest.approx(-np.log10(1.8e-5), abs=0.02)
    acid = Medium(2.0, conditions=PLAIN)
    held = Metal("Zn2+", 2, 16.5, lg_K_proton=3.0)
    stronger = lg_conditional_constant(held, EDTA, acid) - lg_conditional_constant(bare, EDTA, acid)
    assert float(stronger) == pytest.approx(np.log10(11.0), abs=1e-9)


# --- refusals ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (lambda: Solution(((ACETIC, -0.1),)), "negative"),
        (lambda: Solution(((ACETIC, np.nan),)), "not a number"),
        (lambda: Solution(((ACETIC, 100.0),)), "above 60 mol/L"),
        (lambda: Solution(((ACETIC, 0.1), (ACETIC, 0.1))), "given twice"),
        (lambda: Acid("nothing", ()), "0 constants"),
        (lambda: Acid("odd", (np.nan,)), "not a number"),
        (lambda: Acid("odd", (4.0, 6.0), enthalpies_kJ_per_mol=(1.0,)), "thermal figures"),
        (lambda: Acid("odd", (4.0,), forms=("HA",)), "1 formulas for 2 forms"),
        (lambda: HeldAcid(Acid("ammonium", (9.24,), 1), 1e-5), "with a charge"),
        (lambda: solve_acid_base(Solution(((CARBONIC, 0.01),)), None, HeldAcid(CARBONIC, 1e-5)), "has a total too"),
        (lambda: Conditions(60.0), "5 to 50 °C"),
        (lambda: Conditions(float("nan")), "5 to 50 °C"),
        (lambda: titration_curve(titrated((ACETIC, 0.1)), np.array([-1.0])), "volume"),
        (lambda: mix((CAUSTIC, 0.0)), "nothing to mix"),
        (lambda: titration_curve(titrated((SODIUM, 0.1))), "equivalence point"),
        (lambda: Solution(((ACETIC, np.ones(3)), (SODIUM, np.ones(4)))).shape, "do not fit"),
        (lambda: Couple("Fe3+", "Fe3+", 1, 0.7), "equal forms"),
        (lambda: Couple("MnO4-", "Mn2+", 5, 1.5, 8, medium="1 mol/L H2SO4"), "formal potential"),
        (lambda: RedoxTitration(Solution(((RedoxForm("Fe2+"), 0.1),)), 25.0, Solution(((RedoxForm("Tl3+"), 0.1),)),
                                (Couple("Fe3+", "Fe2+", 1, 0.7),)).points(np.array([1.0])), "no couple for Tl3+"),
        (lambda: ComplexometricTitration(Solution(((Metal("Ca2+", 2, 10.65), 0.01),)), 25.0,
                                         Solution(((Metal("Zn2+", 2, 16.5), 0.01),)), Medium(10.0), "Ca2+"),
         "0 ligands"),
        (lambda: PrecipitationTitration(Solution(((Ion("Cl-", -1), 0.1),)), 25.0, Solution(((Ion("Ag+", 1), 0.1),)),
                                        (Salt("AgCl", "Cl-", 9.75),), "Ag+", "Br-"), "takes no part"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(wrong, told):
    with pytest.raises(Refusal, match=told):
        wrong()


def test_a_potential_is_not_defined_while_only_one_form_of_every_couple_is_there():
    titration = EVERY_KIND["potential"]
    assert np.isnan(titration.points(np.array([0.0])).values[0])
    assert np.isfinite(titration.points(np.array([1e-6])).values[0])
