"""Whether the result of one worksheet lies within the limits that it is to meet, whatever else is known of its lot."""

from typing import Any

from assaywright.assay.evaluate_lot import evaluate_lot
from assaywright.assay.observations import Lot as LotFile
from assaywright.assay.worksheet import FORMAT, read_bytes
from assaywright.metrology.conformity import CONFORMS
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import FOUND, evaluate_titrant_lot, open_by_path
from assaywright.records.models import Assay, Lot, Product
from assaywright.records.toml_text import toml_text


def outside_its_limits(assay: Assay) -> str:
    """Return what a worksheet's result is by its limits, when that is anything but conforming; else an empty text.

    While nothing can be computed of it, as before its readings are complete, it lies outside nothing.
    """
    try:
        decisions = _decisions(assay)
    except Refusal:
        return ""
    return next((one for one in decisions if one != CONFORMS), "")


def _decisions(assay: Assay) -> list[str]:
    if assay.kind == "standardisation":
        outcome = evaluate_titrant_lot(assay)
        return [one.decision.decision for one in outcome.characteristics if one.decision] if outcome else []
    lot = Lot.objects.filter(pk=assay.about).first()
    product = Product.objects.filter(pk=lot.product).first() if lot else None
    if lot is None or product is None:
        return []
    found = []
    for one in product.content["characteristics"]:
        if one.get("method") == assay.method:
            outcome = evaluate_lot(_alone(lot, one, assay), open_by_path)
            found += [item.decision.decision for item in outcome.characteristics if item.decision]
    return found


def _alone(lot: Lot, specified: dict[str, Any], assay: Assay) -> LotFile:
    """Return a lot with one characteristic, found by one worksheet."""
    kept = {key: value for key, value in specified.items() if key not in {"method", "unit", *FOUND}}
    measurand = {"measurand": specified["measurand"]} if specified.get("measurand") else {}
    table = {"format": FORMAT, "kind": "lot", "id": lot.identity, "product": lot.product,
             "maker": lot.content.get("maker") or "not stated",
             "characteristic": [{**kept, "worksheet": assay.path, **measurand}]}
    found = read_bytes(toml_text(table).encode(), f"lot {lot.identity}")
    if not isinstance(found, LotFile):
        raise TypeError(lot.identity)
    return found
