"""Heat of solution and dilution, and heat capacity of solutions: what the cited tables hold."""

from dataclasses import dataclass
from functools import cache

from assaywright.reference.load import citation, table


@dataclass(frozen=True, slots=True)
class HeatOfDilution:
    """The heat that a mole of substance gives off when its solution is diluted without end.

    Fields:
        moles_of_water: for a mole of the substance, before; zero for the pure substance [mol/mol].
        heat_kJ_per_mol: given off; negative where the solution grows cold [kJ/mol].
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    moles_of_water: float
    heat_kJ_per_mol: float
    source: str
    status: str
    note: str


@dataclass(frozen=True, slots=True)
class HeatCapacity:
    """The heat capacity of a solution.

    Fields:
        mass_percent: of the substance [% w/w].
        value_J_per_g_K: at about 20 °C [J/(g K)].
        source: who says so.
        status: "read" or "recalled".
    """

    mass_percent: float
    value_J_per_g_K: float
    source: str
    status: str


@cache
def heats_of_dilution(substance: str) -> tuple[HeatOfDilution, ...]:
    """Return what is held of a substance by its name, the least water first; empty where nothing is held.

    Example:
        >>> heats_of_dilution("sodium hydroxide")[0].heat_kJ_per_mol
        44.51
    """
    found = [
        HeatOfDilution(float(row["moles_of_water"]), float(row["value"]), citation(row), row["status"], row["note"])
        for row in table("solution_enthalpies").rows if row["substance"] == substance
    ]
    return tuple(sorted(found, key=lambda one: one.moles_of_water))


@cache
def heat_capacities(substance: str) -> tuple[HeatCapacity, ...]:
    """Return the heat capacities of a substance's solutions, the weakest first; empty where none are held.

    Example:
        >>> heat_capacities("nitric acid")[2].value_J_per_g_K
        3.054
    """
    found = [
        HeatCapacity(float(row["mass_percent"]), float(row["value"]), citation(row), row["status"])
        for row in table("solution_heat_capacities").rows if row["substance"] == substance
    ]
    return tuple(sorted(found, key=lambda one: one.mass_percent))
