"""What comes of a preparation: the amounts, the content they give, heat, steps and cautions."""

import math
from dataclasses import dataclass

from assaywright.assay.corrections.delivered_volume import whole_burette
from assaywright.assay.prepare.form import Preparation
from assaywright.chemistry.heat import Warming
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.model import Model
from assaywright.metrology.monte_carlo import Simulation
from assaywright.metrology.rounding import report
from assaywright.metrology.working import Working


@dataclass(frozen=True, slots=True)
class Portion:
    """One amount to measure out.

    Fields:
        name: of the source.
        text: the amount in whole steps of its instrument, or "to the mark".
        amount: [g or mL], as rounded.
        mass_g: of it [g].
        volume_mL: of it, where a density is known [mL].
        exact: before rounding [g or mL].
        lot: of the source.
        instrument: with which it is measured out.
        formula: of a solid, with its molar mass, as the bottle has to say; empty for a liquid.
    """

    name: str
    text: str
    amount: float
    mass_g: float
    volume_mL: float | None
    exact: float
    lot: str = ""
    instrument: str = ""
    formula: str = ""


@dataclass(frozen=True, slots=True)
class Share:
    """One influence on a content: what it adds [unit of the content] and its share of the variance."""

    label: str
    contribution: float
    share: float


@dataclass(frozen=True, slots=True)
class Safety:
    """What to know before the first step.

    Fields:
        first: order of addition and heat, in sentences.
        statements: hazards of what is used and of what is made.
        protection: what to wear.
        deferral: who has the last word.
    """

    first: tuple[str, ...]
    statements: tuple[str, ...]
    protection: tuple[str, ...]
    deferral: str


@dataclass(frozen=True, slots=True)
class Prepared:
    """A preparation worked out.

    Fields:
        portions: what to measure out, in the order of addition.
        result: the content that the rounded amounts give, with its influences.
        model, working: of the content.
        simulation: by Monte Carlo, of the same model.
        budget: the influences, the greatest first.
        warming: how warm it gets; none where it is not known.
        heat_note: said of that.
        safety: cautions.
        steps: in order.
        notes: what to know of the amounts.
        to_check: what speaks against the sheet as it stands, to be cleared first.
    """

    preparation: Preparation
    solute: Solute
    portions: tuple[Portion, ...]
    result: Estimate
    model: Model
    working: Working
    simulation: Simulation | None
    budget: tuple[Share, ...]
    warming: Warming | None
    heat_note: str
    safety: Safety
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    to_check: tuple[str, ...] = ()

    @property
    def off_target(self) -> float:
        """How far the content lies from the one wanted, because of rounding [1]."""
        wanted = float(self.preparation.content.value)
        return self.result.value / wanted - 1


def expanded(estimate: Estimate) -> tuple[float, float]:
    """Return expanded uncertainty [unit of the estimate] and coverage factor, for 95 %."""
    factor = coverage_factor(estimate.degrees_of_freedom)
    return factor * estimate.standard_uncertainty, factor


def printed(estimate: Estimate) -> tuple[str, str]:
    """Return value and expanded uncertainty as printed; six digits and nothing where there is no uncertainty."""
    uncertainty, _ = expanded(estimate)
    if uncertainty <= 1e-9 * abs(estimate.value):
        return f"{estimate.value:.6g}", ""
    return report(estimate.value, uncertainty)


def shares(estimate: Estimate) -> tuple[Share, ...]:
    """Return the influences on an estimate, the greatest first; those of less than a millionth are left out.

    A burette's errors along its scale stand together as one: independent of each other, so that their squares add.
    """
    variance = estimate.variance
    together: dict[str, Share] = {}
    for part in estimate.contributions:
        if not variance:
            break
        key, label = whole_burette(part.key), part.label or part.key
        one = Share(label, part.amount, part.amount**2 / variance)
        if key != part.key:
            other = together.get(key)
            size = math.hypot(part.amount, other.contribution if other else 0.0)
            one = Share(whole_burette(label), size, size**2 / variance)
        together[key] = one
    return tuple(sorted((one for one in together.values() if one.share > 1e-6), key=lambda one: -one.share))
