"""Evaluate a model by simulation: propagation of distributions through the very same equation (JCGM 101:2008).

Trials run in chunks small enough for the processor's cache, so memory grows only by the results themselves
(8 bytes a trial). Each chunk has its own generator, spawned from the seed, so the outcome depends on the seed alone.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from assaywright.metrology.estimate import Contribution
from assaywright.metrology.model import Model
from assaywright.metrology.refusal import Refusal

CHUNK = 8192
MOST_TRIALS = 10_000_000
_ROOT3 = math.sqrt(3.0)
_ROOT6 = math.sqrt(6.0)
_ROOT2 = math.sqrt(2.0)


class ArrayMeans:
    """Functions of arrays; the steps need no record here."""

    def exp(self, value: Any) -> Any:
        """Return e to the power of a dimensionless value."""
        return np.exp(value)

    def log10(self, value: Any) -> Any:
        """Return the decimal logarithm of a dimensionless value."""
        return np.log10(value)

    def sqrt(self, value: Any) -> Any:
        """Return the square root."""
        return np.sqrt(value)

    def step(self, symbol: str, label: str, value: Any, unit: str, source: str = "") -> Any:
        """Return the value as it is."""
        return value


def draw_standardised(generator: np.random.Generator, part: Contribution, out: npt.NDArray[np.float64]) -> None:
    """Fill an array with draws of an influence in units of its own standard uncertainty, mean zero.

    A normal influence with finite degrees of freedom is drawn from the scaled and shifted t-distribution, whose
    standard deviation is larger than the standard uncertainty by sqrt(nu / (nu - 2)).

    Source: JCGM 101:2008, 6.4.2 (rectangular), 6.4.5 (triangular), 6.4.6 (arcsine), 6.4.7 (normal), 6.4.9 (t).
    """
    if part.distribution == "rectangular":
        generator.random(out=out)
        out -= 0.5
        out *= 2.0 * _ROOT3
    elif part.distribution == "triangular":
        generator.random(out=out)
        out -= generator.random(out.size)
        out *= _ROOT6
    elif part.distribution == "arcsine":
        generator.random(out=out)
        np.sin(out * (2.0 * math.pi), out=out)
        out *= _ROOT2
    elif math.isinf(part.degrees_of_freedom):
        generator.standard_normal(out=out)
    else:
        out[:] = generator.standard_t(part.degrees_of_freedom, out.size)


@dataclass(frozen=True, slots=True)
class Simulation:
    """The simulated distribution of a result.

    Fields:
        trials, seed: what was run.
        mean: [unit of the result]
        standard_uncertainty: standard deviation of the trials [unit of the result].
        interval: probabilistically symmetric coverage interval [unit of the result].
        shortest: shortest coverage interval [unit of the result].
        probability: coverage probability of both.
    """

    trials: int
    seed: int
    mean: float
    standard_uncertainty: float
    interval: tuple[float, float]
    shortest: tuple[float, float]
    probability: float


def run_trials(model: Model, trials: int, seed: int) -> npt.NDArray[np.float64]:
    """Return the model's value for each trial, unsorted, shape (trials,) [unit of the result].

    Raises:
        Refusal: fewer than two trials, or more than :data:`MOST_TRIALS`.
    """
    if not 2 <= trials <= MOST_TRIALS:
        raise Refusal(f"{trials} Monte Carlo trials", remedy=f"ask for 2 to {MOST_TRIALS}")
    parts: dict[str, Contribution] = {}
    for given in model.inputs.values():
        for part in given.estimate.contributions:
            parts.setdefault(part.key, part)
    results = np.empty(trials)
    draws = {key: np.empty(CHUNK) for key in parts}
    scratch = np.empty(CHUNK)
    means = ArrayMeans()
    sequence = np.random.SeedSequence(seed)
    for start in range(0, trials, CHUNK):
        size = min(CHUNK, trials - start)
        generator = np.random.Generator(np.random.SFC64(sequence.spawn(1)[0]))
        for key, part in parts.items():
            draw_standardised(generator, part, draws[key][:size])
        results[start : start + size] = model.equation(_values(model, draws, scratch, size), means)
    return results


def _values(
    model: Model, draws: dict[str, npt.NDArray[np.float64]], scratch: npt.NDArray[np.float64], size: int
) -> dict[str, Any]:
    """Return the inputs of one chunk: the estimate plus each influence's draw times its contribution."""
    values: dict[str, Any] = {}
    for name, given in model.inputs.items():
        estimate = given.estimate
        if not estimate.contributions:
            values[name] = estimate.value
            continue
        first, *others = estimate.contributions
        value = draws[first.key][:size] * first.amount
        value += estimate.value
        for part in others:
            np.multiply(draws[part.key][:size], part.amount, out=scratch[:size])
            value += scratch[:size]
        values[name] = value
    return values


def simulate(model: Model, trials: int = 1_000_000, seed: int = 0, probability: float = 0.95) -> Simulation:
    """Return the simulated distribution of the model's result.

    Arguments:
        trials: 2 to 10^7; JCGM 101 asks for about 10^4/(1 - p), 200,000 at 95 %.
        seed: fixes the outcome.
        probability: coverage probability, between 0 and 1.

    Raises:
        Refusal: an unfit number of trials, or a result that is not finite in some trial.

    Source: JCGM 101:2008, clause 7.
    """
    values = run_trials(model, trials, seed)
    mean = float(values.mean())
    if not math.isfinite(mean):
        raise Refusal(
            "the model gives no finite result in some Monte Carlo trials",
            remedy="look for an input whose uncertainty is as large as its value",
        )
    deviation = float(values.std(ddof=1))
    values.sort()
    covered = min(int(probability * trials + 0.5), trials - 1)
    symmetric = (trials - covered) // 2
    widths = values[covered:] - values[: trials - covered]
    least = int(widths.argmin())
    return Simulation(
        trials,
        seed,
        mean,
        deviation,
        (float(values[symmetric]), float(values[symmetric + covered])),
        (float(values[least]), float(values[least + covered])),
        probability,
    )


def numerical_tolerance(standard_uncertainty: float, digits: int = 2) -> float:
    """Return the numerical tolerance of a standard uncertainty with so many significant digits.

    u = c x 10^l with c an integer of that many digits; delta = 10^l / 2.

    Returns: [unit of the standard uncertainty]

    Source: JCGM 101:2008, 7.9.2.
    """
    exponent = math.floor(math.log10(standard_uncertainty))
    if round(standard_uncertainty / 10.0 ** (exponent - digits + 1)) >= 10**digits:
        exponent += 1
    return 0.5 * 10.0 ** (exponent - digits + 1)
