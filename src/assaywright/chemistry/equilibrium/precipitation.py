"""One ion that several others precipitate with: how much of each is left in solution.

With M the common ion and a salt M_a X_b for each counter-ion X that has one,

    [X] = min{ C_X, (Ksp / [M]^a)^(1/b) }
    C_M = [M] + sum( a/b (C_X - [X]) )

The right side rises with [M], so there is one root and it can be bracketed; which salts are there follows from it.
Each salt is its own pure solid: mixed crystals, which shift the first of two halide endpoints, are not modelled, nor
are complexes with an excess of the counter-ion (AgCl2- in concentrated chloride).
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
GREATEST_IONIC_STRENGTH = 1e4
ROUNDING = 2e-15
TOLERANCE = 1e-13
SMALLEST_LN_STEP = -90.0
NEARLY_ALL = 1 - 1e-9


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

    @property
    def order(self) -> float:
        """By how much ln of the dissolved counter-ion falls when ln of the common ion rises."""
        return self.salt.common_count / self.salt.counter_count

    def threshold(self, y: Array) -> Array:
        """Return ln of the free common ion at which the salt begins to form; y = -ln gamma of one charge."""
        free = np.maximum(self.total * self.ion.free_fraction, NOTHING_MOL_PER_L)
        ln = (self.ln_Ksp + y * self.squares - self.salt.counter_count * np.log(free)) / self.salt.common_count
        return np.asarray(ln)


@dataclass(frozen=True, slots=True)
class _Level:
    """Where ln of the free common ion stands: at a threshold, or at the total, and how far above.

    Kept in two parts, because a trace of solid beside much counter-ion shows only in the digits of the second.
    """

    base: Array
    above: Array
    thresholds: tuple[Array, ...]

    @property
    def ln_free(self) -> Array:
        return self.base + self.above

    def over(self, number: int) -> Array:
        """Return how far it stands above the threshold of a salt, zero below."""
        return np.maximum((self.base - self.thresholds[number]) + self.above, 0.0)


@dataclass(frozen=True, slots=True)
class _Mixture:
    common: Ion
    total: Array
    pairs: tuple[_Pair, ...]
    spectators: Array
    conditions: Conditions = field(default_factory=Conditions)

    def y(self, strength: Array) -> Array:
        return np.asarray(LN10 * self.conditions.activity.screening(strength, self.conditions.temperature_degC))

    def taken(self, level: _Level) -> tuple[Array, Array]:
        """Return the common ion dissolved and precipitated, and the derivative by its logarithm [mol/L]."""
        dissolved = np.exp(level.ln_free) / self.common.free_fraction
        whole, slope = dissolved, dissolved
        for number, pair in enumerate(self.pairs):
            over = level.over(number)
            whole = whole - pair.order * pair.total * np.expm1(-pair.order * over)
            slope = slope + np.where(over > 0, pair.order**2 * pair.total * np.exp(-pair.order * over), 0.0)
        return whole, slope

    def level(self, y: Array) -> _Level:
        """Return ln of the free common ion, with the activity coefficients of one ionic strength.

        The root lies above the highest threshold at which something of the common ion is still left over.
        """
        shape = y.shape
        most = np.log(np.maximum(self.total * self.common.free_fraction, NOTHING_MOL_PER_L))
        thresholds = tuple(np.broadcast_to(pair.threshold(y), shape) for pair in self.pairs)
        base = np.broadcast_to(np.minimum.reduce([most - 1.0, *(one - 1.0 for one in thresholds)]), shape)
        ceiling = np.broadcast_to(most, shape) + 1.0
        for one in thresholds:
            left = self.total > self.taken(_Level(one, np.zeros(shape), thresholds))[0]
            base = np.where(left, np.maximum(base, one), base)
            ceiling = np.where(left, ceiling, np.minimum(ceiling, one))

        def balance(ln_above: Array) -> tuple[Array, Array, Array]:
            above = np.exp(ln_above)
            whole, slope = self.taken(_Level(base, above, thresholds))
            return self.total - whole, -slope * above, ROUNDING * (self.total + whole)

        low, high = np.full(shape, SMALLEST_LN_STEP), np.log(np.maximum(ceiling - base, TOLERANCE))
        start = np.clip(np.log(self._guess(base, thresholds)), low, high)
        return _Level(base, np.exp(falling_root(balance, low, high, start, TOLERANCE)), thresholds)

    def _guess(self, base: Array, thresholds: tuple[Array, ...]) -> Array:
        """Return about how far above its base ln of the common ion stands: what is left over is solid, or else free."""
        left = self.total - self.taken(_Level(base, np.zeros_like(base), thresholds))[0]
        left = np.maximum(left, ROUNDING * self.total)
        above = np.zeros_like(base)
        for number, pair in enumerate(self.pairs):
            share = left / (pair.order * np.maximum(pair.total, NOTHING_MOL_PER_L))
            solid = -np.log1p(-np.minimum(share, NEARLY_ALL)) / pair.order
            above = np.where((thresholds[number] == base) & (share < NEARLY_ALL), solid, above)
            left = np.where((thresholds[number] == base) & (share >= NEARLY_ALL), left - pair.order * pair.total, left)
        dissolved = np.maximum(left, 0.0) + np.exp(base) / self.common.free_fraction
        free = np.log(dissolved * self.common.free_fraction) - base
        return np.maximum(np.where(above > 0, above, free), TOLERANCE)

    def strength(self, level: _Level) -> Array:
        """Return half the sum of z² c over everything dissolved, complexes and protonated forms counted as the ion."""
        found = self.spectators + self.common.charge**2 * np.exp(level.ln_free) / self.common.free_fraction
        for number, pair in enumerate(self.pairs):
            found = found + pair.ion.charge**2 * pair.total * np.exp(-pair.order * level.over(number))
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
        found = mixture.strength(mixture.level(mixture.y(trial)))
        return found - trial, np.full(shape, -1.0), TOLERANCE * found

    first = mixture.strength(mixture.level(zero))
    strength = first
    if mixture.conditions.activity.limit_mol_per_L < np.inf:
        strength = falling_root(left, zero, np.full(shape, GREATEST_IONIC_STRENGTH), first, 0.0)
    return _state(mixture, strength)


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
    return _Mixture(main, np.maximum(total, NOTHING_MOL_PER_L), pairs, np.asarray(spectators), conditions)


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


def _state(mixture: _Mixture, strength: Array) -> PrecipitationState:
    level = mixture.level(mixture.y(strength))
    free = {mixture.common.name: np.where(mixture.total > NOTHING_MOL_PER_L, np.exp(level.ln_free), 0.0)}
    dissolved, precipitated = {}, {}
    for number, pair in enumerate(mixture.pairs):
        over = pair.order * level.over(number)
        dissolved[pair.ion.name] = pair.total * np.exp(-over)
        free[pair.ion.name] = dissolved[pair.ion.name] * pair.ion.free_fraction
        precipitated[pair.salt.name] = -pair.total * np.expm1(-over) / pair.salt.counter_count
    taken, _slope = mixture.taken(level)
    return PrecipitationState(
        MappingProxyType(free), MappingProxyType(dissolved), MappingProxyType(precipitated), strength,
        strength > mixture.conditions.activity.limit_mol_per_L,
        np.abs(mixture.total - taken) / np.maximum(mixture.total + taken, NOTHING_MOL_PER_L),
    )
