"""From full digits to the digits we print: in decimal, never in binary, and once.

A tie is decided by name. ``half up`` takes the larger magnitude (USP General Notices 7.20; rule B of ISO 80000-1).
``half even`` takes the even last digit (rule A of ISO 80000-1, Annex B; ASTM E29). The arithmetic is that of
exact fractions, so a tie is a tie and nothing else is.
"""

import math
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

from assaywright.metrology.refusal import Refusal


def decimal_of(number: Decimal | str | float) -> Decimal:
    """Return a number as the decimal a person would write for it.

    A float goes through its ``repr``, the shortest decimal that reads back as the same float: 2.675 is held in binary
    as 2.67499999999999982, and only the shortest form gives back the digits that were typed.

    Raises:
        Refusal: text that is not a number, or a number that is not finite.
    """
    try:
        decimal = Decimal(repr(float(number))) if isinstance(number, float) else Decimal(number)
    except (ArithmeticError, ValueError, TypeError) as problem:
        raise Refusal(f"'{number}' is not a number", remedy="give digits with a decimal point") from problem
    if not decimal.is_finite():
        raise Refusal(f"{number} cannot be rounded", remedy="give a finite number")
    return decimal


def decimal_of_result(number: Decimal | float) -> Decimal:
    """Return a computed number as a decimal of fifteen significant digits.

    Every decimal of up to fifteen digits survives the way through a float unchanged; the sixteenth and seventeenth
    digit of a computed float are what binary arithmetic left behind (0.1 + 0.2 gives 0.30000000000000004), and a tie
    must not fall by them. A decimal is returned as it is.

    Raises:
        Refusal: a number that is not finite.
    """
    return decimal_of(number if isinstance(number, Decimal) else format(number, ".15g"))


def round_half_up(number: Decimal | str, step: Decimal | str) -> Decimal:
    """Round to a multiple of the step; a tie goes to the larger magnitude.

    Arguments:
        number: [unit]
        step: rounding interval [unit], above zero; 0.1, 0.05 and 100 are all steps.

    Returns: the multiple of the step, with as many decimal places as the step is written with [unit]

    Raises:
        Refusal: a step that is not above zero, or a number that is not finite.

    Source: USP General Notices 7.20 (from memory); ISO 80000-1:2009, Annex B, rule B (from memory).

    Example:
    >>> str(round_half_up("97.95", "0.1"))
    '98.0'
    """
    return _multiple(number, step, _nearest_away_from_zero)


def round_half_even(number: Decimal | str, step: Decimal | str) -> Decimal:
    """Round to a multiple of the step; a tie goes to the even multiple.

    Arguments, returns, raises: as :func:`round_half_up`.

    Source: ISO 80000-1:2009, Annex B, rule A; ASTM E29 (both from memory).

    Example:
    >>> str(round_half_even("56.5", "1"))
    '56'
    """
    return _multiple(number, step, round)


ROUNDING_RULES: dict[str, Callable[[Decimal | str, Decimal | str], Decimal]] = {
    "half up": round_half_up,
    "half even": round_half_even,
}


def round_to_step(number: Decimal | str, step: Decimal | str, rounding: str = "half up") -> Decimal:
    """Round to a multiple of the step by the named rule, one of :data:`ROUNDING_RULES`.

    Raises:
        Refusal: an unknown rule, a step that is not above zero, or a number that is not finite.
    """
    if rounding not in ROUNDING_RULES:
        raise Refusal(f"the rounding '{rounding}' is not known", remedy=f"use one of {', '.join(ROUNDING_RULES)}")
    return ROUNDING_RULES[rounding](number, step)


def round_to_places(number: Decimal | str, places: int, rounding: str = "half up") -> Decimal:
    """Round to a number of decimal places; a negative number of places rounds to tens, hundreds and so on."""
    return round_to_step(number, _power_of_ten(-places), rounding)


def round_to_significant(number: Decimal | str, digits: int, rounding: str = "half up") -> Decimal:
    """Round to a number of significant digits, kept also where rounding carries into a new place (0.00995 to 0.010).

    Zero has no significant digit and is returned as it is.

    Raises:
        Refusal: fewer than one digit, an unknown rule, or a number that is not finite.
    """
    decimal = decimal_of(number)
    if digits < 1:
        raise Refusal(f"{digits} significant digits", remedy="give a whole number of one or more")
    if decimal == 0:
        return decimal
    place = decimal.adjusted() - digits + 1
    rounded = round_to_step(decimal, _power_of_ten(place), rounding)
    carried = rounded.adjusted() > decimal.adjusted()
    return round_to_step(rounded, _power_of_ten(place + 1), rounding) if carried else rounded


def plain(number: Decimal) -> str:
    """Return the decimal in plain notation with its trailing zeros, never with an exponent."""
    return format(number, "f")


def report(value: float, expanded_uncertainty: float, rounding: str = "half up") -> tuple[str, str]:
    """Return a result and its expanded uncertainty as they are printed.

    U to two significant digits, the value to the same decimal place.

    Arguments:
        value: [unit]
        expanded_uncertainty: U, above zero [unit]
        rounding: one of :data:`ROUNDING_RULES`.

    Returns: text of the value and text of U, both with their trailing zeros [unit]

    Raises:
        Refusal: an expanded uncertainty that is not above zero, or a number that is not finite.

    Source: JCGM 100:2008, 7.2.6.

    Example:
    >>> report(0.1021361597, 0.0002010014)
    ('0.10214', '0.00020')
    """
    if not (expanded_uncertainty > 0 and math.isfinite(expanded_uncertainty)):
        raise Refusal(
            f"an expanded uncertainty of {expanded_uncertainty} sets no decimal place",
            remedy="give an uncertainty above zero, or round the value to a step",
        )
    rounded = round_to_significant(decimal_of_result(expanded_uncertainty), 2, rounding)
    place = rounded.adjusted() - 1
    return plain(round_to_step(decimal_of_result(value), _power_of_ten(place), rounding)), plain(rounded)


def _power_of_ten(exponent: int) -> Decimal:
    return Decimal(f"1E{exponent}")


def _nearest_away_from_zero(quotient: Fraction) -> int:
    magnitude = math.floor(abs(quotient) + Fraction(1, 2))
    return magnitude if quotient >= 0 else -magnitude


def _multiple(number: Decimal | str, step: Decimal | str, nearest: Callable[[Fraction], int]) -> Decimal:
    exact, exact_step = decimal_of(number), decimal_of(step)
    if exact_step <= 0:
        raise Refusal(f"a rounding step of {step}", remedy="give a step above zero")
    multiple = nearest(Fraction(exact) / Fraction(exact_step))
    _, digits, exponent = exact_step.as_tuple()
    whole_step = int("".join(str(digit) for digit in digits))
    return Decimal(f"{multiple * whole_step}E{exponent}")
