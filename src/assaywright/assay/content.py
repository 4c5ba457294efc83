"""Content: from the amount of analyte in a portion to the unit the result is stated in."""

from dataclasses import dataclass
from typing import Any

from assaywright.assay.terms import Scope, Term
from assaywright.chemistry.content_units import AS_AMOUNT, AS_EQUIVALENTS, PER_MASS, PER_VOLUME
from assaywright.metrology.refusal import Refusal


@dataclass(frozen=True, slots=True)
class ContentForm:
    """How a content is stated.

    Fields:
        unit: a key of :data:`PER_VOLUME` or :data:`PER_MASS`.
        molar_mass: name of the input holding the molar mass of the species it is expressed as [g/mol].
        equivalents: of the analyte in the method's reaction.
        species_per_analyte: moles of that species for one mole of analyte.
        density: name of the input holding the sample's density [g/mL]; empty when no conversion needs it.
    """

    unit: str
    molar_mass: str
    equivalents: int
    species_per_analyte: float = 1.0
    density: str = ""

    @property
    def by_volume(self) -> bool:
        """Whether the unit is per volume of sample."""
        return self.unit in PER_VOLUME


def check_unit(unit: str, where: str) -> None:
    """Refuse a unit that is no unit of content."""
    if unit not in PER_VOLUME and unit not in PER_MASS:
        raise Refusal(
            f"'{unit}' is no unit of content", where=where, remedy=f"use one of {', '.join((*PER_VOLUME, *PER_MASS))}"
        )


def content_term(amount: Term, portion: Term, form: ContentForm, tag: str, label: str, *, by_volume: bool) -> Term:
    """Return the term for the content that one determination finds.

    c = n/V [mol/L] or k_B = n/m [mol/kg, of solution and not of solvent]; then times the molar mass, the equivalents or
    the power of ten that the unit wants, and through the density rho where portion and unit differ: k_B = c/rho.

    Arguments:
        amount: of analyte in the portion [mmol].
        portion: [mL], or [g] when not by volume.
        by_volume: whether the portion is a volume.
        tag: set behind the symbols in the working.
        label: the content in words.

    Source: definitions; IUPAC Green Book, 3rd edition, 2.10.
    """
    scale = PER_VOLUME[form.unit] if form.by_volume else PER_MASS[form.unit]
    symbol, unit = ("c", "mol/L") if by_volume else ("k_B", "mol/kg")

    def term(scope: Scope) -> Any:
        x, m = scope.x, scope.m
        value = m.step(
            f"{symbol}{tag}",
            "amount of analyte per " + ("volume" if by_volume else "mass"),
            amount(scope) / portion(scope),
            unit,
        )
        if by_volume and not form.by_volume:
            value = value / x[form.density]
        elif form.by_volume and not by_volume:
            value = value * x[form.density]
        if form.unit in AS_EQUIVALENTS:
            value = value * form.equivalents
        elif form.unit not in AS_AMOUNT:
            value = value * x[form.molar_mass]
        if form.unit not in AS_EQUIVALENTS and form.species_per_analyte != 1.0:
            value = value * form.species_per_analyte
        if scale != 1.0:
            value = value * scale if scale > 1 else value / (1 / scale)
        return m.step(f"w{tag}", label, value, form.unit)

    return term


def needs_density(unit: str, *, by_volume: bool) -> bool:
    """Return whether a unit can only be reached through the density of a portion taken by volume, or by mass."""
    return by_volume != (unit in PER_VOLUME)
