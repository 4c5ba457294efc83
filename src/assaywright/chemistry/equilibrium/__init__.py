"""Equilibria in water, solved for whole curves at once: acids and bases, complexes, precipitates, redox couples."""

from assaywright.chemistry.equilibrium.acid_base import AcidBase, AcidBaseState, HeldAcid, solve_acid_base
from assaywright.chemistry.equilibrium.acid_base_titration import AcidBaseTitration
from assaywright.chemistry.equilibrium.complexation import (
    ComplexationState,
    Medium,
    Metal,
    SideReaction,
    lg_conditional_constant,
    ligand_fraction,
    metal_fraction,
    solve_complexation,
)
from assaywright.chemistry.equilibrium.complexometric_titration import ComplexometricTitration
from assaywright.chemistry.equilibrium.components import Acid, Conditions, Solution, StrongIon, mix
from assaywright.chemistry.equilibrium.precipitation import Ion, PrecipitationState, Salt, solve_precipitation
from assaywright.chemistry.equilibrium.precipitation_titration import PrecipitationTitration
from assaywright.chemistry.equilibrium.redox import Couple, RedoxForm, RedoxState, solve_redox
from assaywright.chemistry.equilibrium.redox_titration import RedoxTitration
from assaywright.chemistry.equilibrium.titration import EquivalencePoint, Points, Titration

__all__ = [
    "Acid",
    "AcidBase",
    "AcidBaseState",
    "AcidBaseTitration",
    "ComplexationState",
    "ComplexometricTitration",
    "Conditions",
    "Couple",
    "EquivalencePoint",
    "HeldAcid",
    "Ion",
    "Medium",
    "Metal",
    "Points",
    "PrecipitationState",
    "PrecipitationTitration",
    "RedoxForm",
    "RedoxState",
    "RedoxTitration",
    "Salt",
    "SideReaction",
    "Solution",
    "StrongIon",
    "Titration",
    "lg_conditional_constant",
    "ligand_fraction",
    "metal_fraction",
    "mix",
    "solve_acid_base",
    "solve_complexation",
    "solve_precipitation",
    "solve_redox",
]
