"""Equilibria in water, solved for whole curves at once: acids and bases, complexes, precipitates, redox couples."""

from assaywright.chemistry.equilibrium.acid_base import AcidBase, AcidBaseState, HeldAcid, solve_acid_base
from assaywright.chemistry.equilibrium.acid_base_titration import AcidBaseTitration
from assaywright.chemistry.equilibrium.components import Acid, Conditions, Solution, StrongIon, mix
from assaywright.chemistry.equilibrium.titration import EquivalencePoint, Points, Titration

__all__ = [
    "Acid",
    "AcidBase",
    "AcidBaseState",
    "AcidBaseTitration",
    "Conditions",
    "EquivalencePoint",
    "HeldAcid",
    "Points",
    "Solution",
    "StrongIon",
    "Titration",
    "mix",
    "solve_acid_base",
]
