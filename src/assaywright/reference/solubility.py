"""Solubility products of sparingly soluble solids."""

from dataclasses import dataclass
from functools import cache

from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, citation, number, table
from assaywright.reference.near import near

WHERE = "solubility products"


@dataclass(frozen=True, slots=True)
class SolubilityProduct:
    """How far a solid dissolves into its ions.

    Fields:
        key: of the row.
        solid: its name, the modification included where several are held ("calcite").
        formula: of the solid.
        aliases: other names in use.
        equilibrium: from the solid, marked ``(s)``, to its ions, balanced, as
            :func:`assaywright.chemistry.reaction.parse_reaction` reads it.
        pKsp: minus the decadic logarithm of the product [1].
        half_width: bound of pKsp [1].
        temperature_degC: at which it holds [°C].
        ionic_strength_mol_per_L: at which it holds [mol/L].
        enthalpy_kJ_per_mol: of dissolution, where known [kJ/mol].
        data_set: name of the set the value belongs to.
        chosen: whether it is the one in use; the note says why.
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    key: str
    solid: str
    formula: str
    aliases: tuple[str, ...]
    equilibrium: str
    pKsp: float
    half_width: float
    temperature_degC: float
    ionic_strength_mol_per_L: float
    enthalpy_kJ_per_mol: float | None
    data_set: str
    chosen: bool
    source: str
    status: str
    note: str

    @property
    def estimate(self) -> Estimate:
        """The pKsp with its rectangular distribution, under its permanent key."""
        key = influence_key("solubility", self.solid, self.data_set, "pKsp")
        return influence(key, self.pKsp, standard_uncertainty_of_half_width(self.half_width), "1",
                         distribution="rectangular", label=f"pKsp of {self.solid}")


def solids() -> tuple[str, ...]:
    """Return the names of all solids whose solubility products are held."""
    return tuple(dict.fromkeys(one.solid for one in _products()))


def solubility(solid: str, data_set: str = "") -> SolubilityProduct:
    """Return the solubility product of a solid.

    Arguments:
        solid: its name, an alias or its formula ("AgCl").
        data_set: name of a set ("Harris"); the chosen value when not given.

    Raises:
        Refusal: none is held, or the formula fits several solids; the sentence names them.

    Example:
        >>> solubility("AgCl").pKsp, solubility("AgCl", "Harris").pKsp
        (9.75, 9.74)
    """
    held = all_solubilities(solid)
    found = [one for one in held if (one.data_set == data_set if data_set else one.chosen)]
    if not found:
        raise Refusal(f"the set '{data_set}' holds no solubility product of {held[0].solid}", where=WHERE,
                      remedy=f"choose {' or '.join(one.data_set for one in held)}")
    return found[0]


def all_solubilities(solid: str) -> tuple[SolubilityProduct, ...]:
    """Return every solubility product held for a solid, the chosen one first.

    Raises:
        Refusal: none is held, or the formula fits several solids; the sentence names them.
    """
    wanted = solid.strip().casefold()
    by_name = [one for one in _products() if wanted in {name.casefold() for name in (one.solid, *one.aliases)}]
    found = by_name or [one for one in _products() if one.formula.casefold() == wanted]
    names = list(dict.fromkeys(one.solid for one in found))
    if len(names) > 1:
        raise Refusal(f"'{solid}' stands for more than one solid", where=WHERE, remedy=f"name {' or '.join(names)}")
    if not names:
        close = near(solid, (*solids(), *dict.fromkeys(one.formula for one in _products())))
        raise Refusal(f"no solubility product of '{solid}' is held", where=WHERE,
                      remedy=f"choose from {', '.join(close)}" if close else "give the value with its source")
    return tuple(sorted(found, key=lambda one: not one.chosen))


@cache
def _products() -> tuple[SolubilityProduct, ...]:
    return tuple(_product(row) for row in table("solubility_products").rows)


def _product(row: Row) -> SolubilityProduct:
    aliases = tuple(part.strip() for part in row["aliases"].split(";") if part.strip())
    return SolubilityProduct(
        row["key"], row["solid"], row["formula"], aliases, row["equilibrium"], float(row["value"]),
        float(row["half_width"]), float(row["temperature_degC"]), float(row["ionic_strength_mol_per_L"]),
        number(row["enthalpy_kJ_per_mol"]), row["data_set"], row["chosen"] == "yes", citation(row), row["status"],
        row["note"],
    )
