"""Reactions of the titration bench: their ratios, and what is refused. Common practice, no source."""

from fractions import Fraction

import pytest

from assaywright.chemistry.equivalent import equivalents, titrimetric_equivalent
from assaywright.chemistry.reaction import parse_reaction
from assaywright.metrology.refusal import Refusal
from assaywright.reference.tables import primary_standard, primary_standards


@pytest.mark.parametrize(
    ("text", "of", "to", "ratio"),
    [
        ("H+ + OH- -> H2O", "OH-", "H+", Fraction(1)),
        ("5 C2O4 2- + 2 MnO4- + 16 H+ -> 10 CO2 + 2 Mn2+ + 8 H2O", "C2O4 2-", "MnO4-", Fraction(5, 2)),
        ("5C2O4^2- + 2MnO4- + 16H+ → 10CO2 + 2Mn2+ + 8H2O", "C2O4 2-", "MnO4-", Fraction(5, 2)),
        ("2 S2O3 2- + I2 = S4O6 2- + 2 I-", "S2O3 2-", "I2", Fraction(2)),
        ("S2O3 2- + 4 ClO- + 2 OH- -> 2 SO4 2- + 4 Cl- + H2O", "ClO-", "S2O3 2-", Fraction(4)),
        ("Cr2O7 2- + 6 Fe2+ + 14 H+ -> 2 Cr3+ + 6 Fe3+ + 7 H2O", "Fe2+", "Cr2O7 2-", Fraction(6)),
        ("Na2CO3 + 2 HCl -> 2 NaCl + CO2 + H2O", "HCl", "Na2CO3", Fraction(2)),
        ("B4O7 2- + 2 H+ + 5 H2O -> 4 H3BO3", "H+", "B4O7 2-", Fraction(2)),
        ("IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O", "I2", "IO3-", Fraction(3)),
        ("Ag+(aq) + Cl-(aq) -> AgCl(s)", "Ag+", "Cl-", Fraction(1)),
        ("½ O2 + H2 -> H2O", "O2", "H2", Fraction(1, 2)),
        ("Fe2+ -> Fe3+ + e-", "e-", "Fe2+", Fraction(1)),
    ],
)
def test_a_balanced_reaction_gives_the_ratio_of_its_amounts(text, of, to, ratio):
    assert parse_reaction(text).ratio(of, to) == ratio


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("H2 + O2 -> H2O", r"in O \(1 more on the left\)"),
        ("Na2CO3 + HCl -> 2 NaCl + CO2 + H2O", r"H \(1 more on the right\), Cl \(1 more on the right\)"),
        ("Fe2+ -> Fe3+", r"in charge \(1 more negative on the left\)"),
        ("MnO4- + 5 Fe2+ + 8 H+ -> Mn2+ + 5 Fe3+ + 3 H2O", r"H \(2 more on the left\)"),
    ],
)
def test_an_unbalanced_reaction_is_refused_with_the_element_and_the_surplus(text, told):
    with pytest.raises(Refusal, match=told):
        parse_reaction(text)


@pytest.mark.parametrize("text", ["", "H+ + OH-", "H+ -> ", "-> H2O", "A -> B -> C", "H2 -> H2 -> H2", "0 H2 -> H2",
                                  "H+ + + OH- -> H2O", "SO42- -> SO42-", "H2 " * 500])
def test_what_is_no_reaction_is_refused(text):
    with pytest.raises(Refusal):
        parse_reaction(text)


def test_a_ratio_of_a_species_the_reaction_does_not_hold_is_refused_with_those_it_holds():
    with pytest.raises(Refusal, match="name one of H\\+, OH-, H2O"):
        parse_reaction("H+ + OH- -> H2O").ratio("Na+", "H+")


def test_the_equivalents_of_every_primary_standard_follow_from_its_balanced_reaction():
    for name in primary_standards():
        assert primary_standard(name).equivalents, name
        for one in primary_standard(name).equivalents:
            assert equivalents(name, one.basis).number == one.number


def test_iodate_counts_six_five_or_four_by_its_reaction_and_the_basis_must_be_named():
    # JOB: KIO3 is 6, 5 or 4. Vogel's Textbook of Quantitative Chemical Analysis, iodate titrations; from memory.
    numbers = {one.number for one in primary_standard("KIO3").equivalents}
    assert numbers == {6, 5, 4}
    with pytest.raises(Refusal, match="name one of"):
        equivalents("potassium iodate")


def test_phthalate_is_an_acid_in_water_and_a_base_in_acetic_acid():
    assert {one.basis for one in primary_standard("KHP").equivalents} == {"acid in water", "base in acetic acid"}


def test_carbonate_between_two_end_points_counts_its_full_molar_mass_per_proton():
    # USP 28-NF 23, Sodium Hydroxide, Assay: 106.0 mg per milliequivalent of acid, against 52.99 for both protons.
    one_proton = titrimetric_equivalent("Na2CO3", 1.0, Fraction(1, equivalents("sodium carbonate",
                                                                               "base to hydrogencarbonate").number))
    assert one_proton.value == pytest.approx(106.0, abs=0.05)


@pytest.mark.parametrize(("concentration", "ratio"), [(0.0, 1), (-0.1, 1), (float("nan"), 1), (0.1, 0), (0.1, -1)])
def test_an_equivalent_of_nothing_is_refused(concentration, ratio):
    with pytest.raises(Refusal):
        titrimetric_equivalent("NaOH", concentration, Fraction(ratio))
