"""The verb ``buffer``: standard buffers, recipes with cautions first, a pH between two buffers, refusals."""

import json
import re

import pytest

from tests.cli.terminal import assert_refused_in_one_sentence, call

BRACKET = ("--between", "phosphate: 10.0 mV", "--between", "borax: -126.0 mV")


def record(*arguments):
    found = call("buffer", *arguments, "--json")
    assert (found.status, found.errors) == (0, ""), found.errors
    return json.loads(found.output)


def test_a_standard_buffer_is_told_with_its_uncertainty_and_source():
    found = call("buffer", "phthalate", "--temperature", "20 °C").output
    for piece in ("4.000", "0.010", "IUPAC", "recalled", "10.12 g"):
        assert piece in found
    assert record()["buffers"][0]["name"] == "tetraoxalate"
    assert record("--temperature", "60 °C")["buffers"][0]["pH"] is None


def test_a_recipe_begins_with_its_cautions_and_weighs_hydrates():
    arguments = ("--acid", "acetic acid", "--base", "NaOH", "--pH", "4.7", "--strength", "0.1 mol/L")
    text = call("buffer", *arguments).output
    assert text.index("CAUTIONS") < text.index("RECIPE")
    assert "H314" in text
    assert "safety data sheets" in text.replace("\n  ", " ")
    found = record("--acid", "KH2PO4", "--base", "Na2HPO4·12H2O", "--pH", "7.0", "--strength", "0.05 mol/L",
                   "--volume", "500 mL")
    assert found["ingredients"][1]["formula"] == "Na2HPO4·12H2O"
    for one, mass in zip(found["ingredients"], (136.086, 358.14), strict=True):
        assert one["mass_g"] == pytest.approx(one["concentration_mol_per_L"] * mass / 2, rel=1e-4)
    assert found["pH"] == pytest.approx(7.0, abs=1e-6)


def test_a_pH_between_two_buffers_is_what_a_sum_by_hand_gives():
    found = record(*BRACKET, "--reading", "-58.0 mV")
    assert found["pH"] == pytest.approx(6.865 + (-58 - 10) / ((-126 - 10) / (9.180 - 6.865)), abs=1e-9)
    assert found["releasable"] is True
    text = call("buffer", *BRACKET, "--reading", "-58.0 mV").output
    for symbol in ("k = (E_2 − E_1) / (pH_2 − pH_1)", "pH = pH_1 + (E_x − E_1) / k"):
        assert symbol in text


def test_a_bottle_with_a_certificate_of_its_own_and_a_sample_outside_are_told():
    found = record("--between", "7.01 ± 0.02, k = 2: 9.2 mV", "--between", "4.00 ± 0.02, k = 2: 180.0 mV",
                   "--reading", "-58.0 mV")
    assert [one["kind"] for one in found["remarks"]] == ["sample-outside-buffers"]
    assert found["releasable"] is False


@pytest.mark.parametrize(
    ("arguments", "pieces"),
    [
        (("vinegar",), ("no standard buffer", "vinegar")),
        (("tartrate", "--temperature", "10 °C"), ("holds 25 to 50 °C",)),
        (("--acid", "KH2PO4"), ("lacks --base",)),
        (("phthalate", "--reading", "1 mV"), ("more than one thing",)),
        (("--reading", "1 mV"), ("--between twice",)),
        ((*BRACKET, "--reading", "nan mV"), ("--reading", "not a finite number")),
        ((*BRACKET, "--reading", "8.02"), ("all three in mV",)),
        (("--between", "10 mV", "--between", "borax: 1 mV", "--reading", "0 mV"), ("--between", "phosphate: 10.0 mV")),
        (("--acid", "KH2PO4", "--base", "Na2HPO4", "--pH", "12", "--strength", "0.05 mol/L"), ("near it buffer",)),
        (("--acid", "KH2PO4", "--base", "Na2HPO4", "--pH", "7", "--strength", "0.05 g/L"), ("--strength",)),
        (("--acid", "KH2PO4", "--base", "Na2HPO4", "--pH", "7", "--strength", "0.05 mol/L", "--volume", "0 mL"),
         ("--volume",)),
        (("--acid", "KH2PO4", "--base", "Na2HPO4", "--pH", "7", "--strength", "0.05 mol/L", "--temperature", "90 °C"),
         ("temperature",)),
    ],
)
def test_what_cannot_be_is_one_sentence_and_status_2(arguments, pieces):
    assert_refused_in_one_sentence(call("buffer", *arguments), *pieces)


def test_a_negative_reading_is_read_without_a_space_too():
    asked = ("--between", "phosphate: 10.0 mV", "--between", "borax: -126.0 mV", "--reading")
    spaced, close = (call("buffer", *asked, reading).output for reading in ("-58.0 mV", "-58.0mV"))
    assert spaced == close
    assert "pH" in close


def test_a_recipe_with_a_gas_or_a_dissolved_acid_takes_its_solution():
    asked = ("--acid", "tris(hydroxymethyl)aminomethane", "--base", "HCl", "--pH", "8.1", "--strength", "0.05 mol/L")
    acid = record(*asked)["ingredients"][1]
    assert acid["mass_g"] is None
    assert acid["stock_mL"] * acid["stock_mol_per_L"] / 1000 == pytest.approx(acid["concentration_mol_per_L"])
    text = " ".join(call("buffer", *asked).output.split())
    assert re.search(r"hydrochloric acid HCl [\d.]+ [\d.]+ mL of [\d.]+ mol/L", text)
    assert "up by" in text
    assert "down by" in text
    strong = call("buffer", *asked, "--ionic-strength", "0.4 mol/L").output
    assert "the uncertainty of the pH has grown with it" in " ".join(strong.split())
