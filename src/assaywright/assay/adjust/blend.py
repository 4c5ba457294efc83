"""Blend lots under specification and stock: a linear programme in their masses, then the chance that all conforms."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from assaywright.assay.adjust.adding import TAKEN, cautioned, how_it_goes_in, worn
from assaywright.assay.adjust.blend_form import CHEAPEST, MOST, NOMINAL, Blend
from assaywright.assay.adjust.blend_parts import Characterised, characterised, models_of
from assaywright.assay.adjust.chances import bounds_of
from assaywright.assay.prepare.far_density import far_densities
from assaywright.assay.prepare.measuring import short_figures
from assaywright.assay.prepare.named import solute_named
from assaywright.assay.prepare.result import Safety, Share, shares
from assaywright.assay.prepare.safety import STRONGER, groups_of, safety_of
from assaywright.assay.upstream import Opener
from assaywright.assay.wording import written_probability
from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.chemistry.heat import HeatPortion, Warming
from assaywright.chemistry.heat_of_adding import warmest_while_adding
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.monte_carlo import run_trials_together
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.working import Working, write_working

TRIALS = 100_000
GUARD_STEPS = 16
MOST_GUARD_U = 4.0


@dataclass(frozen=True, slots=True)
class BlendedLot:
    """How much of a lot goes in.

    Fields:
        identity: of the lot.
        text: mass as printed, in whole steps.
        mass_g: of it [g].
        share: of the blend [1].
        of_stock: share of what is there [1].
    """

    identity: str
    text: str
    mass_g: float
    share: float
    of_stock: float


@dataclass(frozen=True, slots=True)
class BlendedCharacteristic:
    """One characteristic of the blend.

    Fields:
        name: of the characteristic.
        limits: in words.
        result: predicted, with its influences.
        conforms: probability that it lies within its limits.
    """

    name: str
    limits: str
    result: Estimate
    conforms: float


@dataclass(frozen=True, slots=True)
class Blended:
    """A blend worked out; a person decides.

    Fields:
        lots: those that go in, and those that do not with nothing.
        characteristics: the first is the content of the substance.
        mass_g: of the blend [g].
        conforms: probability that all characteristics lie within their limits.
        guard_u: by how many standard uncertainties the limits were moved inwards to keep that probability.
        square: Pearson's square, in sentences, where two lots go in.
        cost: of the blend, where each lot has one.
        to_check: what speaks against the sheet as it stands, to be cleared first.
    """

    blend: Blend
    solute: Solute
    lots: tuple[BlendedLot, ...]
    characteristics: tuple[BlendedCharacteristic, ...]
    mass_g: float
    conforms: float
    trials: int
    seed: int
    guard_u: float
    square: tuple[str, ...]
    cost: float | None
    working: Working
    budget: tuple[Share, ...]
    warming: Warming | None
    safety: Safety
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    to_check: tuple[str, ...] = ()


def _no_files(path: str) -> bytes:
    raise FileNotFoundError(path)


def blend_lots(blend: Blend, opener: Opener = _no_files, *, trials: int = TRIALS, seed: int = 0) -> Blended:
    """Return how much of each lot to take.

    Arguments:
        blend: the lots and what they are to become.
        opener: returns the bytes of the worksheets that the lots name.
        trials, seed: of the simulation behind the probability.

    Raises:
        Refusal: no blend within limits and stock; the sentence says why and names the nearest.
    """
    try:
        return _blended(blend, opener, trials, seed)
    except Refusal as refusal:
        raise (refusal if blend.head.path in refusal.where else refusal.at(blend.head.path)) from None


def parts_of_square(first: float, second: float, wanted: float) -> tuple[float, float]:
    """Return the parts of two lots that give a content between theirs: Pearson's square, alligation alternate.

    parts of the first = wanted - second, parts of the second = first - wanted

    Arguments:
        first, second, wanted: contents by mass, in one unit; the first above, the second below the wanted one.

    Raises:
        Refusal: the wanted content does not lie between the two.

    Source: USP <1160> Pharmaceutical calculations, alligation alternate.

    Example:
        >>> parts_of_square(95.0, 50.0, 70.0)
        (20.0, 25.0)
    """
    if not min(first, second) <= wanted <= max(first, second) or first == second:
        raise Refusal(f"{wanted:g} does not lie between {first:g} and {second:g}", where="alligation",
                      remedy="mix one that holds more with one that holds less")
    return abs(wanted - second), abs(first - wanted)


def _blended(blend: Blend, opener: Opener, trials: int, seed: int) -> Blended:
    solute = solute_named(blend.substance)
    found = characterised(blend, solute, opener)
    masses, guard = _guarded(blend, found, trials, seed)
    models = models_of(blend, solute, found, masses)
    values = run_trials_together(models, trials, seed)
    inside = _inside(blend, values)
    together = float(np.mean(np.all(inside, axis=0)))
    results = [evaluate_gum(model).estimate for model in models]
    total = float(sum(masses))
    order = _order_of_adding(solute, found[0].percents, masses)
    heat = warmest_while_adding(solute, [HeatPortion(masses[n], found[0].percents[n]) for n in order])
    used = [(f"lot {lot.identity}", percent, solute.name)
            for lot, mass, percent in zip(blend.lots, masses, found[0].percents, strict=True) if mass > 0]
    safety = safety_of(solute, used, heat, adding=STRONGER, greatest_degC=None, in_bulk=True)
    how = how_it_goes_in(solute, heat, STRONGER, start=None, greatest=None)
    if how:
        safety = replace(safety, first=(*safety.first, TAKEN.format(what="Every lot is")))
    return Blended(
        blend, solute, tuple(_lots(blend, masses)),
        tuple(BlendedCharacteristic(one.specification.characteristic, one.limits, result, float(np.mean(share)))
              for one, result, share in zip(found, results, inside, strict=True)),
        total, together, trials, seed, guard, _square(blend, found, masses), _cost(blend, masses),
        write_working(models[0], f"blend {blend.head.identity}"), shares(results[0]), heat,
        safety, cautioned(_steps(blend, masses, order, careful=_careful(solute, heat)), worn(safety), how, at=1),
        _notes(blend, guard, together), far_densities(solute, (
            *((f"lot {lot.identity}", lot.density, percent, REFERENCE_DEGC)
              for lot, percent in zip(blend.lots, found[0].percents, strict=True)),
            ("the product", blend.density, found[0].nominal, REFERENCE_DEGC))))


def _inside(blend: Blend, values: Sequence[Any]) -> list[Any]:
    inside = []
    for one, trial in zip(blend.characteristics, values, strict=True):
        lower, upper = bounds_of(one)
        inside.append((trial >= lower) & (trial <= upper))
    return inside


# --- the linear programme ---------------------------------------------------------------------------------------------


def _guarded(blend: Blend, found: Sequence[Characterised], trials: int, seed: int) -> tuple[list[float], float]:
    """Return the masses [g] in whole steps, with limits moved inwards just enough for the wanted probability."""
    solute = solute_named(blend.substance)

    def chance(masses: list[float]) -> float:
        models = models_of(blend, solute, found, masses)
        values = run_trials_together(models, trials, seed)
        return float(np.mean(np.all(_inside(blend, values), axis=0)))

    first = _solved(blend, found, 0.0)
    if first is None:
        raise _impossible(blend, found)
    masses = _in_steps(blend, first)
    best, best_chance = masses, chance(masses)
    if best_chance >= blend.probability:
        return masses, 0.0
    for number in range(1, GUARD_STEPS + 1):
        guard = MOST_GUARD_U * number / GUARD_STEPS
        solved = _solved(blend, found, guard)
        if solved is None:
            break
        masses = _in_steps(blend, solved)
        now = chance(masses)
        if now >= blend.probability:
            return masses, guard
        if now > best_chance:
            best, best_chance = masses, now
    told = ", ".join(f"{blend.measuring.written(mass)} of {lot.identity}"
                     for lot, mass in zip(blend.lots, best, strict=True) if mass > 0)
    raise Refusal(f"no blend keeps a probability of {100 * blend.probability:g} %: the nearest is {told}, with "
                  f"{written_probability(best_chance)}", where="probability",
                  remedy="assay the lots more closely, or ask for less")


def _solved(blend: Blend, found: Sequence[Characterised], guard: float) -> list[float] | None:
    """Return the masses [kg] of the best blend with limits moved inwards by so many standard uncertainties."""
    from scipy.optimize import linprog

    number = len(blend.lots)
    rows, equal, equal_to = [], [], []
    for one in found:
        u = one.standard_uncertainty * guard
        if one.lower is not None:
            rows.append([one.lower + u - percent for percent in one.percents])
        if one.upper is not None:
            rows.append([percent - (one.upper - u) for percent in one.percents])
    if blend.aim == NOMINAL:
        equal.append([percent - found[0].nominal for percent in found[0].percents])
        equal_to.append(0.0)
    if blend.mass is not None:
        equal.append([1.0] * number)
        equal_to.append(blend.mass.to("kg"))
    elif blend.capacity is not None:
        rows.append([1.0] * number)
    limits = [0.0] * len(rows)
    if blend.mass is None and blend.capacity is not None:
        limits[-1] = blend.capacity.to("kg")
    bounds = [(lot.least.to("kg") if lot.least else 0.0, lot.stock.to("kg")) for lot in blend.lots]
    answer = linprog(_objective(blend), A_ub=rows or None, b_ub=limits or None, A_eq=equal or None,
                     b_eq=equal_to or None, bounds=bounds, method="highs")
    if not answer.success or not sum(answer.x) > 0:
        return None
    return [float(one) for one in answer.x]


def _objective(blend: Blend) -> list[float]:
    """Return the weights to make least: cost where it counts and a mass is wanted, else minus the mass used."""
    costs = [lot.cost for lot in blend.lots]
    if blend.aim == CHEAPEST or (blend.aim == NOMINAL and blend.mass is not None and None not in costs):
        if None in costs:
            raise Refusal("the cheapest blend is wanted, and a lot has no cost", where="aim",
                          remedy=f'give each lot cost = "0.42", or aim = "{MOST}"')
        if blend.mass is None:
            raise Refusal("the cheapest blend is wanted, and no mass, so that nothing at all is cheapest",
                          where="aim", remedy='give mass = "5000 kg"')
        return [float(one) for one in costs if one is not None]
    return [-1.0] * len(costs)


def _in_steps(blend: Blend, masses_kg: list[float]) -> list[float]:
    """Return masses [g] in whole steps, none above its stock."""
    measuring = blend.measuring
    found = []
    for lot, mass in zip(blend.lots, masses_kg, strict=True):
        step = measuring.rounded(1000 * mass)
        found.append(measuring.rounded(lot.stock.to("g"), down=True) if step > lot.stock.to("g") else step)
    room_g = blend.capacity.to("g") if blend.capacity is not None else None
    if room_g is not None and sum(found) > room_g * (1 + 1e-12):  # rounded up to more than the vessel holds
        found = [measuring.rounded(1000 * mass, down=True) for mass in masses_kg]
    if not sum(found) > 0:
        raise Refusal(f"all masses are less than one step of {measuring.readability.text}; the least that can be "
                      "measured is one step", where="readability", remedy="name a finer balance, or blend more")
    return found


def _impossible(blend: Blend, found: Sequence[Characterised]) -> Refusal:
    """Return the refusal of limits that no blend meets, with the lot or the two that come nearest."""
    for one in found:
        low, high = min(one.percents), max(one.percents)
        name = one.specification.characteristic
        wanted_low = one.lower if one.lower is not None else low
        wanted_high = one.upper if one.upper is not None else high
        if high < wanted_low or low > wanted_high:
            nearest = blend.lots[one.percents.index(high if high < wanted_low else low)]
            return Refusal(f"{name} of every lot lies {'below' if high < wanted_low else 'above'} the limits "
                           f"{one.limits}; the nearest is lot {nearest.identity} alone", where="lots",
                           remedy="add a lot, a concentrate or a diluent on the other side")
    first = found[0]
    if blend.aim == NOMINAL and not min(first.percents) <= first.nominal <= max(first.percents):
        return Refusal(f"{blend.nominal.text} does not lie between the contents of the lots", where="aim",
                       remedy=f'aim at the limits instead, aim = "{MOST}"')
    stock = sum(lot.stock.to("kg") for lot in blend.lots)
    wanted = blend.mass.to("kg") if blend.mass else 0.0
    if wanted > stock:
        return Refusal(f"{wanted:g} kg are wanted and {stock:g} kg are there", where="mass", remedy="ask for less")
    most = _most(blend, found)
    near = f"; the nearest is {short_figures(most, 5)} kg, the most that conforms" if most else ""
    return Refusal(f"no blend of these lots meets limits and stock{near}", where="lots",
                   remedy="ask for less, add a lot, or aim at the limits")


def _most(blend: Blend, found: Sequence[Characterised]) -> float:
    """Return the greatest mass that the lots give within the limits [kg], zero for none."""
    from dataclasses import replace

    solved = _solved(replace(blend, mass=None, aim=NOMINAL if blend.aim == NOMINAL else MOST), found, 0.0)
    return sum(solved) if solved else 0.0


# --- what is said -----------------------------------------------------------------------------------------------------


def _lots(blend: Blend, masses: Sequence[float]) -> list[BlendedLot]:
    total = sum(masses)
    return [BlendedLot(lot.identity, blend.measuring.written(mass), mass, mass / total, mass / lot.stock.to("g"))
            for lot, mass in zip(blend.lots, masses, strict=True)]


def _cost(blend: Blend, masses: Sequence[float]) -> float | None:
    costs = [lot.cost for lot in blend.lots]
    if None in costs:
        return None
    return sum(float(cost) * mass / 1000 for cost, mass in zip(costs, masses, strict=True) if cost is not None)


def _square(blend: Blend, found: Sequence[Characterised], masses: Sequence[float]) -> tuple[str, ...]:
    """Return Pearson's square for the two lots that go in, at the content that they give."""
    used = [number for number, mass in enumerate(masses) if mass > 0]
    if len(used) != 2:
        return ()
    percents = [found[0].percents[number] for number in used]
    wanted = sum(masses[n] * found[0].percents[n] for n in used) / sum(masses[n] for n in used)
    if blend.aim == NOMINAL:
        wanted = found[0].nominal
    if percents[0] == percents[1] or not min(percents) <= wanted <= max(percents):
        return ()
    parts = parts_of_square(percents[0], percents[1], wanted)
    names = [blend.lots[number].identity for number in used]
    pairs = list(pairwise([*percents, percents[0]]))
    told = [f"lot {name}: |{wanted:.5g} − {other:.5g}| = {part:.4g} parts by mass"
            for name, (_, other), part in zip(names, pairs, parts, strict=True)]
    return ("Pearson's square (alligation alternate), contents in % w/w:", *told,
            f"so {names[0]} : {names[1]} = {parts[0] / sum(parts):.5f} : {parts[1] / sum(parts):.5f} of the blend")


def _order_of_adding(solute: Solute, percents: Sequence[float], masses: Sequence[float]) -> list[int]:
    """Return the numbers of the lots that go in: acids and caustic the weakest first, others the greatest first."""
    weakest_first = bool({"acids", "strong alkali"} & set(groups_of(solute)))
    used = [number for number, mass in enumerate(masses) if mass > 0]
    return sorted(used, key=lambda number: (percents[number] if weakest_first else 0.0, -masses[number]))


def _careful(solute: Solute, heat: Warming | None) -> bool:
    """Return whether the lots after the first go in slowly: where it grows warm, or an acid or lye of unknown heat."""
    if heat is None:
        return bool({"acids", "strong alkali"} & set(groups_of(solute)))
    return heat.notable


def _steps(blend: Blend, masses: Sequence[float], order: Sequence[int], *, careful: bool) -> tuple[str, ...]:
    told = [(blend.measuring.written(masses[number]), blend.lots[number].identity) for number in order]
    slowly = " slowly, with cooling and the circulation running"
    mix = "circulate until the whole content has passed at least three times, and not less than 30 min"
    agree = "they agree when their range stays within 3.3 times the repeatability (ISO 5725-6)"
    return (
        "Compare lot numbers and stocks with this sheet before anything is moved.",
        *(f"Put {mass} of lot {identity} into the vessel{slowly if number and careful else ''}."
          for number, (mass, identity) in enumerate(told)),
        f"Mix: {mix} (common practice, no source).",
        f"Take one sample each from top, middle and bottom (common practice, no source); {agree}.",
        "The blend is a new lot with a number of its own, assayed anew; its record names the lots it was made of.")


def _notes(blend: Blend, guard: float, together: float) -> tuple[str, ...]:
    notes = ["Contents by mass mix in proportion to the masses; volumes do not.",
             ("Probability of conforming with a flat prior: the assays alone say what is known "
              f"({written_probability(together)}).")]
    if guard:
        notes.append(f"The limits were moved inwards by {guard:g} standard uncertainties to keep the probability "
                     "wanted.")
    if any(quantity.uncertainty is None for lot in blend.lots for quantity in lot.contents.values()):
        notes.append("Contents without a stated uncertainty are taken as exact, which they are not.")
    return tuple(notes)
