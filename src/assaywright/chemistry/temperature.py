"""How equilibrium constants change with temperature, 5 to 50 °C: each law by its author and year.

The laws take numbers and arrays alike; :func:`check_temperature` guards the range in which the product offers them.
"""

from typing import Any

import numpy as np

from assaywright.chemistry.water import water_density_kell1975
from assaywright.metrology.refusal import Refusal

ZERO_CELSIUS_K = 273.15
REFERENCE_DEGC = 25.0
GAS_CONSTANT_J_PER_MOL_K = 8.314462618
FARADAY_C_PER_MOL = 96485.33212
LN10 = float(np.log(10.0))
MOLAR_MASS_WATER_KG_PER_MOL = 0.018015268
LOWEST_DEGC, HIGHEST_DEGC = 5.0, 50.0


def check_temperature(temperature_degC: Any) -> None:
    """Refuse a temperature at which no equilibrium is offered.

    Arguments:
        temperature_degC: [°C].

    Raises:
        Refusal: outside 5 to 50 °C, or not a number.
    """
    degrees = np.asarray(temperature_degC, dtype=float)
    if not np.all((degrees >= LOWEST_DEGC) & (degrees <= HIGHEST_DEGC)):
        raise Refusal(f"a temperature outside {LOWEST_DEGC:g} to {HIGHEST_DEGC:g} °C", where="temperature",
                      remedy="give the temperature of the titrated solution in °C")


def pkw_bandura_lvov2006(temperature_degC: Any) -> Any:
    """Return the ionisation constant of water, as pKw, at ordinary pressure and ionic strength 0.

    pKw = -2n [lg(1 + Z) - Z/(Z + 1) rho (b0 + b1/T + b2 rho)] + pKw(gas) + 2 lg(M)
    with Z = rho exp(a0 + a1/T + a2 rho^(2/3)/T^2) and pKw(gas) = g0 + g1/T + g2/T^2 + g3/T^3

    Arguments:
        temperature_degC: [°C].

    Returns: pKw on the molality scale [1]

    Valid: 0 to 800 °C; within 0.003 of the measurements of Harned and Robinson between 0 and 55 °C.

    Source: Bandura and Lvov, J. Phys. Chem. Ref. Data 35 (2006) 15, adopted by IAPWS as R11; coefficients recalled.

    Example:
        >>> round(float(pkw_bandura_lvov2006(25.0)), 3)
        13.995
    """
    T = np.asarray(temperature_degC, dtype=float) + ZERO_CELSIUS_K
    rho = water_density_kell1975(T - ZERO_CELSIUS_K) / 1000.0
    clusters = rho * np.exp(-0.864671 + 8659.19 / T - 22786.2 * rho ** (2 / 3) / T**2)
    excess = 0.642044 - 56.8534 / T - 0.375754 * rho
    in_liquid = -12.0 * (np.log10(1 + clusters) - clusters / (clusters + 1) * rho * excess)
    in_gas = 0.61415 + 48251.33 / T - 67707.93 / T**2 + 10102100.0 / T**3
    return in_liquid + in_gas + 2 * np.log10(MOLAR_MASS_WATER_KG_PER_MOL)


def pkw_harned_robinson1940(temperature_degC: Any) -> Any:
    """Return the ionisation constant of water, as pKw, at ionic strength 0: the older law, fitted to emf data.

    pKw = 4470.99/T - 6.0875 + 0.01706 T

    Arguments:
        temperature_degC: [°C].

    Returns: pKw [1]

    Valid: 0 to 60 °C, within 0.003 of the measurements it was fitted to.

    Source: Harned and Robinson, Trans. Faraday Soc. 36 (1940) 973.

    Example:
        >>> round(float(pkw_harned_robinson1940(25.0)), 3)
        13.995
    """
    T = np.asarray(temperature_degC, dtype=float) + ZERO_CELSIUS_K
    return 4470.99 / T - 6.0875 + 0.01706 * T


def pk_clarke_glew1966(
    pK: Any,
    enthalpy_kJ_per_mol: Any,
    temperature_degC: Any,
    heat_capacity_J_per_mol_K: Any = 0.0,
    reference_degC: float = REFERENCE_DEGC,
) -> Any:
    """Return -lg K of a reaction at another temperature; van 't Hoff's law where the heat capacity is left at zero.

    pK(T) = pK(T0) - {dH (1/T0 - 1/T) + dCp [T0/T - 1 + ln(T/T0)]} / (R ln 10)

    Arguments:
        pK: -lg K at the reference temperature [1].
        enthalpy_kJ_per_mol: dH of the reaction at the reference temperature [kJ/mol].
        temperature_degC: T, as Celsius temperature [°C].
        heat_capacity_J_per_mol_K: dCp of the reaction, taken as constant [J/(mol K)].
        reference_degC: T0, as Celsius temperature [°C].

    Returns: -lg K at T [1]

    Valid: 5 to 50 °C; without dCp within some 0.02 at 20 K from the reference for most weak acids.

    Source: Clarke and Glew, Trans. Faraday Soc. 62 (1966) 539, equation with two terms.

    Example:
        >>> round(float(pk_clarke_glew1966(9.245, 51.95, 5.0, 8.0)), 2)
        9.9
    """
    T = np.asarray(temperature_degC, dtype=float) + ZERO_CELSIUS_K
    T0 = reference_degC + ZERO_CELSIUS_K
    by_enthalpy = np.asarray(enthalpy_kJ_per_mol) * 1000.0 * (1 / T0 - 1 / T)
    by_heat_capacity = np.asarray(heat_capacity_J_per_mol_K) * (T0 / T - 1 + np.log(T / T0))
    return pK - (by_enthalpy + by_heat_capacity) / (GAS_CONSTANT_J_PER_MOL_K * LN10)


def nernst_slope_V(temperature_degC: Any) -> Any:
    """Return the change of potential for a tenfold change of activity of one electron's reaction.

    k = R T ln 10 / F

    Arguments:
        temperature_degC: [°C].

    Returns: slope [V]

    Source: Nernst's law with the constants of CODATA 2018, exact in the SI.

    Example:
        >>> round(float(nernst_slope_V(25.0)), 5)
        0.05916
    """
    T = np.asarray(temperature_degC, dtype=float) + ZERO_CELSIUS_K
    return GAS_CONSTANT_J_PER_MOL_K * T * LN10 / FARADAY_C_PER_MOL
