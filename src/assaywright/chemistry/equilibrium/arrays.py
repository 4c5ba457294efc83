"""Numbers and arrays of numbers, as they enter the equilibria."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from assaywright.metrology.refusal import Refusal

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Number = float | Array

GREATEST_MOL_PER_L = 60.0


def concentration(value: Number, of: str) -> Array:
    """Return a concentration as an array [mol/L].

    Raises:
        Refusal: negative, above 60 mol/L (water itself has 55), or not a number.
    """
    array = np.asarray(value, dtype=float)
    if not np.all((array >= 0) & (array <= GREATEST_MOL_PER_L)):
        raise Refusal(f"a concentration of {of} that is negative, above {GREATEST_MOL_PER_L:g} mol/L or not a number",
                      where="solution", remedy="give it in mol/L")
    return array


def volume(value: Number, of: str) -> Array:
    """Return a volume as an array [mL].

    Raises:
        Refusal: negative, infinite or not a number.
    """
    array = np.asarray(value, dtype=float)
    if not np.all((array >= 0) & np.isfinite(array)):
        raise Refusal(f"a volume of {of} that is negative or not a number", where="volume", remedy="give it in mL")
    return array


def common_shape(arrays: Iterable[Array], what: str) -> tuple[int, ...]:
    """Return the shape to which all arrays spread.

    Raises:
        Refusal: they do not fit one another.
    """
    shapes = [array.shape for array in arrays]
    try:
        return np.broadcast_shapes(*shapes)
    except ValueError:
        raise Refusal(f"arrays of shapes {shapes} that do not fit one another", where=what,
                      remedy="give batches as (curves, 1) and points as (points,)") from None
