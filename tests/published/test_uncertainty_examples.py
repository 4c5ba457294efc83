"""Published uncertainty budgets through our own evaluators.

Every file of ``tests/reference/metrology/uncertainty_examples`` is built as a model, propagated, and compared with what
its source prints. What a source prints beyond the law of propagation is either calculated here by name or listed in
``SET_ASIDE`` with the reason.
"""

import math
import re
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

from assaywright.metrology.batch import batch_inputs, evaluate_batch
from assaywright.metrology.correlation import correlated
from assaywright.metrology.estimate import Estimate, correlation, influence
from assaywright.metrology.gum import coverage_factor, evaluate_gum
from assaywright.metrology.model import Model, ModelInput
from assaywright.metrology.monte_carlo import simulate
from assaywright.metrology.replicates import describe, repeatability_of_mean
from tests.published.rows import (
    STATUS_OF_REFERENCE_FILES,
    PublishedRow,
    as_parameters,
    assert_agrees,
    read_reference,
)
from tests.published.worked_example import WorkedExample, calculate, names_of_examples, worked_example

TRIALS = 4_000_000
IN_MILLIONTHS = "jcgm101_9_4"
"""Examples that print their result in units of 1e-6."""

PLAIN: dict[str, Callable[[Estimate], float]] = {
    "value": lambda one: one.value,
    "mean": lambda one: one.value,
    "intercept": lambda one: one.value,
    "slope": lambda one: one.value,
    "gum_value": lambda one: one.value,
    "u": lambda one: one.standard_uncertainty,
    "gum_u": lambda one: one.standard_uncertainty,
    "u_from_pooled_s": lambda one: one.standard_uncertainty,
    "variance": lambda one: one.variance,
    "u_rel": lambda one: one.standard_uncertainty / abs(one.value),
    "u_relative": lambda one: one.standard_uncertainty / abs(one.value),
    "u_percent": lambda one: 100 * one.standard_uncertainty,
    "U_k2_percent": lambda one: 200 * one.standard_uncertainty,
    "nu_eff": lambda one: one.degrees_of_freedom,
    "U95": lambda one: coverage_factor(one.degrees_of_freedom) * one.standard_uncertainty,
    "interval95_half": lambda one: coverage_factor(math.inf) * one.standard_uncertainty,
    "interval95_half_gum": lambda one: coverage_factor(math.inf) * one.standard_uncertainty,
    "gum_low95": lambda one: one.value - coverage_factor(math.inf) * one.standard_uncertainty,
    "gum_high95": lambda one: one.value + coverage_factor(math.inf) * one.standard_uncertainty,
    "k_t95": lambda one: coverage_factor(one.degrees_of_freedom),
    "low95": lambda one: one.value - coverage_factor(one.degrees_of_freedom) * one.standard_uncertainty,
    "high95": lambda one: one.value + coverage_factor(one.degrees_of_freedom) * one.standard_uncertainty,
}

NAMED_IN_THE_KIND: dict[str, Callable[..., float]] = {
    r"U_k=([\d.]+)": lambda example, quantity, k: float(k) * example.estimate(quantity).standard_uncertainty,
    r"contribution:(\w+)": lambda example, quantity, source: example.contribution(quantity, source),
    r"correlation:(\w+)": lambda example, quantity, other: correlation(example.estimate(quantity),
                                                                      example.estimate(other)),
    r"r\((\w+),(\w+)\)": lambda example, _, one, other: correlation(example.estimate(one), example.estimate(other)),
    r"k_t(\d+)_nu(\d+)": lambda _, __, percent, freedom: coverage_factor(float(freedom), float(percent) / 100),
}

SIMULATED = ("exact_mean", "exact_u", "shortest_low95", "shortest_high95", "interval95_half_exact", "mcm_mean", "mcm_u",
             "mcm_low95", "mcm_high95")

BY_HAND = {
    "nu_eff_rounded_components": "gum_h1: needs the unrounded parts of d, see end_gauge_rows; 25.6 uses a rounded 9.7",
    "U99": "gum_h1: see end_gauge_rows",
    "wrong_u_if_uncorrelated": "gum_5_2_2_ex1: see tests/metrology/test_correlation.py",
    "s": "tn1900_e2: see tests/metrology/test_replicates.py",
}

SET_ASIDE = {
    "u_second_order": "second-order terms; our second road is simulation",
    "second_order_term_1": "second-order terms", "second_order_term_2": "second-order terms",
    "second_order_u": "second-order terms", "second_order_low95": "second-order terms",
    "second_order_high95": "second-order terms",
    "kragten:P": "one-sided difference, a method we do not offer", "kragten:m": "one-sided difference",
    "kragten:V": "one-sided difference", "sum_of_squared_differences": "one-sided difference",
    "k_rectangular95": "coverage factor of a rectangular result; we simulate instead",
    "residual_sum_of_squares": "gum_h3: fitting a line is not part of this check",
    "s_residual": "gum_h3: fitting a line is not part of this check",
    "mean_of_ratios": "gum_h4: corrected rates are inputs here, their raw counts are not",
    "u_mean_of_ratios": "gum_h4: corrected rates are inputs here, their raw counts are not",
    "value_second_analysis": "gum_h4: needs the raw counts", "u_second_analysis": "gum_h4: needs the raw counts",
    "u_rel_second_analysis": "gum_h4: needs the raw counts",
    "rms_bias_percent": "nordtest537_ammonium: a root mean square of biases, made before the budget",
    "u_bias_percent": "nordtest537_ammonium: made before the budget",
}

OTHER_BASIS = {
    ("gum_h1", "l", "variance"): "1002 needs the unrounded parts of d, see end_gauge_rows",
    ("gum_h1", "l", "u_relative"): "6.4e-7 divides the rounded 32 nm; unrounded 6.3e-7",
    ("ea402_s2", "dm_D", "u"): "the recalled print, 8.95 mg, is not 15 mg / sqrt 3",
    ("quam_a3", "c_HCl", "u 0.00016"): "belongs to the repeatability divided by sqrt 3",
    ("quam_a3", "c_HCl", "u_rel 0.0016"): "belongs to the repeatability divided by sqrt 3",
}


def other_basis(name: str, printed: dict[str, Any]) -> bool:
    kinds = (printed["kind"], f"{printed['kind']} {printed['text']}")
    return any((name, printed["quantity"], kind) in OTHER_BASIS for kind in kinds)


def figure(example: WorkedExample, quantity: str, kind: str) -> float | None:
    """Return our figure for a printed one by the law of propagation, or ``None`` when it is none of that law's."""
    if kind in PLAIN:
        return PLAIN[kind](example.estimate(quantity))
    for pattern, calculation in NAMED_IN_THE_KIND.items():
        if found := re.fullmatch(pattern, kind):
            return calculation(example, quantity, *found.groups())
    return None


def tolerance(printed: dict[str, Any]) -> float | None:
    """Half a unit when the file says no more; its own tolerance, or one unit, when it says why."""
    if printed["verdict"] == "agrees within stated tolerance":
        return float(printed["tolerance"])
    return one_unit(printed["text"]) if "within 1 unit" in printed["verdict"] else None


def one_unit(text: str) -> float:
    """One unit of the last printed digit."""
    return 2 * float(PublishedRow("", "", "", text, 0.0).half_unit)


def row(example: WorkedExample, printed: dict[str, Any], ours: float, *, simulated: bool = False) -> PublishedRow:
    scale = 1e6 if example.name.startswith(IN_MILLIONTHS) else 1.0
    allowed, note = tolerance(printed), printed.get("note", "")
    if simulated:
        allowed = allowed or one_unit(printed["text"])
        note = f"simulated with {TRIALS} trials; {note}".rstrip("; ")
    return PublishedRow(
        source=printed.get("source", example.record["source"]),
        clause=f"{example.record['clause_or_table']} ({example.name})",
        quantity=f"{printed['quantity']}, {printed['kind']}",
        printed=printed["text"],
        ours=ours * (scale if "correlation" not in printed["kind"] else 1.0),
        tolerance=allowed,
        status=STATUS_OF_REFERENCE_FILES[printed["status"]],
        note=note,
    )


def every_printed() -> Iterator[tuple[WorkedExample, dict[str, Any]]]:
    for name in names_of_examples():
        for printed in worked_example(name).record["printed"]:
            yield worked_example(name), printed


def propagated_rows() -> Iterator[PublishedRow]:
    for example, printed in every_printed():
        if not other_basis(example.name, printed):
            ours = figure(example, printed["quantity"], printed["kind"])
            if ours is not None:
                yield row(example, printed, ours)


def simulated_names() -> list[str]:
    return sorted({example.name for example, printed in every_printed() if printed["kind"] in SIMULATED})


def simulated_rows(name: str) -> Iterator[PublishedRow]:
    """An example of JCGM 101:2008, clause 9, by our Monte Carlo evaluator."""
    example = worked_example(name)
    wanted = [printed for printed in example.record["printed"] if printed["kind"] in SIMULATED]
    drawn = simulate(example.model(wanted[0]["quantity"]), trials=TRIALS, seed=1)
    figures = dict(zip(SIMULATED, (drawn.mean, drawn.standard_uncertainty, *drawn.shortest,
                                   (drawn.interval[1] - drawn.interval[0]) / 2, drawn.mean,
                                   drawn.standard_uncertainty, *drawn.shortest), strict=True))
    for printed in wanted:
        yield row(example, printed, figures[printed["kind"]], simulated=True)


def impedance_rows() -> Iterator[PublishedRow]:
    """JCGM 100:2008, H.2, from the raw readings, by both approaches of H.2.3 and H.2.4."""
    raw = read_reference("metrology/gum_h2_raw.csv")
    columns = {"V": "V_volt", "I": "I_ampere", "phi": "phi_radian"}
    readings = {name: [float(line[column]) for line in raw] for name, column in columns.items()}
    inputs = correlated(
        [describe(values).mean for values in readings.values()],
        [repeatability_of_mean(values).standard_uncertainty for values in readings.values()],
        ("V", "A", "rad"), np.corrcoef(list(readings.values())).tolist(), list(readings), len(raw) - 1)
    given = {name: ModelInput(name, name, one) for name, one in zip(readings, inputs, strict=True)}
    expressions = {"R": "V/I*cos(phi)", "X": "V/I*sin(phi)", "Z": "V/I"}
    printed = {"R": ("127.732", "0.071"), "X": ("219.847", "0.295"), "Z": ("254.260", "0.236")}
    results = {}
    for symbol, expression in expressions.items():
        model = Model(lambda x, m, text=expression: calculate(text, x, m), given, "ohm")
        results[symbol] = evaluate_gum(model).estimate
        each = [calculate(expression, {name: values[k] for name, values in readings.items()}, None)
                for k in range(len(raw))]
        for approach, value, u in (("H.2.3", results[symbol].value, results[symbol].standard_uncertainty),
                                   ("H.2.4", describe(each).mean, repeatability_of_mean(each).standard_uncertainty)):
            source = (raw[0]["source"], f"{approach}, from Table H.2")
            yield PublishedRow(*source, f"{symbol}, ohm", printed[symbol][0], value, status="from memory")
            wide = 0.001 if symbol == "X" else None
            yield PublishedRow(*source, f"u({symbol}), ohm", printed[symbol][1], u, wide, "from memory",
                               "the print cuts off instead of rounding" if wide else "")
    for one, other, text in (("R", "X", "-0.588"), ("R", "Z", "-0.485"), ("X", "Z", "0.993")):
        yield PublishedRow(raw[0]["source"], "H.2.3, from Table H.2", f"r({one}, {other})", text,
                           correlation(results[one], results[other]), status="from memory")


def end_gauge_rows() -> Iterator[PublishedRow]:
    """JCGM 100:2008, H.1, with the parts of the comparator's difference left unrounded."""
    example = worked_example("gum_h1")
    unrounded = {"d0": (13 / math.sqrt(5), 24), "d1": (10 / 2.57, 5), "d2": (20 / 3, 8)}
    model = example.model("l")
    inputs = dict(model.inputs)
    for name, (u, nu) in unrounded.items():
        value = example.inputs[name].value
        inputs[name] = ModelInput(name, name, influence(name, value, u, "nm", degrees_of_freedom=nu))
    gauge = evaluate_gum(Model(model.equation, inputs, "nm")).estimate
    whole = math.floor(gauge.degrees_of_freedom)
    k = coverage_factor(whole, 0.99)
    for clause, quantity, text, ours in (
        ("H.1.4", "u^2(l), nm^2", "1002", gauge.variance), ("H.1.6", "nu_eff(l)", "16.7", gauge.degrees_of_freedom),
        ("H.1.6", "t of 99 % for 16 degrees of freedom", "2.92", k),
        ("H.1.6", "U of 99 %, nm", "93", k * gauge.standard_uncertainty),
    ):
        yield PublishedRow("JCGM 100:2008", clause, quantity, text, ours, status="from memory",
                           tolerance=1.0 if text == "93" else None,
                           note="the print multiplies the rounded 32 nm; unrounded 92.5" if text == "93" else "")


def published_rows() -> Iterator[PublishedRow]:
    yield from propagated_rows()
    for name in simulated_names():
        yield from simulated_rows(name)
    yield from impedance_rows()
    yield from end_gauge_rows()


@pytest.mark.parametrize("one", as_parameters([*propagated_rows(), *impedance_rows(), *end_gauge_rows()]))
def test_the_law_of_propagation_gives_the_published_figure(one):
    assert_agrees(one)


@pytest.mark.parametrize("name", simulated_names())
def test_the_simulated_distribution_is_the_published_one(name):
    for one in simulated_rows(name):
        assert_agrees(one)


def test_the_examples_a_titration_rests_on_are_among_those_compared():
    sources = {one.clause for one in propagated_rows()}
    for name in ("quam_a1", "quam_a2", "quam_a3", "gum_h1", "gum_h2"):
        assert sum(f"({name})" in clause for clause in sources) == 1
    assert simulated_names() == ["jcgm101_9_2_4", "jcgm101_9_3", "jcgm101_9_4_r09_x010", "jcgm101_9_4_r09_x050",
                                 "jcgm101_9_4_x000", "jcgm101_9_4_x050"]


def test_every_printed_figure_is_compared_or_set_aside_with_its_reason():
    for example, printed in every_printed():
        kind = printed["kind"]
        places = (other_basis(example.name, printed), kind in SIMULATED, kind in BY_HAND, kind in SET_ASIDE,
                  not other_basis(example.name, printed) and figure(example, printed["quantity"], kind) is not None)
        assert sum(places) == 1, (example.name, printed)


def test_a_figure_that_rests_on_another_basis_is_not_ours():
    for example, printed in every_printed():
        if other_basis(example.name, printed) and printed["verdict"] == "differs":
            ours = figure(example, printed["quantity"], printed["kind"])
            assert not row(example, printed, ours).agrees


@pytest.mark.parametrize("name", names_of_examples())
def test_the_batch_evaluator_agrees_with_the_law_of_propagation(name):
    example = worked_example(name)
    for quantity in example.equations:
        model = example.model(quantity)
        batch = evaluate_batch(model.equation, batch_inputs(model), 3)
        expected = example.estimate(quantity)
        assert batch.values == pytest.approx([expected.value] * 3, rel=1e-12, abs=1e-300)
        assert batch.standard_uncertainty == pytest.approx([expected.standard_uncertainty] * 3, rel=1e-12)


@pytest.mark.parametrize("name", names_of_examples())
def test_a_half_width_becomes_the_standard_uncertainty_its_source_gives(name):
    for one in worked_example(name).record["input"]:
        if one["given"] != "exact":
            ours = worked_example(name).inputs[one["name"]].standard_uncertainty
            assert ours == pytest.approx(float(one["standard_uncertainty"]), rel=1e-12)


def test_an_expression_beyond_plain_arithmetic_is_refused():
    for text in ("__import__('os')", "x.real", "[1]", "f(x)", "x if x else 1"):
        with pytest.raises(ValueError, match="not"):
            calculate(text, {"x": 1.0}, None)
