"""Redox couples at a fixed pH: the potential at which no electron is left over.

The forms of one element are a *family*. With theta = -F E/(R T), every form of it follows from one of them,

    ln[j] = m_j ln x + e_j theta + k_j

where m_j counts its atoms, e_j the electrons it holds more than the most oxidised form, and k_j comes from potentials
and pH. The atoms of a family, sum(m_j [j]), are conserved and give x; the electrons of all families, sum(e_j [j]), are
conserved and give E. The electrons fall as E rises, so there is one root and it can be bracketed. Potentials are formal
ones in their medium, or standard ones with pH; activity coefficients are not applied.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array, Number
from assaywright.chemistry.equilibrium.root import falling_root
from assaywright.chemistry.temperature import LN10, REFERENCE_DEGC, nernst_slope_V
from assaywright.metrology.refusal import Refusal

BEYOND_V = 5.0
MOST_ROUNDS = 60
ROUNDING = 4e-15
TOLERANCE_V = 1e-14
NOTHING_MOL_PER_L = 1e-250
ALL_OF_IT = 1e-14
STEADY = 1e-13


@dataclass(frozen=True, slots=True)
class RedoxForm:
    """One oxidation state of an element, as it is added to a solution; the name alone says which ("Fe2+")."""

    name: str


@dataclass(frozen=True, slots=True)
class Couple:
    """A half-reaction: oxidised_count Ox + electrons e- + protons H+ = reduced_count Red (+ water).

    Fields:
        oxidised, reduced: names of the two forms.
        electrons: taken up by the half-reaction as written.
        potential_V: standard, or formal in its medium, against the standard hydrogen electrode [V].
        protons: taken up by the half-reaction; zero with a formal potential.
        oxidised_count, reduced_count: coefficients of the two forms.
        medium: of a formal potential ("1 mol/L H2SO4"); empty for a standard potential.
    """

    oxidised: str
    reduced: str
    electrons: int
    potential_V: Number
    protons: int = 0
    oxidised_count: int = 1
    reduced_count: int = 1
    medium: str = ""

    def __post_init__(self) -> None:
        if self.medium and self.protons:
            raise Refusal("a formal potential whose half-reaction still counts protons", where=f"couple {self.name}",
                          remedy="give no protons with a formal potential, or the standard potential")
        if min(self.electrons, self.oxidised_count, self.reduced_count) < 1 or self.oxidised == self.reduced:
            raise Refusal("a half-reaction without electrons, or between equal forms", where=f"couple {self.name}",
                          remedy="write it as oxidised form + electrons = reduced form")

    @property
    def name(self) -> str:
        """The couple, as it is written."""
        return f"{self.oxidised}/{self.reduced}"

    def potential_at(self, pH: Number, temperature_degC: float) -> Array:
        """Return the potential with both forms at 1 mol/L [V], at a pH and a temperature [°C]."""
        by_pH = self.protons / self.electrons * nernst_slope_V(temperature_degC) * np.asarray(pH, dtype=float)
        return np.asarray(self.potential_V - by_pH)


@dataclass(frozen=True, slots=True)
class Family:
    """The forms of one element, each by its atoms, electrons and constant; the first is the most oxidised."""

    forms: tuple[str, ...]
    atoms: tuple[float, ...]
    electrons: tuple[float, ...]
    constants: tuple[Array, ...]

    def concentrations(self, theta: Array, total: Array) -> tuple[Array, ...]:
        """Return the concentration of each form [mol/L], from the level of electrons and the total of atoms.

        Forms of one atom each share the total out. Else ln sum(m [j]) = ln total is solved by Newton's method: the left
        side is convex in ln x and rises, and the start lies where no single term exceeds the total but one reaches it,
        so that every step goes the right way.
        """
        levels = [e * theta + k for e, k in zip(self.electrons, self.constants, strict=True)]
        ln_total = np.log(np.maximum(total, NOTHING_MOL_PER_L))
        if set(self.atoms) == {1.0}:
            ln_x = ln_total - np.logaddexp.reduce(np.broadcast_arrays(*levels), axis=0)
            return tuple(np.exp(ln_x + level) for level in levels)
        starts = [(ln_total - np.log(m) - level) / m for m, level in zip(self.atoms, levels, strict=True)]
        ln_x = np.min(np.broadcast_arrays(*starts), axis=0)
        for _round in range(MOST_ROUNDS):
            terms = [m * np.exp(m * ln_x + level) for m, level in zip(self.atoms, levels, strict=True)]
            whole = np.sum(terms, axis=0)
            slope = np.sum([m * term for m, term in zip(self.atoms, terms, strict=True)], axis=0) / whole
            step = (ln_total - np.log(whole)) / slope
            ln_x = ln_x + step
            if np.max(np.abs(step)) < STEADY:
                break
        return tuple(np.exp(m * ln_x + level) for m, level in zip(self.atoms, levels, strict=True))

    def electrons_and_slope(self, theta: Array, total: Array) -> tuple[Array, Array]:
        """Return the electrons held, and their derivative by theta at a constant total of atoms [mol/L]."""
        found = self.concentrations(theta, total)
        held = sum((e * c for e, c in zip(self.electrons, found, strict=True)), np.zeros(()))
        squares = sum((e * e * c for e, c in zip(self.electrons, found, strict=True)), np.zeros(()))
        mixed = sum((e * m * c for e, m, c in zip(self.electrons, self.atoms, found, strict=True)), np.zeros(()))
        atoms = sum((m * m * c for m, c in zip(self.atoms, found, strict=True)), np.zeros(()))
        return np.asarray(held), np.asarray(squares - mixed * mixed / np.maximum(atoms, NOTHING_MOL_PER_L))


def families(couples: Sequence[Couple], pH: Number, temperature_degC: float) -> tuple[Family, ...]:
    """Return the families of forms that couples connect, each headed by its most oxidised form.

    Arguments:
        couples: half-reactions; those that share a form belong to one family.
        pH: of the medium [1].
        temperature_degC: [°C].

    Raises:
        Refusal: couples of one family that lead from no single most oxidised form, or that close a ring.
    """
    reduced = [one.reduced for one in couples]
    found = []
    for head in dict.fromkeys(one.oxidised for one in couples if one.oxidised not in reduced):
        forms: dict[str, tuple[float, float, Array]] = {head: (1.0, 0.0, np.zeros(()))}
        waiting = [head]
        while waiting:
            name = waiting.pop(0)
            for couple in (one for one in couples if one.oxidised == name):
                if couple.reduced in forms:
                    raise Refusal("two ways to one form", where=f"couple {couple.name}",
                                  remedy="leave out the couple that follows from the others")
                forms[couple.reduced] = _next(couple, forms[name], pH, temperature_degC)
                waiting.append(couple.reduced)
        atoms, electrons, constants = zip(*forms.values(), strict=True)
        found.append(Family(tuple(forms), atoms, electrons, constants))
    every = [name for family in found for name in family.forms]
    if len(set(every)) < len(every) or set(every) != {name for one in couples for name in (one.oxidised, one.reduced)}:
        raise Refusal("couples that form no chain from a most oxidised form downwards", where="redox couples",
                      remedy="give for each element the couples from the most oxidised form to the most reduced")
    return tuple(found)


def _next(
    couple: Couple, of_oxidised: tuple[float, float, Array], pH: Number, temperature_degC: float
) -> tuple[float, float, Array]:
    """Return atoms, electrons and constant of the reduced form, from those of the oxidised.

    b ln[Red] = a ln[Ox] + n F (E0' - E)/(R T), E0' at the pH
    """
    a, b, n = couple.oxidised_count, couple.reduced_count, couple.electrons
    atoms, electrons, constant = of_oxidised
    level = n * LN10 * couple.potential_at(pH, temperature_degC) / nernst_slope_V(temperature_degC)
    return a * atoms / b, (a * electrons + n) / b, (a * constant + level) / b


@dataclass(frozen=True, slots=True)
class RedoxState:
    """Redox couples at equilibrium, point by point.

    Fields:
        potential_V: against the standard hydrogen electrode; NaN where only one form of every couple was put in, since
            no potential is then defined [V].
        concentrations: of each form [mol/L].
        fractions: for each family, named for its most oxidised form, the fraction of the element in each form [1].
        relative_residual: electrons left over, divided by the sum of the terms of their balance [1].
    """

    potential_V: Array
    concentrations: Mapping[str, Array]
    fractions: Mapping[str, tuple[Array, ...]]
    relative_residual: Array


def solve_redox(
    forms: Sequence[tuple[RedoxForm, Number]],
    couples: Sequence[Couple],
    pH: Number = 0.0,
    temperature_degC: float = REFERENCE_DEGC,
) -> RedoxState:
    """Return the equilibrium of redox couples put together.

    Arguments:
        forms: pairs of form and concentration, as put in [mol/L].
        couples: half-reactions between the forms.
        pH: of the medium, which keeps it [1].
        temperature_degC: 5 to 50 [°C].

    Returns: potential and composition, in the shape of the concentrations

    Valid: in media whose acid is in excess; oxidation of water and reactions that are slow are left out.

    Raises:
        Refusal: a form that is in no couple; couples that form no chain.

    Source: Nernst's law with balances of electrons and atoms; Kolthoff and Furman, Potentiometric Titrations, 1931.

    Example:
        >>> couples = (Couple("Fe3+", "Fe2+", 1, 0.68, medium="1 mol/L H2SO4"),
        ...            Couple("Ce4+", "Ce3+", 1, 1.44, medium="1 mol/L H2SO4"))
        >>> round(float(solve_redox(((RedoxForm("Fe2+"), 0.05), (RedoxForm("Ce4+"), 0.05)), couples).potential_V), 2)
        1.06
    """
    added = {form.name: np.asarray(amount, dtype=float) for form, amount in forms}
    found = families(couples, pH, temperature_degC)
    unknown = set(added) - {name for family in found for name in family.forms}
    if unknown:
        raise Refusal(f"no couple for {', '.join(sorted(unknown))}", where="redox couples", remedy="give its couple")
    constants = [constant for family in found for constant in family.constants]
    shape = np.broadcast_shapes(*(one.shape for one in (*added.values(), *constants)))
    totals, electrons = [], np.zeros(shape)
    for family in found:
        own = [added.get(name, np.zeros(())) for name in family.forms]
        total = sum((m * c for m, c in zip(family.atoms, own, strict=True)), np.zeros(()))
        totals.append(np.broadcast_to(total, shape))
        electrons = electrons + sum((e * c for e, c in zip(family.electrons, own, strict=True)), np.zeros(()))
    standing = [one.potential_at(pH, temperature_degC) for one in couples]
    potential = _potential(found, totals, electrons, standing, temperature_degC)
    return _state(found, totals, electrons, potential, temperature_degC)


def _potential(
    found: tuple[Family, ...],
    totals: Sequence[Array],
    electrons: Array,
    standing: Sequence[Array],
    temperature_degC: float,
) -> Array:
    """Return the potential at which the electrons are all held, sought around the couples' own potentials."""
    per_V = -LN10 / float(nernst_slope_V(temperature_degC))

    def balance(potential: Array) -> tuple[Array, Array, Array]:
        held, slope = -electrons, np.zeros_like(electrons)
        for family, total in zip(found, totals, strict=True):
            more, steeper = family.electrons_and_slope(per_V * potential, total)
            held, slope = held + more, slope + steeper
        return held, slope * per_V, ROUNDING * electrons

    low = np.broadcast_to(np.min(np.broadcast_arrays(*standing), axis=0) - BEYOND_V, electrons.shape)
    high = np.broadcast_to(np.max(np.broadcast_arrays(*standing), axis=0) + BEYOND_V, electrons.shape)
    root = falling_root(balance, low, high, 0.5 * (low + high), TOLERANCE_V)
    most, least = (
        sum((total * choose([e / m for e, m in zip(family.electrons, family.atoms, strict=True)])
             for family, total in zip(found, totals, strict=True)), np.zeros(())) for choose in (max, min))
    undefined = (electrons >= most * (1 - ALL_OF_IT)) | (electrons <= least + ALL_OF_IT * most)
    return np.where(undefined, np.nan, root)


def _state(
    found: tuple[Family, ...], totals: Sequence[Array], electrons: Array, potential: Array, temperature_degC: float
) -> RedoxState:
    theta = -LN10 * potential / float(nernst_slope_V(temperature_degC))
    concentrations: dict[str, Array] = {}
    fractions: dict[str, tuple[Array, ...]] = {}
    held = np.zeros_like(electrons)
    for family, total in zip(found, totals, strict=True):
        with np.errstate(invalid="ignore"):
            own = family.concentrations(theta, total)
        concentrations |= zip(family.forms, own, strict=True)
        with np.errstate(divide="ignore", invalid="ignore"):
            fractions[family.forms[0]] = tuple(m * c / total for m, c in zip(family.atoms, own, strict=True))
        held = held + np.sum([e * c for e, c in zip(family.electrons, own, strict=True)], axis=0)
    residual = np.abs(held - electrons) / np.maximum(held + electrons, NOTHING_MOL_PER_L)
    return RedoxState(potential, MappingProxyType(concentrations), MappingProxyType(fractions), residual)
