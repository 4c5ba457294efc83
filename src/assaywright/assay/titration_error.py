"""Titration error: what lies between the endpoint seen and the equivalence point meant."""

import math

from assaywright.assay.method import Endpoint
from assaywright.assay.observations import Worksheet
from assaywright.assay.terms import InputList
from assaywright.assay.troubles import remark
from assaywright.metrology.estimate import influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.remarks import Remark


def endpoint_input(
    worksheet: Worksheet,
    endpoint: Endpoint,
    inputs: InputList,
    remarks: list[Remark],
    *,
    by_mass: bool,
    symbol: str = "δV_e",
) -> str:
    """Add the input for the titration error by the method's treatment.

    "applied": its value is subtracted. "in the uncertainty": nothing is subtracted and value and uncertainty together
    make up the standard uncertainty. "negligible": no input. It bears the key of the method's influence, so that the
    same endpoint in a standardisation and in an assay partly cancels. With an indicator blank it is never applied.

    Returns: the input's name, or an empty text.
    """
    stated = worksheet.titration_error if worksheet.titration_error and symbol == "δV_e" else endpoint.titration_error
    if stated is None or endpoint.treatment == "negligible":
        return ""
    value, uncertainty = amount(stated)
    applied = endpoint.treatment == "applied"
    if applied and value and worksheet.blank is not None and worksheet.blank.kind == "indicator blank":
        remarks.append(
            remark(
                "blank-and-titration-error",
                "an indicator blank is subtracted, so the titration error is not",
                f"{worksheet.path}: blank",
                "use one of the two",
            )
        )
        applied = False
    if not applied:
        value, uncertainty = 0.0, math.hypot(value, uncertainty)
    distribution = stated.uncertainty.distribution if stated.uncertainty else "normal"
    key = influence_key("endpoint", endpoint.influence or endpoint.indicator, "method", "titration error")
    estimate = influence(
        key,
        value,
        uncertainty,
        "g" if by_mass else "mL",
        distribution=distribution,
        label=f"endpoint: {endpoint.influence or endpoint.indicator}",
    )
    # By mass, a millilitre of a dilute aqueous titrant counts as a gram: the error is known to no better than that.
    return inputs.add(symbol, "titration error", estimate, text=stated.text if value else "", source=endpoint.reason)


def amount(stated: Quantity) -> tuple[float, float]:
    """Return a titration error's value and standard uncertainty [mL]."""
    return stated.to("mL"), stated.uncertainty_in("mL")
