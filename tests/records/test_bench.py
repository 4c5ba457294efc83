"""At the bench: a field is kept once it is left, nobody's text is lost, and a determination is made of what is kept.

ISO/IEC 17025:2017, 7.5.1: original observations are recorded at the time they are made; 7.5.2: amendments can be
traced to previous versions, and both the original and the amended data are retained.
"""

import json

import pytest

from assaywright.metrology.refusal import Refusal

pytestmark = pytest.mark.usefixtures("laboratory")
OPEN = "WS-26-0950"
READINGS = (("net", "2.0412"), ("initial", "0.00"), ("final", "24.52"), ("temperature", "20.6"))


@pytest.fixture
def sheet(laboratory):
    """A worksheet like one of the demonstration, begun anew and not titrated, its titrant in date on whichever day."""
    from assaywright.actions.assays import assay_begin
    from assaywright.actions.lots import lot_make
    from assaywright.records.bridge import rests_on
    from assaywright.records.models import Assay, Lot

    like = Assay.objects.get(pk="WS-26-0903")
    table = {**Lot.objects.get(pk=like.about).content, "certificate_number": "TH-26-0951-1"}
    lot_make(identity="0951", quantity="20 L", by="ines", table=table)
    heading = {**like.content, "id": OPEN, "sample": {**like.content["sample"], "lot": "0951"},
               "titrant": {**like.content["titrant"], "use_before": "2099-10"}}
    assay_begin(heading=heading, about="0951", rests_on=rests_on(like), by="ines")
    return Assay.objects.get(pk=OPEN)


def keep(name, text, *, by="ines", place=1, **more):
    from assaywright.actions.bench import reading_keep

    return reading_keep(identity=OPEN, place=place, name=name, text=text, by=by, **more)


def all_kept(place=1):
    for name, text in READINGS:
        keep(name, text, place=place)


def test_a_field_is_kept_as_typed_and_what_stood_there_before_stays(sheet):
    from assaywright.records.models import KeptReading

    first = keep("final", "24.25")
    keep("final", "24.52", seen=first.event.number)
    row = KeptReading.objects.get(assay=OPEN, place=1, name="final")
    assert row.text == "24.52"
    assert [one[:2] for one in row.content["before"]] == [["24.25", "ines"]]


def test_the_same_act_sent_again_is_kept_once(sheet):
    from assaywright.records.models import Event

    act = "4f9c3cde-0000-4000-8000-000000000001"
    keep("final", "24.52", act=act)
    again = keep("final", "24.52", act=act)
    assert Event.objects.filter(kind="reading.kept").count() == 1
    assert again.event.act == act


def test_whoever_types_over_what_another_has_typed_meanwhile_is_told_and_both_stay(sheet):
    from assaywright.records.models import Event, KeptReading

    keep("final", "24.52")
    kept = keep("final", "24.50", by="tomas", seen=0)
    assert (kept.other, kept.other_by) == ("24.52", "ines")
    assert [json.loads(one.payload)["text"] for one in Event.objects.filter(kind="reading.kept")] == ["24.52", "24.50"]
    assert not keep("initial", "0.00", by="tomas").other
    assert not keep("initial", "0.00").other, "the same text is no disagreement"
    keep("temperature", "20.6", typed_at="2026-11-30T09:05:00.000Z")
    late = keep("temperature", "21.6", by="tomas", typed_at="2026-11-30T09:00:00.000Z")
    assert (late.late, late.other) == (True, "20.6")
    assert KeptReading.objects.get(name="temperature").text == "20.6", "typed earlier, sent later: it overrides nothing"


def test_a_determination_is_made_of_what_is_kept_with_units_and_the_numbers_of_the_acts(sheet):
    from assaywright.actions.bench import determination_finish
    from assaywright.records.models import Determination, Event

    all_kept()
    event = determination_finish(identity=OPEN, place=1, by="ines")
    fields = Determination.objects.get(assay=OPEN, place=1).content
    assert (fields["initial"], fields["final"], fields["temperature"]) == ("0.00 mL", "24.52 mL", "20.6 °C")
    kept = Event.objects.filter(kind="reading.kept", subject=OPEN).values_list("number", flat=True)
    assert json.loads(event.payload)["kept"] == list(kept)


def test_finished_in_two_tabs_it_is_there_once(sheet):
    from assaywright.actions.bench import determination_finish

    all_kept()
    first = determination_finish(identity=OPEN, place=1, by="ines")
    assert determination_finish(identity=OPEN, place=1, by="tomas").number == first.number
    keep("final", "24.80", by="tomas")
    with pytest.raises(Refusal, match="on record already"):
        determination_finish(identity=OPEN, place=1, by="tomas")


def test_further_fillings_come_in_pairs(sheet):
    from assaywright.actions.bench import determination_finish
    from assaywright.records.models import Determination

    all_kept()
    keep("initial 2", "0.02")
    keep("final 2", "3.10")
    determination_finish(identity=OPEN, place=1, by="ines")
    fields = Determination.objects.get(assay=OPEN, place=1).content
    assert fields["fillings"] == [["0.00 mL", "24.52 mL"], ["0.02 mL", "3.10 mL"]]
    assert "initial" not in fields


def test_what_cannot_be_is_kept_as_typed_and_refused_as_a_determination(sheet):
    from assaywright.actions.bench import determination_finish
    from assaywright.records.models import Determination, KeptReading

    all_kept()
    keep("final", "24.5x")
    with pytest.raises(Refusal, match="'x' is not known"):
        determination_finish(identity=OPEN, place=1, by="ines")
    assert KeptReading.objects.get(assay=OPEN, place=1, name="final").text == "24.5x"
    assert not Determination.objects.filter(assay=OPEN).exists()


def test_an_answered_question_is_on_record_with_the_determination(sheet):
    from assaywright.actions.bench import determination_finish, question_confirm

    all_kept()
    question_confirm(identity=OPEN, place=1, name="final", text="24.52", code="far", by="ines",
                     question="24.52 mL is 0.9 mL more than expected: read again?")
    event = determination_finish(identity=OPEN, place=1, by="ines")
    assert json.loads(event.payload)["confirmed"] == ["final: 24.52 mL is 0.9 mL more than expected: read again?"]


@pytest.mark.parametrize(("name", "text", "place"), [("", "1", 1), ("final", "1" * 4001, 1), ("final", "1", -1),
                                                     ("final", "1", 100), ("fi\nnal", "1", 1)])
def test_what_no_page_sends_is_refused(sheet, name, text, place):
    with pytest.raises(Refusal):
        keep(name, text, place=place)


def test_nobody_without_the_role_and_nothing_once_it_is_in_review(sheet):
    from assaywright.actions.assays import assay_send
    from assaywright.actions.bench import bench_check, determination_finish
    from assaywright.actions.permission import NotAllowed

    with pytest.raises(NotAllowed):
        keep("final", "24.52", by="nobody")
    bench_check(identity=OPEN, checks=["goggles and gloves"], by="ines")
    all_kept()
    determination_finish(identity=OPEN, place=1, by="ines")
    assay_send(identity=OPEN, by="ines")
    with pytest.raises(Refusal, match="in review"):
        keep("final", "24.60")


def test_the_first_endpoint_is_looked_for_between_the_limits_of_the_product(sheet):
    """29.5 to 30.5 % w/w: V goes with the content, so the ends stand as the limits, and run dropwise a millilitre."""
    from datetime import date

    from assaywright.records.selectors.bench_known import with_limits
    from assaywright.records.selectors.bench_live import live

    limits = with_limits(sheet.content, sheet)["specification"]
    assert (limits["lower"], limits["upper"]) == ("29.5 % w/w", "30.5 % w/w")
    shown = live(sheet, {"gross": "60.0000", "tare": "56.0000", "initial": "0.00"}, 1, date(2026, 11, 30))
    assert "the limits of the specification" in shown.expected
    assert with_limits({"specification": {}}, sheet) == {"specification": {}}


def test_a_titrant_standardised_again_is_looked_for_near_what_was_found_before(laboratory):
    from assaywright.actions.assays import assay_send
    from assaywright.records.models import Assay, Result
    from assaywright.records.selectors.bench_known import FoundBefore, found_before

    again = Assay.objects.get(pk="WS-26-0874")
    assert found_before(again) == FoundBefore("0.50178 mol/L", unreviewed=True), "it came in, and nobody reviewed it"
    assay_send(identity="WS-26-0871", by="ines")
    found = Result.objects.get(assay="WS-26-0871")
    assert found_before(again) == FoundBefore(f"{found.value} mol/L", unreviewed=True)
    Assay.objects.filter(pk="WS-26-0871").update(stage="reviewed")
    assert found_before(again) == FoundBefore(f"{found.value} mol/L")
    assert not found_before(Assay.objects.get(pk="WS-26-0903")).text, "no standardisation"
