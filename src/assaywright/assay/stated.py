"""A stated quantity becomes an estimate: value and uncertainty as its certificate, or a person, gives them."""

import math

from assaywright.metrology.estimate import Estimate, influence
from assaywright.metrology.quantity import Quantity

UNSTATED = ", no uncertainty stated"


def unstated(stated: Quantity) -> str:
    """Return what is said of a stated quantity that counts as exact because it states no uncertainty; else nothing."""
    return "" if stated.uncertainty else UNSTATED


def stated_estimate(
    key: str, stated: Quantity, unit: str, label: str, *, scale: float = 1.0, name: str = ""
) -> Estimate:
    """Return the estimate of a stated quantity, one influence under its permanent key.

    Without a stated uncertainty the value counts as exact.

    Arguments:
        unit: to convert to first.
        scale: exact factor on value and uncertainty.
        name: unit of the estimate, when ``scale`` makes it another.

    Source: JCGM 100:2008, 4.3.3 and 4.3.7.
    """
    uncertainty = stated.uncertainty
    return influence(
        key,
        stated.to(unit) * scale,
        stated.uncertainty_in(unit) * scale,
        name or unit,
        degrees_of_freedom=uncertainty.degrees_of_freedom if uncertainty else math.inf,
        distribution=uncertainty.distribution if uncertainty else "normal",
        label=label,
    )
