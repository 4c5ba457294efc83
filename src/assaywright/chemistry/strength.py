"""How much of a solution is the substance: a mass fraction as given, or from an amount concentration and a density."""

from dataclasses import dataclass

from assaywright.chemistry.density import mass_percent_from_molarity
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.water import water_density_tanaka2001
from assaywright.metrology.estimate import exact
from assaywright.metrology.refusal import Refusal
from assaywright.reference.substances import Substance

WHERE = "strength"
DILUTE_G_PER_L = 50.0
REFERENCE_DEGC = 20.0
GREATEST_DENSITY_G_PER_ML = 5.0


@dataclass(frozen=True, slots=True)
class Strength:
    """A mass fraction and how it was come by.

    Fields:
        mass_percent: of the substance as named, its hydrate water included [%].
        basis: in words, with the density used.
    """

    mass_percent: float
    basis: str


def strength_of_mass_percent(mass_percent: float) -> Strength:
    """Return a strength given as a mass fraction.

    Arguments:
        mass_percent: [%].

    Raises:
        Refusal: outside 0 to 100 %.
    """
    if not 0 <= mass_percent <= 100:
        raise Refusal(f"a mass fraction of {mass_percent:g} %", where=WHERE, remedy="give 0 to 100 %")
    return Strength(mass_percent, "mass fraction as given")


def strength_of_concentration(
    solute: Substance, concentration_mol_per_L: float, density_g_per_mL: float | None = None, solvent: str = "water"
) -> Strength:
    """Return the mass fraction of a solution of known amount concentration.

    w = c M / (10 rho).

    Arguments:
        solute: the substance as named, its hydrate water included.
        concentration_mol_per_L: c [mol/L].
        density_g_per_mL: rho, measured; when not given the table of densities in water is asked, and below 50 g/L of
            solute water's density is taken, which makes the mass fraction of a heavier solution too high [g/mL].
        solvent: name of what it is dissolved in.

    Returns: the strength with its basis; hydrate water counts as part of the substance named.

    Raises:
        Refusal: a negative concentration, a density that cannot be, more than 100 %, or no density.

    Source: definition of the quantities; 20 °C.
    """
    if not concentration_mol_per_L >= 0:
        raise Refusal(f"a concentration of {concentration_mol_per_L:g} mol/L", where=WHERE, remedy="give zero or more")
    mass_g_per_L = concentration_mol_per_L * molar_mass(solute.formula).value
    if density_g_per_mL is not None:
        if not 0 < density_g_per_mL <= GREATEST_DENSITY_G_PER_ML:
            raise Refusal(f"a density of {density_g_per_mL:g} g/mL", where=WHERE, remedy="give it in g/mL")
        return _strength(solute, mass_g_per_L, density_g_per_mL, f"density {density_g_per_mL:g} g/mL as given")
    if solvent == "water":
        return _without_density(solute, concentration_mol_per_L, mass_g_per_L)
    raise Refusal(f"the density of {solute.name} in {solvent} is not held", where=WHERE,
                  remedy="measure it and give it in g/mL, or give the mass fraction")


def _without_density(solute: Substance, concentration_mol_per_L: float, mass_g_per_L: float) -> Strength:
    try:
        found = mass_percent_from_molarity(solute.name, exact(concentration_mol_per_L, "mol/L"))
    except Refusal as refusal:
        if mass_g_per_L > DILUTE_G_PER_L:
            remedy = "give its density in g/mL, or the mass fraction"
            raise Refusal(f"{concentration_mol_per_L:g} mol/L {solute.name} needs a density: {refusal.what}",
                          where=WHERE, remedy=remedy) from None
        water = water_density_tanaka2001(REFERENCE_DEGC) / 1000
        return _strength(solute, mass_g_per_L, water, "density estimated as that of water, for no table is held")
    density = mass_g_per_L / (10 * found.value) if found.value else water_density_tanaka2001(REFERENCE_DEGC) / 1000
    return _strength(solute, mass_g_per_L, density, f"density {density:.4f} g/mL from the table held, 20 °C")


def _strength(solute: Substance, mass_g_per_L: float, density_g_per_mL: float, basis: str) -> Strength:
    mass_percent = mass_g_per_L / (10 * density_g_per_mL)
    if mass_percent > 100:
        raise Refusal(f"{mass_g_per_L:.4g} g/L {solute.name} is {mass_percent:.4g} % of the solution's mass",
                      where=WHERE, remedy="check the concentration and the density")
    counted = "counted with its hydrate water; " if "·" in solute.formula else ""
    return Strength(mass_percent, f"{counted}{basis}")
