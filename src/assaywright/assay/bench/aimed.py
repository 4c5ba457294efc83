"""About how much to weigh before anything is weighed: as before, or what fills most of the burette."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assaywright.assay.asked import WEIGHED, asked, handling_of
from assaywright.assay.bench.figures import with_plain_dates
from assaywright.assay.bench.foreseen import foreseen
from assaywright.assay.bench.heading import burette_of, mark_of
from assaywright.assay.bench.taken import Fields, net_g
from assaywright.assay.method import Method
from assaywright.assay.upstream import Opener
from assaywright.assay.wording import written_figures

SHARE_OF_BURETTE = 0.8  # room for a strong portion without filling again: common practice, no source
TRIED_G = (0.5, 0.05, 5.0)
MOST_STEPS, NEAR_ENOUGH = 6, 1e-3
DIGITS = 3  # of a mass aimed at; a question about a portion names it with as many


@dataclass(frozen=True, slots=True)
class Aimed:
    """About how much to weigh next.

    Fields:
        grams: the mass aimed at [g].
        words: the same with why, "about 2.04 g, as …".
        before: whether it is the mean of the portions before.
    """

    grams: float
    words: str
    before: bool


def aimed_at(method: Method, heading: Mapping[str, Any], determinations: Sequence[Fields], *, nominal: str = "",
             opener: Opener | None = None) -> Aimed | None:
    """Return how much to weigh for the next determination and why; None where nothing tells.

    After the first determination it is the mean of those before; before it, the portion that takes 80 % of the burette
    at the content expected. In a back titration only those before tell it.

    Arguments:
        method: of the worksheet.
        heading: its tables without determinations.
        determinations: those before; excluded ones do not count.
        nominal: content of the product with its unit, where the heading states no limits.
        opener: for the titrants that the heading refers to; their nominal concentrations count without one.
    """
    heading = with_plain_dates(heading)
    counted = [one for one in determinations if not one.get("excluded")]
    if asked(method, handling_of(method, heading, counted)).handling != WEIGHED:
        return None
    mark = mark_of(heading)
    masses = [float(mass) for one in counted if (mass := net_g(one, mark)) is not None and mass > 0]
    if masses:
        mean = sum(masses) / len(masses)
        return Aimed(mean, f"about {written_figures(mean, DIGITS)} g, as in the determinations before", before=True)
    scale = burette_of(heading, {}).nominal_mL
    if scale is None or method.scheme == "back":
        return None
    wanted = SHARE_OF_BURETTE * float(scale)
    found = _portion_for(wanted, method, heading, nominal, opener)
    return None if found is None else Aimed(
        found, f"about {written_figures(found, DIGITS)} g, which takes about {wanted:.0f} mL of the {scale:f} mL in "
        "the burette", before=False)


def aimed_words(method: Method, heading: Mapping[str, Any], determinations: Sequence[Fields], *, nominal: str = "",
                opener: Opener | None = None) -> str:
    """Return how much to weigh for the next determination and why: "about 2.04 g, as …"; empty where nothing tells.

    Arguments:
        method, heading, determinations, nominal, opener: as for :func:`aimed_at`.
    """
    found = aimed_at(method, heading, determinations, nominal=nominal, opener=opener)
    return found.words if found is not None else ""


def _portion_for(wanted_mL: float, method: Method, heading: Mapping[str, Any], nominal: str,
                 opener: Opener | None) -> float | None:
    """Return the portion that leads to a titre [g]; None where the plan does not say enough."""
    mark = mark_of(heading)

    def titre(portion: float) -> float | None:
        text = f"{portion:.6f}".replace(".", mark)
        seen = foreseen(method, heading, {"net": f"{text} g"}, nominal=nominal, opener=opener).get("final")
        return None if seen is None or not seen.titre_mL > 0 else seen.titre_mL

    for start in TRIED_G:
        portion = start
        for _ in range(MOST_STEPS):
            now = titre(portion)
            if now is None:
                break
            if abs(now / wanted_mL - 1) < NEAR_ENOUGH:
                return portion
            portion *= wanted_mL / now
    return None
