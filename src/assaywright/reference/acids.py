"""Acid dissociation constants, step by step, and what a substance becomes in water."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, by_key, citation, number, table
from assaywright.reference.near import near
from assaywright.reference.substances import substance


@dataclass(frozen=True, slots=True)
class AcidConstant:
    """The constant of one step in which an acid gives off a proton.

    Fields:
        key: of the row.
        acid: name of the acid to which the steps belong ("phosphoric acid", "ammonium").
        step: number of the step, 1 for the first proton.
        equilibrium: balanced, as :func:`assaywright.chemistry.reaction.parse_reaction` reads it.
        acid_species, base_species: what gives the proton off and what is left; the base of one step is, letter by
            letter, the acid of the next.
        pKa: minus the decadic logarithm of the constant [1].
        half_width: bound of pKa: half a unit of its last printed digit, or what the sources held differ by [1].
        temperature_degC: at which it holds [°C].
        ionic_strength_mol_per_L: at which it holds, none where the source is silent [mol/L].
        kind: "thermodynamic" (activities), "concentration" (at the ionic strength given), "not stated", or "strong"
            (order of magnitude: the step is complete in water).
        enthalpy_kJ_per_mol: of dissociation, where known [kJ/mol].
        heat_capacity_J_per_mol_K: change on dissociation, where known [J/(mol·K)].
        data_set: name of the coherent set the value belongs to.
        chosen: whether it is the one in use; the note says why.
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    key: str
    acid: str
    step: int
    equilibrium: str
    acid_species: str
    base_species: str
    pKa: float
    half_width: float
    temperature_degC: float
    ionic_strength_mol_per_L: float | None
    kind: str
    enthalpy_kJ_per_mol: float | None
    heat_capacity_J_per_mol_K: float | None
    data_set: str
    chosen: bool
    source: str
    status: str
    note: str

    @property
    def is_strong(self) -> bool:
        """Whether the step is complete in water, so that its constant decides nothing there."""
        return self.kind == "strong"

    @property
    def estimate(self) -> Estimate:
        """The pKa with its rectangular distribution, under its permanent key."""
        key = influence_key("acid dissociation", f"{self.acid}, step {self.step}", self.data_set, "pKa")
        return influence(key, self.pKa, standard_uncertainty_of_half_width(self.half_width), "1",
                         distribution="rectangular", label=f"pKa of {self.acid_species}")


@dataclass(frozen=True, slots=True)
class Dissolution:
    """What one formula unit of a substance becomes in water before any equilibrium is reckoned.

    Fields:
        substance: its name.
        reaction: from the substance to ions and molecules in water, balanced, as
            :func:`assaywright.chemistry.reaction.parse_reaction` reads it; water may stand on either side.
        acids: names of the acids among whose species some of the products are; each is a question to
            :func:`acid_constants`. A product that is none of their species takes no part in proton transfer, save H+
            and OH- themselves.
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    substance: str
    reaction: str
    acids: tuple[str, ...]
    source: str
    status: str
    note: str


def acids() -> tuple[str, ...]:
    """Return the names of all acids whose constants are held."""
    return tuple(_constants())


def acid_data_sets(name: str) -> tuple[str, ...]:
    """Return the names of the sets of constants held for an acid; see :func:`acid_constants`."""
    return tuple(dict.fromkeys(one.data_set for one in _constants()[_acid(name)]))


def acid_constants(name: str, data_set: str = "") -> tuple[AcidConstant, ...]:
    """Return the constants of an acid in the order of its steps.

    Arguments:
        name: of the acid ("phosphoric acid"), of a substance of which it is the only acid or base ("sodium carbonate"
            leads to carbonic acid, "ammonia" to ammonium), or of a species in the table ("HCO3-").
        data_set: name of a coherent set ("Harris at 0.1 mol/L"); the chosen constants when not given.

    Returns: one constant a step, the species of one leading to the next. A step that only another set numbers is left
        out: EDTA begins with its second here, with its first in the set at 0.1 mol/L. "strong" steps stand first and
        may be passed over in water.

    Raises:
        Refusal: no constant is held, or the substance brings several acids; the sentence names what is held.

    Example:
        >>> [one.pKa for one in acid_constants("phosphoric acid")]
        [2.148, 7.198, 12.35]
    """
    acid = _acid(name)
    held = _constants()[acid]
    found = tuple(one for one in held if (one.data_set == data_set if data_set else one.chosen))
    if not found:
        raise Refusal(f"the set '{data_set}' holds no constant of {acid}", where="acid dissociation constants",
                      remedy=f"choose {' or '.join(acid_data_sets(acid))}")
    return found


def all_acid_constants(name: str) -> tuple[AcidConstant, ...]:
    """Return every constant held for an acid, those not chosen among them, by step."""
    return _constants()[_acid(name)]


def dissolution(name: str) -> Dissolution:
    """Return what a substance becomes in water.

    Arguments:
        name: of the substance, see :func:`assaywright.reference.substances.substance`.

    Raises:
        Refusal: no such substance, or it does not dissolve as such (a metal, an indicator).

    Example:
        >>> dissolution("borax").reaction
        'Na2B4O7·10H2O = 2 Na+ + 2 H3BO3 + 2 B(OH)4- + 3 H2O'
    """
    wanted = substance(name).name
    row = by_key("dissolution").get(wanted)
    if row is None:
        raise Refusal(f"what {wanted} becomes in water is not held", where="dissolution",
                      remedy="name the species it gives")
    return Dissolution(row["key"], row["reaction"], _listed(row["acids"]), citation(row), row["status"], row["note"])


def _acid(name: str) -> str:
    """Return the acid that a name of an acid, a substance or a species stands for."""
    wanted = name.strip()
    if wanted in _constants():
        return wanted
    by_species = {one.acid for held in _constants().values() for one in held
                  if wanted in {one.acid_species, one.base_species}}
    found = tuple(by_species) or _acids_of_substance(wanted)
    if len(found) != 1:
        names = sorted(found) or near(wanted, acids())
        raise Refusal(
            f"'{name}' stands for {'more than one acid' if found else 'no acid or base whose constants are held'}",
            where="acid dissociation constants",
            remedy=f"name {' or '.join(names)}" if names else "give its constants with their source")
    return found[0]


def _acids_of_substance(name: str) -> tuple[str, ...]:
    try:
        return dissolution(name).acids
    except Refusal:
        return ()


@cache
def _constants() -> Mapping[str, tuple[AcidConstant, ...]]:
    found: dict[str, list[AcidConstant]] = {}
    for row in table("acid_dissociation_constants").rows:
        found.setdefault(row["acid"], []).append(_acid_constant(row))
    return MappingProxyType({acid: tuple(held) for acid, held in found.items()})


def _acid_constant(row: Row) -> AcidConstant:
    return AcidConstant(
        row["key"], row["acid"], int(row["step"]), row["equilibrium"], row["acid_species"], row["base_species"],
        float(row["value"]), float(row["half_width"]), float(row["temperature_degC"]),
        number(row["ionic_strength_mol_per_L"]), row["kind"], number(row["enthalpy_kJ_per_mol"]),
        number(row["heat_capacity_J_per_mol_K"]), row["data_set"], row["chosen"] == "yes", citation(row),
        row["status"], row["note"],
    )


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(";") if part.strip())
