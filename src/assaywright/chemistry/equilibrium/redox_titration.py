"""Titration of redox couples, in one or several steps: curve by balance of electrons."""

from dataclasses import dataclass

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array, Number
from assaywright.chemistry.equilibrium.components import Solution, mix
from assaywright.chemistry.equilibrium.redox import Couple, RedoxForm, RedoxState, families, solve_redox
from assaywright.chemistry.equilibrium.titration import EquivalencePoint, Points, in_order
from assaywright.chemistry.temperature import REFERENCE_DEGC, check_temperature


@dataclass(frozen=True, slots=True)
class RedoxTitration:
    """A reductant titrated with an oxidant, or an oxidant with a reductant.

    Fields:
        analyte: its forms.
        analyte_volume_mL: its volume before titrating [mL].
        titrant: its forms.
        couples: half-reactions between all forms, with formal potentials of the medium or with standard ones.
        pH: of the medium, for standard potentials [1].
        temperature_degC: 5 to 50 [°C].
        electrode_V: potential of the reference electrode against the standard hydrogen electrode [V].
    """

    analyte: Solution[RedoxForm]
    analyte_volume_mL: Number
    titrant: Solution[RedoxForm]
    couples: tuple[Couple, ...]
    pH: Number = 0.0
    temperature_degC: float = REFERENCE_DEGC
    electrode_V: float = 0.0

    def __post_init__(self) -> None:
        check_temperature(self.temperature_degC)

    @property
    def quantity(self) -> str:
        """The potential."""
        return "potential_V"

    @property
    def followed(self) -> str:
        """No single species."""
        return ""

    def state(self, volume_mL: Array) -> RedoxState:
        """Return the whole equilibrium after adding these volumes of titrant.

        Arguments:
            volume_mL: of titrant [mL].
        """
        mixture = mix((self.analyte, self.analyte_volume_mL), (self.titrant, volume_mL))
        return solve_redox(tuple(mixture), self.couples, self.pH, self.temperature_degC)

    def points(self, volume_mL: Array) -> Points:
        """Return the potential against the reference electrode, and of each element the fraction of each form.

        Arguments:
            volume_mL: of titrant [mL].
        """
        state = self.state(volume_mL)
        unknown = np.full(state.potential_V.shape, np.nan)
        return Points(state.potential_V - self.electrode_V, state.fractions, unknown,
                      np.zeros(unknown.shape, dtype=bool), state.relative_residual)

    def equivalence_points(self) -> tuple[EquivalencePoint, ...]:
        """Return every volume at which the electrons fill a whole number of couples, the strongest oxidant first.

            N_a V0 + N_t V = sum(q_a V0 + q_t V) over the k couples of the highest potentials

        with N the electrons that the forms hold above their most oxidised ones, and q those that a couple can hold.

        Source: Kolthoff and Furman, Potentiometric Titrations, 1931, equivalence potentials.
        """
        strongest = sorted(
            self.couples, key=lambda one: -float(np.mean(one.potential_at(self.pH, self.temperature_degC))))
        held_a, held_t = self._held(self.analyte), self._held(self.titrant)
        all_room = sum((self._room(self.titrant, one) for one in strongest), np.zeros(()))
        by_oxidant = float(np.mean(held_t)) < 0.5 * float(np.mean(all_room))
        found, above, below = [], -held_a, held_t
        for k, couple in enumerate(strongest):
            above = above + self._room(self.analyte, couple)
            below = below - self._room(self.titrant, couple)
            following = strongest[k + 1] if k + 1 < len(strongest) else couple
            with np.errstate(divide="ignore", invalid="ignore"):
                titre = np.asarray(above * self.analyte_volume_mL / below)
            found.append(EquivalencePoint(titre, following.reduced if by_oxidant else couple.oxidised))
        return in_order(found)

    def _held(self, solution: Solution[RedoxForm]) -> Array:
        """Return the electrons that the forms of a solution hold above their most oxidised ones [mol/L]."""
        every = families(self.couples, self.pH, self.temperature_degC)
        own = (e * solution.total(name) for one in every for name, e in zip(one.forms, one.electrons, strict=True))
        return np.asarray(sum(own, np.zeros(())))

    def _room(self, solution: Solution[RedoxForm], couple: Couple) -> Array:
        """Return the electrons that a couple can hold when the whole element stands in it [mol/L]."""
        every = families(self.couples, self.pH, self.temperature_degC)
        family = next(one for one in every if couple.oxidised in one.forms)
        own = (m * solution.total(name) for name, m in zip(family.forms, family.atoms, strict=True))
        atoms = sum(own, np.zeros(()))
        of_oxidised = couple.oxidised_count * family.atoms[family.forms.index(couple.oxidised)]
        return np.asarray(couple.electrons * atoms / of_oxidised)
