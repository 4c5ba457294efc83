"""The second road: the simulated coverage interval beside the one by the law of propagation."""

import math

from assaywright.assay.corrections.delivered_volume import whole_burette
from assaywright.assay.result import MonteCarloComparison, Result
from assaywright.assay.wording import written_figures
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.model import Model
from assaywright.metrology.monte_carlo import numerical_tolerance, simulate


def compare(model: Model, result: Result, trials: int, seed: int) -> MonteCarloComparison:
    """Return how far apart the two coverage intervals end, and why where they must differ.

    They agree when both ends differ by no more than the numerical tolerance of the standard uncertainty stated to two
    significant digits, with twice the simulation's own standard error allowed for.

    Source: JCGM 101:2008, 8.1.
    """
    estimate = result.estimate
    probability = result.coverage_probability or 0.95
    simulation = simulate(model, trials, seed, probability)
    tolerance = numerical_tolerance(estimate.standard_uncertainty)
    expanded = result.expanded_uncertainty
    low = abs(estimate.value - expanded - simulation.interval[0])
    high = abs(estimate.value + expanded - simulation.interval[1])
    error = end_error(estimate.standard_uncertainty, trials, probability)
    agrees = max(low, high) <= tolerance + 2 * error
    return MonteCarloComparison(
        trials,
        seed,
        simulation.mean,
        simulation.standard_uncertainty,
        simulation.interval,
        tolerance,
        error,
        (low, high),
        agrees,
        "" if agrees else _reason(result, simulation.interval),
    )


def end_error(standard_uncertainty: float, trials: int, probability: float) -> float:
    """Return the standard error of an end of a simulated coverage interval, for a near-normal distribution.

    s = sqrt(q (1 - q) / M) / f(x_q) with q = (1 - p)/2, M trials and f the density at that quantile.

    Returns: [unit of the standard uncertainty]

    Source: large-sample standard error of a quantile, Kendall and Stuart, The Advanced Theory of Statistics, 10.11
        (from memory).
    """
    from statistics import NormalDist

    tail = (1 - probability) / 2
    density = NormalDist().pdf(NormalDist().inv_cdf(tail))
    return standard_uncertainty * math.sqrt(tail * (1 - tail) / trials) / density


def _reason(result: Result, interval: tuple[float, float]) -> str:
    """Return why the law of propagation and the simulation differ, in one clause."""
    estimate = result.estimate
    variance = estimate.variance
    low, high = (written_figures(end, 6) for end in interval)
    shown = f"the simulated interval is {low} to {high} {estimate.unit}"
    few = sum(p.amount**2 for p in estimate.contributions if p.degrees_of_freedom < 30)
    if few > 0.1 * variance:
        least = min(p.degrees_of_freedom for p in estimate.contributions if not math.isinf(p.degrees_of_freedom))
        return (
            f"{shown}; {100 * few / variance:.0f} % of the variance rests on few degrees of freedom (down to "
            f"{least:g}), which the Welch-Satterthwaite formula treats only approximately"
        )
    flat = max(_not_normal(estimate).values(), default=0.0)
    if flat > 0.3 * variance:
        return f"{shown}; one influence that is not normal makes {100 * flat / variance:.0f} % of the variance"
    return f"{shown}; the trials may be too few for this tolerance, or the model is not linear enough"


def _not_normal(estimate: Estimate) -> dict[str, float]:
    """Return the variance of each influence that is not normal, a burette's scale as one."""
    found: dict[str, float] = {}
    for part in estimate.contributions:
        if part.distribution != "normal":
            key = whole_burette(part.key)
            found[key] = found.get(key, 0.0) + part.amount**2
    return found
