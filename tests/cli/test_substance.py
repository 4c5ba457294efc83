"""The verb that looks a substance up: molar mass, hazards by strength, constants, and what it refuses."""

import json

import pytest

from tests.cli.terminal import assert_refused_in_one_sentence, call


def test_a_substance_is_told_with_molar_mass_hazards_and_constants():
    told = call("substance", "sodium carbonate")
    assert told.status == 0
    assert "registry number 497-19-8" in told.output
    assert "(105.988" in told.output
    assert "H319: Causes serious eye irritation" in told.output
    assert "HCO3- = CO3 2- + H+" in told.output.replace("−", "-")
    assert "qualified person" in told.output


def test_a_name_of_two_words_needs_no_quotation_marks():
    assert call("substance", "sodium", "carbonate").output == call("substance", "sodium carbonate").output


def test_the_strength_of_a_solution_decides_its_hazards():
    weak = json.loads(call("substance", "NaOH", "--content", "0.1 mol/L", "--density", "1.002 g/mL", "--json").output)
    strong = json.loads(call("substance", "NaOH", "--content", "10 % w/w", "--json").output)
    assert weak["cautions"]["statements"] == []
    assert weak["cautions"]["mass_percent"] == pytest.approx(0.399, abs=0.001)
    assert [one["code"] for one in strong["cautions"]["statements"]] == ["H314"]
    assert strong["cautions"]["signal_word"] == "Danger"
    assert "prevention" in strong["cautions"]["precautions"]


def test_a_solvent_of_its_own_hazards_is_named_and_counted():
    told = call("substance", "perchloric acid", "--content", "1 % w/w", "--solvent", "acetic acid")
    assert "H226" in told.output
    assert "in acetic acid" in told.output


def test_a_formula_that_is_not_held_gives_its_molar_mass_alone():
    record = json.loads(call("substance", "Na2B4O7·5H2O", "--json").output)
    assert record["substance"] is None
    assert record["constants"] is None
    # Na 22.990, B 10.81, O 15.999, H 1.008: 291.3 g/mol by hand.
    assert record["molar_mass_g_per_mol"] == pytest.approx(
        2 * 22.990 + 4 * 10.81 + 12 * 15.999 + 10 * 1.008, abs=0.03)


def test_every_constant_has_a_source_and_the_unchosen_ones_stay():
    record = json.loads(call("substance", "AgCl", "--json").output)["constants"]
    assert [(one["pKsp"], one["chosen"]) for one in record["solubility"]] == [(9.75, True), (9.74, False)]
    held = [one for group in record.values() if isinstance(group, list) for one in group]
    assert held
    assert all(one["source"] and one["status"] in {"read", "recalled"} for one in held)


def test_the_constants_of_edta_are_printed_with_every_metal():
    record = json.loads(call("substance", "disodium EDTA", "--json").output)["constants"]
    assert {"Ca2+", "Mg2+", "Zn2+"} <= {one["metal"] for one in record["complex_formation"]}
    assert {one["acid"] for one in record["acid_dissociation"]} == {"EDTA"}


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("sodium chlorid",), "no substance 'sodium chlorid' is held; choose from sodium chloride"),
        (("NaCl!",), "an unexpected character at character 5"),
        (("Xx2O3",), "no element of that symbol"),
        (("",), "formula"),
        (("C4H4O4",), "name maleic acid or fumaric acid"),
        (("NaOH", "--content", "120 % w/w"), "a mass fraction of 120 %"),
        (("NaOH", "--content", "0.1 mL"), "--content"),
        (("NaOH", "--density", "1.0 g/mL"), "give --content too"),
        (("NaOH", "--content", "1 % w/w", "--density", "1.0 g/mL"), "needs no density"),
        (("NaOH", "--content", "40 mol/L", "--density", "1.2 g/mL"), "of the solution's mass"),
        (("Na2B4O7·5H2O", "--content", "1 % w/w"), "nothing is known of its hazards"),
        (("NaOH", "--content", "1 % w/w", "--solvent", "phlogiston"), "no substance 'phlogiston' is held"),
    ],
)
def test_what_cannot_be_looked_up_is_refused_in_one_sentence(arguments, told):
    assert_refused_in_one_sentence(call("substance", *arguments), told)


@pytest.mark.parametrize("arguments", [("KCl", "--content", "45 % w/w"), ("AgCl", "--content", "0.1 mol/L"),
                                       ("AgCl", "--content", "5 % w/w"), ("KCl", "--content", "10 mol/L")])
def test_a_solution_that_cannot_be_has_no_hazards_told(arguments):
    # Solubility of KCl 25.5 % w/w at 20 °C (handbooks, from memory); silver chloride by its solubility product.
    assert_refused_in_one_sentence(call("substance", *arguments), "more than dissolves in water")


@pytest.mark.parametrize("content", ["25 % w/w", "7 % w/w", "1 mol/L"])
def test_a_solution_of_ammonia_has_the_same_hazards_by_either_name(content):
    # One solution, one classification: Regulation (EC) 1272/2008, Annex VI, 007-001-01-2 (from memory).
    gas, solution = (json.loads(call("substance", *name.split(), "--content", content, "--json").output)["cautions"]
                     for name in ("ammonia", "ammonia solution"))
    assert gas == solution
    if content != "1 mol/L":
        assert "H335" in [one["code"] for one in gas["statements"]]


def test_the_gas_and_its_solution_are_told_apart():
    assert "said of the gas" in " ".join(call("substance", "ammonia").output.split())
    assert "the gas is 'ammonia'" in " ".join(call("substance", "ammonia solution").output.split())
    assert "the gas" not in call("substance", "hydrochloric acid").output


@pytest.mark.parametrize(("percent", "code"), [("49.9", "H272"), ("50", "H272"), ("50.1", "H271")])
def test_perchloric_acid_of_exactly_half_its_mass_is_in_the_second_class_of_oxidisers(percent, code):
    # Regulation (EC) 1272/2008, Annex VI, 017-006-00-4: H271 above 50 %, H272 up to 50 % (from memory).
    found = json.loads(call("substance", "HClO4", "--content", f"{percent} % w/w", "--json").output)["cautions"]
    assert {"H271", "H272"} & {one["code"] for one in found["statements"]} == {code}


def test_a_salt_of_which_a_hydrate_is_held_has_the_hydrate_suggested_first():
    assert_refused_in_one_sentence(call("substance", "barium", "chloride"), "choose from barium chloride dihydrate")
