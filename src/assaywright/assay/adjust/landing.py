"""Where to land: at the content stated, or at the cheapest that keeps a wanted probability; and in one step or two."""

import math
from dataclasses import replace
from decimal import Decimal

from assaywright.assay.adjust.chances import bounds_of, chances, share_beyond
from assaywright.assay.adjust.form import CHEAPEST
from assaywright.assay.adjust.lot import TankedLot, aim_value
from assaywright.assay.adjust.result import Landing, TwoSteps
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

SEARCH_TRIALS = 20_000
GRID = 24
HALVINGS = 24
MOST_STEPS_INWARDS = 20
HELPS = 0.75  # two steps are worth a second assay where they take a quarter off the risk: our own allowance
FARTHEST_U = 8.0  # how far inside an only limit a landing is looked for, in standard uncertainties


def aimed_content(lot: TankedLot, seed: int) -> float:
    """Return the content to aim at [unit of the nominal].

    "cheapest" is the lowest content that keeps the wanted probability: the most product from what is there, the least
    of any concentrate.

    Raises:
        Refusal: no content within the limits reaches the wanted probability; the sentence names the best.
    """
    adjustment = lot.adjustment
    if adjustment.aim.land != CHEAPEST:
        return aim_value(adjustment)
    lower, upper = bounds_of(adjustment.limits)
    if math.isinf(lower):
        raise Refusal("there is no lower limit, so that ever more diluent would be cheaper", where="aim",
                      remedy='land at the nominal content, land = "nominal"')
    u = evaluate_gum(lot.model(max(_amount(lot, aim_value(adjustment)), 0.0))).estimate.standard_uncertainty
    top = min(upper, lower + FARTHEST_U * u)
    contents = [lower + (top - lower) * k / GRID for k in range(1, GRID + 1)]
    found = [_conforming(lot, one, seed) for one in contents]
    best = max(range(len(found)), key=found.__getitem__)
    wanted = adjustment.aim.probability
    if found[best] < wanted:
        raise Refusal(
            f"no landing keeps a probability of {100 * wanted:g} %: the best is {contents[best]:.5g} {lot.unit} with "
            f"{100 * found[best]:.1f} %, for the content is known to {2 * u:.2g} {lot.unit} only (k = 2)", where="aim",
            remedy="assay the lot more closely, or ask for less")
    first = next(k for k, share in enumerate(found) if share >= wanted)
    low, high = (contents[first - 1] if first else lower), contents[first]
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if _conforming(lot, middle, seed) >= wanted else (middle, high)
    return high


def _conforming(lot: TankedLot, content: float, seed: int) -> float:
    amount = max(_amount(lot, content), 0.0)
    return chances(lot.model(amount), lot.adjustment.limits, SEARCH_TRIALS, seed).conforms


def _amount(lot: TankedLot, content: float) -> float:
    return lot.amount_for(lot.percent_of(content))


def landing_at(lot: TankedLot, exact_amount: float, trials: int, seed: int, *, diluting: bool, up: bool) -> Landing:
    """Return an addition in whole steps and where it brings the lot.

    Arguments:
        exact_amount: before rounding [g or mL].
        trials, seed: of the simulation.
        diluting: whether the content is brought down.
        up: whether to round to the next step above; below otherwise, since what lacks can be added.
    """
    measuring = lot.adjustment.addition.measuring
    amount = measuring.rounded(exact_amount, down=True)
    if up and amount < exact_amount - 1e-9 * measuring.step:
        amount += measuring.step
    model = lot.model(amount)
    found = chances(model, lot.adjustment.limits, trials, seed)
    mass_g = lot.mass_of(amount)
    volume_mL = mass_g / lot.added_density.value if lot.added_density else None
    return Landing(amount, measuring.written(amount), mass_g, volume_mL, exact_amount, evaluate_gum(model).estimate,
                   found, found.below if diluting else found.above)


def kept(lot: TankedLot, landing: Landing, trials: int, seed: int, *, diluting: bool) -> Landing:
    """Return the cheapest landing moved inwards by single steps until it keeps the wanted probability in all trials.

    The search used fewer trials; what it missed by is a step or two.
    """
    measuring, wanted = lot.adjustment.addition.measuring, lot.adjustment.aim.probability
    for _ in range(MOST_STEPS_INWARDS):
        if landing.chances.conforms >= wanted:
            break
        amount = landing.amount + (-measuring.step if diluting else measuring.step)
        landing = landing_at(lot, max(amount, 0.0), trials, seed, diluting=diluting, up=not diluting)
    return landing


def two_steps(
    lot: TankedLot, aimed: float, whole: Landing, trials: int, seed: int, *, diluting: bool
) -> TwoSteps | None:
    """Return the careful way; none where the first step would be less than the instrument can measure.

    Arguments:
        aimed: content aimed at [unit of the nominal].
        whole: the addition in one step.
        trials, seed: of the simulation.
        diluting: whether the content is brought down.
    """
    adjustment = lot.adjustment
    accepted = adjustment.aim.greatest_overshoot

    def passes(amount: float) -> float:
        return share_beyond(lot.model(amount), aimed, SEARCH_TRIALS, seed, below=diluting)

    low, high = 0.0, whole.amount
    if passes(low) > accepted:
        return None
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if passes(middle) <= accepted else (low, middle)
    first = landing_at(lot, low, trials, seed, diluting=diluting, up=False)
    if not first.amount > 0:
        return None
    rest, after = _second(lot, first, aimed)
    measuring = adjustment.addition.measuring
    amount = measuring.rounded(rest, down=True)
    expected = chances(after.model(amount), adjustment.limits, trials, seed + 1)
    beyond = expected.below if diluting else expected.above
    advised = whole.overshoot > accepted and beyond <= HELPS * whole.overshoot
    return TwoSteps(first, measuring.written(amount), expected, advised, beyond)


def _second(lot: TankedLot, first: Landing, aimed: float) -> tuple[float, TankedLot]:
    """Return what is left to add after the first step, and the lot then, as surely known as it is now."""
    added_g = lot.mass_of(first.amount)
    before_g = lot.mass_g
    percent = (before_g * lot.content.value + added_g * lot.added.value) / (before_g + added_g)
    u = lot.content.standard_uncertainty * percent / lot.content.value
    key = influence_key("lot", lot.adjustment.lot, "second assay", "content")
    content: Estimate = influence(key, percent, u, "% w/w", label="second assay of the lot")
    tank = lot.adjustment.tank
    stated = tank.amount.to("g") if not lot.by_gauge else tank.amount.to("mL")
    grown = _grown(lot, stated, added_g)
    after = replace(lot, content=content, adjustment=replace(lot.adjustment, tank=replace(tank, amount=grown)))
    return max(after.amount_for(lot.percent_of(aimed)), 0.0), after


def _grown(lot: TankedLot, stated: float, added_g: float) -> Quantity:
    """Return the reading of the tank after the first step, with the uncertainty it has now."""
    amount = lot.adjustment.tank.amount
    unit = "mL" if lot.by_gauge else "g"
    grown = stated + (added_g / lot.lot_density.value if lot.by_gauge and lot.lot_density else added_g)
    factor = amount.to(unit) / float(amount.value)
    return replace(amount, value=Decimal(repr(grown / factor)))
