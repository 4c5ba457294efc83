"""The table of edge cases against the tests: every number once, every test there, nothing tested in secret."""

import ast
import re
import tomllib
from functools import cache

from tests.house.sources import HOUSE

CASES = tomllib.loads((HOUSE / "tests" / "edge" / "cases.toml").read_text(encoding="utf-8"))["case"]
HOW_MANY = 71
NUMBERS = re.compile(r"Edge cases? (\d+(?:(?:, | and )\d+)*)")


@cache
def named_in(path):
    """Return the tests of a file with their docstrings."""
    tree = ast.parse((HOUSE / path).read_text(encoding="utf-8"))
    return {node.name: ast.get_docstring(node) or "" for node in tree.body
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")}


def missing(cases):
    """Return the tests that a table names and no file holds."""
    named = [name for case in cases for name in case.get("tests", ())]
    return [name for name in named
            if not (HOUSE / name.split("::")[0]).is_file() or name.split("::")[1] not in named_in(name.split("::")[0])]


def untold(cases):
    """Return the pairs of number and test in this folder that a docstring claims and a table does not name."""
    told = {(case["number"], name) for case in cases for name in case.get("tests", ())}
    claimed = {
        (int(number), f"tests/edge/{path.name}::{name}")
        for path in (HOUSE / "tests" / "edge").glob("test_*.py")
        for name, words in named_in(f"tests/edge/{path.name}").items()
        for listed in NUMBERS.findall(words) for number in re.findall(r"\d+", listed)
    }
    return sorted(claimed - told)


def test_every_edge_case_stands_in_the_table_once():
    assert [case["number"] for case in CASES] == list(range(1, HOW_MANY + 1))


def test_every_edge_case_is_tested_or_says_what_it_waits_for():
    assert not [case["number"] for case in CASES if not case.get("tests") and not case.get("waits")]
    assert not [case["number"] for case in CASES if not case["topic"].strip()]


def test_every_test_that_the_table_names_is_there():
    assert not missing(CASES)
    assert missing([{"number": 1, "tests": ["tests/edge/test_cases.py::test_of_nothing"]}])
    assert missing([{"number": 1, "tests": ["tests/edge/test_nothing.py::test_of_nothing"]}])


def test_every_edge_case_that_a_test_here_claims_is_told_in_the_table():
    assert not untold(CASES)
    assert untold([])


def test_nothing_of_an_edge_case_waits_in_silence():
    """What waits says for what; at most four numbers have no test at all."""
    assert all(case["waits"].count("waits for") for case in CASES if "waits" in case)
    assert len([case for case in CASES if not case.get("tests")]) <= 4
