"""The charge of a solution as a function of its pH and its ionic strength, with slope and rounding noise."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from assaywright.chemistry.activity import RAOULT_L_PER_MOL, ActivityModel
from assaywright.chemistry.equilibrium.arrays import Array
from assaywright.chemistry.temperature import LN10

DRIEST_WATER = 0.05
ROUNDING = 2e-15


@dataclass(frozen=True, slots=True)
class Gammas:
    """The activity coefficients at one ionic strength.

    Fields:
        single: gamma of an ion with one charge; charge z has its z²-th power [1].
        neutral: gamma of neutral species [1].
    """

    single: Array
    neutral: Array

    def of(self, charge: int) -> Array:
        """Return the activity coefficient of a charge."""
        return self.single ** (charge * charge) if charge else self.neutral


@dataclass(frozen=True, slots=True)
class Sums:
    """Moments of an acid's forms: sums of t, k t and k² t, with t = [form that lost k protons]/[first form]."""

    zeroth: Array
    first: Array
    second: Array


@dataclass(frozen=True, slots=True)
class Family:
    """One acid in the mixture.

    Fields:
        name: of the acid.
        charge: of the fully protonated form.
        K: thermodynamic constants, step by step [1].
        amount: total concentration; where held, the activity of the first form [mol/L].
        held: whether the activity of the first form is given instead of a total.
    """

    name: str
    charge: int
    K: tuple[Array, ...]
    amount: Array
    held: bool = False

    def constants(self, gammas: Gammas) -> tuple[Array, ...]:
        """Return [base] a(H+) / [acid] of each step: K gamma(acid)/gamma(base)."""
        charges = range(self.charge, self.charge - len(self.K), -1)
        return tuple(K * (gammas.of(z) / gammas.of(z - 1)) for z, K in zip(charges, self.K, strict=True))

    def sums(self, h: Array, constants: tuple[Array, ...]) -> Sums:
        """Return the moments of the forms at the hydrogen activity h."""
        term: Array = np.ones_like(h)
        zeroth: Array = np.ones_like(h)
        first: Array = np.zeros_like(h)
        second: Array = np.zeros_like(h)
        for k, constant in enumerate(constants, start=1):
            term = term * (constant / h)
            zeroth = zeroth + term
            first = first + k * term
            second = second + (k * k) * term
        return Sums(zeroth, first, second)

    def fractions(self, h: Array, gammas: Gammas) -> tuple[Array, ...]:
        """Return the fraction of each form, first the fully protonated."""
        terms = [np.ones_like(h)]
        for constant in self.constants(gammas):
            terms.append(terms[-1] * (constant / h))
        whole = sum(terms, np.zeros_like(h))
        return tuple(term / whole for term in terms)

    def scale(self, sums: Sums, gammas: Gammas) -> Array:
        """Return the concentration of the fully protonated form [mol/L]."""
        return self.amount / gammas.of(self.charge) if self.held else self.amount / sums.zeroth


@dataclass(frozen=True, slots=True)
class Balance:
    """What one pH and one ionic strength lead to.

    Fields:
        charge: sum of z c over everything; zero at equilibrium [mol/L].
        slope: derivative of the charge by pH [mol/L].
        noise: what rounding alone can do to the charge [mol/L].
        ionic_strength: half the sum of z² c [mol/L].
        hydrogen, hydroxide: concentrations [mol/L].
        water_activity: [1].
    """

    charge: Array
    slope: Array
    noise: Array
    ionic_strength: Array
    hydrogen: Array
    hydroxide: Array
    water_activity: Array


@dataclass(frozen=True, slots=True)
class Mixture:
    """A solution made ready for the balance of charge.

    Fields:
        families: its acids.
        strong_charge: sum of z c over the strong ions [mol/L].
        strong_magnitude, strong_square: sums of |z| c and z² c [mol/L].
        solutes: sum of all totals [mol/L].
        Kw: ion product of water at ionic strength 0 [1].
        temperature_degC: [°C].
        model: of the activities.
    """

    families: tuple[Family, ...]
    strong_charge: Array
    strong_magnitude: Array
    strong_square: Array
    solutes: Array
    Kw: float
    temperature_degC: float
    model: ActivityModel

    def mapped(self, change: Callable[[Array], Array]) -> "Mixture":
        """Return the same mixture with every array changed."""
        families = tuple(
            replace(one, K=tuple(change(K) for K in one.K), amount=change(one.amount)) for one in self.families
        )
        return replace(
            self, families=families, strong_charge=change(self.strong_charge), solutes=change(self.solutes),
            strong_magnitude=change(self.strong_magnitude), strong_square=change(self.strong_square),
        )

    def arrays(self) -> list[Array]:
        """Return all its arrays, to see what shape they spread to."""
        own = [self.strong_charge, self.strong_magnitude, self.strong_square, self.solutes]
        return own + [one.amount for one in self.families] + [K for one in self.families for K in one.K]

    def gammas(self, ionic_strength: Array) -> Gammas:
        """Return the activity coefficients at an ionic strength [mol/L]."""
        screening = self.model.screening(ionic_strength, self.temperature_degC)
        held = np.minimum(ionic_strength, self.model.limit_mol_per_L)
        return Gammas(10.0**-screening, 10.0 ** (self.model.salting_out_L_per_mol * held))

    def balance(self, pH: Array, gammas: Gammas, constants: tuple[tuple[Array, ...], ...]) -> Balance:
        """Return charge, slope and ionic strength at a pH, with the constants of each family at these gammas.

        The activity of water follows in closed form from Raoult's law, a_w = 1 - 0.017 sum(c), because of all solutes
        only hydroxide depends on it.
        """
        h = np.exp(-LN10 * pH)
        hydrogen = h / gammas.single
        charge, bound = self.strong_charge + hydrogen, self.strong_magnitude + hydrogen
        square, solutes = self.strong_square + hydrogen, self.solutes + hydrogen
        slope = -hydrogen
        for family, own in zip(self.families, constants, strict=True):
            sums, z = family.sums(h, own), family.charge
            first_form = family.scale(sums, gammas)
            charge = charge + first_form * (z * sums.zeroth - sums.first)
            bound = bound + first_form * (abs(z) * sums.zeroth + sums.first)
            square = square + first_form * (z * z * sums.zeroth - 2 * z * sums.first + sums.second)
            if family.held:
                slope = slope + first_form * (z * sums.first - sums.second)
                solutes = solutes + first_form * sums.zeroth
            else:
                slope = slope - first_form * (sums.second - sums.first * sums.first / sums.zeroth)
        per_water = self.Kw / (h * gammas.single)
        water = self._water_activity(solutes, per_water)
        hydroxide = per_water * water
        return Balance(charge - hydroxide, LN10 * (slope - hydroxide), ROUNDING * (bound + hydroxide),
                       0.5 * (square + hydroxide), hydrogen, hydroxide, water)

    def _water_activity(self, solutes: Array, per_water: Array) -> Array:
        if not self.model.lowers_water:
            return np.ones_like(per_water)
        lowered = (1 - RAOULT_L_PER_MOL * solutes) / (1 + RAOULT_L_PER_MOL * per_water)
        return np.maximum(lowered, DRIEST_WATER)
