"""The verb ``convert``: printed answers, JSON, a working that can be followed, one sentence for what cannot be."""

import json
import re

import pytest

from tests.cli.terminal import assert_refused_in_one_sentence, call

ACID = "HCl + OH- -> Cl- + H2O"


def answer(*arguments):
    found = call("convert", *arguments)
    assert (found.status, found.errors) == (0, ""), found.errors
    return found.output


def record(*arguments):
    return json.loads(answer(*arguments, "--json"))


def test_caustic_by_weight_is_printed_by_volume_with_its_uncertainty_and_density():
    text = answer("20 % w/w", "--of", "NaOH", "--to", "% w/v")
    assert re.search(r"24\.38\d* % w/v ± 0\.01\d+ % w/v", text)
    assert "1.2192" in text
    assert "CRC" in text
    assert "% less" in answer("10 % w/w", "--of", "NaOH", "--to", "% w/v")


def test_without_a_unit_every_unit_is_told_and_normality_asks_for_its_reaction():
    text = answer("31 % w/w", "--of", "hydrochloric acid")
    for unit in ("mol/L", "mmol/L", "g/L", "mg/L", "mg/mL", "% w/v", "mol/kg", "mmol/kg", "% w/w", "g/kg", "mg/kg"):
        assert re.search(rf"^  {re.escape(unit)} +[\d.]+", text, re.MULTILINE), unit
    assert re.search(r"^  eq/L +needs --reaction", text, re.MULTILINE)
    told = answer("31 % w/w", "--of", "HCl", "--reaction", ACID)
    assert re.search(r"^  eq/L +9\.8", told, re.MULTILINE)


def test_the_working_is_followed_by_hand():
    lines = record("20 % w/v", "--of", "NaOH", "--to", "% w/w")["working"]
    assert [line["symbol"] for line in lines] == ["γ", "w", "w_1"]
    for line in lines:
        assert eval(line["figures"].replace("×", "*")) == pytest.approx(float(line["value"]), rel=1e-11)  # noqa: S307


def test_an_amount_by_mass_is_that_of_the_solution_and_no_molality():
    """20 % NaOH: 200 g/39.997 g/mol in a kilogram of solution, 250 g for a kilogram of water, whose molality has the
    symbol b (IUPAC Green Book, 3rd edition, 2.10, from memory)."""
    text = answer("20 % w/w", "--of", "NaOH", "--to", "mol/kg")
    assert re.search(r"5\.000\d* mol/kg .*, per kilogram of solution", text)
    assert not re.search(r"^ +b = ", text, re.MULTILINE)
    table = answer("20 % w/w", "--of", "NaOH")
    assert re.search(r"^  mol/kg +5\.000\d*.*per kilogram of solution", table, re.MULTILINE)


def test_an_uncertainty_as_typed_reaches_the_result():
    found = record("0.1002 mol/L ± 0.0002 mol/L, k = 2", "--of", "AgNO3", "--to", "g/L")
    assert found["given"]["standard_uncertainty"] == pytest.approx(0.0001)
    assert found["result"]["standard_uncertainty"] == pytest.approx(0.0001 * 169.87, rel=0.001)
    assert found["result"]["value_text"] == "17.021"


def test_factor_and_titrimetric_equivalent_are_told():
    # USP, sodium chloride by silver nitrate: each mL of 0.1 N is equivalent to 5.844 mg of NaCl.
    found = record("0.1 mol/L", "--of", "AgNO3", "--to", "mol/L", "--titrates", "NaCl", "--nominal", "0.1 mol/L",
                   "--reaction", "Ag+ + Cl- -> AgCl")
    assert found["titrimetric_equivalent"]["value"] == pytest.approx(5.844, abs=0.0005)
    assert found["factor"]["value"] == pytest.approx(1.0)
    low = record("0.0980 mol/L", "--of", "HCl", "--to", "mol/L", "--nominal", "0.1 N", "--reaction", ACID)
    assert low["factor"]["value"] == pytest.approx(0.980)


def test_a_stated_density_takes_the_place_of_the_table_and_its_last_digit_is_its_doubt():
    found = record("70.5 % w/w", "--of", "HClO4", "--to", "mol/L", "--density", "1.67 g/mL")
    assert found["result"]["value"] == pytest.approx(70.5 * 1.67 * 10 / 100.457, rel=1e-4)
    assert found["density"]["standard_uncertainty"] == pytest.approx(0.005 / 3**0.5)
    stated = record("70.5 % w/w", "--of", "HClO4", "--to", "mol/L", "--density", "1670 kg/m3 ± 2 kg/m3, k = 2")
    assert stated["density"]["standard_uncertainty"] == pytest.approx(0.001)


def test_the_temperature_of_a_content_by_volume_is_heeded():
    warm = record("1 mol/L", "--of", "NaOH", "--to", "mol/L", "--to-temperature", "25 °C")
    assert warm["result"]["value"] == pytest.approx(0.9984, abs=0.0001)
    assert warm["other_temperature"]["temperature_degC"] == 25
    here = record("1 mol/L", "--of", "NaOH", "--to", "mol/L", "--temperature", "25 °C")
    assert here["other_temperature"]["ratio"]["value"] == pytest.approx(1 / 0.9984, abs=0.0001)


def test_species_are_expressed_and_read():
    found = record("20 % w/w", "--of", "NaOH", "--as", "Na2O", "--to", "% w/w")
    assert found["result"]["value"] == pytest.approx(20 * 61.979 / 2 / 39.997, rel=1e-5)
    back = record("15.4958 % w/w", "--of", "NaOH", "--given-as", "Na2O", "--as", "NaOH", "--to", "% w/w")
    assert back["result"]["value"] == pytest.approx(20.0, abs=0.0001)
    bleach = record("12.5 % w/v", "--of", "NaClO", "--given-as", "Cl2", "--to", "mol/L", "--reaction",
                    "NaClO + 2 HCl -> NaCl + H2O + Cl2", "--as", "NaClO")
    assert bleach["result"]["value"] == pytest.approx(125 / 70.903, rel=1e-4)


@pytest.mark.parametrize(
    ("arguments", "pieces"),
    [
        (("101 % w/w", "--of", "NaOH", "--to", "g/L"), ("cannot be",)),
        (("40 % w/v", "--of", "NaCl", "--to", "mol/L"), ("more than dissolves",)),
        (("40 % w/w", "--of", "NaCl"), ("more than dissolves",)),
        (("0.1 N", "--of", "KMnO4", "--to", "mol/L"), ("no reaction is named",)),
        (("0.1 mol/L", "--of", "KMnO4", "--to", "N", "--reaction", "MnO4- -> Mn2+"), ("O",)),
        (("0.1 mol/L", "--of", "unobtainium", "--to", "g/L"), ("--of", "unobtainium")),
        (("0.1", "--of", "NaOH", "--to", "g/L"), ("CONTENT", "no unit")),
        (("20 mL", "--of", "NaOH", "--to", "g/L"), ("CONTENT", "volume")),
        (("nan mol/L", "--of", "NaOH"), ("not a finite number",)),
        (("-1 mol/L", "--of", "NaOH"), ("a content of -1",)),
        (("1 mol/L", "--of", "NaOH", "--to", "furlong"), ("--to", "furlong")),
        (("1 mol/L", "--of", "NaOH", "--to", "mL"), ("--to", "no unit of content")),
        (("1 mol/L", "--of", "NaOH", "--temperature", "300 °C"), ("--temperature",)),
        (("1 mol/L", "--of", "NaOH", "--density", "1219 g/mL"), ("--density", "no density")),
        (("1 mol/L", "--of", "NaOH", "--density", "-1 g/mL"), ("--density",)),
        (("1 mol/L", "--of", "NaOH", "--density", "0 g/mL"), ("--density",)),
        (("1 mol/L", "--of", "NaOCl", "--as", "Cl2"), ("decided by a reaction",)),
        (("1 mol/L", "--of", "HCl", "--nominal", "0 mol/L"), ("nominal",)),
        (("1 mol/L", "--of", "HCl", "--nominal", "1 mol/L ± 0.1, k = 2"), ("--nominal", "exact")),
        (("1 mol/L", "--of", "HCl", "--titrates", "NaOH"), ("--reaction",)),
        (("1 mol/L", "--of", "HCl", "--titrates", "KCl", "--reaction", ACID), ("KCl",)),
        (("70 % w/w", "--of", "HClO4", "--to", "mol/L"), ("give the density",)),
        (("1 mol/L", "--of", "NaOH", "--to", "mol/L", "--to-temperature", "60 °C"), ("60 °C",)),
        (("1 mol/L",), ("--of",)),
    ],
)
def test_what_cannot_be_is_one_sentence_and_status_2(arguments, pieces):
    assert_refused_in_one_sentence(call("convert", *arguments), *pieces)


def test_a_content_typed_without_a_space_before_its_unit_is_converted_alike():
    spaced, close = (call("convert", text, "--of", "NaOH", "--to", "g/L") for text in ("1 % w/w", "1%w/w"))
    assert (spaced.status, close.status) == (0, 0)
    assert spaced.output.splitlines()[-3:] == close.output.splitlines()[-3:]


def test_between_the_table_and_saturation_the_density_is_extrapolated_and_said_to_be():
    # Solubility of NaOH 52.2 % w/w at 20 °C: handbooks, from memory; the table ends at 50 % w/w (CRC Handbook).
    found = record("52 % w/w", "--of", "NaOH", "--to", "mol/L")
    assert [one["kind"] for one in found["remarks"]] == ["density-beyond-table"]
    assert "REMARKS" in answer("20 mol/L", "--of", "NaOH")
    back = record(f"{found['result']['value']!r} mol/L", "--of", "NaOH", "--to", "% w/w")
    assert back["result"]["value"] == pytest.approx(52.0, rel=1e-9)
    inside = record("50 % w/w", "--of", "NaOH", "--to", "mol/L")
    assert inside["remarks"] == []
    assert inside["density"]["standard_uncertainty"] < found["density"]["standard_uncertainty"]


def test_a_stated_density_far_from_the_table_is_questioned():
    # 20 % w/w NaOH has 1.2192 g/mL at 20 °C: CRC Handbook, concentrative properties of aqueous solutions.
    far = record("20 % w/w", "--of", "NaOH", "--density", "1.500 g/mL", "--to", "mol/L")
    assert [one["kind"] for one in far["remarks"]] == ["density-far-from-table"]
    assert "1.2192 g/mL" in far["remarks"][0]["what"]
    assert record("20 % w/w", "--of", "NaOH", "--density", "1.219 g/mL", "--to", "mol/L")["remarks"] == []


def test_a_unit_of_another_kind_lists_the_units_once():
    told = call("convert", "20 mL", "--of", "NaOH").errors
    assert told.count("mmol/kg") == 1
    assert told.count("% w/v") == 1


def test_nothing_dissolved_is_none_in_every_unit_with_its_uncertainty():
    # 0.1 g/L for k = 2 is 0.098 g/L for k = 1.96; M(NaCl) = 58.44 g/mol: 0.098 / 58.44 = 0.0017 mol/L
    for content in ("0 g/L ± 0.1 g/L, k = 2", "0 mol/L"):
        told = call("convert", content, "--of", "NaCl")
        assert told.status == 0, told.errors
        assert "density 0.9982" in " ".join(told.output.split())
    told = call("convert", "0 g/L ± 0.1 g/L, k = 2", "--of", "NaCl", "--to", "mol/L").output
    assert "0.0000 mol/L ± 0.0017 mol/L" in " ".join(told.split())
