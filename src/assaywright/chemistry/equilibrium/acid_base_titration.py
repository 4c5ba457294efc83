"""Titration of acids and bases: curve by charge balance, equivalence points by counting protons."""

from dataclasses import dataclass, field

import numpy as np

from assaywright.chemistry.equilibrium.acid_base import AcidBase, AcidBaseState, HeldAcid, solve_acid_base
from assaywright.chemistry.equilibrium.arrays import Array, Number
from assaywright.chemistry.equilibrium.components import Acid, Conditions, Solution, mix
from assaywright.chemistry.equilibrium.titration import EquivalencePoint, Points, in_order


@dataclass(frozen=True, slots=True)
class AcidBaseTitration:
    """An acid or base titrated with a base or acid; mixtures, salts, carbonate and impurities are components.

    Fields:
        analyte: the titrated solution, impurities included.
        analyte_volume_mL: its volume before titrating, rinsing water included when ``analyte`` says so [mL].
        titrant: what the burette holds, its carbonate included.
        conditions: temperature, activities, pKw.
        held: carbon dioxide of the air, where the flask stands open and is given time.

    Example:
        >>> from assaywright.chemistry.equilibrium.components import StrongIon
        >>> acid, soda = Acid("acetic acid", (4.757,)), StrongIon("Na+", 1)
        >>> one = AcidBaseTitration(Solution(((acid, 0.1),)), 25.0, Solution(((soda, 0.1),)))
        >>> [float(point.volume_mL) for point in one.equivalence_points()]
        [25.0]
    """

    analyte: Solution[AcidBase]
    analyte_volume_mL: Number
    titrant: Solution[AcidBase]
    conditions: Conditions = field(default_factory=Conditions)
    held: HeldAcid | None = None

    @property
    def quantity(self) -> str:
        """The pH."""
        return "pH"

    @property
    def followed(self) -> str:
        """The hydrogen ion."""
        return "H+"

    @property
    def temperature_degC(self) -> float:
        """Temperature of the titrated solution [°C]."""
        return self.conditions.temperature_degC

    def state(self, volume_mL: Array) -> AcidBaseState:
        """Return the whole equilibrium after adding these volumes of titrant.

        Arguments:
            volume_mL: of titrant [mL].
        """
        mixture = mix((self.analyte, self.analyte_volume_mL), (self.titrant, volume_mL))
        return solve_acid_base(mixture, self.conditions, self.held)

    def points(self, volume_mL: Array) -> Points:
        """Return pH and fractions after adding these volumes of titrant.

        Arguments:
            volume_mL: of titrant [mL].
        """
        state = self.state(volume_mL)
        return Points(state.pH, state.fractions, state.ionic_strength_mol_per_L, state.beyond_limit,
                      state.relative_residual)

    def equivalence_points(self) -> tuple[EquivalencePoint, ...]:
        """Return every volume at which a whole number of the proton sites, strongest acid first, is neutralised.

        With Q the charge that a solution would have with all its acids fully protonated and no H+ or OH-, Q protons
        are missing (or -Q are free, as strong acid). A point is where Q equals the sites of the k strongest steps:

            Q_a V0 + Q_t V = sum(n_a V0 + n_t V) over the first k steps

        Source: Butler, Ionic Equilibrium, 1998, proton conditions at equivalence.
        """
        sites = _sites(self.analyte, self.titrant)
        missing_a, missing_t = _missing(self.analyte), _missing(self.titrant)
        by_base = float(np.mean(missing_t)) > 0
        found, filled_a, filled_t = [], np.zeros(()), np.zeros(())
        for k in range(len(sites) + 1):
            if k:
                acid, _step, _pKa = sites[k - 1]
                filled_a, filled_t = filled_a + self.analyte.total(acid), filled_t + self.titrant.total(acid)
            with np.errstate(divide="ignore", invalid="ignore"):
                titre = (filled_a - missing_a) * self.analyte_volume_mL / (missing_t - filled_t)
            found.append(EquivalencePoint(np.asarray(titre), _name(sites, k, by_base=by_base)))
        return in_order(found)


Site = tuple[str, int, float]


def _sites(*solutions: Solution[AcidBase]) -> list[Site]:
    """Return acid, step and pKa of every proton that can leave, strongest acid first."""
    acids = {one.name: one for solution in solutions for one in solution.components if isinstance(one, Acid)}
    found = [(one.name, step, float(np.mean(pKa))) for one in acids.values() for step, pKa in enumerate(one.pKa, 1)]
    return sorted(found, key=lambda site: site[2])


def _missing(solution: Solution[AcidBase]) -> Array:
    """Return the charge with every acid fully protonated: the protons that are missing [mol/L]."""
    return np.asarray(sum((one.charge * total for one, total in solution), np.zeros(())))


def _name(sites: list[Site], k: int, *, by_base: bool) -> str:
    if by_base and k == 0:
        return "strong acid"
    if not by_base and k == len(sites):
        return "strong base"
    acid, step, _pKa = sites[k - 1] if by_base else sites[k]
    several = sum(site[0] == acid for site in sites) > 1
    return f"{acid}, step {step}" if several else acid
