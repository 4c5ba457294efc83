"""How likely a content lies within its limits: the model simulated, each probability from a stated seed."""

import numpy as np

from assaywright.assay.adjust.result import Chances
from assaywright.assay.observations import Specification
from assaywright.metrology.model import Model
from assaywright.metrology.monte_carlo import run_trials


def bounds_of(specification: Specification) -> tuple[float, float]:
    """Return lower and upper limit, infinite where open [unit of the limits]."""
    lower, upper = specification.lower, specification.upper
    return (-np.inf if lower is None else float(lower.value), np.inf if upper is None else float(upper.value))


def chances(model: Model, specification: Specification, trials: int, seed: int) -> Chances:
    """Return how a content lies to its limits.

    Arguments:
        model: of the content.
        specification: its limits, in the unit of the model.
        trials, seed: of the simulation.

    Source: JCGM 101:2008, clause 7; JCGM 106:2012, 7.3 for the conformance probability.
    """
    values = run_trials(model, trials, seed)
    lower, upper = bounds_of(specification)
    below = float(np.mean(values < lower))
    above = float(np.mean(values > upper))
    return Chances(1.0 - below - above, below, above, trials, seed)


def share_beyond(model: Model, value: float, trials: int, seed: int, *, below: bool) -> float:
    """Return the probability that a content lies below a value, or above it [unit of the model]."""
    values = run_trials(model, trials, seed)
    return float(np.mean(values < value)) if below else float(np.mean(values > value))
