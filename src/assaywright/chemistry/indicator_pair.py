"""How much of a titration error cancels against that of the standardisation of its titrant."""

import math
from dataclasses import dataclass

from assaywright.chemistry.indicator import VisualEndpoint


@dataclass(frozen=True, slots=True)
class Cancellation:
    """The titration errors of an assay and of the standardisation of its titrant, set against one another.

    Fields:
        assay_percent, standardisation_percent: titration error of each, as a share of its own equivalence volume [%].
        net_percent: what is left in the content found [%].
        standard_uncertainty_percent: of what is left [%].
        without_percent: what the assay's own error and uncertainty would be with a titrant known otherwise [%].
        standardisation_uncertainty_percent: standard uncertainty of the standardisation's own endpoint [%].
        shared: whether indicator and direction are the same, so that the tint is the same too.
        cancelled_percent: how much of the assay's error is gone; negative where the two add up [%].
        reversed: whether the solution standardised stood in the flask of the standardisation.
        inverse: whether what is sought was in the burette of the first titration, so that a titre too great finds it
            too weak.
        indicators: of the first titration and of the standardisation.
    """

    assay_percent: float
    standardisation_percent: float
    net_percent: float
    standard_uncertainty_percent: float
    without_percent: tuple[float, float]
    standardisation_uncertainty_percent: float
    shared: bool
    cancelled_percent: float
    reversed: bool = False
    inverse: bool = False
    indicators: tuple[str, str] = ("", "")

    @property
    def adds_up(self) -> bool:
        """Whether the two errors go the same way in what is found."""
        return (self.assay_percent * self.standardisation_percent > 0) == (self.inverse != self.reversed)

    @property
    def is_less_certain(self) -> bool:
        """Whether the standardisation's endpoint is so much less sharp that it leaves more doubt than it takes away."""
        return self.standard_uncertainty_percent > self.without_percent[1]


def cancellation(
    assay: VisualEndpoint, standardisation: VisualEndpoint, *, in_flask: bool = False, inverse: bool = False
) -> Cancellation:
    """Return how much of an assay's titration error is undone by the standardisation of its titrant.

    The content found goes with V_assay / V_standardisation, so to first order

        e = e_assay / V_assay - e_standardisation / V_standardisation

    The second error goes in with plus where the solution standardised stood in the flask, for a titre too great then
    finds it too strong. The first goes in with minus where the solution sought was in the burette itself, for its
    concentration goes with V_known c_known / V_sought: without the other, both are then subtracted.

    Likewise for the tint that is taken for the end, where both titrations show the same change of the same
    indicator; how well the tint is met each time does not cancel.

    Arguments:
        assay: endpoint of the sample with the titrant.
        standardisation: endpoint of the standardisation of the same titrant.
        in_flask: whether the titrant stood in the flask there, and another standard solution in the burette.
        inverse: whether what the first titration seeks was in its burette.

    Source: first order of the ratio of two titres; shared influences as in JCGM 100:2008, 5.2.
    """
    first, second = assay.titration_error_percent, standardisation.titration_error_percent
    shared = assay.indicator.name == standardisation.indicator.name and assay.colours == standardisation.colours
    tints = [100 * one.tint_mL / one.equivalence_mL for one in (assay, standardisation)]
    readings = [100 * one.observer_mL / one.equivalence_mL for one in (assay, standardisation)]
    own, other = -1 if inverse else 1, 1 if in_flask else -1
    tint = abs(own * tints[0] + other * tints[1]) if shared else math.hypot(*tints)
    net = own * first + other * second
    return Cancellation(
        first, second, net, math.hypot(tint, *readings), (first, math.hypot(tints[0], readings[0])),
        math.hypot(tints[1], readings[1]), shared,
        100 * (1 - abs(net) / abs(first)) if first else 0.0,
        in_flask, inverse, (assay.indicator.name, standardisation.indicator.name),
    )
