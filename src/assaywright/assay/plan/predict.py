"""What to expect of each combination: titre, burette use, portion, uncertainty by number of determinations."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from scipy.special import ndtri, stdtrit

from assaywright.assay.corrections.minimum_weight import minimum_weight_mg
from assaywright.assay.observations import Balance, ReferenceMaterial
from assaywright.assay.plan.grid import LEAST_USE, Array, Grid, Indices, Readings, Truths
from assaywright.assay.plan.setup import BACK, BY_MASS, FLASK_FILLED, TARE_G, WEIGHED_DILUTION, WEIGHED_FLASK, Setup
from assaywright.assay.plan.shelf import Shelf
from assaywright.metrology.batch import BatchResult
from assaywright.reference.practice import flask_mass_g

GREATEST_USE = 1.00  # of the burette: USP <541>, read in a public transcription
ROOM_FOR_THE_START = 0.01  # of the burette, since one starts at zero or just below: common practice, no source
LEAST_LEFT = 0.10  # of a reagent in excess, at the upper limit too: common practice, no source
MOST_DETERMINATIONS = 12
FULLEST_WITH_SAMPLE = 0.5  # of a flask that the sample itself may fill: common practice, no source
OVER_THE_TOP = "more titrant than the burette holds, be it only at a limit of the specification"
TOO_LITTLE_TITRANT = "less than 30 % of the burette"
TOO_LIGHT, TOO_HEAVY = "a portion lighter than the balance or the certificate allows", "a load above the balance's"
NO_ROOM = "a portion that does not fit the flask"
USED_UP = "less than a tenth of the reagent left, be it only at the upper limit"
TOO_LITTLE_REAGENT = "a reagent that takes less than 30 % of the burette even without a sample"
BLANK_OVER = "a blank that takes more titrant than the burette holds"
COVERAGE = 0.95


@dataclass(frozen=True, slots=True)
class Expected:
    """The combinations of a grid with what is expected of them.

    Fields:
        readings: as expected.
        use: share of the burette [1].
        fault: why a combination cannot be done; empty where it can.
        off: how far it is off what can be done, by a factor [1]; 1 where it can.
    """

    grid: Grid
    readings: Readings
    use: Array
    fault: Sequence[str]
    off: Array

    def setup(self, number: int) -> Setup:
        """Return one of the combinations as a setup with its readings."""
        return self.grid.setup(number, self.readings)

    def feasible(self) -> "Expected":
        """Return those that can be done."""
        kept = np.array([n for n, fault in enumerate(self.fault) if not fault], dtype=np.intp)
        return Expected(self.grid.only(kept), self.readings.only(kept), self.use[kept], [""] * len(kept),
                        self.off[kept])


@dataclass(frozen=True, slots=True)
class Predicted:
    """Feasible combinations with their uncertainty.

    Fields:
        determinations: number of them for the uncertainty wanted, the method's own at least.
        expanded: U at 95 % with that number [unit of the result].
        reaches: whether U is as small as wanted.
    """

    expected: Expected
    determinations: Indices
    expanded: Array
    reaches: Truths


def expected_of(grid: Grid, shelf: Shelf, density_g_per_mL: float, ends: tuple[float, float] = (1.0, 1.0)) -> Expected:
    """Return what is expected of a grid's combinations.

    Arguments:
        grid: of a method and a way.
        shelf: for what its balances can take.
        density_g_per_mL: of the product, about [g/mL].
        ends: least and greatest content that still have to fit burette and reagent, as shares of the nominal one [1].
    """
    readings = grid.expected()
    use = readings.titre_mL / grid.capacity_mL()
    fault, off = np.full(len(grid), "", dtype=object), np.ones(len(grid))
    by_mass = _faults_by_mass(grid, readings.portion_g, shelf, density_g_per_mL) if grid.base.way in BY_MASS else []
    # Squared: a titrant is sooner diluted than another balance or flask is bought.
    for words, factor in [*((words, factor**2) for words, factor in by_mass), *_faults_of_titre(grid, readings, ends)]:
        plain = np.where(np.isnan(factor), np.inf, factor)
        fault[plain > 1 + 1e-9] = words
        off = np.maximum(off, plain)
    return Expected(grid, readings, use, fault.tolist(), off)


Fault = tuple[str, Array]  # what forbids a combination, and by what factor each is off; above 1 where it does


def _faults_of_titre(grid: Grid, readings: Readings, ends: tuple[float, float]) -> Iterator[Fault]:
    """Yield what forbids a titre; in a back titration the least content takes most titrant."""
    capacity, titre, blank = grid.capacity_mL(), readings.titre_mL, readings.blank_mL
    back = grid.base.method.scheme == BACK
    taken = blank - titre  # by the sample, in a back titration
    room = (GREATEST_USE - ROOM_FOR_THE_START) * capacity
    with np.errstate(divide="ignore", invalid="ignore"):
        most = (blank - taken * ends[0] if back else titre * ends[1]) * (1 + _titrant_may_be_weaker(grid))
        yield OVER_THE_TOP, most / room
        yield TOO_LITTLE_TITRANT, np.where(titre > 0, LEAST_USE * capacity / titre, np.inf)
        if back:
            yield USED_UP, taken * ends[1] / ((1 - LEAST_LEFT) * blank)
            yield TOO_LITTLE_REAGENT, LEAST_USE * capacity / blank
        if grid.base.blanks:
            yield BLANK_OVER, blank * (1 + _titrant_may_be_weaker(grid)) / room


def _titrant_may_be_weaker(grid: Grid) -> Array:
    """Return the expanded uncertainty of each titrant's concentration, relative, k = 2 [1]; zero where sought."""
    listed, alone = grid.owned.get("titrant", {}).get("c_t"), grid.model.inputs.get("c_t")
    if listed is not None:
        spreads = np.array([2 * one.standard_uncertainty / one.value for one in listed])
        return np.asarray(spreads[grid.index["titrant"]])
    one = alone.estimate if alone is not None else None
    return np.full(len(grid), 2 * one.standard_uncertainty / one.value if one is not None else 0.0)


def least_portion_g(balance: Balance | None, standard: ReferenceMaterial | None = None) -> float:
    """Return the smallest portion that balance and certificate allow [g]; zero where neither says anything.

    The balance's own minimum weight, else 2 max(s, 0.41 d)/0.10 % from its repeatability and readability.

    Source: USP <41> Balances.
    """
    least = standard.minimum_sample.to("g") if standard is not None and standard.minimum_sample is not None else 0.0
    if balance is None:
        return least
    if balance.minimum_weight is not None:
        return max(least, balance.minimum_weight.to("g"))
    if balance.readability is None:
        return least
    scatter = Decimal(repr(balance.repeatability.to("mg"))) if balance.repeatability is not None else Decimal(0)
    minimum = minimum_weight_mg(scatter, Decimal(repr(balance.readability.to("mg"))))
    return max(least, float(minimum) / 1000)


def _faults_by_mass(grid: Grid, portion_g: Array, shelf: Shelf, density_g_per_mL: float) -> list[Fault]:
    """Return what forbids a mass."""
    base = grid.base
    if base.balance is None:
        raise RuntimeError("a weighed portion without a balance, a fault of the program")
    load = portion_g + TARE_G
    found: list[Fault] = []
    if base.way in (WEIGHED_FLASK, WEIGHED_DILUTION):
        flask = np.array([one.nominal.to("mL") for one in grid.choices["flask"]])[grid.index["flask"]]
        found.append((NO_ROOM, portion_g / density_g_per_mL / (FULLEST_WITH_SAMPLE * flask)))
        if base.way == WEIGHED_DILUTION:
            tare = np.array([flask_mass_g(one) for one in flask.tolist()])
            load = np.maximum(load, FLASK_FILLED * flask + tare)
    most = shelf.capacity_g(base.balance)
    if most is not None:
        found.append((TOO_HEAVY, load / most))
    with np.errstate(divide="ignore"):
        least = least_portion_g(base.balance, base.standard)
        return [*found, (TOO_LIGHT, np.where(portion_g > 0, max(least, 1e-12) / portion_g, np.inf))]


def predicted(expected: Expected, wanted: float | None) -> Predicted:
    """Return the uncertainty of feasible combinations, and how many determinations reach the one wanted.

    u^2 = u_s^2 + s_r^2/n: what is systematic enters once, after the mean; U = t(nu_eff) u at 95 %.

    Arguments:
        expected: feasible ones.
        wanted: expanded uncertainty [unit of the result]; None for the method's own number of determinations.

    Source: JCGM 100:2008, 5.1.2, G.3 and G.4.1.
    """
    grid = expected.grid
    found = grid.propagated(expected.readings)
    least = grid.base.method.replicates
    number = np.full(len(grid), least)
    expanded = expanded_by_number(found, number)
    if wanted is not None:
        for more in range(least + 1, MOST_DETERMINATIONS + 1):
            short = expanded > wanted
            if not short.any():
                break
            at_more = expanded_by_number(found, np.full(len(grid), more))
            number, expanded = np.where(short, more, number), np.where(short, at_more, expanded)
    reaches = expanded <= wanted if wanted is not None else np.ones(len(grid), dtype=bool)
    if wanted is not None:  # where no number is enough, the method's own is shown
        own = expanded_by_number(found, np.full(len(grid), least))
        number, expanded = np.where(reaches, number, least), np.where(reaches, expanded, own)
    return Predicted(expected, number, expanded, reaches)


def expanded_by_number(found: BatchResult, number: Indices) -> Array:
    """Return the expanded uncertainty at 95 % with a number of determinations [unit of the result].

    Arguments:
        found: of one determination each; the repeatability is the influence of that name.
        number: of determinations, one for each combination.
    """
    variance, fourth = np.zeros(len(number)), np.zeros(len(number))
    for key, amounts in found.contributions.items():
        squares = amounts * amounts
        if "|repeatability of " in key:
            squares = squares / number
        variance += squares
        fourth += squares * squares / found.influences[key].degrees_of_freedom
    with np.errstate(divide="ignore"):
        freedom = np.where(fourth > 0, variance**2 / np.where(fourth > 0, fourth, 1.0), np.inf)
    tail = 0.5 + COVERAGE / 2
    factor = np.where(np.isinf(freedom), ndtri(tail), stdtrit(np.where(np.isinf(freedom), 1.0, freedom), tail))
    return np.asarray(factor * np.sqrt(variance))
