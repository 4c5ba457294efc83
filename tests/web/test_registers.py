"""What the pages of methods, products and equipment say, and what their forms make."""

import re
from html import unescape

import pytest

pytestmark = pytest.mark.usefixtures("laboratory")


def text_of(answer):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def act_of(client, page):
    return re.search(r'name="act" value="([^"]+)"', client.get(page).content.decode())[1]


def test_a_method_is_shown_with_its_cautions_before_its_steps_and_its_reaction_as_written_in_print(browser):
    page = text_of(browser("ines").get("/method/oxalic-acid-by-permanganate"))
    assert "MnO₄⁻" in page
    assert "→" in page
    assert page.index("Cautions, before the first step") < page.index("Procedure")
    assert "The safety data sheet" in page


def test_a_curve_is_drawn_where_it_is_computed_and_its_lack_is_explained_elsewhere(browser):
    client = browser("ines")
    drawn = client.get("/method/acetic-acid-by-naoh").content.decode()
    assert "<svg" in drawn
    assert "Equivalence point 25.00 mL" in drawn
    other = client.get("/method/glycine-by-perchloric-acid")
    assert b"<svg" not in other.content
    assert "is not computed" in text_of(other)


def test_methods_are_found_by_words(browser):
    client = browser("ines")
    found = text_of(client.get("/methods?words=permanganate oxalic"))
    assert "oxalic-acid-by-permanganate" in found
    assert "hcl-by-tris" not in found
    assert "No method has these words" in text_of(client.get("/methods?words=zzz"))


def test_a_method_is_adopted_once_by_who_may(browser):
    from assaywright.records.models import MethodEdition

    assert browser("ines").post("/method/hcl-by-tris", {}).status_code == 403
    jonas = browser("jonas")
    form = {"act": act_of(jonas, "/method/hcl-by-tris")}
    assert jonas.post("/method/hcl-by-tris", form).status_code == 302
    assert jonas.post("/method/hcl-by-tris", form).status_code == 302
    assert MethodEdition.objects.filter(name="hcl-by-tris").count() == 1
    assert "this edition" in text_of(jonas.get("/method/hcl-by-tris"))


def test_an_own_method_is_checked_as_a_file_is_and_keeps_what_was_typed(browser):
    from assaywright.assay.method import library_text

    jonas = browser("jonas")
    text = library_text("hcl-by-tris").replace('"hcl-by-tris"', '"our-hcl"')
    wrong = text.replace("[example]", "[exmple]")
    answer = jonas.post("/methods/own", {"act": act_of(jonas, "/methods/own"), "text": wrong})
    assert answer.status_code == 422
    assert "exmple" in text_of(answer)
    made = jonas.post("/methods/own", {"act": act_of(jonas, "/methods/own"), "text": text})
    assert made.status_code == 302, text_of(made)[:900]
    assert made.headers["Location"] == "/method/our-hcl.toml"
    assert "our-hcl.toml, edition" in text_of(jonas.get("/method/our-hcl.toml"))


def test_a_calibration_is_entered_by_a_form_and_the_earlier_one_stays(browser):
    from assaywright.records.models import Calibration, Instrument
    from tests.web.site import forms_of

    client = browser("ines")
    page = "/equipment/instrument/B-11"
    form = next(one for one in forms_of(client.get(page), page) if one.fields.get("do") == "calibrate")
    assert form.fields["corrections"].splitlines()[1] == "10 mL; +0.008 mL"
    before = Instrument.objects.get(pk="B-11").content
    form.fields.pop("correction", None)  # the box is not ticked
    same = {**form.fields, "calibrate_reason": "a slip of the pen",
            "corrections": "0 mL; 0.000 mL\n50 mL; +0.010 mL"}
    assert "is on record already" in text_of(client.post(page, same))
    new = {**form.fields, "calibrate_reason": "calibrated as every year", "certificate.id": "K-27-004",
           "certificate.issued": "2026-11-20",
           "certificate.due": "2027-11-20", "corrections": "0 mL; 0.000 mL\n50 mL; +0.010 mL"}
    late = {**new, "certificate.due": "2025-01-01"}
    assert "is before the date of issue" in text_of(client.post(page, late))
    for more, said in (({"certificate.issued": "2027-01-20"}, "the day of issue 2027-01-20 is still to come"),
                       ({"id": "B-12"}, "the number B-12 is stated for the calibration of B-11"),
                       ({"calibration_uncertainty": "10 mL, k = 2"}, "10 mL, k = 2 is more than a tenth")):
        assert said in text_of(client.post(page, {**new, **more}))
    assert client.post(page, new).status_code == 302
    after = Instrument.objects.get(pk="B-11").content
    assert after["corrections"] == [["0 mL", "0.000 mL"], ["50 mL", "+0.010 mL"]]
    assert {key for key in before if before[key] != after.get(key)} == {"corrections", "certificate"}
    assert list(Calibration.objects.filter(instrument="B-11").values_list("certificate", flat=True).order_by("id")) == [
        "K-26-031", "K-27-004"]
    shown = text_of(client.get(page))
    assert "certificate: K-26-031 → K-27-004" in shown
    assert "Entered by Ines Okafor, because: calibrated as every year." in shown
    assert "It agrees" not in shown
    jonas = browser("jonas")
    check = next(one for one in forms_of(jonas.get(page), page) if one.fields.get("do") == "check")
    beside = text_of(jonas.get(page)).partition("Not compared yet.")[2].partition("It agrees: K-27-004")[0]
    assert "+0.010 mL" in beside
    assert jonas.post(page, check.fields).status_code == 302
    assert "Compared with the certificate by Jonas Feld." in text_of(jonas.get(page))
    assert "Not compared yet" not in text_of(jonas.get(page))


@pytest.mark.parametrize(("nominal", "said"), [("-50 mL", "nominal"), ("50 g", "nominal"), ("50", "unit")])
def test_a_vessel_that_cannot_be_is_refused_with_what_was_typed(browser, nominal, said):
    client = browser("ines")
    page = "/equipment/new?kind=pipette"
    form = {"act": act_of(client, page), "kind": "pipette", "id": "P-99", "nominal": nominal, "class": "A",
            "standard": "ISO 648"}
    answer = client.post("/equipment/new", form)
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert 'value="ISO 648"' in answer.content.decode()


def test_a_reference_material_is_received_with_its_certificate_or_not_at_all(browser):
    client = browser("ines")
    page = "/equipment/materials/new"
    form = {"act": act_of(client, page), "number": "RM-KHP-4", "name": "potassium hydrogen phthalate",
            "formula": "C8H5KO4", "content": "99.97 % ± 0.04 %, k = 2", "certificate.id": ""}
    refused = client.post(page, form)
    assert refused.status_code == 422
    assert "certificate" in text_of(refused)
    other = client.post(page, {**form, "certificate.id": "RM-KHP-4", "name": "tris"})
    assert other.status_code == 422
    assert "tris is C4H11NO3, and the formula C8H5KO4 is stated" in text_of(other)
    assert client.post(page, {**form, "certificate.id": "RM-KHP-4", "use_before": "2028-02"}).status_code == 302
    assert "99.97 % ± 0.04 %, k = 2" in text_of(client.get("/equipment/material/RM-KHP-4"))


NOT_SENT = ("correction", "against_heading", "certificate_file")  # boxes not ticked, and no file chosen


def form_that(client, page, **fields):
    from tests.web.site import forms_of

    form = next(one for one in forms_of(client.get(page), page) if fields.items() <= one.fields.items())
    return {key: text for key, text in form.fields.items() if key not in NOT_SENT}


def test_a_certificates_file_fills_the_form_and_is_kept_with_what_is_sent(browser):
    from django.core.files.uploadedfile import SimpleUploadedFile

    from assaywright.records.check import Findings, check_files
    from assaywright.records.models import Attachment, Calibration, Event
    from assaywright.records.rebuild import differences
    from tests.records.test_certificate_files import SHEET
    from tests.web.site import forms_of

    ines, page = browser("ines"), "/equipment/instrument/B-11"
    typed = form_that(ines, page, do="calibrate") | {"calibrate_reason": "calibrated as every year"}

    def sent(sheet=SHEET, name="k.csv", **more):
        file = SimpleUploadedFile(name, sheet.encode())
        return ines.post(f"{page}?read=yes", {**typed, **more, "certificate_file": file})

    events = Event.objects.count()
    asked = sent()
    assert asked.status_code == 422
    assert "a correction and an error are opposite" in text_of(asked)
    for old, new, said in (("\n50;", "\n70;", "k.csv: burette B-11, corrections: the scale reading 70 mL is not on"),
                           ("11,0;12", "11,0;12000", "12000 µL, k = 2 is more than a tenth"),
                           ("2026-11-25", "2027-11-25", "the day of issue 2027-11-25 is still to come")):
        assert said in text_of(sent(SHEET.replace(old, new), column_states="taken"))
    assert text_of(sent(name="k_error.csv")).count("k_error.csv: what the column states") == 1
    turned = sent(column_states="added", against_heading="yes")
    assert "taken as corrections, against its heading, as you said" in text_of(turned)
    assert 'name="file_against" value="yes"' in turned.content.decode()
    answer = sent(column_states="taken")
    assert answer.status_code == 200
    assert "Nothing is recorded yet" in text_of(answer)
    assert "K-26-031 K-27-004" in text_of(answer), "beside what is in force"
    assert (Event.objects.count(), Attachment.objects.count()) == (events, 0)
    filled = next(one for one in forms_of(answer, page) if one.fields.get("do") == "calibrate").fields
    assert filled["corrections"] == "0 mL; +0.0 µL\n10 mL; +8.5 µL\n50 mL; -11.0 µL"
    assert (filled["calibrate_reason"], filled["certificate.due"]) == ("calibrated as every year", ""), "of the file"
    filled = {key: text for key, text in filled.items() if key not in NOT_SENT}
    refused = ines.post(page, {**filled, "certificate.due": "2025-01-01"})
    assert f'name="file" value="{filled["file"]}"' in refused.content.decode(), "it is carried along"
    assert "did not come along whole" in text_of(ines.post(page, {**filled, "file": "x"}))
    filled["file_name"] = "k.\r\ncsv\0"
    assert ines.post(page, {**filled, "certificate.due": "2027-11-25", "calibration_uncertainty": "13 µL, k = 2"}
                     ).status_code == 302
    kept = Attachment.objects.get()
    assert Calibration.objects.get(pk=kept.pk).certificate == "K-27-004"
    shown = browser("jonas").get(page)
    assert "k.csv , SHA-256" in text_of(shown)
    beside = text_of(shown).partition("Not compared yet.")[2].partition("It agrees: K-27-004")[0]
    assert "12 µL, k = 2 in the file, 13 µL, k = 2 as entered." in beside
    assert "Read from k.csv , its column said to state errors." in beside
    assert "uncertainty of the corrections: 12 µL, k = 2 in the file, 13 µL, k = 2 as entered." in text_of(shown)
    assert "read from k.csv, its column said to state errors, SHA-256" in text_of(shown), "in the history"
    assert browser("jonas").get(f"/equipment/file/{kept.pk}").content == SHEET.encode()
    check_files(found := Findings())
    assert (found.files, found.faults, differences()) == (1, [], [])
    again = ines.get("/equipment/table/B-11")
    own = SimpleUploadedFile("b.toml", again.content)
    same = ines.post(f"{page}?read=yes", {**form_that(ines, page, do="calibrate"), "certificate_file": own})
    assert "It states nothing other than what is in force." in text_of(same)


def test_a_new_instrument_and_a_new_material_are_filled_from_their_files(browser):
    from django.core.files.uploadedfile import SimpleUploadedFile

    from assaywright.records.models import Material
    from tests.records.test_certificate_files import MATERIAL, calibration
    from tests.web.site import forms_of

    ines = browser("ines")
    for page, typed, data, filled in (
            ("/equipment/materials/new", {"number": "RM-KHP-9", "formula": "C8H5KO4"}, MATERIAL,
             {"content": "99.971 % ± 0.040 %, k = 2", "formula": "C8H5KO4", "number": "RM-KHP-9"}),
            ("/equipment/new", {"kind": "burette", "id": "B-31", "nominal": "50 mL", "column_states": "taken"},
             calibration(), {"corrections": "10 mL; +0.0085 mL\n50 mL; -0.0110 mL", "id": "B-31", "nominal": "50 mL"})):
        file = SimpleUploadedFile("c.xml", data.encode())
        answer = ines.post(f"{page}?read=yes", {**typed, "certificate_file": file})
        assert answer.status_code == 200, text_of(answer)
        form = forms_of(answer, page)[-1].fields
        assert filled.items() <= form.items()
        form = {key: text for key, text in form.items() if key not in NOT_SENT}
        assert ines.post(page, form).status_code == 302
    assert "c.xml , SHA-256" in text_of(ines.get("/equipment/material/RM-KHP-9"))
    assert "Read from c.xml . What was entered is what the file states." in text_of(
        ines.get("/equipment/material/RM-KHP-9")), "the day of its validity too"
    assert Material.objects.get(pk="RM-KHP-9").content["certificate"]["id"] == "RM-KHP-9"
    assert "no file is chosen" in text_of(ines.post("/equipment/materials/new?read=yes", {"name": "kept as typed"}))


def test_an_old_history_is_seen_before_it_is_recorded_with_the_marks_of_the_command(browser):
    import json

    from django.core.files.uploadedfile import SimpleUploadedFile

    from assaywright.records.history import read_mapping
    from assaywright.records.models import Event, HistoricResult
    from tests.web.site import forms_of

    page, maren = "/history/import", browser("maren")
    assert browser("ines").get(page).status_code == 403
    sheet = "Batch;Date;Content\n0801;03.04.2019;1,0024\n3E5;31.02.2019;0,9987\n".encode("utf-8-sig")

    def sent(step, fields, data=b""):
        file = {"history_file": SimpleUploadedFile("old.csv", data)} if data else {}
        return maren.post(f"{page}{step}", {**fields, **file})

    def form(answer):
        return {name: text for name, text in forms_of(answer, page)[-1].fields.items() if name != "history_file"}

    first = sent("?look=yes", {}, sheet)
    looked = form(first)
    assert sent("?look=yes", {}).status_code == 422
    chosen = {"column_lot": "Batch", "column_performed": "Date", "column_value": "Content", "separator": "semicolon"}
    for name, wanted in chosen.items():
        assert f"<option selected>{wanted}</option>" in first.content.decode(), name
    told = {**looked, **chosen, "encoding": "UTF-8", "thousands": "nothing", "source": "Assay book",
            "dates": "day-month-year", "fixed_unit": "mol/L"}
    assert "decimal mark: it is not said" in text_of(sent("?try=yes", told))
    told["decimal_mark"] = "comma"
    refused = text_of(sent("?try=yes", told))
    assert "1 row can be read." in refused
    assert "row 3: performed: the day 2019-02-31 does not exist" in refused
    assert 'name="seen"' not in sent("", told).content.decode()
    tried = form(sent("?try=yes", told, sheet.replace(b"31.02", b"28.02")))
    tried = {**told, "file": tried["file"], "seen": tried["seen"]}
    assert "other than those you have looked at" in text_of(sent("", {**tried, "fixed_unit": "mmol/L"}))
    assert not HistoricResult.objects.exists()
    assert sent("", tried).status_code == 302
    written = json.loads(Event.objects.get(kind="history.imported").payload)
    by_command = read_mapping(b"""format = "assaywright history 1"
source = "Assay book"
decimal_mark = ","
dates = "day-month-year"
separator = ";"
columns = { lot = "Batch", performed = "Date", value = "Content" }
fixed = { unit = "mol/L" }""", "c.toml")
    assert (written["columns"], written["fixed"], written["decimal_mark"], written["verified"]) == (
        by_command.columns, by_command.fixed, by_command.decimal_mark, False)
    assert [(one["lot"], one["performed"], one["value"], one["as_typed"], one["row"]) for one in written["rows"]] == [
        ("0801", "2019-04-03", "1.0024", "1,0024", 2), ("3E5", "2019-02-28", "0.9987", "0,9987", 3)]
    assert "is on record already" in text_of(sent("", {**tried, "act": ""}))


def test_a_calibration_holds_through_the_day_it_is_due(monkeypatch):
    from datetime import UTC, datetime

    from assaywright.records import clock
    from assaywright.records.selectors.equipment import standing

    for now, wanted in (("2026-11-30T22:59", "due soon"), ("2026-11-30T23:01", "overdue"),
                        ("2026-10-01", "calibrated")):
        monkeypatch.setattr(clock, "now", lambda at=now: datetime.fromisoformat(at).replace(tzinfo=UTC))
        assert standing("2026-11-30") == wanted, "the laboratory's day ends an hour before that of UTC in winter"
    assert standing("") == "no calibration stated"


def test_a_product_is_revised_by_a_form_with_a_reason_and_the_old_edition_stays(browser):
    from urllib.parse import quote

    from assaywright.records.models import Product, ProductEdition
    from tests.web.site import forms_of

    client, name = browser("jonas"), "acetic acid 30 % w/w"
    page = f"/products/revise/{quote(name)}"
    before = Product.objects.get(pk=name).content
    form = next(one for one in forms_of(client.get(page), page) if "name-1" in one.fields)
    same = {**form.fields, "method-1": "acetic-acid-by-naoh", "rule-1": "simple acceptance"}
    same = {key: value for key, value in same.items() if not key.startswith("accredited")}
    assert "reason is missing" in text_of(client.post(page, {**same, "reason": " "}))
    tight = {**same, "reason": "the customer asks for it", "lower-1": "29.8 % w/w"}
    assert client.post(page, tight).status_code == 302
    after = Product.objects.get(pk=name).content
    assert after["characteristics"][0] == {**before["characteristics"][0], "lower": "29.8 % w/w"}
    assert after["characteristics"][1:] == before["characteristics"][1:]
    assert {key: after[key] for key in before if key != "characteristics"} == {
        key: before[key] for key in before if key != "characteristics"}
    assert ProductEdition.objects.filter(product=name).count() == 2
    shown = text_of(client.get(f"/product/{quote(name)}"))
    assert "29.8 % w/w to 30.5 % w/w" in shown
    assert "the customer asks for it" in shown


def test_the_list_of_instruments_begins_with_what_asks_for_a_calibration(browser, monkeypatch):
    from datetime import UTC, datetime

    from assaywright.records import clock

    page = browser("ines").get("/equipment").content.decode()
    assert page.index(">B-11<") < page.index(">T-6<"), "by kind while nothing is due"
    monkeypatch.setattr(clock, "now", lambda: datetime(2027, 3, 5, 12, tzinfo=UTC))  # T-6 was due a week before B-11
    page = browser("ines").get("/equipment").content.decode()
    assert page.index(">T-6<") < page.index(">B-11<")


@pytest.mark.parametrize(("path", "forms"), [
    ("/equipment", ("/equipment/new", "/equipment/materials/new")), ("/products", ("/products/new",)),
    ("/methods", ("/methods/own",)), ("/equipment/instrument/B-11", ("Enter a calibration", "Withdraw it")),
    ("/equipment/material/RM-SC-5", ("Withdraw it",)), ("/method/hcl-by-tris", ("Adopt this edition",)),
    ("/product/calcium carbonate", ("/products/revise",)),
])
def test_forms_are_offered_to_those_alone_who_may(browser, path, forms):
    from assaywright.records.models import Person
    from assaywright.records.projections.tables import rows

    offered = browser("maren").get(path).content.decode()
    assert all(one in offered for one in forms)
    rows(Person).filter(pk="tomas").update(roles="administrator")
    looked_at = browser("tomas").get(path)
    assert looked_at.status_code == 200
    assert not any(one in looked_at.content.decode() for one in forms)


def test_a_check_list_is_shown_in_the_order_in_which_it_is_asked():
    from assaywright.web.pages.lots import CHECKS
    from assaywright.web.templatetags.typed import in_order

    kept = dict.fromkeys(sorted(CHECKS), "looked at")  # as the records keep them: by the alphabet
    assert tuple(kept) != tuple(CHECKS)
    assert [question for question, _answer in in_order({**kept, "one more": ""}, CHECKS)] == [*CHECKS, "one more"]
