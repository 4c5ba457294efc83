"""Evaluate a model for many results at once: linear propagation on arrays, for plans and whole histories.

The sensitivity to each input comes from a complex step of the same equation, exact to rounding; no difference is taken,
so the step may be as small as one likes (Squire and Trapp, SIAM Review 40 (1998) 110).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Equation, Model
from assaywright.metrology.monte_carlo import ArrayMeans

Array = npt.NDArray[np.float64]
_STEP = 1e-30
_BLOCK = 4096


@dataclass(frozen=True, slots=True)
class BatchInput:
    """One named input for N results.

    Fields:
        values: shape (N,), or one number that serves all [unit of the input].
        contributions: each an influence with its signed amount, shape (N,) or one number [unit of the input].
    """

    values: Array | float
    contributions: tuple[tuple[Contribution, Array | float], ...] = ()


@dataclass(frozen=True, slots=True)
class BatchResult:
    """N results.

    Fields:
        values: shape (N,) [unit of the result].
        contributions: influence key to signed contribution, shape (N,) [unit of the result].
        standard_uncertainty: shape (N,) [unit of the result].
        degrees_of_freedom: effective, shape (N,).
        influences: influence key to its description.
    """

    values: Array
    contributions: dict[str, Array]
    standard_uncertainty: Array
    degrees_of_freedom: Array
    influences: dict[str, Contribution]

    def estimate(self, index: int, unit: str) -> Estimate:
        """Return one of the results as an estimate."""
        parts = tuple(
            Contribution(
                key, float(self.contributions[key][index]), known.degrees_of_freedom, known.distribution, known.label
            )
            for key, known in self.influences.items()
        )
        return Estimate(float(self.values[index]), unit, parts)


def evaluate_batch(equation: Equation, inputs: Mapping[str, BatchInput], count: int) -> BatchResult:
    """Return N results with their contributions by influence.

    An influence named by the same key in several inputs is shared by them, result by result.

    Arguments:
        equation: as for the other evaluators; it must be analytic, which plain arithmetic is.
        inputs: name to input.
        count: N.

    Source: JCGM 100:2008, 5.1.2 and G.4.1.
    """
    values = np.empty(count)
    contributions: dict[str, Array] = {}
    influences: dict[str, Contribution] = {}
    for given in inputs.values():
        for part, _ in given.contributions:
            influences.setdefault(part.key, part)
    for key in influences:
        contributions[key] = np.zeros(count)
    for start in range(0, count, _BLOCK):
        _evaluate_block(equation, inputs, slice(start, min(start + _BLOCK, count)), values, contributions)
    variance = np.zeros(count)
    denominator = np.zeros(count)
    for key, amounts in contributions.items():
        squares = amounts * amounts
        variance += squares
        if not math.isinf(influences[key].degrees_of_freedom):
            denominator += squares * squares / influences[key].degrees_of_freedom
    with np.errstate(divide="ignore", invalid="ignore"):
        freedom = np.where(denominator > 0, variance**2 / denominator, np.inf)
    return BatchResult(values, contributions, np.sqrt(variance), freedom, influences)


def _evaluate_block(
    equation: Equation, inputs: Mapping[str, BatchInput], block: slice, values: Array, contributions: dict[str, Array]
) -> None:
    """Fill one block of the results: values, then one complex step per uncertain input."""
    means = ArrayMeans()
    here: dict[str, Any] = {name: _part(given.values, block) for name, given in inputs.items()}
    values[block] = equation(here, means)
    for name, given in inputs.items():
        if not given.contributions:
            continue
        stepped = equation({**here, name: here[name] + 1j * _STEP}, means)
        sensitivity = np.imag(stepped) / _STEP
        for part, amount in given.contributions:
            contributions[part.key][block] += sensitivity * _part(amount, block)


def _part(values: Array | float, block: slice) -> Any:
    return values[block] if isinstance(values, np.ndarray) else values


def batch_inputs(model: Model) -> dict[str, BatchInput]:
    """Return a model's inputs in the form :func:`evaluate_batch` takes, every number serving all results."""
    return {
        name: BatchInput(given.estimate.value, tuple((part, part.amount) for part in given.estimate.contributions))
        for name, given in model.inputs.items()
    }
