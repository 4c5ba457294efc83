"""What reading and drop leave of a titre so small that a relative repeatability says nothing of it."""

import math
from collections.abc import Sequence

from assaywright.assay.blanks import DROP_HALF_WIDTH_ML, READING_HALF_WIDTH_ML
from assaywright.assay.parts import Assembly
from assaywright.assay.terms import Scope, Term
from assaywright.metrology.model import PlainMeans

SMALL_ML = 1.0  # below it the pooled per cent, found at ordinary titres, is not believed: common practice, no source
STEP_ML = 1e-3
AS_A_VOLUME = 0.01  # how near to one a titre has to move with a reading to be read by it


def least_of_small_titre(assembly: Assembly, term: Term, titre: Term, titres: Sequence[float]) -> float:
    """Return the standard uncertainty that two readings and a drop leave in one determination [unit of the term].

    u = |dy/dV| sqrt((2 r² + d²)/3), with r half a division read and d half a drop

    Arguments:
        assembly: the worksheet in terms.
        term: one determination's value.
        titre: its volume of titrant [mL].
        titres: of the determinations that count [mL].

    Returns: zero for a titre of 1 mL or more, and for a titrant that is weighed

    Source: JCGM 100:2008, 4.3.7; the half widths are those of a titrated blank.
    """
    by_volume = all(one.delivery.fillings for one in assembly.worksheet.determinations)
    if not by_volume or not titres or sum(titres) / len(titres) >= SMALL_ML:
        return 0.0
    at = {name: given.estimate.value for name, given in assembly.inputs.items.items()}
    value, volume = _plain(term, at), _plain(titre, at)
    for name, number in at.items():
        moved = at | {name: number + STEP_ML}
        shift = (_plain(titre, moved) - volume) / STEP_ML
        if abs(abs(shift) - 1) < AS_A_VOLUME:
            slope = (_plain(term, moved) - value) / (shift * STEP_ML)
            return abs(slope) * math.sqrt((2 * READING_HALF_WIDTH_ML**2 + DROP_HALF_WIDTH_ML**2) / 3.0)
    return 0.0


def _plain(term: Term, at: dict[str, float]) -> float:
    return float(term(Scope(at, PlainMeans())))
