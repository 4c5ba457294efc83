"""What a content is good for: its factor against a nominal, and what each millilitre of it answers for."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from assaywright.chemistry.content import Content, Converted, Known, Wanted, convert
from assaywright.chemistry.content_temperature import by_volume_at
from assaywright.chemistry.content_units import SCALES, check_content_unit
from assaywright.chemistry.counting import moles_per_mole
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate, exact
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.model import Means, Model, ModelInput
from assaywright.metrology.refusal import Refusal


@dataclass(frozen=True, slots=True)
class InUnit:
    """A content in one of all units, or why it has none there.

    Fields:
        unit: of content.
        estimate: the content; none where it could not be found.
        refusal: why not; none where it could.
    """

    unit: str
    estimate: Estimate | None
    refusal: Refusal | None


@dataclass(frozen=True, slots=True)
class AtOtherTemperature:
    """A content by volume, or what stands for it, at another temperature.

    Fields:
        temperature_degC: the other temperature [°C].
        ratio: content by volume there over content here [1]; none where nothing is known.
        source: who measured the densities, or why nothing is known.
    """

    temperature_degC: float
    ratio: Estimate | None
    source: str


def in_all_units(content: Content, wanted: Wanted, known: Known) -> tuple[InUnit, ...]:
    """Return a content in every unit of content; the unit of ``wanted`` is passed over.

    Raises:
        Refusal: the content itself cannot be, whatever its unit.
    """
    convert(content, Wanted(content.unit, wanted.expressed, content.temperature_degC), known)
    return tuple(_in_unit(content, Wanted(unit, wanted.expressed, wanted.temperature_degC), known) for unit in SCALES)


def _in_unit(content: Content, wanted: Wanted, known: Known) -> InUnit:
    try:
        return InUnit(wanted.unit, convert(content, wanted, known).estimate, None)
    except Refusal as refusal:
        return InUnit(wanted.unit, None, refusal)


def at_other_temperature(
    content: Content, converted: Converted, known: Known, from_degC: float, to_degC: float
) -> AtOtherTemperature:
    """Return what a content by volume is multiplied by at another temperature, or why that is not known.

    Arguments:
        content: as stated.
        converted: what came of it.
        known: reaction and density.
        from_degC, to_degC: the temperatures [°C].
    """
    try:
        molarity = convert(content, Wanted("mol/L", None, from_degC), known).estimate.value
        warmed = by_volume_at(content.solute, converted.mass_percent, molarity, from_degC, to_degC)
    except Refusal as refusal:
        return AtOtherTemperature(to_degC, None, str(refusal))
    return AtOtherTemperature(to_degC, warmed.ratio, warmed.source)


def factor_against(content: Content, nominal: Estimate, known: Known, expressed: Wanted) -> Estimate:
    """Return the factor of a solution: its actual over its nominal content.

    f = c/c_nom

    Arguments:
        content: the actual one, as stated.
        nominal: exact, in any unit of content.
        known: reaction and density.
        expressed: species and temperature that the nominal content means.

    Returns: factor [1]

    Raises:
        Refusal: a nominal content that is not above zero, or see :func:`convert`.

    Source: common practice; not the inverse, which some texts print.
    """
    check_content_unit(nominal.unit)
    if not nominal.value > 0:
        raise Refusal(f"a nominal content of {nominal.value:g} {nominal.unit}", where="nominal",
                      remedy="give one above zero")
    actual = convert(content, Wanted(nominal.unit, expressed.expressed, expressed.temperature_degC), known).estimate
    return actual.scaled(1 / nominal.value, "1")


def equivalent_of_each_mL(content: Content, analyte: Solute, reaction: str, known: Known) -> Converted:
    """Return the titrimetric equivalent: the mass of a substance that each millilitre of a titrant answers for.

    E = c M r

    Arguments:
        content: of the titrant.
        analyte: the substance titrated, as weighed.
        reaction: that holds both.
        known: reaction for eq/L, and density.

    Returns: equivalent [mg/mL] with its model

    Raises:
        Refusal: a reaction that does not hold both, or see :func:`convert`.

    Source: USP General Notices and <541>: "each mL of ... is equivalent to ... mg of ...".
    """
    ratio = moles_per_mole(reaction, analyte, content.solute)
    strength = convert(content, Wanted("mol/L", None, content.temperature_degC), known)

    def equation(x: Mapping[str, Any], m: Means) -> Any:
        return m.step("E", f"{analyte.name} for each mL of titrant", x["c"] * x["r"] * x["M"], "mg/mL",
                      "E = c r M")

    model = Model(equation, {
        "c": ModelInput("c", f"amount concentration of {content.solute.name}", strength.estimate),
        "r": ModelInput("r", f"moles of {analyte.name} per mole of {content.solute.name}", exact(float(ratio)), "",
                        reaction),
        "M": ModelInput("M", f"molar mass of {analyte.formula.text}", molar_mass(analyte.formula), "",
                        "standard atomic weights"),
    }, "mg/mL", "E", "titrimetric equivalent")
    return Converted(evaluate_gum(model).estimate, model, strength.mass_percent, strength.density,
                     strength.density_source)
