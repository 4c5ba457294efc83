"""An entered calibration is told with what was before, and compared by a second person."""

import pytest

from assaywright.metrology.refusal import Refusal

pytestmark = pytest.mark.usefixtures("laboratory")


def entered(**changes):
    """Enter a calibration of the burette that the demonstration's worksheets use."""
    from assaywright.actions.equipment import instrument_calibrate
    from assaywright.records.models import Instrument

    table = Instrument.objects.get(pk="B-11").content
    certificate = {**table["certificate"], "id": "K-27-004", **changes.pop("certificate", {})}
    given = {"identity": "B-11", "by": "jonas", "reason": "calibrated as every year", **changes}
    return instrument_calibrate(table={**table, "certificate": certificate, "corrections": [
        ["0 mL", "0.000 mL"], ["50 mL", "+0.040 mL"]]}, **given)


def kinds(assay):
    from assaywright.records.unchecked import unchecked_remarks

    return [one.kind for one in unchecked_remarks([assay])]


def test_what_was_before_is_told_with_what_is_now():
    import json

    payload = json.loads(entered().payload)
    assert ["certificate", "K-26-031", "K-27-004"] in payload["changes"]
    assert any(what == "corrections" and before != now for what, before, now in payload["changes"])


def test_a_certificate_on_record_is_entered_anew_as_a_correction_only():
    import json

    with pytest.raises(Refusal, match="K-26-031 of B-11 is on record already"):
        entered(certificate={"id": "K-26-031"})
    told = entered(certificate={"id": "K-26-031"}, correction=True, reason="the last correction was misread")
    assert json.loads(told.payload)["correction_of"] == "K-26-031"
    with pytest.raises(Refusal, match="nothing differs"):
        entered(certificate={"id": "K-26-031"}, correction=True)


def test_whoever_entered_it_does_not_compare_it_and_nobody_compares_it_twice():
    from assaywright.actions.second_look import instrument_check

    event = entered()
    with pytest.raises(Refusal, match="Jonas Feld entered it"):
        instrument_check(identity="B-11", entry=event.number, by="jonas")
    instrument_check(identity="B-11", entry=event.number, by="maren")
    with pytest.raises(Refusal, match="nothing of B-11"):
        instrument_check(identity="B-11", entry=event.number, by="maren")


def test_a_result_is_asked_about_until_a_second_person_has_compared_the_calibration_it_rests_on():
    from assaywright.actions.assays import assay_begin
    from assaywright.actions.lots import lot_make
    from assaywright.actions.second_look import instrument_check
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay, Instrument

    earlier = Assay.objects.get(pk="WS-26-0903")
    assert any(one.get("id") == "B-11" for one in earlier.content["vessels"].values())
    event = entered()
    assert kinds("WS-26-0903") == [], "it was titrated by the calibration before"
    heading = earlier.content
    heading["vessels"] = {role: Instrument.objects.get(pk="B-11").content if one.get("id") == "B-11" else one
                          for role, one in heading["vessels"].items()}
    lot_make(identity="0945", by="ines", table={"product": "acetic acid 30 % w/w", "maker": "Tarn Hollow Reagents"})
    heading |= {"id": "WS-26-0970", "sample": {**heading["sample"], "lot": "0945"}}
    assay_begin(heading=heading, about="0945", rests_on=[], by="ines")
    assert kinds("WS-26-0970") == ["calibration-unchecked"]
    instrument_check(identity="B-11", entry=event.number, by="maren")
    assert kinds("WS-26-0970") == []
    assert not [one for one in evaluate_assay(earlier).remarks if one.kind == "calibration-unchecked"]


def test_the_first_calibration_of_an_instrument_waits_likewise_and_glass_without_a_certificate_does_not():
    from assaywright.actions.assays import assay_begin
    from assaywright.actions.equipment import instrument_register
    from assaywright.actions.lots import lot_make
    from assaywright.actions.second_look import instrument_check
    from assaywright.records.models import Assay, Instrument
    from assaywright.records.unchecked import unchecked

    table = Instrument.objects.get(pk="B-11").content
    event = instrument_register(identity="B-12", kind="burette", by="jonas", table={
        **table, "certificate": {**table["certificate"], "id": "K-26-099"}})
    of_class = {**table, "class": "A", "standard": "ISO 385"}
    for stated in ("certificate", "corrections", "calibration_uncertainty"):
        of_class.pop(stated, None)
    instrument_register(identity="B-13", kind="burette", by="jonas", table=of_class)
    assert [one.subject for one in unchecked()] == ["B-12"], "and none of those that came with imported worksheets"
    heading = Assay.objects.get(pk="WS-26-0903").content
    heading["vessels"] = {role: Instrument.objects.get(pk="B-12").content if one.get("id") == "B-11" else one
                          for role, one in heading["vessels"].items()}
    lot_make(identity="0946", by="ines", table={"product": "acetic acid 30 % w/w", "maker": "Tarn Hollow Reagents"})
    heading |= {"id": "WS-26-0971", "sample": {**heading["sample"], "lot": "0946"}}
    assay_begin(heading=heading, about="0946", rests_on=[], by="ines")
    assert kinds("WS-26-0971") == ["calibration-unchecked"]
    with pytest.raises(Refusal, match="Jonas Feld entered it"):
        instrument_check(identity="B-12", entry=event.number, by="jonas")
    instrument_check(identity="B-12", entry=event.number, by="maren")
    assert kinds("WS-26-0971") == []
