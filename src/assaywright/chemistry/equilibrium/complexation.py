"""Metals and a chelating ligand at a fixed pH: how much ligand is left free of metal.

With Y' all ligand that no metal holds, and for each metal its conditional constant K',

    C_Y = Y' + sum( C_M K' Y' / (1 + K' Y') )

The right side rises with Y', so there is one root and it can be bracketed. pM is -lg of the free metal ion's
concentration.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from assaywright.chemistry.activity import lg_gamma
from assaywright.chemistry.equilibrium.arrays import Array, Number
from assaywright.chemistry.equilibrium.charge_balance import Family, Gammas
from assaywright.chemistry.equilibrium.components import Acid, Conditions
from assaywright.chemistry.equilibrium.constants import at_ionic_strength, thermodynamic_constants
from assaywright.chemistry.equilibrium.root import falling_root
from assaywright.chemistry.temperature import LN10

NO_LIGAND_MOL_PER_L = 1e-250
ROUNDING = 2e-15
TOLERANCE = 1e-13


@dataclass(frozen=True, slots=True)
class SideReaction:
    """Complexes of a metal with hydroxide or with an auxiliary ligand.

    Fields:
        ligand: name ("hydroxide", "ammonia").
        lg_betas: lg of the overall constants of the complexes with 1, 2, ... ligands [1].
        charge: of the ligand.
    """

    ligand: str
    lg_betas: tuple[Number, ...]
    charge: int


@dataclass(frozen=True, slots=True)
class Metal:
    """A metal ion that the chelating ligand binds one to one.

    Fields:
        name: as written ("Ca2+").
        charge: of the free ion.
        lg_K: lg of the formation constant of its chelate from free metal and fully deprotonated ligand [1].
        side_reactions: with hydroxide and auxiliary ligands.
        lg_K_proton: of chelate + H+, where known [1].
        lg_K_hydroxide: of chelate + OH-, where known [1].
        ionic_strength_mol_per_L: at which all these constants are stated [mol/L].
    """

    name: str
    charge: int
    lg_K: Number
    side_reactions: tuple[SideReaction, ...] = ()
    lg_K_proton: Number | None = None
    lg_K_hydroxide: Number | None = None
    ionic_strength_mol_per_L: float = 0.1


@dataclass(frozen=True, slots=True)
class Medium:
    """The buffer in which a complexometric titration is done; it fixes pH, auxiliary ligands and ionic strength.

    Fields:
        pH: [1].
        auxiliary: pairs of auxiliary ligand and its free concentration, what the metal holds neglected [mol/L].
        ionic_strength_mol_per_L: of buffer and all, to which constants are brought [mol/L].
        conditions: temperature, model of activities, pKw.
    """

    pH: Number
    auxiliary: tuple[tuple[str, Number], ...] = ()
    ionic_strength_mol_per_L: Number = 0.1
    conditions: Conditions = field(default_factory=Conditions)

    @property
    def gammas(self) -> Gammas:
        """The activity coefficients in the medium."""
        model, strength = self.conditions.activity, np.asarray(self.ionic_strength_mol_per_L, dtype=float)
        screening = model.screening(strength, self.conditions.temperature_degC)
        return Gammas(10.0 ** -np.asarray(screening), 10.0 ** np.asarray(lg_gamma(model, 0, screening, strength)))

    def free(self, ligand: str) -> Array:
        """Return the free concentration of hydroxide or an auxiliary ligand [mol/L]."""
        if ligand == "hydroxide":
            return 10.0 ** (np.asarray(self.pH) - self.conditions.ionisation_of_water) / self.gammas.single
        return np.asarray(next((amount for name, amount in self.auxiliary if name == ligand), 0.0), dtype=float)

    def brought(self, lg_K: Number, squares: int, stated_mol_per_L: float) -> Array:
        """Return lg of a constant stated at some ionic strength [mol/L], brought to this medium."""
        return at_ionic_strength(lg_K, squares, self.conditions, stated_mol_per_L, self.ionic_strength_mol_per_L)


def ligand_fraction(ligand: Acid, medium: Medium) -> Array:
    """Return the fraction of the metal-free ligand that is fully deprotonated, alpha(Y).

    Arguments:
        ligand: family of the ligand's acids.
        medium: pH and ionic strength.

    Returns: fraction [1]

    Source: Ringbom, Complexation in Analytical Chemistry, 1963.

    Example:
        >>> from assaywright.chemistry.activity import IDEAL
        >>> edta = Acid("EDTA", (2.00, 2.67, 6.16, 10.26))
        >>> round(float(ligand_fraction(edta, Medium(10.0, conditions=Conditions(activity=IDEAL)))), 3)
        0.355
    """
    family = Family(ligand.name, ligand.charge, thermodynamic_constants(ligand, medium.conditions), np.ones(()))
    return family.fractions(10.0 ** -np.asarray(medium.pH, dtype=float), medium.gammas)[-1]


def metal_fraction(metal: Metal, medium: Medium) -> Array:
    """Return the fraction of the chelate-free metal that is the free ion, alpha(M).

    alpha = 1/[1 + sum(beta_n L^n)] over hydroxide and the auxiliary ligands

    Arguments:
        metal: with its side reactions.
        medium: pH and free ligands.

    Returns: fraction [1]

    Source: Ringbom, Complexation in Analytical Chemistry, 1963.

    Example:
        >>> zinc = Metal("Zn2+", 2, 16.5, (SideReaction("ammonia", (2.18, 4.43, 6.74, 8.70), 0),))
        >>> round(float(metal_fraction(zinc, Medium(10.0, (("ammonia", 0.1),)))) * 1e5, 2)
        1.79
    """
    whole = np.ones(())
    for side in metal.side_reactions:
        free = medium.free(side.ligand)
        for count, lg_beta in enumerate(side.lg_betas, start=1):
            product = metal.charge + count * side.charge
            squares = product * product - metal.charge**2 - count * side.charge**2
            beta = 10.0 ** medium.brought(lg_beta, squares, metal.ionic_strength_mol_per_L)
            whole = whole + beta * free**count
    return np.asarray(1.0 / whole)


def lg_conditional_constant(metal: Metal, ligand: Acid, medium: Medium) -> Array:
    """Return lg K' of a chelate: what metal, ligand and medium make of its formation constant.

    K' = K alpha(Y) alpha(M) [1 + K(MHY) a(H+) + K(MOHY) [OH-]]

    Arguments:
        metal: with its constants.
        ligand: family of the ligand's acids.
        medium: pH, auxiliary ligands, ionic strength.

    Returns: lg K' [1]

    Source: Ringbom, Complexation in Analytical Chemistry, 1963; Schwarzenbach and Flaschka, Complexometric Titrations.
    """
    last = ligand.charge - len(ligand.pKa)
    strength, chelate = metal.ionic_strength_mol_per_L, metal.charge + last
    lg_K = medium.brought(metal.lg_K, chelate**2 - metal.charge**2 - last**2, strength)
    more = np.ones(())
    if metal.lg_K_proton is not None:
        lg_proton = medium.brought(metal.lg_K_proton, (chelate + 1) ** 2 - chelate**2 - 1, strength)
        more = more + 10.0 ** (lg_proton - np.asarray(medium.pH)) / medium.gammas.single
    if metal.lg_K_hydroxide is not None:
        lg_hydroxide = medium.brought(metal.lg_K_hydroxide, (chelate - 1) ** 2 - chelate**2 - 1, strength)
        more = more + 10.0**lg_hydroxide * medium.free("hydroxide")
    return lg_K + np.log10(ligand_fraction(ligand, medium) * metal_fraction(metal, medium) * more)


@dataclass(frozen=True, slots=True)
class ComplexationState:
    """Metals and ligand at equilibrium, point by point.

    Fields:
        lg_ligand: lg of the ligand that no metal holds, in all its protonated forms [1].
        not_chelated: of each metal, the concentration not held by the ligand [mol/L].
        pM: of each metal, -lg of its free ion; infinite where there is none of it [1].
        relative_residual: ligand left over, divided by the sum of the terms of its balance [1].
    """

    lg_ligand: Array
    not_chelated: Mapping[str, Array]
    pM: Mapping[str, Array]
    relative_residual: Array


def solve_complexation(
    metals: Sequence[tuple[Metal, Number]], ligand: tuple[Acid, Number], medium: Medium
) -> ComplexationState:
    """Return the equilibrium of any number of metals with one chelating ligand.

    Arguments:
        metals: pairs of metal and total concentration [mol/L].
        ligand: family of the ligand's acids, and its total concentration [mol/L].
        medium: pH, auxiliary ligands, ionic strength.

    Returns: what is free, in the shape of the concentrations

    Valid: while the buffer holds the pH and the free auxiliary ligand.

    Source: mass balance after Ringbom, Complexation in Analytical Chemistry, 1963.

    Example:
        >>> from assaywright.chemistry.activity import IDEAL
        >>> calcium, edta = Metal("Ca2+", 2, 10.65), Acid("EDTA", (2.00, 2.67, 6.16, 10.26))
        >>> buffer = Medium(10.0, conditions=Conditions(activity=IDEAL))
        >>> state = solve_complexation(((calcium, 0.01),), (edta, 0.01), buffer)
        >>> round(float(state.pM["Ca2+"]), 2)
        6.1
    """
    family, total_ligand = ligand
    total = np.maximum(np.asarray(total_ligand, dtype=float), NO_LIGAND_MOL_PER_L)
    ln_K = [LN10 * lg_conditional_constant(metal, family, medium) for metal, _ in metals]
    amounts = [np.asarray(amount, dtype=float) for _, amount in metals]
    shape = np.broadcast_shapes(total.shape, *(one.shape for one in (*ln_K, *amounts)))
    total = np.broadcast_to(total, shape)

    def balance(ln_free: Array) -> tuple[Array, Array, Array]:
        free = np.exp(ln_free)
        taken, slope = free, -free
        for amount, one in zip(amounts, ln_K, strict=True):
            held = 1.0 / (1.0 + np.exp(-(one + ln_free)))
            taken, slope = taken + amount * held, slope - amount * held * (1.0 - held)
        return total - taken, slope, ROUNDING * (total + taken)

    most = sum((amount * np.exp(one) for amount, one in zip(amounts, ln_K, strict=True)), np.ones(()))
    high = np.log(total) + TOLERANCE
    low = np.log(total) - np.log(np.broadcast_to(most, shape)) - TOLERANCE
    ln_free = falling_root(balance, low, high, 0.5 * (low + high), TOLERANCE)
    left, _slope, noise = balance(ln_free)
    not_chelated = {metal.name: np.asarray(amount / (1.0 + np.exp(one + ln_free)))
                    for (metal, _), amount, one in zip(metals, amounts, ln_K, strict=True)}
    with np.errstate(divide="ignore"):
        pM = {metal.name: -np.log10(not_chelated[metal.name] * metal_fraction(metal, medium)) for metal, _ in metals}
    return ComplexationState(ln_free / LN10, MappingProxyType(not_chelated), MappingProxyType(pM),
                             np.abs(left) * ROUNDING / noise)
