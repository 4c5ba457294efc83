"""Endpoints at which an amount must be seen: starch with iodine, and permanganate by itself."""

from assaywright.chemistry.curve import Curve
from assaywright.chemistry.indicator_scale import Flask
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.reference.indicators import Indicator

VISIBLE = ("visible amount",)
PERMANGANATE = ("KMnO4", "MnO4-")
IODINE = ("I2", "I3-")
THIOSULFATE = ("Na2S2O3", "Na2S2O3·5H2O", "S2O3 2-", "S2O3^2-")

Seen = tuple[float, float | None, float, float, float, float | None, float | None, float | None, tuple[str, str, str]]


def seen(one: Indicator, curve: Curve, flask: Flask, equivalence_mL: float) -> Seen | str:
    """Return the endpoint at which the titrant, or what it removes, is just seen.

    V = V(equivalence) + n / c with n the amount that must be there to be seen in the volume then in the flask; the sign
    is minus where a colour goes out.

    Arguments:
        one: an indicator whose scale is "visible amount".
        curve: of the titration.
        flask: with the titrant's formula.
        equivalence_mL: the exact equivalence volume [mL].

    Returns: the fields of a visual endpoint after the indicator's own; or why there is none, nothing where the
        indicator has no part in this titration.
    """
    appears = (flask.titrant in PERMANGANATE) if one.kind == "self" else (flask.titrant in IODINE)
    vanishes = one.kind == "starch" and flask.titrant in THIOSULFATE
    if curve.quantity != "potential_V" or not (appears or vanishes):
        return ""
    if one.visible_umol_per_100_mL is None or one.visible_half_width is None:
        return "how much of it must be there to be seen is not held"
    portion = (flask.volume_mL + equivalence_mL) / 100 / flask.titrant_mol_per_L / 1000
    excess = one.visible_umol_per_100_mL * portion
    spread = standard_uncertainty_of_half_width(one.visible_half_width * portion)
    colours = (one.low.words, one.between.words, one.high.words)
    return (equivalence_mL, None, equivalence_mL + (excess if appears else -excess), spread, 0.0, None, None, None,
            colours if appears else (colours[2], colours[1], colours[0]))
