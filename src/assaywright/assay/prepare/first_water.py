"""How much of the water goes into the vessel before the substance: nearly all of it, where a strong mixture could hurt.

A mixture stronger than the one to be made is hotter, may be more than dissolves, and takes the rest of the water while
it is strong. So only what is needed to come to the mass, or to the mark, is kept back.
"""

import math
from dataclasses import dataclass

from assaywright.assay.prepare.make import Plan
from assaywright.assay.prepare.result import Portion
from assaywright.assay.prepare.safety import SPITS_DEGC, STRONG_PERCENT, corrodes
from assaywright.chemistry.heat import HeatPortion, Warming
from assaywright.chemistry.heat_of_adding import warmest_where_they_meet
from assaywright.chemistry.solute import Solute
from assaywright.metrology.rounding import decimal_of_result, round_to_significant

STIR_FIRST = 2 / 3  # of the water for what neither heats nor corrodes, made up to a mark: common practice, no source
KEPT_FOR_MASS = 0.03  # of the whole, to rinse with and to come to the mass: common practice, no source
KEPT_FOR_MARK = 0.08  # of the whole, to rinse with three times and to fill to the mark: common practice, no source
KEPT_OF_WATER = 0.1  # and never more than this of the water, which is little where the solution is strong
COOL_DEGC = 40.0  # so cool it has to be before the last water comes: common practice, no source


@dataclass(frozen=True, slots=True)
class FirstWater:
    """The water before the substance.

    Fields:
        amount: that goes in first [g where weighed, else mL].
        weighed: whether it is weighed; else it is measured about.
        mass_g: of it [g].
        kept_g: that comes last [g].
        strongest_percent: of the mixture before the last water [% w/w].
        careful: whether the solution corrodes or grows warm, so that nearly all of the water goes in first.
        meets: where the last water meets the mixture, cooled to :data:`COOL_DEGC`; none where that is not known.
    """

    amount: float
    weighed: bool
    mass_g: float
    kept_g: float
    strongest_percent: float
    careful: bool
    meets: Warming | None

    @property
    def spits(self) -> bool:
        """Whether water on the mixture could boil where they meet."""
        return self.careful and _may_spit(self.meets, self.strongest_percent)


def first_water(plan: Plan, portions: tuple[Portion, Portion], solute: Solute, *, warms: bool) -> FirstWater:
    """Return the water that goes in before the substance.

    By mass all of it is weighed, and next to nothing is kept back; nothing at all where water on the mixture could
    boil. Towards a mark so much is kept back as rinsing and filling take.

    Arguments:
        plan, portions: the amounts, the stronger first.
        solute: of the solution.
        warms: whether it grows warm by more than a little.
    """
    strong, weak = portions
    careful = warms or corrodes(solute)
    measuring = plan.stocks[1].source.measuring
    weighed = plan.volume_mL is None and not measuring.by_volume
    kept_g = 0.0  # a weaker stock goes in whole
    if plan.stocks[1].source.form == "diluent":
        kept_g = _kept_g(strong, weak, to_mark=plan.volume_mL is not None, careful=careful)
    held_g = strong.mass_g * min(plan.stocks[0].content.value, 100.0) / 100

    def after(kept_g: float) -> tuple[float, Warming | None]:
        percent = 100 * held_g / (strong.mass_g + weak.mass_g - kept_g)
        return percent, _meeting(solute, percent)

    percent, meets = after(kept_g)
    if weighed:
        amount = measuring.rounded(weak.amount - kept_g)
        if not 0 < amount < weak.amount or (careful and _may_spit(meets, percent)):
            amount = weak.amount
        mass_g = amount
    else:
        volume_mL = weak.volume_mL or weak.mass_g
        amount = _printed_mL(volume_mL * (1 - kept_g / weak.mass_g) if weak.mass_g > 0 else 0.0, volume_mL,
                             careful=careful)
        mass_g = min(amount / volume_mL * weak.mass_g, weak.mass_g) if volume_mL > 0 else 0.0
    percent, meets = after(weak.mass_g - mass_g)
    return FirstWater(amount, weighed, mass_g, weak.mass_g - mass_g, percent, careful, meets)


def _kept_g(strong: Portion, weak: Portion, *, to_mark: bool, careful: bool) -> float:
    """Return the water kept back [g]."""
    if to_mark and not careful:
        return (1 - STIR_FIRST) * weak.mass_g
    share = KEPT_FOR_MARK if to_mark else KEPT_FOR_MASS
    return min(share * (strong.mass_g + weak.mass_g), KEPT_OF_WATER * weak.mass_g)


def _printed_mL(first_mL: float, whole_mL: float, *, careful: bool) -> float:
    """Return a volume as it is printed, in few figures; where care is due never less than it was."""
    if not careful:
        return float(round_to_significant(decimal_of_result(first_mL), 2 if first_mL >= 1000 else 1))
    if not first_mL > 0:
        return 0.0
    for figures in (2, 3):
        step = 10.0 ** (math.floor(math.log10(first_mL)) + 1 - figures)
        rounded = math.ceil(first_mL / step - 1e-9) * step
        if rounded <= first_mL + (whole_mL - first_mL) / 2:
            return rounded
    return first_mL


def _meeting(solute: Solute, percent: float) -> Warming | None:
    return warmest_where_they_meet(solute, HeatPortion(1.0, percent, COOL_DEGC), HeatPortion(1.0, 0.0))


def _may_spit(meets: Warming | None, percent: float) -> bool:
    return percent >= STRONG_PERCENT if meets is None else meets.final_degC >= SPITS_DEGC
