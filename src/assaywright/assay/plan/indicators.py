"""Which other indicators the computed curve finds good enough for a method and a strength of titrant."""

from functools import lru_cache

from assaywright.assay.method import Method
from assaywright.assay.titrated import titrated_system
from assaywright.chemistry.curve import titration_curve
from assaywright.chemistry.indicator import rank_indicators
from assaywright.chemistry.system import prepared
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity

MOST_NAMED = 3


@lru_cache(maxsize=64)
def other_indicators(method: Method, strength_mol_per_L: float) -> tuple[str, ...]:
    """Return indicators beside the method's own whose titration error is good enough, the best first, three at most.

    They are named, not planned with: their error is computed, and nobody has tried them in this method.

    Arguments:
        method: whose curve is followed.
        strength_mol_per_L: of the titrant [mol/L].

    Returns: names; empty for a method without a visual endpoint, or one whose curve is not computed
    """
    if method.endpoint.kind != "visual":
        return ()
    try:
        system = titrated_system(method, read_quantity(f"{strength_mol_per_L:.6g} mol/L"))
        preparation = prepared(system)
        ranking = rank_indicators(titration_curve(preparation.titration), preparation.flask)[-1]
    except Refusal:
        return ()
    names = [one.indicator.name for one in ranking.good_enough if one.indicator.name != method.endpoint.indicator]
    return tuple(names[:MOST_NAMED])
