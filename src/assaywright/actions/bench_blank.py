"""At the bench: the blank, titrated and kept field by field like the portions, put into its worksheet's heading."""

from collections.abc import Mapping
from typing import Any

from assaywright.actions.assays import assay_amend, open_assay
from assaywright.actions.bench import kept_texts
from assaywright.actions.repeated import repeatable
from assaywright.assay.bench.taken import runs_of
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import rests_on
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Event
from assaywright.records.readings import BLANK, blank_of, blank_texts

TITRATED = "the blank was titrated"


@repeatable
def blank_finish(*, identity: str, by: str, act: str = "") -> Event:
    """Put the blank that is kept at the bench into the worksheet, in place of none or of the one before.

    Raises:
        Refusal: a reading is missing or cannot be, no such worksheet open, or ``by`` may not.
    """
    return _put(open_assay(identity), kept_texts(identity, BLANK), by, TITRATED, act)


@repeatable
def blank_correct(*, identity: str, name: str, text: str, reason: str, by: str, act: str = "") -> Event:
    """Correct one reading of the blank on record; what stood there stays in the history.

    Raises:
        Refusal: a reading is missing or cannot be, no reason, no such worksheet open, or ``by`` may not.
    """
    assay = open_assay(identity)
    return _put(assay, {**blank_texts(assay.content), name: text}, by, reason, act)


def _put(assay: Assay, texts: Mapping[str, str], by: str, reason: str, act: str) -> Event:
    blank = blank_of(method_of(assay.method), texts)
    _check(blank)
    return assay_amend(identity=assay.identity, heading={**assay.content, "blank": blank}, rests_on=rests_on(assay),
                       by=by, reason=reason, act=act)


def _check(blank: dict[str, Any]) -> None:
    """Refuse a blank without readings, half read, or read backwards."""
    if not blank["titrations"]:
        raise Refusal("the blank has no readings", where="blank", remedy="type its initial and its final reading")
    for number, one in enumerate(blank["titrations"], 1):
        delivered = runs_of(one)[0].delivered_mL
        if delivered is None:
            raise Refusal("a reading is missing, or is no volume", where=f"blank, titration {number}",
                          remedy="type both readings in mL")
        if delivered < 0:
            raise Refusal("the final reading is before the initial one", where=f"blank, titration {number}",
                          remedy="read again; exchange the two if they are crossed")
