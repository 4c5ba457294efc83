"""A titrant that a control titration found off: what rests on it waits until it is standardised anew.

Intermediate checks, and judging what was measured before: ISO/IEC 17025:2017, 6.4.9 and 6.4.10; the rest: common
practice, no source.
"""

import json
from datetime import date

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act, reviewed_all, sha256

pytestmark = pytest.mark.usefixtures("laboratory")
KIND = "titrant-to-be-restandardised"
TITRANT, STANDARDISATION, ASSAY, LOT = "T-0917", "WS-26-0874", "WS-26-0903", "0941"


def verify(found, limit="0.2", identity=TITRANT):
    return act("solutions.solution_verify", identity=identity, found=found, limit_percent=limit, by="ines")


def titrant():
    from assaywright.records.models import Assay

    table = Assay.objects.get(pk=ASSAY).content["titrant"]
    return table["lot"], table["nominal"]


def kinds(lot=LOT):
    from assaywright.records.bridge import evaluate_lot_record
    from assaywright.records.models import Lot

    return [one.kind for one in evaluate_lot_record(Lot.objects.get(pk=lot)).holds]


def test_what_rests_on_a_titrant_found_off_waits_until_it_is_standardised_anew():
    from assaywright.records import days
    from assaywright.records.models import Assay, Determination, Event
    from assaywright.records.selectors.assays import outcome_of
    from assaywright.records.shelf import shelf_on_record

    reviewed_all()
    identity, _ = titrant()
    assert KIND not in kinds()
    verify("0.4800 mol/L", identity=identity)
    assert KIND in kinds()
    outcome, _ = outcome_of(Assay.objects.get(pk=ASSAY))
    assert KIND in [one.kind for one in outcome.remarks]
    with pytest.raises(Refusal, match="verified on"):
        act("lots.lot_release", identity=LOT, by="maren")
    shelf = shelf_on_record(date(2026, 11, 30))
    assert any(identity in one and "restandardise first" in one for one in shelf.left_out)
    with pytest.raises(Refusal, match="never accepted"):
        act("irregularities.remark_accept", subject=LOT, kind=KIND, where="", what="",
            reason="the deviation is small", by="maren")

    standardised = Assay.objects.filter(kind="standardisation", about=identity).first()
    anew = {**standardised.content, "id": "WS-26-0990", "performed": {"date": days.today().isoformat()}}
    rests_on = json.loads(standardised.rests_on)
    act("assays.assay_begin", heading=anew, about=identity, rests_on=rests_on, by="ines")
    assert KIND in kinds(), "begun is not reviewed"
    for one in Determination.objects.filter(assay=standardised.identity).order_by("place"):
        act("assays.determination_record", identity="WS-26-0990", fields=one.content, by="ines", own=True)
    act("assays.assay_send", identity="WS-26-0990", by="ines")
    act("assays.assay_review", identity="WS-26-0990", by="jonas", worksheet_sha256=sha256("WS-26-0990"))
    assert KIND not in kinds()
    assert Event.objects.filter(subject=identity, kind="solution.verified").count() == 1


def test_a_later_verification_that_is_accepted_lifts_it():
    reviewed_all()
    identity, _ = titrant()
    verify("0.4800 mol/L", identity=identity)
    verify("0.4803 mol/L", "5", identity=identity)
    assert KIND not in kinds()


@pytest.mark.parametrize(("found", "limit", "refused"), [
    ("0 mol/L", "0.2", "is not above zero"), ("-0.5 mol/L", "0.2", "is not above zero"),
    ("0.5 mol/L", "5.1", "at most"), ("0.5 mol/L", "0", "above zero"), ("0.5 mol/kg", "0.2", "is not in mol/L"),
])
def test_a_verification_that_cannot_be_is_refused(found, limit, refused):
    with pytest.raises(Refusal, match=refused):
        verify(found, limit, identity=titrant()[0])


def test_without_a_value_on_record_nothing_is_verified():
    act("solutions.solution_prepare", identity="T-0998", by="ines", table={
        "name": "sodium hydroxide", "formula": "NaOH", "nominal": "0.5 mol/L"})
    with pytest.raises(Refusal, match="nothing on record tells"):
        verify("0.5 mol/L", identity="T-0998")


def test_what_was_titrated_before_the_solution_was_prepared_waits():
    from assaywright.records.models import Solution

    identity, nominal = titrant()
    found = Solution.objects.get(pk=identity)
    from assaywright.records.log import append

    append("solution.prepared", subject=identity, by="ines", payload={
        "table": {"name": found.name, "formula": found.formula, "nominal": nominal}, "prepared": "2026-11-29"})
    assert "dates-out-of-order" in kinds()
