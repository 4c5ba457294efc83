"""The density of moist air: each law by its author and year, as plain arithmetic.

The laws take numbers, arrays and uncertain numbers alike and are given ``exp`` by the means ``m`` of the evaluator; the
ranges within which they hold stand in their docstrings, and :func:`check_air` guards them.
"""

from typing import Any

from assaywright.metrology.model import Means, PlainMeans
from assaywright.metrology.refusal import Refusal
from assaywright.reference.laws import law_coefficients

CARBON_DIOXIDE = 0.0004
ZERO_CELSIUS_K = 273.15
PA_PER_HPA = 100.0


def air_density_cipm2007(
    temperature_degC: Any,
    pressure_hPa: Any,
    relative_humidity_percent: Any,
    m: Means,
    carbon_dioxide_mole_fraction: Any = CARBON_DIOXIDE,
) -> Any:
    """Return the density of moist air.

    rho = p M_a / (Z R T) [1 - x_v (1 - M_v/M_a)]

    with x_v = (h/100) f p_sv/p, f = alpha + beta p + gamma t^2, p_sv = exp(A T^2 + B T + C + D/T),
    Z = 1 - (p/T)[a0 + a1 t + a2 t^2 + (b0 + b1 t) x_v + (c0 + c1 t) x_v^2] + (p/T)^2 (d + e x_v^2) and
    M_a = [28.96546 + 12.011 (x_CO2 - 0.0004)] g/mol.

    Arguments:
        temperature_degC: t [°C].
        pressure_hPa: p [hPa].
        relative_humidity_percent: h [%].
        m: means of the evaluator, for exp.
        carbon_dioxide_mole_fraction: x_CO2 [mol/mol].

    Returns: density [kg/m³]

    Valid: 600 to 1100 hPa, 15 to 27 °C; relative standard uncertainty of the formula 22e-6.

    Source: Picard et al., Metrologia 45 (2008) 149, equations 1 to 7.

    Example:
        >>> round(air_density_cipm2007(20.0, 1013.25, 50.0, PlainMeans()), 5)
        1.19931
    """
    k = law_coefficients("cipm_2007")
    t = temperature_degC
    kelvin = t + ZERO_CELSIUS_K
    pressure_Pa = pressure_hPa * PA_PER_HPA
    saturation_Pa = m.exp(k["A"] * kelvin * kelvin + k["B"] * kelvin + k["C"] + k["D"] / kelvin)
    enhancement = k["alpha"] + k["beta"] * pressure_Pa + k["gamma"] * t * t
    vapour = relative_humidity_percent / 100 * enhancement * saturation_Pa / pressure_Pa
    ratio = pressure_Pa / kelvin
    dry_air = k["M_a"] + k["M_CO2"] * (carbon_dioxide_mole_fraction - CARBON_DIOXIDE)
    return ratio * dry_air / (_compressibility(t, ratio, vapour) * k["R"]) * (1 - vapour * (1 - k["M_v"] / dry_air))


def _compressibility(t: Any, ratio: Any, vapour: Any) -> Any:
    """Z of the CIPM formula at t [°C], with p/T [Pa/K] and the mole fraction of vapour."""
    k = law_coefficients("cipm_2007")
    pairs = k["a0"] + k["a1"] * t + k["a2"] * t * t + (k["b0"] + k["b1"] * t) * vapour
    pairs = pairs + (k["c0"] + k["c1"] * t) * vapour * vapour
    return 1 - ratio * pairs + ratio * ratio * (k["d"] + k["e"] * vapour * vapour)


def air_density_oiml2004(temperature_degC: Any, pressure_hPa: Any, relative_humidity_percent: Any, m: Means) -> Any:
    """Return the density of moist air by the short formula of the weights recommendation.

    rho = [0.34848 p - 0.009 h exp(0.061 t)] / (273.15 + t)

    Arguments:
        temperature_degC: t [°C].
        pressure_hPa: p [hPa].
        relative_humidity_percent: h [%].
        m: means of the evaluator, for exp.

    Returns: density [kg/m³]

    Valid: 900 to 1100 hPa, 10 to 30 °C, below 80 % humidity; relative uncertainty 2e-4.

    Source: OIML R 111-1:2004, formula E.3-1, recalled.

    Example:
        >>> round(air_density_oiml2004(20.0, 1013.25, 50.0, PlainMeans()), 4)
        1.1993
    """
    k = law_coefficients("oiml_r111")
    vapour = k["k2"] * relative_humidity_percent * m.exp(k["k3"] * temperature_degC)
    return (k["k1"] * pressure_hPa + vapour) / (ZERO_CELSIUS_K + temperature_degC)


def air_density_cipm2007_kg_per_m3(
    temperature_degC: float, pressure_hPa: float, relative_humidity_percent: float
) -> float:
    """Return the density of moist air from readings at the balance, as a plain number.

    See :func:`air_density_cipm2007`; here the readings are checked first.

    Arguments:
        temperature_degC: of the air at the balance [°C].
        pressure_hPa: [hPa].
        relative_humidity_percent: [%].

    Returns: density [kg/m³]

    Raises:
        Refusal: see :func:`check_air`.

    Source: Picard et al., Metrologia 45 (2008) 149.
    """
    check_air(temperature_degC, pressure_hPa, relative_humidity_percent)
    return float(air_density_cipm2007(temperature_degC, pressure_hPa, relative_humidity_percent, PlainMeans()))


def check_air(temperature_degC: float, pressure_hPa: float, relative_humidity_percent: float) -> None:
    """Refuse air that no laboratory has.

    The limits are wider than the formula's own validity (15 to 27 °C); at 5 or 40 °C it is still good to 1e-4 in the
    density, which buoyancy does not notice.

    Arguments:
        temperature_degC: at the balance [°C].
        pressure_hPa: at the balance [hPa].
        relative_humidity_percent: at the balance [%].

    Raises:
        Refusal: temperature outside 0 to 45 °C, pressure outside 600 to 1100 hPa, humidity outside 0 to 100 %.
    """
    for what, value, low, high, unit, hint in (
        ("air temperature", temperature_degC, 0.0, 45.0, "°C", "check the thermometer at the balance"),
        ("air pressure", pressure_hPa, 600.0, 1100.0, "hPa",
         "give the pressure at the balance itself in hPa, not reduced to sea level"),
        ("relative humidity", relative_humidity_percent, 0.0, 100.0, "%", "give it in per cent"),
    ):
        if not low <= value <= high:
            raise Refusal(f"the {what} of {value:g} {unit} lies outside {low:g} to {high:g} {unit}", where="air",
                          remedy=hint)
