"""The tables of constants: balanced, in sets, each with its source, and every question with one answer or a refusal."""

from fractions import Fraction
from itertools import pairwise

import pytest

from assaywright.chemistry.formula import molar_mass, parse_formula
from assaywright.chemistry.reaction import parse_reaction
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import (
    acid_constants,
    acid_data_sets,
    acids,
    all_acid_constants,
    all_complexes,
    all_potentials,
    all_solubilities,
    complexes,
    couples,
    dissolution,
    edta_formation,
    edta_mixed_complexes,
    ligands_of,
    metals_of,
    potentials,
    reference_electrode,
    solids,
    solubility,
)
from assaywright.reference.load import by_key, table
from assaywright.reference.tables import substance, substances

NO_SUCH = ("zinc", "iron", "bismuth", "magnesium", "copper", "silver", "osmium tetroxide", "sulfanilamide",
           "phenolphthalein", "methyl orange", "crystal violet", "diphenylamine")


def text_of(term) -> str:
    return term.species.text.strip()


# --- balance ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["acid_dissociation_constants", "formation_constants", "solubility_products"])
def test_every_equilibrium_balances_in_atoms_and_charge(name):
    assert len(table(name).rows) > 70
    for row in table(name).rows:
        parse_reaction(row["equilibrium"])


def test_every_half_reaction_balances_and_takes_up_the_electrons_it_states():
    for row in table("redox_potentials").rows:
        reaction = parse_reaction(row["half_reaction"])
        assert reaction.coefficient("e-") == Fraction(row["electrons"]), row["key"]
        assert any(term.species.text.strip() == "e-" for term in reaction.left), row["key"]


def test_a_half_reaction_or_equilibrium_that_does_not_balance_would_be_noticed():
    with pytest.raises(Refusal, match="does not balance in charge"):
        parse_reaction("Fe3+ + 2 e- = Fe2+")
    with pytest.raises(Refusal, match="does not balance in H"):
        parse_reaction("H2CO3 = CO3 2- + H+")


def test_an_acid_gives_off_one_proton_a_step_and_each_base_is_the_acid_of_the_next():
    for acid in acids():
        for data_set in ("", *acid_data_sets(acid)):
            held = acid_constants(acid, data_set)
            for one in held:
                reaction = parse_reaction(one.equilibrium)
                assert reaction.coefficient("H+") == 1, one.key
                named = {text_of(term) for term in reaction.left + reaction.right}
                assert {one.acid_species, one.base_species} <= named, one.key
            for one, following in pairwise(held):
                if following.step == one.step + 1:
                    assert one.base_species == following.acid_species, one.key


def test_the_chosen_constants_of_an_acid_are_one_a_step_without_a_gap_and_grow():
    for acid in acids():
        held = acid_constants(acid)
        assert [one.step for one in held] == list(range(held[0].step, held[0].step + len(held))), acid
        assert [one.pKa for one in held] == sorted(one.pKa for one in held), acid
        assert len({one.kind for one in held if not one.is_strong} - {"thermodynamic"}) == 0, acid


def test_an_overall_constant_counts_the_ligands_it_says():
    for metal in {one["metal"] for one in table("formation_constants").rows}:
        for ligand in ligands_of(metal):
            for one in all_complexes(metal, ligand):
                reaction = parse_reaction(one.equilibrium)
                assert text_of(reaction.left[0]) == metal, one.key
                assert reaction.left[-1].coefficient == one.number, one.key
                assert one.complex in {text_of(term) for term in reaction.right}, one.key
            held = complexes(metal, ligand)
            assert len({one.data_set for one in held}) == 1, (metal, ligand)
            assert len({one.number for one in held}) == len(held), (metal, ligand)


def test_a_solid_dissolves_into_what_its_formula_counts():
    for solid in solids():
        one = solubility(solid)
        reaction = parse_reaction(one.equilibrium)
        assert parse_formula(one.formula).is_same_entity(reaction.left[0].species), one.key
        assert "(s)" in one.equilibrium.split(" = ")[0]


# --- substances -------------------------------------------------------------------------------------------------------


def test_there_are_substances_enough_with_constants():
    with_constants = 0
    for name in substances():
        row = by_key("dissolution").get(name)
        if row is None:
            continue
        reaction = parse_reaction(row["reaction"])
        species = {text_of(term) for term in reaction.right}
        metals = {one["metal"] for one in table("formation_constants").rows}
        in_couples = {part for couple in couples() for part in couple.split("/")}
        if row["acids"] or species & metals or species & in_couples:
            with_constants += 1
    assert len(substances()) >= 190
    assert with_constants >= 150


def test_every_substance_has_a_formula_with_a_molar_mass_and_a_registry_number_that_checks():
    for name in substances():
        found = substance(name)
        assert molar_mass(found.formula).value > 1, name
        digits = found.cas_number.replace("-", "")
        weighted = sum(place * int(digit) for place, digit in enumerate(reversed(digits[:-1]), start=1))
        assert weighted % 10 == int(digits[-1]), name
        assert found.state in {"solid", "liquid", "gas", "solution"}, name


def test_every_substance_is_found_by_its_name_and_its_aliases():
    for name in substances():
        for alias in (name, *substance(name).aliases):
            assert substance(alias).name == name, alias


def test_what_dissolves_keeps_its_atoms_and_lands_among_the_species_of_the_acids_it_names():
    for name in substances():
        if name in NO_SUCH:
            with pytest.raises(Refusal, match="becomes in water is not held"):
                dissolution(name)
            continue
        found = dissolution(name)
        reaction = parse_reaction(found.reaction)
        products = {text_of(term) for term in reaction.right}
        own = parse_formula(substance(name).formula)
        assert any(term.species.is_same_entity(own) for term in reaction.left), name
        for acid in found.acids:
            held = all_acid_constants(acid)
            own_species = {species for one in held for species in (one.acid_species, one.base_species)}
            assert products & own_species, (name, acid)


# --- questions --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "acid"),
    [
        ("phosphoric acid", "phosphoric acid"),
        ("sodium carbonate", "carbonic acid"),
        ("ammonia", "ammonium"),
        ("KHP", "phthalic acid"),
        ("borax", "boric acid"),
        ("Tris", "tris(hydroxymethyl)methylammonium"),
        ("disodium EDTA", "EDTA"),
        ("HCO3-", "carbonic acid"),
        ("sulphuric acid", "sulfuric acid"),
        ("water", "water"),
    ],
)
def test_an_acid_is_found_by_its_name_a_salt_of_it_or_a_species(asked, acid):
    assert {one.acid for one in acid_constants(asked)} == {acid}


@pytest.mark.parametrize(
    ("question", "told"),
    [
        (lambda: acid_constants("ammonium acetate"), "more than one acid; name acetic acid or ammonium"),
        (lambda: acid_constants("zinc"), "no acid or base whose constants are held"),
        (lambda: acid_constants("phosphoric acd"), "name phosphoric acid"),
        (lambda: acid_constants("EDTA", "Harris"), "choose Harris at 0.1 mol/L or NIST 46"),
        (lambda: edta_formation("Pm3+"), "for EDTA choose one of Mg2\\+, Ca2\\+"),
        (lambda: edta_formation("Ca2+", "mine"), "choose NIST 46 or"),
        (lambda: complexes("Zn2+", "amonia"), "for Zn2\\+ choose ammonia"),
        (lambda: complexes("Xx", "yy"), "give the constants with their source"),
        (lambda: solubility("CaCO3"), "more than one solid; name aragonite or calcite"),
        (lambda: solubility("AgCl", "mine"), "choose NIST 46 or Harris"),
        (lambda: solubility("silver chlorid"), "choose from silver chloride"),
        (lambda: potentials("Ce4+/Ce3+", "1 mol/L HBr"), "choose the medium 1 mol/L HClO4 or"),
        (lambda: potentials("ICl2^-/I2"), "choose the medium 4 mol/L HCl"),
        (lambda: potentials("Fe"), "write a couple as in Fe3\\+/Fe2\\+"),
        (lambda: reference_electrode("glass"), "choose Ag/AgCl in saturated KCl or calomel"),
        (lambda: dissolution("zinc"), "name the species it gives"),
    ],
)
def test_a_question_without_one_answer_is_refused_and_names_what_comes_near(question, told):
    with pytest.raises(Refusal, match=told):
        question()


def test_edta_is_held_in_sets_that_are_never_mixed():
    at_zero, at_tenth = acid_constants("EDTA"), acid_constants("EDTA", "Harris at 0.1 mol/L")
    assert {one.ionic_strength_mol_per_L for one in at_zero} == {0}
    assert {one.ionic_strength_mol_per_L for one in at_tenth} == {0.1}
    assert at_zero[0].step == 2
    assert at_tenth[0].step == 1
    assert edta_formation("Ca2+").data_set == at_zero[0].data_set
    assert edta_formation("Ca2+", at_tenth[0].data_set).ionic_strength_mol_per_L == 0.1
    assert edta_formation("Bi3+").kind == "concentration"


def test_the_ligand_of_the_edta_complexes_is_the_last_species_of_edta():
    last = acid_constants("EDTA")[-1].base_species
    for metal in metals_of("EDTA"):
        for one in (edta_formation(metal), *edta_mixed_complexes(metal)):
            assert last in {text_of(term) for term in parse_reaction(one.equilibrium).left}, one.key


def test_standard_and_formal_potentials_are_never_given_for_one_another():
    for couple in couples():
        for one in all_potentials(couple):
            assert bool(one.medium) == (one.kind != "standard"), one.key
    assert {one.kind for one in potentials("Fe3+/Fe2+")} == {"standard"}
    assert {one.kind for one in potentials("Fe3+/Fe2+", "1 mol/L H2SO4")} == {"formal"}
    for couple in couples():
        if reference := [one for one in all_potentials(couple) if one.kind == "reference electrode"]:
            assert reference_electrode(couple) == reference[0]


def test_where_sources_differ_one_is_chosen_and_the_others_stay():
    assert [(one.pKsp, one.chosen) for one in all_solubilities("AgCl")] == [(9.75, True), (9.74, False)]
    assert "chosen" in solubility("AgCl").note
    chromium = [one for one in all_potentials("Cr2O7 2-/Cr3+") if one.kind == "standard"]
    assert {one.potential_V for one in chromium} == {1.36, 1.23}
    assert sum(one.chosen for one in chromium) == 1


def test_a_constant_never_stands_without_what_bounds_it():
    for name in ("acid_dissociation_constants", "formation_constants", "solubility_products", "redox_potentials"):
        for row in table(name).rows:
            assert float(row["half_width"]) >= (0 if row["note"].endswith("by definition") else 0.00005), row["key"]
    estimate = acid_constants("acetic acid")[0].estimate
    assert estimate.contributions[0].key == "acid dissociation|acetic acid, step 1|Goldberg 2002|pKa"
    assert edta_formation("Zn2+").estimate.standard_uncertainty > 0.02
    assert solubility("AgCl").estimate.unit == "1"
    assert potentials("Ag+/Ag")[0].estimate.unit == "V"


def test_the_equivalent_of_dichromate_is_that_of_todays_atomic_weights_and_the_older_print_is_written_down():
    [noted] = [row for row in table("errata").rows if row["key"].startswith("potassium dichromate")]
    assert f"{molar_mass('K2Cr2O7').value / 6:.2f}" == noted["used"] == "49.03"
    assert noted["printed"] == "49.04"
