"""The lot in its tank and what may be added to it, as they go into the balance of masses."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from assaywright.assay.adjust.form import Adjustment
from assaywright.assay.adjust.near_table import density_near_table
from assaywright.assay.adjust.own_assay import assayed
from assaywright.assay.prepare.contents import (
    FinalDensity,
    content_estimate,
    final_density,
    mass_percent_of,
    water_density,
)
from assaywright.assay.prepare.label import check_diluent, check_label
from assaywright.assay.prepare.mixture import Part, mixture_model
from assaywright.assay.prepare.named import counting_named, solute_named
from assaywright.assay.stated import stated_estimate
from assaywright.chemistry.content import Content, Known, Wanted, convert
from assaywright.chemistry.content_units import is_by_volume
from assaywright.chemistry.counting import Counting
from assaywright.chemistry.density import REFERENCE_DEGC, solution_density
from assaywright.chemistry.solute import Solute
from assaywright.metrology.conformity_risk import NormalPrior, posterior
from assaywright.metrology.estimate import Contribution, Estimate, exact, influence, influence_key
from assaywright.metrology.model import Model, evaluate_plain
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import kind_of

Opener = Callable[[str], bytes]
FLAT = "flat prior: the assay alone says what is known of the lot"


@dataclass(frozen=True, slots=True)
class TankedLot:
    """Lot, tank and addition, ready for any amount.

    Fields:
        found: content as assayed, in its own unit, after the prior.
        content: the same by mass [% w/w].
        added: content of the addition [% w/w].
        lot_density: at the tank's temperature [g/mL]; none where it is not known.
        added_density: [g/mL]; none where it is not known.
        aimed: content by mass that stands for the content aimed at, with the mixture's density there; the density
            is none for a content by mass where it is not known.
        aim_percent: content aimed at [% w/w].
        prior: in words.
    """

    adjustment: Adjustment
    solute: Solute
    counting: Counting | None
    found: Estimate
    content: Estimate
    added: Estimate
    lot_density: Estimate | None
    added_density: Estimate | None
    mixture: FinalDensity | None
    prior: str

    @property
    def unit(self) -> str:
        """Unit of nominal content, limits and result."""
        return self.adjustment.nominal.unit

    @property
    def by_gauge(self) -> bool:
        """Whether a volume is read on the tank."""
        return kind_of(self.adjustment.tank.amount.unit) == "volume"

    @property
    def mass_g(self) -> float:
        """Mass of what is mixed [g]."""
        tank = self.adjustment.tank
        dead_g = tank.dead_leg.to("g") if tank.dead_leg else 0.0
        if not self.by_gauge:
            return tank.amount.to("g") - dead_g
        return tank.amount.to("mL") * _needed(self.lot_density, "the lot").value - dead_g

    def model(self, amount: float) -> Model:
        """Return the model of the content after an addition [g or mL]."""
        density = self.mixture if is_by_volume(self.unit) else None
        return mixture_model((self._in_tank(), self._addition(amount)), self.solute, self.unit, density=density,
                             counting=self.counting)

    def content_after(self, amount: float) -> float:
        """Return the content after an addition [g or mL], without uncertainty [unit of the nominal]."""
        return evaluate_plain(self.model(amount))[0]

    def amount_for(self, percent: float) -> float:
        """Return how much brings the lot to a content by mass [% w/w]: a = m (w - w_t)/(w_t - w_a) [g or mL].

        Source: conservation of mass.
        """
        mass_g = self.mass_g * (self.content.value - percent) / (percent - self.added.value)
        return self.in_measure(mass_g)

    def in_measure(self, mass_g: float) -> float:
        """Return the amount of the addition that has a mass [g or mL]."""
        if not self.adjustment.addition.measuring.by_volume:
            return mass_g
        return mass_g / _needed(self.added_density, self.adjustment.addition.name).value

    def mass_of(self, amount: float) -> float:
        """Return the mass of an amount of the addition [g]."""
        if not self.adjustment.addition.measuring.by_volume:
            return amount
        return amount * _needed(self.added_density, self.adjustment.addition.name).value

    def percent_of(self, value: float) -> float:
        """Return a content in the unit of the nominal as one by mass [% w/w]."""
        if not is_by_volume(self.unit):
            content = Content(exact(value, self.unit), self.solute)
            return convert(content, Wanted("% w/w"), Known(self.counting)).estimate.value
        return _anchored(value, self.adjustment, self.solute, self.counting).mass_percent

    def _in_tank(self) -> Part:
        tank = self.adjustment.tank
        name = tank.identity or "tank"
        unit = "mL" if self.by_gauge else "g"
        stated = Refusal.unless(tank.amount.uncertainty, "no uncertainty")
        what = "level gauge" if self.by_gauge else "load cell"
        error = influence(
            influence_key("tank", name, "as stated", what), 0.0, tank.amount.uncertainty_in(unit), unit,
            degrees_of_freedom=stated.degrees_of_freedom, distribution=stated.distribution,
            label=f"{what} of {name}")
        unmixed = None
        if tank.dead_leg is not None:
            unmixed = stated_estimate(influence_key("tank", name, "as stated", "dead leg"), tank.dead_leg, "g",
                                      f"dead leg of {name}")
        return Part("T", "the lot in the tank", tank.amount.to(unit), error, self.content,
                    self.lot_density if self.by_gauge else None, unmixed, "", f"{what} of {name}", "",
                    "assay of the lot",
                    "measured" if tank.density else "table of densities")

    def _addition(self, amount: float) -> Part:
        addition = self.adjustment.addition
        key = influence_key("measuring", addition.measuring.instrument or addition.name,
                            self.adjustment.head.identity or "as stated", f"amount of {addition.name}")
        error = addition.measuring.error(key, f"measuring {addition.name}")
        if amount == 0:
            error = exact(0.0, error.unit)  # what is not added cannot be measured wrongly
        return Part("A", addition.name, amount, error, self.added,
                    self.added_density if addition.measuring.by_volume else None, None, "",
                    addition.measuring.instrument, "", addition.content.text if addition.content else "")


def tanked(adjustment: Adjustment, opener: Opener) -> TankedLot:
    """Return lot, tank and addition, with everything converted that has to be.

    Arguments:
        adjustment: as read.
        opener: returns the bytes of the worksheet that the assay names.

    Raises:
        Refusal: a density that is needed and neither given nor held; a worksheet that cannot be read or is held back;
            nothing that mixes.
    """
    solute = solute_named(adjustment.substance)
    counting = counting_named(solute, adjustment.reaction)
    found, prior = _after_prior(assayed(adjustment, solute, opener), adjustment)
    density = _stated(adjustment.assay.density, adjustment, "density of the lot")
    content = mass_percent_of(found, solute, counting, density, adjustment.assay.content.text
                              if adjustment.assay.content else "")
    added = _added(adjustment, solute, counting)
    mixture = None
    if is_by_volume(adjustment.nominal.unit):
        mixture = _anchored(aim_value(adjustment), adjustment, solute, counting,
                            (content.value, density) if density else None)
    lot = TankedLot(
        adjustment, solute, counting, found, content, added, _lot_density(adjustment, solute, content, density),
        _added_density(adjustment, solute, added), mixture, prior)
    if not lot.mass_g > 0:
        dead = adjustment.tank.dead_leg.text if adjustment.tank.dead_leg else "nothing"
        raise Refusal(f"the dead leg, {dead}, is as much as all that is read, {adjustment.tank.amount.text}, so that "
                      "nothing is left to mix", where="tank",
                      remedy="check both; a lot that stands in the dead leg alone is drawn off, not adjusted")
    return lot


def aim_value(adjustment: Adjustment) -> float:
    """Return the content aimed at where it is stated: the nominal one, or another [unit of the nominal]."""
    landing = adjustment.aim.content or adjustment.nominal
    return landing.to(adjustment.nominal.unit)


def _after_prior(found: Estimate, adjustment: Adjustment) -> tuple[Estimate, str]:
    """Return what is known of the lot after its assay: the assay alone, or drawn towards the product's own lots.

    Source: JCGM 106:2012, clause 6 (from memory).
    """
    prior = adjustment.assay.prior
    if prior is None:
        return found, FLAT
    mean, deviation = (one.to(found.unit) for one in prior)
    known = NormalPrior(mean, deviation)
    u = found.standard_uncertainty
    value, scale, _ = posterior(found.value, u, math.inf, known)
    shrunk = scale / u if u else 1.0
    parts = tuple(Contribution(part.key, shrunk * part.amount, math.inf, part.distribution, part.label)
                  for part in found.contributions)
    source = f" ({adjustment.assay.prior_source})" if adjustment.assay.prior_source else ""
    return Estimate(value, found.unit, parts), (
        f"prior: lots before adjustment spread normally about {mean:g} {found.unit} with standard deviation "
        f"{deviation:g} {found.unit}{source}")


def _stated(density: Quantity | None, adjustment: Adjustment, label: str) -> Estimate | None:
    if density is None:
        return None
    return stated_estimate(influence_key("lot", adjustment.lot, "as stated", label), density, "g/mL", label)


def _added(adjustment: Adjustment, solute: Solute, counting: Counting | None) -> Estimate:
    addition = adjustment.addition
    holds_nothing = addition.content is None or addition.content.value == 0
    try:
        (check_diluent if holds_nothing else check_label)(addition.name, solute)
    except Refusal as refusal:
        raise refusal.at("addition") from None
    if addition.content is None or addition.content.value == 0:
        return exact(0.0, "% w/w")
    key = influence_key("addition", f"{addition.name} {addition.lot}".strip(), "as stated", "content")
    stated = content_estimate(addition.content, key, f"content of {addition.name}")
    density = _stated(addition.density, adjustment, f"density of {addition.name}")
    return mass_percent_of(stated, solute, counting, density, addition.content.text)


def _lot_density(
    adjustment: Adjustment, solute: Solute, content: Estimate, measured: Estimate | None
) -> Estimate | None:
    """Return the density in the tank, at its temperature; needed where a gauge reads volume.

    Where only the free volume depends on it, that at 20 °C does.
    """
    tank = adjustment.tank
    stated = _stated(tank.density, adjustment, "density in the tank")
    if stated is not None:
        return stated
    degrees = tank.temperature.to("°C") if tank.temperature else REFERENCE_DEGC
    if measured is not None and degrees == REFERENCE_DEGC:
        return measured
    needed = kind_of(tank.amount.unit) == "volume"
    try:
        return density_near_table(solute, content, degrees)
    except Refusal as refusal:
        if needed:
            raise Refusal(f"the density in the tank at {degrees:g} °C is missing: {refusal.what}", where="tank",
                          remedy="give density under [tank], in g/mL, measured at that temperature, or give mass in "
                                 "place of volume") from None
    if measured is not None:
        return measured
    try:
        return solution_density(solute, content, REFERENCE_DEGC)
    except Refusal:
        return None


def _added_density(adjustment: Adjustment, solute: Solute, added: Estimate) -> Estimate | None:
    addition = adjustment.addition
    stated = _stated(addition.density, adjustment, f"density of {addition.name}")
    if stated is not None:
        return stated
    degrees = addition.temperature.to("°C") if addition.temperature else REFERENCE_DEGC
    if added.value == 0:
        return water_density(degrees)
    try:
        return density_near_table(solute, added, degrees)
    except Refusal:
        return None


def _anchored(
    value: float, adjustment: Adjustment, solute: Solute, counting: Counting | None,
    other: tuple[float, Estimate] | None = None,
) -> FinalDensity:
    """Return the mixture's density near a content by volume [unit of the nominal]."""
    content = Content(exact(value, adjustment.nominal.unit), solute)
    aimed = convert(content, Wanted("g/L"), Known(counting)).estimate.value
    return final_density(solute, exact(aimed, "g/L"), "g/L",
                         target_density=_stated(adjustment.density, adjustment, "density at the nominal content"),
                         other=other)


def _needed(density: Estimate | None, name: str) -> Estimate:
    return Refusal.unless(density, f"the density of {name} is missing: none is held, and volume is measured",
                          where="density", remedy="give density, measured, in g/mL, or measure by mass")
