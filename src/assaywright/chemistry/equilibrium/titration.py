"""What every titration can be asked, whatever its chemistry: values along the burette, and its equivalence points."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array, Flags

DECIMALS_OF_VOLUME = 12  # further digits are rounding of binary arithmetic


@dataclass(frozen=True, slots=True)
class Points:
    """A titration at given volumes.

    Fields:
        values: pH, pM or pX [1], or potential [V].
        fractions: for each family of forms, the fraction in each form [1].
        ionic_strength_mol_per_L: [mol/L].
        beyond_limit: where the model of activities was held at its limit.
        relative_residual: balance left over, divided by the sum of its terms [1].
    """

    values: Array
    fractions: Mapping[str, tuple[Array, ...]]
    ionic_strength_mol_per_L: Array
    beyond_limit: Flags
    relative_residual: Array


@dataclass(frozen=True, slots=True)
class EquivalencePoint:
    """A volume at which titrant and one stage of the analyte are equivalent, from stoichiometry alone.

    Fields:
        volume_mL: exact; NaN where a curve of a batch doesn't have it [mL].
        name: what has been titrated ("acetic acid").
    """

    volume_mL: Array
    name: str


class Titration(Protocol):
    """An analyte, a titrant and the conditions: everything a curve follows from."""

    @property
    def quantity(self) -> str:
        """What is followed: "pH", "pM", "pX" or "potential_V"."""

    @property
    def followed(self) -> str:
        """The species whose p-value is followed ("H+", "Ca2+", "Ag+"); empty for a potential."""

    @property
    def temperature_degC(self) -> float:
        """Temperature of the titrated solution [°C]."""

    def points(self, volume_mL: Array) -> Points:
        """Return the equilibria after adding these volumes of titrant [mL]."""

    def equivalence_points(self) -> tuple[EquivalencePoint, ...]:
        """Return all equivalence points by stoichiometry, in the order of the burette."""


def in_order(found: list[EquivalencePoint]) -> tuple[EquivalencePoint, ...]:
    """Return the points that at least one curve has, by volume; a volume that isn't above zero becomes NaN [mL]."""
    kept = []
    for point in found:
        rounded = np.round(point.volume_mL, DECIMALS_OF_VOLUME)
        real = np.isfinite(rounded) & (rounded > 0)
        if np.any(real):
            kept.append(EquivalencePoint(np.where(real, rounded, np.nan), point.name))
    return tuple(sorted(kept, key=lambda point: float(np.nanmean(point.volume_mL))))
