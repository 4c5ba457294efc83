"""The standard buffers at a temperature: the reference pH from the table, and the pH that their composition gives."""

from assaywright.chemistry.buffer_equilibrium import Components, ion, pH_of
from assaywright.chemistry.local_cubic import local_cubic
from assaywright.chemistry.system.acid_base import family
from assaywright.chemistry.water import water_density_kell1975
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Contribution, Estimate, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.buffers import StandardBuffer, standard_buffer
from assaywright.reference.constants import acids


def standard_pH(buffer: str | StandardBuffer, temperature_degC: float) -> Estimate:
    """Return the reference pH of a standard buffer at a temperature.

    Between the temperatures of the table stands the cubic through the four nearest.

    Arguments:
        buffer: a standard buffer, or its name.
        temperature_degC: of the buffer [°C].

    Returns: pH [1] under permanent keys

    Raises:
        Refusal: no such buffer, or a temperature outside its table.

    Source: IUPAC Recommendations 2002; Bates 1962 for calcium hydroxide.

    Example:
        >>> round(standard_pH("borax", 25.0).value, 3)
        9.18
    """
    one = buffer if isinstance(buffer, StandardBuffer) else standard_buffer(buffer)
    degrees = [point.temperature_degC for point in one.points]
    if not degrees[0] <= temperature_degC <= degrees[-1]:
        raise Refusal(f"the table of the {one.name} buffer holds {degrees[0]:g} to {degrees[-1]:g} °C, not "
                      f"{temperature_degC:g} °C", where="buffer", remedy="measure within it, or use another buffer")
    made = local_cubic(degrees, temperature_degC)
    points = [one.points[k] for k in made.rows]
    value = sum(weight * point.pH for weight, point in zip(made.weights, points, strict=True))
    straight = sum(weight * point.pH for weight, point in zip(made.parabola, points, strict=True))
    uncertainty = max(point.standard_uncertainty for point in points)
    parts = (
        Contribution(influence_key("standard buffer", one.name, one.source, "reference pH"), uncertainty,
                     label=f"reference pH of the {one.name} buffer"),
        Contribution(influence_key("standard buffer", one.name, f"{temperature_degC:g} °C", "interpolation"),
                     standard_uncertainty_of_half_width(abs(value - straight)), distribution="rectangular",
                     label=f"interpolation in the table of the {one.name} buffer"),
    )
    return Estimate(value, "1", tuple(part for part in parts if part.amount))


def computed_pH(buffer: str | StandardBuffer, temperature_degC: float) -> float:
    """Return the pH that the composition of a standard buffer gives by equilibrium, beside its reference pH.

    Arguments:
        buffer: a standard buffer, or its name.
        temperature_degC: 5 to 50 [°C].

    Returns: pH [1]

    Valid: within 0.02 of the reference values from 5 to 40 °C, within 0.03 at 50 °C.

    Source: charge balance with the equation of Davies; molality times the density of water for concentration.

    Example: reference value 12.454

    >>> round(computed_pH("calcium hydroxide", 25.0), 1)
    12.5
    """
    one = buffer if isinstance(buffer, StandardBuffer) else standard_buffer(buffer)
    density_kg_per_L = water_density_kell1975(temperature_degC) / 1000
    components: Components = {}
    for name, molality in one.components.items():
        component = family(name, one.data_sets.get(name, "")) if name in acids() else ion(name)
        components[name] = (component, molality * density_kg_per_L)
    return pH_of(components, temperature_degC).pH
