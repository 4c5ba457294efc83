"""The density of a solution by a published law, for solutes of which no measured table is held."""

from typing import Any

from assaywright.chemistry.water import water_density_tanaka2001
from assaywright.reference.densities import DensityLaw

NEAREST_DEGC, FARTHEST_DEGC = 18.0, 22.0


def solution_density_laliberte_cooper2004(law: DensityLaw, mass_percent: Any, temperature_degC: float, m: Any) -> Any:
    """Return the density of a solution of one electrolyte in water.

    1/rho = (1 - w)/rho_w + w v,  v = (w + c2 + c3 t) / [(c0 w + c1) exp(1e-6 (t + c4)^2)]

    Arguments:
        law: coefficients of the solute.
        mass_percent: 100 w; a number or an array [g in 100 g of solution].
        temperature_degC: t [°C].
        m: what gives the exponential.

    Returns: density [g/mL]

    Valid: 18 to 22 °C as used here, up to the mass per cent to which the coefficients were fitted. Its slope by
        temperature is 20 to 40 % too small for dilute alkali and is never used.

    Source: Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141; coefficients as revised by Laliberté 2009.
    """
    w = mass_percent / 100.0
    t = temperature_degC
    exponential = m.exp(1e-6 * (t + law.c4) * (t + law.c4))
    specific_volume = (w + (law.c2 + law.c3 * t)) / ((law.c0 * w + law.c1) * exponential)
    return 0.001 / ((1.0 - w) / water_density_tanaka2001(t) + w * specific_volume)
