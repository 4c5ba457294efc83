"""Contents from any unit to any other: forth and back, by hand, with the uncertainty that belongs to it."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.chemistry.content import Content, Converted, Known, Wanted, convert
from assaywright.chemistry.content_units import SCALES, is_by_volume
from assaywright.chemistry.counting import count_equivalents, express_as
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.oxidation import moves_electrons
from assaywright.chemistry.reaction import parse_reaction
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.estimate import exact, influence
from assaywright.metrology.model import evaluate_plain
from assaywright.metrology.monte_carlo import simulate
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.working import write_working

SULFURIC = count_equivalents(find_solute("H2SO4"), "H2SO4 + 2 OH- -> SO4 2- + 2 H2O")


def converted(value: float, unit: str, of: str, to: str, **known) -> Converted:
    return convert(Content(exact(value, unit), find_solute(of)), Wanted(to), Known(**known))


# --- by hand ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        (98.0, "g/L", "mol/L", 98.0 / 98.081),
        (1.0, "mol/L", "eq/L", 2.0),
        (1.0, "eq/L", "mmol/L", 500.0),
        (2.0, "meq/L", "mg/L", 98.081),
        (10.0, "% w/w", "% w/v", 10.66),
        (10.66, "% w/v", "% w/w", 10.0),
        (10.0, "% w/w", "mol/kg", 100 / 98.081),
        (100.0, "g/kg", "eq/L", 2 * 106.6 / 98.081),
        (1.0, "mol/kg", "mol/L", 1.066),
        (5.0, "mg/mL", "% w/v", 0.5),
        (1.0, "mg/kg", "% w/w", 0.0001),
    ],
)
def test_sulfuric_acid_of_density_1_066_is_what_a_sum_by_hand_gives(value, unit, to, expected):
    ours = converted(value, unit, "H2SO4", to, counting=SULFURIC, density=exact(1.066, "g/mL"))
    assert ours.estimate.value == pytest.approx(expected, rel=2e-5)
    assert ours.estimate.unit == to


def test_caustic_by_weight_and_by_volume_are_told_apart():
    """Edge case 41: 20 % w/w is 24.4 % w/v, 20 % w/v is 16.9 % w/w (density 1.219 and 1.185, CRC Handbook)."""
    assert round(converted(20.0, "% w/w", "NaOH", "% w/v").estimate.value, 1) == 24.4
    assert round(converted(20.0, "% w/v", "NaOH", "% w/w").estimate.value, 1) == 16.9


def test_one_bleach_has_a_number_for_every_way_to_say_it():
    bleach = find_solute("NaClO")
    as_chlorine = express_as(bleach, "Cl2", "NaClO + 2 HCl -> NaCl + H2O + Cl2")
    assert as_chlorine.moles_per_mole == 1
    density = exact(1.20, "g/mL")
    trade = convert(Content(exact(12.5, "% w/v"), bleach, as_chlorine), Wanted("% w/w"), Known(density=density))
    assert trade.estimate.value == pytest.approx(12.5 / 1.20 * 74.44 / 70.90, rel=1e-4)
    by_weight = convert(Content(exact(12.5, "% w/v"), bleach, as_chlorine), Wanted("% w/w", as_chlorine),
                        Known(density=density))
    assert by_weight.estimate.value == pytest.approx(12.5 / 1.20, rel=1e-9)


def test_the_density_of_a_tenth_normal_acid_is_not_that_of_normal_acid():
    """Edge case 39: 1.017 g/mL is near what 1 mol/L hydrochloric acid weighs; 0.1 mol/L weighs 1.000 g/mL."""
    tenth = converted(0.1, "mol/L", "HCl", "mol/kg").density
    whole = converted(1.0, "mol/L", "HCl", "mol/kg").density
    assert tenth is not None
    assert round(tenth.value, 3) == 1.000
    assert whole is not None
    assert abs(whole.value - 1.017) < 0.0015


def test_muriatic_acid_of_20_degrees_baume_is_ten_molar():
    """Trade strength: 20 °Bé is 31.45 % w/w and 145/(145 − 20) = 1.160 g/mL at 60 °F (common practice, no source)."""
    ours = converted(31.45, "% w/w", "HCl", "mol/L")
    assert ours.estimate.value == pytest.approx(31.45 * 1.160 * 10 / 36.46, rel=0.004)
    assert ours.density is not None
    assert ours.density.value == pytest.approx(1.160, abs=0.005)


# --- forth and back ---------------------------------------------------------------------------------------------------


@given(st.sampled_from(sorted(SCALES)), st.sampled_from(sorted(SCALES)), st.floats(0.02, 0.95),
       st.sampled_from(["HCl", "NaOH", "H2SO4", "AgNO3", "KOH"]))
def test_every_conversion_leads_back(first, second, share, substance):
    solute = find_solute(substance)
    counted = "OH-" if "OH" in substance else "H+"
    reaction = {"HCl": "HCl + OH- -> Cl- + H2O", "H2SO4": "H2SO4 + 2 OH- -> SO4 2- + 2 H2O",
                "AgNO3": "Ag+ + Cl- -> AgCl", "NaOH": "OH- + H+ -> H2O", "KOH": "OH- + H+ -> H2O"}[substance]
    known = Known(count_equivalents(solute, reaction, "Ag+" if substance == "AgNO3" else
                                    "OH-" if counted == "H+" else "H+"))
    strength = convert(Content(exact(share * 36, "% w/w"), solute), Wanted(first), known)
    there = convert(Content(exact(strength.estimate.value, first), solute), Wanted(second), known)
    back = convert(Content(exact(there.estimate.value, second), solute), Wanted(first), known)
    assert back.estimate.value == pytest.approx(strength.estimate.value, rel=1e-9)


def test_all_evaluators_of_a_conversion_agree():
    content = Content(influence("test|x", 20.0, 0.1, "% w/v"), find_solute("NaOH"), text="20.0 % w/v")
    ours = convert(content, Wanted("mol/kg"))
    plain, _ = evaluate_plain(ours.model)
    assert plain == pytest.approx(ours.estimate.value, rel=1e-12)
    lines = write_working(ours.model).lines
    assert float(lines[-1].value) == pytest.approx(plain, rel=1e-10)
    trials = simulate(ours.model, 100_000, 11)
    assert trials.standard_uncertainty == pytest.approx(ours.estimate.standard_uncertainty, rel=0.02)


def test_a_doubt_about_the_content_goes_through_the_density_as_well():
    def strength(percent: float) -> float:
        return converted(percent, "% w/v", "NaOH", "% w/w").estimate.value

    content = Content(influence("test|x", 20.0, 0.1, "% w/v"), find_solute("NaOH"))
    part = next(p for p in convert(content, Wanted("% w/w")).estimate.contributions if p.key == "test|x")
    assert part.amount == pytest.approx((strength(20.1) - strength(19.9)) / 2, rel=1e-4)
    # were the density fixed, the doubt would be a sixth larger
    assert part.amount < 0.9 * 0.1 / 1.1848


# --- temperature ------------------------------------------------------------------------------------------------------


def test_a_litre_warmed_holds_less_and_a_kilogram_the_same():
    caustic = Content(exact(1.0, "mol/L"), find_solute("NaOH"))
    warm = convert(caustic, Wanted("mol/L", temperature_degC=25.0)).estimate
    assert 0.998 < warm.value < 0.9988
    by_mass = convert(Content(exact(4.0, "% w/w"), find_solute("NaOH")), Wanted("g/kg", temperature_degC=25.0)).estimate
    assert by_mass.value == pytest.approx(40.0)


def test_a_dilute_solution_follows_the_standard_table():
    # GB/T 601, Table A.1, 0.1 mol/L at 25 °C: -1.1 mL/L, which holds 25e-6 per K of glass.
    silver = Content(exact(0.1, "mol/L"), find_solute("AgNO3"))
    ours = convert(silver, Wanted("mol/L", temperature_degC=25.0)).estimate.value
    assert ours * (1 + 5 * 25e-6) == pytest.approx(0.1 * (1 - 0.0011), abs=0.1 * 0.00006)
    strong = Content(exact(1.0, "mol/L"), find_solute("AgNO3"))
    with pytest.raises(Refusal, match="silver nitrate at 25 °C"):
        convert(strong, Wanted("mol/L", temperature_degC=25.0))


# --- counting ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("substance", "reaction", "counted", "number"),
    [
        ("KMnO4", "MnO4- + 8 H+ + 5 e- -> Mn2+ + 4 H2O", "", 5),
        ("KMnO4", "MnO4- + 2 H2O + 3 e- -> MnO2 + 4 OH-", "", 3),
        ("KMnO4", "MnO4- + e- -> MnO4 2-", "", 1),
        ("KMnO4", "5 Fe2+ + MnO4- + 8 H+ -> 5 Fe3+ + Mn2+ + 4 H2O", "Fe2+", 5),
        ("H3PO4", "H3PO4 + OH- -> H2PO4- + H2O", "", 1),
        ("H3PO4", "H3PO4 + 2 OH- -> HPO4 2- + 2 H2O", "", 2),
        ("H3PO4", "H3PO4 + 3 OH- -> PO4 3- + 3 H2O", "", 3),
        ("KIO3", "IO3- + 6 H+ + 6 e- -> I- + 3 H2O", "", 6),
        ("KIO3", "IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O", "H+", 6),
        ("KIO3", "2 IO3- + 12 H+ + 10 e- -> I2 + 6 H2O", "", 5),
        ("KIO3", "IO3- + Cl- + 6 H+ + 4 e- -> ICl + 3 H2O", "", 4),
        ("I2", "I2 + 2 e- -> 2 I-", "", 2),
        ("sodium thiosulfate pentahydrate", "2 S2O3 2- -> S4O6 2- + 2 e-", "", 1),
        ("Na2S2O3", "S2O3 2- + 5 H2O -> 2 SO4 2- + 10 H+ + 8 e-", "", 8),
        ("Na2CO3", "CO3 2- + H+ -> HCO3-", "", 1),
        ("Na2CO3", "CO3 2- + 2 H+ -> CO2 + H2O", "", 2),
        ("borax", "Na2B4O7 + 2 HCl + 5 H2O -> 2 NaCl + 4 H3BO3", "HCl", 2),
        ("potassium hydrogen phthalate", "acid in water", "", 1),
        ("K2Cr2O7", "Cr2O7 2- + 14 H+ + 6 e- -> 2 Cr3+ + 7 H2O", "", 6),
        ("Ba(OH)2·8H2O", "OH- + H+ -> H2O", "", 2),
    ],
)
def test_equivalents_are_those_of_the_named_reaction(substance, reaction, counted, number):
    """Edge cases 1, 3 and 5: the same substance counts otherwise by another reaction (common practice, no source)."""
    assert count_equivalents(find_solute(substance), reaction, counted).number == number


def test_a_reaction_that_does_not_count_by_itself_asks_what_to_count():
    with pytest.raises(Refusal, match="write the half reaction with e-"):
        count_equivalents(find_solute("KMnO4"), "5 Fe2+ + MnO4- + 8 H+ -> 5 Fe3+ + Mn2+ + 4 H2O")
    with pytest.raises(Refusal, match="such as Ag"):
        count_equivalents(find_solute("AgNO3"), "Ag+ + Cl- -> AgCl")
    with pytest.raises(Refusal, match="no H3PO4 or ion of it"):
        count_equivalents(find_solute("H3PO4"), "H+ + OH- -> H2O")
    with pytest.raises(Refusal, match=r"surplus|balance"):
        count_equivalents(find_solute("HCl"), "HCl + 2 OH- -> Cl- + H2O")


def test_electrons_are_noticed_where_formulas_tell_them():
    for moving in ("I2 + 2 S2O3 2- -> 2 I- + S4O6 2-", "2 H2O2 -> 2 H2O + O2", "Zn + 2 H+ -> Zn2+ + H2"):
        assert moves_electrons(parse_reaction(moving)), moving
    for resting in ("H+ + OH- -> H2O", "CO3 2- + 2 H+ -> CO2 + H2O", "Ag+ + Cl- -> AgCl", "NH3 + H+ -> NH4+"):
        assert not moves_electrons(parse_reaction(resting)), resting


def test_a_content_is_expressed_as_another_species_by_what_both_count():
    assert express_as(find_solute("NaOH"), "Na2O").moles_per_mole == Fraction(1, 2)
    assert express_as(find_solute("KH2PO4"), "P2O5").moles_per_mole == Fraction(1, 2)
    assert express_as(find_solute("CaCl2"), "calcium carbonate").moles_per_mole == 1
    with pytest.raises(Refusal, match="decided by a reaction"):
        express_as(find_solute("NaClO"), "Cl2")
    with pytest.raises(Refusal, match="no element in common"):
        express_as(find_solute("CH3COOH"), "H2SO4")
    acidity = express_as(find_solute("C4H6O6"), "H2SO4", "C4H6O6 + Na2SO4 -> Na2C4H4O6 + H2SO4")
    assert acidity.moles_per_mole == 1


def test_a_hydrate_on_the_label_is_not_the_anhydrous_salt():
    """Edge case 34: Na2S2O3·5H2O over Na2S2O3 is 1.570."""
    crystals = Content(exact(24.818, "g/L"), find_solute("sodium thiosulfate pentahydrate"))
    salt = express_as(crystals.solute, "sodium thiosulfate")
    assert convert(crystals, Wanted("mol/L")).estimate.value == pytest.approx(0.1, rel=1e-4)
    dry = convert(crystals, Wanted("g/L", salt)).estimate.value
    assert round(24.818 / dry, 3) == 1.570


def test_a_certificate_of_half_moles_and_a_label_in_moles_are_brought_together():
    """Edge case 13: c(½ H2SO4) = 0.1 mol/L is 0.05 mol/L H2SO4."""
    half = convert(Content(exact(0.1, "eq/L"), find_solute("H2SO4")), Wanted("mol/L"), Known(SULFURIC))
    assert half.estimate.value == pytest.approx(0.05, rel=1e-12)


# --- what cannot be ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "of", "to", "told"),
    [
        (101.0, "% w/w", "NaOH", "g/L", "cannot be"),
        (-1.0, "g/L", "NaOH", "mol/L", "a content of -1"),
        (100.0, "mol/L", "NaOH", "g/L", "more than 100 % w/w"),
        (40.0, "% w/v", "NaCl", "mol/L", "more than dissolves"),
        (500.0, "g/L", "KIO3", "mol/L", "more than dissolves"),
        (0.1, "mol/L", "KMnO4", "eq/L", "no reaction is named"),
        (70.0, "% w/w", "HClO4", "mol/L", "give the density"),
        (20.0, "mol/L", "HCl", "% w/w", "more than dissolves"),
        (1.0, "mL", "HCl", "% w/w", "no unit of content"),
    ],
)
def test_what_cannot_be_is_refused(value, unit, of, to, told):
    with pytest.raises(Refusal, match=told):
        converted(value, unit, of, to)


def test_a_stated_density_that_makes_more_than_100_percent_is_refused():
    with pytest.raises(Refusal, match="cannot be"):
        converted(1500.0, "g/L", "NaOH", "% w/w", density=exact(1.2, "g/mL"))


def test_without_crossing_no_density_is_asked_for():
    ours = converted(11.7, "mol/L", "HClO4", "g/L")
    assert ours.estimate.value == pytest.approx(11.7 * molar_mass("HClO4").value)
    assert ours.density is None
    assert all(is_by_volume(unit) for unit in ("mol/L", "% w/v"))
