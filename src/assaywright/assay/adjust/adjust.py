"""Adjust a lot to strength: from its assay and its tank to what to add, and how likely it then conforms."""

from dataclasses import replace
from datetime import date

from assaywright.assay.adjust.adding import TAKEN, cautioned, how_it_goes_in, worn
from assaywright.assay.adjust.advice import notes_of, sampling_of, steps_of, to_check
from assaywright.assay.adjust.chances import chances
from assaywright.assay.adjust.form import CHEAPEST, Adjustment
from assaywright.assay.adjust.landing import aimed_content, kept, landing_at, two_steps
from assaywright.assay.adjust.lot import Opener, TankedLot, tanked
from assaywright.assay.adjust.order import added_to_it, check_order, in_the_tank, where_they_meet
from assaywright.assay.adjust.reassay import reassay_of
from assaywright.assay.adjust.result import Adjusted, Landing, Reassay, TwoSteps
from assaywright.assay.adjust.room import check_direction, check_room, check_step
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.prepare.result import Safety, shares
from assaywright.assay.prepare.safety import STRONGER, WEAKER, safety_of
from assaywright.chemistry.heat import Warming, warming
from assaywright.chemistry.heat_of_adding import warmest_while_adding
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.working import write_working

TRIALS = 100_000


def adjust(adjustment: Adjustment, opener: Opener, *, trials: int = TRIALS, seed: int = 0,
           shelf: Shelf | None = None, day: date | None = None) -> Adjusted:
    """Return an adjustment worked out; the person named in it decides.

    Arguments:
        adjustment: the lot, its assay, its tank and what may be added.
        opener: returns the bytes of a file that the adjustment names, by its path.
        trials, seed: of the simulation behind every probability.
        shelf: to plan the new assay with, in place of the one that the adjustment names.
        day: of the work, where the adjustment states none; without any the new assay is not planned.

    Raises:
        Refusal: what cannot be done; the sentence says why and names the nearest that can.
    """
    try:
        lot = tanked(adjustment, opener)
        found = _adjusted(lot, trials, seed)
        careful = found.two_steps
        next_landing = careful.first if careful is not None and careful.advised else found.landing
        reassay = reassay_of(lot, next_landing, opener, shelf, adjustment.head.day or day)
        return replace(found, reassay=reassay)
    except Refusal as refusal:
        raise (refusal if adjustment.head.path in refusal.where else refusal.at(adjustment.head.path)) from None


def _adjusted(lot: TankedLot, trials: int, seed: int) -> Adjusted:
    adjustment = lot.adjustment
    now = chances(lot.model(0.0), adjustment.limits, trials, seed)
    aimed = aimed_content(lot, seed)
    percent = lot.percent_of(aimed)
    diluting = lot.added.value < lot.content.value
    keeps = adjustment.aim.land == CHEAPEST and not diluting and now.conforms >= adjustment.aim.probability
    amount = 0.0
    if not keeps:
        amount = _checked_amount(lot, aimed, percent, seed)
    up = adjustment.aim.land == CHEAPEST and not diluting
    landing = landing_at(lot, amount, trials, seed, diluting=diluting, up=up)
    if adjustment.aim.land == CHEAPEST and landing.amount > 0:
        landing = kept(lot, landing, trials, seed, diluting=diluting)
    check_step(lot, landing, now, seed)
    after, free = check_room(lot, landing, seed)
    careful = two_steps(lot, aimed, landing, trials, seed, diluting=diluting) if landing.amount > 0 else None
    model = lot.model(landing.amount)
    heat = warming(lot.solute, (in_the_tank(lot),))
    if landing.amount > 0:
        check_order(lot, landing)
        heat = warmest_while_adding(lot.solute, (in_the_tank(lot), added_to_it(lot, landing.mass_g)))
    mass_g = lot.mass_g
    safety = _safety(lot, heat, landing)
    return Adjusted(
        adjustment, lot.solute, lot.found, now, aimed, diluting, landing, careful, mass_g, mass_g + landing.mass_g,
        after, free, lot.prior, model, write_working(model, f"adjustment {adjustment.head.identity}"),
        shares(landing.result), heat, safety, _steps(lot, landing, careful, heat, safety),
        sampling_of(lot, landing),
        Reassay(()), notes_of(lot, landing, careful), to_check(lot, landing))


def _checked_amount(lot: TankedLot, aimed: float, percent: float, seed: int) -> float:
    """Return how much brings the lot to the content aimed at [g or mL]."""
    amount = 0.0 if abs(percent - lot.added.value) < 1e-12 else lot.amount_for(percent)
    check_direction(lot, aimed, seed)
    return amount


def _safety(lot: TankedLot, heat: Warming | None, landing: Landing) -> Safety:
    greatest = lot.adjustment.tank.greatest_temperature
    percents = [(f"the lot, {lot.content.value:.4g} % w/w", lot.content.value, lot.solute.name)]
    if lot.added.value > 0:
        percents.append((lot.adjustment.addition.name, lot.added.value, lot.solute.name))
    weaker = lot.added.value < lot.content.value
    found = safety_of(lot.solute, percents, heat, adding=WEAKER if weaker else STRONGER,
                      greatest_degC=greatest.to("°C") if greatest else None, in_bulk=True)
    if not landing.amount > 0:
        return found
    taken = () if lot.adjustment.tank.temperature is not None else (TAKEN.format(what="The tank is"),)
    return replace(found, first=(*found.first, *taken, *(where_they_meet(lot) if weaker else ())))


def _steps(
    lot: TankedLot, landing: Landing, careful: TwoSteps | None, heat: Warming | None, safety: Safety
) -> tuple[str, ...]:
    """Return the steps, with what to wear and how the addition goes in before it."""
    steps, tank = steps_of(lot, landing, careful), lot.adjustment.tank
    if not landing.amount > 0:
        return steps
    how = how_it_goes_in(lot.solute, heat, WEAKER if lot.added.value < lot.content.value else STRONGER,
                         start=tank.temperature, greatest=tank.greatest_temperature)
    return cautioned(steps, worn(safety), how, at=2)
