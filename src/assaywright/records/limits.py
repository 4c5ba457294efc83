"""Whether a worksheet's result lies within the limits that it is to meet, whatever else is known of its lot.

Asked are the result as it is now, and everything that it ever was on record: with the determinations that were left out
since, with the readings and the heading as they were before each correction, and as it was sent to review. A result
outside its limits is on record once it was found; nothing done to its worksheet afterwards takes it away.
"""

import json
from collections.abc import Iterator
from typing import Any

from assaywright.assay.evaluate_lot import evaluate_lot
from assaywright.assay.observations import Lot as LotFile
from assaywright.assay.worksheet import FORMAT, parse_worksheet, read_bytes
from assaywright.metrology.conformity import CONFORMS, DOES_NOT_CONFORM, NOT_PROVEN
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import FOUND, ByPath, evaluate_assay, open_by_path, worksheet_bytes
from assaywright.records.investigated import entries_of
from assaywright.records.models import Assay, Determination, Event, Investigation, Lot, Result
from assaywright.records.models.assays import VOID
from assaywright.records.projections.assays import imported_by_place
from assaywright.records.projections.lots import CONCLUDED
from assaywright.records.specified import specified_of
from assaywright.records.toml_text import toml_text

OUTSIDE = (DOES_NOT_CONFORM, NOT_PROVEN)
CORRECTED = ("assay.amended", "determination.corrected", "determination.excluded", "determination.readmitted")
TOO_FEW = "too-few-replicates"
LEFT_OUT = ("excluded", "excluded_by")


def outside_its_limits(assay: Assay) -> str:
    """Return what a worksheet's result is by its limits, when that is anything but conforming; else an empty text.

    While nothing can be computed of it, as before its readings are complete, it lies outside nothing.
    """
    return _outside(assay, worksheet_bytes(assay))


def ever_outside(assay: Assay) -> str:
    """Return what a worksheet's result is or ever was by its limits, when that was anything but conforming."""
    now = outside_its_limits(assay) or outside_with_every_determination(assay)
    if now or not (Determination.objects.filter(assay=assay.identity).exists()
                   or Result.objects.filter(assay=assay.identity).exists()):
        return now
    return next(filter(None, (*_stored(assay), *(_outside(assay, one) for one in _before_corrections(assay)))), "")


def outside_with_every_determination(assay: Assay) -> str:
    """Return what a worksheet's result is by its limits with none of its determinations left out."""
    rows = Determination.objects.filter(assay=assay.identity).order_by("place")
    if not any(one.excluded or one.content.get("excluded") for one in rows):
        return ""
    return _outside(assay, _written(assay.content, [one.content for one in rows]))


def uninvestigated(lot: Lot) -> list[str]:
    """Return the worksheets of a lot whose result outside its limits is out of sight, while nobody has investigated it.

    It is where a worksheet is void, and where too few determinations are left in it since others were excluded.
    """
    if Investigation.objects.filter(lot=lot.identity, stage=CONCLUDED).exists():
        return []
    assays = Assay.objects.filter(about=lot.identity, kind="assay").order_by("identity")
    return [one.identity for one in assays if _out_of_sight(one) in OUTSIDE]


def _out_of_sight(assay: Assay) -> str:
    if assay.stage == VOID:
        return ever_outside(assay)
    return outside_with_every_determination(assay) if _too_few_left(assay) else ""


def _too_few_left(assay: Assay) -> bool:
    if not Determination.objects.filter(assay=assay.identity).exclude(excluded="").exists():
        return False
    try:
        return any(one.kind == TOO_FEW for one in evaluate_assay(assay).remarks)
    except Refusal:
        return True


def lot_ever_outside(lot: Lot) -> list[str]:
    """Return the numbers of the worksheets, void ones too, and the names of the entries outside their limits ever."""
    assays = Assay.objects.filter(about=lot.identity, kind="assay").order_by("identity")
    found = [one.identity for one in assays if ever_outside(one) in OUTSIDE]
    specified = {str(one["name"]): one for one in specified_of(lot)}
    found += [one.name for one in entries_of(lot.identity) if one.name in specified
              and set(_of_entry(lot, specified[one.name], one.content)) & set(OUTSIDE)]
    return list(dict.fromkeys(found))


# --- what was on record -----------------------------------------------------------------------------------------------


def _before_corrections(assay: Assay) -> Iterator[bytes]:
    """Yield the worksheet as it was before each correction, with none of its determinations left out."""
    heading: dict[str, Any] = {}
    readings: dict[int, dict[str, Any]] = {}
    kinds = ("assay.begun", "assay.imported", "determination.recorded", *CORRECTED)
    for event in Event.objects.filter(subject=assay.identity, kind__in=kinds).order_by("number"):
        payload = json.loads(event.payload)
        if event.kind in CORRECTED and readings:
            yield _written(heading, [one for _, one in sorted(readings.items())])
        heading = payload.get("heading", heading)
        if "fields" in payload:
            readings[payload["place"]] = payload["fields"]
        readings.update(imported_by_place(payload))


def _written(heading: dict[str, Any], readings: list[dict[str, Any]]) -> bytes:
    kept = [{key: value for key, value in one.items() if key not in LEFT_OUT} for one in readings]
    return toml_text({"format": FORMAT, **heading, "determination": kept}).encode()


def _stored(assay: Assay) -> Iterator[str]:
    """Yield what each result that was sent to review is by the limits, of the first that is outside."""
    lot = Lot.objects.filter(pk=assay.about).first() if assay.kind == "assay" else None
    if lot is None:
        return
    for result in Result.objects.filter(assay=assay.identity).order_by("id"):
        k = float(result.expanded_uncertainty) / float(result.standard_uncertainty)
        value = (f"{float(result.value):.12g} {result.unit} ± {float(result.expanded_uncertainty):.12g} {result.unit}, "
                 f"k = {k:.6g}")
        for one in _assayed(lot, assay):
            if one.get("measurand", result.measurand) == result.measurand:
                yield from (said for said in _of_entry(lot, one, {"value": value, "source": assay.identity})
                            if said != CONFORMS)


# --- deciding ---------------------------------------------------------------------------------------------------------


def _outside(assay: Assay, data: bytes) -> str:
    try:
        decisions = _decisions(assay, data)
    except Refusal:
        return ""
    return next((one for one in decisions if one != CONFORMS), "")


def _decisions(assay: Assay, data: bytes) -> list[str]:
    opener = ByPath({assay.path: data})
    if assay.kind == "standardisation":
        described = parse_worksheet(data, assay.path).lot
        return _said(described, opener) if described else []
    lot = Lot.objects.filter(pk=assay.about).first()
    if lot is None:
        return []
    return [said for one in _assayed(lot, assay) for said in _said(
        _alone(lot, one, {"worksheet": assay.path, **_measurand(one)}), opener)]


def _said(lot: LotFile, opener: Any) -> list[str]:
    return [one.decision.decision for one in evaluate_lot(lot, opener).characteristics if one.decision]


def _of_entry(lot: Lot, specified: dict[str, Any], entry: dict[str, Any]) -> list[str]:
    found = {key: value for key, value in entry.items() if key in FOUND}
    try:
        return _said(_alone(lot, specified, found), open_by_path)
    except Refusal:
        return []


def _assayed(lot: Lot, assay: Assay) -> list[dict[str, Any]]:
    return [one for one in specified_of(lot) if one.get("method") == assay.method]


def _measurand(specified: dict[str, Any]) -> dict[str, Any]:
    return {"measurand": specified["measurand"]} if specified.get("measurand") else {}


def _alone(lot: Lot, specified: dict[str, Any], found: dict[str, Any]) -> LotFile:
    """Return a lot with one characteristic, and what was found of it."""
    kept = {key: value for key, value in specified.items() if key not in {"method", "unit", *FOUND}}
    table = {"format": FORMAT, "kind": "lot", "id": lot.identity, "product": lot.product,
             "maker": lot.content.get("maker") or "not stated", "characteristic": [{**kept, **found}]}
    file = read_bytes(toml_text(table).encode(), f"lot {lot.identity}")
    if not isinstance(file, LotFile):
        raise TypeError(lot.identity)
    return file
