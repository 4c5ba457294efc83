"""Preparations from files and options: amounts, uncertainty, heat, order of addition, and what cannot be made."""

import json
import math
import re
from decimal import Decimal

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assaywright.assay.corrections.minimum_weight import minimum_weight_mg
from assaywright.assay.prepare.form import (
    PREPARATION_FIELDS,
    SOURCE_FIELDS,
    VESSEL_FIELDS,
    read_preparation,
)
from assaywright.assay.prepare.measuring import MINIMUM_STEPS
from assaywright.assay.prepare.mixture import Part, mixture_model
from assaywright.assay.prepare.prepare import prepare
from assaywright.assay.prepare.safety import RECALLED, heat_sentences
from assaywright.chemistry.heat import HeatPortion, warming
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.estimate import exact
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.model import evaluate_plain
from assaywright.metrology.monte_carlo import simulate
from tests.cli.terminal import assert_refused_in_one_sentence, call
from tests.house.sources import HOUSE

FLASK = """
format = "assaywright preparation 1"
id = "PR-1"
date = 2026-10-14
substance = "hydrochloric acid"
content = "0.1 mol/L"
volume = "1 L"
responsible = "Maren Tolliver"
responsible_function = "head of production"
[vessel]
kind = "flask"
id = "F-1"
tolerance = "0.4 mL"
[[source]]
name = "hydrochloric acid 37 %"
content = "37.0 % w/w ± 0.5 % w/w, rectangular"
readability = "0.01 g"
uncertainty = "0.02 g, rectangular"
"""


def read(text):
    return read_preparation(text.encode(), "p.toml")


def written(folder, text):
    path = folder / "p.toml"
    path.write_text(text, encoding="utf-8")
    return path


# --- amounts and uncertainty ------------------------------------------------------------------------------------------


def test_the_uncertainty_is_the_root_of_squares_that_a_pocket_calculator_makes():
    """0.1 mol/L: assay 0.5/37/√3 = 0.780 %, weighing 0.02/9.85/√3 = 0.117 %, flask 0.4/1000/√6 = 0.016 %."""
    prepared = prepare(read(FLASK))
    by_hand = math.hypot(0.5 / 37 / math.sqrt(3), 0.02 / 9.85 / math.sqrt(3), 0.0004 / math.sqrt(6))
    relative = prepared.result.standard_uncertainty / prepared.result.value
    assert relative == pytest.approx(by_hand, rel=0.001)
    assert prepared.result.value == pytest.approx(9.85 * 0.37 / 36.4595, rel=1e-5)


def test_propagation_and_simulation_agree():
    prepared = prepare(read(FLASK), monte_carlo=100_000, seed=5)
    assert prepared.simulation.standard_uncertainty == pytest.approx(prepared.result.standard_uncertainty, rel=0.01)
    assert prepared.simulation.mean == pytest.approx(prepared.result.value, rel=2e-4)


def test_the_written_working_ends_in_the_result():
    prepared = prepare(read(FLASK))
    assert float(prepared.working.lines[-1].value) == pytest.approx(prepared.result.value, rel=1e-10)


def test_the_decahydrate_weighs_2_70_times_the_anhydrous_salt():
    """Na2CO3·10H2O 286.14 and Na2CO3 105.99 g/mol, as printed on labels."""
    dry = call("prepare", "--of", "sodium carbonate", "--to", "0.05 mol/L", "--volume", "1 L", "--json")
    wet = call("prepare", "--of", "sodium carbonate", "--solid", "Na2CO3·10H2O", "--to", "0.05 mol/L", "--volume",
               "1 L", "--json")
    masses = [json.loads(one.output)["portions"][0]["mass_g"] for one in (dry, wet)]
    assert masses[1] / masses[0] == pytest.approx(286.14 / 105.99, rel=0.002)


def test_water_in_the_solid_asks_for_more_of_it():
    dry = call("prepare", "--of", "KCl", "--to", "1 mol/L", "--volume", "1 L", "--json")
    damp = call("prepare", "--of", "KCl", "--to", "1 mol/L", "--volume", "1 L", "--water", "2 % w/w", "--json")
    masses = [json.loads(one.output)["portions"][0]["mass_g"] for one in (dry, damp)]
    assert masses[1] / masses[0] == pytest.approx(1 / 0.98, rel=2e-4)


def test_a_warm_flask_holds_less_when_it_has_cooled_and_so_more_is_weighed():
    cold = prepare(read(FLASK)).portions[0].exact
    warm = prepare(read(FLASK.replace('volume = "1 L"', 'volume = "1 L"\ntemperature = "25 °C"'))).portions[0].exact
    assert warm / cold == pytest.approx(1 - 0.0011, abs=0.0003)  # water shrinks by 0.11 % from 25 to 20 °C


def test_from_a_tenth_of_a_litre_to_a_tank_the_parts_stay_in_proportion():
    small = prepare(read(FLASK.replace('"1 L"', '"0.1 L"'))).portions[0].exact
    large = prepare(read(FLASK.replace('"1 L"', '"5000 L"'))).portions[0].exact
    assert large / small == pytest.approx(50_000, rel=1e-9)


def test_a_tank_is_rounded_to_what_its_scale_can_do():
    text = FLASK.replace('"1 L"', '"5000 L"').replace('readability = "0.01 g"', 'readability = "0.5 kg"')
    portion = prepare(read(text)).portions[0]
    assert portion.amount % 500 == 0
    assert portion.text == "49.5 kg"


def test_two_stocks_are_mixed_by_the_balance_of_masses():
    answer = call("prepare", "--of", "NaOH", "--to", "20 % w/w", "--mass", "10 kg", "--from", "50 % w/w", "--from",
                  "10 % w/w", "--readability", "0.1 g", "--json")
    strong, weak = (one["mass_g"] for one in json.loads(answer.output)["portions"])
    assert (strong, weak) == (2500.0, 7500.0)


def test_normality_needs_and_takes_its_reaction():
    answer = call("prepare", "--of", "H2SO4", "--to", "1 N", "--volume", "1 L", "--from", "96 % w/w", "--reaction",
                  "H2SO4 + 2 OH- -> SO4 2- + 2 H2O", "--json")
    assert json.loads(answer.output)["portions"][0]["mass_g"] == pytest.approx(98.07 / 2 / 0.96, abs=0.02)
    assert_refused_in_one_sentence(call("prepare", "--of", "H2SO4", "--to", "1 N", "--volume", "1 L", "--from",
                                        "96 % w/w"), "reaction")


def test_too_small_a_portion_is_told_by_the_rule_of_the_pharmacopoeia():
    """USP <41>: 2 × 0.41 d / 0.10 % = 820 d."""
    assert minimum_weight_mg(Decimal(0), Decimal("0.1")) == MINIMUM_STEPS * Decimal("0.1")
    light = prepare(read(FLASK.replace('"1 L"', '"0.1 L"')))
    heavy = prepare(read(FLASK))
    assert any("USP <41>" in note for note in light.notes)
    assert not any("USP <41>" in note for note in heavy.notes)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(0.1, 1e4), st.floats(0, 100)), min_size=2, max_size=5))
def test_no_mixture_holds_more_than_its_strongest_part_nor_less_than_its_weakest(pairs):
    parts = [Part(f"L{n}", "part", mass, exact(0.0, "g"), exact(content, "% w/w"))
             for n, (mass, content) in enumerate(pairs)]
    value = evaluate_plain(mixture_model(parts, find_solute("NaOH"), "% w/w"))[0]
    contents = [content for _, content in pairs]
    assert min(contents) - 1e-9 <= value <= max(contents) + 1e-9


def test_the_model_serves_all_evaluators_alike():
    model = prepare(read(FLASK)).model
    plain, propagated, simulated = evaluate_plain(model)[0], evaluate_gum(model).estimate, simulate(model, 50_000, 1)
    assert plain == pytest.approx(propagated.value, rel=1e-12)
    assert simulated.mean == pytest.approx(plain, rel=3e-4)


# --- heat -------------------------------------------------------------------------------------------------------------


def test_a_mole_of_caustic_soda_in_a_litre_warms_it_by_about_11_degrees():
    """Heat of solution 44.5 kJ/mol (CRC after Parker) over 1.04 kg of solution of about 4.0 J/(g K)."""
    rise = warming(find_solute("NaOH"), [HeatPortion(40.0, 100.0), HeatPortion(1000.0, 0.0)]).rise_K
    assert rise == pytest.approx(44.5e3 / (1040 * 4.0), abs=0.6)
    assert round(rise) == 11


def test_potassium_chloride_cools_the_water_it_dissolves_in():
    """17.2 kJ/mol taken up by a kilogram of water: 17.2/4.184 = 4.1 K."""
    found = warming(find_solute("KCl"), [HeatPortion(74.55, 100.0), HeatPortion(1000.0, 0.0)])
    assert found.rise_K == pytest.approx(-17.22 / 4.184, abs=0.05)


@pytest.mark.parametrize(
    ("name", "molality", "printed"),
    [("HCl", 10.0, 10.24), ("HCl", 20.0, 19.87), ("HNO3", 10.0, 3.933), ("HBr", 10.0, 8.694)],
)
def test_dilution_without_end_gives_the_printed_heat(name, molality, printed):
    """CRC Handbook, enthalpy of dilution of acids, after Parker: its digits, read back at its molalities."""
    from assaywright.chemistry.formula import molar_mass

    solute = find_solute(name)
    acid_g = molality * molar_mass(solute.formula).value
    percent = 100 * acid_g / (acid_g + 1000)
    found = warming(solute, [HeatPortion(acid_g + 1000, percent), HeatPortion(1e9, 0.0)])
    assert found.heat_kJ / molality == pytest.approx(printed, abs=0.01)


def test_heat_neither_comes_nor_goes_when_nothing_is_diluted():
    found = warming(find_solute("H2SO4"), [HeatPortion(100.0, 50.0), HeatPortion(300.0, 50.0, 40.0)])
    assert found.heat_kJ == pytest.approx(0.0, abs=1e-9)
    assert found.final_degC == pytest.approx(35.0)


def test_two_dilutions_one_after_the_other_give_the_heat_of_one():
    acid = find_solute("H2SO4")
    once = warming(acid, [HeatPortion(100, 96), HeatPortion(300, 0)]).heat_kJ
    first = warming(acid, [HeatPortion(100, 96), HeatPortion(100, 0)]).heat_kJ
    second = warming(acid, [HeatPortion(200, 48), HeatPortion(200, 0)]).heat_kJ
    assert once == pytest.approx(first + second, rel=1e-9)


def test_oil_of_vitriol_with_its_own_weight_of_water_would_boil_and_is_told_so_first():
    answer = call("prepare", "--of", "H2SO4", "--to", "48 % w/w", "--mass", "2 kg", "--from", "96 % w/w")
    head = " ".join(answer.output.split("WHAT TO DO")[0].split())
    assert "never water into acid" in head
    assert "DANGER" in head
    assert "boil" in head


def test_a_vessel_that_would_grow_too_hot_is_told():
    plain = call("prepare", "--of", "NaOH", "--to", "2 mol/L", "--volume", "1 L")
    limited = call("prepare", "--of", "NaOH", "--to", "2 mol/L", "--volume", "1 L", "--greatest-temperature", "35 °C")
    assert "WARNING" not in plain.output
    assert "above the 35 °C" in " ".join(limited.output.split())


@pytest.mark.parametrize(("formula", "percent", "recalled"), [
    ("H2SO4", 96.0, True), ("NaOH", 100.0, True), ("HCl", 37.0, False), ("HNO3", 69.0, False)])
def test_a_warning_that_rests_on_recalled_figures_says_so(formula, percent, recalled):
    """The rows are those that the figure is interpolated between: their status stands in the table."""
    heat = warming(find_solute(formula), [HeatPortion(500.0, percent), HeatPortion(500.0, 0.0)])
    assert heat.recalled == recalled
    assert (RECALLED in heat_sentences(heat, None)) == recalled


def test_only_the_rows_used_count_as_recalled():
    """Solid sodium chloride has one row, which was read."""
    salt = warming(find_solute("NaCl"), [HeatPortion(100.0, 100.0), HeatPortion(900.0, 0.0)])
    assert not salt.recalled
    assert all("NBS Circular 500" not in one for one in salt.sources)
    assert heat_sentences(salt, None) == []


def test_unknown_heat_is_said_to_be_unknown():
    answer = call("prepare", "--of", "potassium dichromate", "--to", "0.1 mol/L", "--volume", "1 L")
    assert "not known here" in answer.output


# --- order of addition, sheets ----------------------------------------------------------------------------------------


def test_cautions_come_before_amounts_and_name_hazards():
    output = call("prepare", "--of", "NaOH", "--to", "1 mol/L", "--volume", "1 L").output
    assert output.index("CAUTIONS") < output.index("H314") < output.index("TO MEASURE OUT")
    assert "All of the water first, or nearly all, cold" in re.sub(r"\s+", " ", output)


def test_water_goes_into_the_vessel_before_the_acid():
    steps = prepare(read(FLASK)).steps
    assert "water into the flask" in steps[0]
    assert "Add the hydrochloric acid" in " ".join(steps[1:])


def test_the_sheet_names_the_responsible_person_and_has_blanks(tmp_path):
    target = tmp_path / "sheet.pdf"
    answer = call("prepare", written(tmp_path, FLASK), "-o", target)
    assert answer.status == 0
    words = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(target).pages))
    for piece in ("Preparation", "PR-1", "Maren Tolliver", "head of production", "Done, time, initials", "signature",
                  "9.85 g", "never water into acid"):
        assert piece in words
    assert words.index("Cautions") < words.index("9.85 g")


# --- what cannot be ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after", "pieces"),
    [
        ('content = "0.1 mol/L"', 'content = "13 mol/L"', ("37 % w/w", "nearest that can be made")),
        ('content = "0.1 mol/L"', 'content = "15 mol/L"', ("more than dissolves", "nearest that can be made", "37 %")),
        ('tolerance = "0.4 mL"', 'capacity = "0.5 L"', ("do not fit", "the most that can be made", "0.5 L")),
        ('readability = "0.01 g"', 'readability = "0.1 kg"', ("less than one step", "the least")),
        ('readability = "0.01 g"', 'readability = "0.01 g"\navailable = "0.005 kg"', ("are there", "51 %")),
        ('"0.1 mol/L"', '"0.1 N"', ("reaction",)),
        ('substance = "hydrochloric acid"', 'substance = "hydrochloric acid"\nsubstanze = "x"', ("substance",)),
        ('content = "0.1 mol/L"', "content = 0.1", ("bare number",)),
        ('responsible = "Maren Tolliver"', "", ("responsible",)),
        ('volume = "1 L"', 'volume = "1 L"\nmass = "1 kg"', ("exactly one way",)),
        ('format = "assaywright preparation 1"', 'format = "assaywright worksheet 1"', ("format",)),
    ],
)
def test_what_cannot_be_made_is_refused_with_the_nearest_that_can(tmp_path, before, after, pieces):
    assert before in FLASK
    target = tmp_path / "sheet.pdf"
    answer = call("prepare", written(tmp_path, FLASK.replace(before, after)), "-o", target)
    assert_refused_in_one_sentence(answer, "p.toml", *pieces)
    assert not target.exists()


def test_what_is_no_solid_is_not_weighed_out_as_one():
    answer = call("prepare", "--of", "hydrochloric acid", "--to", "1 mol/L", "--volume", "1 L")
    assert_refused_in_one_sentence(answer, "nothing tells what hydrochloric acid is made from", "--from")
    assert call("prepare", "--of", "sodium chloride", "--to", "0.1 mol/L", "--volume", "1 L").status == 0


def test_a_volume_of_an_unknown_density_is_refused():
    answer = call("prepare", "--of", "sulfamic acid", "--to", "0.1 mol/L", "--volume", "1 L", "--from", "10 % w/w",
                  "--readability", "0.1 mL")
    assert_refused_in_one_sentence(answer, "density")


@pytest.mark.parametrize(
    "arguments",
    [(), ("--of", "NaOH"), ("--of", "NaOH", "--to", "1 mol/L"), ("--of", "NaOH", "--to", "1 kg", "--volume", "1 L"),
     ("--of", "Unobtainium", "--to", "1 mol/L", "--volume", "1 L"),
     ("--of", "NaOH", "--to", "-1 mol/L", "--volume", "1 L"), ("nowhere.toml",)],
)
def test_options_that_say_too_little_are_refused(arguments):
    assert_refused_in_one_sentence(call("prepare", *arguments))


def test_every_field_of_a_preparation_is_explained():
    page = (HOUSE / "docs" / "prepare.md").read_text(encoding="utf-8")
    known = {"format", "decimal_mark", "vessel", "source"}
    assert not [name for name in {*PREPARATION_FIELDS, *VESSEL_FIELDS, *SOURCE_FIELDS} - known
                if f"`{name}`" not in page]


def test_the_example_of_the_page_is_worked_out(tmp_path):
    page = (HOUSE / "docs" / "prepare.md").read_text(encoding="utf-8")
    (text,) = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    answer = call("prepare", written(tmp_path, text), "--json")
    assert answer.status == 0, answer.errors
    assert json.loads(answer.output)["portions"][0]["mass_g"] == pytest.approx(0.5 * 200 * 36.46 / 0.369, abs=10)
