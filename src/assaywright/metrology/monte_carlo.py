"""Evaluate a model by simulation: propagation of distributions through the very same equation (JCGM 101:2008).

Trials run in chunks small enough for the processor's cache, so memory grows only by the results themselves
(8 bytes a trial). Each chunk has its own generator, spawned from the seed, so the outcome depends on the seed alone.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Model
from assaywright.metrology.refusal import Refusal

CHUNK = 8192
MOST_TRIALS = 10_000_000


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

    def second_order(self, factor: Any) -> Any:
        """Return the factor as it is."""
        return factor

    def step(self, symbol: str, label: str, value: Any, unit: str, source: str = "") -> Any:
        """Return the value as it is."""
        return value


class DrawnMeans(ArrayMeans):
    """Functions of arrays of draws: they bring about themselves what a linear propagation has to be told."""

    def second_order(self, factor: Any) -> Any:
        """Return one."""
        return 1.0


@dataclass(frozen=True, slots=True)
class RawDraw:
    """How an influence is drawn: a raw number r, of which scale r + offset has mean zero and standard deviation one.

    Fields:
        fill: fills an array with raw numbers.
        scale, offset: what turns them into units of the standard uncertainty. For a t-distribution, whose standard
            deviation is larger than the standard uncertainty by sqrt(nu / (nu - 2)), they are one and zero.
    """

    fill: Callable[[np.random.Generator, npt.NDArray[np.float64]], None]
    scale: float
    offset: float


def _fill_uniform(generator: np.random.Generator, out: npt.NDArray[np.float64]) -> None:
    generator.random(out=out)


def _fill_sum_of_two(generator: np.random.Generator, out: npt.NDArray[np.float64]) -> None:
    generator.random(out=out)
    out += generator.random(out.size)


def _fill_sine(generator: np.random.Generator, out: npt.NDArray[np.float64]) -> None:
    generator.random(out=out)
    out *= 2.0 * math.pi
    np.sin(out, out=out)


def _fill_normal(generator: np.random.Generator, out: npt.NDArray[np.float64]) -> None:
    generator.standard_normal(out=out)


_BOUNDED = {
    "rectangular": RawDraw(_fill_uniform, 2.0 * math.sqrt(3.0), -math.sqrt(3.0)),
    "triangular": RawDraw(_fill_sum_of_two, math.sqrt(6.0), -math.sqrt(6.0)),
    "arcsine": RawDraw(_fill_sine, math.sqrt(2.0), 0.0),
}


def raw_draw(part: Contribution) -> RawDraw:
    """Return how an influence is drawn.

    A normal influence with finite degrees of freedom is drawn from the t-distribution.

    Source: JCGM 101:2008, 6.4.2 (rectangular), 6.4.5 (triangular), 6.4.6 (arcsine), 6.4.7 (normal), 6.4.9 (t).
    """
    if part.distribution in _BOUNDED:
        return _BOUNDED[part.distribution]
    if math.isinf(part.degrees_of_freedom):
        return RawDraw(_fill_normal, 1.0, 0.0)
    freedom = part.degrees_of_freedom

    def fill_t(generator: np.random.Generator, out: npt.NDArray[np.float64]) -> None:
        out[:] = generator.standard_t(freedom, out.size)

    return RawDraw(fill_t, 1.0, 0.0)


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
    return run_trials_together([model], trials, seed)[0]


def run_trials_together(models: Sequence[Model], trials: int, seed: int) -> list[npt.NDArray[np.float64]]:
    """Return the values of several models in the same trials, each of shape (trials,) [unit of its result].

    An influence that several models share is drawn once for all of them; the influences of one model alone are
    independent of those of the others.

    Raises:
        Refusal: fewer than two trials, or more than :data:`MOST_TRIALS`.

    Source: JCGM 102:2011, clause 7, propagation for any number of output quantities (from memory).
    """
    if not 2 <= trials <= MOST_TRIALS:
        raise Refusal(f"{trials} Monte Carlo trials", remedy=f"ask for 2 to {MOST_TRIALS}")
    parts: dict[str, Contribution] = {}
    for model in models:
        for given in model.inputs.values():
            for part in given.estimate.contributions:
                parts.setdefault(part.key, part)
    draws = {key: raw_draw(part) for key, part in parts.items()}
    raw = {key: np.empty(CHUNK) for key in parts}
    recipes = [[_Recipe.of(name, given.estimate, draws) for name, given in model.inputs.items()] for model in models]
    scratch = np.empty(CHUNK)
    results = [np.empty(trials) for _ in models]
    sequence = np.random.SeedSequence(seed)
    means = DrawnMeans()
    for start in range(0, trials, CHUNK):
        size = min(CHUNK, trials - start)
        generator = np.random.Generator(np.random.SFC64(sequence.spawn(1)[0]))
        for key, draw in draws.items():
            draw.fill(generator, raw[key][:size])
        for model, own, found in zip(models, recipes, results, strict=True):
            values = {recipe.name: recipe.values(raw, scratch, size) for recipe in own}
            found[start : start + size] = model.equation(values, means)
    return results


@dataclass(frozen=True, slots=True)
class _Recipe:
    """How an input's trials follow from the raw draws: base + sum(factor r)."""

    name: str
    base: float
    factors: tuple[tuple[str, float], ...]

    @classmethod
    def of(cls, name: str, estimate: Estimate, draws: Mapping[str, RawDraw]) -> "_Recipe":
        """Fold scale and offset of each raw draw into the input's own factors."""
        base = estimate.value + math.fsum(part.amount * draws[part.key].offset for part in estimate.contributions)
        return cls(name, base, tuple((p.key, p.amount * draws[p.key].scale) for p in estimate.contributions))

    def values(self, raw: Mapping[str, npt.NDArray[np.float64]], scratch: npt.NDArray[np.float64], size: int) -> Any:
        """Return the input for one chunk: an array, or its one exact value."""
        if not self.factors:
            return self.base
        (key, factor), *others = self.factors
        value = raw[key][:size] * factor
        for key, factor in others:
            np.multiply(raw[key][:size], factor, out=scratch[:size])
            value += scratch[:size]
        if self.base != 0.0:
            value += self.base
        return value


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
