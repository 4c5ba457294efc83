"""How numbers stand in tables on the terminal."""

import math

from assaywright.assay.wording import written_figures, written_number
from assaywright.metrology.rounding import decimal_of_result, plain, round_to_places


def fixed(number: float, places: int) -> str:
    """Return a number with a fixed number of decimal places and a true minus sign."""
    return written_number(plain(round_to_places(decimal_of_result(number), places)))


def signed(number: float, places: int) -> str:
    """Return a number with its sign, plus too; zero has none."""
    text = fixed(number, places)
    return text if text.startswith("−") or not any(digit in text for digit in "123456789") else f"+{text}"


def figures(number: float | None, digits: int = 3) -> str:
    """Return a number to a few significant digits; nothing for none."""
    return "" if number is None else written_figures(number, digits)


def degrees_of_freedom(number: float) -> str:
    """Return degrees of freedom; infinite ones by their sign."""
    if math.isinf(number):
        return "∞"
    return fixed(number, 0 if number == round(number) or number >= 100 else 1)


def per_cent(share: float) -> str:
    """Return a share of one in per cent, small ones as below a tenth."""
    return "< 0.1 %" if 0 < share < 0.001 else f"{fixed(100 * share, 1)} %"
