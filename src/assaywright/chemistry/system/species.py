"""From a substance to what is in its solution: ions and molecules with their coefficients and charges."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from assaywright.chemistry.formula import Formula, parse_formula
from assaywright.chemistry.reaction import parse_reaction
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import (
    acid_constants,
    acids,
    all_potentials,
    couples,
    dissolution,
    metals_of,
    solids,
    solubility,
)

WATER = "H2O"
PROTON, HYDROXIDE = "H+", "OH-"
COUNTER_IONS = {1: "Na+", -1: "NO3-"}

Entity = tuple[frozenset[tuple[str, Fraction]], int]


@dataclass(frozen=True, slots=True)
class Product:
    """One ion or molecule that a formula unit gives.

    Fields:
        species: as the tables write it ("HCO3-").
        count: per formula unit [1].
        charge: in elementary charges.
    """

    species: str
    count: float
    charge: int


@dataclass(frozen=True, slots=True)
class Dissolved:
    """What one formula unit gives in water.

    Fields:
        products: ions and molecules, water left out.
        acids: names of the acids among whose forms some of them are.
    """

    products: tuple[Product, ...]
    acids: tuple[str, ...]


@cache
def dissolved(name: str) -> Dissolved:
    """Return what a substance gives in water; an ion named alone comes with sodium or nitrate beside it.

    Arguments:
        name: of a substance, its formula, or an ion ("Cl-", "Ca^2+").

    Raises:
        Refusal: no such substance, or it does not dissolve as such.
    """
    ion = _ion(name)
    if ion is not None:
        return ion
    row = dissolution(name)
    right = parse_reaction(row.reaction).right
    found = tuple(Product(term.species.text, float(term.coefficient), term.species.charge)
                  for term in right if term.species.text != WATER)
    return Dissolved(found, row.acids)


def charge_of(species: str) -> int:
    """Return the charge of a species."""
    return parse_formula(species).charge


def forms_of(acid: str) -> tuple[str, ...]:
    """Return the species of an acid, the strong steps' too, most protonated first."""
    steps = acid_constants(acid)
    return (steps[0].acid_species, *(one.base_species for one in steps))


def _ion(name: str) -> Dissolved | None:
    try:
        formula = parse_formula(name)
    except Refusal:
        return None
    if not formula.charge or not formula.atoms:
        return None
    species = _spellings().get(_entity(formula), name.strip())
    sign = -1 if formula.charge > 0 else 1
    counter = Product(COUNTER_IONS[sign], float(abs(formula.charge)), sign)
    own = tuple(acid for acid in acids() if species in forms_of(acid))
    return Dissolved((Product(species, 1.0, formula.charge), counter), own)


def _entity(formula: Formula) -> Entity:
    return frozenset(formula.atoms), formula.charge


@cache
def _spellings() -> Mapping[Entity, str]:
    """Return how the tables write each ion, by its atoms and charge."""
    found: dict[Entity, str] = {}
    for species in _all_species():
        formula = parse_formula(species)
        if formula.charge:
            found.setdefault(_entity(formula), species)
    return MappingProxyType(found)


def _all_species() -> Iterator[str]:
    for acid in acids():
        yield from forms_of(acid)
    yield from metals_of("EDTA")
    for solid in solids():
        yield from (term.species.text for term in parse_reaction(solubility(solid).equilibrium).right)
    for couple in couples():
        for one in all_potentials(couple):
            reaction = parse_reaction(one.half_reaction)
            yield from (term.species.text for term in (*reaction.left, *reaction.right) if term.species.atoms)
