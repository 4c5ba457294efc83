"""Adjustments that cannot be, or that contradict themselves: refused, or said at the top of the sheet."""

import re
import shutil

import pytest

from tests.adjust.test_adjust import LABORATORY, STRONG, WEAK
from tests.cli.terminal import assert_refused_in_one_sentence, call

MISSED = "production/0943-adjust-to-strength.toml"


@pytest.fixture(scope="module")
def laboratory(tmp_path_factory):
    folder = tmp_path_factory.mktemp("works") / "laboratory"
    shutil.copytree(LABORATORY, folder)
    return folder


def missed(laboratory, *changes):
    text = (laboratory / MISSED).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = laboratory / "production" / "changed.toml"
    path.write_text(text, encoding="utf-8")
    return call("adjust", path, "--trials", "2000")


def answer_to(folder, text):
    path = folder / "a.toml"
    path.write_text(text, encoding="utf-8")
    return call("adjust", path, "--trials", "20000")


def page(folder, text):
    answer = answer_to(folder, text)
    assert answer.status == 0, answer.errors
    return " ".join(answer.output.split())


# --- the lot's own assay ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("change", "said"), [
    (('lot = "0943"', 'lot = "0999"'), "is of lot 0943, and lot 0999 is to be adjusted"),
    (("0943-hydrochloric-acid.toml", "0941-acetic-acid.toml"), "is of lot 0941, and lot 0943 is to be adjusted"),
    (('substance = "hydrochloric acid"', 'substance = "acetic acid"'), "states its result as HCl"),
])
def test_the_worksheet_of_another_lot_or_substance_is_refused(change, said, laboratory):
    assert missed(laboratory).status == 0
    assert_refused_in_one_sentence(missed(laboratory, change), "changed.toml: assay", said)


def test_a_worksheet_of_another_substance_that_names_no_other_lot_is_refused(laboratory):
    changes = (("0943-hydrochloric-acid.toml", "0941-acetic-acid.toml"), ('lot = "0943"', 'lot = "0941"'))
    assert_refused_in_one_sentence(missed(laboratory, *changes), "and the lot is of hydrochloric acid, HCl")


# --- readings and aims ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("change", "said"), [
    (('volume = "2050 L', 'volume = "2500 L'), "and the tank holds 2400 L"),
    (('land = "nominal"', 'land = "5.06 mol/L"'), "aim, land: 5.06 mol/L lies above the limit 5.05 mol/L"),
    (('temperature = "22 °C"', 'temperature = "95 °C"'), "the lot is at 95 °C, and the tank may take 50 °C"),
])
def test_readings_and_aims_that_contradict_the_file_are_refused(change, said, laboratory):
    assert_refused_in_one_sentence(missed(laboratory, change), said)


def test_a_mass_that_is_more_than_the_tank_holds_is_refused(tmp_path):
    """5000 kg of 30 % w/w caustic soda, 1.33 kg/L (handbook, from memory), are some 3760 L."""
    answer = answer_to(tmp_path, STRONG.replace('"4200 L"', '"3700 L"'))
    assert_refused_in_one_sentence(answer, "and the tank holds 3700 L", "check the reading and the capacity")


def test_less_than_one_step_is_refused_where_the_lot_does_not_conform(laboratory):
    answer = missed(laboratory, ('readability = "0.1 L"', 'readability = "100 L"'))
    assert_refused_in_one_sentence(answer, "33.2 L of purified water are wanted, less than one step of 100 L",
                                   "or to leave the lot as it is")


def test_less_than_one_step_is_no_matter_where_the_lot_conforms_as_it_is(tmp_path):
    text = STRONG.replace("30.45 % w/w ± 0.16", "30.01 % w/w ± 0.02").replace('readability = "1 kg"',
                                                                             'readability = "50 kg"')
    assert "Add nothing the lot as it is keeps what is wanted" in page(tmp_path, text)


def test_a_step_that_lands_outside_the_limits_is_said_at_the_top(tmp_path):
    """74.9 kg are wanted (5000 × 0.45/30.05 by the balance of masses) and steps of 40 kg give 40 kg: 30.21 % w/w."""
    text = STRONG.replace('readability = "1 kg"', 'readability = "40 kg"').replace("± 0.16", "± 0.02")
    told = page(tmp_path, text)
    assert told.index("Check first The predicted content, 30.208 % w/w, lies outside the limits") < told.index(" Add ")


def test_the_wrong_side_is_told_in_the_words_of_the_trade(tmp_path):
    lowering = STRONG.replace('"purified water"', '"caustic soda 50 %"\ncontent = "49.8 % w/w ± 0.2 % w/w, k = 2"')
    raising = WEAK.replace('content = "49.8 % w/w ± 0.2 % w/w, k = 2"', "")
    assert_refused_in_one_sentence(answer_to(tmp_path, lowering), "name a diluent", "content lies below 30.000 % w/w")
    assert_refused_in_one_sentence(answer_to(tmp_path, raising), "sodium hydroxide (NaOH), and no diluent")
    assert_refused_in_one_sentence(answer_to(tmp_path, raising.replace('"caustic soda 50 %"', '"strong liquor"')),
                                   "name a concentrate whose content lies above 30.000 % w/w")
    assert_refused_in_one_sentence(answer_to(tmp_path, WEAK.replace('"caustic soda 50 %"', '"nitric acid 65 %"')),
                                   "“nitric acid 65 %” is by its name nitric acid (HNO3), and sodium hydroxide")


def test_what_no_tank_holds_and_an_amount_that_nobody_knows_are_refused(tmp_path):
    for amount, said in (("5000 kg ± 6000 kg, k = 2", "more than a third of it"), ("1e12 kg ± 3 kg, k = 2", "any tank"),
                         ("5000 kg ± 1000 kg, standard", "more than a third of it")):
        text = re.sub(r'mass = "[^"]*"', f'mass = "{amount}"', STRONG)
        assert_refused_in_one_sentence(answer_to(tmp_path, text), said)


# --- room, before mixing ----------------------------------------------------------------------------------------------


def test_what_fits_fits_before_it_has_mixed(tmp_path):
    """A litre of water takes a litre of room until it is mixed, 0.998 kg (water at 20 °C, common knowledge)."""
    answer = answer_to(tmp_path, STRONG.replace('"4200 L"', '"3830 L"').replace("5000 kg", "5060 kg"))
    assert_refused_in_one_sentence(answer, "do not fit", "before they have mixed")
    free_L = float(re.search(r"room for ([\d.]+) L", answer.errors)[1])
    fits_kg = float(re.search(r"add what fits, ([\d.]+) kg", answer.errors)[1])
    assert free_L * 0.998 - 1.5 <= fits_kg <= free_L * 0.9983


# --- densities --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("change", "name"), [
    (('density = "1.0826', 'density = "1.2826'), "the lot in the tank"),
    (('density = "1.0833', 'density = "1.0683'), "the lot"),
])
def test_a_density_far_from_the_table_is_said_at_the_top(change, name, laboratory):
    """Hydrochloric acid of 17 % w/w has 1.083 g/mL at 20 °C (CRC Handbook, from memory)."""
    assert "Check first" not in missed(laboratory).output
    told = " ".join(missed(laboratory, change).output.split())
    assert f"Check first Density of {name}: {change[1][11:17]} g/mL is stated" in told


# --- two wishes -------------------------------------------------------------------------------------------------------


def test_two_steps_that_do_not_help_are_not_advised(tmp_path):
    """Landing where 5 % lie below the limit keeps 5 % there in however many steps, with an assay no surer."""
    text = STRONG.replace("30.45 % w/w ± 0.16", "30.45 % w/w ± 0.04") + (
        '[aim]\nland = "29.833 % w/w"\ngreatest_overshoot = "1 %"\n')
    told = page(tmp_path, text)
    assert "The two wishes exclude each other" in told
    assert "two steps, advised" not in told


def test_an_overshoot_that_two_steps_cannot_part_is_said(tmp_path):
    text = STRONG.replace("30.45 % w/w ± 0.16", "30.02 % w/w ± 0.3") + '[aim]\nland = "29.81 % w/w"\n'
    assert "The two wishes exclude each other" in page(tmp_path, text)


# --- which field holds it ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("old", "new", "where"), [
    ('substance = "sodium hydroxide"', 'substance = "Xx"', "a.toml: substance: no substance 'Xx' is held"),
    ('substance = "sodium hydroxide"', 'substance = "sodium hydroxide"\nreaction = "rubbish"',
     'a.toml: reaction: "rubbish" is no reaction'),
])
def test_a_refusal_names_the_file_and_the_field(old, new, where, tmp_path):
    assert_refused_in_one_sentence(answer_to(tmp_path, STRONG.replace(old, new)), where)


# --- figures and heat -------------------------------------------------------------------------------------------------


def test_large_amounts_are_written_in_plain_figures(tmp_path):
    """50 000 kg of 30 % w/w caustic soda, 1.33 kg/L (handbook, from memory), are some 37 600 L."""
    answer = answer_to(tmp_path, STRONG.replace("5000 kg", "50000 kg").replace('"4200 L"', '"37000 L"'))
    assert_refused_in_one_sentence(answer, "and the tank holds 37000 L")
    assert "e+" not in answer.errors
    answer = answer_to(tmp_path, STRONG.replace("5000 kg", "50000 kg").replace('"4200 L"', '"38000 L"'))
    assert_refused_in_one_sentence(answer, "do not fit")
    assert "e+" not in answer.errors


def test_a_lot_that_is_hot_is_to_cool_first(laboratory):
    hot = (('temperature = "22 °C"', 'temperature = "65 °C"'), ('greatest_temperature = "50 °C"', ""))
    assert "Check first The lot is at 65 °C: let it cool" in " ".join(missed(laboratory, *hot).output.split())
