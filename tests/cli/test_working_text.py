"""The working as text, recomputed by a parser that knows nothing but its grammar."""

import json
import re
from decimal import Context, Decimal, localcontext

import pytest

from assaywright.assay.method import load_method, method_names
from tests.cli.terminal import call, example_of

FIRST = re.compile(r" {4}(\S.*?) = (.+)")
FURTHER = re.compile(r" {5,}= (.+)")
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?")


def value_of(figures):
    """Return what the figures give, in decimals of thirty digits; the text is our own, and has no builtins."""
    for written, plain in (("−", "-"), ("×", "*"), ("^", "**")):
        figures = figures.replace(written, plain)
    figures = NUMBER.sub(lambda found: f'Decimal("{found[0]}")', figures)
    known = {"Decimal": Decimal, "sqrt": Decimal.sqrt, "exp": Decimal.exp, "log10": Decimal.log10, "__builtins__": {}}
    with localcontext(Context(prec=30)):
        return Decimal(eval(figures, known))  # noqa: S307


def figure(text):
    """Return the number at the start of a text."""
    return Decimal(text.partition(" ")[0].replace("−", "-"))


def with_figures(formula, known):
    """Return the formula with every symbol replaced by its figure, the longest symbols first."""
    for symbol in sorted(known, key=len, reverse=True):
        formula = formula.replace(symbol, f"({known[symbol]})")
    return formula


def recomputed(text):
    """Yield symbol, formula, figures and value of every line of the calculation, and learn the given values."""
    known, lines = {}, text.splitlines()
    for number, line in enumerate(lines):
        first = FIRST.fullmatch(line)
        if not first:
            continue
        following = [FURTHER.fullmatch(other) for other in lines[number + 1:number + 3]]
        if all(following) and following:
            yield first[1], with_figures(first[2], known), following[0][1], figure(following[1][1])
            known[first[1]] = following[1][1].partition(" ")[0]
        else:
            known[first[1]] = first[2].partition(" ")[0]


@pytest.fixture(params=method_names())
def example(request, tmp_path):
    return example_of(request.param, tmp_path)


def test_whoever_keys_in_the_figures_gets_the_printed_value_to_its_last_digit(example):
    steps = list(recomputed(call("explain", example).output))
    assert len(steps) > 8
    for symbol, formula, figures, printed in steps:
        assert Context(prec=12).plus(value_of(figures)) == printed, (symbol, figures)
        assert Context(prec=12).plus(value_of(formula)) == printed, (symbol, formula)


def test_the_last_lines_are_the_result_and_its_uncertainty(example):
    result = json.loads(call("evaluate", example, "--json").output)["result"]
    steps = [(symbol, value) for symbol, _, _, value in recomputed(call("explain", example).output)]
    first = [symbol for symbol, _ in steps].index("U") + 1
    last = dict(steps[:first])
    assert float(last["y"]) == pytest.approx(result["value"], rel=1e-9)
    assert float(last["u"]) == pytest.approx(result["standard_uncertainty"], rel=1e-5)
    assert float(last["U"]) == pytest.approx(result["expanded_uncertainty"], rel=1e-4)
    if result["degrees_of_freedom"] is not None:
        assert float(last["ν"]) == pytest.approx(result["degrees_of_freedom"], rel=1e-3)


def test_a_printed_working_that_is_altered_is_noticed(tmp_path):
    text = call("explain", example_of("naoh-by-khp", tmp_path)).output
    assert "= 18.64 − 0.00\n" in text
    wrong = text.replace("= 18.64 − 0.00\n", "= 18.65 − 0.00\n", 1)
    assert any(Context(prec=12).plus(value_of(figures)) != printed for _, _, figures, printed in recomputed(wrong))


def test_every_result_of_two_endpoints_has_its_own_calculation(tmp_path):
    name = "caustic-soda-two-endpoints"
    text = call("explain", example_of(name, tmp_path)).output
    assert [line for line in text.splitlines() if line.startswith("CALCULATION: ")] == [
        f"CALCULATION: {one.name}" for one in load_method(name).result.measurands]


def test_the_given_values_stand_with_unit_uncertainty_and_source(tmp_path):
    text = call("explain", example_of("naoh-by-khp", tmp_path)).output
    assert "    R_f₁ = 18.64 mL        exact here        final reading  [read]" in text
    assert re.search(r"    w_s = 100\.0 %        u = 0\.029 %        certified content of .+  \[RM-KHP-7\]", text)
