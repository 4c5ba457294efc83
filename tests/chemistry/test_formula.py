"""Formulas: what they count, and what is refused. Structural facts of chemistry; common practice, no source."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.chemistry.formula import molar_mass, parse_formula
from assaywright.metrology.estimate import correlation, covariance
from assaywright.metrology.refusal import Refusal
from assaywright.reference.tables import atomic_weight


@pytest.mark.parametrize(
    ("text", "hill", "charge"),
    [
        ("C8H5KO4", "C8H5KO4", 0),
        ("Ca(OH)2", "CaH2O2", 0),
        ("Na2B4O7·10H2O", "B4H20Na2O17", 0),
        ("Na2B4O7*10H2O", "B4H20Na2O17", 0),
        ("Na2B4O7.10H2O", "B4H20Na2O17", 0),
        ("Na₂B₄O₇·10H₂O", "B4H20Na2O17", 0),
        ("CuSO4 · 5 H2O", "CuH10O9S", 0),
        ("(NH4)2Fe(SO4)2·6H2O", "FeH20N2O14S2", 0),
        ("K4[Fe(CN)6]·3H2O", "C6H6FeK4N6O3", 0),
        ("2C10H15NO·H2SO4", "C20H32N2O6S", 0),
        ("CO", "CO", 0),
        ("Co", "Co", 0),
        ("H+", "H", 1),
        ("OH−", "HO", -1),
        ("Fe2+", "Fe", 2),
        ("Fe+2", "Fe", 2),
        ("Fe++", "Fe", 2),
        ("MnO4-", "MnO4", -1),
        ("NH4+", "H4N", 1),
        ("SO4 2-", "O4S", -2),
        ("SO4^2-", "O4S", -2),
        ("SO₄²⁻", "O4S", -2),
        ("HPO4(2-)", "HO4P", -2),
        ("[Fe(CN)6]4-", "C6FeN6", -4),
        ("Hg2 2+", "Hg2", 2),
        ("I3^-", "I3", -1),
        ("S^2-", "S", -2),
        ("e-", "", -1),
    ],
)
def test_a_formula_in_any_of_its_written_forms_counts_the_same_atoms(text, hill, charge):
    found = parse_formula(text)
    assert found.hill == hill
    assert found.charge == charge


@pytest.mark.parametrize("text", ["CaSO4·0.5H2O", "CaSO4.0.5H2O", "CaSO4·½H2O", "CaSO4·1/2H2O"])
def test_half_a_water_is_counted_in_halves(text):
    assert parse_formula(text).count("H") == 1
    assert parse_formula(text).count("O") == Fraction(9, 2)


@pytest.mark.parametrize(
    ("text", "character"),
    [("NACL", 2), ("HCL", 3), ("Xx", 1), ("Ca(OH2", 3), ("CaOH)2", 5), ("()2", 1), ("H0", 2), ("CuSO4·", 7),
     ("·H2O", 1), ("Na 2CO3", 4), ("[H2O)", 1), ("1/0H2O", 1), ("H99999", 2)],
)
def test_a_formula_that_cannot_be_read_is_refused_with_the_character(text, character):
    with pytest.raises(Refusal, match=f"at character {character},"):
        parse_formula(text)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Xx2O3", "no element of that symbol at character 1, 'X'"),
        ("D2O", "no element of that symbol at character 1, 'D'"),
        ("h2o", "no element at character 1, 'h'"),
        ("K4[Fe(CN)6", r"a bracket that is empty or not closed at character 3, '\['"),
        ("[Fe(CN]6)", r"a bracket that is empty or not closed at character 4, '\('"),
        ("Ca(OH)2)", r"a closing bracket without its opening one at character 8, '\)'"),
        ("NaCl!", "an unexpected character at character 5, '!'"),
        ("Na,Cl", "an unexpected character at character 3, ','"),
        ("Na+Cl-", r"an unexpected character at character 3, '\+'"),
        ("CuSO4 5H2O", "an unexpected character at character 7, '5'"),
        ("CuSO4·xH2O", "no element at character 7, 'x'"),
        ("12", "no element at character 3, the end"),
        ("2+", "no element at character 2, the end"),
        ("", "a formula of 0 characters"),
    ],
)
def test_a_refused_formula_is_told_what_is_wrong_and_how_to_write_it(text, told):
    with pytest.raises(Refusal, match=told) as caught:
        parse_formula(text)
    assert caught.value.remedy.startswith("write ")


@pytest.mark.parametrize(
    ("text", "one", "other"),
    [("SO42-", "SO4^2-", "SO42^-"), ("I3-", "I3^-", "I^3-"), ("S2-", "S2^-", "S^2-"), ("PO43-", "PO4^3-", "PO43^-")],
)
def test_a_charge_that_can_be_read_in_two_ways_is_refused_with_both(text, one, other):
    with pytest.raises(Refusal) as caught:
        parse_formula(text)
    assert one in caught.value.remedy
    assert other in caught.value.remedy
    assert not parse_formula(one).is_same_entity(parse_formula(other))


@pytest.mark.parametrize("text", ["", "   ", "H" * 201])
def test_an_empty_or_endless_formula_is_refused(text):
    with pytest.raises(Refusal):
        parse_formula(text)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_but_never_breaks_the_reader(text):
    try:
        found = parse_formula(text)
    except Refusal:
        return
    assert all(count > 0 for _, count in found.atoms)


@given(st.lists(st.tuples(st.sampled_from(["H", "C", "O", "Na", "Cl", "S", "Fe"]), st.integers(1, 30)), min_size=1,
                max_size=6))
def test_the_counts_of_a_plain_formula_add_up(parts):
    found = parse_formula("".join(f"{symbol}{count}" for symbol, count in parts))
    for symbol in {symbol for symbol, _ in parts}:
        assert found.count(symbol) == sum(count for name, count in parts if name == symbol)


def test_the_molar_mass_of_a_hydrate_is_that_of_the_salt_and_its_water():
    hydrate = molar_mass("Na2B4O7·10H2O")
    assert hydrate.value == pytest.approx(molar_mass("Na2B4O7").value + 10 * molar_mass("H2O").value, abs=1e-9)


def test_an_anhydrous_formula_for_a_hydrate_is_wrong_by_the_factors_of_the_trade():
    # Table of edge cases, "hydrate on the label, anhydrous in the sum": common practice, no source.
    for hydrate, salt, factor in (
        ("C10H14N2Na2O8·2H2O", "C10H14N2Na2O8", 1.107),
        ("Na2CO3·H2O", "Na2CO3", 1.170),
        ("H2C2O4·2H2O", "H2C2O4", 1.400),
        ("Na2S2O3·5H2O", "Na2S2O3", 1.570),
    ):
        assert molar_mass(hydrate).value / molar_mass(salt).value == pytest.approx(factor, abs=0.0005)


def test_atoms_of_one_element_share_its_atomic_weight():
    carbon = atomic_weight("C").estimate
    [part] = molar_mass("C12").contributions
    assert part.key == "atomic weight|C|CIAAW 2021|standard atomic weight"
    assert part.distribution == "rectangular"
    assert part.amount == pytest.approx(12 * carbon.standard_uncertainty, rel=1e-12)
    assert molar_mass("C12").standard_uncertainty > 3 * 12**0.5 * carbon.standard_uncertainty


def test_two_molar_masses_covary_through_the_elements_they_share():
    salt, acid, metal = molar_mass("NaCl"), molar_mass("HCl"), molar_mass("Zn")
    chlorine = atomic_weight("Cl").estimate
    assert covariance(salt, acid) == pytest.approx(chlorine.variance, rel=1e-12)
    assert correlation(salt, acid) > 0.99
    assert covariance(salt, metal) == 0


def test_the_edition_of_the_atomic_weights_is_part_of_the_key():
    old, new = molar_mass("C8H5KO4", "CIAAW 2007"), molar_mass("C8H5KO4", "CIAAW 2021")
    assert covariance(old, new) == 0
    assert old.value != new.value


def test_a_molar_mass_needs_atoms_and_a_standard_atomic_weight():
    with pytest.raises(Refusal, match="counts no atoms"):
        molar_mass("e-")
    with pytest.raises(Refusal, match="gives no atomic weight of technetium"):
        molar_mass("TcO4-")
    with pytest.raises(Refusal, match="edition 'CIAAW 1802' is not held"):
        molar_mass("H2O", "CIAAW 1802")
