"""A lot is judged by the edition of its specification that was in force when it was entered.

That conformity is stated by a specification and a decision rule agreed beforehand: ISO/IEC 17025:2017, 7.1.3 and
7.8.6.2 (from memory). That limits are not changed in answer to a result, nor by one person alone: common practice, no
source.
"""

import json

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act, events, issued, reviewed_all, revised

pytestmark = pytest.mark.usefixtures("laboratory")
OUTSIDE = "0943"  # its first result lies outside the limits of edition 1
WHY = "agreed with the customer last week"


def lot(number):
    from assaywright.records.models import Lot

    return Lot.objects.get(pk=number)


def limits(number):
    from assaywright.records.selectors.lots import lot_shown

    return lot_shown(lot(number)).characteristics[0].limits


def respecify(number, by="jonas", reason=WHY):
    return act("respecification.lot_respecify", identity=number, by=by, reason=reason)


def test_a_revision_leaves_the_lots_that_are_there_as_they_are_and_holds_for_those_entered_after():
    before = limits("0941")
    assert "29.5 to" in before
    revised()
    assert limits("0941") == before
    act("lots.lot_make", identity="0950", by="ines", table={"product": "acetic acid 30 % w/w"})
    assert "29.6 %" in limits("0950")
    event = respecify("0941")
    assert "29.6 to" in limits("0941")
    assert json.loads(event.payload) == {"before": 1, "edition": 2}


def test_limits_relaxed_after_a_result_outside_them_release_nothing():
    from assaywright.records.bridge import evaluate_lot_record
    from assaywright.records.specified import specified_of

    number = next(one["lower"] for one in specified_of(lot(OUTSIDE)) if one.get("lower"))
    revised(lower="0.01 mol/L", name=lot(OUTSIDE).product)
    reviewed_all("WS-26-0871", "WS-26-0874", "WS-26-0878", "WS-26-0909")
    assert next(one["lower"] for one in specified_of(lot(OUTSIDE)) if one.get("lower")) == number
    assert not evaluate_lot_record(lot(OUTSIDE)).releasable
    with pytest.raises(Refusal, match="limits are not changed in answer to a result"):
        respecify(OUTSIDE)
    act("lots.lot_hold", identity=OUTSIDE, by="ines", reason="the result lies outside")
    with pytest.raises(Refusal, match="on hold"):
        respecify(OUTSIDE)


def test_who_revised_the_product_or_titrated_does_not_apply_the_edition():
    with pytest.raises(Refusal, match="edition 1 already"):
        respecify("0941")
    revised()
    with pytest.raises(Refusal, match="Maren Tolliver has revised the product"):
        respecify("0941", by="maren")
    act("assays.determination_exclude", identity="WS-26-0903", place=2, by="maren", reason="the flask was knocked over")
    act("people.person_add", identity="petra", name="Petra Lind", roles=["reviewer"], by="maren")
    act("assays.determination_readmit", identity="WS-26-0903", place=2, by="ines",
        reason="it was another flask")
    assert respecify("0941", by="petra").kind == "lot.respecified"


def test_a_released_lot_stays_with_the_edition_of_its_release():
    from assaywright.records.files import read
    from assaywright.records.models import Certificate
    from assaywright.reports.attached import attached_document

    issued()
    release = next(one for one in events("0941") if one.kind == "lot.released")
    said = json.loads(release.payload)
    assert said["product_edition"] == 1
    note = attached_document(read(Certificate.objects.get(lot="0941").pdf_sha256))["note"]
    assert note.startswith("Specification of the product: edition 1. Head of the records")
    before = limits("0941")
    revised()
    assert limits("0941") == before
    with pytest.raises(Refusal, match="released already"):
        respecify("0941")
    act("lots.lot_amend", identity="0941", by="maren", reason="the storage was mistyped",
        fields={"storage": "dark, cool"})
    event = act("certificates.certificate_amend", number="TH-26-0941-1", changed="the storage", by="maren")
    assert json.loads(event.payload)["product_edition"] == 1


def test_an_older_lot_is_judged_by_the_edition_at_its_events():
    """Of lots entered before the event told the edition: made under edition 1, revised, and released since."""
    from assaywright.records.specified import edition_of

    assert "edition" not in lot("0941").content
    revised()
    assert edition_of(lot("0941")).edition == 1
