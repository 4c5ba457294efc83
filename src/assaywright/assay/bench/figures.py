"""Figures as they stand in a field while somebody types: a number with or without its unit, or not a number yet."""

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from math import log10
from typing import Any

from assaywright.assay.wording import written_decimal
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_number, read_quantity
from assaywright.metrology.units import exact_conversion

DATE = "date"  # records keep a date as {"date": "2026-10-05"}, since JSON has none
_FAHRENHEIT = re.compile(r"\s*(?P<figure>[0-9.]+)\s*(?:°\s*)?F\s*", re.IGNORECASE)


def figure(text: object, unit: str, decimal_mark: str = ".") -> Quantity | None:
    """Return the quantity in a field, or None while it is empty, half typed, or of another kind.

    Arguments:
        text: as it stands there; a figure without a unit has that of its field.
        unit: of the field.
        decimal_mark: of texts that a worksheet holds; a point is read besides.

    Example:
        >>> figure("24.50", "mL").value
        Decimal('24.50')
        >>> figure("24.", "mL") is None
        True
    """
    if not isinstance(text, str) or not text.strip():
        return None
    for mark in dict.fromkeys((".", decimal_mark)):
        try:
            return Quantity(read_number(text, decimal_mark=mark), unit, text)
        except Refusal:
            pass
        try:
            return read_quantity(text, unit, decimal_mark=mark)
        except Refusal:
            continue
    return None


def exactly(quantity: Quantity | None, unit: str) -> Decimal | None:
    """Return a quantity's number in a unit, with its decimals where a power of ten lies between the two; None for none.

    Example:
        >>> exactly(Quantity(Decimal("0.03990"), "L", "0.03990 L"), "mL")
        Decimal('39.90')
    """
    if quantity is None:
        return None
    if quantity.unit == unit:
        return quantity.value
    factor, offset = exact_conversion(quantity.unit, unit)
    power = round(log10(factor)) if factor > 0 else 0
    if factor == Fraction(10) ** power and not offset:
        return Decimal(f"{quantity.value.scaleb(power):f}")
    return Decimal(repr(quantity.to(unit)))


def in_other_words(text: object, unit: str, decimal_mark: str = ".") -> str:
    """Return what a figure that was typed with another unit is in its field's; empty where it was not.

    Arguments:
        text, unit, decimal_mark: as for :func:`figure`.

    Example:
        >>> in_other_words("0.03990 L", "mL")
        '0.03990 L is 39.90 mL'
    """
    found = figure(text, unit, decimal_mark)
    number = exactly(found, unit)
    if found is None or number is None or found.unit == unit:
        return ""
    return f"{str(text).strip()} is {written_decimal(number)} {unit}"


def in_unit(text: object, unit: str, decimal_mark: str = ".") -> Decimal | None:
    """Return the number in a field, in the field's unit; None while there is none.

    Arguments:
        text, unit, decimal_mark: as for :func:`figure`.
    """
    return exactly(figure(text, unit, decimal_mark), unit)


def places(number: Decimal) -> int:
    """Return how many decimals a number was typed with.

    Example:
        >>> places(Decimal("24.50"))
        2
    """
    exponent = number.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def fahrenheit(text: object) -> Decimal | None:
    """Return the figure of a temperature that was typed with the sign of the Fahrenheit scale [°F]; None for others."""
    found = _FAHRENHEIT.fullmatch(text) if isinstance(text, str) else None
    try:
        return read_number(found["figure"]) if found else None
    except Refusal:
        return None


def with_plain_dates(table: Any) -> Any:
    """Return a worksheet's table with every date as its text, whether it came from a file or from the records."""
    if isinstance(table, Mapping):
        if set(table) == {DATE}:
            return table[DATE]
        return {key: with_plain_dates(value) for key, value in table.items()}
    if isinstance(table, list | tuple):
        return [with_plain_dates(one) for one in table]
    return table
