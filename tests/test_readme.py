"""What the README shows is what the program prints."""

import os
import re
import shlex
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.house.sources import HOUSE

START, END = "<!-- example:start -->", "<!-- example:end -->"
LEFT_OUT = "..."


@dataclass(frozen=True, slots=True)
class Shown:
    """A command with the output that the page shows for it; a line of three points stands for any number of lines."""

    command: str
    output: tuple[str, ...]


def shown_commands(page: str) -> list[Shown]:
    """Return the commands of the console blocks between the marks, in order."""
    section = page.split(START)[1].split(END, maxsplit=1)[0]
    found = []
    for block in re.findall(r"^```console\n(.*?)^```$", section, re.DOTALL | re.MULTILINE):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, *output = part.rstrip("\n").split("\n")
            found.append(Shown(command, tuple(line.rstrip() for line in output)))
    return found


def printed(command: str, where: Path) -> list[str]:
    """Run a command of the program in a directory and return what it prints."""
    name, *arguments = shlex.split(command)
    assert name == "assaywright", f"the page shows a command that the test does not run: {command}"
    surroundings = os.environ | {"PYTHONPATH": str(HOUSE / "src"), "PYTHONUTF8": "1", "COLUMNS": "100"}
    code = "import sys; from assaywright.cli import main; sys.exit(main(sys.argv[1:]))"
    answer = subprocess.run(
        [sys.executable, "-c", code, *arguments], cwd=where, env=surroundings, check=False, capture_output=True,
        text=True, encoding="utf-8", stdin=subprocess.DEVNULL,
    )
    assert answer.returncode == 0, answer.stderr
    return [line.rstrip() for line in answer.stdout.splitlines()]


def agrees(shown: tuple[str, ...], real: list[str]) -> bool:
    """Return whether the lines shown are those printed, lines left out apart."""
    pattern = "".join(r"(?:.*\n)*?" if line.strip() == LEFT_OUT else re.escape(line) + r"\n" for line in shown)
    return re.fullmatch(pattern, "".join(f"{line}\n" for line in real)) is not None


def test_the_readme_shows_what_the_program_prints(tmp_path):
    commands = shown_commands((HOUSE / "README.md").read_text(encoding="utf-8"))
    assert any(shown.output for shown in commands), "the README shows no example with its output"
    for shown in commands:
        real = printed(shown.command, tmp_path)
        assert agrees(shown.output, real) or not shown.output, "\n".join([f"$ {shown.command} prints:", *real])


@pytest.mark.parametrize(
    ("shown", "real", "agree"),
    [
        (("a", "b"), ["a", "b"], True),
        (("a", "...", "d"), ["a", "b", "c", "d"], True),
        (("a", "..."), ["a"], True),
        (("a", "b"), ["a", "c"], False),
        (("a", "..."), ["b"], False),
        (("a",), ["a", "b"], False),
        (("0.1021",), ["0.1022"], False),
    ],
)
def test_a_line_that_differs_is_noticed(shown, real, agree):
    assert agrees(shown, real) is agree


def test_the_commands_of_a_page_are_found():
    page = f"{START}\n```console\n$ assaywright evaluate a.toml\n0.1021\nmol/L\n$ assaywright demo x\n```\n{END}"
    assert shown_commands(page) == [
        Shown("assaywright evaluate a.toml", ("0.1021", "mol/L")), Shown("assaywright demo x", ())]


def test_every_file_of_the_walk_exists():
    walk = (HOUSE / "START_HERE.md").read_text(encoding="utf-8")
    named = re.findall(r"`([\w./-]+\.\w+)`", walk)
    assert len(named) > 8
    assert not [name for name in named if not (HOUSE / name).is_file()]


def test_every_verb_of_run_py_and_every_linked_page_exists():
    page = (HOUSE / "README.md").read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#:]+)\)", page)
    assert links
    assert not [link for link in links if not (HOUSE / link).exists()]
    listed = subprocess.run([sys.executable, HOUSE / "run.py"], check=True, capture_output=True, text=True).stdout
    verbs = set(re.findall(r"run\.py (\w+)", page))
    assert verbs == {"demo", "files", "serve", "test"}
    assert verbs <= set(re.findall(r"^  (\w+)", listed, re.MULTILINE))
