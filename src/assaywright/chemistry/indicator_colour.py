"""The colour of the flask: how an indicator's two colours mix, for a drawing with words beside it.

The swatches are of our own choosing and the mixing is that of two dyes in one glass; no colour is measured here.
"""

from collections.abc import Sequence

import numpy as np

from assaywright.chemistry.curve import Curve
from assaywright.chemistry.equilibrium.arrays import Array
from assaywright.chemistry.indicator import VisualEndpoint
from assaywright.chemistry.indicator_scale import DROP_ML
from assaywright.reference.indicators import Indicator

LEAST_LIGHT = 0.004


def turned(indicator_scale: Array, bounds: tuple[float, float]) -> Array:
    """Return the share of an indicator that has turned to the form of the upper end.

    share = 1 / (1 + 10^(2 (middle - x) / width)): at either end of the interval one form is ten times the other.

    Arguments:
        indicator_scale: x, pH, pM or potential.
        bounds: of the interval, on the same scale.

    Returns: share [1].

    Source: the usual meaning of an indicator's interval, ten to one at its ends: common practice, no source.

    Example:
        >>> [round(float(share), 3) for share in turned(np.array([3.1, 3.75, 4.4]), (3.1, 4.4))]
        [0.091, 0.5, 0.909]
    """
    low, high = bounds
    exponent = np.clip(2.0 * ((low + high) / 2.0 - np.asarray(indicator_scale, dtype=float)) / (high - low), -300, 300)
    return np.asarray(1.0 / (1.0 + 10.0**exponent))


def colours_along(curve: Curve, end: VisualEndpoint, volume_mL: Array) -> tuple[str, ...]:
    """Return the colour of the flask at volumes of titrant, as sRGB.

    Where an amount must be seen, the colour comes or goes over one drop about the endpoint.

    Arguments:
        curve: one curve.
        end: an indicator's endpoint on it.
        volume_mL: of titrant [mL].
    """
    if end.interval is None:
        share = turned(volume_mL, (end.volume_mL - DROP_ML / 2, end.volume_mL + DROP_ML / 2))
        falls = end.colours[0] != end.indicator.low.words
        return flask_swatches(end.indicator, 1.0 - share if falls else share)
    finite = np.isfinite(curve.values)
    values = np.interp(volume_mL, curve.volume_mL[finite], curve.values[finite])
    return flask_swatches(end.indicator, turned(values, end.interval))


def flask_swatches(one: Indicator, shares: Array) -> tuple[str, ...]:
    """Return the colour of the flask for each share that has turned, as sRGB.

    Between two colours light passes both dyes, so each channel is their geometric mean in linear light: yellow and blue
    give green. The colour half way is the indicator's own, so that a pale one stays pale.

    Arguments:
        one: the indicator.
        shares: turned to the upper form [1].
    """
    low, between, high = (np.log(_light(colour.swatch)) for colour in (one.low, one.between, one.high))
    share = np.clip(np.asarray(shares, dtype=float), 0.0, 1.0)[:, np.newaxis]
    mixed = np.where(share < 0.5, low + 2 * share * (between - low), between + (2 * share - 1) * (high - between))
    return tuple(map(_hexadecimal, np.exp(mixed)))


def _light(swatch: str) -> Array:
    """Return the linear light of a swatch (IEC 61966-2-1), nowhere quite dark."""
    encoded = np.array([int(swatch[place : place + 2], 16) for place in (1, 3, 5)]) / 255.0
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    return np.asarray(np.maximum(linear, LEAST_LIGHT))


def _hexadecimal(linear: Sequence[float] | Array) -> str:
    channels = np.asarray(linear, dtype=float)
    encoded = np.where(channels <= 0.0031308, 12.92 * channels, 1.055 * channels ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(255 * float(min(max(one, 0.0), 1.0))):02X}" for one in encoded)
