"""Titration error: what lies between the endpoint seen and the equivalence point meant."""

import math

from assaywright.assay.method import Endpoint
from assaywright.assay.observations import Worksheet
from assaywright.assay.terms import InputList
from assaywright.assay.troubles import remark
from assaywright.metrology.estimate import influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.remarks import Remark
from assaywright.metrology.units import with_article

SAME_STRENGTH = 0.1  # within the 10 % that a titrant may lie from its nominal concentration (Ph. Eur. 4.2.2)


def endpoint_input(
    worksheet: Worksheet,
    endpoint: Endpoint,
    inputs: InputList,
    remarks: list[Remark],
    *,
    by_mass: bool,
    strength_mol_per_L: float | None = None,
    symbol: str = "δV_e",
) -> str:
    """Add the input for the titration error by the method's treatment.

    "applied": its value is subtracted. "in the uncertainty": nothing is subtracted and value and uncertainty together
    make up the standard uncertainty. "negligible": no input. It bears the key of the method's influence, so that the
    same endpoint in a standardisation and in an assay partly cancels. With an indicator blank it is never applied.
    The method's own error is that of one strength of titrant; a weaker one takes more to bring about the same change of
    colour, in proportion. An error left in the uncertainty does not become smaller with a stronger titrant, since the
    drop and the eye stay what they are.

    Arguments:
        strength_mol_per_L: of the solution in the burette [mol/L or mol/kg]; None where it is not known.

    Returns: the input's name, or an empty text.
    """
    stated = worksheet.titration_error if worksheet.titration_error and symbol == "δV_e" else endpoint.titration_error
    if stated is None or endpoint.treatment == "negligible":
        return ""
    applied = endpoint.treatment == "applied"
    share = 1.0
    if stated is endpoint.titration_error:
        share = share_at(endpoint, strength_mol_per_L, applied=applied)
    value, uncertainty = (share * part for part in amount(stated))
    if applied and value and worksheet.blank is not None and worksheet.blank.kind == "indicator blank":
        remarks.append(_applied_twice(worksheet))
        applied = False
    if not applied:
        value, uncertainty = 0.0, math.hypot(value, uncertainty)
    distribution = stated.uncertainty.distribution if stated.uncertainty else "normal"
    key = influence_key("endpoint", endpoint.influence or endpoint.indicator, "method", "titration error")
    label = f"endpoint: {endpoint.influence or endpoint.indicator}"
    estimate = influence(key, value, uncertainty, "g" if by_mass else "mL", distribution=distribution, label=label)
    # By mass, a millilitre of a dilute aqueous titrant counts as a gram: the error is known to no better than that.
    return inputs.add(symbol, "titration error", estimate, text=stated.text if value and share == 1.0 else "",
                      source=endpoint.reason)


def _applied_twice(worksheet: Worksheet, blank: str = "indicator blank") -> Remark:
    named = blank if "blank" in blank else f"blank ({blank})"
    return remark(
        "blank-and-titration-error",
        f"{with_article(named)} is subtracted, so the titration error is not",
        f"{worksheet.path}: blank",
        "use one of the two",
    )


def curve_applies(worksheet: Worksheet, remarks: list[Remark]) -> bool:
    """Whether the error by the method's curve is subtracted: not where a blank takes the same volume.

    A blank of whatever kind is titrated to the same colour, and what turns that is in it already.
    """
    if worksheet.blank is None:
        return True
    remarks.append(_applied_twice(worksheet, worksheet.blank.kind))
    return False


def share_at(endpoint: Endpoint, strength_mol_per_L: float | None, *, applied: bool) -> float:
    """Return how many times the stated titration error a titrant of another strength makes.

    Arguments:
        endpoint: with its titration error, and the strength it is stated at.
        strength_mol_per_L: of the solution in the burette [mol/L or mol/kg]; None where it is not known.
        applied: whether the error is subtracted; else it does not become smaller with a stronger titrant.
    """
    if endpoint.at is None or not strength_mol_per_L or strength_mol_per_L <= 0:
        return 1.0
    share = endpoint.at.to("mol/L") / strength_mol_per_L
    if abs(share - 1.0) < SAME_STRENGTH:
        return 1.0
    return share if applied else max(1.0, share)


def amount(stated: Quantity) -> tuple[float, float]:
    """Return a titration error's value and standard uncertainty [mL]."""
    return stated.to("mL"), stated.uncertainty_in("mL")
