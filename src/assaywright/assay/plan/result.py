"""What a plan concludes: the options, best first, each with what is expected of it, and why the best is best."""

from dataclasses import dataclass

from assaywright.assay.plan.product import Product
from assaywright.assay.plan.setup import Setup
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.result import BudgetLine, Result


@dataclass(frozen=True, slots=True)
class Influence:
    """A share of the variance that one thing on the shelf, or one habit of the bench, brings.

    Fields:
        name: in words ("burette B-07").
        share: of the variance [1].
    """

    name: str
    share: float


@dataclass(frozen=True, slots=True)
class Step:
    """A step at the bench: what, how often, and about how long it takes in all [min]."""

    name: str
    times: int
    minutes: float


@dataclass(frozen=True, slots=True)
class Risks:
    """Global risks for the product's own lots (JCGM 106:2012, 9.5): to accept a bad lot, to reject a good one."""

    consumer: float
    producer: float


@dataclass(frozen=True, slots=True)
class OtherIndicator:
    """An indicator beside the method's own that the computed curve finds good enough, and what it would give.

    Fields:
        name: of it.
        colours: before, at and after its endpoint, in words.
        titration_error_mL: volume at the endpoint colour less equivalence volume, computed [mL].
        standard_uncertainty_mL: of that error, from the tint taken for the end and the last half drop [mL].
        relative_uncertainty: expanded, of the result with it, the error left in the uncertainty [1].
        reaches: whether the uncertainty wanted is reached with it; true when none is wanted.
    """

    name: str
    colours: tuple[str, str, str]
    titration_error_mL: float
    standard_uncertainty_mL: float
    relative_uncertainty: float
    reaches: bool


@dataclass(frozen=True, slots=True)
class Option:
    """One feasible way with what is expected of it.

    Fields:
        number: place in the ranking among those shown, from 1.
        setup: with its determinations, titre and mass.
        result: expected, at the nominal content, propagated as an evaluation would.
        budget: of that result.
        influences: the budget gathered by object, largest first.
        burette_use: titre over the burette's scale [1].
        reaches: whether the uncertainty wanted is reached; true when none is wanted.
        share_of_width: 2U as a share of the specification's width [1]; None where it is not two-sided.
        risks: None without limits or without a prior for the lots.
        titrant_mL: from the burette for all determinations and the blanks titrated likewise, rinsing apart [mL].
        steps: at the bench.
        other_indicators: that the computed curve finds as good, beside the method's own.
        further: what the same titrations say besides: hydroxide and carbonate of an alkali.
        remarks: what the method itself says against the way, in sentences.
        held: why its result would be held back from release for its solutions, in sentences.
    """

    number: int
    setup: Setup
    result: Result
    budget: tuple[BudgetLine, ...]
    influences: tuple[Influence, ...]
    burette_use: float
    reaches: bool
    share_of_width: float | None
    risks: Risks | None
    titrant_mL: float
    steps: tuple[Step, ...]
    other_indicators: tuple[OtherIndicator, ...] = ()
    further: tuple[Result, ...] = ()
    remarks: tuple[str, ...] = ()
    held: tuple[str, ...] = ()

    @property
    def relative_uncertainty(self) -> float:
        """Expanded uncertainty as a share of the value [1]."""
        return self.result.expanded_uncertainty / abs(self.result.estimate.value)

    @property
    def minutes(self) -> float:
        """Rough bench time [min]."""
        return sum(one.minutes for one in self.steps)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a feasible combination stands on the chart: way, bench time [min], relative uncertainty [1]."""

    way: str
    minutes: float
    relative_uncertainty: float


@dataclass(frozen=True, slots=True)
class Plan:
    """What is feasible with the shelf, best first.

    Fields:
        product: None for a standardisation.
        title: what is planned, in words.
        wanted: expanded uncertainty wanted [unit of the result]; None where none was.
        wanted_from: where that comes from, in words.
        rule: how the options were ranked, in one sentence.
        why: why the best is best and what limits it, in one sentence.
        options: those shown, best first.
        considered, feasible, reaching: numbers of combinations.
        places: of all feasible combinations, for the chart.
        notes: what was left out or assumed.
    """

    product: Product | None
    shelf: Shelf
    title: str
    wanted: float | None
    wanted_from: str
    rule: str
    why: str
    options: tuple[Option, ...]
    considered: int
    feasible: int
    reaching: int
    places: tuple[Place, ...] = ()
    notes: tuple[str, ...] = ()
