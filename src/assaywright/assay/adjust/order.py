"""Which goes into which in a tank: water is not poured onto strong acid; the sentence says how it is done instead."""

from assaywright.assay.adjust.lot import TankedLot
from assaywright.assay.adjust.result import Landing
from assaywright.assay.prepare.safety import SPITS_DEGC, STRONG_PERCENT, corrodes, groups_of
from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.chemistry.heat import HeatPortion, Warming
from assaywright.chemistry.heat_of_adding import warmest_where_they_meet
from assaywright.metrology.refusal import Refusal


def in_the_tank(lot: TankedLot) -> HeatPortion:
    """Return what stands in the tank, for a balance of heat."""
    tank = lot.adjustment.tank
    return HeatPortion(lot.mass_g, lot.content.value, tank.temperature.to("°C") if tank.temperature else REFERENCE_DEGC)


def added_to_it(lot: TankedLot, mass_g: float) -> HeatPortion:
    """Return so much of the addition [g], for a balance of heat."""
    addition = lot.adjustment.addition
    return HeatPortion(mass_g, lot.added.value,
                       addition.temperature.to("°C") if addition.temperature else REFERENCE_DEGC)


def check_order(lot: TankedLot, landing: Landing) -> None:
    """Refuse water, or a weaker acid or caustic, on one so strong that it would boil where they meet.

    Arguments:
        lot: in its tank.
        landing: what would be added.

    Raises:
        Refusal: the sentence says how hot it would get, and that the stronger goes into the weaker instead.

    Source: never water into strong acid: common practice, no source; the heat from the tables of heats of dilution.
    """
    if lot.added.value >= lot.content.value or not corrodes(lot.solute):
        return
    heat = _meeting(lot)
    if heat is None and not ("acids" in groups_of(lot.solute) and lot.content.value >= STRONG_PERCENT):
        return
    if heat is not None and heat.final_degC < SPITS_DEGC:
        return
    told = ("how hot it gets where they meet is not known" if heat is None else
            f"where they meet it gets up to {heat.at_most_degC} °C, boils and spits")
    name = lot.adjustment.addition.name
    raise Refusal(
        f"{landing.text} of {name} would be poured onto {lot.solute.name} of {lot.content.value:.3g} % w/w: {told}",
        where="addition",
        remedy=f"put {landing.text} of {name} into a second vessel first and the stronger slowly into it with cooling "
               "(assaywright prepare writes that sheet), or name an addition nearer in strength")


def where_they_meet(lot: TankedLot) -> list[str]:
    """Return what is to be said of the layer in which the weaker meets the stronger; nothing where it stays cool."""
    heat = _meeting(lot)
    if heat is None or not heat.notable:
        return []
    return [(f"Where it meets the lot, before it is mixed, up to {heat.at_most_degC} °C: add it where the circulation "
             "parts it at once.")]


def _meeting(lot: TankedLot) -> Warming | None:
    return warmest_where_they_meet(lot.solute, in_the_tank(lot), added_to_it(lot, 1.0))
