"""What worksheets would have found with an instrument's readings put right: this balance was wrong, what follows.

An error of indication is what an instrument showed less what was true (JCGM 200:2012, 2.16 with 4.1). Readings are put
right by it, a vessel of one volume by its correction, and the worksheet is evaluated by the very equation that it is
always evaluated by; so is each worksheet that it rests on. Judging earlier results after a defect: ISO/IEC 17025:2017,
6.4.9 and 7.10.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from assaywright.assay.evaluate import evaluate_within
from assaywright.assay.observations import (
    Balance,
    Blank,
    Delivery,
    Determination,
    Dilution,
    Filling,
    Portion,
    Thermometer,
    Vessel,
    Weighing,
    Worksheet,
)
from assaywright.assay.reading.equipment import COLDEST_LIQUID, WARMEST_LIQUID
from assaywright.assay.result import Outcome, Result
from assaywright.assay.specification import Specification
from assaywright.assay.upstream import Opener, Upstream
from assaywright.assay.wording import written_decimal
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

PER_CENT = "%"
UNITS = {"balance": ("g", "mg", PER_CENT), "thermometer": ("°C",)}
OF_VESSELS = ("mL", PER_CENT)
ONE_VOLUME = ("pipette", "flask", "piston pipette", "measuring cylinder")
LARGEST_PERCENT = Decimal(50)
SEE = "see whether the unit and the decimal mark stand right"
ALIKE = "titrated likewise"  # the blank of a back titration, as large as its determinations


@dataclass(frozen=True, slots=True)
class IndicationError:
    """By how much an instrument was wrong, and when.

    Fields:
        identity: number of the instrument.
        kind: "balance", "thermometer", or that of a vessel.
        amount: what it showed less what was true, in ``unit``: of a balance the net mass of each weighing, since what
            is alike at both readings cancels; of a burette the volume of each delivery of a determination (see
            :func:`leaves_blank`); of a pipette or flask its volume as stated; of a thermometer the temperature.
        unit: "g", "mg", "mL", "°C", or "%" of the true value.
        first, last: days on which it was wrong, both included.

    Raises:
        Refusal: a unit that the kind does not have, an error without size, or days in the wrong order.
    """

    identity: str
    kind: str
    amount: Decimal
    unit: str
    first: date
    last: date

    def __post_init__(self) -> None:
        units = units_of(self.kind)
        if self.unit not in units:
            raise Refusal(f"the error of a {self.kind} is not stated in {self.unit}", where="error",
                          remedy=f"state it in {' or '.join(units)}")
        if not self.amount.is_finite() or self.amount == 0:
            raise Refusal("an error of zero changes nothing", where="error", remedy="say by how much it was wrong")
        if self.unit == PER_CENT and abs(self.amount) > LARGEST_PERCENT:
            raise Refusal(f"an error of {self.amount:f} % is no error of an instrument that was used", where="error",
                          remedy="see whether the decimal mark stands right")
        if self.last < self.first:
            raise Refusal(f"the last day, {self.last}, lies before the first, {self.first}", where="days",
                          remedy="exchange them")

    def holds_on(self, day: date | datetime) -> bool:
        """Whether the instrument was wrong on a day."""
        return self.first <= (day.date() if isinstance(day, datetime) else day) <= self.last

    def true_of(self, shown: Decimal) -> Decimal:
        """Return the true value behind one that was shown [g, mL or °C, whatever the kind is in]."""
        if self.unit == PER_CENT:
            return shown / (1 + self.amount / 100)
        return shown - (self.amount / 1000 if self.unit == "mg" else self.amount)


def units_of(kind: str) -> tuple[str, ...]:
    """Return the units in which the error of an instrument is stated.

    Raises:
        Refusal: an instrument of whose readings no result is made.
    """
    if kind not in UNITS and kind not in ONE_VOLUME and "burette" not in kind:
        raise Refusal(f"no result is computed from the readings of a {kind}", where="instrument",
                      remedy="choose a balance, a vessel or a thermometer")
    return UNITS.get(kind, OF_VESSELS)


def demand_shown(error: IndicationError, scale: Quantity | None, worksheets: Iterable[Worksheet]) -> None:
    """Refuse an error of more than half of all that the instrument showed; one in % is limited already.

    Of a balance that is the largest portion weighed on the worksheets, of a burette the largest delivery, and its scale
    where none is known; of another vessel its volume. Half of it: common practice, no source. Of a thermometer an error
    is refused with which no temperature on the worksheets would be that of a liquid.

    Arguments:
        scale: the end of a burette's scale, or the volume of another vessel; None of what is no vessel [volume].
        worksheets: on which the instrument may have been used.

    Raises:
        Refusal: the error is that large.
    """
    sheets = [(sheet, roles) for sheet in worksheets if (roles := _roles_of(sheet, error))]
    if error.kind == "thermometer":
        _demand_liquid(error, [one for sheet, _ in sheets for one in _temperatures(sheet)])
        return
    if error.unit == PER_CENT:
        return
    unit, whose = ("g", f"balance {error.identity} weighed") if error.kind == "balance" else (
        "mL", f"{error.kind} {error.identity} delivered")
    most = max((one for sheet, roles in sheets for one in _shown(sheet, roles)), default=None)
    told = f"what {whose} on those days, {written_decimal(most)} {unit} at most" if most is not None else ""
    if scale is not None and (most is None or error.kind in ONE_VOLUME):
        most = _in(scale, "mL")
        which = "scale" if "burette" in error.kind else "volume"
        told = f"the {which} of {error.kind} {error.identity}, {written_decimal(most)} mL"
    amount = abs(error.amount) / 1000 if error.unit == "mg" else abs(error.amount)
    if most is not None and amount > most / 2:
        raise Refusal(f"an error of {written_decimal(error.amount)} {error.unit} is more than half of {told}",
                      where="error", remedy=SEE)


def _demand_liquid(error: IndicationError, shown: list[Decimal]) -> None:
    """Refuse an error of a thermometer with which nothing could have been titrated."""
    least, most = Decimal(COLDEST_LIQUID), Decimal(WARMEST_LIQUID)
    within = f"between {written_decimal(least)} °C and {written_decimal(most)} °C"
    said = f"an error of {written_decimal(error.amount)} °C is none of thermometer {error.identity}"
    if abs(error.amount) > most - least:
        raise Refusal(f"{said}, since what is titrated lies {within}", where="error", remedy=SEE)
    if shown and not any(least <= error.true_of(one) <= most for one in shown):
        raise Refusal(f"{said}: no temperature that it showed on those days would lie {within}", where="error",
                      remedy=SEE)


def _shown(part: Any, roles: frozenset[str]) -> Iterator[Decimal]:
    """Yield what was weighed [g] or delivered [mL] with instruments of the given roles, on a whole worksheet."""
    if isinstance(part, Weighing) and part.balance in roles:
        if part.net is not None:
            yield _in(part.net, "g")
        elif part.gross is not None and part.tare is not None:
            yield _in(part.gross, "g") - _in(part.tare, "g")
    if isinstance(part, Delivery) and part.burette in roles and part.fillings:
        yield sum((_in(one.final, "mL") - _in(one.initial, "mL") for one in part.fillings), Decimal(0))
    for one in _parts_of(part):
        yield from _shown(one, roles)


def _temperatures(part: Any) -> Iterator[Decimal]:
    """Yield the temperatures of what was titrated, in all that a worksheet holds [°C]."""
    if isinstance(part, Delivery | Portion | Dilution) and part.temperature is not None:
        yield _in(part.temperature, "°C")
    for one in _parts_of(part):
        yield from _temperatures(one)


def _parts_of(part: Any) -> Iterator[Any]:
    if isinstance(part, tuple):
        yield from part
    elif is_dataclass(part):
        yield from (getattr(part, one.name) for one in fields(part))


# --- a worksheet put right --------------------------------------------------------------------------------------------


def leaves_blank(worksheet: Worksheet, error: IndicationError) -> bool:
    """Whether a worksheet's blank is left as it was: it was titrated with the instrument, or its volume is stated.

    An error in mL or g is that of a delivery as large as those of the determinations: on the two hundredths of a
    millilitre of a blank it would be more than was delivered. An error in % is put right of a blank too; so is either
    of the blank of a back titration, which is a delivery like the others.
    """
    blank = worksheet.blank
    if blank is None or blank.kind == ALIKE or error.unit == PER_CENT or not error.holds_on(worksheet.performed):
        return False
    roles = _roles_of(worksheet, error)
    if blank.volume is not None:
        return bool(roles) and "burette" in error.kind
    weighed = [one.mass.balance for one in blank.deliveries if one.mass is not None]
    return bool(roles & {*(one.burette for one in blank.deliveries if one.fillings), *weighed})


def was_used(worksheet: Worksheet, error: IndicationError) -> bool:
    """Whether something on a worksheet is put right; also where what would be put right cannot be."""
    try:
        return put_right(worksheet, error) != worksheet
    except Refusal:
        return True


def _roles_of(worksheet: Worksheet, error: IndicationError) -> frozenset[str]:
    """Return the roles that the instrument plays on a worksheet."""
    equipment: tuple[Vessel | Balance | Thermometer, ...] = (
        *worksheet.vessels, *worksheet.balances, *worksheet.thermometers)
    return frozenset(one.role for one in equipment if one.identity == error.identity)


def put_right(worksheet: Worksheet, error: IndicationError) -> Worksheet:
    """Return a worksheet with what the instrument showed put right; the same one where it was not used or not wrong.

    A determination with a day of its own goes by that day, all else by the worksheet's. What a blank took is left as it
    was where :func:`leaves_blank` says so.

    Raises:
        Refusal: what was delivered or weighed would not be above zero, or a temperature would be none of a liquid.
    """
    roles = _roles_of(worksheet, error)
    if not roles:
        return worksheet
    right = _Righting(error, roles)
    rows = tuple(right.determination(one) if error.holds_on(one.at or worksheet.performed) else one
                 for one in worksheet.determinations)
    if not error.holds_on(worksheet.performed):
        return replace(worksheet, determinations=rows)
    blank, dilution = worksheet.blank, worksheet.dilution
    return replace(
        worksheet, determinations=rows, vessels=tuple(map(right.vessel, worksheet.vessels)),
        dilution=None if dilution is None else right.dilution(dilution),
        blank=None if blank is None else right.blank(blank, left=leaves_blank(worksheet, error)))


@dataclass(frozen=True, slots=True)
class _Righting:
    """Puts right what was read with an instrument, by the roles that it plays on one worksheet."""

    error: IndicationError
    roles: frozenset[str]

    def determination(self, one: Determination) -> Determination:
        hydroxide = None if one.hydroxide is None else self.delivery(one.hydroxide)
        return replace(one, portion=self.portion(one.portion), delivery=self.delivery(one.delivery),
                       excess=self.excess(one.excess), hydroxide=hydroxide)

    def blank(self, one: Blank, *, left: bool) -> Blank:
        excess = self.excess(one.excess)
        if left:
            warm = tuple(replace(run, temperature=self.temperature(run.temperature)) for run in one.deliveries)
            return replace(one, deliveries=warm, excess=excess)
        return replace(one, deliveries=tuple(map(self.delivery, one.deliveries)), excess=excess)

    def delivery(self, one: Delivery) -> Delivery:
        one = replace(one, mass=self.weighing(one.mass), temperature=self.temperature(one.temperature))
        if one.burette not in self.roles or not one.fillings:
            return one
        fillings = tuple(Filling(run.initial, self.after(run.initial, run.final)) for run in one.fillings)
        start = one.fillings[one.first_filling - 1].initial
        return replace(one, fillings=fillings, first=None if one.first is None else self.after(start, one.first))

    def after(self, initial: Quantity, final: Quantity) -> Quantity:
        """Return a final reading that lies above the initial one by what was truly delivered."""
        start, end = _in(initial, "mL"), _in(final, "mL")
        return _quantity(start + self.above_zero(end - start, "mL", "delivered"), "mL")

    def above_zero(self, shown: Decimal, unit: str, words: str) -> Decimal:
        """Return what was truly delivered or weighed [mL or g].

        Raises:
            Refusal: it is not above zero, while what was shown is; or it lies further from that than half of it, and
                the error is not in %, which is limited already.
        """
        true = self.error.true_of(shown)
        if self.error.unit != PER_CENT and true > 0 and 0 < shown < 2 * abs(true - shown):
            raise Refusal(f"the error is more than half of {written_decimal(shown)} {unit} {words}", where="error",
                          remedy="see whether the error is that of a reading so small")
        if true <= 0 < shown:
            raise Refusal(f"of {written_decimal(shown)} {unit} {words}, {written_decimal(true)} {unit} would be left",
                          where="error", remedy="see whether the error is that of a reading so small")
        return true

    def excess(self, one: Portion | None) -> Portion | None:
        return None if one is None else self.portion(one)

    def portion(self, one: Portion) -> Portion:
        return replace(one, mass=self.weighing(one.mass), temperature=self.temperature(one.temperature))

    def dilution(self, one: Dilution) -> Dilution:
        further = None if one.further is None else self.dilution(one.further)
        return replace(one, portion=self.portion(one.portion), total_mass=self.weighing(one.total_mass),
                       temperature=self.temperature(one.temperature), further=further)

    def weighing(self, one: Weighing | None) -> Weighing | None:
        if one is None or self.error.kind != "balance" or one.balance not in self.roles:
            return one
        if one.gross is None or one.tare is None:
            net = None if one.net is None else _quantity(self.above_zero(_in(one.net, "g"), "g", "weighed"), "g")
            return replace(one, net=net)
        gross, tare = _in(one.gross, "g"), _in(one.tare, "g")
        return replace(one, gross=_quantity(tare + self.above_zero(gross - tare, "g", "weighed"), "g"))

    def temperature(self, one: Quantity | None) -> Quantity | None:
        if one is None or self.error.kind != "thermometer":
            return one
        shown = _in(one, "°C")
        true = self.error.true_of(shown)
        if not Decimal(COLDEST_LIQUID) <= true <= Decimal(WARMEST_LIQUID):
            raise Refusal(f"{written_decimal(shown)} °C put right would be {written_decimal(true)} °C, at which "
                          "nothing is titrated", where="error",
                          remedy="see whether the error is that of such a temperature")
        return _quantity(true, "°C")

    def vessel(self, one: Vessel) -> Vessel:
        """Return a pipette or flask with the correction that its true volume has; a burette's readings are put right.

        Its nominal volume stands, since its class and its key go by it.
        """
        if one.role not in self.roles or one.kind not in ONE_VOLUME:
            return one
        nominal = _in(one.nominal, "mL")
        stated = _in(one.corrections[-1][1], "mL") if one.corrections else Decimal(0)
        right = self.error.true_of(nominal + stated) - nominal
        return replace(one, corrections=((one.nominal, _quantity(right, "mL")),))


def _in(one: Quantity, unit: str) -> Decimal:
    return one.value if one.unit == unit else Decimal(repr(one.to(unit)))


def _quantity(value: Decimal, unit: str) -> Quantity:
    return Quantity(value, unit, f"{value:f} {unit}")


# --- what follows -----------------------------------------------------------------------------------------------------


class AsIf:
    """Evaluates worksheets as they are, and as they would be with an instrument's readings put right.

    What several rest on is evaluated once for each of the two.

    Arguments:
        opener: of the worksheets that others rest on.
        error: of the instrument.
    """

    def __init__(self, opener: Opener, error: IndicationError) -> None:
        self.error = error
        self.change: Callable[[Worksheet], Worksheet] = lambda worksheet: put_right(worksheet, error)
        self.as_is, self.as_if = Upstream(opener), Upstream(opener, self.change)

    def both(self, worksheet: Worksheet) -> tuple[Outcome, Outcome]:
        """Return a worksheet's outcome as it is, and with the readings put right, its own and those below it.

        Raises:
            Refusal: the one or the other cannot be.
        """
        return evaluate_within(worksheet, self.as_is), evaluate_within(self.change(worksheet), self.as_if)


def distance_eaten(before: Result, after: Result, specification: Specification) -> float | None:
    """Return which share of the distance to the nearest limit a change uses up [1]; None without limits.

    Negative where it moves away from the limits. Of a result that lies at its limit or beyond, infinite where it moves
    further out, and negative infinity where it moves back.
    """
    was, now = _distance(before, specification), _distance(after, specification)
    if was is None or now is None:
        return None
    if was <= 0:
        return float("inf") if now < was else float("-inf")
    return (was - now) / was


def _distance(result: Result, specification: Specification) -> float | None:
    """Return how far within the nearer limit a result lies [its unit]; negative outside."""
    value, unit = result.estimate.value, result.estimate.unit
    lower, upper = specification.lower, specification.upper
    found = [value - lower.to(unit)] if lower is not None else []
    found += [upper.to(unit) - value] if upper is not None else []
    return min(found, default=None)
