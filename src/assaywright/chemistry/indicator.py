"""Which indicator for which curve: titration error, its uncertainty, sharpness, and whether any endpoint will do."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assaywright.chemistry.curve import Curve
from assaywright.chemistry.indicator_advice import advice
from assaywright.chemistry.indicator_dose import consumption_mL, share_in_upper_form
from assaywright.chemistry.indicator_scale import Flask, Turn, turn
from assaywright.chemistry.indicator_visible import NOT_REACHED, VISIBLE, seen
from assaywright.chemistry.indicator_volume import is_rising, volumes_at
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.refusal import Refusal
from assaywright.reference.indicators import Indicator, indicators

OBSERVER_HALF_WIDTH = 0.2
OBSERVER_HALF_WIDTH_V = 0.012
ELSEWHERE = 0.1
COVERAGE = 2.0
OF_ANOTHER_KIND = "it is no indicator for a titration of this kind"


@dataclass(frozen=True, slots=True)
class Criterion:
    """When a visual endpoint is good enough.

    The titration error, taken with twice its standard uncertainty, stays within a share of the equivalence volume. What
    the indicator itself uses up is told beside it: an indicator blank takes care of that.

    Fields:
        limit_percent: that share [%].

    Source: 0.1 % to 0.2 % is what volumetric work asks of its endpoint: common practice, no source.
    """

    limit_percent: float = 0.2

    def __post_init__(self) -> None:
        if not 0 < self.limit_percent <= 10:
            raise Refusal(f"a limit of {self.limit_percent:g} %", where="criterion",
                          remedy="give more than 0, up to 10 %")

    @property
    def text(self) -> str:
        """The criterion in words."""
        return (f"titration error, taken with twice its standard uncertainty, within {self.limit_percent:g} % of the "
                f"equivalence volume")


@dataclass(frozen=True, slots=True)
class VisualEndpoint:
    """Where one indicator ends a titration, and by how much that misses the equivalence point.

    Fields:
        indicator: which.
        equivalence_mL: the exact equivalence volume [mL].
        value: of the followed quantity at the endpoint colour [1] or [V]; None where an amount must be seen instead.
        volume_mL: at the endpoint colour [mL].
        tint_mL: standard uncertainty from the tint within the interval that is taken for the end [mL].
        observer_mL: standard uncertainty from one reading of the tint to the next [mL].
        crossing_mL: volume that takes the colour through its whole interval [mL]; None where the curve does not.
        crossing_drops: the same in drops.
        consumption_mL: titrant that the indicator itself uses up [mL]; None where it is not known.
        colours: before, at and after the endpoint, in words.
        interval: ends of its interval on the curve's own scale; None where an amount must be seen instead.
    """

    indicator: Indicator
    equivalence_mL: float
    value: float | None
    volume_mL: float
    tint_mL: float
    observer_mL: float
    crossing_mL: float | None
    crossing_drops: float | None
    consumption_mL: float | None
    colours: tuple[str, str, str]
    interval: tuple[float, float] | None = None

    @property
    def titration_error_mL(self) -> float:
        """Volume at the endpoint colour less equivalence volume [mL]."""
        return self.volume_mL - self.equivalence_mL

    @property
    def standard_uncertainty_mL(self) -> float:
        """Of the titration error, from interval and observer together [mL]."""
        return math.hypot(self.tint_mL, self.observer_mL)

    @property
    def titration_error_percent(self) -> float:
        """The titration error as a share of the equivalence volume [%]."""
        return 100 * self.titration_error_mL / self.equivalence_mL

    @property
    def bound_percent(self) -> float:
        """The error with twice its uncertainty, as the criterion takes it [% of the equivalence volume]."""
        return 100 * (abs(self.titration_error_mL) + COVERAGE * self.standard_uncertainty_mL) / self.equivalence_mL

    def wants_blank(self, criterion: Criterion) -> bool:
        """Whether the indicator itself uses up more than half of what the criterion allows."""
        share = 100 * abs(self.consumption_mL or 0.0) / self.equivalence_mL
        return share > criterion.limit_percent / 2


@dataclass(frozen=True, slots=True)
class Unranked:
    """An indicator that this curve says nothing about, and why."""

    indicator: Indicator
    reason: str


@dataclass(frozen=True, slots=True)
class Ranking:
    """The indicators for one equivalence point of a curve.

    Fields:
        equivalence_mL: the exact equivalence volume [mL].
        titrated: what has been titrated there ("acetic acid").
        rising: whether the followed quantity rises along the burette.
        criterion: when an endpoint is good enough.
        by_error: best first, by :attr:`VisualEndpoint.bound_percent`.
        by_sharpness: fewest drops through the interval first, without those whose interval the curve does not cross.
        elsewhere: indicators that turn more than a tenth of the volume away from this equivalence point.
        unranked: indicators of this kind of titration whose error cannot be computed.
        verdict: in one sentence.
        advice: what to do instead where no visual endpoint is good enough; else empty.
    """

    equivalence_mL: float
    titrated: str
    rising: bool
    criterion: Criterion
    by_error: tuple[VisualEndpoint, ...]
    by_sharpness: tuple[VisualEndpoint, ...]
    elsewhere: tuple[Unranked, ...]
    unranked: tuple[Unranked, ...]
    verdict: str
    advice: tuple[str, ...]

    @property
    def good_enough(self) -> tuple[VisualEndpoint, ...]:
        """The endpoints that meet the criterion, best first."""
        return tuple(one for one in self.by_error if one.bound_percent <= self.criterion.limit_percent)

    def of(self, name: str) -> VisualEndpoint | None:
        """Return the endpoint of one indicator; None where it has none at this equivalence point."""
        return next((one for one in self.by_error if one.indicator.name == name), None)


def rank_indicators(curve: Curve, flask: Flask, criterion: Criterion | None = None) -> tuple[Ranking, ...]:
    """Return the indicators ranked for every distinct equivalence point of a curve.

    The titration error is V(endpoint colour) - V(equivalence). Its uncertainty has two parts: which tint within the
    interval is taken for the end, the same for one person and method; and how well that tint is met each time, 0.2 of
    a pH or pM or 12 mV either way.

    Arguments:
        curve: one curve.
        flask: what the indicators meet besides.
        criterion: when an endpoint is good enough; 0.2 % of the equivalence volume when not given.

    Raises:
        Refusal: a batch of curves, or a curve without an equivalence point.

    Source: the difference of 0.2 that an eye can tell is the convention of the books on titration error (Ringbom):
        from memory.
    """
    criterion = criterion or Criterion()
    points = _equivalence_points(curve)
    rising = is_rising(curve)
    turns: list[tuple[Indicator, Turn]] = []
    seen_ones: list[VisualEndpoint] = []
    unranked: list[Unranked] = []
    for one in indicators():
        if one.scale in VISIBLE:
            at = points[-1][0]
            found = seen(one, curve, flask, at)
            if isinstance(found, str):
                unranked += [Unranked(one, found)] if found else []
            else:
                colours = _colours(one, rising=not found.vanishes)
                seen_ones.append(VisualEndpoint(one, at, None, found.volume_mL, found.spread_mL, 0.0, None, None, None,
                                                colours))
        elif concerns(one, curve):
            where = turn(one, curve.quantity, curve.followed, flask, rising=rising)
            if isinstance(where, str):
                unranked.append(Unranked(one, where))
            else:
                turns.append((one, where))
    ends = [*_endpoints(curve, flask, turns, points, unranked), *seen_ones]
    return tuple(_ranking(curve, at, name, ends, unranked, criterion) for at, name in points)


def endpoint_of(one: Indicator, curve: Curve, flask: Flask, equivalence_mL: float) -> VisualEndpoint | str:
    """Return where one indicator ends a titration, however far from the equivalence volume, or why none can be given.

    Arguments:
        one: the indicator.
        curve: one curve.
        flask: what the indicator meets besides.
        equivalence_mL: the exact equivalence volume that is meant [mL].

    Source: as of :func:`rank_indicators`.
    """
    if one.scale in VISIBLE:
        found = seen(one, curve, flask, equivalence_mL)
        if isinstance(found, str):
            return found or OF_ANOTHER_KIND
        return VisualEndpoint(one, equivalence_mL, None, found.volume_mL, found.spread_mL, 0.0, None, None, None,
                              _colours(one, rising=not found.vanishes))
    if not concerns(one, curve):
        return OF_ANOTHER_KIND
    where = turn(one, curve.quantity, curve.followed, flask, rising=is_rising(curve))
    if isinstance(where, str):
        return where
    unranked: list[Unranked] = []
    ends = _endpoints(curve, flask, [(one, where)], [(equivalence_mL, "")], unranked)
    return ends[0] if ends else unranked[0].reason


def concerns(one: Indicator, curve: Curve) -> bool:
    """Whether an indicator belongs to a titration of this kind at all, computable or not."""
    kinds = {"pH": ("acid-base", "mixed acid-base"), "potential_V": ("redox",), "pM": ("metallochromic",),
             "pX": ("adsorption",) if curve.followed == "Ag+" else ()}
    return one.kind in kinds.get(curve.quantity, ())


def _equivalence_points(curve: Curve) -> tuple[tuple[float, str], ...]:
    """Return volume and name of the distinct equivalence points; of the last one where none is distinct."""
    every = [(float(np.ravel(one.volume_mL)[0]), one.name) for one in curve.equivalence_points]
    distinct = [one for one, shown in zip(every, curve.distinct, strict=True) if shown]
    if not every:
        raise Refusal("a curve without an equivalence point", where="indicators",
                      remedy="check that the titrant reacts with the analyte")
    return tuple(distinct or every[-1:])


def _endpoints(
    curve: Curve, flask: Flask, turns: Sequence[tuple[Indicator, Turn]], points: Sequence[tuple[float, str]],
    unranked: list[Unranked],
) -> list[VisualEndpoint]:
    """Return where every indicator ends the titration; one that the curve does not reach joins the unranked."""
    if not turns:
        return []
    rising = is_rising(curve)
    observer = OBSERVER_HALF_WIDTH_V if curve.quantity == "potential_V" else OBSERVER_HALF_WIDTH
    table = np.array([[one.endpoint, one.low, one.high, one.endpoint - one.tint_half_width,
                       one.endpoint + one.tint_half_width, one.endpoint - observer, one.endpoint + observer]
                      for _indicator, one in turns])
    finite = curve.values[np.isfinite(curve.values)]
    exact = volumes_at(curve, table[:, :3])
    nearby = volumes_at(curve, np.clip(table[:, 3:], np.min(finite), np.max(finite)))
    found = []
    for (one, where), (end, low, high), spread in zip(turns, exact, nearby, strict=True):
        if math.isnan(end):
            unranked.append(Unranked(one, NOT_REACHED))
            continue
        nearest = min(points, key=lambda point: abs(point[0] - float(end)))[0]
        crossing = None if math.isnan(high - low) else abs(float(high - low))
        tint, reading = (float(abs(spread[place + 1] - spread[place]) / 2) for place in (0, 2))
        found.append(VisualEndpoint(
            one, nearest, where.endpoint, float(end), standard_uncertainty_of_half_width(tint),
            standard_uncertainty_of_half_width(reading), crossing,
            None if crossing is None else crossing / flask.drop_mL, _own_consumption(one, where, flask, rising=rising),
            _colours(one, rising=rising), (where.low, where.high),
        ))
    return found


def _own_consumption(one: Indicator, where: Turn, flask: Flask, *, rising: bool) -> float | None:
    share = share_in_upper_form(one, where.endpoint, (where.low + where.high) / 2, where.high - where.low)
    return consumption_mL(one, flask, share, rising=rising)


def _colours(one: Indicator, *, rising: bool) -> tuple[str, str, str]:
    words = (one.low.words, one.between.words, one.high.words)
    return words if rising else (words[2], words[1], words[0])


def _ranking(
    curve: Curve, at: float, name: str, ends: Sequence[VisualEndpoint], unranked: Sequence[Unranked],
    criterion: Criterion,
) -> Ranking:
    own = [one for one in ends if one.equivalence_mL == at]
    near = [one for one in own if abs(one.titration_error_mL) <= ELSEWHERE * at]
    by_error = tuple(sorted(near, key=lambda one: one.bound_percent))
    by_sharpness = tuple(sorted((one for one in near if one.crossing_mL is not None),
                                key=lambda one: one.crossing_mL or 0.0))
    elsewhere = tuple(Unranked(one.indicator, f"it turns at {one.volume_mL:.2f} mL") for one in own if one not in near)
    good = bool(by_error) and by_error[0].bound_percent <= criterion.limit_percent
    best = by_error[0].indicator.scale if by_error else ""
    return Ranking(at, name, is_rising(curve), criterion, by_error, by_sharpness, elsewhere, tuple(unranked),
                   _verdict(by_error, at, criterion), () if good else advice(curve, at, name, best))


def _verdict(by_error: Sequence[VisualEndpoint], at: float, criterion: Criterion) -> str:
    if not by_error:
        return f"No indicator held has an endpoint that can be computed at {at:.2f} mL."
    best = by_error[0]
    told = (f"{best.indicator.name} misses {at:.2f} mL by {signed(best.titration_error_mL)} mL with a standard "
            f"uncertainty of {best.standard_uncertainty_mL:.3f} mL")
    if best.wants_blank(criterion):
        told += f" and uses up {signed(best.consumption_mL or 0.0)} mL itself, which asks for an indicator blank"
    if best.bound_percent <= criterion.limit_percent:
        number = sum(one.bound_percent <= criterion.limit_percent for one in by_error)
        are = "is" if number == 1 else "are"
        return f"{number} of {len(by_error)} that can be computed {are} good enough ({criterion.text}): {told}."
    return f"No visual endpoint is good enough ({criterion.text}): at best {told}."


def signed(volume_mL: float, places: int = 3) -> str:
    """Return a volume with its sign, to a thousandth when not told otherwise [mL]: a true minus, no sign at nought."""
    text = f"{abs(volume_mL):.{places}f}"
    if float(text) == 0:
        return text
    return f"{'−' if volume_mL < 0 else '+'}{text}"
