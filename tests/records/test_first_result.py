"""A result outside its limits stays in sight, whatever is done to its worksheet; a signature is bound to its content.

That amendments keep the original: ISO/IEC 17025:2017, 7.5.2. That a first result outside its limits is investigated
before anything is set aside, and a retest authorised by somebody who has not titrated: common practice, no source.
"""

import hashlib
import json

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import CHECKS, act, events, held, issued, reviewed_all

pytestmark = pytest.mark.usefixtures("laboratory")
LOT, SHEET = "0943", "WS-26-0909"  # the first result lies outside the limits


def places():
    from assaywright.records.models import Determination

    return list(Determination.objects.filter(assay=SHEET).order_by("place"))


def lot(number=LOT):
    from assaywright.records.models import Lot

    return Lot.objects.get(pk=number)


def void():
    return act("reopening.assay_void", identity=SHEET, by="jonas", reason="the wrong drum was sampled")


def left_out(keep=0):
    for row in places()[keep:]:
        act("assays.determination_exclude", identity=SHEET, place=row.place, by="ines", reason="spilt at the bench")


def test_a_result_outside_its_limits_is_not_voided_once_every_determination_is_left_out():
    left_out()
    with pytest.raises(Refusal, match="put the lot on hold and investigate"):
        void()


def test_nor_once_its_readings_are_corrected_into_the_limits():
    from assaywright.records.limits import ever_outside, outside_its_limits
    from assaywright.records.models import Assay

    for row in places():
        fields = row.content
        initial, final = (float(fields[key].removesuffix(" mL")) for key in ("initial", "final"))
        for tenths in range(-60, 61):
            tried = {**fields, "final": f"{final + tenths / 10:.2f} mL"}
            if final + tenths / 10 > initial and within(row.place, tried):
                break
        act("assays.determination_correct", identity=SHEET, place=row.place, by="ines", fields=tried,
            reason="misread at the bench")
    sheet = Assay.objects.get(pk=SHEET)
    assert outside_its_limits(sheet) == "", "the corrected readings lie within"
    assert ever_outside(sheet)
    with pytest.raises(Refusal, match="put the lot on hold and investigate"):
        void()


def within(place, fields):
    """Whether one determination alone lies in the middle of the limits."""
    from assaywright.metrology.typed import read_quantity
    from assaywright.records.bridge import evaluate_with
    from assaywright.records.models import Assay
    from assaywright.records.specified import specified_of

    sheet = Assay.objects.get(pk=SHEET)
    one = next(one for one in specified_of(lot()) if one.get("method") == sheet.method)
    lower, upper = (read_quantity(one[key]).value for key in ("lower", "upper"))
    values = evaluate_with(sheet, fields, place).determinations
    value = values[place - 1].value
    return abs(value - float(lower + upper) / 2) < float(upper - lower) / 4


def test_leaving_out_so_many_that_too_few_remain_holds_the_release_until_it_is_investigated():
    from assaywright.records.limits import uninvestigated

    assert uninvestigated(lot()) == []
    left_out(keep=1)
    assert uninvestigated(lot()) == [SHEET]
    reviewed_all("WS-26-0871", "WS-26-0874", "WS-26-0878", SHEET)
    with pytest.raises(Refusal, match=f"{SHEET} had a result outside the limits before determinations were left out"):
        act("lots.lot_release", identity=LOT, by="maren")
    held()
    act("investigations.investigation_conclude", identity=LOT, by="jonas", checks=CHECKS, conclusion="it stands",
        verdict="no laboratory error: the first result stands")
    assert uninvestigated(lot()) == []


def test_who_has_left_a_determination_out_authorises_no_retest_of_it():
    act("people.person_change_roles", identity="ines", roles=["analyst", "reviewer"], by="maren",
        reason="trained for it")
    left_out(keep=2)
    held()
    with pytest.raises(Refusal, match="Ines Okafor has worked on"):
        act("investigations.retest_authorise", identity=LOT, by="ines", checks=CHECKS, plan="three determinations")
    event = act("investigations.retest_authorise", identity=LOT, by="jonas", checks=CHECKS, plan="three determinations")
    assert json.loads(event.payload)["lot_file_sha256"]


def test_a_release_is_bound_to_the_lot_file_that_the_certificate_names_and_to_what_was_decided():
    from assaywright.records.bridge import lot_bytes
    from assaywright.records.files import read
    from assaywright.records.models import Certificate
    from assaywright.reports.attached import attached_document

    issued()
    said = json.loads(next(one for one in events("0941") if one.kind == "lot.released").payload)
    assert said["lot_file_sha256"] == hashlib.sha256(lot_bytes(lot("0941"))).hexdigest()
    document = attached_document(read(Certificate.objects.get(lot="0941").pdf_sha256))
    assert document["lot_sha256"] == said["lot_file_sha256"]
    first = said["decided"][0]
    assert (first["name"], first["decision"]) == ("acetic acid", "conforms")
    assert first["found"] == "{value} ± {uncertainty} {unit}".format(**document["characteristics"][0])


def test_a_conclusion_is_bound_to_what_was_decided():
    held()
    event = act("investigations.investigation_conclude", identity=LOT, by="jonas", checks=CHECKS,
                conclusion="it stands as it is", verdict="no laboratory error: the first result stands")
    said = json.loads(event.payload)
    assert "does not conform" in [one["decision"] for one in said["decided"]]
    assert said["product_edition"] == 1
