"""Preparations that cannot be, or that say two things at once: one sentence, before anything is worked out."""

import pytest

from tests.cli.terminal import assert_refused_in_one_sentence, call

SALT = ("prepare", "--of", "sodium chloride", "--to", "0.1 mol/L", "--volume", "1 L")
FILE = """
format = "assaywright preparation 1"
id = "PR-1"
substance = "hydrochloric acid"
content = "2 mol/L"
volume = "1 L"
responsible = "Maren Tolliver"
[[source]]
name = "hydrochloric acid 37 %"
content = "37 % w/w"
"""


def refused(*arguments):
    answer = call(*arguments)
    assert_refused_in_one_sentence(answer)
    return answer.errors


def of_file(folder, text, *more):
    path = folder / "prep.toml"
    path.write_text(text, encoding="utf-8")
    return call("prepare", path, *more)


@pytest.mark.parametrize("option", [
    ("--to", "1 mol/L"), ("--volume", "3 L"), ("--mass", "3 kg"), ("--from", "37 % w/w"), ("--assay", "99 %"),
    ("--temperature", "25 °C"), ("--tolerance", "0.4 mL"), ("--responsible", "Ines Okafor"),
])
def test_an_option_that_the_file_says_itself_is_refused(option, tmp_path):
    assert_refused_in_one_sentence(of_file(tmp_path, FILE, *option), f"{option[0]} is given beside the file")


def test_a_seed_of_no_simulation_and_a_replacement_of_nothing_are_refused(tmp_path):
    assert "--seed is given and nothing is simulated" in refused(*SALT, "--seed", "1")
    assert call(*SALT, "--seed", "1", "--monte-carlo", "2000").status == 0
    assert "nothing to replace" in refused(*SALT, "--replace")
    assert "nothing to replace" in refused("adjust", "a.toml", "--replace")
    assert "nothing to replace" in refused("blend", "b.toml", "--replace")


@pytest.mark.parametrize("asked", [SALT, ("adjust", "a.toml"), ("blend", "b.toml")])
def test_a_sheet_is_a_PDF_by_its_name(asked, tmp_path):
    assert "its name does not end in .pdf" in refused(*asked, "-o", tmp_path / "x.txt")
    assert not (tmp_path / "x.txt").exists()


@pytest.mark.parametrize(("option", "said"), [
    (("--assay", "120 %"), "120 % is more than all of the solid"),
    (("--assay", "101 %"), "101 % is more than all of the solid"),
    (("--assay", "100.5 % ± 0.2 %, k = 2"), "is more than all of the solid"),
    (("--water", "100 %"), "at most 90 %"),
    (("--water", "120 %"), "at most 90 %"),
    (("--tolerance", "5 L"), "more than a twentieth of 1 L"),
    (("--greatest-temperature", "5 °C"), "cannot hold a solution at 20 °C"),
    (("--assay", "nan % "), '"nan %" is not a finite number'),
])
def test_nonsense_is_refused_with_the_option_that_holds_it(option, said):
    answer = refused(*SALT, *option)
    assert said in answer
    assert answer.startswith(option[0])


def test_an_assay_above_100_within_its_uncertainty_is_taken():
    assert call(*SALT, "--assay", "100.1 % ± 0.2 %, k = 2").status == 0
    assert call(*SALT, "--assay", "100.1 % w/w ± 0.1 % w/w, standard", "--water", "0.5 % w/w").status == 0


def test_the_remedy_for_a_comma_in_an_option_names_no_file():
    answer = refused(*SALT, "--assay", "99,5 %")
    assert "write 99.5" in answer
    assert "decimal_mark" not in answer


def test_a_flask_has_one_mark(tmp_path):
    assert_refused_in_one_sentence(
        of_file(tmp_path, FILE + '[vessel]\nkind = "flask"\ncapacity = "2 L"\n'), "prep.toml", "vessel, capacity",
        "has one mark")


@pytest.mark.parametrize(("fields", "said"), [
    ('tolerance = "100 mL"', "vessel, tolerance"), ('greatest_temperature = "5 °C"', "vessel, greatest_temperature"),
])
def test_a_vessel_that_cannot_be_is_refused_in_a_file(fields, said, tmp_path):
    assert_refused_in_one_sentence(of_file(tmp_path, f"{FILE}[vessel]\n{fields}\n"), said)
