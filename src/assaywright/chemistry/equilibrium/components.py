"""What a solution is made of, described once: acids, strong ions, and how much of each stands in a litre."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Generic, Protocol, TypeVar

import numpy as np

from assaywright.chemistry.activity import DAVIES, ActivityModel
from assaywright.chemistry.equilibrium.arrays import Array, Number, common_shape, concentration, volume
from assaywright.chemistry.temperature import (
    REFERENCE_DEGC,
    check_temperature,
    pk_clarke_glew1966,
    pkw_bandura_lvov2006,
)
from assaywright.metrology.refusal import Refusal

MOST_STEPS = 12


class Component(Protocol):
    """Anything that is added to a solution and keeps its total amount there."""

    @property
    def name(self) -> str:
        """What it is called; components of one name are one component."""


C = TypeVar("C", bound=Component)


@dataclass(frozen=True, slots=True)
class StrongIon:
    """An ion that takes part in no equilibrium: it brings charge and ionic strength.

    Fields:
        name: as written ("Na+").
        charge: in elementary charges.
    """

    name: str
    charge: int


@dataclass(frozen=True, slots=True)
class Acid:
    """All forms of one substance that differ by protons only: an acid with its bases, or a base with its acids.

    Fields:
        name: of the whole family ("phosphoric acid").
        pKa: of each step, first the step of the fully protonated form; a number, or an array over a batch [1].
        charge: of the fully protonated form (0 for acetic acid, +1 for ammonium).
        enthalpies_kJ_per_mol: of dissociation, step by step; empty when not known [kJ/mol].
        heat_capacities_J_per_mol_K: changes on dissociation, step by step; empty when not known [J/(mol K)].
        reference_degC: temperature of the constants [°C].
        ionic_strength_mol_per_L: at which the constants are stated, as concentration constants when above zero [mol/L].
        forms: formulas of the forms, first the fully protonated; needed only by a model of specific interactions.
    """

    name: str
    pKa: tuple[Number, ...]
    charge: int = 0
    enthalpies_kJ_per_mol: tuple[float, ...] = ()
    heat_capacities_J_per_mol_K: tuple[float, ...] = ()
    reference_degC: float = REFERENCE_DEGC
    ionic_strength_mol_per_L: float = 0.0
    forms: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        steps = len(self.pKa)
        if not 1 <= steps <= MOST_STEPS or not all(np.all(np.isfinite(one)) for one in self.pKa):
            raise Refusal(f"an acid with {steps} constants, or one that is not a number", where=self.name,
                          remedy=f"give one to {MOST_STEPS} pKa values")
        for known in (self.enthalpies_kJ_per_mol, self.heat_capacities_J_per_mol_K):
            if len(known) not in (0, steps):
                raise Refusal(f"{len(known)} thermal figures for {steps} steps", where=self.name,
                              remedy="give one for each step, or none")
        if len(self.forms) not in (0, steps + 1):
            raise Refusal(f"{len(self.forms)} formulas for {steps + 1} forms", where=self.name,
                          remedy="give one for each form, or none")

    def pKa_at(self, temperature_degC: float) -> tuple[Array, ...]:
        """Return the pKa of each step at a temperature [°C]; unchanged where no enthalpy is known."""
        if not self.enthalpies_kJ_per_mol:
            return tuple(np.asarray(one, dtype=float) for one in self.pKa)
        capacities = self.heat_capacities_J_per_mol_K or (0.0,) * len(self.pKa)
        return tuple(
            np.asarray(pk_clarke_glew1966(one, enthalpy, temperature_degC, capacity, self.reference_degC))
            for one, enthalpy, capacity in zip(self.pKa, self.enthalpies_kJ_per_mol, capacities, strict=True)
        )


@dataclass(frozen=True, slots=True)
class Conditions:
    """Where an equilibrium is asked for.

    Fields:
        temperature_degC: 5 to 50 [°C].
        activity: the model of activity coefficients; :data:`~assaywright.chemistry.activity.IDEAL` for textbook tables.
        pKw: of water, where it is to differ from Bandura and Lvov 2006 [1].
    """

    temperature_degC: float = REFERENCE_DEGC
    activity: ActivityModel = DAVIES
    pKw: float | None = None

    def __post_init__(self) -> None:
        check_temperature(self.temperature_degC)

    @property
    def ionisation_of_water(self) -> float:
        """The pKw that holds here."""
        return float(pkw_bandura_lvov2006(self.temperature_degC)) if self.pKw is None else self.pKw


@dataclass(frozen=True, slots=True)
class Solution(Generic[C]):
    """Components and their total concentrations.

    Fields:
        totals: pairs of component and concentration; a number, or an array over batch and points [mol/L].

    Example:
        >>> caustic = Solution(((StrongIon("Na+", 1), 0.1),))
        >>> caustic.total("Na+")
        array(0.1)
    """

    totals: tuple[tuple[C, Number], ...] = field(default=())

    def __post_init__(self) -> None:
        names = [component.name for component, _ in self.totals]
        if len(set(names)) < len(names):
            raise Refusal("a component is given twice", where=", ".join(names), remedy="add its amounts up")
        checked = tuple((component, concentration(total, component.name)) for component, total in self.totals)
        object.__setattr__(self, "totals", checked)

    def __iter__(self) -> Iterator[tuple[C, Array]]:
        return iter((component, np.asarray(total)) for component, total in self.totals)

    @property
    def components(self) -> tuple[C, ...]:
        """The components, as given."""
        return tuple(component for component, _ in self.totals)

    @property
    def shape(self) -> tuple[int, ...]:
        """The shape to which all its concentrations spread."""
        return common_shape((np.asarray(total) for _, total in self.totals), "solution")

    def total(self, name: str) -> Array:
        """Return the concentration of a component by its name, zero where there is none [mol/L]."""
        return next((total for component, total in self if component.name == name), np.zeros(()))


def mix(*parts: tuple[Solution[C], Number]) -> Solution[C]:
    """Return what solutions give together; volumes are taken as additive.

    c = sum(c_i V_i) / sum(V_i)

    Arguments:
        parts: pairs of solution and volume [mL].

    Returns: the mixture, its concentrations spread over the shape of the volumes [mol/L]

    Raises:
        Refusal: a volume that is negative, or none at all; shapes that do not fit.

    Source: conservation of amount; that volumes add is good to 0.1 % for titrants up to 1 mol/L, common practice.
    """
    volumes = [volume(one, "a part") for _, one in parts]
    whole = sum(volumes, np.zeros(()))
    if not np.all(whole > 0):
        raise Refusal("nothing to mix", where="volume", remedy="give the volume of the titrated solution")
    found: dict[str, tuple[C, Array]] = {}
    for (solution, _), share in zip(parts, volumes, strict=True):
        for component, total in solution:
            already = found[component.name][1] if component.name in found else np.zeros(())
            found[component.name] = (component, already + total * share / whole)
    return Solution(tuple(found.values()))
