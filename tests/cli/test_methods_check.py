"""The verb ``methods`` with a laboratory's own folder and with ``--check``."""

import json
import re
from importlib.resources import files

import pytest

from assaywright.assay.method import method_names
from tests.cli.terminal import assert_refused_in_one_sentence, call, example_of


def text_of(name):
    return (files("assaywright.assay") / "methods" / f"{name}.toml").read_text(encoding="utf-8")


@pytest.fixture
def folder(tmp_path):
    """Return a folder with two sound methods."""
    for name in ("acetic-acid-by-naoh", "water-by-karl-fischer"):
        (tmp_path / f"{name}.toml").write_text(text_of(name), encoding="utf-8")
    return tmp_path


OURS = "acetic-acid-ours"


def spoil(folder, old, new):
    """Put a changed method of one's own, under a name of its own, in the place of the one it was made from."""
    text = text_of("acetic-acid-by-naoh").replace('"acetic-acid-by-naoh"', f'"{OURS}"')
    assert old in text
    (folder / "acetic-acid-by-naoh.toml").unlink()
    (folder / f"{OURS}.toml").write_text(text.replace(old, new), encoding="utf-8")


def test_a_folder_of_one_s_own_is_listed_and_one_of_it_shown(folder):
    listed = call("methods", "--folder", folder)
    assert (listed.status, listed.errors) == (0, "")
    assert "acetic-acid-by-naoh" in listed.output
    assert "naoh-by-khp" not in listed.output
    assert "CAUTIONS" in call("methods", "acetic-acid-by-naoh", "--folder", folder).output


def test_a_sound_folder_passes_and_what_is_not_computed_is_said(folder):
    answer = call("methods", "--folder", folder, "--check")
    text = " ".join(answer.output.split())
    assert (answer.status, answer.errors) == (0, "")
    assert "water-by-karl-fischer: the curve of a titration of the type 'Karl Fischer' is not computed." in text
    assert "1 feasible, 0 not feasible, 1 not computed" in text


def test_an_endpoint_that_is_not_feasible_gives_exit_status_1(folder):
    spoil(folder, 'indicator = "phenolphthalein"', 'indicator = "methyl orange"')
    answer = call("methods", "--folder", folder, "--check")
    text = " ".join(answer.output.split())
    assert (answer.status, answer.errors) == (1, "")
    assert f"NOT FEASIBLE {OURS}: methyl orange misses" in text


@pytest.mark.parametrize(
    ("old", "new", "piece"),
    [
        ("CH3COOH + NaOH -> CH3COONa + H2O", "CH3COOH + NaOH -> CH3COONa + 2 H2O", "does not balance"),
        ('formula = "CH3COOH"\nequivalents = 1', 'formula = "CH3COOH"\nequivalents = 2', "takes 1 mol of NaOH"),
        ('indicator = "phenolphthalein"', 'indicater = "phenolphthalein"', "did you mean 'indicator'?"),
        ('formula = "CH3COOH"', 'formula = "CH3COXH"', "CH3COXH"),
    ],
)
def test_a_method_that_contradicts_itself_gives_exit_status_2_and_the_others_are_checked(folder, old, new, piece):
    spoil(folder, old, new)
    answer = call("methods", "--folder", folder, "--check")
    assert answer.status == 2
    (line,) = answer.errors.splitlines()
    assert piece in line
    assert f"{OURS}.toml" in line
    assert "water-by-karl-fischer" in answer.output


def test_two_files_with_one_name_are_refused(folder):
    (folder / "twin.toml").write_text(text_of("acetic-acid-by-naoh"), encoding="utf-8")
    answer = call("methods", "--folder", folder)
    assert answer.status == 2
    assert "calls itself 'acetic-acid-by-naoh'" in answer.errors


@pytest.mark.parametrize("verb", ["methods", "new", "curve"])
def test_a_changed_method_under_the_name_of_one_of_the_program_s_is_refused(verb, tmp_path):
    path = tmp_path / "acetic-acid-by-naoh.toml"
    path.write_text(text_of("acetic-acid-by-naoh").replace('edition = "1"', 'edition = "2"'), encoding="utf-8")
    assert_refused_in_one_sentence(call(verb, path), f"{path}: it calls itself 'acetic-acid-by-naoh', as a method of",
                                   "give it a name of its own, at the top and in the worksheet of its example")
    path.write_bytes(text_of("acetic-acid-by-naoh").replace("\n", "\r\n").encode())  # the same, as saved elsewhere
    assert call(verb, path).status == 0


def test_a_file_that_does_not_bear_its_method_s_name_is_told_of(folder):
    path = folder / "acetic-acid-by-naoh.toml"
    path.rename(folder / "ours.toml")
    for arguments in (("--folder", folder), (folder / "ours.toml",)):
        answer = call("methods", *arguments)
        assert answer.status == 0
        assert answer.errors == (f"{folder / 'ours.toml'}: the method calls itself 'acetic-acid-by-naoh', and its file "
                                 "is named 'ours'; give the file the method's name.\n")


def test_a_worksheet_in_the_place_of_a_method_is_told_with_the_commands_that_take_it(tmp_path):
    path = example_of("naoh-by-khp", tmp_path)
    for verb in ("methods", "new", "curve"):
        assert_refused_in_one_sentence(
            call(verb, path), f"{path}: it is a worksheet, of the method 'naoh-by-khp'; for the method try assaywright "
            f"methods naoh-by-khp, for the worksheet assaywright evaluate {path}.")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("NAOH-BY-KHP", "did you mean 'naoh-by-khp'? assaywright methods lists them all."),
        ("naoh_by_khp", "did you mean 'naoh-by-khp'? assaywright methods lists them all."),
        ("oxalic", "did you mean 'oxalic-acid-by-naoh' or 'oxalic-acid-by-permanganate'? assaywright methods lists"),
        ("qqqqqq", "there is no method 'qqqqqq'; assaywright methods lists them all."),
        ("empty", "empty: it is a folder; name a method file in it, or list them with assaywright methods --folder"),
        ("notes", "notes: the name of a method file ends in .toml; rename it, if it is one."),
    ],
)
@pytest.mark.parametrize("verb", ["methods", "new", "curve"])
def test_a_method_that_there_is_not_is_answered_with_three_names_at_most(verb, typed, sentence, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty").mkdir()
    (tmp_path / "notes").write_text("none", encoding="utf-8")
    answer = call(verb, typed)
    assert_refused_in_one_sentence(answer, sentence)
    assert sum(name in answer.errors for name in method_names()) <= 3


def test_one_method_is_checked_at_every_strength_and_by_a_limit_of_one_s_own(folder):
    spoil(folder, "0 mL ± 0.02 mL", "0 mL ± 0.001 mL")
    path = folder / f"{OURS}.toml"
    assert call("methods", path, "--check").status == 0
    answer = call("methods", path, "--check", "--limit", "0.01")
    assert answer.status == 1
    assert "with 0.1 mol/L not feasible: phenolphthalein misses" in " ".join(answer.output.split())


def test_the_library_passes_its_own_check_in_json():
    answer = call("methods", "--check", "--json")
    records = json.loads(answer.output)
    assert answer.status == 0
    assert {one["method"] for one in records} == set(method_names())
    assert {one["verdict"] for one in records} == {"feasible", "not computed"}
    record = next(one for one in records if one["method"] == "naoh-by-khp")
    assert record["equivalence_point_mL"] == pytest.approx(25.0)
    assert abs(record["titration_error_mL"]) < record["stated_mL"][1]


def test_every_key_of_the_check_is_explained():
    from pathlib import Path

    page = (Path(__file__).parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")
    section = page.partition("\n## `methods")[2].partition("\n## ")[0]
    (record,) = json.loads(call("methods", "naoh-by-khp", "--check", "--json").output)
    assert not [key for key in record if f"`{key}`" not in section]


@pytest.mark.parametrize("width", [80, 120])
def test_a_check_fits_the_terminal(folder, width, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    assert max(map(len, call("methods", "--folder", folder, "--check").output.splitlines())) <= width


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        (("--folder", "nowhere"), "there is no such folder"),
        (("--folder", "empty"), "the folder holds no method file"),
        (("--json",), "--json goes with --check"),
        (("--limit", "0.1"), "--limit goes with --check"),
        (("--check", "--limit", "none"), "--limit"),
        (("--check", "--limit", "0"), "give more than 0"),
        (("naoh-by-kph", "--check"), "did you mean 'naoh-by-khp'?"),
        (("nowhere.toml", "--check"), "the file cannot be read"),
        (("ours", "--folder", "empty"), "the folder holds no method file"),
    ],
)
def test_what_cannot_be_checked_is_refused_in_one_sentence(arguments, piece, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty").mkdir()
    assert_refused_in_one_sentence(call("methods", *arguments), piece)


def test_the_digits_tell_why_an_error_is_not_inside_what_is_stated():
    # 0.0063 mL and twice 0.0073 mL make 0.0209 mL; to three places they would look like the 0.020 mL that is stated.
    text = " ".join(call("methods", "naoh-by-khp", "--check").output.split())
    figure = r"(0\.\d{4}) mL"
    found = re.search(f"by −{figure} with a standard uncertainty of {figure}: with twice that {figure}", text)
    error, uncertainty, reach = map(float, found.groups())
    assert reach == pytest.approx(error + 2 * uncertainty, abs=0.0002)
    assert reach > 0.02
    assert "not inside the stated 0 mL ± 0.02 mL but within 0.2 % of the titre" in text
