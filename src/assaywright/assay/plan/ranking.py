"""Which option is best, by one rule that can be said in a sentence."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from assaywright.assay.observations import Solution
from assaywright.assay.plan.grid import WANTED_USE, Array, Indices, Truths
from assaywright.assay.plan.predict import Predicted
from assaywright.assay.plan.setup import Setup
from assaywright.assay.plan.steps import minutes_of

STEP_OF_TIME_MIN = 10.0  # bench times that lie closer together are not told apart
SIX_DIGITS = 6  # to which uncertainties are compared, so that arithmetic noise ranks nothing
SHOWN = 8
HELD_LAST = " Solutions past their date, or held for another reason, rank behind all others."
RULE_WANTED = ("Of the combinations that use 30 to 100 % of the burette (USP <541>, less a hundredth for the start), "
               "those that reach the uncertainty wanted come first; among them the shortest bench time to the next 10 "
               "min, then the smaller uncertainty, then the burette use nearest 80 %, then the less titrant.")
RULE_OPEN = ("Of the combinations that use 30 to 100 % of the burette (USP <541>, less a hundredth for the start), the "
             "smallest uncertainty with the method's number of determinations comes first, then the shortest bench "
             "time to the next 10 min, then the burette use nearest 80 %, then the less titrant.")


@dataclass(frozen=True, slots=True)
class Ranked:
    """All feasible combinations in order.

    Fields:
        parts: by method, way and balance.
        part, within: which of the parts each combination belongs to, and its number there, best first.
        relative: expanded uncertainty as a share of the nominal content [1], in that order.
        minutes: rough bench time [min], in that order.
        reaches: whether the uncertainty wanted is reached, in that order.
    """

    parts: Sequence[Predicted]
    part: Indices
    within: Indices
    relative: Array
    minutes: Array
    reaches: Truths

    def setup(self, place: int) -> Setup:
        """Return the setup at a place of the ranking, with its determinations."""
        found, number = self.parts[self.part[place]], int(self.within[place])
        setup: Setup = found.expected.setup(number)
        return replace(setup, determinations=int(found.determinations[number]))

    def use(self, place: int) -> float:
        """Return the share of the burette that is used at a place [1]."""
        return float(self.parts[self.part[place]].expected.use[self.within[place]])


def ranked(parts: Sequence[Predicted], *, wanted: bool, held: Sequence[Solution] = ()) -> Ranked:
    """Return the feasible combinations by the rule.

    Arguments:
        parts: as predicted.
        wanted: whether an uncertainty is wanted that at least one reaches; else the smallest uncertainty leads.
        held: solutions whose result would be held back from release; what uses one comes last.
    """
    part = np.concatenate([np.full(len(one.reaches), number) for number, one in enumerate(parts)])
    within = np.concatenate([np.arange(len(one.reaches)) for one in parts])
    relative = np.concatenate([one.expanded / abs(one.expected.grid.nominal) for one in parts])
    reaches = np.concatenate([one.reaches for one in parts])
    use = np.concatenate([one.expected.use for one in parts])
    titrant = np.concatenate([one.expected.readings.titre_mL * one.determinations for one in parts])
    minutes = np.concatenate([_minutes(one) for one in parts])
    step = np.ceil(minutes / STEP_OF_TIME_MIN)
    small, from_usual, used = (_to_six_digits(one) for one in (relative, abs(use - WANTED_USE), titrant))
    late = np.concatenate([held_among(one, held) for one in parts])
    first = (late, ~reaches, step, small) if wanted else (late, small, step)
    order = np.lexsort([np.arange(len(part)), used, from_usual, *reversed(first)])
    return Ranked(parts, part[order], within[order], relative[order], minutes[order], reaches[order])


def held_among(one: Predicted, held: Sequence[Solution]) -> Truths:
    """Return which combinations use a solution whose result would be held back.

    Arguments:
        one: the combinations.
        held: such solutions.
    """
    grid = one.expected.grid
    found = np.full(len(grid), grid.base.against in held)
    for name in ("titrant", "reagent"):
        if name in grid.index:
            found |= np.array([each in held for each in grid.choices[name]])[grid.index[name]]
    return found


def _minutes(one: Predicted) -> Array:
    base = one.expected.grid.base
    known = {n: minutes_of(base, n) for n in np.unique(one.determinations).tolist()}
    return np.array([known[n] for n in one.determinations.tolist()])


def _to_six_digits(values: Array) -> Array:
    rounded = np.array([float(f"{value:.{SIX_DIGITS - 1}e}") for value in values.tolist()])
    return np.where(rounded < 1e-9, 0.0, rounded)


def chosen(found: Ranked, shown: int = SHOWN) -> list[int]:
    """Return the places of the options to show, best first.

    They are the best of each way of taking the portion, the best of each method with its form of a blank, and the best
    of the rest. Vessels of the same size count as one and the same.
    """
    kinds: dict[tuple[object, ...], int] = {}
    firsts: dict[object, int] = {}
    bases = [one.expected.grid.base for one in found.parts]
    wanted = {one.way for one in bases} | {(one.method.name, one.blanks) for one in bases}
    for place in range(len(found.part)):
        base = bases[found.part[place]]
        for first in (base.way, (base.method.name, base.blanks)):
            firsts.setdefault(first, place)
        if len(kinds) < 40:
            kinds.setdefault(_kind(found.setup(place)), place)
        elif len(firsts) >= len(wanted):
            break
    kept = list(dict.fromkeys(firsts.values()))
    for place in kinds.values():
        if len(kept) >= shown:
            break
        if place not in kept:
            kept.append(place)
    return sorted(kept)


def _kind(setup: Setup) -> tuple[object, ...]:
    sizes = tuple(one.nominal.to("mL") if one is not None else 0.0
                  for one in (setup.burette, setup.pipette, setup.flask, setup.aliquot, setup.excess))
    names = tuple(one.name if one is not None else "" for one in (setup.titrant, setup.reagent, setup.against))
    return setup.method.name, setup.way, setup.blanks, names, sizes
