"""Acids, bases and strong ions together: the pH at which a solution is electrically neutral.

    [H+] - [OH-] + sum(z c) of strong ions + sum of the mean charges of the acids times their totals = 0

The left side falls as the pH rises, so there is one root and it can be bracketed. pH = -lg a(H+). The ionic strength,
on which the activity coefficients depend and which depends on the pH in turn, is found by the same root finder around
the first. All points of all curves are solved at once.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from assaywright.chemistry.activity import lg_gamma
from assaywright.chemistry.equilibrium.arrays import Array, Flags, Number, common_shape, concentration
from assaywright.chemistry.equilibrium.charge_balance import Balance, Family, Gammas, Mixture
from assaywright.chemistry.equilibrium.components import Acid, Conditions, Solution, StrongIon
from assaywright.chemistry.equilibrium.root import falling_root

LOWEST_PH, HIGHEST_PH = -4.0, 20.0
GREATEST_IONIC_STRENGTH = 1e4
PH_TOLERANCE = 1e-13
STRENGTH_TOLERANCE = 1e-13
POINTS_AT_ONCE = 8192

AcidBase = Acid | StrongIon


@dataclass(frozen=True, slots=True)
class HeldAcid:
    """An acid whose fully protonated, uncharged form is held at one activity from outside, as a gas does.

    Fields:
        acid: with charge 0.
        activity_mol_per_L: of the held form [mol/L].
    """

    acid: Acid
    activity_mol_per_L: Number


@dataclass(frozen=True, slots=True)
class AcidBaseState:
    """A solution at equilibrium, point by point.

    Fields:
        pH: -lg a(H+) [1].
        hydrogen_mol_per_L, hydroxide_mol_per_L: concentrations of the free ions [mol/L].
        fractions: for each acid, the fraction of its total that stands in each form, first the fully protonated [1].
        ionic_strength_mol_per_L: [mol/L].
        beyond_limit: where the ionic strength lies beyond the activity model's limit, and the model was held there.
        water_activity: [1].
        relative_residual: charge left over, divided by the sum of all charges [1].
    """

    pH: Array
    hydrogen_mol_per_L: Array
    hydroxide_mol_per_L: Array
    fractions: Mapping[str, tuple[Array, ...]]
    ionic_strength_mol_per_L: Array
    beyond_limit: Flags
    water_activity: Array
    relative_residual: Array


def solve_acid_base(
    solution: Solution[AcidBase], conditions: Conditions | None = None, held: HeldAcid | None = None
) -> AcidBaseState:
    """Return the equilibrium of a solution of acids, bases and strong ions.

    Arguments:
        solution: components with total concentrations; a base is the family of its acid, and the charge that its
            salts bring stands in the strong ions (Na2CO3 is 2 Na+ and one carbonic acid).
        conditions: temperature, activities, pKw.
        held: an acid supplied from outside, such as carbon dioxide of the air.

    Returns: pH and composition, in the shape of the concentrations

    Valid: total concentrations up to 60 mol/L in arithmetic; pH is meant as measured only within the limit of the
        activity model.

    Raises:
        Refusal: shapes that do not fit.

    Source: charge balance after Butler, Ionic Equilibrium, 1998, chapters 1 to 3.

    Example:
        >>> acetic = Acid("acetic acid", (4.757,))
        >>> round(float(solve_acid_base(Solution(((acetic, 0.1),))).pH), 2)
        2.88
    """
    conditions = conditions or Conditions()
    mixture = _gathered(solution, conditions, held)
    shape = common_shape(mixture.arrays(), "solution")
    flat = mixture.mapped(lambda one: np.broadcast_to(one, shape).ravel() if one.ndim else one)
    size = int(np.prod(shape, dtype=int))
    pH, strength = np.empty(size), np.empty(size)
    for first in range(0, size, POINTS_AT_ONCE):
        chunk = slice(first, min(first + POINTS_AT_ONCE, size))
        pH[chunk], strength[chunk] = _solve(_part(flat, chunk), chunk.stop - first)
    return _state(mixture, pH.reshape(shape), strength.reshape(shape))


def _part(mixture: Mixture, chunk: slice) -> Mixture:
    return mixture.mapped(lambda one: one[chunk] if one.ndim else one)


def _gathered(solution: Solution[AcidBase], conditions: Conditions, held: HeldAcid | None) -> Mixture:
    """Bring a solution into the form the balance of charge works on, constants at temperature and ionic strength 0."""
    families = []
    charge, magnitude, square, solutes = (np.zeros(()) for _ in range(4))
    for component, total in solution:
        solutes = solutes + total
        if isinstance(component, Acid):
            families.append(Family(component.name, component.charge, _constants(component, conditions), total))
        else:
            charge = charge + component.charge * total
            magnitude = magnitude + abs(component.charge) * total
            square = square + component.charge**2 * total
    if held is not None:
        amount = concentration(held.activity_mol_per_L, held.acid.name)
        families.append(Family(held.acid.name, held.acid.charge, _constants(held.acid, conditions), amount, held=True))
    Kw = 10.0**-conditions.ionisation_of_water
    return Mixture(tuple(families), charge, magnitude, square, solutes, Kw, conditions.temperature_degC,
                   conditions.activity)


def _constants(acid: Acid, conditions: Conditions) -> tuple[Array, ...]:
    """Return the thermodynamic constants of an acid: lg K = -pK + lg gamma(H+) + lg gamma(base) - lg gamma(acid).

    The activity coefficients are those at the ionic strength at which its constants are stated; with none they are 1.
    """
    model, strength = conditions.activity, acid.ionic_strength_mol_per_L
    screening = model.screening(strength, conditions.temperature_degC)

    def lg(charge: int) -> Array:
        return np.asarray(lg_gamma(model, charge, screening, strength))

    charges = range(acid.charge, acid.charge - len(acid.pKa), -1)
    pKas = acid.pKa_at(conditions.temperature_degC)
    return tuple(np.asarray(10.0 ** (lg(1) + lg(z - 1) - lg(z) - pKa)) for z, pKa in zip(charges, pKas, strict=True))


def _solve(mixture: Mixture, size: int) -> tuple[Array, Array]:
    """Return pH and ionic strength of a row of points."""
    low, high, pH = np.full(size, LOWEST_PH), np.full(size, HIGHEST_PH), np.full(size, 7.0)

    def pH_at(strength: Array, start: Array) -> tuple[Array, Array]:
        gammas = mixture.gammas(strength)
        constants = tuple(family.constants(gammas) for family in mixture.families)

        def charge(trial: Array) -> tuple[Array, Array, Array]:
            found = mixture.balance(trial, gammas, constants)
            return found.charge, found.slope, found.noise

        root = falling_root(charge, low, high, start, PH_TOLERANCE)
        return root, mixture.balance(root, gammas, constants).ionic_strength

    pH, strength = pH_at(np.zeros(size), pH)
    if mixture.model.limit_mol_per_L == np.inf:
        return pH, strength

    def strength_left(trial: Array) -> tuple[Array, Array, Array]:
        nonlocal pH
        pH, found = pH_at(trial, pH)
        return found - trial, np.full(size, -1.0), STRENGTH_TOLERANCE * found

    strength = falling_root(strength_left, np.zeros(size), np.full(size, GREATEST_IONIC_STRENGTH), strength, 0.0)
    pH, _ = pH_at(strength, pH)
    return pH, strength


def _state(mixture: Mixture, pH: Array, strength: Array) -> AcidBaseState:
    gammas = mixture.gammas(strength)
    constants = tuple(family.constants(gammas) for family in mixture.families)
    found = mixture.balance(pH, gammas, constants)
    h = 10.0**-pH
    fractions = {family.name: family.fractions(h, gammas) for family in mixture.families}
    return AcidBaseState(
        pH, found.hydrogen, found.hydroxide, MappingProxyType(fractions), found.ionic_strength,
        found.ionic_strength > mixture.model.limit_mol_per_L, found.water_activity,
        np.abs(found.charge) / _sum_of_charges(mixture, found, fractions, gammas),
    )


def _sum_of_charges(
    mixture: Mixture, found: Balance, fractions: Mapping[str, tuple[Array, ...]], gammas: Gammas
) -> Array:
    """Return the sum of |z| c over everything in solution [mol/L]."""
    whole = mixture.strong_magnitude + found.hydrogen + found.hydroxide
    for family, own in zip(mixture.families, fractions.values(), strict=True):
        total = family.amount / (gammas.of(family.charge) * own[0]) if family.held else family.amount
        for lost, fraction in enumerate(own):
            whole = whole + abs(family.charge - lost) * total * fraction
    return whole
