"""How much indicator goes into the flask, and what titrant it uses up itself."""

import math

from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.indicator_scale import DROP_ML, Flask
from assaywright.reference.indicators import Indicator, Preparation


def amount_per_unit_umol(one: Indicator, preparation: Preparation, drop_mL: float = DROP_ML) -> float | None:
    """Return how much indicator one drop, millilitre or milligram of its preparation holds.

    n = V beta / M of a solution, m w / M of a solid mixture

    Arguments:
        one: the indicator.
        preparation: of it.
        drop_mL: volume of a drop [mL].

    Returns: amount [µmol]; None where formula or strength is not known.

    Example:
        >>> from assaywright.reference.indicators import indicator, preparations
        >>> orange = indicator("methyl orange")
        >>> round(amount_per_unit_umol(orange, preparations("methyl orange")[0]), 1)
        3.1
    """
    if not one.formula:
        return None
    M = molar_mass(one.formula).value
    if preparation.dose_unit == "mg":
        return None if preparation.mass_fraction is None else preparation.mass_fraction / M * 1000
    if preparation.strength_g_per_L is None:
        return None
    volume_mL = drop_mL if preparation.dose_unit == "drop" else 1.0
    return volume_mL * preparation.strength_g_per_L / M * 1000


def dose_umol(one: Indicator, drop_mL: float = DROP_ML) -> float | None:
    """Return how much indicator the middle of its usual dose holds [µmol]; None where that is not known.

    Arguments:
        one: the indicator.
        drop_mL: volume of a drop [mL].
    """
    preparation = one.preparation
    if preparation is None:
        return None
    each = amount_per_unit_umol(one, preparation, drop_mL)
    return None if each is None else each * (preparation.dose_low + preparation.dose_high) / 2


def titrant_per_unit_uL(one: Indicator, flask: Flask) -> float | None:
    """Return the titrant that one drop, millilitre or milligram of a preparation can use up at most [µL]."""
    if one.preparation is None:
        return None
    each = amount_per_unit_umol(one, one.preparation, flask.drop_mL)
    return None if each is None else each * one.equivalents / flask.titrant_mol_per_L


def consumption_mL(one: Indicator, flask: Flask, endpoint: float, *, rising: bool) -> float | None:
    """Return the volume of titrant that the indicator itself uses up, or spares, on its way to the endpoint.

    dV = z n [share(endpoint) - share(bottle)] / c, with the sign turned where the followed quantity falls: methyl
    orange is a base and takes up acid; phenolphthalein comes as an acid and takes up base; a metal indicator keeps
    metal back.

    Arguments:
        one: the indicator, in its usual dose.
        flask: its titrant.
        endpoint: the indicator's share in its upper form at the endpoint [1].
        rising: whether the followed quantity rises along the burette.

    Returns: volume [mL]; None where the amount of indicator is not known.
    """
    amount = dose_umol(one, flask.drop_mL)
    if amount is None or one.preparation is None or one.preparation.upper_share is None:
        return None
    share = endpoint - one.preparation.upper_share
    return one.equivalents * amount * (share if rising else -share) / flask.titrant_mol_per_L / 1000


def share_in_upper_form(one: Indicator, value: float, middle: float, width: float) -> float:
    """Return the share of the indicator in its upper form by its own constant.

    share = 1 / (1 + 10^((K - x) / s)), with K the pKa, transition point or formal potential, and s = 1 for a p-value

    Arguments:
        one: the indicator.
        value: x, pH, pM or potential.
        middle: K where no constant is held.
        width: of the interval, which gives s for a potential: ten to one at its ends.
    """
    constants = one.interval.constants if one.interval is not None and one.scale != "pM" else ()
    K = constants[0] if len(constants) == 1 else middle
    slope = width / 2 if one.scale == "potential" else 1.0
    exponent = (K - value) / slope
    return 0.0 if exponent > 300 else 1.0 / (1.0 + math.pow(10.0, max(exponent, -300)))
