"""The density of solutions from cited tables, and back: the mass per cent from a density or a concentration.

Between rows the cubic through the four nearest stands, with water as the first row. Temperature enters through tables
measured at several temperatures and through nothing else.
"""

from assaywright.chemistry.density_curve import DensityCurve, curves_of_one_source, density_curve
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.solute import Solute, check_dissolves, find_solute
from assaywright.metrology.estimate import Contribution, Estimate, combine, exact
from assaywright.metrology.refusal import Refusal

REFERENCE_DEGC = 20.0
PIECES_PER_ROW = 8
CLOSE_PERCENT = 1e-12
G_PER_L_PER_PERCENT = 10.0  # a solution of density 1 g/mL and 1 % w/w holds 10 g/L


def solution_density(
    substance: str | Solute, mass_percent: float | Estimate, temperature_degC: float = REFERENCE_DEGC
) -> Estimate:
    """Return the density of a solution.

    Arguments:
        substance: name or formula; a hydrate counts with its water.
        mass_percent: of the substance as weighed; as an estimate its uncertainty is carried on [g in 100 g].
        temperature_degC: of the solution [°C].

    Returns: density [g/mL] with the rounding of the rows, the trueness of the table and the interpolation between rows
        under permanent keys

    Valid: within the table held; more than dissolves is refused.

    Raises:
        Refusal: no densities are held, or the content lies outside the table or cannot be.

    Source: the table or law, as ``density_curve(...).source`` says.

    Example: the print at 20 %

    >>> round(solution_density("sodium hydroxide", 20.0).value, 4)
    1.2192
    """
    solute = _solute(substance)
    content = mass_percent if isinstance(mass_percent, Estimate) else exact(mass_percent, "% w/w")
    check_dissolves(solute, content.value, temperature_degC)
    point = density_curve(solute, temperature_degC).point(content.value)
    return _with_value(point.estimate.value, "g/mL", (1.0, point.estimate), (point.slope, content))


def density_ratio(
    substance: str | Solute, mass_percent: float, from_degC: float, to_degC: float
) -> Estimate:
    """Return by how much the density of a solution changes with temperature: rho(to)/rho(from).

    A content by volume changes in the same ratio. Both densities come from one source, so its trueness cancels.

    Arguments:
        substance: name or formula; a hydrate counts with its water.
        mass_percent: of the substance as weighed [g in 100 g].
        from_degC, to_degC: the temperatures [°C].

    Returns: ratio [1]

    Raises:
        Refusal: no source measured at both temperatures.

    Example:
        >>> round(density_ratio("NaOH", 3.85, 20.0, 25.0).value, 4)
        0.9984
    """
    first, second = (curve.point(mass_percent).estimate
                     for curve in curves_of_one_source(_solute(substance), from_degC, to_degC))
    ratio = second.value / first.value
    return _with_value(ratio, "1", (1 / first.value, second), (-ratio / first.value, first))


def mass_percent_from_density(
    substance: str | Solute, density: Estimate, temperature_degC: float = REFERENCE_DEGC
) -> Estimate:
    """Return the mass per cent of a solution whose density was measured.

    rho(w) = rho, solved for w.

    Arguments:
        substance: name or formula; a hydrate counts with its water.
        density: measured [g/mL].
        temperature_degC: of the solution [°C].

    Returns: mass per cent of the substance as weighed [% w/w]

    Raises:
        Refusal: no content in the table has that density, or two have: the density of acetic acid has a maximum near
            78 %, that of sulfuric acid near 98 %.

    Example: the print at 20 %

    >>> round(mass_percent_from_density("NaOH", exact(1.2192, "g/mL")).value, 1)
    20.0
    """
    solute = _solute(substance)
    curve = density_curve(solute, temperature_degC)
    found = _where(curve, density.value)
    if len(found) != 1:
        raise _not_one(curve, density.value, found)
    point = curve.point(found[0])
    if abs(point.slope) * 100 < density.standard_uncertainty:
        raise Refusal(f"the density of {solute.name} near {found[0]:.4g} % w/w hardly depends on the content",
                      where="density", remedy="find the content by titration")
    return _with_value(found[0], "% w/w", (1 / point.slope, density), (-1 / point.slope, point.estimate))


def mass_percent_from_mass_concentration(
    substance: str | Solute, mass_concentration: Estimate, temperature_degC: float = REFERENCE_DEGC
) -> Estimate:
    """Return the mass per cent of a solution from what a litre of it holds.

    10 w rho(w) = gamma, solved for w; du by implicit differentiation.

    Arguments:
        substance: name or formula; a hydrate counts with its water.
        mass_concentration: gamma, of the substance as weighed [g/L].
        temperature_degC: at which the volume is measured [°C].

    Returns: mass per cent of the substance as weighed [% w/w]

    Raises:
        Refusal: no solution in the table holds so much, or more than dissolves.

    Example: 20 % w/v of caustic soda

    >>> round(mass_percent_from_mass_concentration("NaOH", exact(200.0, "g/L")).value, 1)
    16.9
    """
    solute = _solute(substance)
    curve = density_curve(solute, temperature_degC)
    percent = _percent_of(curve, mass_concentration.value)
    check_dissolves(solute, percent, temperature_degC)
    point = curve.point(percent)
    steepness = G_PER_L_PER_PERCENT * (point.estimate.value + percent * point.slope)
    return _with_value(percent, "% w/w", (1 / steepness, mass_concentration),
                       (-G_PER_L_PER_PERCENT * percent / steepness, point.estimate))


def mass_percent_from_molarity(
    substance: str | Solute, concentration: Estimate, temperature_degC: float = REFERENCE_DEGC
) -> Estimate:
    """Return the mass per cent of a solution from its amount concentration.

    10 w rho(w) = c M, solved for w.

    Arguments:
        substance: name or formula.
        concentration: c [mol/L].
        temperature_degC: at which the volume is measured [°C].

    Returns: mass per cent of the substance as weighed [% w/w]

    Raises:
        Refusal: as :func:`mass_percent_from_mass_concentration`.

    Example:
        >>> round(mass_percent_from_molarity("HCl", exact(6.0222, "mol/L")).value, 1)
        20.0
    """
    solute = _solute(substance)
    return mass_percent_from_mass_concentration(solute, mass_concentration(solute, concentration), temperature_degC)


def mass_concentration(solute: Solute, concentration: Estimate) -> Estimate:
    """Return gamma = c M [g/L] of the substance as weighed, from its amount concentration [mol/L]."""
    mass = molar_mass(solute.formula)
    value = concentration.value * mass.value
    return _with_value(value, "g/L", (mass.value, concentration), (concentration.value, mass))


def _solute(substance: str | Solute) -> Solute:
    return substance if isinstance(substance, Solute) else find_solute(substance)


def _with_value(value: float, unit: str, *terms: tuple[float, Estimate]) -> Estimate:
    """Return a value found otherwise with the contributions that its linear expansion gives."""
    parts: tuple[Contribution, ...] = combine(unit, terms).contributions
    return Estimate(value, unit, parts)


def _not_one(curve: DensityCurve, density_g_per_mL: float, found: list[float]) -> Refusal:
    """Return the refusal of a density that no solution or more than one has."""
    name = curve.solute.name
    if found:
        contents = " and at ".join(f"{w:.4g} % w/w" for w in found)
        return Refusal(f"{density_g_per_mL:.6g} g/mL is the density of {name} at {contents}", where="density",
                       remedy="find the content by titration")
    held = sorted(curve.point(w).estimate.value for w in _grid(curve))
    return Refusal(f"no {name} up to {curve.greatest_percent:.4g} % w/w has {density_g_per_mL:.6g} g/mL at "
                   f"{curve.temperature_degC:g} °C", where="density",
                   remedy=f"check density and temperature: those held run from {held[0]:.4f} to {held[-1]:.4f} g/mL")


# --- solving ----------------------------------------------------------------------------------------------------------


def _grid(curve: DensityCurve) -> list[float]:
    """Return mass per cents close enough together that the density turns at most once between two of them."""
    count = PIECES_PER_ROW * max([len(one.rows) for one in curve.tables] or [PIECES_PER_ROW])
    return [curve.greatest_percent * k / count for k in range(count + 1)]


def _where(curve: DensityCurve, density_g_per_mL: float) -> list[float]:
    """Return every mass per cent at which the curve has a density."""
    grid = _grid(curve)
    heights = [curve.point(w).estimate.value - density_g_per_mL for w in grid]
    found = [w for w, height in zip(grid, heights, strict=True) if height == 0]
    for k in range(len(grid) - 1):
        if heights[k] * heights[k + 1] < 0:
            low, high = (grid[k], grid[k + 1]) if heights[k] < 0 else (grid[k + 1], grid[k])
            found.append(_halved(curve, low, high, density_g_per_mL, by_volume=False))
    return sorted(found)


def _percent_of(curve: DensityCurve, mass_concentration_g_per_L: float) -> float:
    """Return the mass per cent whose solution holds so much in a litre; that rises with the mass per cent."""
    top = curve.greatest_percent
    most = G_PER_L_PER_PERCENT * top * curve.point(top).estimate.value
    if not 0 <= mass_concentration_g_per_L <= most * (1 + 1e-12):
        raise Refusal(
            f"{mass_concentration_g_per_L:.5g} g/L of {curve.solute.name} lies outside the 0 to {most:.5g} g/L "
            f"({top:.4g} % w/w) of which densities at {curve.temperature_degC:g} °C are held", where="density",
            remedy="check the content and its unit, or give the density measured on the solution")
    if mass_concentration_g_per_L == 0:
        return 0.0
    return _halved(curve, 0.0, top, mass_concentration_g_per_L / G_PER_L_PER_PERCENT, by_volume=True)


def _halved(curve: DensityCurve, low: float, high: float, wanted: float, *, by_volume: bool) -> float:
    """Return the mass per cent between one whose value is too low and one whose value is too high, by halving."""
    while abs(high - low) > CLOSE_PERCENT:
        middle = (low + high) / 2
        if middle in (low, high):
            break
        density = curve.point(middle).estimate.value
        if (middle * density if by_volume else density) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2
