"""What a method file says of an endpoint whose titration error follows from the curve of each titration itself."""

from dataclasses import dataclass

from assaywright.assay.method_table import MethodTable
from assaywright.metrology.quantity import Quantity

BESIDE_CARBON_DIOXIDE = "acid beside carbon dioxide"
AT_HYDROGEN_CARBONATE = "match at hydrogen carbonate"
LAWS = (BESIDE_CARBON_DIOXIDE, AT_HYDROGEN_CARBONATE)
HIGHEST_PH = 14


@dataclass(frozen=True, slots=True)
class EndpointCurve:
    """The ``curve`` of an endpoint: by which law it misses, and what that law needs besides the readings.

    Fields:
        law: one of :data:`LAWS`. Beside carbon dioxide the acid that turns the colour is subtracted; at hydrogen
            carbonate the colour is matched, so that nothing is subtracted, and what the match leaves is uncertain.
        pH: at the colour that is taken for the end; of a match, how far the flask may lie from the one beside it.
        kept: share of the carbon dioxide set free that is still dissolved at the end [1]; one where it is not stated.
        carbonate_up_to: moles of carbonate for each mole of hydroxide beyond which another method is better; None
            where the method sets no limit.
        instead: that other method.
        source: who says so.
    """

    law: str
    pH: Quantity
    kept: Quantity | None
    carbonate_up_to: Quantity | None
    instead: str
    source: str


def read_curve(given: MethodTable) -> EndpointCurve:
    """Return the ``curve`` table of an endpoint.

    Raises:
        Refusal: a key unknown or missing, or a value that cannot be.
    """
    with given as table:
        law = table.choice("law", LAWS)
        limit = _number(table, "carbonate_up_to", 100) if table.has("carbonate_up_to") else None
        pH = _number(table, "pH", HIGHEST_PH)
        if pH.uncertainty is None:
            raise table.refusal("pH", "has no uncertainty", 'state it, as pH = "4.0 ± 0.5, rectangular"')
        return EndpointCurve(
            law, pH, _number(table, "kept", 1) if table.has("kept") else None, limit,
            table.text("instead") if limit is not None else "", table.text("source"))


def _number(table: MethodTable, key: str, highest: int) -> Quantity:
    value = table.quantity(key)
    if value.unit != "1" or not 0 <= value.value <= highest:
        raise table.refusal(key, f"is {value.text}", f"give a number from 0 to {highest}, in quotes")
    return value
