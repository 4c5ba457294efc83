"""How dates, limits, coverage and probabilities are put into words on documents: the same words everywhere."""

import math
import re
from datetime import date, datetime
from decimal import Decimal

from scipy.special import stdtr

from assaywright.assay.observations import Specification
from assaywright.assay.result import Result
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.rounding import decimal_of_result, plain, report, round_to_places, round_to_significant

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")
ISO_DATE = re.compile(r"(?<![\w-])\d{4}-\d{2}-\d{2}(?![\w-])", re.ASCII)
SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def written_date(day: date | datetime | None) -> str:
    """Return a date with its month as a word, which no country reads the other way round; empty for none.

    Example:
    >>> written_date(date(2026, 10, 12))
    '12 October 2026'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}" if day else ""


def dates_in_words(text: str) -> str:
    """Return what somebody typed with its dates of the form year-month-day written as all other dates of a document.

    Example:
    >>> dates_in_words("densitometer D-2, 2026-10-05, T. Rehn")
    'densitometer D-2, 5 October 2026, T. Rehn'
    """
    return ISO_DATE.sub(_in_words, text)


def _in_words(found: re.Match[str]) -> str:
    try:
        return written_date(date.fromisoformat(found[0]))
    except ValueError:
        return found[0]


def written_number(text: str) -> str:
    """Return a number's text with a true minus sign."""
    return text.replace("-", "−")


def written_decimal(number: Decimal) -> str:
    """Return a decimal as typed, in plain notation with its trailing zeros and a true minus sign."""
    return written_number(plain(number))


def written_figures(number: float, digits: int = 4) -> str:
    """Return a computed number to a few significant digits, in plain notation where that is readable.

    Example:
    >>> written_figures(0.0123456, 3)
    '0.0123'
    """
    if not math.isfinite(number):
        return "∞" if number > 0 else "−∞"
    if number == 0:
        return "0"
    rounded = round_to_significant(decimal_of_result(number), digits)
    exponent = rounded.adjusted()
    if -6 < exponent < 9:
        return written_number(plain(rounded))
    return f"{written_number(plain(rounded.scaleb(-exponent)))} × 10{str(exponent).translate(SUPERSCRIPTS)}"


def written_estimate(estimate: Estimate) -> str:
    """Return a value with its standard uncertainty to two significant digits, the value to the same decimal place.

    Example:
    >>> from assaywright.metrology.estimate import influence
    >>> written_estimate(influence("all", 0.50183802, 0.000219, "mol/L"))
    '0.50184 mol/L, u = 0.00022 mol/L'
    """
    unit = "" if estimate.unit == "1" else f" {estimate.unit}"
    if not estimate.standard_uncertainty > 0:
        return f"{written_figures(estimate.value, 6)}{unit}"
    value, uncertainty = report(estimate.value, estimate.standard_uncertainty)
    return f"{written_number(value)}{unit}, u = {uncertainty}{unit}"


def written_probability(probability: float) -> str:
    """Return a probability in per cent, never rounded to a certainty that it is not.

    Example:
    >>> written_probability(0.99999), written_probability(0.9713)
    ('> 99.99 %', '97.13 %')
    """
    if probability > 0.9999:
        return "> 99.99 %"
    if probability < 0.0001:
        return "< 0.01 %"
    return f"{plain(round_to_places(decimal_of_result(100 * probability), 2).normalize())} %"


def written_degrees_of_freedom(degrees_of_freedom: float) -> str:
    """Return effective degrees of freedom for print; beyond a thousand they no longer move the coverage factor."""
    if math.isinf(degrees_of_freedom):
        return "ν = ∞"
    if degrees_of_freedom > 1000:
        return "ν > 1000"
    return f"ν = {plain(round_to_places(decimal_of_result(degrees_of_freedom), 1).normalize())}"


def written_limits(specification: Specification) -> str:
    """Return the limits as typed, or the requirement in words; empty for a characteristic that is only reported."""
    lower, upper, unit = specification.lower, specification.upper, specification.unit
    if lower and upper:
        return f"{written_decimal(lower.value)} to {written_decimal(upper.value)} {unit or lower.unit}"
    if lower:
        return f"not less than {written_decimal(lower.value)} {unit or lower.unit}"
    if upper:
        return f"not more than {written_decimal(upper.value)} {unit or upper.unit}"
    return specification.text


def student_coverage(coverage_factor: float, degrees_of_freedom: float) -> float:
    """Return the probability that Student's t with these degrees of freedom lies within plus or minus k.

    Source: JCGM 100:2008, G.3.2.

    Example:
    >>> round(student_coverage(2.0, 20), 3)
    0.941
    """
    return float(2 * stdtr(degrees_of_freedom, coverage_factor) - 1)


def written_coverage(result: Result, *, entered: bool = False) -> str:
    """Return coverage factor, coverage probability and degrees of freedom of an expanded uncertainty in one phrase.

    Arguments:
        result: whose uncertainty is meant.
        entered: whether it was taken over from its source, which alone answers for its coverage.
    """
    factor = plain(round_to_places(decimal_of_result(result.coverage_factor), 2).normalize())
    degrees_of_freedom = result.estimate.degrees_of_freedom
    if entered:
        return f"k = {factor} as entered from its source, with the digits that it states"
    if result.coverage_probability is not None:
        return (f"k = {factor} for {written_probability(result.coverage_probability)} coverage, "
                f"{written_degrees_of_freedom(degrees_of_freedom)}")
    covered = student_coverage(result.coverage_factor, degrees_of_freedom)
    rounded = plain(round_to_places(decimal_of_result(100 * covered), 1).normalize())
    return (f"k = {factor} as agreed, {written_degrees_of_freedom(degrees_of_freedom)}, "
            f"by Student’s t {rounded} % coverage")


def written_factor(result: Result) -> tuple[str, str]:
    """Return a titrant's factor and its expanded uncertainty as printed; empty where there is no nominal value.

    f = c / c_nom
    """
    if result.factor is None or not result.nominal or not result.expanded_uncertainty:
        return "", ""
    return report(result.factor, result.expanded_uncertainty / result.nominal)


def refers_to_volume(unit: str) -> bool:
    """Return whether a content in a unit is per volume, so that it holds at one temperature."""
    return unit.endswith(("L", "/v", "m³"))
