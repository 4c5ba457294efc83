"""One result for one lot and method; readings, entries and temperatures that cannot be; released lots that changed.

That a result outside its limits is not replaced by testing again unasked, that nothing is released while another result
is on its way or without a sample on record, and that a recalled lot is not used: common practice, no source. The
expansion of water: Tanaka et al., Metrologia 38 (2001) 301, table values of its density.
"""

import json
import re

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import READINGS, act, heading, released, reviewed_all

pytestmark = pytest.mark.usefixtures("laboratory")
OLD, BESIDE, LOT = "WS-26-0903", "WS-26-0961", "0941"


def lot(number=LOT):
    from assaywright.records.models import Lot

    return Lot.objects.get(pk=number)


def waits(number=LOT):
    """What a lot waits for, which its page and the list say alike."""
    from assaywright.records.selectors.lots import lot_shown
    from assaywright.records.selectors.standing import lot_lines_of

    on_its_page, in_the_list = lot_shown(lot(number)).waits_for, lot_lines_of([lot(number)])[0].waits_for
    assert on_its_page == in_the_list
    return on_its_page


def begin(number=BESIDE, about=LOT):
    return act("assays.assay_begin", heading=heading(number, about), about=about, by="ines",
               rests_on=["WS-26-0871", "WS-26-0874", "WS-26-0878"])


def brought_in(shift="0.00"):
    """A second worksheet of the lot, as an older record has it; its titres are read longer by so much [mL]."""
    from assaywright.records.log import append
    from assaywright.records.models import Assay, Determination

    old = Assay.objects.get(pk=OLD)
    rows = [row.content for row in Determination.objects.filter(assay=OLD).order_by("place")]
    for row in rows:
        row["final"] = f"{float(row['final'].split()[0]) + float(shift):.2f} mL"
    append("assay.imported", subject=BESIDE, by="runa", payload={
        "heading": heading(BESIDE, LOT), "about": LOT, "rests_on": json.loads(old.rests_on), "path": f"{BESIDE}.toml",
        "determinations": rows, "file": "older.toml"})


def counting():
    from assaywright.records.bridge import assay_of
    from assaywright.records.models import Assay

    return assay_of(lot(), Assay.objects.get(pk=OLD).method).identity


# --- one result for one lot and method --------------------------------------------------------------------------------


def test_a_second_worksheet_is_refused_while_one_is_on_record_titrated_or_not_and_not_once_it_is_void():
    with pytest.raises(Refusal, match=rf"assayed by this method in {OLD}, and no retest is authorised"):
        begin()
    begin("WS-26-0962", "0945")
    with pytest.raises(Refusal, match=r"in WS-26-0962, and no retest.*declared void if it was begun by mistake"):
        begin("WS-26-0963", "0945")
    act("reopening.assay_void", identity="WS-26-0962", by="ines", reason="begun for another lot")
    assert begin("WS-26-0963", "0945").kind == "assay.begun"


@pytest.mark.parametrize(("shift", "counts"), [("0.00", BESIDE), ("9.00", BESIDE)])
def test_of_two_older_results_the_last_reviewed_counts_or_the_first_outside_its_limits(shift, counts):
    brought_in(shift)
    reviewed_all("WS-26-0871", "WS-26-0874", "WS-26-0878", OLD, BESIDE)
    assert counting() == counts


def test_a_first_result_outside_its_limits_stands_whichever_was_reviewed_last_and_holds():
    brought_in("9.00")
    reviewed_all("WS-26-0871", "WS-26-0874", "WS-26-0878", BESIDE, OLD)
    assert counting() == BESIDE
    with pytest.raises(Refusal, match="does not conform"):
        act("lots.lot_release", identity=LOT, by="maren")


def test_nothing_is_released_while_another_worksheet_of_the_lot_and_method_lies_open():
    brought_in()
    reviewed_all()
    assert waits() == f"{BESIDE} to be reviewed or declared void"
    with pytest.raises(Refusal, match=f"{BESIDE}, of the same lot and method, lies open"):
        act("lots.lot_release", identity=LOT, by="maren")


# --- samples and bottles ----------------------------------------------------------------------------------------------


def test_a_lot_without_a_sample_on_record_is_not_sampled_and_not_released(monkeypatch):
    from assaywright.records import sampled
    from assaywright.records.selectors.lots import stages_of
    from assaywright.records.specified import specified_of

    assert {one.name: one.state for one in stages_of(lot(), specified_of(lot()))}["sampled"] == "done"
    monkeypatch.setattr(sampled, "stated_with", lambda *_lot_and_imported: False)
    reviewed_all()
    assert {one.name: one.state for one in stages_of(lot(), specified_of(lot()))}["sampled"] == "now"
    with pytest.raises(Refusal, match="no sample of it is on record"):
        act("lots.lot_release", identity=LOT, by="maren")
    act("lots.lot_sample", identity=LOT, taken="2026-10-05", where="line 1", by="ines")
    assert act("lots.lot_release", identity=LOT, by="maren").kind == "lot.released"


def test_the_sample_that_a_worksheet_begun_here_names_is_none_on_record():
    from assaywright.records.sampled import is_sampled

    act("lots.lot_make", identity="0955", by="ines", table=dict(lot().content))
    begin("WS-26-0964", "0955")
    assert not is_sampled(lot("0955"))
    assert is_sampled(lot())


@pytest.mark.parametrize("state", ["rejected", "recalled"])
def test_a_bottle_of_a_lot_that_is_not_to_be_used_is_not_opened(state):
    if state == "recalled":
        released()
    verb = {"rejected": "reject", "recalled": "recall"}[state]
    act(f"lots.lot_{verb}", identity=LOT, by="maren", reason="found cloudy by a customer")
    with pytest.raises(Refusal, match=f"the lot {LOT} is {state}, and no bottle of it is to be used"):
        act("lots.bottle_open", identity="0941-9", of=LOT, opened="2026-11-29", by="ines")


# --- after release ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("shift", "waited_for"), [
    (9.0, "investigation, withdrawal or recall"), (0.05, "an amended certificate"), (0.0, "nothing")])
def test_a_released_lot_whose_records_say_otherwise_waits_for_what_follows(shift, waited_for):
    from assaywright.records.models import Determination

    released()
    assert waits() == "its certificate"
    act("certificates.certificate_issue", lot=LOT, by="maren")
    assert waits() == "nothing"
    act("reopening.assay_reopen", identity=OLD, by="maren", reason="the burette was read anew")
    assert waits() == f"the review of {OLD}, reopened after release"
    for row in Determination.objects.filter(assay=OLD).order_by("place"):
        fields = {**row.content, "final": f"{float(row.content['final'].split()[0]) + shift:.2f} mL"}
        act("assays.determination_correct", identity=OLD, place=row.place, by="ines", fields=fields,
            reason="the meniscus was misread")
    reviewed_all(OLD)
    assert waits() == waited_for


def test_a_heading_amended_after_the_certificate_asks_for_an_amended_one():
    released()
    act("certificates.certificate_issue", lot=LOT, by="maren")
    act("lots.lot_amend", identity=LOT, fields={"storage": "10 °C to 25 °C"}, by="maren",
        reason="the storage was mistyped")
    assert waits() == "an amended certificate"


# --- one number, two things -------------------------------------------------------------------------------------------


def test_a_lot_and_a_worksheet_of_one_number_have_histories_of_their_own():
    from assaywright.records.selectors.history import history

    begin(LOT, "0945")
    assert [one for one in history(LOT, of="worksheet") if "made" in one.sentence or "lot" in one.sentence] == []
    assert [one.sentence for one in history(LOT, of="worksheet")] == [f"Ines Okafor began {LOT}."]
    assert not any("began" in one.sentence for one in history(LOT, of="lot"))


def test_every_kind_of_event_is_told_in_some_history():
    from assaywright.records.catalogue import EVENTS
    from assaywright.records.selectors.history import FAMILIES, OF_ANYTHING

    told = {*OF_ANYTHING, *(word for words in FAMILIES.values() for word in words)}
    assert {kind.split(".")[0] for kind in EVENTS} <= told


# --- readings ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("changed", "same"), [
    ({"final": "40.080 mL"}, True), ({"final": "40.08"}, True), ({"gross": "61440.2 mg"}, True),
    ({"temperature": "25.0 °C"}, True), ({"note": "second flask"}, True), ({"final": "40.09 mL"}, False),
    ({"gross": "61.4403 g"}, False)])
def test_readings_are_equal_by_value_whatever_digits_temperature_or_note_they_have(changed, same):
    from assaywright.records.models import Assay
    from assaywright.records.same_readings import place_of_same

    event = act("assays.determination_record", identity=OLD, fields=READINGS, by="ines")
    place = json.loads(event.payload)["place"]
    again = {**READINGS, **changed}
    assert place_of_same(Assay.objects.get(pk=OLD), again) == (place if same else None)
    assert place_of_same(Assay.objects.get(pk=OLD), again, place) is None, "nothing is the same as itself"


def test_equal_readings_at_the_bench_are_asked_about_and_recorded_once_confirmed():
    from datetime import date

    from assaywright.records.models import Assay, Determination
    from assaywright.records.selectors.bench_live import live
    from assaywright.records.selectors.history import history

    first = Determination.objects.filter(assay=OLD).order_by("place").first()
    place = 9
    typed = {name: first.content[name] for name in ("gross", "tare", "initial", "final", "temperature")
             if name in first.content}
    for name, text in typed.items():
        act("bench.reading_keep", identity=OLD, place=place, name=name, text=text, by="ines")
    asked = {one.code: one for one in live(Assay.objects.get(pk=OLD), typed, place, date(2026, 10, 5)).questions}
    assert asked["same-readings"].sentence == "Determination 1 has the same readings; it may have been typed twice."
    for name, text in typed.items():
        act("bench.reading_keep", identity=OLD, place=place + 1, name=name, text=text, by="ines")
    unanswered = act("bench.determination_finish", identity=OLD, place=place + 1, by="ines")
    assert json.loads(unanswered.payload)["same_as"] == 1, "asked about, refused by nobody, and told to the reviewer"
    act("bench.question_confirm", identity=OLD, place=place, name=asked["same-readings"].name, by="ines",
        text=typed["final"], code="same-readings", question=asked["same-readings"].sentence)
    event = act("bench.determination_finish", identity=OLD, place=place, by="ines")
    assert json.loads(event.payload)["own_readings"] is True
    assert not any("typed a reading" in one.sentence for one in history(OLD, of="worksheet"))


@pytest.mark.parametrize("temperature", ["-5.0 °C", "120 °C"])
def test_a_temperature_that_no_evaluation_takes_is_refused_when_it_is_recorded(temperature):
    with pytest.raises(Refusal, match=r"determination 4, temperature"):
        act("assays.determination_record", identity=OLD, by="ines",
            fields={**READINGS, "temperature": temperature})


@pytest.mark.parametrize(("found", "refused"), [
    ({"value": "0 g/mL"}, "a density of 0 g/mL cannot be"), ({"value": "-1.0385 g/mL"}, "below zero")])
def test_an_entered_density_of_nought_or_less_is_refused(found, refused):
    with pytest.raises(Refusal, match=refused):
        act("characteristics.characteristic_enter", identity="0942", by="ines", reason="measured once again", table={
            "name": "density at 20 °C", "source": "densitometer D-2", **found})


def test_an_entered_content_of_nought_is_refused_as_less_than_something():
    with pytest.raises(Refusal, match=r"0 mg/kg cannot be.*less than the smallest"):
        act("characteristics.characteristic_enter", identity=LOT, by="ines", reason="measured once again", table={
            "name": "chloride", "source": "T. Rehn", "value": "0 mg/kg"})


# --- what concerns an excluded determination --------------------------------------------------------------------------


def test_what_is_wrong_with_an_excluded_determination_alone_no_longer_holds():
    from assaywright.assay.evaluate import evaluate_worksheet
    from assaywright.assay.worksheet import parse_worksheet
    from assaywright.records.bridge import open_by_path, worksheet_bytes
    from assaywright.records.models import Assay

    def light():
        """By determination, whether its portion below the balance's minimum weight holds the result back."""
        assay = Assay.objects.get(pk=OLD)
        text = worksheet_bytes(assay).decode()
        text = re.sub(r"(\[balances\.[^.\]\n]*\]\n)", r'\1minimum_weight = "30 g"\n', text)
        outcome = evaluate_worksheet(parse_worksheet(text.encode(), assay.path), open_by_path)
        return {one.where.split()[-1]: one for one in outcome.remarks if one.kind == "below-minimum-sample"}

    assert {number: one.holds for number, one in light().items()} == {"1": True, "2": True, "3": True}
    act("assays.determination_exclude", identity=OLD, place=2, by="ines", reason="spilt, and seen by two")
    assert {number: one.severity.value for number, one in light().items()} == {"1": "hold", "2": "note", "3": "hold"}
    assert light()["2"].what.endswith("; the determination does not count")
