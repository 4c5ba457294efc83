"""Acids and bases by name: families of acids from the tables, and the strong ions that their salts bring."""

import math

from assaywright.chemistry.activity import DAVIES, IDEAL, ActivityModel, SpecificInteraction
from assaywright.chemistry.equilibrium import Acid, AcidBaseTitration, Conditions, HeldAcid, Solution, StrongIon
from assaywright.chemistry.system.description import OwnAcid, Portion, System
from assaywright.chemistry.system.interaction import check_interactions
from assaywright.chemistry.system.species import COUNTER_IONS, HYDROXIDE, PROTON, charge_of, dissolved
from assaywright.chemistry.temperature import ZERO_CELSIUS_K
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import AcidConstant, acid_constants

CARBONIC_ACID = "carbonic acid"
HENRY_MOL_PER_L_ATM, HENRY_SLOPE_K = 0.034, 2400.0
CARBON_DIOXIDE_OF_AIR_ATM = 420e-6

MODELS: dict[str, ActivityModel] = {"Davies": DAVIES, "ideal": IDEAL, "SIT": SpecificInteraction()}

Amounts = dict[str, tuple[Acid | StrongIon, float]]


def acid_base_titration(system: System) -> AcidBaseTitration:
    """Return the titration of acids and bases that a system describes.

    Arguments:
        system: of kind "acid-base".

    Raises:
        Refusal: a substance, or what it becomes in water, is not held.
    """
    flask = _amounts(system.analyte, system.dilution)
    if system.carbon_dioxide_mol_per_L:
        _check_carbon_dioxide(system)
        _add(flask, family(CARBONIC_ACID), system.carbon_dioxide_mol_per_L)
    burette = _amounts(system.titrant, 1.0)
    held = None
    conditions = conditions_of(system)
    if system.open_to_air:
        for solution in (flask, burette):
            solution.pop(CARBONIC_ACID, None)
        held = HeldAcid(family(CARBONIC_ACID), carbon_dioxide_in_water(system.temperature_degC))
    if isinstance(conditions.activity, SpecificInteraction):
        every = [one for one, _amount in (*flask.values(), *burette.values())]
        check_interactions(conditions.activity, [*every, held.acid] if held is not None else every)
    return AcidBaseTitration(Solution(tuple(flask.values())), system.flask_mL, Solution(tuple(burette.values())),
                             conditions, held)


def conditions_of(system: System) -> Conditions:
    """Return temperature and activities of a system.

    Raises:
        Refusal: specific ion interaction is asked for where no acids and bases are titrated.
    """
    if system.activity == "SIT" and system.kind != "acid-base":
        raise Refusal(f"activities by specific ion interaction are held for acids and bases, not for {system.kind}",
                      where="system", remedy='write activity = "Davies"')
    return Conditions(system.temperature_degC, MODELS[system.activity])


def carbon_dioxide_in_water(temperature_degC: float, pressure_atm: float = CARBON_DIOXIDE_OF_AIR_ATM) -> float:
    """Return the carbon dioxide that water holds in balance with it, at 420 µmol/mol of air when not said.

    c = p k, k(T) = 0.034 mol/(L atm) exp[2400 K (1/T - 1/298.15 K)]

    Arguments:
        temperature_degC: [°C].
        pressure_atm: partial pressure of carbon dioxide [atm].

    Returns: concentration [mol/L]

    Source: Sander, Compilation of Henry's law constants, Atmos. Chem. Phys. 15 (2015) 4399: from memory.

    Example:
        >>> round(carbon_dioxide_in_water(25.0) * 1e5, 2)
        1.43
    """
    inverse = 1 / (temperature_degC + ZERO_CELSIUS_K) - 1 / (25.0 + ZERO_CELSIUS_K)
    return pressure_atm * HENRY_MOL_PER_L_ATM * math.exp(HENRY_SLOPE_K * inverse)


def _check_carbon_dioxide(system: System) -> None:
    """Refuse more carbon dioxide than water holds under an atmosphere of it."""
    most = carbon_dioxide_in_water(system.temperature_degC, 1.0)
    if system.carbon_dioxide_mol_per_L > most:
        raise Refusal(f"{system.carbon_dioxide_mol_per_L:g} mol/L of carbon dioxide is more than dissolves under one "
                      f"atmosphere of it, {most:.2g} mol/L", where="system", remedy="check the figure and its unit")


def family(name: str, data_set: str = "") -> Acid:
    """Return a family of acids from the tables; steps that are complete in water are left out.

    Arguments:
        name: of the acid.
        data_set: of its constants; the chosen ones when not given.

    Raises:
        Refusal: no constants are held, or all its steps are strong.
    """
    steps = _weak(acid_constants(name, data_set))
    if not steps:
        raise Refusal(f"{name} is a strong acid, which has no constant in water", where="system",
                      remedy="name its salt's ions")
    thermal = all(one.enthalpy_kJ_per_mol is not None for one in steps)
    return Acid(
        steps[0].acid, tuple(one.pKa for one in steps), charge_of(steps[0].acid_species),
        tuple(one.enthalpy_kJ_per_mol or 0.0 for one in steps) if thermal else (),
        tuple(one.heat_capacity_J_per_mol_K or 0.0 for one in steps) if thermal else (),
        steps[0].temperature_degC, max(one.ionic_strength_mol_per_L or 0.0 for one in steps),
        (steps[0].acid_species, *(one.base_species for one in steps)),
    )


def _weak(steps: tuple[AcidConstant, ...]) -> tuple[AcidConstant, ...]:
    return tuple(one for one in steps if not one.is_strong)


def _amounts(portions: tuple[Portion, ...], dilution: float) -> Amounts:
    found: Amounts = {}
    for portion in portions:
        concentration = portion.concentration_mol_per_L * dilution
        if portion.own is not None:
            _add_own(found, portion.substance, portion.own, concentration)
        else:
            _add_known(found, portion.substance, concentration)
    return found


def _add_known(found: Amounts, substance: str, concentration: float) -> None:
    given = dissolved(substance)
    species = {name: acid for acid in given.acids for one in _weak(acid_constants(acid))
               for name in (one.acid_species, one.base_species)}
    for product in given.products:
        if product.species in species:
            _add(found, family(species[product.species]), product.count * concentration)
        elif product.species not in (PROTON, HYDROXIDE) and product.charge:
            _add(found, StrongIon(product.species, product.charge), product.count * concentration)


def _add_own(found: Amounts, name: str, own: OwnAcid, concentration: float) -> None:
    """Add an acid with constants of its own, and the ions that make its substance neutral."""
    if not 0 <= own.protons_lost <= len(own.pKa):
        raise Refusal(f"{own.protons_lost} protons lost of {len(own.pKa)}", where=name,
                      remedy="give as many pKa values as there are protons")
    _add(found, Acid(name, own.pKa, own.charge), concentration)
    left = own.charge - own.protons_lost
    if left:
        sign = -1 if left > 0 else 1
        _add(found, StrongIon(COUNTER_IONS[sign], sign), abs(left) * concentration)


def _add(found: Amounts, component: Acid | StrongIon, amount: float) -> None:
    before = found.get(component.name, (component, 0.0))[1]
    found[component.name] = (component, before + amount)
