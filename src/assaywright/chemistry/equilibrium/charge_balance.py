"""The charge of a solution as a function of its pH and its ionic strength, with slope and rounding noise."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from assaywright.chemistry.activity import RAOULT_L_PER_MOL, ActivityModel
from assaywright.chemistry.equilibrium.arrays import Array
from assaywright.chemistry.temperature import LN10

DRIEST_WATER = 0.05
ROUNDING = 2e-15
SMALL = 1e-6
TINIEST = 1e-300

Constants = tuple[tuple[Array, ...], ...]


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
        """Return the activity coefficient of a charge: the z²-th power, by squaring, quicker than a logarithm."""
        if not charge:
            return self.neutral
        left, square, power = charge * charge, self.single, None
        while left:
            if left & 1:
                power = square if power is None else power * square
            left, square = left >> 1, square * square if left > 1 else square
        return self.single if power is None else power


@dataclass(frozen=True, slots=True)
class Moments:
    """How the forms of an acid are spread, with k the number of protons a form has lost.

    Fields:
        whole: sum of t, with t = [form]/[fully protonated form] [1].
        k1, k2, k3, k4: means of k, k², k³, k⁴ over the forms [1].
    """

    whole: Array
    k1: Array
    k2: Array
    k3: Array
    k4: Array


@dataclass(frozen=True, slots=True)
class Family:
    """One acid in the mixture.

    Fields:
        name: of the acid.
        charge: of the fully protonated form.
        K: thermodynamic constants, step by step [1].
        amount: total concentration; where held, activity of the first form [mol/L].
        held: whether the first form, uncharged, has a given activity instead of a given total.
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

    def moments(self, h: Array, constants: tuple[Array, ...]) -> Moments:
        """Return how the forms are spread at the hydrogen activity h."""
        term = constants[0] / h
        whole, sums = 1.0 + term, [term] * 4
        for k, constant in enumerate(constants[1:], start=2):
            term = term * (constant / h)
            whole = whole + term
            weighted = term
            for power in range(4):
                weighted = k * weighted
                sums[power] = sums[power] + weighted
        return Moments(whole, *(one / whole for one in sums))

    def fractions(self, h: Array, gammas: Gammas) -> tuple[Array, ...]:
        """Return the fraction of each form, first the fully protonated."""
        terms = [np.ones_like(h)]
        for constant in self.constants(gammas):
            terms.append(terms[-1] * (constant / h))
        whole = sum(terms, np.zeros_like(h))
        return tuple(term / whole for term in terms)


@dataclass(frozen=True, slots=True)
class Balance:
    """What one pH and one ionic strength lead to, and how it answers to a change of either.

    With x = pH ln 10 and y = -ln gamma of a single charge:

    Fields:
        charge: sum of z c over everything; zero at equilibrium [mol/L].
        noise: what rounding alone can do to the charge [mol/L].
        strength: half the sum of z² c [mol/L].
        charge_by_x, charge_by_y, strength_by_x, strength_by_y: partial derivatives [mol/L].
        hydrogen, hydroxide: concentrations [mol/L].
        water_activity: [1].
    """

    charge: Array
    noise: Array
    strength: Array
    charge_by_x: Array
    charge_by_y: Array
    strength_by_x: Array
    strength_by_y: Array
    hydrogen: Array
    hydroxide: Array
    water_activity: Array


@dataclass(frozen=True, slots=True)
class Share:
    """What one acid contributes to a balance: see :class:`Balance`; ``bound`` is at least its sum of |z| c [mol/L]."""

    charge: Array
    bound: Array
    square: Array
    total: Array
    charge_by_x: Array
    charge_by_y: Array
    square_by_x: Array
    square_by_y: Array


def share_of(family: Family, h: Array, constants: tuple[Array, ...], gammas: Gammas) -> Share:
    """Return what an acid contributes at the hydrogen activity h.

    A form that lost k protons answers to x with k, to y with w = k² - 2 z k. So the mean charge z - <k> falls with x by
    the variance of k and with y by the covariance of k and w; the mean square z² + <w> rises by the covariance of k
    and w and by the variance of w. Where the first form is held, plain moments stand in place of the central ones.
    """
    z, m = family.charge, family.moments(h, constants)
    w1, kw, ww = m.k2 - 2 * z * m.k1, m.k3 - 2 * z * m.k2, m.k4 - 4 * z * m.k3 + 4 * z * z * m.k2
    if family.held:
        total = family.amount / gammas.neutral * m.whole
        return Share(total * -m.k1, total * m.k1, total * m.k2, total, -total * m.k2, -total * m.k3, total * m.k3,
                     total * m.k4)
    total, mixed = family.amount, kw - m.k1 * w1
    return Share(total * (z - m.k1), total * (abs(z) + m.k1), total * (z * z + w1), total,
                 -total * (m.k2 - m.k1 * m.k1), -total * mixed, total * mixed, total * (ww - w1 * w1))


@dataclass(frozen=True, slots=True)
class Mixture:
    """A solution made ready for the balance of charge.

    Fields:
        families: its acids.
        strong_charge: sum of z c over the strong ions [mol/L].
        strong_magnitude, strong_square: sums of |z| c and z² c [mol/L].
        strong_count: sum of c over the strong ions [mol/L].
        Kw: ion product of water at ionic strength 0 [1].
        temperature_degC: [°C].
        model: of the activities.
    """

    families: tuple[Family, ...]
    strong_charge: Array
    strong_magnitude: Array
    strong_square: Array
    strong_count: Array
    Kw: float
    temperature_degC: float
    model: ActivityModel

    def mapped(self, change: Callable[[Array], Array]) -> "Mixture":
        """Return the same mixture with every array changed."""
        families = tuple(
            replace(one, K=tuple(change(K) for K in one.K), amount=change(one.amount)) for one in self.families
        )
        return replace(
            self, families=families, strong_charge=change(self.strong_charge),
            strong_magnitude=change(self.strong_magnitude), strong_square=change(self.strong_square),
            strong_count=change(self.strong_count),
        )

    def arrays(self) -> list[Array]:
        """Return all its arrays, to see what shape they spread to."""
        own = [self.strong_charge, self.strong_magnitude, self.strong_square, self.strong_count]
        return own + [one.amount for one in self.families] + [K for one in self.families for K in one.K]

    def gammas(self, ionic_strength: Array) -> Gammas:
        """Return the activity coefficients at an ionic strength [mol/L]."""
        screening = self.model.screening(ionic_strength, self.temperature_degC)
        held = np.minimum(ionic_strength, self.model.limit_mol_per_L)
        return Gammas(10.0**-screening, 10.0 ** (self.model.salting_out_L_per_mol * held))

    def surroundings(self, ionic_strength: Array) -> tuple[Gammas, Constants]:
        """Return the activity coefficients at an ionic strength [mol/L], and the constants of each family there."""
        gammas = self.gammas(ionic_strength)
        return gammas, tuple(family.constants(gammas) for family in self.families)

    def screening_slope(self, ionic_strength: Array) -> Array:
        """Return the derivative of -ln gamma of one charge by the ionic strength [L/mol], by a small difference."""
        more = ionic_strength * (1 + SMALL)
        rise = self.model.screening(more, self.temperature_degC) - self.model.screening(
            ionic_strength, self.temperature_degC)
        return np.asarray(LN10 * rise / np.maximum(more - ionic_strength, TINIEST))

    def balance(self, pH: Array, gammas: Gammas, constants: Constants) -> Balance:
        """Return charge and ionic strength at a pH, with the constants of each family at these activity coefficients.

        The activity of water follows in closed form from Raoult's law, a_w = 1 - 0.017 sum(c), because of all solutes
        only hydroxide depends on it.
        """
        h = np.exp(-LN10 * pH)
        hydrogen = h / gammas.single
        charge, bound = self.strong_charge + hydrogen, self.strong_magnitude + hydrogen
        square, solutes = self.strong_square + hydrogen, hydrogen
        charge_by_x = square_by_x = -hydrogen
        charge_by_y = square_by_y = hydrogen
        for family, own in zip(self.families, constants, strict=True):
            share = share_of(family, h, own, gammas)
            charge, bound, square = charge + share.charge, bound + share.bound, square + share.square
            charge_by_x, charge_by_y = charge_by_x + share.charge_by_x, charge_by_y + share.charge_by_y
            square_by_x, square_by_y = square_by_x + share.square_by_x, square_by_y + share.square_by_y
            solutes = solutes + share.total
        per_water = self.Kw / (h * gammas.single)
        water = self._water_activity(self.strong_count + solutes, per_water)
        hydroxide = per_water * water
        return Balance(charge - hydroxide, ROUNDING * (bound + hydroxide), 0.5 * (square + hydroxide),
                       charge_by_x - hydroxide, charge_by_y - hydroxide, 0.5 * (square_by_x + hydroxide),
                       0.5 * (square_by_y + hydroxide), hydrogen, hydroxide, water)

    def _water_activity(self, solutes: Array, per_water: Array) -> Array:
        if not self.model.lowers_water:
            return np.ones_like(per_water)
        lowered = (1 - RAOULT_L_PER_MOL * solutes) / (1 + RAOULT_L_PER_MOL * per_water)
        return np.maximum(lowered, DRIEST_WATER)
