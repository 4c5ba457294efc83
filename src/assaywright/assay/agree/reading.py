"""Causes that lie in how a content is stated: by mass or by volume, as which species, by moles or by equivalents."""

from collections.abc import Iterator

from assaywright.assay.agree.ourselves import Ours
from assaywright.assay.agree.size import Cause, cause
from assaywright.assay.evaluate import method_of
from assaywright.assay.upstream import Upstream
from assaywright.chemistry.content import Content, Wanted, convert
from assaywright.chemistry.content_units import counts
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.solute import find_solute, other_forms
from assaywright.metrology.estimate import exact
from assaywright.metrology.refusal import Refusal
from assaywright.reference.substances import substance

BY_MASS, BY_VOLUME = "% w/w", "% w/v"
NEARLY_PURE = 80  # % w/w, more than water dissolves of a common solid at 20 °C; common practice, no source
READ_OTHERWISE = {BY_MASS: BY_VOLUME, BY_VOLUME: BY_MASS}
COUNTED_OTHERWISE = {"mol/L": "eq/L", "eq/L": "mol/L", "mmol/L": "meq/L", "meq/L": "mmol/L"}


def read_otherwise(ours: Ours) -> Iterator[Cause]:
    """Yield what a figure in the other per cent would be, and one expressed with other water of crystallisation.

    Raises:
        Refusal: the density is neither stated nor held.
    """
    unit, species = ours.result.estimate.unit, species_of(ours)
    if counts(unit) == "mass":
        for form in other_forms(find_solute(species)):
            ratio = molar_mass(form.formula).value / molar_mass(species).value
            yield cause("species", f"theirs is expressed as {form.formula.text}, ours as {species}",
                        ours.value * (ratio - 1))
    if unit in READ_OTHERWISE and not _is_solid(ours, species):
        other = READ_OTHERWISE[unit]
        yield cause("w/v", f"theirs is in {other} and stated as {unit}", _in_other(ours, species, other) - ours.value)


def _is_solid(ours: Ours, species: str) -> bool:
    """Return whether what was assayed is a solid as such, of which nobody states a content by volume."""
    unit = ours.result.estimate.unit
    try:
        return unit == BY_MASS and ours.value > NEARLY_PURE and substance(species).state == "solid"
    except Refusal:
        return False


def _in_other(ours: Ours, species: str, unit: str) -> float:
    """Return our figure in the other per cent, by the density on the worksheet, else by the table that is held."""
    try:
        return ours.as_if(ours.stated_in(unit))
    except Refusal:
        content = Content(exact(ours.value, ours.result.estimate.unit), find_solute(species),
                          temperature_degC=ours.result.reference_temperature_degC)
        return convert(content, Wanted(unit, None, ours.result.reference_temperature_degC)).estimate.value


def otherwise_counted(ours: Ours) -> Iterator[Cause]:
    """Yield what a figure in equivalents would be, stated as moles, or the other way round."""
    unit = ours.result.estimate.unit
    other = COUNTED_OTHERWISE[unit]
    yield cause("equivalents", f"theirs is in {other} and stated as {unit}",
                ours.as_if(ours.stated_in(other)) - ours.value)


def species_of(ours: Ours) -> str:
    """Return the formula that our figure is expressed as."""
    method = method_of(ours.worksheet, Upstream(ours.opener))
    return ours.worksheet.wanted.species or method.result.species or method.analyte.formula
