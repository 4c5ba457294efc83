"""Worksheets in the browser: what is offered to whom, what is asked about, what is told of what was changed."""

import pytest

from tests.web.site import forms_of
from tests.web.test_line import ACETIC, PASSWORD, certified, plain, reviewed, sent, version

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
READINGS = dict(zip(("gross", "tare", "initial", "final"), ACETIC[0], strict=True)) | {"temperature": "21.0"}


def offered(client, path):
    return {form.fields.get("do", "") for form in forms_of(client.get(path), path)}


def test_forms_are_offered_only_to_those_who_may(browser):
    ines, jonas = browser("ines"), browser("jonas")
    assert {"record", "send", "correct"} <= offered(ines, "/assay/WS-26-0903")
    assert "void" not in offered(ines, "/assay/WS-26-0903"), "titrated already, and by herself"
    assert "void" in offered(jonas, "/assay/WS-26-0903")
    sent(ines, "/assay/WS-26-0903", do="send", version=version("Assay", "WS-26-0903"))
    assert {"sign", "return"} <= offered(jonas, "/review/WS-26-0903")
    assert not offered(ines, "/review/WS-26-0903") & {"sign", "return"}


def determination_version(place, number="WS-26-0903"):
    from assaywright.records.models import Determination

    return Determination.objects.get(assay=number, place=place).version


def test_who_has_titrated_is_told_that_somebody_else_reviews(browser):
    maren = browser("maren")
    sent(maren, "/assay/WS-26-0903", do="correct", place=1, reason="misread at the bench",
         **{**READINGS, "final": "40.08"},
         version=determination_version(1))
    sent(browser("ines"), "/assay/WS-26-0903", do="send", version=version("Assay", "WS-26-0903"))
    for path in ("/review/WS-26-0903", "/assay/WS-26-0903"):
        assert "Somebody else reviews: you have titrated this." in plain(maren.get(path))
        assert not offered(maren, path) & {"sign", "return"}


def test_equal_readings_are_asked_about_and_the_confirmation_is_shown(browser):
    ines = browser("ines")
    first = sent(ines, "/assay/WS-26-0903", 422, do="record", version=version("Assay", "WS-26-0903"), **READINGS)
    assert "determination 1 has the same readings: was it recorded twice" in plain(first)
    assert 'name="own"' in first.content.decode()
    assert 'value="40.07"' in first.content.decode(), "what was typed is still there"
    sent(ines, "/assay/WS-26-0903", do="record", own="yes", version=version("Assay", "WS-26-0903"), **READINGS)
    assert "confirmed as readings of their own" in plain(ines.get("/assay/WS-26-0903"))


def test_a_stale_page_shows_what_is_new_before_it_records(browser):
    ines, tomas = browser("ines"), browser("tomas")
    shown = version("Assay", "WS-26-0903")
    sent(tomas, "/assay/WS-26-0903", do="record", version=shown, **{**READINGS, "final": "40.11"})
    answer = sent(ines, "/assay/WS-26-0903", 422, do="record", version=shown, **{**READINGS, "final": "40.13"})
    assert "determination 4 was recorded since this page was shown" in plain(answer)
    page = plain(answer)
    assert "40.11 mL" in page
    assert "Tomas Rehn" in page
    assert "by Ines Okafor and Tomas Rehn" in page
    sent(ines, "/assay/WS-26-0903", do="record", version=version("Assay", "WS-26-0903"),
         **{**READINGS, "final": "40.13"})


def test_a_heading_is_corrected_on_the_form_that_begins_one(browser):
    ines = browser("ines")
    path = "/heading/WS-26-0903"
    form = next(one for one in forms_of(ines.get(path), path) if "reason" in one.fields)
    chosen = {"titrant": "T-0918", "vessel burette": "B-11", "balance": "W-4", "thermometer": "T-6"}
    fields = {**form.fields, **chosen, "titrant_in_force": "last accepted", "air_humidity": "52"}
    assert fields["performed"] == "2026-10-05"
    answer = sent(ines, path, 422, **{**fields, "reason": ""})
    assert 'value="52"' in answer.content.decode()
    sent(ines, path, **{**fields, "reason": "the hygrometer misread", "act": ""})
    page = plain(ines.get("/assay/WS-26-0903"))
    assert "relative humidity: 46 % → 52 %" in page
    assert "Reason: the hygrometer misread" in page
    assert page.count("→") == 1, "nothing else is other now"
    told = plain(sent(ines, path, 422, **{**fields, "titrant": "T-0917", "reason": "the wrong bottle", "act": "",
                                          "version": version("Assay", "WS-26-0903")}))
    assert "T-0917 is hydrochloric acid 0.5 mol/L (HCl), and the method titrates with sodium hydroxide (NaOH)" in told
    offered_there = ines.get(path).content.decode()
    titrants = offered_there[offered_there.index('id="titrant"'):].partition("</select>")[0]
    assert "T-0918" in titrants
    assert "T-0917" not in titrants, "of another substance"
    told = plain(sent(ines, "/assays/new", 422, number="WS-26-0970", about="0941", method="hydrochloric-acid-by-naoh",
                      performed="2026-11-30"))
    assert "which is specified by acetic-acid-by-naoh, not by hydrochloric-acid-by-naoh" in told


def test_a_reference_material_of_another_substance_is_not_offered_and_refused(browser):
    ines, chosen = browser("ines"), {"about": "T-0917", "method": "hcl-by-sodium-carbonate"}
    offered_there = ines.get("/assays/new", chosen).content.decode()
    materials = offered_there[offered_there.index('id="standard"'):].partition("</select>")[0]
    assert "RM-SC-5" in materials
    assert "TRIS" not in materials
    told = plain(sent(ines, "/assays/new", 422, **chosen, number="WS-26-0971", performed="2026-11-30",
                      standard="RM-TRIS-3"))
    assert ("RM-TRIS-3 is tris(hydroxymethyl)aminomethane (C4H11NO3), and the method weighs sodium carbonate (Na2CO3)"
            in told)


def test_a_temperature_of_the_dilution_that_no_evaluation_takes_is_refused_when_the_heading_is_corrected(browser):
    ines, path = browser("ines"), "/heading/WS-26-0909"
    form = next(one for one in forms_of(ines.get(path), path) if "reason" in one.fields)
    chosen = {"titrant": "T-0918", "thermometer": "T-6", "titrant_in_force": "last accepted",
              "vessel burette": "B-11", "vessel pipette": "P-20-04", "vessel aliquot pipette": "P-50-02",
              "vessel flask": "F-250-07", "reason": "read anew", "dilution_temperature": "70", "act": ""}
    told = plain(sent(ines, path, 422, **{**form.fields, **chosen}))
    assert "70 °C" in told
    sent(ines, path, **{**form.fields, **chosen, "dilution_temperature": "21.2"})


def test_the_proposed_number_is_the_one_after_the_highest_of_the_year():
    from assaywright.records.selectors.assays import free_number

    assert free_number("WS-26-") == "WS-26-0913"
    assert free_number("WS-31-") == "WS-31-0001"


def test_what_was_reopened_after_release_and_what_it_changed_is_told_everywhere(browser):
    number = certified(browser)
    ines, maren = browser("ines"), browser("maren")
    page = plain(maren.get("/assay/WS-26-0951"))
    assert f"certificate {number}" in page
    sent(maren, "/assay/WS-26-0951", do="reopen", reason="the balance was out of order",
         version=version("Assay", "WS-26-0951"))
    for path in ("/lot/0951", f"/certificate/{number}", "/lots"):
        assert "reopened after release" in plain(ines.get(path)), path
    answer = sent(maren, f"/certificate/{number}", 422, changed="The customer’s name.", password=PASSWORD)
    assert "WS-26-0951" in plain(answer)
    gross, tare, initial, _ = ACETIC[0]
    sent(ines, "/assay/WS-26-0951", do="correct", place=1, gross=gross, tare=tare, initial=initial, final="40.09",
         temperature="21.0", reason="read anew from the protocol", version=determination_version(1, "WS-26-0951"))
    reviewed(browser, "WS-26-0951")
    for path in ("/lot/0951", f"/certificate/{number}"):
        page = plain(ines.get(path))
        assert f"The certificate {number} states" in page, path
        assert "issue an amended certificate" in page
    page = plain(ines.get("/assay/WS-26-0951"))
    assert page.count("sent to review 2") == 2, "both results stay"


def test_the_reviewer_reads_words_and_not_a_program(browser):
    ines, jonas = browser("ines"), browser("jonas")
    for number in ("WS-26-0878", "WS-26-0871"):
        sent(ines, f"/assay/{number}", do="send", version=version("Assay", number))
        page = plain(jonas.get(f"/review/{number}"))
        for text in ("{", "True", ".toml", "'initial'", "None"):
            assert text not in page, (number, text)
    assert "30 September 2026" in plain(jonas.get("/review/WS-26-0878"))


def test_a_void_worksheet_stays_in_the_list(browser):
    jonas = browser("jonas")
    sent(jonas, "/assay/WS-26-0903", do="void", reason="the wrong drum was sampled",
         version=version("Assay", "WS-26-0903"))
    page = plain(jonas.get("/assay/WS-26-0903"))
    assert "It counts for nothing" in page
    assert not offered(jonas, "/assay/WS-26-0903") & {"record", "send", "void"}
    assert "WS-26-0903" in plain(jonas.get("/assays"))
    assert "the assay of acetic acid" in plain(jonas.get("/lots"))


@pytest.mark.parametrize("strange", ["", "…", "-1", "1e999", "22.0 °C ± x", "[air]", "NaN", "T-0917", "2026-13-45"])
def test_no_field_of_a_heading_is_ever_at_a_loss(browser, strange):
    ines, path = browser("ines"), "/heading/WS-26-0909"
    form = next(one for one in forms_of(ines.get(path), path) if "reason" in one.fields)
    for name in form.fields:
        if name not in ("csrfmiddlewaretoken", "act", "version", "reason"):
            chosen = {"titrant": "T-0918", "thermometer": "T-6", "titrant_in_force": "last accepted",
                      "vessel burette": "B-11", "vessel pipette": "P-20-04", "vessel aliquot pipette": "P-50-02",
                      "vessel flask": "F-250-07", "version": version("Assay", "WS-26-0909"),
                      "reason": "tried once more"}
            answer = ines.post(path, {**form.fields, **chosen, "act": "", name: strange})
            assert answer.status_code in (302, 422), (name, plain(answer)[:300])
            told = plain(answer)
            assert ".toml" not in told, name
            assert "[[" not in told, name
