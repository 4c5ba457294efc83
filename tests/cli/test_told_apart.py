"""Lines of an evaluation that a person can tell apart, in one form of numbers."""

import json
import re

import pytest

from tests.cli.terminal import call, works_in


@pytest.fixture(scope="module")
def sheets(tmp_path_factory):
    """Return the worksheets of the demonstration, assays with standardisations below them."""
    folder = works_in(tmp_path_factory.mktemp("demo") / "works")
    return [*sorted((folder / "worksheets").glob("*.toml")), *sorted((folder / "titrants").glob("*.toml"))]


def chain_statements(link):
    yield link["statement"]
    for below in link["rests_on"]:
        yield from chain_statements(below)


def test_no_two_lines_of_a_budget_read_alike(sheets):
    for path in sheets:
        lines = [line["influence"] for line in json.loads(call("evaluate", path, "--json").output)["budget"]]
        assert len(lines) > 5
        assert not {line for line in lines if lines.count(line) > 1}


def test_a_minus_is_a_minus_and_no_figure_has_an_e(sheets):
    for path in sheets:
        for verb in ("evaluate", "explain"):
            shown = call(verb, path).output
            assert not re.findall(r"(?:^|[ (=×])-[0-9]\S*", shown, re.MULTILINE)
            assert not re.findall(r"[0-9]e[-+]?[0-9]", shown)


def test_dates_are_written_in_one_form_throughout(sheets):
    """Day, month as a word, year: no country reads it the other way round."""
    found = 0
    for path in sheets:
        shown = call("evaluate", path).output
        found += len(re.findall(r"[0-9]{1,2}\s+[A-Z][a-z]+\s+20[0-9]{2}", shown))
        assert not re.findall(r"20[0-9]{2}-[0-9]{2}-[0-9]{2}", shown)
    assert found > 20


def test_a_titrant_between_two_standardisations_is_called_their_mean(sheets):
    path = next(path for path in sheets if path.name == "sodium-hydroxide.toml")
    told = list(chain_statements(json.loads(call("evaluate", path, "--json").output)["chain"]))
    assert [one for one in told if one.endswith(" mol/L, mean of two standardisations")]


def test_standard_uncertainties_in_a_chain_have_two_significant_digits(sheets):
    found = 0
    for path in sheets:
        chain = json.loads(call("evaluate", path, "--json").output)["chain"]
        for statement in chain_statements(chain):
            for figure in re.findall(r"u = ([0-9.]+)", statement):
                found += 1
                assert len(figure.replace(".", "").lstrip("0")) == 2, statement
    assert found > 10
