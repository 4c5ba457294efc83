"""The equilibrium in a buffer: acids, the ions of their salts, and ion pairs of metals with hydroxide."""

from dataclasses import dataclass, replace

from assaywright.chemistry.equilibrium import Acid, Conditions, Solution, StrongIon, solve_acid_base
from assaywright.chemistry.formula import molar_mass, parse_formula
from assaywright.chemistry.solute import find_solute
from assaywright.chemistry.system.acid_base import family
from assaywright.chemistry.system.species import HYDROXIDE, PROTON, dissolved
from assaywright.chemistry.temperature import REFERENCE_DEGC, pkw_bandura_lvov2006
from assaywright.metrology.estimate import Estimate, combine
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import acid_constants, complexes

Components = dict[str, tuple[object, float]]
ENTHALPY_OF_WATER_KJ_PER_MOL = 55.81  # of ionisation at 25 °C, Marshall and Franck 1981, from memory


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A substance in a buffer.

    Fields:
        substance: name, alias or formula.
        concentration: of formula units [mol/L].
    """

    substance: str
    concentration: Estimate

    @property
    def in_grams(self) -> Estimate:
        """Mass of the substance as weighed in a litre [g/L]."""
        mass = molar_mass(find_solute(self.substance).formula)
        value = self.concentration.value * mass.value
        parts = combine("g/L", ((mass.value, self.concentration), (self.concentration.value, mass))).contributions
        return Estimate(value, "g/L", parts)


@dataclass(frozen=True, slots=True)
class FoundPH:
    """The pH of a mixture [1], its ionic strength [mol/L], and whether that lies beyond the model of activities."""

    pH: float
    ionic_strength: float
    beyond_limit: bool


def families_of(substance: str) -> frozenset[str]:
    """Return the names of the weak acids to which what a substance gives in water belongs."""
    given = dissolved(substance)
    species = _species(given.acids)
    return frozenset(species[one.species] for one in given.products if one.species in species)


def gathered(ingredients: tuple[Ingredient, ...]) -> Components:
    """Return acids and ions with their total concentrations [mol/L].

    Raises:
        Refusal: a substance whose behaviour in water is not held, or a negative concentration.
    """
    found: Components = {}
    for one in ingredients:
        amount = one.concentration.value
        if amount < 0:
            raise Refusal(f"{amount:g} mol/L of {one.substance}", where="buffer", remedy="give one of zero or more")
        given = dissolved(one.substance)
        species = _species(given.acids)
        for product in given.products:
            if product.species in species:
                _add(found, species[product.species], family(species[product.species]), product.count * amount)
            elif product.species not in (PROTON, HYDROXIDE) and product.charge:
                _add(found, product.species, ion(product.species), product.count * amount)
    return found


def ion(species: str) -> Acid | StrongIon:
    """Return an ion: one that pairs with hydroxide as an acid, any other as a bystander.

    M2+ + H2O = MOH+ + H+ with pK = pKw - lg K of the pair.
    """
    charge = parse_formula(species).charge
    try:
        pair = complexes(species, "hydroxide")[0]
    except Refusal:
        return StrongIon(species, charge)
    if charge < 1 or pair.number != 1:
        return StrongIon(species, charge)
    pK = float(pkw_bandura_lvov2006(REFERENCE_DEGC)) - pair.log_beta
    enthalpy = () if pair.enthalpy_kJ_per_mol is None else (ENTHALPY_OF_WATER_KJ_PER_MOL + pair.enthalpy_kJ_per_mol,)
    return Acid(species, (pK,), charge, enthalpy)


def pH_of(
    components: Components, temperature_degC: float, changed: tuple[str, int, float] | None = None
) -> FoundPH:
    """Return the pH of acids and ions together.

    Arguments:
        components: as :func:`gathered` gives them.
        temperature_degC: 5 to 50 [°C].
        changed: name of an acid, step, and what its pKa is raised by; for sensitivities.
    """
    totals = []
    for name, (component, amount) in components.items():
        one = component
        if changed is not None and changed[0] == name and isinstance(one, Acid):
            pKa = tuple(value + (changed[2] if step == changed[1] else 0.0) for step, value in enumerate(one.pKa))
            one = replace(one, pKa=pKa)
        if isinstance(one, Acid | StrongIon):
            totals.append((one, amount))
    state = solve_acid_base(Solution(tuple(totals)), Conditions(temperature_degC))
    return FoundPH(float(state.pH), float(state.ionic_strength_mol_per_L), bool(state.beyond_limit))


def _species(names: tuple[str, ...]) -> dict[str, str]:
    """Return each species of the weak steps of some acids with the acid it belongs to."""
    return {species: name for name in names for one in acid_constants(name) if not one.is_strong
            for species in (one.acid_species, one.base_species)}


def _add(found: Components, name: str, component: Acid | StrongIon, amount: float) -> None:
    before = found.get(name, (component, 0.0))[1]
    found[name] = (component, before + amount)
