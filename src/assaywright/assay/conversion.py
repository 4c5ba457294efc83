"""A content in other units as somebody asks for it, field by field as typed: what was asked, and all that was found.

One function serves the command and the page; each says in its own words in which of its fields something cannot be.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from assaywright.chemistry.content import Content, Converted, Known, Wanted, convert
from assaywright.chemistry.content_units import SCALES, check_content_unit
from assaywright.chemistry.content_use import (
    AtOtherTemperature,
    InUnit,
    at_other_temperature,
    equivalent_of_each_mL,
    factor_against,
    in_all_units,
)
from assaywright.chemistry.counting import Counting, count_equivalents, express_as
from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.chemistry.solute import Solute, find_solute
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import canonical

T = TypeVar("T")
At = Callable[[Refusal, str], Refusal]

OTHER_DEGC = 25.0
COLDEST_DEGC, WARMEST_DEGC = 0.0, 100.0


@dataclass(frozen=True, slots=True)
class ConversionAsked:
    """What is asked, as typed; what is left open is empty.

    Fields:
        content: with its unit, and its uncertainty where it is known.
        substance: name or formula of what is dissolved.
        to: the unit wanted; all units when empty.
        expressed: the species that the result is expressed as; given_as: the one that the content is.
        density: measured on the solution, with its unit.
        reaction: for equivalents, species and what each mL answers for; counting: the species in it that is one
            equivalent.
        temperature, to_temperature: at which content and result by volume hold; 20 °C and the first when empty.
        nominal: content against which a factor is wanted.
        titrates: substance that each mL answers for.
    """

    content: str
    substance: str
    to: str = ""
    expressed: str = ""
    given_as: str = ""
    density: str = ""
    reaction: str = ""
    counting: str = ""
    temperature: str = ""
    to_temperature: str = ""
    nominal: str = ""
    titrates: str = ""


@dataclass(frozen=True, slots=True)
class Conversion:
    """All that was asked and found.

    Fields:
        content: as typed.
        wanted: unit, species and temperature asked for; the unit given where none was.
        known: reaction and density.
        one: the content in the unit asked for; none where a table of all units was wanted.
        basis: the same, or the content in the unit given, with density and mass per cent.
        contents: in all units, where no unit was asked for.
        elsewhere: the content by volume at another temperature.
        nominal, factor: where a nominal content was given.
        analyte, equivalent: where a substance to titrate was named.
    """

    content: Content
    wanted: Wanted
    known: Known
    one: Converted | None
    basis: Converted
    contents: tuple[InUnit, ...]
    elsewhere: AtOtherTemperature
    nominal: Quantity | None
    factor: Estimate | None
    analyte: Solute | None
    equivalent: Converted | None


def conversion_of(asked: ConversionAsked, at: At) -> Conversion:
    """Return all that is asked.

    Arguments:
        asked: as typed.
        at: returns a refusal as that of a field, by the field's name here, in the words of whoever asks.

    Raises:
        Refusal: anything that cannot be read or cannot be.
    """
    return _Asking(asked, at).found()


@dataclass(frozen=True, slots=True)
class _Asking:
    asked: ConversionAsked
    at: At

    def found(self) -> Conversion:
        """Return all that is asked."""
        asked, reaction = self.asked, self.asked.reaction
        solute = self.read("substance", find_solute, asked.substance)
        here = self.temperature("temperature", asked.temperature) if asked.temperature else REFERENCE_DEGC
        there = self.temperature("to_temperature", asked.to_temperature) if asked.to_temperature else here
        typed = self.read("content", read_quantity, asked.content, *SCALES)
        given_as = express_as(solute, asked.given_as, reaction) if asked.given_as else None
        wanted_as = express_as(solute, asked.expressed, reaction) if asked.expressed else given_as
        content = Content(_estimate(typed, solute), solute, given_as, here, asked.content.strip())
        unit = self.read("to", _content_unit, asked.to) if asked.to else typed.unit
        wanted = Wanted(unit, wanted_as, there)
        known = Known(self.counting(solute, unit, typed.unit), *self.density(here, solute))
        one = convert(content, wanted, known) if asked.to else None
        first = one or convert(content, Wanted(typed.unit, wanted_as, here), known)
        other = OTHER_DEGC if here == REFERENCE_DEGC else REFERENCE_DEGC
        nominal = self.read("nominal", read_quantity, asked.nominal, *SCALES) if asked.nominal else None
        analyte = self.read("titrates", find_solute, asked.titrates) if asked.titrates else None
        return Conversion(
            content, wanted, known, one, first, () if one else in_all_units(content, wanted, known),
            at_other_temperature(content, first, known, here, other),
            nominal, factor_against(content, self.exactly(nominal), known, wanted) if nominal else None,
            analyte, equivalent_of_each_mL(content, analyte, self.needed_reaction(), known) if analyte else None,
        )

    def read(self, field: str, read: Callable[..., T], text: str, *more: str) -> T:
        """Return what was read, or the refusal as that of the field."""
        try:
            return read(text, *more)
        except Refusal as refusal:
            raise self.at(refusal, field) from None

    def temperature(self, field: str, text: str) -> float:
        """Return a temperature of a solution [°C]."""
        degrees = float(self.read(field, read_quantity, text, "°C").to("°C"))
        if not COLDEST_DEGC <= degrees <= WARMEST_DEGC:
            raise self.at(Refusal(f"{degrees:g} °C is no temperature of a solution in water",
                                  remedy=f"give one from {COLDEST_DEGC:g} to {WARMEST_DEGC:g} °C"), field)
        return degrees

    def exactly(self, nominal: Quantity) -> Estimate:
        """Return a nominal content, which is exact."""
        if nominal.uncertainty is not None:
            raise self.at(Refusal("a nominal content is exact", remedy="leave the ± out"), "nominal")
        return Estimate(float(nominal.value), nominal.unit)

    def density(self, temperature_degC: float, solute: Solute) -> tuple[Estimate | None, str]:
        """Return the density typed; without an uncertainty its last digit is taken as rounded."""
        if not self.asked.density:
            return None, ""
        typed = self.read("density", read_quantity, self.asked.density, "g/mL")
        value = typed.to("g/mL")
        if not 0.5 < value < 4.0:
            raise self.at(Refusal(f"{value:g} g/mL is no density of a solution in water",
                                  remedy="check the figure and its unit"), "density")
        stated = typed.uncertainty
        u = (typed.uncertainty_in("g/mL") if stated
             else standard_uncertainty_of_half_width(typed.resolution / 2) * value / float(typed.value))
        told = "as stated" if stated else "as stated; half a unit of its last digit as rectangular half width"
        key = influence_key("density", solute.name, typed.text, "stated density")
        return influence(key, value, u, "g/mL", distribution=stated.distribution if stated else "rectangular",
                         degrees_of_freedom=stated.degrees_of_freedom if stated else float("inf"),
                         label="density as stated"), f"{told}, at {temperature_degC:g} °C"

    def counting(self, solute: Solute, unit: str, given_unit: str) -> Counting | None:
        """Return the equivalents; a reaction that does not count is refused only where they are needed."""
        asked = self.asked
        if not asked.reaction:
            return None
        try:
            return count_equivalents(solute, asked.reaction, asked.counting)
        except Refusal:
            needed = asked.counting or "eq" in unit or "eq" in given_unit
            if needed or not (asked.expressed or asked.given_as or asked.titrates):
                raise
            return None

    def needed_reaction(self) -> str:
        """Return the reaction, which decides what each mL answers for."""
        if not self.asked.reaction:
            raise self.at(Refusal("what each mL answers for is decided by a reaction", remedy="name the reaction"),
                          "titrates")
        return self.asked.reaction


def _content_unit(text: str) -> str:
    unit = canonical(text)
    check_content_unit(unit)
    return unit


def _estimate(typed: Quantity, solute: Solute) -> Estimate:
    """Return the content with the uncertainty stated behind it; without one it is taken as exact."""
    stated = typed.uncertainty
    return influence(
        influence_key("content", solute.name, typed.text, "stated uncertainty"), float(typed.value),
        typed.uncertainty_in(typed.unit), typed.unit,
        degrees_of_freedom=stated.degrees_of_freedom if stated else float("inf"),
        distribution=stated.distribution if stated else "normal", label="content as stated",
    )
