"""What a signature about a lot is bound to: the lot file, the edition of its specification, and what was decided."""

import hashlib
from typing import Any

from assaywright.assay.evaluate_lot import CharacteristicOutcome, LotOutcome, evaluate_lot
from assaywright.assay.wording import written_decimal, written_limits, written_number
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import lot_bytes, lot_file, open_by_path
from assaywright.records.models import Lot
from assaywright.records.specified import edition_of


def content_signed(lot: Lot, outcome: LotOutcome | None = None) -> dict[str, Any]:
    """Return what a lot's signed event tells of what lay before whoever signed it.

    Arguments:
        outcome: of the lot; evaluated as far as it is known where it is not given.

    Returns:
        lot_file_sha256 [hexadecimal], of the lot file that a certificate names too; product_edition; decided: of each
        characteristic its name, figures as printed, limits and decision.
    """
    return {"lot_file_sha256": hashlib.sha256(lot_bytes(lot)).hexdigest(), "product_edition": edition_of(lot).edition,
            "decided": _decided(lot, outcome)}


def _decided(lot: Lot, outcome: LotOutcome | None) -> list[dict[str, str]]:
    try:
        found = outcome or evaluate_lot(lot_file(lot, whole=False), open_by_path)
    except Refusal as refusal:
        return [{"name": "", "found": "", "limits": "", "decision": f"cannot be evaluated: {refusal.what}"}]
    return [{"name": one.name, "found": printed(one), "limits": written_limits(one.characteristic.specification),
             "decision": one.decision.decision if one.decision else "reported only"} for one in found.characteristics]


def printed(item: CharacteristicOutcome) -> str:
    """Return what was found of a characteristic, in one line, as a certificate prints it."""
    entered, result = item.characteristic, item.result
    if result is not None:
        value, uncertainty = written_number(result.value_text), written_number(result.uncertainty_text)
        return f"{value} ± {uncertainty} {result.estimate.unit}"
    if entered.value is not None:
        bound = "less than " if entered.less_than else ""
        return f"{bound}{written_decimal(entered.value.value)} {entered.value.unit}"
    return str(entered.text)
