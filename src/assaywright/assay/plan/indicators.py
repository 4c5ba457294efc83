"""Which other indicators the computed curve finds good enough, and a method with one of them in place of its own."""

import math
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from assaywright.assay.method import Endpoint, Method
from assaywright.assay.plan.carbonate import with_carbonate
from assaywright.assay.titrated import TITRE_ML, titrated_system
from assaywright.chemistry.curve import titration_curve
from assaywright.chemistry.indicator import rank_indicators
from assaywright.chemistry.system import prepared
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.quantity import Quantity, StatedUncertainty
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.reference.practice import burette_practice

MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Suitable:
    """An indicator that the curve finds good enough.

    Fields:
        name: of it.
        colours: before, at and after the endpoint, in words.
        error_mL: titration error [mL].
        uncertainty_mL: its standard uncertainty from the tint taken for the end and the last half drop [mL].
    """

    name: str
    colours: tuple[str, str, str]
    error_mL: float
    uncertainty_mL: float


@lru_cache(maxsize=64)
def suitable_indicators(method: Method, strength_mol_per_L: float, carbonate: float = 0.0,
                        titre_mL: float = TITRE_ML) -> tuple[Suitable, ...]:
    """Return indicators beside the method's own whose titration error is good enough, the best first, three at most.

    Their error is computed, and nobody has tried them in this method. How well one meets the same tint from one
    titration to the next is part of the repeatability and is not counted again.

    Arguments:
        method: whose curve is followed.
        strength_mol_per_L: of the titrant [mol/L].
        carbonate: share of a hydroxide's alkali that is carbonate, in equivalents [1]: near neutral most of its second
            proton is still to be taken, and an indicator that turns there stops short.
        titre_mL: expected; with carbonate the error grows with what is titrated, and is told for this titre [mL].

    Returns: none for a method without a visual endpoint, or one whose curve is not computed
    """
    if method.endpoint.kind != "visual":
        return ()
    try:
        system = with_carbonate(titrated_system(method, read_quantity(f"{strength_mol_per_L:.6g} mol/L")), carbonate)
        preparation = prepared(system)
        ranking = rank_indicators(titration_curve(preparation.titration), preparation.flask)[-1]
        # A trace of carbonate has no step of its own, and the last step seen then stands before the total alkali.
        short = ranking.equivalence_mL - TITRE_ML if carbonate else 0.0
    except Refusal:
        return ()
    drop = standard_uncertainty_of_half_width(burette_practice("half drop").value or 0.0)
    others = [one for one in ranking.good_enough if one.indicator.name != method.endpoint.indicator]
    larger = titre_mL / TITRE_ML if carbonate else 1.0
    return tuple(Suitable(one.indicator.name, one.colours, larger * (one.titration_error_mL + short),
                          math.hypot(larger * one.tint_mL, drop)) for one in others[:MOST_NAMED])


def with_indicator(method: Method, other: Suitable) -> Method:
    """Return the method with another indicator, whose computed error stays in the uncertainty and is not applied."""
    error, spread = (Decimal(f"{value:.6f}") for value in (other.error_mL, other.uncertainty_mL))
    stated = Quantity(error, "mL", f"{error} mL ± {spread} mL, standard", StatedUncertainty(spread, "standard"))
    endpoint = Endpoint(
        method.endpoint.kind, other.name, " to ".join((other.colours[0], other.colours[1])), stated,
        "in the uncertainty", f"{other.colours[1]} of {other.name}",
        "computed from the curve of this titration, with the last half drop; not tried in this method")
    return replace(method, endpoint=endpoint)
