"""Determinations that went on record before anybody had gone through the checks that come before the titrations."""

import json

from assaywright.metrology.remarks import Remark, Severity
from assaywright.records.models import Assay, Event

UNCHECKED = "checks-not-gone-through"
UNCHECKED_WORDS = "the checks before the titrations had not been gone through"


def is_checked(assay: str) -> bool:
    """Return whether somebody has gone through the checks of a worksheet."""
    return Event.objects.filter(subject=assay, kind="bench.checked").exists()


def unchecked_remark(assay: Assay) -> tuple[Remark, ...]:
    """Return the remark on determinations that were made at the bench without the checks; none where all had them."""
    found = [json.loads(one.payload) for one in
             Event.objects.filter(subject=assay.identity, kind="determination.recorded").order_by("number")]
    places = [str(one["place"]) for one in found if one.get("unchecked")]
    if not places:
        return ()
    which = f"determination {places[0]}" if len(places) == 1 else f"determinations {', '.join(places)}"
    return (Remark(UNCHECKED, Severity.QUESTION, f"{UNCHECKED_WORDS} when {which} went on record", assay.path,
                   "ask who titrated whether burette, solutions and instruments were looked at first"),)
