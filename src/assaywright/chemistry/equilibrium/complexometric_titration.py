"""Titration of metals with a chelating ligand, forwards or back: curve by mass balance."""

from dataclasses import dataclass

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array, Number
from assaywright.chemistry.equilibrium.complexation import (
    ComplexationState,
    Medium,
    Metal,
    lg_conditional_constant,
    solve_complexation,
)
from assaywright.chemistry.equilibrium.components import Acid, Solution, mix
from assaywright.chemistry.equilibrium.titration import EquivalencePoint, Points, in_order
from assaywright.metrology.refusal import Refusal

Chelating = Metal | Acid


@dataclass(frozen=True, slots=True)
class ComplexometricTitration:
    """Metals titrated with a ligand, or, back, a ligand titrated with a metal.

    Fields:
        analyte: metals and, in a back titration, the ligand.
        analyte_volume_mL: its volume before titrating [mL].
        titrant: the ligand, or a metal.
        medium: pH, auxiliary ligands, ionic strength; held by the buffer throughout.
        metal: name of the metal whose pM is followed.
    """

    analyte: Solution[Chelating]
    analyte_volume_mL: Number
    titrant: Solution[Chelating]
    medium: Medium
    metal: str

    def __post_init__(self) -> None:
        ligands = {one.name for one in self._components() if isinstance(one, Acid)}
        metals = [one.name for one in self._components() if isinstance(one, Metal)]
        if len(ligands) != 1 or self.metal not in metals:
            raise Refusal(f"{len(ligands)} ligands, and metals {', '.join(metals)}", where="complexometric titration",
                          remedy="give one chelating ligand, and follow one of the metals")

    @property
    def quantity(self) -> str:
        """The pM."""
        return "pM"

    @property
    def followed(self) -> str:
        """The metal ion followed."""
        return self.metal

    @property
    def temperature_degC(self) -> float:
        """Temperature of the titrated solution [°C]."""
        return self.medium.conditions.temperature_degC

    def state(self, volume_mL: Array) -> ComplexationState:
        """Return the whole equilibrium after adding these volumes of titrant.

        Arguments:
            volume_mL: of titrant [mL].
        """
        metals, ligand = _sorted_out(mix((self.analyte, self.analyte_volume_mL), (self.titrant, volume_mL)))
        return solve_complexation(metals, ligand, self.medium)

    def points(self, volume_mL: Array) -> Points:
        """Return pM, and of each metal the fractions not chelated and chelated, after adding these volumes.

        Arguments:
            volume_mL: of titrant [mL].
        """
        mixture = mix((self.analyte, self.analyte_volume_mL), (self.titrant, volume_mL))
        metals, ligand = _sorted_out(mixture)
        state = solve_complexation(metals, ligand, self.medium)
        fractions = {}
        for metal, total in metals:
            with np.errstate(divide="ignore", invalid="ignore"):
                left = np.where(total > 0, state.not_chelated[metal.name] / total, np.nan)
            fractions[metal.name] = (left, 1.0 - left)
        strength = np.broadcast_to(np.asarray(self.medium.ionic_strength_mol_per_L, dtype=float),
                                   state.relative_residual.shape)
        return Points(state.pM[self.metal], fractions, strength,
                      strength > self.medium.conditions.activity.limit_mol_per_L, state.relative_residual)

    def equivalence_points(self) -> tuple[EquivalencePoint, ...]:
        """Return every volume at which the ligand equals the metals it holds most firmly, one after another.

        C_Y,a V0 + C_Y,t V = sum(c_a V0 + c_t V) over the first k metals, in the order of their conditional constants
        """
        ligand = next(one for one in self._components() if isinstance(one, Acid))
        metals = {one.name: one for one in self._components() if isinstance(one, Metal)}
        firmest = sorted(
            metals.values(), key=lambda one: -float(np.mean(lg_conditional_constant(one, ligand, self.medium))))
        found, above, below = [], -self.analyte.total(ligand.name), self.titrant.total(ligand.name)
        for one in firmest:
            above, below = above + self.analyte.total(one.name), below - self.titrant.total(one.name)
            with np.errstate(divide="ignore", invalid="ignore"):
                found.append(EquivalencePoint(np.asarray(above * self.analyte_volume_mL / below), one.name))
        return in_order(found)

    def _components(self) -> tuple[Chelating, ...]:
        return self.analyte.components + self.titrant.components


def _sorted_out(mixture: Solution[Chelating]) -> tuple[list[tuple[Metal, Array]], tuple[Acid, Array]]:
    metals = [(one, total) for one, total in mixture if isinstance(one, Metal)]
    return metals, next((one, total) for one, total in mixture if isinstance(one, Acid))
