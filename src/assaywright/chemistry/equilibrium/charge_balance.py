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
    """How the charges of an acid's forms are spread.

    Fields:
        whole: sum of t, with t = [form]/[fully protonated form] [1].
        z1, z2, z3, z4: means of z, z², z³, z⁴ over the forms; summed as charges, so that a solution of almost nothing
            but neutral molecules loses no digits [1].
    """

    whole: Array
    z1: Array
    z2: Array
    z3: Array
    z4: Array


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
        """Return how the charges are spread at the hydrogen activity h."""
        term: Array = np.ones_like(h)
        whole, sums = term, [term * self.charge**power for power in (1, 2, 3, 4)]
        for lost, constant in enumerate(constants, start=1):
            term = term * (constant / h)
            whole = whole + term
            z = self.charge - lost
            if z:
                sums = [one + z**power * term for power, one in enumerate(sums, start=1)]
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
    """What one acid contributes to the sums of z c, z² c and c, and to their derivatives: see :class:`Balance`."""

    charge: Array
    square: Array
    total: Array
    charge_by_x: Array
    charge_by_y: Array
    square_by_x: Array
    square_by_y: Array


def share_of(family: Family, h: Array, constants: tuple[Array, ...], gammas: Gammas) -> Share:
    """Return what an acid contributes at the hydrogen activity h.

    A rise of x favours forms in proportion to the protons they lost, a rise of y in proportion to z². So the mean
    charge falls with x by the variance of z and rises with y by the covariance of z and z²; the mean square falls with
    x by that covariance and rises with y by the variance of z². Where the first form, uncharged, is held, plain
    moments stand in place of the central ones.
    """
    m = family.moments(h, constants)
    if family.held:
        total = family.amount / gammas.neutral * m.whole
        between, squares, fourth = total * m.z2, total * m.z3, total * m.z4
    else:
        total = family.amount
        between, squares, fourth = (
            total * (m.z2 - m.z1 * m.z1), total * (m.z3 - m.z1 * m.z2), total * (m.z4 - m.z2 * m.z2))
    return Share(total * m.z1, total * m.z2, total, -between, squares, -squares, fourth)


@dataclass(frozen=True, slots=True)
class Mixture:
    """A solution made ready for the balance of charge.

    Fields:
        families: its acids.
        strong_charge: sum of z c over the strong ions [mol/L].
        strong_magnitude, strong_square: sums of |z| c and z² c [mol/L].
        strong_count: sum of c over the strong ions [mol/L].
        hydrogen_factor, hydroxide_factor: what strong ions in particular do to the activity coefficients of H+ and OH-.
        Kw: ion product of water at ionic strength 0 [1].
        temperature_degC: [°C].
        model: of the activities.
    """

    families: tuple[Family, ...]
    strong_charge: Array
    strong_magnitude: Array
    strong_square: Array
    strong_count: Array
    hydrogen_factor: Array
    hydroxide_factor: Array
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
            strong_count=change(self.strong_count), hydrogen_factor=change(self.hydrogen_factor),
            hydroxide_factor=change(self.hydroxide_factor),
        )

    def arrays(self) -> list[Array]:
        """Return all its arrays, to see what shape they spread to."""
        own = [self.strong_charge, self.strong_magnitude, self.strong_square, self.strong_count]
        own += [self.hydrogen_factor, self.hydroxide_factor]
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
        hydrogen = h / (gammas.single * self.hydrogen_factor)
        charge, square, solutes = self.strong_charge + hydrogen, self.strong_square + hydrogen, hydrogen
        charge_by_x = square_by_x = -hydrogen
        charge_by_y = square_by_y = hydrogen
        for family, own in zip(self.families, constants, strict=True):
            share = share_of(family, h, own, gammas)
            charge, square = charge + share.charge, square + share.square
            charge_by_x, charge_by_y = charge_by_x + share.charge_by_x, charge_by_y + share.charge_by_y
            square_by_x, square_by_y = square_by_x + share.square_by_x, square_by_y + share.square_by_y
            solutes = solutes + share.total
        per_water = self.Kw / (h * gammas.single * self.hydroxide_factor)
        water = self._water_activity(self.strong_count + solutes, per_water)
        hydroxide = per_water * water
        return Balance(charge - hydroxide, ROUNDING * (square + hydroxide), 0.5 * (square + hydroxide),
                       charge_by_x - hydroxide, charge_by_y - hydroxide, 0.5 * (square_by_x + hydroxide),
                       0.5 * (square_by_y + hydroxide), hydrogen, hydroxide, water)

    def _water_activity(self, solutes: Array, per_water: Array) -> Array:
        if not self.model.lowers_water:
            return np.ones_like(per_water)
        lowered = (1 - RAOULT_L_PER_MOL * solutes) / (1 + RAOULT_L_PER_MOL * per_water)
        return np.maximum(lowered, DRIEST_WATER)
