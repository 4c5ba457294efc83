"""Weighing: from balance readings to the mass of a portion."""

import math
from typing import Any

from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.model import Means

LEAST_LOAD_G = 2.0**-10  # about a milligram: an empty pan and anything lighter count as one place on the scale


def mass_by_difference(
    gross: Any, gross_error: Any, tare: Any, tare_error: Any, buoyancy: Any, m: Means, tag: str = ""
) -> Any:
    """Return the mass of a portion weighed by difference.

    m = [(W_g + dL_g) - (W_t + dL_t)] b

    The systematic error of the balance enters twice, once for each load. On a tared balance the tare reads zero.

    Arguments:
        gross, tare: balance readings [g].
        gross_error, tare_error: what linearity leaves open at each load, estimate 0 [g].
        buoyancy: factor of :func:`buoyancy_factor`, or 1 where the content refers to the apparent mass in air.
        tag: set behind the symbol m in the working.

    Returns: [g]

    Source: EURACHEM/CITAC Guide CG 4, A2.4 (linearity counted twice); OIML D 28 for b.
    """
    return m.step(
        f"m{tag}", "mass of the portion", ((gross + gross_error) - (tare + tare_error)) * buoyancy, "g", "OIML D 28"
    )


def linearity_error(key: str, label: str, load_g: float, standard_uncertainty_g: float, distribution: str) -> Estimate:
    """Return what a balance's linearity leaves open at one load, estimate zero.

    Loads that lie close together share their error, loads more than a factor of two apart do not: the error hangs on
    nodes at 1 g, 2 g, 4 g ... with weights whose squares add up to one. The two loads of one difference have different
    keys, so that nothing of it cancels between them, and the portions of one worksheet share both.

    Arguments:
        key: permanent key of the balance's calibration and of which load it is, without the load.
        load_g: balance reading.

    Returns: [g]

    Source: a model of ours; linearity as a bound on each reading, counted twice, by EURACHEM/CITAC Guide CG 4, A2.4.
    """
    place = math.log2(max(abs(load_g), LEAST_LOAD_G))
    lower = math.floor(place)
    fraction = place - lower
    parts = tuple(
        Contribution(
            f"{key}, {_near(node)}", weight * standard_uncertainty_g, math.inf, distribution, f"{label}, {_near(node)}"
        )
        for node, weight in ((lower, math.sqrt(1 - fraction)), (lower + 1, math.sqrt(fraction)))
        if weight > 0 and standard_uncertainty_g > 0
    )
    return Estimate(0.0, "g", parts)


def _near(node: int) -> str:
    """Return where on the scale a node lies, in words."""
    return f"near {2.0**node:g} g" if 2.0**node > LEAST_LOAD_G else "near zero"
