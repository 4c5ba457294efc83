"""Laws of the simulated world: how dense water, solutions and air are, how glass grows, how heavy atoms are.

They are the simulation's own and deliberately not the laws the program uses (Kell's water where the program has
Tanaka's, the approximate air formula where the program has CIPM-2007), so that a fault in either would show.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from tests.bench.chance import Chance

REFERENCE_DEGC = 20.0

# CIAAW Standard Atomic Weights 2021: intervals for the elements whose weight varies with the material's origin, and
# value with bound for the others. The world draws one weight from each interval for the materials in hand.
ATOMIC_WEIGHT_BOUNDS: Mapping[str, tuple[float, float]] = {
    "H": (1.00784, 1.00811),
    "C": (12.0096, 12.0116),
    "N": (14.00643, 14.00728),
    "O": (15.99903, 15.99977),
    "Na": (22.98976926, 22.98976930),
    "Cl": (35.446, 35.457),
    "K": (39.0982, 39.0984),
    "Ca": (40.074, 40.082),
}


def atomic_weights(chance: Chance) -> Mapping[str, float]:
    """Return the atomic weights [g/mol] of the materials on this bench."""
    return {
        symbol: (low + high) / 2 + chance.bias_rectangular((high - low) / 2)
        for symbol, (low, high) in ATOMIC_WEIGHT_BOUNDS.items()
    }


def molar_mass(atoms: Mapping[str, int], weights: Mapping[str, float]) -> float:
    """Return the molar mass [g/mol] of a count of atoms."""
    return sum(count * weights[symbol] for symbol, count in atoms.items())


def water_density_kell1975(temperature_degC: float) -> float:
    """Return the density of air-free water [kg/m³] at 101 325 Pa, 0 to 150 °C.

    Source: Kell 1975, J. Chem. Eng. Data 20, 97 (read; on IPTS-68, which differs by 5 mK at 20 °C).
    """
    t = temperature_degC
    numerator = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return numerator / (1 + 16.879850e-3 * t)


def air_density_oiml_r111(temperature_degC: float, pressure_hPa: float, humidity_percent: float) -> float:
    """Return the density of air [kg/m³], approximate formula good to 2 parts in 10⁴.

    Source: OIML R 111-1:2004, E.3 (from memory).
    """
    t = temperature_degC
    vapour = 0.009 * humidity_percent * 2.718281828459045 ** (0.061 * t)
    return (0.34848 * pressure_hPa - vapour) / (273.15 + t)


# How much more than water a solution of 1 mol/L expands from 20 °C to t: a (t - 20) + b (t - 20)², a [1/K], b [1/K²],
# drawn through densities at 10, 25 and 40 °C of solutions of 1 mol/kg, for the strong caustic of 5 mol/kg (evaluated
# table of absolute densities; rows in tests/reference/volumetry/solution_densities.csv).
EXCESS_EXPANSION_PER_MOLAR: Mapping[str, tuple[float, float]] = {
    "NaOH": (9.0e-5, -1.4e-6),
    "strong NaOH": (4.4e-5, -6.5e-7),
    "HCl": (4.5e-5, -1.2e-6),
}
TRUTH_OF_EXPANSION = 0.15  # this very solution's excess lies within this fraction of that law: trade judgement


@dataclass(frozen=True)
class Liquid:
    """A solution as it truly is.

    Fields:
        density_at_20: [kg/m³]
        excess: a [1/K] and b [1/K²] of how much more than water it expands.
    """

    density_at_20: float
    excess: tuple[float, float] = (0.0, 0.0)

    def shrinkage(self, temperature_degC: float) -> float:
        """Return ρ(t)/ρ(20 °C): a mole that fills one litre at 20 °C fills 1/shrinkage litres at t."""
        water = water_density_kell1975(temperature_degC) / water_density_kell1975(REFERENCE_DEGC)
        difference = temperature_degC - REFERENCE_DEGC
        return water * (1 - self.excess[0] * difference - self.excess[1] * difference**2)


def aqueous(solute: str, concentration: float, chance: Chance) -> Liquid:
    """Return the liquid of a solution of a named solute [mol/L]; 40 kg/m³ denser than water for each mol/L."""
    truth = concentration * (1 + chance.bias_rectangular(TRUTH_OF_EXPANSION))
    first, second = EXCESS_EXPANSION_PER_MOLAR[solute]
    return Liquid(water_density_kell1975(REFERENCE_DEGC) + 40 * concentration, (first * truth, second * truth))


@dataclass(frozen=True)
class Glass:
    """A glass with its true cubic expansion [1/K]."""

    expansion: float

    def growth(self, temperature_degC: float) -> float:
        """Return the vessel's volume at t over its volume at 20 °C."""
        return 1 + self.expansion * (temperature_degC - REFERENCE_DEGC)


def borosilicate(chance: Chance) -> Glass:
    """Return one piece of borosilicate glass 3.3: 9.9e-6 per kelvin (ISO 4787), within 5 % of it."""
    return Glass(9.9e-6 * (1 + chance.bias_rectangular(0.05)))
