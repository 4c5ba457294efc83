"""How a burette is read and drained, how large a drop is, about how long a step takes and what a flask weighs."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import by_key, citation, number


@dataclass(frozen=True, slots=True)
class Practice:
    """A figure of bench practice.

    Fields:
        low, value, high: as stated, each none where the source states none [unit].
        unit: of the three.
        source: who says so.
        status: "read" or "recalled".
    """

    low: float | None
    value: float | None
    high: float | None
    unit: str
    source: str
    status: str


@cache
def burette_practice(key: str) -> Practice:
    """Return a figure of how a burette is used.

    Raises:
        Refusal: none of that name is held.

    Example:
        >>> burette_practice("drop").value
        0.05
    """
    rows = by_key("burette_practice")
    if key not in rows:
        raise Refusal(f"no practice '{key}' of the burette is held", where="reference",
                      remedy=f"use one of {', '.join(rows)}")
    row = rows[key]
    return Practice(number(row["low"]), number(row["value"]), number(row["high"]), row["unit"], citation(row),
                    row["status"])


@cache
def bench_minutes(step: str) -> float:
    """Return about how long a step at the bench takes [min]: common practice, no source.

    Raises:
        Refusal: no such step is held.

    Example:
        >>> bench_minutes("titrate")
        7.0
    """
    rows = by_key("bench_minutes")
    if step not in rows:
        raise Refusal(f"no time of the step '{step}' is held", where="reference",
                      remedy=f"use one of {', '.join(rows)}")
    return float(rows[step]["value"])


@cache
def flask_mass_g(nominal_mL: float) -> float:
    """Return about what an empty volumetric flask of glass weighs with its stopper [g]: common practice, no source.

    Between two sizes along a straight line; below the smallest and above the largest in proportion to the volume.

    Arguments:
        nominal_mL: its nominal volume [mL].

    Example:
        >>> flask_mass_g(250.0)
        90.0
    """
    rows = sorted((float(key), float(row["value"])) for key, row in by_key("flask_masses").items())
    sizes, masses = zip(*rows, strict=True)
    within: float = min(max(nominal_mL, sizes[0]), sizes[-1])
    return float(np.interp(within, sizes, masses)) * nominal_mL / within
