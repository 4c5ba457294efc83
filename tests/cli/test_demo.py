"""The demonstration laboratory: every lot ends as told, every suggestion does what it says, nothing is lost."""

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from assaywright.cli.demo_folder import MARK, OPENING_FILE
from assaywright.cli.demo_story import laboratory, read_story
from assaywright.cli.demo_told import command_line, prefix_of, program
from tests.cli.terminal import assert_refused_in_one_sentence, call

# The demonstration is made once, whatever number of workers share the tests.
pytestmark = pytest.mark.xdist_group("the demonstration")

SOURCE = Path(__file__).resolve().parents[2] / "src"
CODE = "import sys; from assaywright.cli import main; sys.exit(main(sys.argv[1:]))"
DRAFTED = {"TH-26-T0918-1.pdf", "TH-26-0941-1.pdf", "TH-26-0942-1.pdf"}
WORKSHEETS = {"WS-26-0871", "WS-26-0874", "WS-26-0878", "WS-26-0903", "WS-26-0906", "WS-26-0909", "WS-26-0912"}
# The concentrations from which the invented readings were worked out backwards, before their scatter was put on.
INVENTED_TRUTH = {
    "titrants/hydrochloric-acid-by-sodium-carbonate.toml": 0.50185,
    "titrants/hydrochloric-acid-by-tris.toml": 0.50185,
    "titrants/sodium-hydroxide.toml": 0.49872,
    "worksheets/0941-acetic-acid.toml": 30.06,
    "worksheets/0942-sodium-carbonate.toml": 0.49535,
    "worksheets/0943-hydrochloric-acid.toml": 5.083,
}


def run(*arguments, where):
    """Run the program in a directory, in a process of its own, and return the finished process."""
    surroundings = os.environ | {"PYTHONPATH": str(SOURCE), "PYTHONUTF8": "1", "COLUMNS": "100"}
    return subprocess.run(
        [sys.executable, "-c", CODE, *arguments], cwd=where, env=surroundings, check=False, capture_output=True,
        text=True, encoding="utf-8", stdin=subprocess.DEVNULL,
    )


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    """The directory the demonstration was written in, and the finished process."""
    where = tmp_path_factory.mktemp("works")
    return where, run("demo", where=where)


@pytest.fixture
def works(shown, monkeypatch):
    """The demonstration's folder, with the directory above it as the working one."""
    monkeypatch.chdir(shown[0])
    return shown[0] / "tarn-hollow"


@pytest.fixture
def changed(works):
    """A way to change a file of the demonstration for one test, and to have its path."""

    def change(name, before, after):
        path = works / name
        text = path.read_text(encoding="utf-8")
        assert before in text
        path.write_text(text.replace(before, after), encoding="utf-8")
        return path

    yield change
    for name, data in laboratory().items():
        (works / name).write_bytes(data)


def section(printed, title):
    """Return the lines of the printed demonstration under one heading."""
    return printed.partition(f"\n{title}\n")[2].split("\n\n", 1)[0].splitlines()


def files_of(folder):
    """Return every file below a folder: path to bytes."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def record(path):
    """Return what evaluate says of one file, for programs."""
    answer = call("evaluate", path, "--json")
    assert answer.status == 0, answer.errors
    return json.loads(answer.output)


# --- what is shown ----------------------------------------------------------------------------------------------------


def test_the_demonstration_runs_and_complains_of_nothing(shown):
    assert shown[1].returncode == 0, shown[1].stderr
    assert shown[1].stderr == ""


def test_cautions_come_before_everything_else(shown):
    lines = shown[1].stdout.splitlines()
    assert lines[0] == "Tarn Hollow Reagents, an invented works"
    assert lines[2] == "CAUTIONS"
    told = " ".join(section(shown[1].stdout, "CAUTIONS"))
    for piece in ("safety data sheets", "acid into water", "Local rules", "qualified person"):
        assert piece in re.sub(r"\s+", " ", told)


def test_no_line_is_wider_than_the_terminal_but_a_command(shown):
    wide = [line for line in shown[1].stdout.splitlines() if len(line) > 100]
    assert all(line.strip().startswith("assaywright ") for line in wide)


@pytest.mark.parametrize(
    ("lot", "decision", "what_next"),
    [
        ("T-0918", "conforms", "draft: "), ("0941", "conforms", "draft: "), ("0942", "conforms", "draft: "),
        ("0943", "does not conform", "HELD: "), ("0944", "conforms", "HELD: "),
    ],
)
def test_each_lot_ends_as_told(shown, lot, decision, what_next):
    (row,) = [line for line in section(shown[1].stdout, "LOTS") if line.split()[:1] == [lot]]
    assert re.search(rf" ± .*  {decision}  +{what_next}", row)


def test_the_two_standardisations_of_the_acid_agree(shown):
    (stated,) = re.findall(r"E_n = ([−+]\d\.\d\d): they agree", shown[1].stdout)
    assert abs(float(stated.replace("−", "-"))) <= 1


def test_the_lot_near_its_limit_is_told_by_both_rules(shown, works):
    told = re.sub(r"\s+", " ", shown[1].stdout)
    assert "By simple acceptance: conforms, probability of conformity 8" in told
    assert "By the other rule, guard band w = 1 U: conformity not proven" in told
    assert "HOLD" in call("evaluate", works / "what-if/0942-guard-band.toml").output
    assert "HOLD" not in call("evaluate", works / "lots/0942-sodium-carbonate.toml").output


def test_the_lot_out_of_specification_comes_with_its_first_steps(shown):
    told = "\n".join(section(shown[1].stdout, "WHAT EACH LOT SHOWS"))
    steps = told.split("0943")[1].split("0944")[0]
    assert re.findall(r"^ +(\d)\. ", steps, re.MULTILINE) == ["1", "2", "3", "4"]
    assert "no certificate" in re.sub(r"\s+", " ", steps)


def test_the_suspicious_determination_still_counts_and_holds_the_lot(shown, works):
    told = re.sub(r"\s+", " ", shown[1].stdout)
    assert "The relative range of 4 determinations is" in told
    assert "is flagged" in told
    assert "almost no power" in told
    answer = call("evaluate", works / "worksheets/0944-calcium-carbonate.toml")
    assert "n = 4," in answer.output
    assert "HOLD" in answer.output
    assert_refused_in_one_sentence(call("certify", works / "lots/0944-calcium-carbonate.toml"), "held back")


def test_law_of_propagation_and_simulation_differ_where_they_are_said_to(shown, works):
    told = re.sub(r"\s+", " ", "\n".join(section(shown[1].stdout,
                                                  "WHERE LAW OF PROPAGATION AND SIMULATION MUST DIFFER")))
    low, high, simulated_low, simulated_high = map(float, re.findall(r"\d\d\.\d\d\d", told)[:4])
    assert simulated_low < low < high < simulated_high
    assert "two degrees of freedom" in told
    answer = call("evaluate", works / "what-if/0941-observed-scatter.toml", "--monte-carlo", "200000")
    assert "does not agree" in answer.output
    ordinary = call("evaluate", works / "worksheets/0941-acetic-acid.toml", "--monte-carlo", "200000")
    assert "does not agree" not in ordinary.output


# --- the laboratory itself --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*INVENTED_TRUTH])
def test_a_result_covers_the_concentration_its_readings_were_made_from(works, name):
    result = record(works / name)["result"]
    assert abs(result["value"] - INVENTED_TRUTH[name]) <= result["expanded_uncertainty"]


@pytest.mark.parametrize("name", [name for name in laboratory() if name.startswith(("titrants/", "worksheets/"))])
def test_nothing_is_irregular_on_a_worksheet_but_where_it_is_the_point(works, name):
    answer = call("evaluate", works / name)
    assert ("nothing irregular was found" in answer.output) != ("0944" in name)


@pytest.mark.parametrize("name", [*laboratory()])
def test_every_file_is_commented_and_cautions_before_its_first_line(name):
    text = laboratory()[name].decode("utf-8")
    comments = re.match(r"(?:#.*\n)+", text)
    assert comments
    assert "CAUTION" in comments.group()
    assert re.sub(r"[#\s]+", " ", comments.group()).count("safety data sheet") == 1
    assert max(len(line) for line in text.splitlines()) <= 121


def test_the_story_names_files_that_are_there():
    story, there = read_story(), laboratory()
    named = [one.worksheet for one in story.titrants] + [one.file for one in story.lots]
    named += [one.other_rule for one in story.lots if one.other_rule]
    named += [story.simulation.worksheet, *story.comparison.worksheets]
    assert set(named) <= set(there)
    assert sum(name.startswith("lots/") for name in there) == len(story.lots) == 4


# --- what the comments say one may try --------------------------------------------------------------------------------


def test_crossed_digits_of_a_certified_content_make_the_standardisations_disagree(changed, works):
    changed("titrants/hydrochloric-acid-by-tris.toml", 'content = "99.93 %', 'content = "99.39 %')
    answer = call("evaluate", works / "titrants/sodium-hydroxide.toml")
    assert "HOLD" in answer.output
    assert "E_n" in answer.output
    assert_refused_in_one_sentence(call("certify", works / "lots/0941-acetic-acid.toml"), "held back")


def test_a_titrant_that_rests_on_itself_is_refused(changed):
    path = changed("titrants/sodium-hydroxide.toml", '"../titrants/hydrochloric-acid-by-tris.toml",',
                   '"../titrants/sodium-hydroxide.toml",')
    assert_refused_in_one_sentence(call("evaluate", path), "circular")


def test_a_standard_past_its_date_holds_its_result(changed):
    path = changed("titrants/hydrochloric-acid-by-sodium-carbonate.toml", 'use_before = "2027-11"',
                   'use_before = "2026-08"')
    assert "HOLD" in call("evaluate", path).output


def test_a_missing_temperature_is_questioned(changed):
    path = changed("worksheets/0941-acetic-acid.toml", 'temperature = "21.1 °C"\n', "")
    assert "QUESTION" in call("evaluate", path).output


def test_the_last_accepted_standardisation_alone_is_less_sure_than_the_mean(changed, works):
    name = "worksheets/0942-sodium-carbonate.toml"
    mean = record(works / name)["result"]["expanded_uncertainty"]
    path = changed(name, 'in_force = "mean of accepted"', 'in_force = "last accepted"')
    assert record(path)["result"]["expanded_uncertainty"] > 1.05 * mean


def test_the_pipette_of_the_standardisation_cancels_in_the_assay(changed, works):
    name = "worksheets/0943-hydrochloric-acid.toml"
    other = record(works / name)["result"]["expanded_uncertainty"]
    path = changed(name, 'id = "P-20-04"', 'id = "P-20-03"')
    assert 0.65 < record(path)["result"]["expanded_uncertainty"] / other < 0.8


def test_a_determination_left_out_by_name_and_with_a_reason_frees_the_lot(changed, works):
    changed("worksheets/0944-calcium-carbonate.toml", 'final = "18.37 mL"\n',
            'final = "18.37 mL"\nexcluded = "powder spilt beside the flask, seen"\nexcluded_by = "Tomas Rehn"\n')
    answer = call("evaluate", works / "lots/0944-calcium-carbonate.toml")
    assert "HOLD" not in answer.output
    assert "powder spilt" in answer.output


# --- documents --------------------------------------------------------------------------------------------------------


def words_of(path):
    """Return the text of a PDF on one line."""
    assert path.read_bytes().startswith(b"%PDF-")
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages))


def test_what_nothing_holds_back_gets_a_draft_and_nothing_else_does(works):
    assert {path.name for path in (works / "certificates").iterdir()} == DRAFTED


@pytest.mark.parametrize(
    ("name", "pieces"),
    [
        ("TH-26-T0918-1.pdf", ("factor, actual over nominal concentration", "RM-SC-5", "RM-TRIS-3", "H315")),
        ("TH-26-0941-1.pdf", ("acetic acid 30 % w/w", "less than 1", "clear, colourless", "Maren Tolliver")),
        ("TH-26-0942-1.pdf", ("simple acceptance", "Conformance probability 8", "0.4950 to 0.5050 mol/L")),
    ],
)
def test_a_certificate_says(works, name, pieces):
    words = words_of(works / "certificates" / name)
    for piece in ("Tarn Hollow Reagents", "signature", *pieces):
        assert piece in words


def test_every_worksheet_has_its_working_as_text_and_as_pdf(works):
    found = {path.name for path in (works / "working").iterdir()}
    assert found == {f"{name}{ending}" for name in WORKSHEETS for ending in (".txt", ".pdf")}
    for name in WORKSHEETS:
        assert name in words_of(works / "working" / f"{name}.pdf")
        assert "CALCULATION" in (works / "working" / f"{name}.txt").read_text(encoding="utf-8")


# --- suggestions ------------------------------------------------------------------------------------------------------


def suggested(shown):
    """Return the commands under the last heading, as they are typed."""
    return [line.strip() for line in section(shown[1].stdout, "TRY NEXT") if line.startswith("  assaywright ")]


def test_every_suggested_command_is_shown_and_does_what_it_says(shown, works):
    suggestions = read_story().suggestions
    commands = suggested(shown)
    assert commands == [command_line(one, "assaywright", "tarn-hollow/") for one in suggestions]
    for command, one in zip(commands, suggestions, strict=True):
        answer = call(*shlex.split(command)[1:])
        if one.refused:
            assert_refused_in_one_sentence(answer)
        else:
            assert (answer.status, answer.errors) == (0, ""), command
    (works / "my-first-worksheet.toml").unlink()


def test_planning_making_and_adjusting_are_suggested(shown):
    assert {shlex.split(command)[1] for command in suggested(shown)} >= {"plan", "guide", "prepare", "adjust"}


def test_the_commands_of_the_page_work_as_typed(works):
    page = (SOURCE.parent / "docs" / "demo.md").read_text(encoding="utf-8")
    commands = re.findall(r"^\$ assaywright (.*)$", page, re.MULTILINE)
    assert len(commands) == 5
    for command in commands:
        answer = call(*shlex.split(command))
        assert (answer.status, answer.errors) == (0, ""), command
    (works / "guide.pdf").unlink()


def test_the_opening_file_shows_the_same_commands_as_typed_from_within(works, monkeypatch):
    monkeypatch.chdir(works)
    lines = Path(OPENING_FILE).read_text(encoding="utf-8").splitlines()
    commands = [line.strip() for line in lines if line.startswith("  assaywright ")]
    assert len(commands) == len(read_story().suggestions)
    for command, one in zip(commands, read_story().suggestions, strict=True):
        assert call(*shlex.split(command)[1:]).status == (2 if one.refused else 0), command
    Path("my-first-worksheet.toml").unlink()


@pytest.mark.parametrize(
    ("typed", "prefix"),
    [("tarn-hollow", "tarn-hollow/"), ("./tarn-hollow/", "tarn-hollow/"), (".", ""), ("a/b c", "a/b c/")],
)
def test_a_path_is_shown_as_seen_from_where_the_person_is(typed, prefix):
    assert prefix_of(typed) == prefix


def test_a_folder_with_a_space_gives_commands_that_a_shell_takes(tmp_path):
    done = run("demo", "two words", where=tmp_path)
    assert done.returncode == 0
    first = suggested((tmp_path, done))[0]
    answer = run(*shlex.split(first)[1:], where=tmp_path)
    assert (answer.returncode, answer.stderr) == (0, "")


def test_the_program_is_called_as_the_person_called_it(tmp_path, monkeypatch):
    file = tmp_path / "here" / "bin" / f"assaywright{'.exe' if os.name == 'nt' else ''}"
    file.parent.mkdir(parents=True)
    file.write_text("", encoding="utf-8")
    file.chmod(0o755)
    monkeypatch.setattr(sys, "argv", [str(file)])
    monkeypatch.setenv("PATH", str(tmp_path / "nowhere"))
    monkeypatch.chdir(tmp_path / "here")
    assert program() == f"bin{os.sep}{file.name}"
    monkeypatch.chdir(file.parent)
    assert program() == f".{os.sep}{file.name}"
    monkeypatch.chdir("/")
    assert Path(program()).resolve() == file.resolve()
    monkeypatch.setenv("PATH", str(file.parent))
    assert program() == "assaywright"
    monkeypatch.setattr(sys, "argv", ["-c"])
    assert program() == "assaywright"


# --- the folder -------------------------------------------------------------------------------------------------------


def test_a_second_run_changes_nothing(works):
    before = files_of(works)
    answer = call("demo", "tarn-hollow")
    assert answer.status == 0
    assert files_of(works) == before
    assert "kept" not in answer.output


def test_the_documents_are_the_same_wherever_the_folder_lies(works, tmp_path):
    assert call("demo", tmp_path / "elsewhere").status == 0
    assert files_of(tmp_path / "elsewhere") == files_of(works)


def test_a_run_puts_all_back_and_keeps_what_was_changed_under_another_name(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert call("demo", "mine").status == 0
    before = files_of(tmp_path / "mine")
    worksheet = tmp_path / "mine/worksheets/0941-acetic-acid.toml"
    worksheet.write_bytes(b"broken")
    (tmp_path / "mine/notes.txt").write_bytes(b"my own")
    answer = call("demo", "mine")
    kept = "worksheets/0941-acetic-acid.kept-1.toml"
    assert answer.status == 0
    assert kept in re.sub(r"\s+", " ", answer.output)
    assert files_of(tmp_path / "mine") == before | {kept: b"broken", "notes.txt": b"my own"}
    worksheet.write_bytes(b"broken once more")
    assert call("demo", "mine").status == 0
    assert files_of(tmp_path / "mine")[kept] == b"broken"
    assert files_of(tmp_path / "mine")[kept.replace("-1.toml", "-2.toml")] == b"broken once more"


def test_a_folder_of_somebody_else_is_refused_and_left_as_it_is(tmp_path):
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "notes.txt").write_text("mine", encoding="utf-8")
    (mine / OPENING_FILE).write_text(f"Not {MARK}", encoding="utf-8")
    before = files_of(mine)
    assert_refused_in_one_sentence(call("demo", mine), "did not make", "name a new or an empty folder")
    assert files_of(mine) == before


def test_a_file_in_the_place_of_the_folder_is_refused_and_left_as_it_is(tmp_path):
    mine = tmp_path / "mine"
    mine.write_text("mine", encoding="utf-8")
    assert_refused_in_one_sentence(call("demo", mine), "is no folder")
    assert_refused_in_one_sentence(call("demo", mine / "below"), "cannot be made")
    assert mine.read_text(encoding="utf-8") == "mine"


def test_a_file_in_the_place_of_one_of_its_folders_is_refused(tmp_path):
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / OPENING_FILE).write_text(f"{MARK}: begun, then interrupted\n", encoding="utf-8")
    (mine / "titrants").write_text("in the way", encoding="utf-8")
    assert_refused_in_one_sentence(call("demo", mine), "titrants", "move away what stands there")


def test_an_empty_folder_is_filled(tmp_path):
    (tmp_path / "empty").mkdir()
    assert call("demo", tmp_path / "empty").status == 0
    assert (tmp_path / "empty" / OPENING_FILE).read_text(encoding="utf-8").startswith(MARK)
