"""From a substance to what is in its solution: ions and molecules with their coefficients and charges."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from assaywright.chemistry.formula import parse_formula
from assaywright.chemistry.reaction import parse_reaction
from assaywright.reference.constants import Dissolution, dissolution

WATER = "H2O"
PROTON, HYDROXIDE = "H+", "OH-"
_STATE = re.compile(r"\((?:aq|s|l|g)\)$")


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


def products(substance: str) -> tuple[Dissolution, tuple[Product, ...]]:
    """Return how a substance dissolves, and what it gives, water left out.

    Raises:
        Refusal: no such substance, or it does not dissolve as such.
    """
    row = dissolution(substance)
    right = parse_reaction(row.reaction).right
    found = tuple(Product(term.species.text, float(term.coefficient), term.species.charge)
                  for term in right if term.species.text != WATER)
    return row, found


def species_of(side: tuple[str, ...]) -> Iterator[str]:
    """Yield species without the mark of their state: "I2(aq)" is I2 in water."""
    for one in side:
        yield _STATE.sub("", one)


def charge_of(species: str) -> int:
    """Return the charge of a species."""
    return parse_formula(species).charge
