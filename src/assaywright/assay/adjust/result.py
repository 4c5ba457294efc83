"""What comes of an adjustment: what to add, the content that gives, and how likely the lot then conforms."""

from dataclasses import dataclass

from assaywright.assay.adjust.form import Adjustment
from assaywright.assay.plan.guide import BenchGuide
from assaywright.assay.plan.result import Plan
from assaywright.assay.prepare.result import Safety, Share
from assaywright.chemistry.heat import Warming
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.model import Model
from assaywright.metrology.working import Working


@dataclass(frozen=True, slots=True)
class Chances:
    """How a content lies to its limits, by simulation.

    Fields:
        conforms, below, above: probabilities; they add up to one.
        trials, seed: of the simulation.
    """

    conforms: float
    below: float
    above: float
    trials: int
    seed: int


@dataclass(frozen=True, slots=True)
class Landing:
    """One addition and where it brings the lot.

    Fields:
        amount: to add, in whole steps [g or mL].
        text: the same, as printed.
        mass_g: of it [g].
        volume_mL: of it, where its density is known [mL].
        exact: before rounding [g or mL].
        result: predicted content, with its influences.
        chances: of the lot, after it.
        overshoot: probability of landing beyond the far limit, where more of the same cannot help.
    """

    amount: float
    text: str
    mass_g: float
    volume_mL: float | None
    exact: float
    result: Estimate
    chances: Chances
    overshoot: float


@dataclass(frozen=True, slots=True)
class TwoSteps:
    """The careful way: a part first, a new assay, then the rest.

    Fields:
        first: the largest addition that practically never passes the content aimed at.
        second_text: about how much is left for the second step; the new assay decides.
        chances: after the second step, supposing an assay as uncertain as the first.
        advised: whether the risk of overshoot in one step is greater than accepted, and that of two clearly less.
        overshoot: probability of landing beyond the far limit after the second step [1].
    """

    first: Landing
    second_text: str
    chances: Chances
    advised: bool
    overshoot: float


@dataclass(frozen=True, slots=True)
class Reassay:
    """The assay that decides after the addition.

    Fields:
        told: how it is done and what it is expected to give, in sentences, or why there is no plan.
        cautions, take: before it begins, and what is taken for it, in order.
        plan, guide: as worked out; the plan's first option is meant. None where no plan could be made.
    """

    told: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    take: tuple[str, ...] = ()
    plan: Plan | None = None
    guide: BenchGuide | None = None


@dataclass(frozen=True, slots=True)
class Adjusted:
    """An adjustment worked out; a person decides.

    Fields:
        found: the assay's content, after the prior where there is one.
        as_it_is: chances of the lot without adjustment.
        aimed: content aimed at [unit of the nominal].
        diluting: whether the content is brought down.
        landing: the addition in one step.
        two_steps: the careful way; none where the addition is too small to part.
        mass_before_g, mass_after_g: of what is mixed [g].
        volume_after_mL, free_mL: in the tank, where they could be found [mL].
        prior: what the probabilities suppose, in words.
        sampling: where to sample, and what the samples have to agree to.
        reassay: the assay of these samples.
        to_check: what speaks against the sheet as it stands, to be cleared first.
    """

    adjustment: Adjustment
    solute: Solute
    found: Estimate
    as_it_is: Chances
    aimed: float
    diluting: bool
    landing: Landing
    two_steps: TwoSteps | None
    mass_before_g: float
    mass_after_g: float
    volume_after_mL: float | None
    free_mL: float | None
    prior: str
    model: Model
    working: Working
    budget: tuple[Share, ...]
    warming: Warming | None
    safety: Safety
    steps: tuple[str, ...]
    sampling: tuple[str, ...]
    reassay: Reassay
    notes: tuple[str, ...]
    to_check: tuple[str, ...] = ()
