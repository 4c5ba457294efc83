"""A worksheet's own history: reopened, declared void, its heading corrected, readings asked about.

That amendments keep the original with who, when and why: ISO/IEC 17025:2017, 7.5.2 and 7.8.8. That a result outside its
limits is investigated and never set aside by its worksheet: common practice, no source.
"""

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import READINGS, act, events, issued, reviewed_all, sent, sha256

pytestmark = pytest.mark.usefixtures("laboratory")
SHEET = "WS-26-0903"


def assay(number=SHEET):
    from assaywright.records.models import Assay

    return Assay.objects.get(pk=number)


def determination(place, number=SHEET):
    from assaywright.records.models import Determination

    return Determination.objects.get(assay=number, place=place)


def lot(number="0941"):
    from assaywright.records.models import Lot

    return Lot.objects.get(pk=number)


def reviewed_again(number=SHEET):
    sent(number)
    act("assays.assay_review", identity=number, by="jonas", worksheet_sha256=sha256(number))


# --- reopened ---------------------------------------------------------------------------------------------------------


def test_a_reopened_worksheet_keeps_its_result_and_the_certificate_is_told_of_by_what_is_other_now(monkeypatch):
    from assaywright.records.models import Certificate, Result
    from assaywright.records.selectors import above, standing
    from assaywright.records.selectors.history import history

    issued()
    certificate = Certificate.objects.get(lot="0941")
    assert above.differing(lot()) == ()
    with pytest.raises(Refusal, match="authorised signatory"):
        act("reopening.assay_reopen", identity=SHEET, by="jonas", reason="the balance")
    act("reopening.assay_reopen", identity=SHEET, by="maren", reason="the balance was found out of order")
    assert assay().stage == "sent back"
    assert above.reopened_of(lot()) == [SHEET]
    row = determination(1)
    act("assays.determination_correct", identity=SHEET, place=1, fields={**row.content, "final": "40.27 mL"},
        by="ines", reason="the protocol of the balance")
    assert above.differing(lot()) == (), "nothing is said of it before it is reviewed anew"
    reviewed_again()
    assert above.reopened_of(lot()) == []
    found = above.differing_from(certificate)
    assert [(one.certificate, one.worksheet) for one in found] == [(certificate.number, SHEET)]
    assert found[0].stated != found[0].now
    assert Result.objects.filter(assay=SHEET).count() == 2
    told = [detail for one in history(SHEET, of="worksheet") for detail in one.details if detail.startswith("result: ")]
    assert told == [f"result: {found[0].stated}", f"result: {found[0].now}"]
    assert standing.lot_lines_of([lot()])[0].waits_for == "an amended certificate"
    monkeypatch.setattr(standing, "EVALUATED", 0)  # in a list with many such lots
    assert standing.lot_lines_of([lot()])[0].waits_for == standing.CHANGED_SINCE


def test_who_has_titrated_does_not_reopen_and_only_what_is_reviewed_is_reopened():
    with pytest.raises(Refusal, match="not reviewed"):
        act("reopening.assay_reopen", identity=SHEET, by="jonas", reason="the balance")
    act("assays.determination_record", identity=SHEET, by="maren", fields=READINGS)
    reviewed_all(SHEET)
    with pytest.raises(Refusal, match="nobody reopens their own work"):
        act("reopening.assay_reopen", identity=SHEET, by="maren", reason="the balance")


def test_a_reopened_standardisation_holds_back_what_rests_on_it_and_names_it():
    import json

    from assaywright.records.selectors import above

    issued()
    found = above.resting_on(assay("WS-26-0878"))
    assert SHEET in [one.identity for one in found.assays]
    assert [one.identity for one in found.released] == ["0941"]
    event = act("reopening.assay_reopen", identity="WS-26-0878", by="maren", reason="the carbonate was damp")
    told = json.loads(event.payload)
    assert told["released"] == ["0941"]
    assert SHEET in told["worksheets"]
    assert above.reopened_of(lot()) == ["WS-26-0878"]


# --- void -------------------------------------------------------------------------------------------------------------


def test_a_void_worksheet_counts_for_nothing_and_stays():
    from assaywright.records.bridge import assay_of
    from assaywright.records.models import Assay

    with pytest.raises(Refusal, match="may not do this"):
        act("reopening.assay_void", identity=SHEET, by="ines", reason="the wrong drum")
    act("reopening.assay_void", identity=SHEET, by="jonas", reason="the wrong drum was sampled")
    assert Assay.objects.get(pk=SHEET).stage == "void"
    assert assay_of(lot(), "acetic-acid-by-naoh") is None
    with pytest.raises(Refusal, match="is void"):
        act("assays.determination_record", identity=SHEET, by="ines", fields=READINGS)


def test_a_result_outside_its_limits_is_not_set_aside_by_its_worksheet():
    with pytest.raises(Refusal, match="put the lot on hold and investigate"):
        act("reopening.assay_void", identity="WS-26-0909", by="jonas", reason="it does not fit")


def test_what_was_reviewed_once_or_serves_others_is_not_void():
    with pytest.raises(Refusal, match="rests on WS-26-0878"):
        act("reopening.assay_void", identity="WS-26-0878", by="jonas", reason="the carbonate was damp")
    reviewed_all(SHEET)
    with pytest.raises(Refusal, match="is reviewed"):
        act("reopening.assay_void", identity=SHEET, by="maren", reason="the wrong drum")
    act("reopening.assay_reopen", identity=SHEET, by="jonas", reason="the wrong drum")
    with pytest.raises(Refusal, match="was reviewed once"):
        act("reopening.assay_void", identity=SHEET, by="maren", reason="the wrong drum")


# --- the heading ------------------------------------------------------------------------------------------------------


def test_a_heading_is_corrected_field_by_field_and_the_old_one_stays_readable():
    from assaywright.actions.heading_correction import corrected, fields_of, handling_now
    from assaywright.records.selectors.history import history

    before = assay().content
    typed = fields_of(before, handling_now(assay()))
    assert corrected(assay(), typed, by="ines") == (before, ["WS-26-0878"]), "what is typed as it was stays"
    heading, rests_on = corrected(assay(), {**typed, "performed": "2026-10-06", "air_pressure": "1009"}, by="ines")
    assert heading["air"] == {**before["air"], "pressure": "1009 hPa"}
    act("assays.assay_amend", identity=SHEET, heading=heading, rests_on=rests_on, by="ines", reason="misread there")
    assert assay().performed == "2026-10-06"
    told = history(SHEET, of="worksheet")[-1].details
    assert "performed on: 2026-10-05 → 2026-10-06" in told
    assert "pressure of the air: 1017 hPa → 1009 hPa" in told


def test_a_heading_that_would_make_the_readings_unreadable_or_another_worksheet_is_refused():
    from assaywright.actions.heading_correction import corrected, fields_of, handling_now

    before = assay("WS-26-0909").content
    typed = fields_of(before, handling_now(assay("WS-26-0909")))
    with pytest.raises(Refusal):
        corrected(assay("WS-26-0909"), {**typed, "handling": "weighed"}, by="ines")
    with pytest.raises(Refusal, match="stay as they are"):
        act("assays.assay_amend", identity=SHEET, heading={**assay().content, "id": "WS-26-0999"}, rests_on=[],
            by="ines", reason="another number")
    with pytest.raises(Refusal, match="has not come yet"):
        act("assays.assay_amend", identity=SHEET, heading={**assay().content, "performed": {"date": "2199-01-01"}},
            rests_on=["WS-26-0878"], by="ines", reason="another day")


# --- readings ---------------------------------------------------------------------------------------------------------


def test_equal_readings_are_asked_about_and_recorded_when_confirmed():
    import json

    same = {**determination(2).content, "note": "once more"}
    before = len(events(SHEET))
    with pytest.raises(Refusal, match="determination 2 has the same readings"):
        act("assays.determination_record", identity=SHEET, fields=same, by="ines")
    assert len(events(SHEET)) == before
    event = act("assays.determination_record", identity=SHEET, fields=same, by="ines", own=True)
    assert json.loads(event.payload)["own_readings"] is True


def test_what_was_recorded_since_the_page_was_shown_is_asked_about():
    shown = assay().version
    act("assays.determination_record", identity=SHEET, fields=READINGS, by="tomas")
    other = {**READINGS, "final": "40.11 mL"}
    with pytest.raises(Refusal, match="determination 4 was recorded since this page was shown"):
        act("assays.determination_record", identity=SHEET, fields=other, by="ines", looked_at=shown)
    act("assays.determination_record", identity=SHEET, fields=other, by="ines", looked_at=assay().version)


def test_a_second_analyst_is_named_in_the_determination_and_does_not_review():
    from assaywright.assay.working_document import working_document
    from assaywright.records.bridge import evaluate_assay

    act("assays.determination_record", identity=SHEET, fields=READINGS, by="tomas")
    assert determination(4).content["analyst"] == "Tomas Rehn"
    outcome = evaluate_assay(assay())
    assert {one.analyst for one in outcome.determinations} == {"Ines Okafor", "Tomas Rehn"}
    told = {one.label: one.text for one in working_document(outcome).identification}
    assert told["Analyst"] == "Ines Okafor and Tomas Rehn"


@pytest.mark.parametrize(("field", "text"), [("final", "40.07 L"), ("temperature", "21.0 K"), ("temperature", "210 °C"),
                                             ("final", "40.07 g"), ("initial", "0.5 L")])
def test_a_reading_in_a_unit_of_another_size_is_refused(field, text):
    with pytest.raises(Refusal):
        act("assays.determination_record", identity=SHEET, by="ines", fields={**READINGS, field: text})


@pytest.mark.parametrize(("gross", "tare"), [("61.4402 kg", "57.4528 g"), ("61.4402 g", "0.0574528 t")])
def test_a_mass_beyond_a_balance_is_refused(gross, tare):
    with pytest.raises(Refusal, match=r"more than a balance at the bench takes|unit"):
        act("assays.determination_record", identity=SHEET, by="ines", fields={**READINGS, "gross": gross, "tare": tare})
