"""Where an indicator turns on a given curve: its interval and its endpoint, in the curve's own quantity.

A pH indicator and a redox indicator have an interval of their own. A metal indicator's depends on the metal and the pH.
Chromate, iron(III), starch and permanganate show an amount: a precipitate, a complex, or the titrant itself.
"""

from dataclasses import dataclass, field

from assaywright.chemistry.equilibrium import Conditions
from assaywright.metrology.refusal import Refusal
from assaywright.reference.indicators import Indicator, transition_pM, transition_points

METAL_INTERVAL = 1.0
METAL_TINT = 0.2
DROP_ML = 0.05
OWN_QUANTITY = {"pH": "pH", "pM": "pM", "potential": "potential_V"}


@dataclass(frozen=True, slots=True)
class Flask:
    """What an indicator meets besides the quantity that the curve follows.

    Fields:
        volume_mL: in the flask before the first drop of titrant, rinsing water included [mL].
        titrant_mol_per_L: equivalents of titrant in a litre, as the method counts them [mol/L].
        titrant: its formula ("AgNO3"), where an indicator asks for it; else empty.
        analyte: formula of what is titrated, where an indicator asks for it; else empty.
        pH: at which the titration is kept, where it is kept; a pH curve needs none.
        drop_mL: that the burette gives [mL].
        conditions: temperature and model of activities.
    """

    volume_mL: float
    titrant_mol_per_L: float
    titrant: str = ""
    analyte: str = ""
    pH: float | None = None
    drop_mL: float = DROP_ML
    conditions: Conditions = field(default_factory=Conditions)

    def __post_init__(self) -> None:
        for what, value, unit in (("volume", self.volume_mL, "mL"), ("drop", self.drop_mL, "mL"),
                                  ("titrant concentration", self.titrant_mol_per_L, "mol/L")):
            if not 0 < value < 1e5:
                raise Refusal(f"a {what} of {value:g} {unit}", where="flask", remedy="give one above zero")


@dataclass(frozen=True, slots=True)
class Turn:
    """Where an indicator turns, in the quantity of one curve.

    Fields:
        low, high: ends of its interval.
        endpoint: at which one stops.
        tint_half_width: how far the tint taken for the end may lie from it; a bound.
    """

    low: float
    high: float
    endpoint: float
    tint_half_width: float


def turn(one: Indicator, quantity: str, followed: str, flask: Flask, *, rising: bool) -> Turn | str:
    """Return where an indicator turns on a curve, or why that cannot be said.

    Arguments:
        one: the indicator.
        quantity, followed: of the curve: "pH", "pM", "pX" or "potential_V", and the ion of a p-value.
        flask: what else the indicator meets.
        rising: whether the quantity rises along the burette.
    """
    if one.kind == "adsorption":
        return "an adsorption indicator turns by what the precipitate's surface takes up: its error cannot be computed"
    if OWN_QUANTITY.get(one.scale) != quantity:
        return f"it does not follow {_in_words(quantity)}"
    if one.scale == "pM":
        return _with_metal(one, followed, flask)
    if one.bounds is None:
        return "no interval is held for it"
    low, high = one.bounds
    stated = one.endpoint_rising if rising else one.endpoint_falling
    endpoint = (low + high) / 2 if stated is None else stated
    tint = (high - low) / 4 if one.tint_half_width is None else one.tint_half_width
    return Turn(low, high, endpoint, tint)


def _with_metal(one: Indicator, metal: str, flask: Flask) -> Turn | str:
    """Return the turn of a metal indicator: ten to one either side of the point where half is free.

    Source: that an eye is off by 0.2 in pM is the convention of the books (Ringbom): from memory.
    """
    if flask.pH is None:
        return "the pH of the flask is not stated"
    if one.working_pH is not None and not one.working_pH[0] <= flask.pH <= one.working_pH[1]:
        return f"it is used between pH {one.working_pH[0]:g} and {one.working_pH[1]:g}"
    middle = transition_pM(one.name, metal, flask.pH)
    if middle is None:
        held = transition_points(one.name, metal)
        return (f"its transition with {metal} is held from pH {held[0].pH:g} to {held[-1].pH:g} only" if held
                else f"no constant is held for it with {metal}")
    return Turn(middle - METAL_INTERVAL, middle + METAL_INTERVAL, middle, METAL_TINT)


def _in_words(quantity: str) -> str:
    return {"pM": "a metal ion", "pX": "this ion", "potential_V": "the potential"}.get(quantity, f"the {quantity}")
