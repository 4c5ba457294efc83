"""The indicators: colours, intervals, constants, preparations, and where each metal makes a metal indicator turn.

Sources disagree about intervals and constants. All are kept; one is chosen, and the row says why.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from types import MappingProxyType

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, by_key, citation, table

POTENTIAL_INTERVAL_V = 0.0592  # 2.303 RT/F at 25 °C: from ten times more of one form to ten times more of the other
KINDS = ("acid-base", "mixed acid-base", "metallochromic", "redox", "starch", "self", "chromate", "iron(III)",
         "adsorption", "colour complex", "non-aqueous")
ALSO_CALLED = re.compile(r" indicator$| solution$")


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour in words, and as a swatch of our own choosing that never stands without them.

    Fields:
        words: "pale pink".
        swatch: sRGB, "#F3CBD8".
    """

    words: str
    swatch: str


@dataclass(frozen=True, slots=True)
class Interval:
    """What one source prints about an indicator.

    Fields:
        meaning: "colour change", "colour change in water" of an indicator used without water, or "working pH".
        low, high: ends of the interval [pH or V]; None where the source gives constants alone.
        unit: "pH" or "V" against the standard hydrogen electrode.
        colours: at the low and the high end, in the source's words.
        constants: pKa values, or the formal potential [V].
        medium: for which the constant holds.
        chosen: whether this program uses it.
        source, status, note: who says so, "read" or "recalled", and what to know about it.
    """

    meaning: str
    low: float | None
    high: float | None
    unit: str
    colours: tuple[str, str]
    constants: tuple[float, ...]
    medium: str
    chosen: bool
    source: str
    status: str
    note: str


@dataclass(frozen=True, slots=True)
class Preparation:
    """How an indicator is made up, and how much of it a flask takes.

    Fields:
        text: in words.
        strength_g_per_L: of a solution [g/L]; None where it is not known.
        mass_fraction: of the indicator in a solid mixture [1].
        upper_share: of the indicator in the form of the upper end, as it comes from the bottle [1]; a sodium salt is a
            base, a dye in alcohol mostly an acid, a metal indicator is free of metal; None for mixtures.
        dose_low, dose_high: per flask, in ``dose_unit``.
        dose_unit: "drop", "mL" or "mg".
        flask_mL: the volume in the flask that the dose is for [mL].
        chosen, source, status, note: see :class:`Interval`.
    """

    text: str
    strength_g_per_L: float | None
    mass_fraction: float | None
    upper_share: float | None
    dose_low: float
    dose_high: float
    dose_unit: str
    flask_mL: float
    chosen: bool
    source: str
    status: str
    note: str

    @property
    def dose(self) -> str:
        """The dose in words: "2 to 3 drops in 100 mL"."""
        number = f"{self.dose_low:g}" if self.dose_low == self.dose_high else f"{self.dose_low:g} to {self.dose_high:g}"
        plural = "s" if self.dose_unit == "drop" and self.dose_high > 1 else ""
        return f"{number} {self.dose_unit}{plural} in {self.flask_mL:g} mL"


@dataclass(frozen=True, slots=True)
class Indicator:
    """An indicator as this program uses it.

    Fields:
        name, aliases: what it is called.
        kind: one of :data:`KINDS`.
        scale: what its colour follows: "pH", "pM", "potential"; "visible amount", "precipitate" or "complex" where a
            certain amount must be seen; "none" where nothing can be computed.
        formula: of the substance weighed; empty for mixtures and natural products.
        low, between, high: colours at low pH, with the metal or reduced; half way; at high pH, free or oxidised.
        interval: the chosen one; None where no source gives one.
        endpoint_rising, endpoint_falling: where the tint lies at which one stops, scale rising or falling; None for the
            middle of the interval.
        tint_half_width: how far the tint that is taken for the end may lie from it; None for a quarter of the interval.
        electrons: per molecule of a redox indicator.
        equivalents: of titrant per mole of indicator that turns [1].
        visible_umol_per_100_mL, visible_half_width: what must be there to be seen [µmol per 100 mL].
        working_pH: between which it can be used; None where no source says so.
        used_for, note: in words.
        preparation: the chosen one; None where none is held.
        source, status: of the facts in this row.
    """

    name: str
    aliases: tuple[str, ...]
    kind: str
    scale: str
    formula: str
    low: Colour
    between: Colour
    high: Colour
    interval: Interval | None
    endpoint_rising: float | None
    endpoint_falling: float | None
    tint_half_width: float | None
    electrons: int
    equivalents: int
    visible_umol_per_100_mL: float | None
    visible_half_width: float | None
    working_pH: tuple[float, float] | None
    used_for: tuple[str, ...]
    note: str
    preparation: Preparation | None
    source: str
    status: str

    @property
    def bounds(self) -> tuple[float, float] | None:
        """The interval of its colour on its own scale [pH or V]; None for a metal indicator and where none is known.

        A formal potential E stands for E - 0.059/n V to E + 0.059/n V.
        """
        one = self.interval
        if one is None or self.scale not in ("pH", "potential"):
            return None
        if one.low is not None and one.high is not None:
            return one.low, one.high
        if self.scale == "potential" and one.constants and self.electrons:
            half = POTENTIAL_INTERVAL_V / self.electrons
            return one.constants[0] - half, one.constants[0] + half
        return None


@dataclass(frozen=True, slots=True)
class TransitionPoint:
    """The pM at which a metal indicator stands half as complex and half free, at one pH.

    Fields:
        pH: of the solution.
        pM: minus the logarithm of the free metal ion's concentration.
        source, status: who says so.
    """

    pH: float
    pM: float
    source: str
    status: str


def indicator(name: str) -> Indicator:
    """Return an indicator by its name or an alias, without regard to case.

    Raises:
        Refusal: no such indicator is held; the sentence names one that comes near.

    Example:
        >>> indicator("BTB").bounds
        (6.0, 7.6)
    """
    key = _names().get(_plain(name))
    if key is None:
        from difflib import get_close_matches

        near = get_close_matches(_plain(name), _names(), 1, 0.6)
        raise Refusal(f"no indicator '{name[:60]}' is held", where="indicator",
                      remedy=f"did you mean '{_names()[near[0]]}'?" if near else "see assaywright curve --help, or add "
                             "its row to reference/data/indicators.csv")
    return _indicator(key)


def indicators(*kinds: str) -> tuple[Indicator, ...]:
    """Return all indicators held, or those of some kinds, by the alphabet.

    Raises:
        Refusal: there is no such kind.
    """
    unknown = [kind for kind in kinds if kind not in KINDS]
    if unknown:
        raise Refusal(f"there is no kind of indicator '{unknown[0]}'", where="indicator",
                      remedy=f"use one of {', '.join(KINDS)}")
    return tuple(one for one in map(_indicator, by_key("indicators")) if not kinds or one.kind in kinds)


def intervals(name: str) -> tuple[Interval, ...]:
    """Return what every source held prints about an indicator, the chosen one first.

    Raises:
        Refusal: no such indicator is held.
    """
    held = _rows("indicators_intervals").get(indicator(name).name, ())
    return tuple(sorted(map(_interval, held), key=lambda one: not one.chosen))


def preparations(name: str) -> tuple[Preparation, ...]:
    """Return every way held to make an indicator up, the chosen one first.

    Raises:
        Refusal: no such indicator is held.
    """
    held = _rows("indicators_preparations").get(indicator(name).name, ())
    return tuple(sorted(map(_preparation, held), key=lambda one: not one.chosen))


def transition_points(name: str, metal: str) -> tuple[TransitionPoint, ...]:
    """Return where a metal indicator turns with a metal, by pH; empty where nothing is held.

    Arguments:
        name: of the indicator.
        metal: its ion ("Ca2+").
    """
    held = _rows("indicators_metals").get(indicator(name).name, ())
    return tuple(TransitionPoint(float(row["pH"]), float(row["pM"]), citation(row), row["status"])
                 for row in sorted(held, key=lambda row: float(row["pH"])) if row["metal"] == metal)


def transition_pM(name: str, metal: str, pH: float) -> float | None:
    """Return the pM at which a metal indicator turns, interpolated between the tabulated pH values.

    Returns: pM [1]; None where the table does not reach: it is not extrapolated.

    Example:
        >>> transition_pM("eriochrome black T", "Mg2+", 10.0)
        5.4
    """
    points = transition_points(name, metal)
    for one in points:
        if one.pH == pH:
            return one.pM
    for lower, upper in pairwise(points):
        if lower.pH < pH < upper.pH:
            return lower.pM + (pH - lower.pH) * (upper.pM - lower.pM) / (upper.pH - lower.pH)
    return None


@cache
def _indicator(key: str) -> Indicator:
    row = by_key("indicators")[key]
    interval = next(filter(lambda one: one.chosen, map(_interval, _rows("indicators_intervals").get(key, ()))), None)
    preparation = next(
        filter(lambda one: one.chosen, map(_preparation, _rows("indicators_preparations").get(key, ()))), None)
    low, between, high = (Colour(row[f"colour_{place}"], row[f"swatch_{place}"])
                          for place in ("low", "between", "high"))
    return Indicator(
        key, _listed(row["aliases"]), row["kind"], row["scale"], row["formula"], low, between, high, interval,
        _number(row["endpoint_rising"]), _number(row["endpoint_falling"]), _number(row["tint_half_width"]),
        int(row["electrons"] or 0), int(row["equivalents"]), _number(row["visible_umol_per_100_mL"]),
        _number(row["visible_half_width"]), _working_pH(interval), _listed(row["used_for"]), row["note"], preparation,
        citation(row), row["status"],
    )


def _working_pH(interval: Interval | None) -> tuple[float, float] | None:
    if interval is None or interval.meaning != "working pH" or interval.low is None or interval.high is None:
        return None
    return interval.low, interval.high


def _interval(row: Row) -> Interval:
    return Interval(
        row["meaning"], _number(row["low"]), _number(row["high"]), row["unit"], (row["colour_low"], row["colour_high"]),
        tuple(float(one) for one in _listed(row["constants"])), row["medium"], row["chosen"] == "yes", citation(row),
        row["status"], row["note"],
    )


def _preparation(row: Row) -> Preparation:
    return Preparation(
        row["preparation"], _number(row["strength_g_per_L"]), _number(row["mass_fraction"]),
        _number(row["upper_share"]), float(row["dose_low"]), float(row["dose_high"]), row["dose_unit"],
        float(row["flask_mL"]), row["chosen"] == "yes", citation(row), row["status"], row["note"],
    )


@cache
def _rows(name: str) -> Mapping[str, tuple[Row, ...]]:
    """Return a table's rows by the indicator they belong to."""
    found: dict[str, list[Row]] = {}
    for row in table(name).rows:
        found.setdefault(row["indicator"], []).append(row)
    return MappingProxyType({key: tuple(rows) for key, rows in found.items()})


@cache
def _names() -> Mapping[str, str]:
    """Return every name and alias to the key it stands for."""
    found: dict[str, str] = {}
    for key, row in by_key("indicators").items():
        for name in (key, *_listed(row["aliases"])):
            found[_plain(name)] = key
    return MappingProxyType(found)


def _plain(name: str) -> str:
    return ALSO_CALLED.sub("", " ".join(name.split()).casefold().replace("sulph", "sulf"))


def _number(text: str) -> float | None:
    return float(text) if text else None


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(";") if part.strip())
