"""A measurement model, written once: arithmetic on named inputs, open to four evaluators.

An *equation* is a function ``equation(x, m)``. ``x`` maps input names to numbers, ``m`` supplies ``exp``, ``log10``,
``sqrt``, ``second_order`` and ``step``. What the numbers are, the equation does not know: uncertain numbers (``gum``),
arrays of trials (``monte_carlo``), arrays of results (``batch``) or written figures (``working``). So it may neither
branch on a measured value nor compare one, nor take its absolute value.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from assaywright.metrology.estimate import Estimate


class Means(Protocol):
    """What an equation may use beside plain arithmetic."""

    def exp(self, value: Any) -> Any:
        """Return e to the power of a dimensionless value."""

    def log10(self, value: Any) -> Any:
        """Return the decimal logarithm of a dimensionless value."""

    def sqrt(self, value: Any) -> Any:
        """Return the square root."""

    def second_order(self, factor: Any) -> Any:
        """Return the factor by which a function's mean over an input's distribution exceeds it at the input's mean.

        Of a simulation it is one: what is drawn brings it about.

        Source: JCGM 100:2008, 5.1.2, note: terms of higher order where the function is not linear.
        """

    def step(self, symbol: str, label: str, value: Any, unit: str, source: str = "") -> Any:
        """Name an intermediate quantity, so that the working has a line for it, and return it.

        Arguments:
            symbol: the letter it goes by in the working, unique within the equation ("V_1").
            label: the quantity in words.
            value: the expression.
            unit: its unit.
            source: clause or table of the law, where the line applies one.
        """


Equation = Callable[[Mapping[str, Any], Means], Any]


@dataclass(frozen=True, slots=True)
class ModelInput:
    """One named input of a model.

    Fields:
        symbol: the letter it goes by in the working ("R_f,1").
        label: the quantity in words.
        estimate: value, unit and contributions.
        text: how the number is shown in the working; the number as typed where a person typed it.
        source: certificate, table or worksheet field it was taken from.
    """

    symbol: str
    label: str
    estimate: Estimate
    text: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Model:
    """An equation with its inputs.

    Fields:
        equation: see the module's own text.
        inputs: name to input; the order is the order of the working's list of inputs.
        unit: unit of the result.
        symbol, label: what the result is called.
    """

    equation: Equation
    inputs: Mapping[str, ModelInput]
    unit: str
    symbol: str = "y"
    label: str = "result"


class PlainMeans:
    """Evaluate with plain numbers; keep every step's value under its symbol."""

    def __init__(self) -> None:
        self.steps: dict[str, float] = {}

    def exp(self, value: float) -> float:
        """Return e to the power of a dimensionless value."""
        return math.exp(value)

    def log10(self, value: float) -> float:
        """Return the decimal logarithm of a dimensionless value."""
        return math.log10(value)

    def sqrt(self, value: float) -> float:
        """Return the square root."""
        return math.sqrt(value)

    def second_order(self, factor: float) -> float:
        """Return the factor as it is."""
        return factor

    def step(self, symbol: str, label: str, value: float, unit: str, source: str = "") -> float:
        """Keep the value under its symbol and return it."""
        self.steps[symbol] = value
        return value


def evaluate_plain(model: Model) -> tuple[float, dict[str, float]]:
    """Return the result's value and every step's value, without uncertainty.

    Returns: value [model.unit] and a mapping from step symbol to value [unit of that step].
    """
    means = PlainMeans()
    value = model.equation({name: given.estimate.value for name, given in model.inputs.items()}, means)
    return float(value), means.steps
