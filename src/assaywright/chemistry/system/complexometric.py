"""Metals and EDTA by name: chelates, hydroxide and auxiliary complexes from the tables, all brought to one ground."""

from assaywright.chemistry.equilibrium import Acid, Conditions, Solution
from assaywright.chemistry.equilibrium.complexation import Medium, Metal, SideReaction
from assaywright.chemistry.equilibrium.complexometric_titration import ComplexometricTitration
from assaywright.chemistry.equilibrium.constants import at_ionic_strength
from assaywright.chemistry.system.acid_base import conditions_of, family
from assaywright.chemistry.system.description import Portion, System
from assaywright.chemistry.system.species import charge_of, dissolved
from assaywright.chemistry.temperature import pk_clarke_glew1966
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import FormationConstant, complexes, edta_formation, metals_of

EDTA, HYDROXIDE = "EDTA", "hydroxide"
LIGAND_CHARGES = {"hydroxide": -1, "ammonia": 0, "chloride": -1, "fluoride": -1, "citrate": -3, "bromide": -1,
                  "sulfate": -2, "thiocyanate": -1, "thiosulfate": -2, "cyanide": -1, "iodide": -1}
NO_COMPLEX = -300.0


def complexometric_titration(system: System) -> ComplexometricTitration:
    """Return the titration of metals with EDTA, forwards or back, that a system describes.

    Arguments:
        system: of kind "complexometric", with its pH.

    Raises:
        Refusal: no pH, no metal or no EDTA, or no constant held for them.
    """
    if system.pH is None:
        raise Refusal("the pH of a complexometric titration is not stated", where="system",
                      remedy="state the pH that the buffer keeps")
    conditions = conditions_of(system)
    ligand = family(EDTA, system.data_set)
    ligands = (HYDROXIDE, *(name for name, _amount in system.free_ligands))
    parts = [_parts(portions, ligand, ligands, system, conditions) for portions in (system.analyte, system.titrant)]
    metals = [one.name for part in parts for one, _amount in part if isinstance(one, Metal)]
    if not metals or not any(one is ligand for part in parts for one, _amount in part):
        raise Refusal("no metal that EDTA binds, or no EDTA, is among the substances named", where="system",
                      remedy="name the metal as an ion (Zn2+) or its salt, and the edetate on the other side")
    followed = system.followed or (metals[0] if metals else "")
    if followed not in metals:
        raise Refusal(f"{followed} takes no part and cannot be followed", where="system",
                      remedy=f"follow {' or '.join(dict.fromkeys(metals))}")
    medium = Medium(system.pH, system.free_ligands, system.ionic_strength_mol_per_L, conditions)
    flask = tuple((one, amount * system.dilution) for one, amount in parts[0])
    return ComplexometricTitration(Solution(flask), system.flask_mL, Solution(tuple(parts[1])), medium, followed)


def _parts(
    portions: tuple[Portion, ...], ligand: Acid, ligands: tuple[str, ...], system: System, conditions: Conditions
) -> list[tuple[Metal | Acid, float]]:
    """Return metals and ligand of a solution; ions that EDTA does not bind are left to the ionic strength."""
    found: list[tuple[Metal | Acid, float]] = []
    held = metals_of(EDTA)
    for portion in portions:
        given = dissolved(portion.substance)
        if EDTA in given.acids:
            found.append((ligand, portion.concentration_mol_per_L))
        for one in (product for product in given.products if product.species in held and product.charge > 1):
            metal = _metal(one.species, ligands, system.data_set, conditions)
            found.append((metal, one.count * portion.concentration_mol_per_L))
    return found


def _metal(name: str, ligands: tuple[str, ...], data_set: str, conditions: Conditions) -> Metal:
    chelate = edta_formation(name, data_set)
    charge, strength = charge_of(name), chelate.ionic_strength_mol_per_L or 0.0
    sides = []
    for ligand in ligands:
        constants = _complexes(name, ligand)
        if constants:
            most = max(one.number for one in constants)
            by_number = {one.number: _brought(one, charge, conditions, strength) for one in constants}
            betas = tuple(by_number.get(number, NO_COMPLEX) for number in range(1, most + 1))
            sides.append(SideReaction(ligand, betas, _ligand_charge(ligand)))
    lg_K = chelate.log_beta
    if chelate.enthalpy_kJ_per_mol is not None:
        lg_K = -float(pk_clarke_glew1966(-lg_K, chelate.enthalpy_kJ_per_mol, conditions.temperature_degC))
    return Metal(name, charge, lg_K, tuple(sides), ionic_strength_mol_per_L=strength)


def _complexes(metal: str, ligand: str) -> tuple[FormationConstant, ...]:
    """Return the constants of a metal with an auxiliary ligand; none where none is held."""
    _ligand_charge(ligand)
    try:
        return complexes(metal, ligand)
    except Refusal:
        return ()


def _ligand_charge(ligand: str) -> int:
    if ligand not in LIGAND_CHARGES:
        raise Refusal(f"'{ligand}' is no auxiliary ligand held", where="system",
                      remedy=f"use one of {', '.join(sorted(LIGAND_CHARGES))}")
    return LIGAND_CHARGES[ligand]


def _brought(one: FormationConstant, charge: int, conditions: Conditions, wanted_mol_per_L: float) -> float:
    """Return lg of an overall constant at another ionic strength; one whose source is silent is left as it is."""
    if one.ionic_strength_mol_per_L is None:
        return one.log_beta
    ligand = _ligand_charge(one.ligand)
    squares = (charge + one.number * ligand) ** 2 - charge**2 - one.number * ligand**2
    return float(at_ionic_strength(one.log_beta, squares, conditions, one.ionic_strength_mol_per_L, wanted_mol_per_L))
