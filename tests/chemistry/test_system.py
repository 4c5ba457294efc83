"""A titration named by its substances: what is put into the equilibria, and what is refused."""

import math
import re

import numpy as np
import pytest

from assaywright.chemistry.activity import SpecificInteraction
from assaywright.chemistry.curve import titration_curve
from assaywright.chemistry.equilibrium import Acid, AcidBaseTitration, Conditions, Solution, StrongIon
from assaywright.chemistry.system import OwnAcid, OwnCouple, Portion, System, prepared
from assaywright.chemistry.system.acid_base import carbon_dioxide_in_water
from assaywright.chemistry.system.species import dissolved
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import acid_constants

EDTA = "disodium edetate dihydrate"


def curve_of(system, volume_mL=None):
    return titration_curve(prepared(system).titration, volume_mL)


def acid_base(analyte, titrant="NaOH", volume_mL=25.0, concentration=0.1, **more):
    return System("acid-base", (Portion(analyte, concentration),), volume_mL, (Portion(titrant, 0.1),), **more)


@pytest.mark.parametrize(
    ("system", "equivalence_mL"),
    [
        (acid_base("acetic acid"), (25.0,)),
        (acid_base("potassium hydrogen phthalate"), (25.0,)),
        (acid_base("sulfuric acid", concentration=0.05), (25.0,)),
        (acid_base("borax", "HCl", concentration=0.05), (25.0,)),
        (acid_base("sodium carbonate", "HCl", concentration=0.05), (12.5, 25.0)),
        (acid_base("CO3 2-", "HCl", concentration=0.05), (12.5, 25.0)),
        (acid_base("phosphoric acid", concentration=0.05), (12.5, 25.0)),
        (System("complexometric", (Portion("Ca^2+", 0.01),), 25.0, (Portion(EDTA, 0.01),), pH=12.0), (25.0,)),
        (System("complexometric", (Portion(EDTA, 0.01),), 25.0, (Portion("zinc sulfate heptahydrate", 0.01),), pH=5.5),
         (25.0,)),
        (System("precipitation", (Portion("Cl^-", 0.1),), 25.0, (Portion("silver nitrate", 0.1),)), (25.0,)),
        (System("precipitation", (Portion("silver nitrate", 0.1),), 25.0, (Portion("ammonium thiocyanate", 0.1),)),
         (25.0,)),
        (System("redox", (Portion("Fe2+", 0.1),), 25.0, (Portion("potassium permanganate", 0.02),)), (25.0,)),
        (System("redox", (Portion("sodium oxalate", 0.05),), 25.0, (Portion("KMnO4", 0.02),)), (25.0,)),
        (System("redox", (Portion("hydrogen peroxide", 0.05),), 25.0, (Portion("KMnO4", 0.02),)), (25.0,)),
        (System("redox", (Portion("iodine", 0.05),), 25.0, (Portion("sodium thiosulfate", 0.1),)), (25.0,)),
        (System("redox", (Portion("ascorbic acid", 0.05),), 25.0, (Portion("iodine", 0.05),)), (25.0,)),
        (System("redox", (Portion("Fe2+", 0.1),), 25.0, (Portion("ammonium cerium(IV) nitrate", 0.1),),
                medium="1 mol/L H2SO4"), (25.0,)),
    ],
)
def test_the_equivalence_volume_is_that_of_the_reaction_equation(system, equivalence_mL):
    """Each volume from the amounts and the ratio in the reaction equation: hand calculation."""
    assert curve_of(system).equivalence_points_mL == pytest.approx(equivalence_mL)


def test_a_named_system_is_the_one_put_together_by_hand():
    steps = acid_constants("acetic acid")
    by_hand = AcidBaseTitration(
        Solution(((Acid("acetic acid", (steps[0].pKa,)), 0.1),)), 25.0, Solution(((StrongIon("Na+", 1), 0.1),)),
        Conditions(25.0))
    volumes = np.linspace(0.0, 40.0, 17)
    named = curve_of(acid_base("acetic acid"), volumes)
    assert named.values == pytest.approx(titration_curve(by_hand, volumes).values, abs=1e-9)


def test_water_dilutes_the_flask_and_leaves_the_equivalence_volume():
    plain, thin = (curve_of(acid_base("acetic acid", water_mL=water)) for water in (0.0, 75.0))
    assert thin.equivalence_points_mL == pytest.approx(plain.equivalence_points_mL)
    assert thin.values[0] - plain.values[0] == pytest.approx(0.5 * math.log10(4), abs=0.02)


def test_carbon_dioxide_in_the_flask_takes_base_and_air_takes_more():
    volumes = np.array([25.05])
    clean, some, aired = (
        curve_of(acid_base("hydrochloric acid", **more), volumes).values[0]
        for more in ({}, {"carbon_dioxide_mol_per_L": 2e-5}, {"open_to_air": True}))
    assert clean > some > aired


def test_water_in_balance_with_air_has_a_pH_near_five_point_six():
    """pH of rain water in balance with the carbon dioxide of the air, 5.6: common practice, no source."""
    system = System("acid-base", (Portion("sodium chloride", 1e-6),), 100.0, (Portion("NaOH", 0.1),), open_to_air=True)
    assert prepared(system).titration.points(np.array([0.0])).values[0] == pytest.approx(5.6, abs=0.05)
    assert carbon_dioxide_in_water(5.0) > carbon_dioxide_in_water(25.0)


def test_carbonate_in_the_titrant_lowers_the_curve_past_the_equivalence_point():
    titrants = ((Portion("NaOH", 0.1),), (Portion("NaOH", 0.098), Portion("sodium carbonate", 0.001)))
    clean, old = (System("acid-base", (Portion("acetic acid", 0.1),), 25.0, one) for one in titrants)
    assert curve_of(old, np.array([25.2])).values[0] < curve_of(clean, np.array([25.2])).values[0]


def test_an_acid_of_one_s_own_needs_no_table():
    own = System("acid-base", (Portion("our acid", 0.1, OwnAcid((acid_constants("acetic acid")[0].pKa,))),), 25.0,
                 (Portion("NaOH", 0.1),))
    volumes = np.array([0.0, 12.5, 25.0])
    assert curve_of(own, volumes).values == pytest.approx(curve_of(acid_base("acetic acid"), volumes).values, abs=1e-9)


def test_a_salt_of_one_s_own_acid_comes_with_its_sodium():
    own = OwnAcid((acid_constants("acetic acid")[0].pKa,), protons_lost=1)
    salt = System("acid-base", (Portion("our salt", 0.1, own),), 25.0, (Portion("HCl", 0.1),))
    volumes = np.array([0.0, 12.5, 25.0])
    named = curve_of(acid_base("sodium acetate", "HCl"), volumes)
    assert curve_of(salt, volumes).values == pytest.approx(named.values, abs=1e-9)


def test_silver_is_followed_and_the_flask_knows_equivalents_and_formulas():
    ready = prepared(System("precipitation", (Portion("NaCl", 0.1),), 25.0, (Portion("silver nitrate", 0.1),)))
    assert ready.titration.followed == "Ag+"
    assert (ready.flask.titrant, ready.flask.analyte) == ("AgNO3", "NaCl")
    for titrant, concentration, equivalents in (("KMnO4", 0.02, 5), ("K2Cr2O7", 0.02, 6)):
        redox = prepared(System("redox", (Portion("Fe2+", 0.1),), 25.0, (Portion(titrant, concentration),)))
        assert redox.flask.titrant_mol_per_L == pytest.approx(concentration * equivalents)
    sulfuric = prepared(acid_base("sodium hydroxide", "sulfuric acid"))
    assert sulfuric.flask.titrant_mol_per_L == pytest.approx(0.2)


def test_ammonia_holds_zinc_back():
    plain, held = (
        curve_of(System("complexometric", (Portion("Zn2+", 0.01),), 25.0, (Portion(EDTA, 0.01),), pH=10.0,
                        free_ligands=ligands), np.array([0.0])).values[0]
        for ligands in ((), (("ammonia", 0.1),)))
    assert held > plain + 1


def test_an_ion_is_read_in_any_of_its_spellings():
    assert dissolved("Ca^2+").products[0].species == dissolved("Ca2+").products[0].species == "Ca2+"
    assert dissolved("C2O4^2-").acids == ("oxalic acid",)


@pytest.mark.parametrize(
    ("make", "piece"),
    [
        (lambda: curve_of(acid_base("unobtainium chloride")), "unobtainium chloride"),
        (lambda: curve_of(acid_base("Xy2O")), "Xy2O"),
        (lambda: System("nuclear", (Portion("HCl", 0.1),), 25.0, (Portion("NaOH", 0.1),)), "use one of acid-base"),
        (lambda: Portion("HCl", -0.1), "give 1e-08 to 20 mol/L"),
        (lambda: Portion("HCl", math.nan), "mol/L"),
        (lambda: acid_base("HCl", volume_mL=0.0), "give the volumes in mL"),
        (lambda: System("acid-base", (), 25.0, (Portion("NaOH", 0.1),)), "no analyte"),
        (lambda: curve_of(System("complexometric", (Portion("Ca2+", 0.1),), 25.0, (Portion(EDTA, 0.1),))),
         "state the pH"),
        (lambda: curve_of(System("complexometric", (Portion("Ca2+", 0.1),), 25.0, (Portion(EDTA, 0.1),), pH=10.0,
                                 free_ligands=(("honey", 0.1),))), "'honey'"),
        (lambda: curve_of(System("precipitation", (Portion("sodium nitrate", 0.1),), 25.0, (Portion("KCl", 0.1),))),
         "no sparingly soluble salt"),
        (lambda: curve_of(System("redox", (Portion("Fe2+", 0.1),), 25.0, (Portion("KMnO4", 0.1),),
                                 medium="1 mol/L honey")), "honey"),
        (lambda: curve_of(System("redox", (Portion("Fe2+", 0.1),), 25.0, (Portion("KMnO4", 0.1),),
                                 couples=(OwnCouple("Xx3+/Xx2+"),))), "Xx3+/Xx2+"),
        (lambda: curve_of(acid_base("HCl", temperature_degC=90.0)), "5 to 50 °C"),
        (lambda: curve_of(System("acid-base", (Portion("x", 0.1, OwnAcid((4.0,), 0, 2)),), 25.0,
                                 (Portion("NaOH", 0.1),))), "protons lost"),
    ],
)
def test_what_cannot_be_followed_is_refused_in_one_sentence(make, piece):
    with pytest.raises(Refusal) as refused:
        make()
    sentence = str(refused.value)
    assert piece in sentence
    assert "\n" not in sentence


# --- specific ion interaction -----------------------------------------------------------------------------------------

# Robinson and Stokes, Electrolyte Solutions (1959), Appendix 8.10, mean coefficients at 25 °C, from memory.
MEAN_OF_HYDROCHLORIC_ACID = {0.5: 0.757, 1.0: 0.809, 2.0: 1.009, 3.0: 1.316}


def strong_acid_system(concentration, activity):
    return System("acid-base", (Portion("hydrochloric acid", concentration),), 25.0,
                  (Portion("sodium hydroxide", concentration),), activity=activity)


@pytest.mark.parametrize("concentration", MEAN_OF_HYDROCHLORIC_ACID)
def test_the_pH_of_strong_acid_is_that_of_its_measured_coefficient_with_specific_interaction(concentration):
    """In hydrochloric acid alone the coefficient of H+ is the mean one, for the convention parts two equal halves."""
    measured = -math.log10(concentration * MEAN_OF_HYDROCHLORIC_ACID[concentration])
    pH = float(prepared(strong_acid_system(concentration, "SIT")).titration.points(np.zeros(1)).values[0])
    assert pH == pytest.approx(measured, abs=0.02)


def test_beyond_its_limit_davies_is_far_off_where_specific_interaction_is_not():
    measured = -math.log10(3.0 * MEAN_OF_HYDROCHLORIC_ACID[3.0])
    by_model = {model: float(prepared(strong_acid_system(3.0, model)).titration.points(np.zeros(1)).values[0])
                for model in ("Davies", "SIT")}
    assert abs(by_model["Davies"] - measured) > 0.2
    assert abs(by_model["SIT"] - measured) < 0.02


def test_the_constant_of_acetic_acid_in_salt_goes_through_a_minimum_and_rises():
    """Harned and Owen, Electrolytic Solutions, acetic acid in sodium chloride at 25 °C, from memory: 4.76, 4.5 near
    0.5 mol/kg, and back to about 4.9 at 3 mol/kg, where Davies stays at 4.5."""
    found = []
    for salt in (0.5, 3.0):
        system = System("acid-base", (Portion("acetic acid", 0.001), Portion("sodium chloride", salt)), 100.0,
                        (Portion("sodium hydroxide", 0.1),), activity="SIT")
        pH = float(prepared(system).titration.points(np.array([0.5])).values[0])
        model = SpecificInteraction()
        lg_gamma = -float(model.screening(salt, 25.0)) + model.specific("H+", (("Cl-", salt),))
        found.append(pH + lg_gamma)
    assert found == pytest.approx([4.5, 4.88], abs=0.06)


@pytest.mark.parametrize(
    ("system", "needle"),
    [
        (System("acid-base", (Portion("ammonia", 0.1),), 25.0, (Portion("hydrochloric acid", 0.1),), activity="SIT"),
         "no coefficient of specific interaction is held for NH4+ with Cl-"),
        (System("acid-base", (Portion("acid", 0.1, OwnAcid((4.0,))),), 25.0, (Portion("sodium hydroxide", 0.1),),
                activity="SIT"), "asks for the formulas of the forms of acid"),
        (System("precipitation", (Portion("sodium chloride", 0.1),), 25.0, (Portion("silver nitrate", 0.1),),
                activity="SIT"), "held for acids and bases, not for precipitation"),
    ],
)
def test_specific_interaction_is_refused_where_nothing_is_known_of_the_ions(system, needle):
    with pytest.raises(Refusal, match=re.escape(needle)):
        prepared(system)
