"""The verb ``convert``: a content in other units, with its uncertainty and its working."""

import argparse
import sys
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
from assaywright.cli.typed_option import of_option
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import canonical

T = TypeVar("T")

OTHER_DEGC = 25.0
COLDEST_DEGC, WARMEST_DEGC = 0.0, 100.0


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


def run(parsed: argparse.Namespace) -> int:
    """Convert, and print what was found."""
    from assaywright.cli.opening import terminal_width
    from assaywright.cli.show_convert import conversion_lines, conversion_record
    from assaywright.cli.show_json import json_text

    found = converted(parsed)
    if parsed.json:
        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(conversion_record(found), plain=plain))
    else:
        for line in conversion_lines(found, terminal_width()):
            print(line)
    return 0


def converted(parsed: argparse.Namespace) -> Conversion:
    """Return all that the arguments ask for.

    Raises:
        Refusal: anything that cannot be read or cannot be.
    """
    solute = _named("--of", find_solute, parsed.of)
    reaction = parsed.reaction or ""
    here = _temperature("--temperature", parsed.temperature)
    there = _temperature("--to-temperature", parsed.to_temperature) if parsed.to_temperature else here
    typed = _named("CONTENT", read_quantity, parsed.content, *SCALES)
    given_as = express_as(solute, parsed.given_as, reaction) if parsed.given_as else None
    wanted_as = express_as(solute, parsed.expressed, reaction) if parsed.expressed else given_as
    content = Content(_estimate(typed, solute), solute, given_as, here, parsed.content.strip())
    unit = _named("--to", _content_unit, parsed.to) if parsed.to else typed.unit
    wanted = Wanted(unit, wanted_as, there)
    known = Known(_counting(parsed, solute, reaction, unit, typed.unit), *_density(parsed, here, solute))
    one = convert(content, wanted, known) if parsed.to else None
    first = one or convert(content, Wanted(typed.unit, wanted_as, here), known)
    other = OTHER_DEGC if here == REFERENCE_DEGC else REFERENCE_DEGC
    nominal = _named("--nominal", read_quantity, parsed.nominal, *SCALES) if parsed.nominal else None
    analyte = _named("--titrates", find_solute, parsed.titrates) if parsed.titrates else None
    return Conversion(
        content, wanted, known, one, first, () if one else in_all_units(content, wanted, known),
        at_other_temperature(content, first, known, here, other),
        nominal, factor_against(content, _exactly(nominal), known, wanted) if nominal else None,
        analyte, equivalent_of_each_mL(content, analyte, _needed(reaction), known) if analyte else None,
    )


def _named(option: str, read: Callable[..., T], text: str, *more: str) -> T:
    """Return what was read, or the refusal with the option's name in front."""
    try:
        return read(text, *more)
    except Refusal as refusal:
        raise of_option(refusal, option) from None


def _content_unit(text: str) -> str:
    unit = canonical(text)
    check_content_unit(unit)
    return unit


def _temperature(option: str, text: str) -> float:
    degrees = float(_named(option, read_quantity, text, "°C").to("°C"))
    if not COLDEST_DEGC <= degrees <= WARMEST_DEGC:
        raise Refusal(f"{degrees:g} °C is no temperature of a solution in water", where=option,
                      remedy=f"give one from {COLDEST_DEGC:g} to {WARMEST_DEGC:g} °C")
    return degrees


def _estimate(typed: Quantity, solute: Solute) -> Estimate:
    """Return the content with the uncertainty stated behind it; without one it is taken as exact."""
    stated = typed.uncertainty
    return influence(
        influence_key("content", solute.name, typed.text, "stated uncertainty"), float(typed.value),
        typed.uncertainty_in(typed.unit), typed.unit,
        degrees_of_freedom=stated.degrees_of_freedom if stated else float("inf"),
        distribution=stated.distribution if stated else "normal", label="content as stated",
    )


def _exactly(nominal: Quantity) -> Estimate:
    if nominal.uncertainty is not None:
        raise Refusal("a nominal content is exact", where="--nominal", remedy="leave the ± out")
    return Estimate(float(nominal.value), nominal.unit)


def _density(parsed: argparse.Namespace, temperature_degC: float, solute: Solute) -> tuple[Estimate | None, str]:
    """Return the density typed; without an uncertainty its last digit is taken as rounded."""
    if not parsed.density:
        return None, ""
    typed = _named("--density", read_quantity, parsed.density, "g/mL")
    value = typed.to("g/mL")
    if not 0.5 < value < 4.0:
        raise Refusal(f"{value:g} g/mL is no density of a solution in water", where="--density",
                      remedy="check the figure and its unit")
    stated = typed.uncertainty
    u = (typed.uncertainty_in("g/mL") if stated
         else standard_uncertainty_of_half_width(typed.resolution / 2) * value / float(typed.value))
    told = "as stated" if stated else "as stated; half a unit of its last digit as rectangular half width"
    key = influence_key("density", solute.name, typed.text, "stated density")
    return influence(key, value, u, "g/mL", distribution=stated.distribution if stated else "rectangular",
                     degrees_of_freedom=stated.degrees_of_freedom if stated else float("inf"),
                     label="density as stated"), f"{told}, at {temperature_degC:g} °C"


def _counting(
    parsed: argparse.Namespace, solute: Solute, reaction: str, unit: str, given_unit: str
) -> Counting | None:
    """Return the equivalents; a reaction that does not count is refused only where they are needed."""
    if not reaction:
        return None
    try:
        return count_equivalents(solute, reaction, parsed.counting)
    except Refusal:
        needed = parsed.counting or "eq" in unit or "eq" in given_unit
        if needed or not (parsed.expressed or parsed.given_as or parsed.titrates):
            raise
        return None


def _needed(reaction: str) -> str:
    if not reaction:
        raise Refusal("what each mL answers for is decided by a reaction", where="--titrates",
                      remedy="name it with --reaction")
    return reaction

