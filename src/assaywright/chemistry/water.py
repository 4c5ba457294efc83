"""The density of water: each law by its author and year, as plain arithmetic on temperature.

The laws take numbers, arrays and uncertain numbers alike, so they do not look at the temperature; the range within
which each holds stands in its docstring and in :data:`VALID_DEGC`, and :func:`check_water_temperature` guards it.
"""

from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.reference.laws import law_coefficients

VALID_DEGC = {"tanaka_2001": (0.0, 40.0), "jones_harris_1992": (5.0, 40.0), "kell_1975": (0.0, 150.0)}


def water_density_tanaka2001(temperature_degC: Any) -> Any:
    """Return the density of air-free water at 101.325 kPa.

    rho = a5 [1 - (t + a1)^2 (t + a2) / (a3 (t + a4))]

    Arguments:
        temperature_degC: t on the ITS-90 [°C].

    Returns: density [kg/m³]

    Valid: 0 to 40 °C; standard uncertainty about 0.0008 kg/m³ for water of the isotopic composition of the ocean.

    Source: Tanaka et al., Metrologia 38 (2001) 301, the equation recommended by the CIPM.

    Example:
        >>> round(water_density_tanaka2001(20.0), 4)
        998.2067
    """
    a = law_coefficients("tanaka_2001")
    t = temperature_degC
    return a["a5"] * (1 - (t + a["a1"]) * (t + a["a1"]) * (t + a["a2"]) / (a["a3"] * (t + a["a4"])))


def dissolved_air_correction_tanaka2001(temperature_degC: Any) -> Any:
    """Return the density of air-saturated less that of air-free water.

    delta rho = s0 + s1 t

    Arguments:
        temperature_degC: t [°C].

    Returns: difference [kg/m³], to be added to the density of air-free water.

    Valid: 0 to 25 °C.

    Source: Tanaka et al. 2001 after Bignell 1983; coefficients recalled.

    Example:
        >>> round(dissolved_air_correction_tanaka2001(20.0), 5)
        -0.00249
    """
    s = law_coefficients("tanaka_2001_dissolved_air")
    return s["s0"] + s["s1"] * temperature_degC


def water_density_jones_harris1992(temperature_degC: Any) -> Any:
    """Return the density of air-free water, a rival of the equation of Tanaka.

    rho = c0 + c1 t + c2 t^2 + c3 t^3 + c4 t^4

    Arguments:
        temperature_degC: t on the ITS-90 [°C].

    Returns: density [kg/m³]

    Valid: 5 to 40 °C.

    Source: Jones and Harris, J. Res. NIST 97 (1992) 335.

    Example:
        >>> round(water_density_jones_harris1992(20.0), 3)
        998.203
    """
    c = law_coefficients("jones_harris_1992")
    t = temperature_degC
    return c["c0"] + t * (c["c1"] + t * (c["c2"] + t * (c["c3"] + t * c["c4"])))


def water_density_kell1975(temperature_degC: Any) -> Any:
    """Return the density of air-free water, a rival over a wider range.

    rho = (c0 + c1 t + c2 t^2 + c3 t^3 + c4 t^4 + c5 t^5) / (1 + b t)

    Arguments:
        temperature_degC: t on the IPTS-68 [°C]; it differs from the ITS-90 by 0.005 K at 20 °C.

    Returns: density [kg/m³]

    Valid: 0 to 150 °C.

    Source: Kell, J. Chem. Eng. Data 20 (1975) 97.

    Example:
        >>> round(water_density_kell1975(20.0), 3)
        998.204
    """
    c = law_coefficients("kell_1975")
    t = temperature_degC
    above = c["c0"] + t * (c["c1"] + t * (c["c2"] + t * (c["c3"] + t * (c["c4"] + t * c["c5"]))))
    return above / (1 + c["b"] * t)


def check_water_temperature(temperature_degC: float, law: str = "tanaka_2001") -> None:
    """Refuse a temperature outside the range of a law.

    Arguments:
        temperature_degC: of the water [°C].
        law: by its key ("tanaka_2001").

    Raises:
        Refusal: the temperature lies outside, or is not a number.
    """
    low, high = VALID_DEGC[law]
    if not low <= temperature_degC <= high:
        raise Refusal(f"water at {temperature_degC:g} °C lies outside the {low:g} to {high:g} °C of its density law",
                      where="temperature", remedy="check the temperature, or measure the density")
