"""What a conversion found in figures and sentences: the same words on the terminal and on a page."""

import math

from assaywright.assay.conversion import Conversion
from assaywright.assay.wording import written_figures, written_number
from assaywright.chemistry.content_units import AS_AMOUNT, is_by_volume
from assaywright.chemistry.density_curve import density_curve
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.rounding import report

DIGITS_WITHOUT_UNCERTAINTY = 6
FEWEST_SHARE = 0.0005


def figures_of(estimate: Estimate) -> tuple[str, str, float]:
    """Return value and expanded uncertainty as printed, and the coverage factor; no uncertainty where there is none."""
    freedom = estimate.degrees_of_freedom
    k = coverage_factor(freedom)
    expanded = k * estimate.standard_uncertainty
    if expanded <= 1e-9 * abs(estimate.value):
        figures = written_figures(estimate.value, DIGITS_WITHOUT_UNCERTAINTY)
        return figures.rstrip("0").rstrip(".") if "." in figures and "×" not in figures else figures, "", k
    value, uncertainty = report(estimate.value, expanded)
    return written_number(value), uncertainty, k


def stated(estimate: Estimate) -> str:
    """Return value, unit, expanded uncertainty and coverage factor."""
    value, uncertainty, k = figures_of(estimate)
    unit = "" if estimate.unit == "1" else f" {estimate.unit}"
    if not uncertainty:
        return f"{value}{unit} (taken as exact: no uncertainty was stated)"
    return f"{value}{unit} ± {uncertainty}{unit} (k = {written_figures(k, 3)}, about 95 %)"


def given_line(found: Conversion) -> str:
    """Return what was given: content, substance, species and temperature."""
    content = found.content
    given = f", expressed as {content.expressed.formula.text}" if content.expressed else ""
    at = f" at {content.temperature_degC:g} °C" if is_by_volume(content.unit) else ""
    return f"{content.text} of {content.solute.name} ({content.solute.formula.text}){given}{at}"


def expressed_as(found: Conversion) -> str:
    """Return the species that the result is expressed as, with a word before it; empty for the substance itself."""
    expressed = found.wanted.expressed
    return f" as {expressed.formula.text}" if expressed else ""


def result_line(found: Conversion, estimate: Estimate) -> str:
    """Return the result in the unit asked for."""
    at = f" at {found.wanted.temperature_degC:g} °C" if is_by_volume(found.wanted.unit) else ""
    return f"{stated(estimate)}{of_solution(found.wanted.unit)}{expressed_as(found)}{at}"


def of_solution(unit: str) -> str:
    """Return, for an amount by mass, that the mass is the solution's: per mass of solvent it would be the molality.

    Example:
        >>> of_solution("mol/kg"), of_solution("g/kg")
        (', per kilogram of solution', '')
    """
    return ", per kilogram of solution" if unit in AS_AMOUNT and not is_by_volume(unit) else ""


def solution_lines(found: Conversion) -> list[str]:
    """Return density and mass per cent of the solution, with what is to be known about them."""
    basis = found.basis
    if basis.density is None:
        return []
    told = [f"density {stated(basis.density)}, {basis.density_source}"]
    if basis.mass_percent is not None:
        told.append(f"content by mass {stated(basis.mass_percent)}")
    if found.known.density is None:
        told.append(f"About that density: {_note(found)}.")
    return told


def _note(found: Conversion) -> str:
    degrees = found.content.temperature_degC
    if not is_by_volume(found.content.unit):
        degrees = found.wanted.temperature_degC
    curve = density_curve(found.content.solute, degrees)
    return f"{curve.note or curve.method}; {curve.status}"


def equivalents_line(found: Conversion) -> str:
    """Return how many equivalents a mole has in the reaction named; empty where none is."""
    counting = found.known.counting
    if counting is None:
        return ""
    number = written_figures(float(counting.number), 6)
    return f"1 mol has {number} equivalents, counting {counting.counted} in {counting.reaction}"


def factor_line(found: Conversion) -> str:
    """Return the factor against a nominal content; empty where none was given."""
    if found.factor is None or found.nominal is None:
        return ""
    return f"f = {stated(found.factor)}, actual over nominal {found.nominal.text.strip()}"


def each_mL_line(found: Conversion) -> str:
    """Return what each millilitre answers for; empty where no substance to titrate was named."""
    if found.equivalent is None or found.analyte is None:
        return ""
    each = found.equivalent.estimate.scaled(1.0, "mg")
    return f"each mL is equivalent to {stated(each)} of {found.analyte.name} ({found.analyte.formula.text})"


def elsewhere_line(found: Conversion) -> str:
    """Return what another temperature does to a content by volume."""
    other = found.elsewhere
    here = found.content.temperature_degC
    if other.ratio is None:
        return f"A content by volume changes with temperature; by how much is not held: {other.source}"
    change = 100 * (other.ratio.value - 1)
    sign = "more" if change > 0 else "less"
    return (f"At {other.temperature_degC:g} °C in place of {here:g} °C every content by volume is "
            f"{written_figures(abs(change), 2)} % {sign} (ratio {stated(other.ratio)}); contents by mass stay. "
            f"[{other.source}]")


def uncertain_rows(estimate: Estimate) -> list[tuple[str, str, str]]:
    """Return what makes the result uncertain, the greatest first: influence, size [unit of the result] and share."""
    total = estimate.variance
    parts = sorted(estimate.contributions, key=lambda part: -abs(part.amount))
    return [(part.label or part.key, written_figures(abs(part.amount), 2), f"{100 * part.amount**2 / total:.1f} %")
            for part in parts if total and part.amount**2 > FEWEST_SHARE * total]


def figures_record(estimate: Estimate) -> dict[str, float | str | None]:
    """Return an estimate for programs: every figure, and those as printed."""
    value, uncertainty, k = figures_of(estimate)
    freedom = estimate.degrees_of_freedom
    return {"value": estimate.value, "unit": estimate.unit, "standard_uncertainty": estimate.standard_uncertainty,
            "expanded_uncertainty": k * estimate.standard_uncertainty, "coverage_factor": k,
            "degrees_of_freedom": freedom if math.isfinite(freedom) else None, "value_text": value,
            "uncertainty_text": uncertainty or None}
