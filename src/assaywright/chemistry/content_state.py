"""What a solution of a stated content is: its mass per cent and density, or why no such solution can be."""

import math
from dataclasses import dataclass

from assaywright.chemistry.density import mass_percent_from_mass_concentration, solution_density
from assaywright.chemistry.density_beyond import density_beyond
from assaywright.chemistry.density_curve import density_curve
from assaywright.chemistry.solute import Solute, check_dissolves, check_sparing
from assaywright.metrology.estimate import Estimate, combine
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark, Severity
from assaywright.reference.substances import substance

G_PER_L_PER_PERCENT = 10.0
WATER_G_PER_L = 1000.0
PURE_MARGIN = 1.02
FAR_UNCERTAINTIES, FAR_RELATIVE = 3.0, 0.01
HARDLY_ANY_PERCENT = 1e-6  # below it the density is read of the table: a quotient of next to nothing says nothing


@dataclass(frozen=True, slots=True)
class SolutionState:
    """Mass per cent and density of a solution, as far as they could be found.

    Fields:
        mass_percent: of the substance as weighed [% w/w]; none where it could not be found.
        density: [g/mL]; none where none is held or stated.
        source: where the density is from.
        remarks: a density beyond its table, a density stated far from its table.
    """

    mass_percent: Estimate | None
    density: Estimate | None
    source: str
    remarks: tuple[Remark, ...] = ()


def state_by_mass(
    solute: Solute, percent: Estimate, stated: tuple[Estimate, str] | None, temperature_degC: float, *, needed: bool
) -> SolutionState:
    """Return the state of a solution whose mass per cent is known.

    Arguments:
        solute: what is dissolved.
        percent: of it as weighed [% w/w].
        stated: density measured on the solution [g/mL] and who says so; none to ask the tables.
        temperature_degC: of the solution [°C].
        needed: whether the density must be found.

    Raises:
        Refusal: more than 100 %, more than dissolves, or a density that is needed and neither stated nor held.
    """
    check_dissolves(solute, percent.value, temperature_degC)
    if percent.value < 100:
        check_sparing(solute, G_PER_L_PER_PERCENT * percent.value)  # a litre of it weighs a kilogram or more
    if stated is not None:
        return SolutionState(percent, *stated, far_from_table(solute, percent, stated[0], temperature_degC))
    try:
        return SolutionState(percent, solution_density(solute, percent, temperature_degC),
                             _told(solute, percent.value, temperature_degC))
    except Refusal:
        beyond = density_beyond(solute, temperature_degC)
        if beyond is not None:
            density = beyond.density(percent.value)
            slope = (beyond.density(percent.value * (1 + 1e-6)).value - density.value) / (percent.value * 1e-6)
            parts = combine("g/mL", ((1.0, density), (slope, percent))).contributions
            return _beyond(solute, percent, Estimate(density.value, "g/mL", parts), temperature_degC)
        if needed:
            raise
    return SolutionState(percent, None, "")


def state_by_volume(
    solute: Solute, held: Estimate, stated: tuple[Estimate, str] | None, temperature_degC: float, *, needed: bool
) -> SolutionState:
    """Return the state of a solution of which it is known what a litre holds.

    Arguments:
        solute: what is dissolved.
        held: of it as weighed [g/L].
        stated: density measured on the solution [g/mL] and who says so; none to ask the tables.
        temperature_degC: of the solution [°C].
        needed: whether mass per cent and density must be found.

    Raises:
        Refusal: more than the pure substance, more than dissolves, or a density that is needed and neither stated
            nor held.
    """
    if stated is not None:
        percent = _quotient("% w/w", held, stated[0], 1 / G_PER_L_PER_PERCENT)
        check_dissolves(solute, percent.value, temperature_degC)
        check_room(solute, held.value, temperature_degC)
        return SolutionState(percent, *stated, far_from_table(solute, percent, stated[0], temperature_degC))
    check_room(solute, held.value, temperature_degC)
    try:
        percent = mass_percent_from_mass_concentration(solute, held, temperature_degC)
    except Refusal:
        beyond = _percent_beyond(solute, held, temperature_degC)
        if beyond is not None:
            return _beyond(solute, beyond, _quotient("g/mL", held, beyond, 1 / G_PER_L_PER_PERCENT), temperature_degC)
        if needed:
            raise
        return SolutionState(None, None, "")
    density = (solution_density(solute, percent, temperature_degC) if percent.value < HARDLY_ANY_PERCENT
               else _quotient("g/mL", held, percent, 1 / G_PER_L_PER_PERCENT))
    return SolutionState(percent, density, _told(solute, percent.value, temperature_degC))


def check_room(solute: Solute, mass_concentration_g_per_L: float, temperature_degC: float) -> None:
    """Refuse what no litre can hold: more than the pure substance, or more than dissolves.

    Where no density of the saturated solution is held, the bound is what dissolves in a whole litre of water.

    Arguments:
        solute: what is dissolved.
        mass_concentration_g_per_L: of the solute as weighed [g/L].
        temperature_degC: of the solution [°C].

    Raises:
        Refusal: the content is more than that.
    """
    try:
        pure = substance(solute.name).density
    except Refusal:
        pure = None
    if pure is not None and mass_concentration_g_per_L > PURE_MARGIN * (
        pure.density_g_per_mL + pure.half_width_g_per_mL) * WATER_G_PER_L:
        raise Refusal(f"{mass_concentration_g_per_L:.5g} g/L of {solute.name} is more than 100 % w/w: a litre of the "
                      f"pure substance weighs {pure.density_g_per_mL * WATER_G_PER_L:.4g} g", where="content",
                      remedy="check the content and its unit")
    check_sparing(solute, mass_concentration_g_per_L)
    least = 100 * mass_concentration_g_per_L / (WATER_G_PER_L + mass_concentration_g_per_L)
    check_dissolves(solute, least, temperature_degC)
    beyond = density_beyond(solute, temperature_degC)
    if beyond is not None and mass_concentration_g_per_L > beyond.greatest_g_per_L:
        check_dissolves(solute, beyond.mass_percent(mass_concentration_g_per_L), temperature_degC)


# --- beyond the table -------------------------------------------------------------------------------------------------


def _percent_beyond(solute: Solute, held: Estimate, temperature_degC: float) -> Estimate | None:
    """Return the mass per cent beyond the table; none where nothing reaches beyond it.

    du(w) by implicit differentiation of 10 w rho(w) = gamma.
    """
    beyond = density_beyond(solute, temperature_degC)
    if beyond is None:
        return None
    value = beyond.mass_percent(held.value)
    density = beyond.density(value)
    step = value * 1e-6
    steepness = G_PER_L_PER_PERCENT * (density.value + value * (beyond.density(value + step).value - density.value)
                                       / step)
    parts = combine("% w/w", ((1 / steepness, held), (-G_PER_L_PER_PERCENT * value / steepness, density)))
    return Estimate(value, "% w/w", parts.contributions)


def _beyond(solute: Solute, percent: Estimate, density: Estimate, temperature_degC: float) -> SolutionState:
    curve = density_curve(solute, temperature_degC)
    remark = Remark(
        "density-beyond-table", Severity.QUESTION,
        f"{percent.value:.4g} % w/w lies beyond the {curve.greatest_percent:.4g} % w/w up to which densities are held; "
        f"the density is extrapolated, its uncertainty grown to match", f"density of {solute.name}",
        "measure the density and give it with --density",
    )
    source = f"extrapolated beyond {curve.greatest_percent:.4g} % w/w at {temperature_degC:g} °C: {curve.source}"
    return SolutionState(percent, density, source, (remark,))


def far_from_table(
    solute: Solute, percent: Estimate, stated: Estimate, temperature_degC: float
) -> tuple[Remark, ...]:
    """Return a remark on a stated density that differs from the table by over 3 uncertainties and over 1 %.

    Arguments:
        solute: of the solution.
        percent: of the solute as weighed [% w/w].
        stated: the density [g/mL].
        temperature_degC: of the solution [°C].

    Returns: none where the table holds no density there
    """
    try:
        held = solution_density(solute, percent.value, temperature_degC)
    except Refusal:
        return ()
    apart = abs(stated.value - held.value)
    both = math.hypot(stated.standard_uncertainty, held.standard_uncertainty)
    if apart <= FAR_UNCERTAINTIES * both or apart <= FAR_RELATIVE * held.value:
        return ()
    return (Remark(
        "density-far-from-table", Severity.QUESTION,
        f"{stated.value:.5g} g/mL is stated, and the table has {held.value:.5g} g/mL at {percent.value:.4g} % w/w and "
        f"{temperature_degC:g} °C, {100 * apart / held.value:.2g} % away", f"density of {solute.name}",
        "check density, content and temperature, and whether something else is dissolved too",
    ),)


def _told(solute: Solute, percent: float, temperature_degC: float) -> str:
    curve = density_curve(solute, temperature_degC)
    return f"at {percent:.4g} % w/w and {temperature_degC:g} °C: {curve.source} ({curve.method})"


def _quotient(unit: str, above: Estimate, below: Estimate, factor: float) -> Estimate:
    """Return factor × above/below with the influences of both."""
    value = factor * above.value / below.value
    parts = combine(unit, ((factor / below.value, above), (-value / below.value, below))).contributions
    return Estimate(value, unit, parts)
