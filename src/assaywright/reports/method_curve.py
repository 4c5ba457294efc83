"""A method's titration drawn: the curve along the burette, its endpoints and the colour of the indicator."""

from functools import lru_cache

from assaywright.assay.method import Method, load_method
from assaywright.assay.titrated import titrated_system
from assaywright.chemistry.curve import titration_curve
from assaywright.chemistry.indicator import Ranking, VisualEndpoint, rank_indicators
from assaywright.chemistry.system import prepared
from assaywright.metrology.refusal import Refusal
from assaywright.reference.indicators import indicator
from assaywright.reports.chart_curve import curve_svg
from assaywright.reports.curve_conditions import conditions
from assaywright.reports.curve_picture import curve_picture, typographic

SWATCHES = "Colours are swatches of our own choosing beside their words; none is measured."


@lru_cache(maxsize=64)
def library_curve_svg(name: str) -> str:
    """Return the drawing of one of the program's own methods, made once.

    Raises:
        Refusal: as :func:`method_curve_svg`.
    """
    return method_curve_svg(load_method(name))


def method_curve_svg(method: Method) -> str:
    """Return a method's curve with its indicator's endpoint and colour strip, as SVG.

    Raises:
        Refusal: a type of titration that is not computed, or a substance that the tables do not hold.
    """
    system = titrated_system(method)
    ready = prepared(system)
    curve = titration_curve(ready.titration)
    rankings = rank_indicators(curve, ready.flask)
    found = [_end(rankings, one.indicator) for one in (method.first_endpoint, method.endpoint) if one is not None]
    ends = {end.indicator.name: (ranking, end) for ranking, end in filter(None, found)}
    ranking = next(reversed(ends.values()))[0] if ends else rankings[-1]
    notes = (ranking.verdict, *([SWATCHES] if ends else []))
    return curve_svg(curve_picture(curve, method.title, conditions(system, typographic), ranking=ranking,
                                   ends=tuple(end for _ranking, end in ends.values()), notes=notes))


def _end(rankings: tuple[Ranking, ...], name: str) -> tuple[Ranking, VisualEndpoint] | None:
    """Return where an indicator turns, at the last equivalence point where it does; None where it is held nowhere."""
    if not name:
        return None
    try:
        held = indicator(name)
    except Refusal:
        return None
    return next(((one, end) for one in reversed(rankings) if (end := one.of(held.name)) is not None), None)
