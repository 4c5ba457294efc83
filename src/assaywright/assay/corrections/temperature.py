"""Thermal expansion: from a volume at the temperature of the bench to the volume at the temperature of reference."""

from typing import Any

from assaywright.metrology.model import Means


def expansion_factor(
    temperature_error: Any,
    temperature_degC: float,
    vessel_reference_degC: float,
    glass_per_K: float,
    ratio: float,
    slope_per_K: float,
    ratio_error: Any,
    m: Means,
    tag: str = "",
) -> Any:
    """Return the factor that turns an indicated volume into the volume at the content's reference temperature.

    F = [1 + gamma (t - t_ref)] rho(t)/rho(t_c), with rho(t)/rho(t_c) taken from the cited table or law at the
    temperature as typed and its slope there.

    Arguments:
        temperature_error: what the true temperature differs from the one typed, estimate 0 [K].
        temperature_degC: as typed.
        vessel_reference_degC: temperature at which the vessel's volume holds, t_ref.
        glass_per_K: cubic expansion of the vessel, gamma.
        ratio: rho(t)/rho(t_c) at the typed temperature [1].
        slope_per_K: its slope.
        ratio_error: what the true ratio differs from the table's, estimate 0 [1].
        tag: set behind the symbols in the working.

    Returns: [1]

    Source: ISO 4787:2021 for the vessel, GB/T 601-2016 Annex A or measured densities for the solution.
    """
    difference = (temperature_degC - vessel_reference_degC) + temperature_error
    vessel = 1 + glass_per_K * difference
    solution = m.step(f"r{tag}", "density at the temperature of use over density at the reference temperature",
                      ratio + slope_per_K * temperature_error + ratio_error, "1")
    return m.step(f"F{tag}", "factor to the reference temperature", vessel * solution, "1", "ISO 4787")
