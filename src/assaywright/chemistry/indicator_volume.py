"""The volume at which a curve reaches a value, read between its points: quick enough to ask for every indicator."""

import numpy as np

from assaywright.chemistry.curve import Curve
from assaywright.chemistry.equilibrium.arrays import Array
from assaywright.metrology.refusal import Refusal


def volumes_at(curve: Curve, values: Array) -> Array:
    """Return the volumes at which the followed quantity has given values.

    Between two points the volume is taken as the cubic in the quantity that has the curve's own slopes at both.

    Arguments:
        curve: one curve, on its own scale of volumes.
        values: pH, pM, pX [1] or potential [V].

    Returns: volumes; NaN where the curve does not reach the value [mL].

    Valid: to about 1e-5 mL on the scale that a curve chooses itself; see
        :func:`assaywright.chemistry.curve.volume_at` for the equilibria solved anew.

    Raises:
        Refusal: a batch of curves.

    Source: cubic Hermite interpolation, Press et al., Numerical Recipes, 3.3.
    """
    if curve.values.ndim > 1:
        raise Refusal("a batch of curves", where="indicators", remedy="ask one curve at a time")
    sign = 1.0 if is_rising(curve) else -1.0
    x, y = sign * curve.values, curve.volume_mL
    ahead = np.isfinite(x) & np.isfinite(curve.first_derivative)
    x, y, slope = x[ahead], y[ahead], sign * curve.first_derivative[ahead]
    ahead = np.concatenate(([True], x[1:] > np.maximum.accumulate(x)[:-1])) & (slope > 0)
    x, y, slope = x[ahead], y[ahead], slope[ahead]
    wanted = sign * np.asarray(values, dtype=float)
    if x.size < 2:
        return np.full(wanted.shape, np.nan)
    place = np.clip(np.searchsorted(x, wanted) - 1, 0, x.size - 2)
    width, rise = x[place + 1] - x[place], y[place + 1] - y[place]
    share = (wanted - x[place]) / width
    # Slopes that would carry the cubic past its ends are held: the volume only grows (Fritsch and Carlson 1980).
    left, right = (np.minimum(width / slope[at], 3.0 * rise) for at in (place, place + 1))
    found = y[place] + share * (rise + (1 - share) * ((1 - share) * (left - rise) - share * (right - rise)))
    return np.where((wanted >= x[0]) & (wanted <= x[-1]), found, np.nan)


def is_rising(curve: Curve) -> bool:
    """Whether the followed quantity rises along the burette."""
    finite = curve.values[np.isfinite(curve.values)]
    return bool(finite.size and finite[-1] > finite[0])
