"""The demonstration laboratory: every lot ends as told, every suggested command runs, nothing is overwritten."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src"
CODE = "import sys; from assaywright.cli import main; sys.exit(main(sys.argv[1:]))"


def run(*arguments, where):
    """Run the program in a directory and return the finished process."""
    surroundings = os.environ | {"PYTHONPATH": str(SOURCE), "PYTHONUTF8": "1", "COLUMNS": "100"}
    return subprocess.run(
        [sys.executable, "-c", CODE, *arguments], cwd=where, env=surroundings, check=False, capture_output=True,
        text=True, encoding="utf-8", stdin=subprocess.DEVNULL,
    )


@pytest.fixture(scope="module")
def laboratory(tmp_path_factory):
    """The folder the demonstration is written beside, and what it printed."""
    where = tmp_path_factory.mktemp("works")
    return where, run("demo", where=where)


def row_of(printed, lot):
    """Return the line of the table of lots for one lot."""
    return next(line for line in printed.splitlines() if line.split()[:1] == [lot] and "±" in line)


def test_the_demonstration_runs(laboratory):
    _, done = laboratory
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""


@pytest.mark.parametrize("lot", ["0941", "0942", "0943", "0944"])
def test_each_lot_stands_in_the_table(laboratory, lot):
    assert row_of(laboratory[1].stdout, lot)


def test_a_certificate_is_drafted_for_what_conforms_and_for_nothing_else(laboratory):
    where, _ = laboratory
    drafted = sorted(path.name for path in (where / "tarn-hollow" / "certificates").glob("*.pdf"))
    assert [name for name in drafted if "0941" in name]
    assert [name for name in drafted if "0942" in name]
    assert not [name for name in drafted if "0943" in name or "0944" in name]
    assert all((where / "tarn-hollow" / "certificates" / name).read_bytes().startswith(b"%PDF") for name in drafted)


def test_the_lot_near_its_limit_falls_by_the_guard_band(laboratory):
    where, _ = laboratory
    agreed = run("evaluate", "tarn-hollow/lots/0942-sodium-carbonate.toml", where=where)
    stricter = run("evaluate", "tarn-hollow/what-if/0942-guard-band.toml", where=where)
    assert "by simple acceptance" in agreed.stdout
    assert "conformity not proven" not in agreed.stdout
    assert "conformity not proven" in stricter.stdout


def test_the_suspicious_replicate_still_counts_and_holds_the_lot(laboratory):
    where, _ = laboratory
    done = run("evaluate", "tarn-hollow/worksheets/0944-calcium-carbonate.toml", where=where)
    assert "n = 4" in done.stdout
    assert "is flagged" in done.stdout
    assert "almost no power" in done.stdout
    refused = run("certify", "tarn-hollow/lots/0944-calcium-carbonate.toml", where=where)
    assert refused.returncode == 2
    assert refused.stderr.count("\n") == 1


def test_law_of_propagation_and_simulation_differ_where_the_demonstration_says_so(laboratory):
    where, _ = laboratory
    done = run("evaluate", "tarn-hollow/what-if/0941-observed-scatter.toml", "--monte-carlo", "200000", where=where)
    assert "degrees of freedom" in done.stdout
    assert re.search(r"simulat", done.stdout)


def test_every_suggested_command_runs(laboratory):
    where, done = laboratory
    section = done.stdout.split("TRY NEXT", 1)[1]
    commands = [line.split()[1:] for line in section.splitlines() if line.strip().startswith("assaywright ")]
    assert len(commands) >= 5
    for command in commands:
        outcome = run(*command, where=where)
        held = command[0] == "certify"
        assert outcome.returncode == (2 if held else 0), f"{command}: {outcome.stderr}"


def test_a_second_run_puts_all_back(laboratory):
    where, _ = laboratory
    worksheet = where / "tarn-hollow" / "worksheets" / "0941-acetic-acid.toml"
    before = worksheet.read_bytes()
    worksheet.write_bytes(b"broken")
    assert run("demo", where=where).returncode == 0
    assert worksheet.read_bytes() == before


def test_a_folder_of_somebody_else_is_refused_and_left_alone(tmp_path):
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "notes.txt").write_text("mine", encoding="utf-8")
    done = run("demo", "mine", where=tmp_path)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert [path.name for path in mine.iterdir()] == ["notes.txt"]
