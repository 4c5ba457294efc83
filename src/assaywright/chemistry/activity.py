"""Activity coefficients of ions in water: each model by its author, one interface.

A model answers one question: how strongly a single charge is *screened* at an ionic strength. From it follows

    lg gamma(z) = -z^2 screening(I)        for an ion of charge z
    lg gamma(0) = salting_out I            for a neutral species

so that a solver needs one exponential per point, however many species there are. One model adds what the strong ions of
the solution do to each ion in particular.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

import numpy as np

from assaywright.chemistry.temperature import ZERO_CELSIUS_K
from assaywright.chemistry.water import water_density_kell1975

Strong = tuple[tuple[str, Any], ...]

DAVIES_LIMIT_MOL_PER_L = 0.5
RAOULT_L_PER_MOL = 0.017


class ActivityModel(Protocol):
    """What a solver asks of a model of activities."""

    @property
    def limit_mol_per_L(self) -> float:
        """Ionic strength beyond which the model is held at its value there [mol/L]."""

    @property
    def salting_out_L_per_mol(self) -> float:
        """The lg gamma of a neutral species per ionic strength [L/mol]."""

    @property
    def lowers_water(self) -> bool:
        """Whether what is dissolved lowers the activity of the water."""

    def screening(self, ionic_strength_mol_per_L: Any, temperature_degC: float) -> Any:
        """Return -lg gamma of an ion with one charge, at an ionic strength [mol/L] and a temperature [°C]."""

    def specific(self, ion: str, strong_ions: Strong) -> Any:
        """Return what else the strong ions of a solution, by name and concentration, add to lg gamma of an ion."""


@dataclass(frozen=True, slots=True)
class Ideal:
    """All activity coefficients are one, as most textbook tables assume; constants are then conditional ones."""

    limit_mol_per_L: float = np.inf
    salting_out_L_per_mol: float = 0.0
    lowers_water: bool = False

    def specific(self, ion: str, strong_ions: Strong) -> Any:
        """Return zero: no ion is particular to another."""
        return 0.0

    def screening(self, ionic_strength_mol_per_L: Any, temperature_degC: float) -> Any:
        """Return zero: nothing is screened, at any ionic strength [mol/L] and temperature [°C]."""
        return np.zeros(np.shape(ionic_strength_mol_per_L))


@dataclass(frozen=True, slots=True)
class Davies:
    """The equation of Davies, held at its limit.

    -lg gamma = z^2 A [sqrt(I)/(1 + sqrt(I)) - 0.3 I]

    Fields:
        limit_mol_per_L: beyond it the coefficients stay as they are there, and results are marked [mol/L].
        salting_out_L_per_mol: lg gamma of neutral species per ionic strength; 0.1 is usual in geochemistry [L/mol].
        lowers_water: whether the activity of water falls by 0.017 per mol/L of dissolved particles (Raoult's law).

    Valid: ionic strength up to 0.5 mol/L; within about 2 % of measured mean coefficients up to 0.1 mol/L and
        within 8 % at the limit.

    Source: Davies, Ion Association, Butterworths 1962; Davies, J. Chem. Soc. (1938) 2093 had 0.2 for 0.3. The
        activity of water after Garrels and Christ, Solutions, Minerals and Equilibria, 1965.
    """

    limit_mol_per_L: float = DAVIES_LIMIT_MOL_PER_L
    salting_out_L_per_mol: float = 0.0
    lowers_water: bool = True

    def specific(self, ion: str, strong_ions: Strong) -> Any:
        """Return zero: the equation of Davies knows charges only."""
        return 0.0

    def screening(self, ionic_strength_mol_per_L: Any, temperature_degC: float) -> Any:
        """Return -lg gamma of an ion with one charge.

        Arguments:
            ionic_strength_mol_per_L: I; above the limit the value at the limit is given [mol/L].
            temperature_degC: [°C].

        Source: as of the class.

        Example:
            >>> round(float(10 ** -Davies().screening(0.1, 25.0)), 3)
            0.781
        """
        held = np.minimum(ionic_strength_mol_per_L, self.limit_mol_per_L)
        root = np.sqrt(held)
        return _slope_at(temperature_degC) * (root / (1 + root) - 0.3 * held)


@dataclass(frozen=True, slots=True)
class SpecificInteraction:
    """The theory of specific ion interaction, for high ionic strength made by known strong ions.

    lg gamma_i = -z_i² D + sum over strong ions k of epsilon(i, k) c_k, D = A sqrt(I)/(1 + 1.5 sqrt(I))

    Fields:
        coefficients: cation, anion and epsilon of each pair; a pair that is not held counts as zero [kg/mol].
        limit_mol_per_L: beyond it D stays as it is there, and results are marked [mol/L].
        salting_out_L_per_mol: lg gamma of neutral species per ionic strength [L/mol].
        lowers_water: see :class:`Davies`.

    Valid: ionic strength up to 3.5 mol/kg; mean coefficients of HCl, NaCl, NaOH and KCl within 4 % of measured ones up
        to 3 mol/kg, where the equation of Davies is up to a fifth off at 1 mol/kg. Amounts per litre are taken for
        amounts per kilogram of water. Ions of weak acids act on one another through D alone, and so do all ions in
        complexation and precipitation.

    Source: Ciavatta, Ann. Chim. (Rome) 70 (1980) 551; Grenthe and Puigdomenech, Modelling in Aquatic Chemistry, OECD
        1997, chapter IX and table B.4 for the coefficients, recalled.
    """

    coefficients: tuple[tuple[str, str, float], ...] = (
        ("H+", "Cl-", 0.12), ("H+", "NO3-", 0.07), ("H+", "ClO4-", 0.14),
        ("Na+", "Cl-", 0.03), ("Na+", "NO3-", -0.04), ("Na+", "ClO4-", 0.01), ("Na+", "OH-", 0.04),
        ("K+", "Cl-", 0.00), ("K+", "NO3-", -0.11), ("K+", "OH-", 0.09),
        ("Na+", "CH3COO-", 0.08), ("Na+", "HCO3-", 0.00), ("Na+", "CO3 2-", -0.08), ("Na+", "HSO4-", -0.01),
        ("Na+", "SO4 2-", -0.12), ("Na+", "H2PO4-", -0.08), ("Na+", "HPO4 2-", -0.15), ("Na+", "PO4 3-", -0.25),
    )
    limit_mol_per_L: float = 3.5
    salting_out_L_per_mol: float = 0.0
    lowers_water: bool = True

    def specific(self, ion: str, strong_ions: Strong) -> Any:
        """Return what the strong ions of a solution add to lg gamma of an ion."""
        by_partner = {(one, other): epsilon for pair in self.coefficients
                      for one, other, epsilon in (pair, (pair[1], pair[0], pair[2]))}
        return sum((by_partner.get((ion, name), 0.0) * amount for name, amount in strong_ions), 0.0)

    def screening(self, ionic_strength_mol_per_L: Any, temperature_degC: float) -> Any:
        """Return D, -lg gamma of an ion with one charge but for its interactions.

        Arguments:
            ionic_strength_mol_per_L: I; above the limit the value at the limit is given [mol/L].
            temperature_degC: [°C].

        Source: as of the class.

        Example:
            >>> round(float(SpecificInteraction().screening(1.0, 25.0)), 3)
            0.204
        """
        root = np.sqrt(np.minimum(ionic_strength_mol_per_L, self.limit_mol_per_L))
        return _slope_at(temperature_degC) * root / (1 + 1.5 * root)


IDEAL = Ideal()
DAVIES = Davies()


def lg_gamma(model: ActivityModel, charge: int, screening: Any, ionic_strength_mol_per_L: Any) -> Any:
    """Return the decimal logarithm of an activity coefficient.

    Arguments:
        model: of the activities.
        charge: of the species, in elementary charges.
        screening: of a single charge, as the model gives it.
        ionic_strength_mol_per_L: I; held at the model's limit for neutral species too [mol/L].

    Source: as of the model.
    """
    if charge:
        return -(charge * charge) * screening
    return model.salting_out_L_per_mol * np.minimum(ionic_strength_mol_per_L, model.limit_mol_per_L)


def debye_hueckel_slope(temperature_degC: Any) -> Any:
    """Return the Debye-Hückel slope A for decimal logarithms.

    A = 1.824829e6 sqrt(rho) / (eps T)^(3/2), with rho in g/cm³ and the relative permittivity eps of water

    Arguments:
        temperature_degC: [°C].

    Returns: A [(L/mol)^(1/2)]; the difference between kg and L of water is neglected as is usual with this equation

    Valid: 0 to 100 °C.

    Source: the limiting law with the density of Kell 1975 and the permittivity of Bradley and Pitzer 1979; the factor
        follows from the CODATA constants.

    Example:
        >>> round(float(debye_hueckel_slope(25.0)), 4)
        0.51
    """
    T = np.asarray(temperature_degC, dtype=float) + ZERO_CELSIUS_K
    rho = water_density_kell1975(T - ZERO_CELSIUS_K) / 1000.0
    return 1.824829e6 * np.sqrt(rho) / (permittivity_bradley_pitzer1979(temperature_degC) * T) ** 1.5


@cache
def _slope_at(temperature_degC: float) -> float:
    """Return the slope at one temperature, kept because a solver asks for it over and over."""
    return float(debye_hueckel_slope(temperature_degC))


def permittivity_bradley_pitzer1979(temperature_degC: Any, pressure_bar: float = 1.01325) -> Any:
    """Return the relative permittivity of water.

    eps = D1000 + C ln[(B + p)/(B + 1000)], D1000 = u1 exp(u2 T + u3 T²), C = u4 + u5/(u6 + T), B = u7 + u8/T + u9 T

    Arguments:
        temperature_degC: [°C].
        pressure_bar: p [bar].

    Returns: relative permittivity [1]

    Valid: 0 to 350 °C.

    Source: Bradley and Pitzer, J. Phys. Chem. 83 (1979) 1599; coefficients recalled.

    Example:
        >>> round(float(permittivity_bradley_pitzer1979(25.0)), 2)
        78.38
    """
    T = np.asarray(temperature_degC, dtype=float) + ZERO_CELSIUS_K
    at_1000_bar = 342.79 * np.exp(-5.0866e-3 * T + 9.4690e-7 * T**2)
    C = -2.0525 + 3115.9 / (T - 182.89)
    B = -8032.5 + 4.2142e6 / T + 2.1417 * T
    return at_1000_bar + C * np.log((B + pressure_bar) / (B + 1000.0))
