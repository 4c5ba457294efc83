"""The one root finder of the equilibria: Newton's method, kept inside a bracket, on whole arrays."""

from collections.abc import Callable

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array

Balance = Callable[[Array], tuple[Array, Array, Array]]

GREATEST_ROUNDS = 200


def falling_root(balance: Balance, low: Array, high: Array, start: Array, tolerance: float) -> Array:
    """Return where a falling function passes through zero, for every element of an array.

    Each round takes Newton's step, or halves the bracket where that step would leave it or would not be half the step
    before. A balance that falls from above zero at ``low`` to below zero at ``high`` therefore cannot escape.

    Arguments:
        balance: function of x that gives its value, its slope, and the noise of rounding below which the value means
            nothing; elements are independent of one another.
        low, high: the bracket.
        start: where to begin, within the bracket.
        tolerance: the step at which an element counts as found.

    Source: the safeguard is that of Dekker's and Brent's family of methods: Press et al., Numerical Recipes, 9.4.
    """
    low, high, x = (np.atleast_1d(np.array(one, dtype=float)) for one in (low, high, start))
    last_step = high - low
    sought = np.ones(x.shape, dtype=bool)
    for _round in range(GREATEST_ROUNDS):
        value, slope, noise = balance(x)
        above = value > 0
        np.copyto(low, x, where=above & sought)
        np.copyto(high, x, where=~above & sought)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            step = -value / slope
        shrinking = np.abs(step) <= 0.5 * np.abs(last_step)
        newton = ((x + step > low) & (x + step < high) & shrinking) | (np.abs(step) <= tolerance)
        step = np.where(newton, step, 0.5 * (low + high) - x)
        step[~sought | (np.abs(value) <= noise)] = 0.0
        x += step
        last_step = np.where(sought, step, last_step)
        sought &= np.abs(step) > tolerance
        if not sought.any():
            break
    return x.reshape(np.shape(start))
