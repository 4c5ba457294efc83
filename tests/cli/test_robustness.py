"""Garbage, closed pipes, old terminals and broken writes: one sentence, or nothing, and never half a file."""

import os
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assaywright.assay.method import load_method, method_names
from assaywright.assay.toml_reader import MOST_BYTES
from assaywright.cli import files
from assaywright.cli.plain_text import EQUIVALENTS
from assaywright.metrology.refusal import Refusal
from tests.assay.sheets import STANDARDISATION
from tests.cli.terminal import assert_refused_in_one_sentence, call, example_of

SOURCE = Path(__file__).resolve().parents[2] / "src"
PROGRAM = [sys.executable, "-c", "import sys; from assaywright.cli import main; sys.exit(main())"]

one_folder = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def process(*arguments, **environment):
    """Run the program in a process of its own and return it when it has ended."""
    return subprocess.run([*PROGRAM, *map(str, arguments)], check=False, capture_output=True,
                          env={**os.environ, "PYTHONPATH": str(SOURCE), **environment})


# --- garbage ----------------------------------------------------------------------------------------------------------


@one_folder
@given(st.binary(max_size=400))
def test_garbage_in_a_file_gives_one_sentence(tmp_path, data):
    path = tmp_path / "ws.toml"
    path.write_bytes(data)
    for verb in ("evaluate", "explain", "certify"):
        assert_refused_in_one_sentence(call(verb, path), "ws.toml: ")


@one_folder
@given(st.lists(st.text(st.characters(codec="utf-8"), max_size=12), min_size=1, max_size=4))
def test_garbage_in_the_arguments_gives_one_sentence_or_help(tmp_path, arguments):
    verb, *rest = arguments
    answer = call(verb, *rest)
    if answer.status == 0:
        assert "usage: " in answer.output
    else:
        assert_refused_in_one_sentence(answer)


SHEETS = st.sampled_from(method_names()).map(lambda name: load_method(name).example.worksheet)
FIGURES = st.sampled_from(["0", "0.00", "1", "-1", "0.001", "50", "1000000", "1e-20", "1e20", "99.99", "nan", "1,002"])


def with_other_figures(text, data):
    """Return the worksheet with a few of its quoted quantities given other figures."""
    lines = text.splitlines()
    fields = [number for number, line in enumerate(lines) if ' = "' in line and line.split('"')[1][:1].isdigit()]
    for number in data.draw(st.lists(st.sampled_from(fields), min_size=1, max_size=4)):
        key, _, value = lines[number].partition(' = "')
        unit = value.partition(" ")[2] or '"'
        lines[number] = f'{key} = "{data.draw(FIGURES)} {unit}'
    return "\n".join(lines)


@one_folder
@given(SHEETS, st.data())
def test_a_worksheet_with_any_figures_is_evaluated_or_refused(tmp_path, text, data):
    path = tmp_path / "ws.toml"
    path.write_text(with_other_figures(text, data), encoding="utf-8")
    answer = call("evaluate", path)
    if answer.status == 0:
        assert "RESULT" in answer.output
    else:
        assert_refused_in_one_sentence(answer, "ws.toml")


def test_a_file_that_is_too_large_is_refused_before_it_is_read(tmp_path, monkeypatch):
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(10 * MOST_BYTES)
    began = time.perf_counter()
    assert_refused_in_one_sentence(call("evaluate", path), "the file has 50.0 MB, and a worksheet has at most 5 MB")
    assert time.perf_counter() - began < 5


def test_what_is_no_regular_file_is_refused_before_it_is_opened(tmp_path):
    pipe = tmp_path / "endless.toml"
    os.mkfifo(pipe)
    for verb in ("evaluate", "explain", "certify"):
        assert_refused_in_one_sentence(call(verb, pipe), "endless.toml: it is not a regular file")
    assert_refused_in_one_sentence(call("evaluate", os.devnull), "it is not a regular file")
    assay = example_of("caustic-soda-by-acid", tmp_path)
    assert_refused_in_one_sentence(call("evaluate", assay, "--save", pipe), "it is not a regular file")
    assert pipe.is_fifo()


def test_a_circle_of_worksheets_is_refused(tmp_path):
    """JOB edge case 71: acid set by base set by the same acid."""
    text = STANDARDISATION.replace('[standard]\nname = "potassium hydrogen phthalate"', '[against]\nname = "acid"')
    start, end = text.index("[against]"), text.index("[vessels.burette]")
    against = '[against]\nname = "hydrochloric acid"\nformula = "HCl"\nworksheets = ["ws.toml"]\n\n'
    pipette = '[vessels.pipette]\nkind = "pipette"\nid = "P-1"\nnominal = "25 mL"\n'
    pipette += 'tolerance = "0.03 mL, rectangular"\n\n'
    text = (text[:start] + against + pipette + text[end:]).replace('gross = "60.5450 g"\ntare = "60.1562 g"\n', "")
    (tmp_path / "ws.toml").write_text(text.replace("caustic-soda-by-hydrogen-phthalate", "hcl-against-naoh"),
                                      encoding="utf-8")
    assert_refused_in_one_sentence(call("evaluate", tmp_path / "ws.toml"), "ws.toml", "circular")


# --- streams ----------------------------------------------------------------------------------------------------------


def test_a_reader_that_closes_the_pipe_early_is_no_error(tmp_path):
    path = example_of("naoh-by-khp", tmp_path)
    with subprocess.Popen([*PROGRAM, "explain", str(path)], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          env={**os.environ, "PYTHONPATH": str(SOURCE)}) as running:
        running.stdout.close()
        errors = running.stderr.read()
    assert errors == b""
    assert running.returncode == 0  # as for an output so short that it fits into the pipe


@pytest.mark.parametrize("verb", [("--help",), ("methods",), ("evaluate", "naoh-by-khp.toml"),
                                  ("explain", "naoh-by-khp.toml"), ("new", "naoh-by-khp")])
def test_an_output_that_cannot_be_written_is_said_in_one_sentence(verb, tmp_path, monkeypatch):
    example_of("naoh-by-khp", tmp_path)
    command = [*PROGRAM, *verb]
    environment = {**os.environ, "PYTHONPATH": str(SOURCE)}
    with Path("/dev/full").open("wb") as full:
        answer = subprocess.run(command, check=False, stdout=full, stderr=subprocess.PIPE, env=environment,
                                cwd=tmp_path)
    assert answer.returncode == 2
    assert answer.stderr == b"the output cannot be written (no space left on device); send it somewhere else.\n"
    closed = subprocess.run(["sh", "-c", 'exec "$@" >&-', "sh", *command], check=False, stderr=subprocess.PIPE,
                            env=environment, cwd=tmp_path)
    assert closed.returncode == 2
    assert closed.stderr == b"the output cannot be written (it is closed); send it somewhere else.\n"


def test_a_terminal_without_the_characters_prints_plain_ones_and_keeps_the_sign(tmp_path):
    path = example_of("caustic-soda-by-acid", tmp_path)
    answer = process("evaluate", path, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert answer.returncode == 0
    text = answer.stdout.decode("ascii")
    assert "-0.067" in text
    assert re.search(r"19\.904 % w/v \+/- 0\.0\d\d % w/v", text)
    assert "?" not in text
    record = process("evaluate", path, "--json", PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert b"\\u00" in record.stdout or b"\\u2" in record.stdout


def test_every_plain_equivalent_is_plain():
    assert all(text.isascii() and len(letter) == 1 for letter, text in EQUIVALENTS.items())


def test_a_refusal_ends_with_exit_status_two_and_one_line_of_its_own(tmp_path):
    answer = process("evaluate", tmp_path / "none.toml")
    assert answer.returncode == 2
    assert answer.stdout == b""
    assert answer.stderr.count(b"\n") == 1
    assert b"Traceback" not in answer.stderr


def test_help_imports_nothing_heavy():
    """``assaywright --help`` costs little more than the interpreter itself because of this."""
    code = "import sys; from assaywright.cli import main; main(['--help']); print(sorted(sys.modules), file=sys.stderr)"
    answer = subprocess.run([sys.executable, "-S", "-c", code], check=True, capture_output=True, text=True,
                            env={**os.environ, "PYTHONPATH": str(SOURCE)})
    for heavy in ("numpy", "scipy", "GTC", "tomllib", "argparse", "typing", "dataclasses", "re", "typst"):
        assert f"'{heavy}'" not in answer.stderr


# --- writing ----------------------------------------------------------------------------------------------------------


def test_a_write_that_breaks_leaves_the_earlier_file_and_nothing_beside_it(tmp_path, monkeypatch):
    path = tmp_path / "r.txt"
    path.write_bytes(b"the earlier one")

    def full_disk(_descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(Refusal, match="no space left on device"):
        files.write_whole(str(path), b"the later one")
    assert path.read_bytes() == b"the earlier one"
    assert [one.name for one in tmp_path.iterdir()] == ["r.txt"]


def test_a_file_that_is_replaced_keeps_its_permissions(tmp_path):
    path = tmp_path / "r.json"
    path.write_bytes(b"the earlier one")
    path.chmod(0o640)
    files.write_whole(str(path), b"the later one")
    assert (path.read_bytes(), path.stat().st_mode & 0o777) == (b"the later one", 0o640)
