"""Buffers: the pH of a composition, and the composition for a pH, at the temperature and strength asked for."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from assaywright.chemistry.buffer_equilibrium import Ingredient, families_of, gathered, pH_of
from assaywright.chemistry.equilibrium import Acid
from assaywright.chemistry.solute import find_solute
from assaywright.chemistry.temperature import HIGHEST_DEGC, LOWEST_DEGC
from assaywright.metrology.estimate import Contribution, Estimate, exact, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import AcidConstant, acid_constants, acids

# Computed pH of nine standard buffers at 5 to 40 °C lie within 0.02 of their reference values (tests/published); their
# ionic strength is 0.1 mol/L at most. Above it the doubt grows in proportion: the equation of Davies has been printed
# with 0.2 I and with 0.3 I as its last term, which differ by 0.05 I in lg gamma of a single charge (from memory).
MODEL_STANDARD_UNCERTAINTY = 0.01
TRIED_TO_MOL_PER_L = 0.1
STEP_PH, STEP_K, SHARE = 1e-4, 0.5, 1e-4
MOST_EQUIVALENTS, ROUNDS = 6.0, 12
SETTLED_MOL_PER_L = 1e-9
LEAST_MOL_PER_L, MOST_MOL_PER_L = 1e-4, 2.0
MOST_ADDED_MOL_PER_L = 10.0
NEAR_PH, MOST_NAMED = 1.0, 6
SALT = "potassium chloride"


@dataclass(frozen=True, slots=True)
class BufferState:
    """What a buffer is.

    Fields:
        pH: with the doubt about constants, concentrations and activities [1].
        ionic_strength_mol_per_L: [mol/L].
        capacity_mol_per_L: slope dC/dpH of strong base against pH, at that very pH; for small changes [mol/L].
        base_mol_per_L: strong base that takes the pH one unit up [mol/L]; NaN where none does.
        acid_mol_per_L: strong acid that takes the pH one unit down [mol/L]; NaN where none does.
        per_K: change of the pH with temperature [1/K].
        beyond_limit: whether the ionic strength lies beyond what the model of activities is good for.
    """

    pH: Estimate
    ionic_strength_mol_per_L: float
    capacity_mol_per_L: float
    base_mol_per_L: float
    acid_mol_per_L: float
    per_K: float
    beyond_limit: bool


@dataclass(frozen=True, slots=True)
class Recipe:
    """A buffer as it is made.

    Fields:
        ingredients: what a litre holds, the acid form first [mol/L].
        grams_per_L: of each ingredient as weighed, in the same order [g/L].
        state: what comes of it.
        temperature_degC: at which that holds [°C].
    """

    ingredients: tuple[Ingredient, ...]
    grams_per_L: tuple[Estimate, ...]
    state: BufferState
    temperature_degC: float


def buffer_state(ingredients: tuple[Ingredient, ...], temperature_degC: float) -> BufferState:
    """Return the pH of a composition with its uncertainty, its capacity and its dependence on temperature.

    Arguments:
        ingredients: substances with their concentrations.
        temperature_degC: 5 to 50 [°C].

    Valid: ionic strength up to 0.5 mol/L; above 0.1 mol/L the uncertainty grows with it. Computed values for
        standard buffers lie within 0.02 of the reference ones from 5 to 40 °C and within 0.03 at 50 °C.

    Raises:
        Refusal: a substance whose behaviour in water is not held, or a temperature out of range.

    Source: charge balance with the equation of Davies; constants as the table of acid constants cites them.

    Example: the equimolal phosphate standard, pH 6.865

    >>> parts = (Ingredient("KH2PO4", exact(0.0249, "mol/L")), Ingredient("Na2HPO4", exact(0.0249, "mol/L")))
    >>> round(buffer_state(parts, 25.0).pH.value, 1)
    6.9
    """
    components = gathered(ingredients)
    centre = pH_of(components, temperature_degC)
    parts = [_activity_part(centre.ionic_strength), *_constant_parts(components, temperature_degC),
             *_amount_parts(ingredients, centre.pH, temperature_degC)]
    around = [pH_of(components, min(max(temperature_degC + sign * STEP_K, LOWEST_DEGC), HIGHEST_DEGC)).pH
              for sign in (-1, 1)]
    width = min(temperature_degC + STEP_K, HIGHEST_DEGC) - max(temperature_degC - STEP_K, LOWEST_DEGC)
    return BufferState(Estimate(centre.pH, "1", tuple(part for part in parts if part.amount)), centre.ionic_strength,
                       _capacity(ingredients, temperature_degC),
                       _to_move("sodium hydroxide", 1.0, ingredients, centre.pH, temperature_degC),
                       _to_move("hydrochloric acid", -1.0, ingredients, centre.pH, temperature_degC),
                       (around[1] - around[0]) / width, centre.beyond_limit)


def buffer_recipe(
    acid: str, base: str, wanted_pH: float, strength_mol_per_L: float, temperature_degC: float,
    ionic_strength_mol_per_L: float | None = None,
) -> Recipe:
    """Return how much of an acid and a base make a buffer of a wanted pH.

    A pair of one acid family (KH2PO4 with Na2HPO4) shares the strength; with a strong base or acid (acetic acid with
    NaOH) the strength is that of the first, and as much of the second is added as the pH asks for.

    Arguments:
        acid, base: substances; the pH rises from the one to the other, or falls where the second is a strong acid.
        wanted_pH: at that temperature [1].
        strength_mol_per_L: total concentration of the buffering substance [mol/L].
        temperature_degC: 5 to 50 [°C].
        ionic_strength_mol_per_L: reached by adding potassium chloride; left as it comes when not given [mol/L].

    Raises:
        Refusal: a strength out of range, a pH that the two cannot reach, or an ionic strength already exceeded.

    Source: charge balance with the equation of Davies.
    """
    if not LEAST_MOL_PER_L <= strength_mol_per_L <= MOST_MOL_PER_L:
        raise Refusal(f"a buffer of {strength_mol_per_L:g} mol/L", where="strength",
                      remedy=f"give {LEAST_MOL_PER_L:g} to {MOST_MOL_PER_L:g} mol/L")
    mixed = _mixing(acid, base, strength_mol_per_L)
    salt = 0.0
    parts = _reaching(mixed, salt, wanted_pH, temperature_degC)
    for _round in range(ROUNDS if ionic_strength_mol_per_L is not None else 0):
        here = pH_of(gathered(parts), temperature_degC).ionic_strength
        if abs(here - (ionic_strength_mol_per_L or 0.0)) <= SETTLED_MOL_PER_L:
            break
        salt += (ionic_strength_mol_per_L or 0.0) - here
        if salt < 0:
            raise Refusal(f"the buffer itself has an ionic strength of {here - salt:.3g} mol/L", where="ionic strength",
                          remedy="ask for more, or for a weaker buffer")
        parts = _reaching(mixed, salt, wanted_pH, temperature_degC)
    kept = tuple(part for part in parts if part.concentration.value > 0)
    grams = tuple(part.in_grams for part in kept)
    return Recipe(kept, grams, buffer_state(kept, temperature_degC), temperature_degC)


def acids_near(wanted_pH: float) -> tuple[str, ...]:
    """Return the names of acids that buffer within one unit of a pH, the nearest first."""
    found = [(abs(one.pKa - wanted_pH), name) for name in acids() if name != "water"
             for one in acid_constants(name) if abs(one.pKa - wanted_pH) <= NEAR_PH and not one.is_strong]
    return tuple(dict.fromkeys(name for _, name in sorted(found)))[:MOST_NAMED]


# --- mixing -----------------------------------------------------------------------------------------------------------

Mixing = Callable[[float], tuple[Ingredient, ...]]


def _mixing(acid: str, base: str, strength_mol_per_L: float) -> Mixing:
    """Return what a share between 0 and 1 of the second ingredient makes of the buffer."""
    first, second = find_solute(acid), find_solute(base)
    own = families_of(first.name)
    if not own:
        raise Refusal(f"{first.name} does not buffer", where="acid", remedy="name a weak acid or base, or its salt")
    pair = bool(own & families_of(second.name))
    if not pair and families_of(second.name):
        raise Refusal(f"{first.name} and {second.name} belong to different acids", where="base",
                      remedy="name the other form of the same acid, or a strong acid or base")

    def mixed(share: float) -> tuple[Ingredient, ...]:
        amounts = ((strength_mol_per_L * (1 - share), strength_mol_per_L * share) if pair else
                   (strength_mol_per_L, strength_mol_per_L * MOST_EQUIVALENTS * share))
        return tuple(Ingredient(one.name, exact(amount, "mol/L"))
                     for one, amount in zip((first, second), amounts, strict=True))

    return mixed


def _reaching(mixed: Mixing, salt: float, wanted_pH: float, temperature_degC: float) -> tuple[Ingredient, ...]:
    """Return the mixture that has the wanted pH; the pH rises or falls all along with the share."""
    from scipy.optimize import brentq

    added = (Ingredient(SALT, exact(salt, "mol/L")),) if salt else ()

    def pH(share: float) -> float:
        return pH_of(gathered(mixed(share) + added), temperature_degC).pH

    ends = pH(0.0), pH(1.0)
    if not min(ends) < wanted_pH < max(ends):
        names = [one.substance for one in mixed(0.5)]
        raise Refusal(f"{names[0]} with {names[1]} gives pH {min(ends):.2f} to {max(ends):.2f} at "
                      f"{temperature_degC:g} °C, not {wanted_pH:g}", where="pH",
                      remedy=f"near it buffer {', '.join(acids_near(wanted_pH)) or 'none of the acids held'}")
    return mixed(float(brentq(lambda share: pH(share) - wanted_pH, 0.0, 1.0, xtol=1e-14, rtol=1e-12))) + added


# --- doubts -----------------------------------------------------------------------------------------------------------


def _activity_part(ionic_strength_mol_per_L: float) -> Contribution:
    """Return what the model of activities leaves open: that of the standard buffers, growing beyond their reach."""
    key = influence_key("activity coefficient", "Davies", "computed pH of buffers", "trueness")
    amount = MODEL_STANDARD_UNCERTAINTY * max(1.0, ionic_strength_mol_per_L / TRIED_TO_MOL_PER_L)
    return Contribution(key, amount, label="model of activity coefficients")


def _constant_parts(components: dict[str, tuple[object, float]], temperature_degC: float) -> list[Contribution]:
    """Return what each acid constant does to the pH, by a small change of it."""
    parts = []
    for name, (component, _) in components.items():
        if not isinstance(component, Acid):
            continue
        for step, held in enumerate(_constants(name, len(component.pKa))):
            changed = [pH_of(components, temperature_degC, (name, step, sign * STEP_PH)).pH for sign in (-1, 1)]
            slope = (changed[1] - changed[0]) / (2 * STEP_PH)
            parts += [Contribution(p.key, slope * p.amount, p.degrees_of_freedom, p.distribution, p.label)
                      for p in held.estimate.contributions]
    return parts


def _constants(name: str, number: int) -> tuple[AcidConstant, ...]:
    """Return the weak steps of an acid as held; none for an ion pair, whose constant is no acid's."""
    if name not in acids():
        return ()
    weak = tuple(one for one in acid_constants(name) if not one.is_strong)
    return weak if len(weak) == number else ()


def _amount_parts(
    ingredients: tuple[Ingredient, ...], centre_pH: float, temperature_degC: float
) -> list[Contribution]:
    """Return what the stated uncertainty of each concentration does to the pH."""
    parts = []
    for number, one in enumerate(ingredients):
        if not one.concentration.contributions or not one.concentration.value:
            continue
        more = one.concentration.value * SHARE
        changed = (*ingredients[:number], Ingredient(one.substance, exact(one.concentration.value + more, "mol/L")),
                   *ingredients[number + 1:])
        slope = (pH_of(gathered(changed), temperature_degC).pH - centre_pH) / more
        parts += [Contribution(p.key, slope * p.amount, p.degrees_of_freedom, p.distribution, p.label)
                  for p in one.concentration.contributions]
    return parts


def _capacity(ingredients: tuple[Ingredient, ...], temperature_degC: float) -> float:
    """Return dC/dpH by adding a little strong acid and a little strong base."""
    little = SHARE * max(one.concentration.value for one in ingredients)
    changed = [pH_of(gathered((*ingredients, Ingredient(name, exact(little, "mol/L")))), temperature_degC).pH
               for name in ("hydrochloric acid", "sodium hydroxide")]
    return 2 * little / (changed[1] - changed[0])


def _to_move(
    added: str, units: float, ingredients: tuple[Ingredient, ...], from_pH: float, temperature_degC: float
) -> float:
    """Return how much strong acid or base moves the pH by so many units [mol/L]; NaN where 10 mol/L do not."""
    from scipy.optimize import brentq

    def missing(amount_mol_per_L: float) -> float:
        parts = (*ingredients, Ingredient(added, exact(amount_mol_per_L, "mol/L")))
        return pH_of(gathered(parts), temperature_degC).pH - from_pH - units

    if missing(0.0) * missing(MOST_ADDED_MOL_PER_L) > 0:
        return math.nan
    return float(brentq(missing, 0.0, MOST_ADDED_MOL_PER_L, xtol=1e-12, rtol=1e-9))
