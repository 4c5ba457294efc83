"""The substances that methods name, and the primary standards among them."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, by_key, citation, table
from assaywright.reference.near import near

KG_PER_M3_PER_G_PER_ML = 1000.0


@dataclass(frozen=True, slots=True)
class Density:
    """The density of a pure substance.

    Fields:
        substance: its name.
        density_g_per_mL: near 20 °C [g/mL].
        half_width_g_per_mL: half a unit of the last printed digit, or our allowance [g/mL].
        source: who says so.
        status: "read" or "recalled".
    """

    substance: str
    density_g_per_mL: float
    half_width_g_per_mL: float
    source: str
    status: str

    @property
    def estimate(self) -> Estimate:
        """The density [kg/m³] with its rectangular distribution, under its permanent key."""
        key = influence_key("density", self.substance, self.source, "density of the solid")
        uncertainty_g_per_mL = standard_uncertainty_of_half_width(self.half_width_g_per_mL)
        return influence(key, self.density_g_per_mL * KG_PER_M3_PER_G_PER_ML,
                         uncertainty_g_per_mL * KG_PER_M3_PER_G_PER_ML, "kg/m³",
                         distribution="rectangular", label=f"density of {self.substance}")


@dataclass(frozen=True, slots=True)
class Substance:
    """A chemical entity.

    Fields:
        name: as the table names it.
        formula: its formula, hydrate water included.
        cas_number: registry number.
        aliases: other names in use.
        groups: families it belongs to where dangerous pairs are named by family ("acids").
        state: "solid", "liquid", "gas" or "solution".
        density: of the pure solid or liquid, where held.
    """

    name: str
    formula: str
    cas_number: str
    aliases: tuple[str, ...]
    groups: tuple[str, ...]
    state: str
    density: Density | None


@dataclass(frozen=True, slots=True)
class Equivalents:
    """How many equivalents a mole of a primary standard counts on one basis.

    Fields:
        basis: what it does ("acid in water").
        number: equivalents per mole.
        reaction: balanced.
        species: how the standard stands in the reaction.
        counted: the species, one of which is one equivalent.
    """

    basis: str
    number: int
    reaction: str
    species: str
    counted: str


@dataclass(frozen=True, slots=True)
class Drying:
    """One published way to dry a primary standard; sources disagree, and the chemist chooses.

    Fields:
        temperature_degC, time_h: as printed; may be a range or words.
        condition: what else the source asks.
        used_for: what the standard was meant for there.
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    temperature_degC: str
    time_h: str
    condition: str
    used_for: str
    source: str
    status: str
    note: str


@dataclass(frozen=True, slots=True)
class PrimaryStandard:
    """A substance weighed to standardise a titrant. What is certified about a lot of it comes from its certificate.

    Fields:
        name, formula, aliases: see :class:`Substance`.
        density: of the solid, for buoyancy, where held.
        hygroscopicity: how it takes up or gives off water.
        standardises: titrants it serves.
        equivalents: one entry per basis.
        drying: the published alternatives.
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    name: str
    formula: str
    aliases: tuple[str, ...]
    density: Density | None
    hygroscopicity: str
    standardises: str
    equivalents: tuple[Equivalents, ...]
    drying: tuple[Drying, ...]
    source: str
    status: str
    note: str


def substance(name_or_formula: str) -> Substance:
    """Return a substance by its name, an alias, its formula as written in the table, or its registry number.

    Raises:
        Refusal: no such substance is held, or a formula fits several; the sentence names those that come near.

    Example:
        >>> substance("KHP").formula
        'C8H5KO4'
    """
    row = _found("substances", name_or_formula, "substance")
    return Substance(row["key"], row["formula"], row["cas_number"], _listed(row["aliases"]), _listed(row["groups"]),
                     row["state"], _density(row))


def substances() -> tuple[str, ...]:
    """Return the names of all substances held."""
    return tuple(by_key("substances"))


def primary_standard(name_or_formula: str) -> PrimaryStandard:
    """Return a primary standard by its name, an alias or its formula as written in the table.

    Raises:
        Refusal: no such standard is held; the sentence names those that come near.

    Example:
        >>> [one.number for one in primary_standard("potassium dichromate").equivalents]
        [6]
    """
    row = _found("primary_standards", name_or_formula, "primary standard")
    return PrimaryStandard(
        row["key"], row["formula"], _listed(row["aliases"]), _density(row), row["hygroscopicity"], row["standardises"],
        _equivalents(row["key"]), _drying(row["key"]), citation(row), row["status"], row["note"],
    )


def primary_standards() -> tuple[str, ...]:
    """Return the names of all primary standards held."""
    return tuple(by_key("primary_standards"))


def _equivalents(standard: str) -> tuple[Equivalents, ...]:
    return tuple(
        Equivalents(row["basis"], int(row["equivalents"]), row["reaction"], row["species"], row["counted"])
        for row in table("primary_standard_equivalents").rows if row["standard"] == standard
    )


def _drying(standard: str) -> tuple[Drying, ...]:
    return tuple(
        Drying(row["temperature_degC"], row["time_h"], row["condition"], row["used_for"], citation(row), row["status"],
               row["note"])
        for row in table("primary_standard_drying").rows if row["standard"] == standard
    )


def _density(row: Row) -> Density | None:
    if not row["density"]:
        return None
    return Density(row["key"], float(row["density"]), float(row["half_width"]), citation(row), row["status"])


@cache
def _names(name_of_table: str) -> Mapping[str, tuple[str, ...]]:
    """Return name, alias, formula or registry number, without regard to case, to the keys it stands for."""
    found: dict[str, list[str]] = {}
    for key, row in by_key(name_of_table).items():
        for name in (key, *_listed(row["aliases"]), row["formula"], row.get("cas_number", "")):
            keys = found.setdefault(_plain(name), [])
            if name and key not in keys:
                keys.append(key)
    return MappingProxyType({name: tuple(keys) for name, keys in found.items() if name})


def _found(name_of_table: str, wanted: str, what: str) -> Row:
    rows = by_key(name_of_table)
    if wanted.strip() in rows:
        return rows[wanted.strip()]
    keys = _names(name_of_table).get(_plain(wanted), ())
    if len(keys) > 1:
        raise Refusal(f"'{wanted}' stands for more than one {what}", where="reference",
                      remedy=f"name {' or '.join(keys)}")
    if not keys:
        close = near(wanted, rows)
        raise Refusal(f"no {what} '{wanted}' is held", where="reference",
                      remedy=f"choose from {', '.join(close)}" if close else
                             "check the spelling, or state formula and density with their source")
    return rows[keys[0]]


def _plain(name: str) -> str:
    return name.strip().casefold().replace("*", "·").replace("sulph", "sulf")


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(";") if part.strip())
