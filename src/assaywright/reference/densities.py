"""The measured densities of solutions, table by table; the coefficients of a law; and how much of a solid dissolves."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.reference.load import by_key, citation, table

LAW = "density_law_laliberte_cooper_2004"


@dataclass(frozen=True, slots=True)
class DensityRow:
    """One printed density.

    Fields:
        mass_percent: of the solute [g in 100 g of solution].
        density_g_per_mL: as printed [g/mL].
        half_width_g_per_mL: half a unit of the last printed digit [g/mL].
        allowance_g_per_mL: half width of our allowance for the trueness of the table there [g/mL].
        status: "read" or "recalled".
    """

    mass_percent: float
    density_g_per_mL: float
    half_width_g_per_mL: float
    allowance_g_per_mL: float
    status: str


@dataclass(frozen=True, slots=True)
class DensityTable:
    """Measured densities of one solute in water at one temperature.

    Fields:
        key: name of the table.
        substance: the solute.
        formula: of what the per cent counts; never with water of crystallisation.
        temperature_degC: of the solution [°C].
        rows: by mass per cent, in order.
        source: who prints it.
        note: why the allowance is what it is.
    """

    key: str
    substance: str
    formula: str
    temperature_degC: float
    rows: tuple[DensityRow, ...]
    source: str
    note: str

    @property
    def greatest_percent(self) -> float:
        """The last mass per cent of the table."""
        return self.rows[-1].mass_percent


@dataclass(frozen=True, slots=True)
class DensityLaw:
    """The coefficients of the law of Laliberté and Cooper for one solute.

    Fields:
        formula: of the solute, without water of crystallisation.
        c0, c1: [kg/m³]
        c2: [1]
        c3: [1/°C]
        c4: [°C]
        lowest_degC, highest_degC: within which it was fitted [°C].
        greatest_mass_percent: up to which it was fitted.
        source: who prints the coefficients.
    """

    formula: str
    c0: float
    c1: float
    c2: float
    c3: float
    c4: float
    lowest_degC: float
    highest_degC: float
    greatest_mass_percent: float
    source: str


@dataclass(frozen=True, slots=True)
class Solubility:
    """How much of a solid dissolves in water.

    Fields:
        substance: its name.
        formula: of what is counted, without water of crystallisation.
        mass_percent: of the saturated solution [g in 100 g of solution].
        standard_uncertainty_percent: of that [g in 100 g of solution].
        temperature_degC: [°C]
        source: who says so.
        status: "read" or "recalled".
    """

    substance: str
    formula: str
    mass_percent: float
    standard_uncertainty_percent: float
    temperature_degC: float
    source: str
    status: str


@cache
def density_tables() -> tuple[DensityTable, ...]:
    """Return the tables in use; those that a better one replaces are left out.

    Example:
        >>> sorted({one.temperature_degC for one in density_tables() if one.substance == "sodium hydroxide"})
        [10.0, 20.0, 25.0, 40.0]
    """
    rows: dict[str, list[DensityRow]] = {}
    for row in table("solution_densities").rows:
        rows.setdefault(row["table"], []).append(
            DensityRow(float(row["mass_percent"]), float(row["value"]), float(row["half_width"]),
                       float(row["allowance"]), row["status"]))
    return tuple(
        DensityTable(key, row["substance"], row["formula"], float(row["temperature_degC"]),
                     tuple(sorted(rows[key], key=lambda one: one.mass_percent)), citation(row), row["note"])
        for key, row in by_key("solution_density_tables").items() if row["preferred"] == "yes"
    )


@cache
def density_laws() -> Mapping[str, DensityLaw]:
    """Return the coefficients of the law by the formula of the solute.

    Source: Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141, with the coefficients of Laliberté 2009.
    """
    return MappingProxyType({
        formula: DensityLaw(
            formula, float(row["c0"]), float(row["c1"]), float(row["c2"]), float(row["c3"]), float(row["c4"]),
            float(row["lowest_degC"]), float(row["highest_degC"]), float(row["greatest_mass_percent"]), citation(row),
        )
        for formula, row in by_key(LAW).items()
    })


@cache
def solubilities() -> tuple[Solubility, ...]:
    """Return the solubilities in water that are held.

    w = 100 s/(100 + s), from s grams in 100 g of water.

    Example:
        >>> round(next(one for one in solubilities() if one.substance == "sodium chloride").mass_percent, 1)
        26.4
    """
    found = []
    for name, row in by_key("solubilities").items():
        grams, half_width = float(row["value"]), float(row["half_width"])
        per_gram = 100.0 * 100.0 / (100.0 + grams) ** 2
        found.append(Solubility(name, row["formula"], 100.0 * grams / (100.0 + grams),
                                standard_uncertainty_of_half_width(half_width) * per_gram,
                                float(row["temperature_degC"]), citation(row), row["status"]))
    return tuple(found)
