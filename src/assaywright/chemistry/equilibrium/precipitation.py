"""One ion that several others precipitate with: how much of each is left in solution.

With M the common ion and a salt M_a X_b for each counter-ion X that has one,

    [X] = min{ C_X, (Ksp / [M]^a)^(1/b) }
    C_M = [M] + sum( a/b (C_X - [X]) )

The right side rises with [M], so there is one root and it can be bracketed; which salts are there follows from it.
Each salt is its own pure solid: mixed crystals, which shift the first of two halide endpoints, are not modelled.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array, Flags, Number
from assaywright.chemistry.equilibrium.components import Conditions
from assaywright.chemistry.equilibrium.root import falling_root
from assaywright.chemistry.temperature import LN10, REFERENCE_DEGC, pk_clarke_glew1966
from assaywright.metrology.refusal import Refusal

NOTHING_MOL_PER_L = 1e-250
MOST_LN = 600.0
GREATEST_IONIC_STRENGTH = 1e4
ROUNDING = 2e-15
TOLERANCE = 1e-13


@dataclass(frozen=True, slots=True)
class Ion:
    """An ion in a precipitation titration; one without a salt brings ionic strength only.

    Fields:
        name: as written ("Cl-").
        charge: in elementary charges.
        free_fraction: fraction of what is dissolved that is the free ion, where protons or ligands hold the rest [1].
    """

    name: str
    charge: int
    free_fraction: Number = 1.0


@dataclass(frozen=True, slots=True)
class Salt:
    """A sparingly soluble salt of the common ion with one counter-ion.

    Fields:
        name: formula ("Ag2CrO4").
        counter_ion: name of the other ion ("CrO4 2-").
        pKsp: -lg of the product of activities, or of concentrations at the stated ionic strength [1].
        common_count, counter_count: how many of each ion in the formula.
        enthalpy_kJ_per_mol: of dissolution; zero leaves pKsp as it is [kJ/mol].
        reference_degC: temperature of pKsp [°C].
        ionic_strength_mol_per_L: at which pKsp is stated [mol/L].
    """

    name: str
    counter_ion: str
    pKsp: Number
    common_count: int = 1
    counter_count: int = 1
    enthalpy_kJ_per_mol: float = 0.0
    reference_degC: float = REFERENCE_DEGC
    ionic_strength_mol_per_L: float = 0.0


@dataclass(frozen=True, slots=True)
class PrecipitationState:
    """Ions and solids at equilibrium, point by point.

    Fields:
        free: concentration of each free ion [mol/L].
        dissolved: of each counter-ion, what is in solution, free or not [mol/L].
        precipitated: of each salt, per litre of mixture [mol/L].
        ionic_strength_mol_per_L: [mol/L].
        beyond_limit: where the activity model was held at its limit.
        relative_residual: common ion left over, divided by the sum of the terms of its balance [1].
    """

    free: Mapping[str, Array]
    dissolved: Mapping[str, Array]
    precipitated: Mapping[str, Array]
    ionic_strength_mol_per_L: Array
    beyond_limit: Flags
    relative_residual: Array


@dataclass(frozen=True, slots=True)
class _Pair:
    """A salt with its counter-ion's total: ln Ksp at ionic strength 0, what activities add to it, and the counts."""

    salt: Salt
    ion: Ion
    total: Array
    ln_Ksp: Array
    squares: int

    def at_most(self, ln_free: Array, y: Array) -> Array:
        """Return the dissolved counter-ion that the solid allows [mol/L]; y = -ln gamma of one charge."""
        ln = (self.ln_Ksp + y * self.squares - self.salt.common_count * ln_free) / self.salt.counter_count
        return np.asarray(np.exp(np.minimum(ln, MOST_LN)) / self.ion.free_fraction)

    def threshold(self, y: Array) -> Array:
        """Return ln of the common ion at which the salt begins to form."""
        free = np.maximum(self.total * self.ion.free_fraction, NOTHING_MOL_PER_L)
        return (self.ln_Ksp + y * self.squares - self.salt.counter_count * np.log(free)) / self.salt.common_count


@dataclass(frozen=True, slots=True)
class _Mixture:
    common: Ion
    total: Array
    pairs: tuple[_Pair, ...]
    spectators: Array
    conditions: Conditions = field(default_factory=Conditions)

    def y(self, strength: Array) -> Array:
        return np.asarray(LN10 * self.conditions.activity.screening(strength, self.conditions.temperature_degC))

    def ln_free(self, y: Array) -> Array:
        """Return ln of the free common ion, with the activity coefficients of one ionic strength."""
        fraction = np.asarray(self.common.free_fraction, dtype=float)
        most = np.log(np.maximum(self.total * fraction, NOTHING_MOL_PER_L))

        def balance(trial: Array) -> tuple[Array, Array, Array]:
            dissolved = np.exp(trial) / fraction
            taken, slope = dissolved, -dissolved
            for pair in self.pairs:
                ratio = pair.salt.common_count / pair.salt.counter_count
                allowed = pair.at_most(trial, y)
                solid = np.maximum(pair.total - allowed, 0.0)
                taken, slope = taken + ratio * solid, slope - np.where(solid > 0, ratio * ratio * allowed, 0.0)
            return self.total - taken, slope, ROUNDING * (self.total + taken)

        low = most - 1.0
        for pair in self.pairs:
            low = np.minimum(low, pair.threshold(y) - TOLERANCE)
        return falling_root(balance, low, most + TOLERANCE, 0.5 * (low + most), TOLERANCE)

    def strength(self, ln_free: Array, y: Array) -> Array:
        """Return half the sum of z² c over everything dissolved, complexes and protonated forms counted as the ion."""
        found = self.spectators + self.common.charge**2 * np.exp(ln_free) / self.common.free_fraction
        for pair in self.pairs:
            found = found + pair.ion.charge**2 * np.minimum(pair.total, pair.at_most(ln_free, y))
        return 0.5 * found


def solve_precipitation(
    ions: Sequence[tuple[Ion, Number]], salts: Sequence[Salt], common: str, conditions: Conditions | None = None
) -> PrecipitationState:
    """Return the equilibrium of an ion with the counter-ions that precipitate it.

    Arguments:
        ions: pairs of ion and total concentration, precipitate included [mol/L].
        salts: at most one for each counter-ion.
        common: name of the ion that is in all of them.
        conditions: temperature and activities.

    Returns: what is dissolved and what has precipitated, in the shape of the concentrations

    Raises:
        Refusal: the common ion is not among the ions, or two salts share a counter-ion.

    Source: solubility products and mass balance after Butler, Ionic Equilibrium, 1998, chapter 6.

    Example:
        >>> from assaywright.chemistry.activity import IDEAL
        >>> ions = ((Ion("Ag+", 1), 0.01), (Ion("Cl-", -1), 0.01))
        >>> state = solve_precipitation(ions, (Salt("AgCl", "Cl-", 9.74),), "Ag+", Conditions(activity=IDEAL))
        >>> round(float(-np.log10(state.free["Ag+"])), 2)
        4.87
    """
    mixture = _gathered(ions, salts, common, conditions or Conditions())
    totals = [np.asarray(total, dtype=float) for _, total in ions]
    shape = np.broadcast_shapes(*(one.shape for one in totals), *(pair.ln_Ksp.shape for pair in mixture.pairs))
    zero = np.zeros(shape)

    def left(trial: Array) -> tuple[Array, Array, Array]:
        y = mixture.y(trial)
        found = mixture.strength(mixture.ln_free(y), y)
        return found - trial, np.full(shape, -1.0), TOLERANCE * found

    first = mixture.strength(mixture.ln_free(zero), zero)
    strength = first
    if mixture.conditions.activity.limit_mol_per_L < np.inf:
        strength = falling_root(left, zero, np.full(shape, GREATEST_IONIC_STRENGTH), first, 0.0)
    return _state(mixture, strength, shape)


def _gathered(
    ions: Sequence[tuple[Ion, Number]], salts: Sequence[Salt], common: str, conditions: Conditions
) -> _Mixture:
    named = {ion.name: (ion, np.asarray(total, dtype=float)) for ion, total in ions}
    counters = [salt.counter_ion for salt in salts]
    if common not in named or len(set(counters)) < len(counters):
        raise Refusal(f"the common ion '{common}' is missing, or two salts share a counter-ion", where="precipitation",
                      remedy="give every ion once, and one salt for each counter-ion")
    main, total = named.pop(common)
    pairs = tuple(
        _Pair(salt, *named.pop(salt.counter_ion), *_product(salt, main, ions, conditions))
        for salt in salts if salt.counter_ion in named
    )
    spectators = sum((ion.charge**2 * amount for ion, amount in named.values()), np.zeros(()))
    return _Mixture(main, total, pairs, np.asarray(spectators), conditions)


def _product(
    salt: Salt, common: Ion, ions: Sequence[tuple[Ion, Number]], conditions: Conditions
) -> tuple[Array, int]:
    """Return ln Ksp at temperature and ionic strength 0, and the sum of z² in the formula."""
    counter = next(ion for ion, _ in ions if ion.name == salt.counter_ion)
    squares = salt.common_count * common.charge**2 + salt.counter_count * counter.charge**2
    pKsp = pk_clarke_glew1966(salt.pKsp, salt.enthalpy_kJ_per_mol, conditions.temperature_degC, 0.0,
                              salt.reference_degC)
    stated = conditions.activity.screening(salt.ionic_strength_mol_per_L, conditions.temperature_degC)
    return np.asarray(-LN10 * (pKsp + squares * stated)), squares


def _state(mixture: _Mixture, strength: Array, shape: tuple[int, ...]) -> PrecipitationState:
    y = mixture.y(strength)
    ln_free = mixture.ln_free(y)
    free = {mixture.common.name: np.where(mixture.total > 0, np.exp(ln_free), 0.0)}
    dissolved, precipitated = {}, {}
    taken = free[mixture.common.name] / mixture.common.free_fraction
    for pair in mixture.pairs:
        allowed = pair.at_most(ln_free, y)
        here = np.broadcast_to(np.minimum(pair.total, allowed), shape)
        solid = np.maximum(pair.total - allowed, 0.0)
        dissolved[pair.ion.name] = here
        free[pair.ion.name] = here * pair.ion.free_fraction
        precipitated[pair.salt.name] = np.broadcast_to(solid / pair.salt.counter_count, shape)
        taken = taken + pair.salt.common_count / pair.salt.counter_count * solid
    whole = np.maximum(mixture.total + taken, NOTHING_MOL_PER_L)
    return PrecipitationState(
        MappingProxyType(free), MappingProxyType(dissolved), MappingProxyType(precipitated), strength,
        strength > mixture.conditions.activity.limit_mol_per_L,
        np.broadcast_to(np.abs(mixture.total - taken) / whole, shape),
    )
