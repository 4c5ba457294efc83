"""The rules of the house, each with a sample that breaks it: a rule that cannot fail is worse than none."""

import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest

from assaywright.assay.method import load_method, method_names, parse_method
from assaywright.assay.troubles import TROUBLES
from assaywright.cli.arguments import ADDERS
from assaywright.cli.opening import VERBS
from assaywright.cli.verbs import RUN
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Severity
from assaywright.reference import load
from scripts import generate_docs, resolve_platforms
from tests.house import rules, rules_of_tests
from tests.house.sources import HOUSE, KEPT_FOLDERS, PACKAGE, lower_modules, module, modules, texts

# The files are read once, whatever number of workers share the tests.
pytestmark = pytest.mark.xdist_group("the house")

MAY_TOUCH_FILES = {
    "reference/load.py": "the only reader of reference/data",
    "assay/editions.py": "lists the earlier editions in assay/methods",
    "assay/method.py": "reads the method files of assay/methods",
}


# --- the floors -------------------------------------------------------------------------------------------------------


def lint_imports(source: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as main; main()", "--no-cache",
         "--no-logo", "--config", str(HOUSE / "pyproject.toml")],
        check=False, capture_output=True, text=True, cwd=source, env={**os.environ, "PYTHONPATH": str(source)},
    )


def test_the_floors_hold():
    answer = lint_imports(HOUSE / "src")
    assert answer.returncode == 0, answer.stdout + answer.stderr
    assert re.search(r"Contracts: [1-9]\d* kept, 0 broken", answer.stdout)


@pytest.mark.parametrize(
    ("file", "line"),
    [
        ("metrology/upward.py", "import assaywright.reference.load"),
        ("assay/painted.py", "import typst"),
        ("assay/stored.py", "import sqlite3"),
        ("chemistry/second_engine.py", "import GTC"),
        ("attic/__init__.py", ""),
    ],
)
def test_an_import_that_points_up_or_out_breaks_the_floors(tmp_path, file, line):
    shutil.copytree(PACKAGE, tmp_path / "assaywright", ignore=shutil.ignore_patterns("__pycache__", "fonts", "data"))
    breach = tmp_path / "assaywright" / file
    breach.parent.mkdir(exist_ok=True)
    breach.write_text(f'"""A breach."""\n\n{line}\n', encoding="utf-8")
    answer = lint_imports(tmp_path)
    assert answer.returncode == 1, answer.stdout + answer.stderr


# --- nothing from outside ---------------------------------------------------------------------------------------------


def test_no_clock_file_print_or_unseeded_chance_below_reports():
    breaches = {
        f"{one.name}: {taken}"
        for one in lower_modules()
        for taken in rules.outside_world(one)
        if not (one.name in MAY_TOUCH_FILES and taken.startswith("file: "))
    }
    assert not breaches


def test_every_module_that_may_touch_files_does():
    touching = {one.name for one in lower_modules() if any(t.startswith("file: ") for t in rules.outside_world(one))}
    assert set(MAY_TOUCH_FILES) <= touching


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("from datetime import datetime\nat = datetime.now()", "clock"),
        ("import time", "clock"),
        ("text = open('readings.txt').read()", "file"),
        ("def read(path):\n    return path.read_text()", "file"),
        ("from importlib.resources import files", "file"),
        ("from importlib import resources", "file"),
        ("print('done')", "print"),
        ("import sys\nsys.stderr.write('done')", "print"),
        ("import random", "chance"),
        ("import numpy as np\nx = np.random.normal()", "chance"),
        ("import numpy as np\ng = np.random.default_rng()", "chance"),
        ("from numpy.random import default_rng\ng = default_rng()", "chance"),
    ],
)
def test_a_clock_a_file_a_print_and_chance_are_noticed(line, kind):
    assert kind in {taken.split(":")[0] for taken in rules.outside_world(module(line))}


@pytest.mark.parametrize(
    "line",
    [
        "import numpy as np\ng: np.random.Generator = np.random.default_rng(7)",
        "from pathlib import PurePath\nname = PurePath(path).name",
        "from assaywright.assay.worksheet import read_bytes\nworksheet = read_bytes(data, 'WS-1.toml')",
    ],
)
def test_a_seeded_generator_a_name_of_a_file_and_bytes_already_read_are_allowed(line):
    assert not rules.outside_world(module(line))


# --- text and shape of the code ---------------------------------------------------------------------------------------


def test_every_public_module_class_and_function_has_a_docstring():
    assert not [breach for one in modules(PACKAGE) for breach in rules.without_docstring(one)]
    assert rules.without_docstring(module("class A:\n    def b(self):\n        pass")) == [
        "sample.py", "sample.py: A", "sample.py: A.b"]


def test_an_argument_that_ends_in_a_unit_has_it_in_brackets_in_the_docstring():
    assert not [breach for one in lower_modules() for breach in rules.arguments_without_unit(one)]
    assert rules.arguments_without_unit(module('def v(volume_mL):\n    """Return the volume."""'))


def test_no_module_and_no_function_is_too_long():
    assert not [breach for one in modules(PACKAGE) for breach in rules.too_long(one)]
    assert len(rules.too_long(module("def long():\n" + "    x = 1\n" * 400))) == 2


def test_a_docstring_and_comments_do_not_make_a_function_long():
    short = 'def short():\n    """Say.\n' + "\n    more\n" * 50 + '    """\n' + "    # why\n" * 50
    assert not rules.too_long(module(short))


# The keys and the class by which the standard library's logging is set up are not ours to name, nor are those of its
# XML parser, nor is contextlib's.
DICTATED = (r'(?<!logging\.)(?<!")(?<!RotatingFile)(?<!parser\.StartDoctypeDecl)(?<!parser\.StartElement)'
            r"(?<!parser\.EndElement)(?<!parser\.CharacterData)")
FORBIDDEN_WORDS = re.compile(
    rf"(?<!context)manager|{DICTATED}handler|helper|(?<!django\.)utils|data2|todo|_old\b", re.IGNORECASE)


def test_no_forbidden_word_stands_in_the_source():
    source = texts("src", top=False)
    found = [f"{name}: {hit[0]}" for name, text in source for hit in FORBIDDEN_WORDS.finditer(f"{name}\n{text}")]
    assert not found
    assert FORBIDDEN_WORDS.search("class ResultManager")
    assert FORBIDDEN_WORDS.search("read_old(")
    assert FORBIDDEN_WORDS.search("a request handler")


# Written in pieces, so that this file does not hold what it looks for.
HOSTS = ("pypi" + ".org", "python" + "hosted.org", "npm" + "js.org", "npm" + "js.com", "crates" + ".io",
         "ana" + "conda.org", "deb." + "debian.org")
MACHINE_PATHS = re.compile(r"(?<![\w.~/)}>*-])/(w[o]rk|t[m]p|h[o]me|r[o]ot|U[s]ers|o[p]t)/\w")


def machine_places(text: str) -> list[str]:
    return [host for host in HOSTS if host in text] + [hit[0] for hit in MACHINE_PATHS.finditer(text)]


def test_no_registry_host_and_no_path_of_one_machine_stands_in_the_repository():
    found = [f"{name}: {place}" for name, text in texts(*KEPT_FOLDERS, top=True) for place in machine_places(text)]
    assert not found
    assert machine_places("see " + "/home" + "/ann/x")
    assert machine_places("https://" + HOSTS[0])


# --- what is known ----------------------------------------------------------------------------------------------------


def citation_breaches(name: str, rows: tuple[Mapping[str, str], ...]) -> list[str]:
    known = {row["key"] for row in load.table(load.SOURCES).rows}
    return [
        f"{name}, row {number}: source '{row.get('source')}', status '{row.get('status')}'"
        for number, row in enumerate(rows, start=2)
        if row.get("source") not in known or row.get("status") not in ("read", "recalled", "measured")
    ]


def test_every_row_of_reference_data_has_a_known_source_and_status():
    names = [name for name in load.names() if name != load.SOURCES]
    assert names
    assert not [breach for name in names for breach in citation_breaches(name, load.table(name).rows)]
    assert citation_breaches("sample", ({"source": "hearsay", "status": "read"},))


def test_every_source_is_cited():
    others = (text for name, text in texts("src", top=False) if not name.endswith(f"/{load.SOURCES}.csv"))
    words = {word for text in others for word in re.findall(r"\w+", text)}
    keys = {row["key"] for row in load.table(load.SOURCES).rows}
    assert keys
    assert not keys - words


def test_every_method_has_a_worked_example_and_none_loads_without():
    names = method_names()
    assert names
    assert not [name for name in names if not load_method(name).example.expected]
    text = (PACKAGE / "assay" / "methods" / f"{names[0]}.toml").read_text(encoding="utf-8")
    head, _example = re.split(r"^\[example\]$", text, flags=re.MULTILINE)
    with pytest.raises(Refusal, match="worked example"):
        parse_method(head)


# --- trouble ----------------------------------------------------------------------------------------------------------


def test_every_kind_of_remark_stands_in_the_catalogue():
    raised = rules.kinds_of_remark(modules(PACKAGE))
    assert not {kind: where for kind, where in raised.items() if kind not in TROUBLES}
    assert rules.kinds_of_remark([module("Remark('wet-standard', 1)"), module("Remark(kind='late')")]).keys() == {
        "wet-standard", "late"}


def test_every_kind_in_the_catalogue_can_occur_and_is_graded():
    others = [one for one in modules(PACKAGE) if one.name != "assay/troubles.py"]
    assert not set(TROUBLES) - rules.literals(others)
    assert not [kind for kind, (severity, meaning) in TROUBLES.items() if severity not in Severity or not meaning]


def test_every_kind_of_trouble_stands_in_its_page():
    page = (HOUSE / "docs" / "troubles.md").read_text(encoding="utf-8")
    assert not [kind for kind in TROUBLES if f"`{kind}`" not in page]


# --- the tests themselves ---------------------------------------------------------------------------------------------


def test_every_function_among_the_tests_is_a_test_a_fixture_or_called():
    assert not rules_of_tests.idle_functions([*modules(HOUSE / "tests"), *modules(HOUSE / "scripts")])
    for name in ("testing_buoyancy", "checks_buoyancy"):
        assert rules_of_tests.idle_functions([module(f"def {name}():\n    assert 1 == 2")])


def test_no_test_hides_another():
    assert not [breach for one in modules(HOUSE / "tests") for breach in rules_of_tests.hidden_tests(one)]
    assert rules_of_tests.hidden_tests(module("def test_a(): ...\ndef test_a(): ..."))


def test_no_test_catches_its_own_assertion():
    assert not [breach for one in modules(HOUSE / "tests") for breach in rules_of_tests.assertions_caught(one)]


@pytest.mark.parametrize(
    "body",
    [
        "try:\n    assert x\nexcept AssertionError:\n    pass",
        "try:\n    assert x\nexcept (ValueError, Exception):\n    pass",
        "try:\n    assert x\nexcept:\n    pass",
        "with suppress(AssertionError):\n    assert x",
        "with pytest.raises(Exception):\n    assert x",
    ],
)
def test_an_assertion_that_is_caught_is_noticed(body):
    assert rules_of_tests.assertions_caught(module(body))


def test_every_test_can_fail():
    assert not rules_of_tests.harmless_tests(modules(HOUSE / "tests"))
    assert rules_of_tests.harmless_tests([module("def test_a():\n    a == b")])


def test_no_test_is_skipped_or_expected_to_fail():
    assert not [breach for one in modules(HOUSE / "tests") for breach in rules_of_tests.skipped_tests(one)]
    assert rules_of_tests.skipped_tests(module("@pytest.mark.skip\ndef test_a(): ..."))


# --- the pages --------------------------------------------------------------------------------------------------------


def test_the_generated_pages_are_fresh(capsys):
    status = generate_docs.main(["--check"])
    assert status == 0, capsys.readouterr().out


def test_every_verb_of_the_command_line_is_in_the_documentation_and_can_run():
    headings = re.findall(r"^## `(\S+)", (HOUSE / "docs" / "commands.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert VERBS
    assert set(VERBS) == set(ADDERS) == set(RUN) == {heading.strip("`") for heading in headings}


def test_the_version_is_said_once_and_the_same_everywhere():
    import assaywright

    project = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == assaywright.__version__
    assert f"## {assaywright.__version__}" in (HOUSE / "CHANGELOG.md").read_text(encoding="utf-8")


def test_the_page_of_platforms_tells_of_the_present_versions():
    page = (HOUSE / "docs" / "platforms.md").read_text(encoding="utf-8")
    assert f"`{resolve_platforms.hash_of_constraints()}`" in page, "run: python3 run.py platforms"


def test_every_dependency_has_an_exact_version_and_a_notice():
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    exact = (HOUSE / "constraints.txt").read_text(encoding="utf-8").lower()
    notices = (HOUSE / "THIRD_PARTY_NOTICES.md").read_text(encoding="utf-8").lower()
    own = [re.split(r"[>=<;\s\[]", line)[0].lower() for line in project["dependencies"]]
    for_tests = [re.split(r"[>=<;\s\[]", line)[0].lower() for line in project["optional-dependencies"]["test"]]
    assert not [name for name in [*own, *for_tests] if f"\n{name}==" not in exact]
    assert not [name for name in own if f"| {name}" not in notices]
