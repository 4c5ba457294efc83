"""The density in a tank that is not at 20 °C, a little beyond the contents up to which it was measured there."""

from assaywright.chemistry.density import REFERENCE_DEGC, density_ratio, solution_density
from assaywright.chemistry.density_curve import density_curve
from assaywright.chemistry.solute import Solute
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, combine, influence, influence_key
from assaywright.metrology.refusal import Refusal

BEYOND = 1.25  # the expansion is carried up to a quarter beyond the last content measured: our own allowance
OPEN_SHARE = 0.25  # of the expansion, a half width: it grows about as the content does, our own allowance


def density_near_table(solute: Solute, content: Estimate, temperature_degC: float) -> Estimate:
    """Return the density of a solution; a little beyond the table at its temperature by the expansion at its end.

    rho(w, t) = rho(w, 20 °C) rho(w_last, t)/rho(w_last, 20 °C)

    Arguments:
        solute: of the solution.
        content: [% w/w].
        temperature_degC: of the solution [°C].

    Returns: [g/mL]; what the expansion leaves open is an influence of its own

    Raises:
        Refusal: no density is held at 20 °C, or the content lies further beyond what was measured.
    """
    try:
        return solution_density(solute, content, temperature_degC)
    except Refusal:
        last = _last_percent(solute, temperature_degC)
        if last is None or not last < content.value <= BEYOND * last:
            raise
    at_20 = solution_density(solute, content, REFERENCE_DEGC)
    ratio = density_ratio(solute, last, REFERENCE_DEGC, temperature_degC)
    key = influence_key("solution density", solute.name, "carried beyond the table", "expansion")
    half = OPEN_SHARE * abs(ratio.value - 1)
    left_open = influence(key, 0.0, standard_uncertainty_of_half_width(half), "1", distribution="rectangular",
                          label=f"expansion of {solute.name} beyond {last:.4g} % w/w")
    value = at_20.value * ratio.value
    parts = combine("g/mL", ((ratio.value, at_20), (at_20.value, ratio), (at_20.value, left_open))).contributions
    return Estimate(value, "g/mL", parts)


def _last_percent(solute: Solute, temperature_degC: float) -> float | None:
    """Return the content up to which densities are held at a temperature [% w/w]; none where none are."""
    try:
        return density_curve(solute, temperature_degC).greatest_percent
    except Refusal:
        return None
