"""A published uncertainty budget read from its TOML file and built as a model of ours.

The file's expressions are plain arithmetic. ``sqrt``, ``exp`` and ``log10`` go to the evaluator at hand, as in any
model of ours; ``sin`` and ``cos``, which no titration needs and the evaluators lack, go to the library of the number at
hand.
"""

import ast
import math
import operator
import tomllib
from collections.abc import Mapping
from functools import cache
from typing import Any

import GTC
import numpy as np

from assaywright.metrology.correlation import correlated
from assaywright.metrology.distributions import standard_uncertainty_of_expanded, standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, exact, influence
from assaywright.metrology.gum import Propagation, evaluate_gum
from assaywright.metrology.model import Means, Model, ModelInput
from tests.published.rows import REFERENCE

FOLDER = REFERENCE / "metrology" / "uncertainty_examples"
OPERATORS: dict[type[ast.AST], Any] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
    ast.Pow: operator.pow, ast.USub: operator.neg, ast.UAdd: operator.pos,
}
OF_THE_MEANS = ("exp", "log10", "sqrt")
OF_THE_NUMBER = ("cos", "log", "sin", "tan")


class WorkedExample:
    """One published example: its inputs, its equations in order, and the values printed for it."""

    def __init__(self, name: str) -> None:
        with (FOLDER / f"{name}.toml").open("rb") as file:
            self.record = tomllib.load(file)
        self.name = name
        self.inputs = input_estimates(self.record)
        self.equations = {one["result"]: one["expression"] for one in self.record.get("equation", [])}

    def propagation(self, quantity: str, instead: str = "") -> Propagation:
        """Propagate to a quantity; ``instead`` names an intermediate quantity taken as one input of its own."""
        return evaluate_gum(self.model(quantity, instead))

    def model(self, quantity: str, instead: str = "") -> Model:
        """Return the model of a quantity of the example."""
        given = dict(self.inputs)
        if instead:
            own = self.estimate(instead)
            given[instead] = influence(instead, own.value, own.standard_uncertainty, own.unit)

        def equation(x: Mapping[str, Any], m: Means) -> Any:
            known = dict(x)
            for result, expression in self.equations.items():
                if result not in known:
                    known[result] = calculate(expression, known, m)
            return known[quantity]

        inputs = {name: ModelInput(name, name, estimate) for name, estimate in given.items()}
        return Model(equation, inputs, "as printed", quantity, quantity)

    def estimate(self, quantity: str) -> Estimate:
        """Return the estimate of an input or of a quantity calculated from them."""
        return self.inputs[quantity] if quantity in self.inputs else self.propagation(quantity).estimate

    def contribution(self, quantity: str, source: str) -> float:
        """Return |c| u of an input, or of an intermediate quantity whose own inputs add in quadrature."""
        propagation = self.propagation(quantity, "" if source in self.inputs else source)
        return abs(propagation.sensitivities[source]) * self.estimate(source).standard_uncertainty


@cache
def worked_example(name: str) -> WorkedExample:
    """Return the named example, read once."""
    return WorkedExample(name)


def names_of_examples() -> list[str]:
    """Return the names of all examples."""
    return sorted(path.stem for path in FOLDER.glob("*.toml"))


def input_estimates(record: dict[str, Any]) -> dict[str, Estimate]:
    """Return the inputs of an example; those with declared correlations share influences."""
    inputs = {one["name"]: one_input(one) for one in record["input"]}
    pairs = {(one["a"], one["b"]): one["r"] for one in record.get("correlation", [])}
    names = list(dict.fromkeys(name for pair in pairs for name in pair))
    if names:
        matrix = [[1.0 if a == b else pairs.get((a, b), pairs.get((b, a), 0.0)) for b in names] for a in names]
        parts = [inputs[name] for name in names]
        together = correlated([one.value for one in parts], [one.standard_uncertainty for one in parts],
                              [one.unit for one in parts], matrix, names, parts[0].contributions[0].degrees_of_freedom)
        inputs.update(zip(names, together, strict=True))
    return inputs


def one_input(one: dict[str, Any]) -> Estimate:
    """Return one input from what the example states of it."""
    if one["given"] == "exact":
        return exact(float(one["value"]), one["unit"])
    if one["given"] == "half width":
        u = standard_uncertainty_of_half_width(one["half_width"], one["distribution"])
    elif one["given"] == "expanded":
        u = standard_uncertainty_of_expanded(one["expanded_uncertainty"], one["coverage_factor"])
    else:
        u = float(one["standard_uncertainty"])
    return influence(one["name"], float(one["value"]), u, one["unit"],
                     degrees_of_freedom=float(one.get("dof", math.inf)), distribution=one["distribution"])


def calculate(expression: str, known: Mapping[str, Any], means: Means) -> Any:
    """Return the value of a plain arithmetic expression."""
    return _value(ast.parse(expression, mode="eval").body, known, means)


def _value(node: ast.expr, known: Mapping[str, Any], means: Means) -> Any:
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return float(node.value)
    if isinstance(node, ast.Name):
        return math.pi if node.id == "pi" else known[node.id]
    if isinstance(node, ast.UnaryOp):
        return OPERATORS[type(node.op)](_value(node.operand, known, means))
    if isinstance(node, ast.BinOp):
        return OPERATORS[type(node.op)](_value(node.left, known, means), _value(node.right, known, means))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and len(node.args) == 1:
        return _function(node.func.id, _value(node.args[0], known, means), means)
    raise ValueError(f"'{ast.unparse(node)}' is not plain arithmetic")


def _function(name: str, value: Any, means: Means) -> Any:
    if name in OF_THE_MEANS:
        return getattr(means, name)(value)
    if name not in OF_THE_NUMBER:
        raise ValueError(f"the function '{name}' is not known")
    return getattr(GTC if hasattr(value, "u") else np, name)(value)
