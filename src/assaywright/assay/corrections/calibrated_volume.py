"""Gravimetric calibration: from the mass of water weighed to the volume of the vessel at 20 °C."""

from typing import Any

from assaywright.assay.corrections.buoyancy import WEIGHTS_KG_PER_M3
from assaywright.metrology.model import Means

ML_PER_M3_PER_G_PER_KG = 1000.0
REFERENCE_DEGC = 20.0


def z_factor(water_density: Any, air_density: Any, m: Means, weights_density: Any = WEIGHTS_KG_PER_M3,
             tag: str = "") -> Any:
    """Return the volume of water per gram of balance reading, at the temperature of the water.

    Z = (1 - rho_A/rho_B) / (rho_W - rho_A)

    The denominator is a difference: the air carries part of the water's weight.

    Arguments:
        water_density: rho_W, at the temperature of the water [kg/m³].
        air_density: rho_A [kg/m³].
        m: means of the evaluator.
        weights_density: rho_B, of the weights the balance was adjusted with [kg/m³].
        tag: set behind the symbol Z in the working.

    Returns: [mL/g]

    Source: ISO 8655-6, Annex A; ISO 4787, formula for the volume at the reference temperature.
    """
    factor = ML_PER_M3_PER_G_PER_KG * (1 - air_density / weights_density) / (water_density - air_density)
    return m.step(f"Z{tag}", "volume of water per gram weighed", factor, "mL/g", "ISO 8655-6, Annex A")


def calibrated_volume(
    reading: Any, water_density: Any, air_density: Any, temperature_degC: Any, expansion_per_K: Any, m: Means,
    weights_density: Any = WEIGHTS_KG_PER_M3, tag: str = "",
) -> Any:
    """Return the volume of a vessel at 20 °C, from the water it held or delivered.

    V20 = W Z [1 - gamma (t - 20)]

    Arguments:
        reading: W, balance reading of the water, loaded less empty [g].
        water_density: rho_W, at t [kg/m³].
        air_density: rho_A [kg/m³].
        temperature_degC: t, of water and vessel [°C].
        expansion_per_K: gamma, cubic expansion of the vessel [1/K].
        m: means of the evaluator.
        weights_density: rho_B, of the weights the balance was adjusted with [kg/m³].
        tag: set behind the symbols in the working.

    Returns: [mL]

    Source: ISO 4787, formula for the volume at the reference temperature of 20 °C.
    """
    factor = z_factor(water_density, air_density, m, weights_density, tag)
    glass = 1 - expansion_per_K * (temperature_degC - REFERENCE_DEGC)
    return m.step(f"V_20{tag}", "volume of the vessel at 20 °C", reading * factor * glass, "mL", "ISO 4787")
