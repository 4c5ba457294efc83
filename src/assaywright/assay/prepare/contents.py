"""Contents as they are stated, brought to the one form in which masses balance: per cent of the solution's mass."""

from dataclasses import dataclass

from assaywright.chemistry.content import Content, Known, Wanted, convert
from assaywright.chemistry.counting import Counting
from assaywright.chemistry.density import REFERENCE_DEGC, mass_percent_from_mass_concentration
from assaywright.chemistry.density_curve import density_curve
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.solute import Solute
from assaywright.chemistry.water import water_density_tanaka2001
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, combine, exact, influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

WATER_HALF_WIDTH_G_PER_ML = 0.0002  # air, purity and a degree or so of temperature: our own allowance


@dataclass(frozen=True, slots=True)
class FinalDensity:
    """The density of the mixture near the content aimed at: a straight line in the mass per cent.

    Fields:
        mass_percent: w_0, the content aimed at [% w/w].
        density: there [g/mL].
        slope: [g/mL per % w/w]
        source: who measured it.
    """

    mass_percent: float
    density: Estimate
    slope: float
    source: str


def content_estimate(stated: Quantity, key: str, label: str, unit: str = "") -> Estimate:
    """Return a stated content with its uncertainty, in its own unit or another of the same kind."""
    wanted = unit or stated.unit
    uncertainty = stated.uncertainty
    return influence(key, stated.to(wanted), stated.uncertainty_in(wanted), wanted,
                     degrees_of_freedom=uncertainty.degrees_of_freedom if uncertainty else float("inf"),
                     distribution=uncertainty.distribution if uncertainty else "normal", label=label)


def mass_percent_of(
    content: Estimate, solute: Solute, counting: Counting | None, density: Estimate | None, text: str = ""
) -> Estimate:
    """Return a content as per cent of the solution's mass, with its influences.

    Arguments:
        content: in any unit of content; by volume it is meant at 20 °C.
        solute: of which it is.
        counting: the reaction, for eq/L.
        density: measured on the solution at 20 °C, where it was [g/mL].
        text: as typed.

    Raises:
        Refusal: no density is given or held for a content by volume, or it cannot be.
    """
    known = Known(counting, density, "as measured" if density is not None else "")
    return convert(Content(content, solute, None, REFERENCE_DEGC, text), Wanted("% w/w"), known).estimate


def as_form_of(content: Estimate, given: Solute, wanted: Solute) -> Estimate:
    """Return the content of one form of a substance expressed as another that differs by crystal water alone.

    w' = w M(wanted)/M(given)

    Raises:
        Refusal: the two are not forms of one substance.
    """
    if given.formula.is_same_entity(wanted.formula):
        return content
    if not given.anhydrous.is_same_entity(wanted.anhydrous):
        raise Refusal(f"{given.name} is no form of {wanted.name}", where="source",
                      remedy="name the substance itself, or one that differs by its water of crystallisation alone")
    above, below = molar_mass(wanted.formula), molar_mass(given.formula)
    value = content.value * above.value / below.value
    parts = combine("% w/w", ((above.value / below.value, content), (content.value / below.value, above),
                              (-value / below.value, below))).contributions
    return Estimate(value, "% w/w", parts)


def of_dried(content: Estimate, water_percent: Estimate) -> Estimate:
    """Return the content of a solid as it is, from that of the dried solid and the water in it [% w/w].

    w = w_dry (1 - x/100)
    """
    value = content.value * (1 - water_percent.value / 100)
    parts = combine("% w/w", ((1 - water_percent.value / 100, content),
                              (-content.value / 100, water_percent))).contributions
    return Estimate(value, "% w/w", parts)


def water_density(temperature_degC: float) -> Estimate:
    """Return the density of water as it is taken from a tap of the works.

    Arguments:
        temperature_degC: of it [°C].

    Returns: [g/mL]
    """
    key = influence_key("water", "as used", "our own allowance", "density")
    return influence(key, water_density_tanaka2001(temperature_degC) / 1000,
                     standard_uncertainty_of_half_width(WATER_HALF_WIDTH_G_PER_ML), "g/mL",
                     distribution="rectangular", label="density of the water")


def final_density(
    solute: Solute, aimed: Estimate, unit: str, *, target_density: Estimate | None,
    other: tuple[float, Estimate] | None = None,
) -> FinalDensity:
    """Return the density of the mixture near the content aimed at.

    Arguments:
        solute: of the mixture.
        aimed: the content, exact, in g/L by volume or in % w/w.
        unit: of it, "g/L" or "% w/w".
        target_density: measured on a solution of that content at 20 °C [g/mL]; the table is asked where there is none.
        other: mass per cent and density of another solution, for the slope, where no table is held.

    Raises:
        Refusal: no table is held and no density is given.
    """
    try:
        curve = density_curve(solute, REFERENCE_DEGC)
    except Refusal as refusal:
        return _from_measured(aimed, unit, target_density, other, refusal)
    if target_density is not None:
        percent = aimed.value if unit == "% w/w" else aimed.value / (10 * target_density.value)
        return FinalDensity(percent, target_density, curve.point(percent).slope, "measured at the content aimed at")
    percent = aimed.value if unit == "% w/w" else mass_percent_from_mass_concentration(solute, aimed).value
    point = curve.point(percent)
    return FinalDensity(percent, point.estimate, point.slope, curve.source)


def _from_measured(
    aimed: Estimate, unit: str, target_density: Estimate | None, other: tuple[float, Estimate] | None,
    refusal: Refusal,
) -> FinalDensity:
    if target_density is None:
        raise Refusal(f"the density at the content aimed at is missing: {refusal.what}", where="density",
                      remedy="give density, measured on the product at its nominal content, or ask for a content by "
                             "mass")
    percent = aimed.value if unit == "% w/w" else aimed.value / (10 * target_density.value)
    away, known = other or (0.0, exact(water_density_tanaka2001(REFERENCE_DEGC) / 1000, "g/mL"))
    if abs(away - percent) < 1e-9:
        away, known = 0.0, exact(water_density_tanaka2001(REFERENCE_DEGC) / 1000, "g/mL")
    slope = (known.value - target_density.value) / (away - percent)
    return FinalDensity(percent, target_density, slope, "straight between densities as given")
