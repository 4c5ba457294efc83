"""Digits exchanged in writing down: every figure that a reading becomes when two neighbours change places."""

from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise


def exchanged(number: Decimal) -> Iterator[Decimal]:
    """Yield the numbers that two neighbouring digits exchanged lead to; neighbours across the decimal point too.

    Nobody writes 01.00, so none of them begins with such a nought.

    Arguments:
        number: as typed, zero or above.

    Example:
        >>> [str(one) for one in exchanged(Decimal("25.43"))]
        ['52.43', '24.53', '25.34']
    """
    sign, digits, exponent = number.as_tuple()
    if not isinstance(exponent, int) or exponent > 0:
        return
    digits = (0,) * (1 - exponent - len(digits)) + digits  # 0.05 has a nought before its point to be exchanged
    for place, (one, other) in enumerate(pairwise(digits)):
        if one != other and (place or other or len(digits) == 1 - exponent):
            yield Decimal((sign, (*digits[:place], other, one, *digits[place + 2:]), exponent))
