"""Acids, bases and strong ions together: the pH at which a solution is electrically neutral.

    [H+] - [OH-] + sum(z c) of strong ions + sum of the mean charges of the acids times their totals = 0

The left side falls as the pH rises, so there is one root and it can be bracketed. pH = -lg a(H+). The ionic strength,
on which the activity coefficients depend and which depends on the pH in turn, is found by the same root finder around
the first. All points of all curves are solved at once.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from assaywright.chemistry.activity import Strong
from assaywright.chemistry.equilibrium.arrays import Array, Flags, Number, common_shape, concentration
from assaywright.chemistry.equilibrium.charge_balance import Balance, Family, Gammas, Mixture
from assaywright.chemistry.equilibrium.components import Acid, Conditions, Solution, StrongIon
from assaywright.chemistry.equilibrium.constants import thermodynamic_constants
from assaywright.chemistry.equilibrium.root import falling_root
from assaywright.chemistry.temperature import LN10
from assaywright.metrology.refusal import Refusal

LOWEST_PH, HIGHEST_PH = -4.0, 20.0
GREATEST_IONIC_STRENGTH = 1e4
TOLERANCE = 1e-13
POINTS_AT_ONCE = 8192
NEUTRAL_PH = 7.0
FIRST_GUESS = 0.3
GREATEST_STEP = 1.0
GREATEST_TURNS = 20

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

    def __post_init__(self) -> None:
        if self.acid.charge:
            raise Refusal("a form with a charge, held from outside", where=self.acid.name,
                          remedy="hold an uncharged one, as a gas gives it")


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
        Refusal: shapes that do not fit; an acid that is held and has a total too.

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


def _part(mixture: Mixture, chunk: slice | Flags) -> Mixture:
    return mixture.mapped(lambda one: one[chunk] if one.ndim else one)


def _gathered(solution: Solution[AcidBase], conditions: Conditions, held: HeldAcid | None) -> Mixture:
    """Bring a solution into the form the balance of charge works on, constants at temperature and ionic strength 0."""
    strong = [(one, total) for one, total in solution if isinstance(one, StrongIon)]
    named = tuple((one.name, total) for one, total in strong)
    families = [_family(one, total, conditions, named) for one, total in solution if isinstance(one, Acid)]
    if held is not None:
        if any(family.name == held.acid.name for family in families):
            raise Refusal("an acid that is held from outside and has a total too", where=held.acid.name,
                          remedy="leave it out of the solutions while the air supplies it")
        amount = concentration(held.activity_mol_per_L, held.acid.name)
        families.append(replace(_family(held.acid, amount, conditions, named), held=True))

    def over_strong(weights: list[int]) -> Array:
        terms = (weight * total for weight, (_, total) in zip(weights, strong, strict=True))
        return np.asarray(sum(terms, np.zeros(())))

    charges, model = [one.charge for one, _ in strong], conditions.activity
    return Mixture(
        tuple(families), over_strong(charges), over_strong([abs(z) for z in charges]),
        over_strong([z * z for z in charges]), over_strong([1 for _ in charges]),
        np.asarray(10.0 ** np.asarray(model.specific("H+", named))),
        np.asarray(10.0 ** np.asarray(model.specific("OH-", named))),
        10.0**-conditions.ionisation_of_water, conditions.temperature_degC, model,
    )


def _family(acid: Acid, amount: Array, conditions: Conditions, strong: Strong) -> Family:
    """Return an acid with its constants at ionic strength 0 and what strong ions in particular do to its forms."""
    constants = thermodynamic_constants(acid, conditions)
    lg = [np.asarray(conditions.activity.specific(form, strong)) for form in acid.forms]
    if lg:
        constants = tuple(K * 10.0 ** (lg[k] - lg[k + 1]) for k, K in enumerate(constants))
    return Family(acid.name, acid.charge, constants, amount)


def _solve(mixture: Mixture, size: int) -> tuple[Array, Array]:
    """Return pH and ionic strength of a row of points: both at once, and by two brackets where that does not settle."""
    start = _pH_at(mixture, np.zeros(size), np.full(size, NEUTRAL_PH), FIRST_GUESS)
    pH, strength, unsettled = _together(mixture, start)
    if unsettled.any():
        rest = _part(mixture, unsettled)
        pH[unsettled], strength[unsettled] = _by_brackets(rest, start[unsettled])
    return pH, strength


def _together(mixture: Mixture, pH: Array) -> tuple[Array, Array, Flags]:
    """Return pH and ionic strength by Newton's method in both at once, and where it has not settled.

    The unknowns are x = pH ln 10 and the ionic strength I; the equations, charge = 0 and strength(x, I) = I.
    """
    x, strength = LN10 * pH, mixture.balance(pH, *mixture.surroundings(np.zeros_like(pH))).strength
    settled = np.zeros(pH.shape, dtype=bool)
    for _turn in range(GREATEST_TURNS):
        found = mixture.balance(x / LN10, *mixture.surroundings(strength))
        y_by_strength = mixture.screening_slope(strength)
        left = found.strength - strength
        charge = np.where(np.abs(found.charge) <= found.noise, 0.0, found.charge)
        across, along = found.charge_by_y * y_by_strength, found.strength_by_y * y_by_strength - 1.0
        with np.errstate(divide="ignore", invalid="ignore"):
            determinant = found.charge_by_x * along - across * found.strength_by_x
            step = (across * left - along * charge) / determinant
            further = (found.strength_by_x * charge - found.charge_by_x * left) / determinant
        x = x + np.clip(step, -GREATEST_STEP, GREATEST_STEP)
        strength = np.clip(strength + further, 0.2 * strength, 5.0 * strength)
        settled = (np.abs(step) <= TOLERANCE) & (np.abs(further) <= TOLERANCE * strength)
        if settled.all():
            break
    return x / LN10, strength, ~settled


def _by_brackets(mixture: Mixture, start: Array) -> tuple[Array, Array]:
    """Return pH and ionic strength with one bracketed root inside another: slow and sure."""
    pH = start

    def strength_left(trial: Array) -> tuple[Array, Array, Array]:
        nonlocal pH
        pH = _pH_at(mixture, trial, pH, TOLERANCE)
        found = mixture.balance(pH, *mixture.surroundings(trial)).strength
        return found - trial, np.full(trial.shape, -1.0), TOLERANCE * found

    none, most = np.zeros_like(start), np.full(start.shape, GREATEST_IONIC_STRENGTH)
    strength = falling_root(strength_left, none, most, none, 0.0)
    return _pH_at(mixture, strength, pH, TOLERANCE), strength


def _pH_at(mixture: Mixture, strength: Array, start: Array, tolerance: float) -> Array:
    """Return the pH of neutrality with the activity coefficients of one ionic strength."""
    gammas, constants = mixture.surroundings(strength)

    def charge(trial: Array) -> tuple[Array, Array, Array]:
        found = mixture.balance(trial, gammas, constants)
        return found.charge, LN10 * found.charge_by_x, found.noise

    low, high = np.full(start.shape, LOWEST_PH), np.full(start.shape, HIGHEST_PH)
    return falling_root(charge, low, high, start, tolerance)


def _state(mixture: Mixture, pH: Array, strength: Array) -> AcidBaseState:
    gammas, constants = mixture.surroundings(strength)
    found = mixture.balance(pH, gammas, constants)
    h = 10.0**-pH
    fractions = {family.name: family.fractions(h, gammas) for family in mixture.families}
    return AcidBaseState(
        pH, found.hydrogen, found.hydroxide, MappingProxyType(fractions), found.strength,
        found.strength > mixture.model.limit_mol_per_L, found.water_activity,
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
