"""What cannot be: an addition that pulls the wrong way, does not fit or is not there; and the nearest that can."""

from assaywright.assay.adjust.chances import bounds_of, chances
from assaywright.assay.adjust.lot import TankedLot
from assaywright.assay.adjust.result import Chances, Landing
from assaywright.assay.prepare.measuring import amount_text, short_figures
from assaywright.assay.wording import written_figures, written_probability
from assaywright.chemistry.density import solution_density
from assaywright.metrology.refusal import Refusal

SEARCH_TRIALS = 20_000


def check_direction(lot: TankedLot, aimed: float, seed: int) -> None:
    """Refuse an addition that cannot bring the lot where it is to land.

    Arguments:
        aimed: content aimed at [unit of the nominal].
        seed: of the simulation.

    Raises:
        Refusal: the addition pulls the wrong way or lies on the same side; the sentence names the nearest option.
    """
    percent = lot.percent_of(aimed)
    now, added = lot.content.value, lot.added.value
    name = lot.adjustment.addition.name
    between = (added < percent <= now) or (now <= percent < added)
    if between:
        return
    found = chances(lot.model(0.0), lot.adjustment.limits, SEARCH_TRIALS, seed)
    wanted = f"{written_figures(aimed, 5)} {lot.unit}"
    content_now, content_added = f"{lot.content_after(0.0):.5g} {lot.unit}", f"{added:.4g} % w/w"
    weak = percent > now
    side = "raise" if weak else "lower"
    remedy = (f"name a concentrate whose content lies above {wanted}" if weak else
              f"name a diluent, water or another whose content lies below {wanted}")
    raise Refusal(
        f"{name} with {content_added} cannot {side} the lot from {content_now} to {wanted}; the nearest that can be "
        f"done with it is to leave the lot as it is, which conforms with a probability of "
        f"{written_probability(found.conforms)}", where="addition", remedy=remedy)


def check_step(lot: TankedLot, landing: Landing, now: Chances, seed: int) -> None:
    """Refuse an addition that is wanted and is less than one step of its instrument.

    Where the lot as it is lies within its limits, and what is wanted would not make it any surer, nothing is added.

    Arguments:
        landing: in whole steps, of nothing.
        now: chances of the lot as it is.
        seed: of the simulation.

    Raises:
        Refusal: the sentence says what one step would give.
    """
    adjustment, measuring = lot.adjustment, lot.adjustment.addition.measuring
    if landing.amount > 0 or not landing.exact > 1e-9 * measuring.step or now.conforms >= adjustment.aim.probability:
        return
    lower, upper = bounds_of(adjustment.limits)
    wished = chances(lot.model(landing.exact), adjustment.limits, SEARCH_TRIALS, seed)
    if lower <= landing.result.value <= upper and wished.conforms < adjustment.aim.probability:
        return
    raise Refusal(
        f"{amount_text(measuring, landing.exact)} of {adjustment.addition.name} are wanted, less than one step of "
        f"{measuring.readability.text}; the nearest that can be done is one step, "
        f"{_nearest(lot, lot.mass_of(measuring.step), seed)}, or to leave the lot as it is, which conforms with a "
        f"probability of {written_probability(now.conforms)}", where="addition, readability",
        remedy="name a finer instrument")


def volumes(lot: TankedLot, mass_g: float, percent: float) -> tuple[float | None, float | None]:
    """Return volume after an addition and free volume before it [mL]; none where densities or capacity lack.

    Arguments:
        mass_g: of all that is then in the tank [g].
        percent: its content [% w/w].

    Raises:
        Refusal: the tank's capacity is to be respected, and no density is given or held.
    """
    tank = lot.adjustment.tank
    if lot.lot_density is None:
        if tank.capacity is not None:
            raise Refusal("the density of the lot is missing, so that its volume in the tank is not known",
                          where="tank", remedy="give density under [tank], in g/mL, measured")
        return None, None
    free = None if tank.capacity is None else tank.capacity.to("mL") - _in_tank_mL(lot)
    if free is not None and tank.capacity is not None and free < -1e-9 * tank.capacity.to("mL"):
        stands = f"{tank.amount.text} are {short_figures(_in_tank_mL(lot) / 1000, 5)} L"
        raise Refusal(f"{stands}, and the tank holds {tank.capacity.text}", where="tank",
                      remedy="check the reading and the capacity, or draw off first what is too much")
    return mass_g / _density_after(lot, percent), free


def _in_tank_mL(lot: TankedLot) -> float:
    tank = lot.adjustment.tank
    if lot.by_gauge:
        return tank.amount.to("mL")
    density = lot.lot_density.value if lot.lot_density else 1.0
    return tank.amount.to("g") / density


def _density_after(lot: TankedLot, percent: float) -> float:
    """Return the density of the mixture: the lot's own, moved by as much as the table moves [g/mL]."""
    own = lot.lot_density.value if lot.lot_density else 1.0
    try:
        moved = [solution_density(lot.solute, one).value for one in (lot.content.value, percent)]
    except Refusal:
        if lot.added_density is None:
            return own
        share = (lot.content.value - percent) / (lot.content.value - lot.added.value)
        return 1 / ((1 - share) / own + share / lot.added_density.value)
    return own + moved[1] - moved[0]


def check_room(lot: TankedLot, landing: Landing, seed: int) -> tuple[float | None, float | None]:
    """Return volume after the addition and free volume before it; refuse what does not fit or is not there.

    Raises:
        Refusal: the sentence says how much fits, where that brings the lot, and how much to draw off first.
    """
    _check_available(lot, landing, seed)
    tank = lot.adjustment.tank
    whole_g = _whole_mass_g(lot)
    percent = _percent_after(lot, landing.mass_g)
    after, free = volumes(lot, whole_g + landing.mass_g, percent)
    if after is None or free is None or tank.capacity is None:
        return after, free
    room_mL = tank.capacity.to("mL")
    most_mL = _most_mL(lot, landing.mass_g, whole_g)
    if most_mL <= room_mL * (1 + 1e-9):
        return after, free
    fits_g = _that_fits_g(lot, landing.mass_g, whole_g, room_mL)
    drawn_kg = whole_g * (1 - room_mL / most_mL) / 1000
    option = _nearest(lot, fits_g, seed) if fits_g > 0 else "nothing can be added"
    raise Refusal(
        f"{landing.text} of {lot.adjustment.addition.name} do not fit: the tank has room for "
        f"{short_figures(free / 1000)} L, and with them it would hold up to {short_figures(most_mL / 1000, 5)} L "
        f"before they have mixed, {short_figures(after / 1000, 5)} L after it; "
        f"the nearest that can be done is to add what fits, {option}", where="tank",
        remedy=f"or draw off {short_figures(drawn_kg)} kg of the lot first, and add in proportion")


def _whole_mass_g(lot: TankedLot) -> float:
    dead = lot.adjustment.tank.dead_leg
    return lot.mass_g + (dead.to("g") if dead else 0.0)


def _percent_after(lot: TankedLot, added_g: float) -> float:
    return (lot.mass_g * lot.content.value + added_g * lot.added.value) / (lot.mass_g + added_g)


def _that_fits_g(lot: TankedLot, most_g: float, whole_g: float, room_mL: float) -> float:
    """Return the mass of the addition up to which the tank holds all [g], by halving."""
    low, high = 0.0, most_g
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if _most_mL(lot, middle, whole_g) <= room_mL else (low, middle)
    return low


def _most_mL(lot: TankedLot, added_g: float, whole_g: float) -> float:
    """Return the most that stands in the tank while so much is added [mL]: side by side before mixing, or mixed."""
    mixed = (whole_g + added_g) / _density_after(lot, _percent_after(lot, added_g))
    if lot.added_density is None:
        return mixed
    return max(mixed, _in_tank_mL(lot) + added_g / lot.added_density.value)


def _nearest(lot: TankedLot, mass_g: float, seed: int) -> str:
    """Return an addition in whole steps, the content it gives and the probability of conforming, in words."""
    measuring = lot.adjustment.addition.measuring
    amount = measuring.rounded(lot.in_measure(mass_g), down=True)
    found = chances(lot.model(amount), lot.adjustment.limits, SEARCH_TRIALS, seed)
    return (f"{measuring.written(amount)}, which brings the lot to {lot.content_after(amount):.5g} {lot.unit} and "
            f"conforms with a probability of {written_probability(found.conforms)}")


def _check_available(lot: TankedLot, landing: Landing, seed: int) -> None:
    available = lot.adjustment.addition.available
    if available is None:
        return
    if available.unit in ("mL", "L", "µL"):
        there_g = available.to("mL") * (lot.added_density.value if lot.added_density else 1.0)
    else:
        there_g = available.to("g")
    if landing.mass_g > there_g * (1 + 1e-9):
        raise Refusal(f"{landing.text} of {lot.adjustment.addition.name} are needed and {available.text} are there; "
                      f"the nearest that can be done is to add all of it, {_nearest(lot, there_g, seed)}",
                      where="addition", remedy="or draw off part of the lot and adjust the rest")
