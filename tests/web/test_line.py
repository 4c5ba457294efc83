"""The line from lot to certificate through the pages' forms, with Django's own test client.

What a determination is worth is checked elsewhere against published examples; here the pages must carry it unaltered:
what they show and what the certificate prints is compared with ``evaluate`` on the exported worksheet. That the raw
data, who did what and when, and the original of every change stay on record: ISO/IEC 17025:2017, 7.5 and 7.8.
"""

import io
import json
import re
import uuid
import zipfile

import pytest

from tests.web.conftest import PASSWORD

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
ACETIC = [("61.4402", "57.4528", "0.00", "40.07"), ("57.4528", "53.4309", "0.04", "40.42"),
          ("53.4309", "49.4747", "0.02", "39.76")]
HEADING = {"handling": "weighed", "titrant": "T-0918", "vessel burette": "B-11", "balance": "W-4", "thermometer": "T-6",
           "density": "1.0385 g/mL ± 0.0005 g/mL, k = 2", "air_temperature": "21.0", "air_pressure": "1017",
           "air_humidity": "46", "pooled": "0.05 %, 30 degrees of freedom", "performed": "2026-11-30"}


def plain(answer):
    """The text of a page, markup and line breaks gone."""
    text = re.sub(r"<(script|style).*?</\1>", "", answer.content.decode(), flags=re.DOTALL)
    import html

    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def sent(client, path, expected=302, **fields):
    """Send a form; one of a lot's page says which version of the lot it was made for."""
    if path.startswith("/lot/"):
        fields = {"version": version("Lot", path.removeprefix("/lot/")), **fields}
    answer = client.post(path, {"act": str(uuid.uuid4()), **fields})
    assert answer.status_code == expected, plain(answer)
    return answer


def kinds(subject):
    from assaywright.records.models import Event

    return list(Event.objects.filter(subject=subject).order_by("number").values_list("kind", flat=True))


def version(model, key):
    from assaywright.records import models

    return getattr(models, model).objects.get(pk=key).version


def new_lot(ines, number="0951"):
    sent(ines, "/lots/new", number=number, product="acetic acid 30 % w/w", made="2026-11-27", use_before="2099-10",
         quantity="200 L")
    sent(ines, f"/lot/{number}", do="sample", taken="2026-11-29", where="filling line 1, first and last bottle")


def entered(ines, number="0951"):
    for name, way, found in (("density at 20 °C", "value", "1.0385 g/mL ± 0.0005 g/mL, k = 2"),
                             ("chloride", "less_than", "1 mg/kg"), ("appearance", "words", "clear, colourless")):
        sent(ines, f"/lot/{number}", do="enter", characteristic=name, way=way, found=found, satisfied="yes",
             source="Tomas Rehn, 2026-11-29")


def assayed(ines, number="WS-26-0951", lot="0951", rows=ACETIC, **heading):
    sent(ines, "/assays/new", number=number, about=lot, method="acetic-acid-by-naoh", **{**HEADING, **heading})
    for gross, tare, initial, final in rows:
        sent(ines, f"/assay/{number}", do="record", gross=gross, tare=tare, initial=initial, final=final,
             temperature="21.0")


def reviewed(browser, *numbers, by="jonas"):
    """Send worksheets to review and sign them; whoever's analyst is somebody else."""
    analyst, reviewer = browser("ines"), browser(by)
    for number in numbers:
        sent(analyst, f"/assay/{number}", do="send", version=version("Assay", number))
        page = reviewer.get(f"/review/{number}")
        sha256 = re.search(r'name="sha256" value="([0-9a-f]{64})"', page.content.decode())[1]
        sent(reviewer, f"/review/{number}", do="sign", sha256=sha256, password=PASSWORD)


def certified(browser):
    """A lot made, sampled, assayed, reviewed, released and certified; return the certificate's number."""
    ines, maren = browser("ines"), browser("maren")
    new_lot(ines)
    entered(ines)
    sent(browser("jonas"), "/lot/0951", do="check")
    assayed(ines)
    reviewed(browser, "WS-26-0951", "WS-26-0878", "WS-26-0871", "WS-26-0874")
    sent(maren, "/lot/0951", do="release", version=version("Lot", "0951"), password=PASSWORD)
    return sent(maren, "/certificates/issue/0951", password=PASSWORD)["Location"].rpartition("/")[2]


def test_every_page_of_the_line_opens(browser):
    ines = browser("ines")
    from assaywright.records.models import Assay, Lot, Solution

    paths = ["/lots", "/lots/new", "/assays", "/review", "/solutions", "/solutions/new", "/certificates"]
    for lot in Lot.objects.all():
        paths += [f"/lot/{lot.identity}", f"/label/lot/{lot.identity}", f"/assays/new?about={lot.identity}"]
    for solution in Solution.objects.all():
        paths += [f"/solution/{solution.identity}", f"/label/solution/{solution.identity}",
                  f"/assays/new?about={solution.identity}"]
    paths += [f"/assay/{one.identity}" for one in Assay.objects.all()]
    for path in paths:
        answer = ines.get(path)
        assert answer.status_code == 200, (path, plain(answer))
        assert " style=" not in answer.content.decode(), path
        assert "<script>" not in answer.content.decode(), path


def test_every_method_can_be_begun(browser):
    from assaywright.assay.method import load_method, method_names

    ines = browser("ines")
    for name in method_names():
        about = "0941" if load_method(name).kind == "assay" else "T-0918"
        assert ines.get(f"/assays/new?about={about}&method={name}").status_code == 200, name


def test_from_lot_to_certificate(browser, tmp_path, capsys):
    from assaywright.cli import main
    from assaywright.records.models import Lot

    number = certified(browser)
    assert number == "C-0951-1"
    answer = browser("ines").get(f"/certificates/file/{number}")
    text = certificate_text(answer.content)
    archive = zipfile.ZipFile(io.BytesIO(browser("ines").get("/worksheet/WS-26-0951").content))
    archive.extractall(tmp_path)
    assert main(["evaluate", str(tmp_path / "WS-26-0951.toml"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["result"]
    attached = attached_figures(answer.content)
    acid = next(one for one in attached["characteristics"] if one["name"] == "acetic acid")
    assert acid["numbers"]["value"] == told["value"]
    assert acid["numbers"]["standard_uncertainty"] == told["standard_uncertainty"]
    assert f"{acid['value']} ± {acid['uncertainty']}" in text
    assert float(acid["value"]) == round(told["value"], len(acid["value"].partition(".")[2]))
    assert "Head of the records when this was issued: " in text
    assert "reviewed by Jonas Feld" in text
    assert "Draft" not in text
    assert "Signed: in the laboratory’s records, with the password asked for, on" in text
    assert "Maren Tolliver" in text
    assert Lot.objects.get(pk="0951").state == "released"
    page = plain(browser("ines").get("/lot/0951"))
    assert f"{acid['value']} ± {acid['uncertainty']} % w/w" in page
    assert "Waits for nothing" in page


def certificate_text(data):
    import pypdf

    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split())


def attached_figures(data):
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as opened:
        return json.loads(next(iter(opened.attachments.values())).get_file().read_bytes())


def test_a_certificate_is_superseded_and_stays(browser):
    from assaywright.records.check import Anchor, check_chain

    number = certified(browser)
    ines, maren = browser("ines"), browser("maren")
    before = ines.get(f"/certificates/file/{number}").content
    sent(maren, "/lot/0951", do="amend", customer="Brackwater Dyeworks", amend_reason="the customer was left out")
    assert f"The certificate {number} states the heading as it was" in plain(ines.get("/lot/0951"))
    later = sent(maren, f"/certificate/{number}", changed="The customer’s name was added.", password=PASSWORD)
    second = later["Location"].rpartition("/")[2]
    assert second == "C-0951-2"
    assert ines.get(f"/certificates/file/{number}").content == before
    assert f"superseded by {second}" in plain(ines.get(f"/certificate/{number}"))
    text = certificate_text(ines.get(f"/certificates/file/{second}").content)
    assert f"This certificate takes the place of {number}. What changed, in the words of Maren Tolliver" in text
    assert text.index("Customer Brackwater Dyeworks") < text.index("Certificate of analysis"), "in the head"
    anchor = Anchor.read(re.search(r"when this was issued: (\d+:[0-9a-f]{32})", text)[1])
    assert not check_chain([anchor]).faults
    answer = sent(maren, f"/certificate/{number}", 422, changed="Once more.", password=PASSWORD)
    assert f"is superseded by {second}" in plain(answer)


def test_a_wrong_password_signs_nothing_and_is_on_record(browser):
    ines, jonas = browser("ines"), browser("jonas")
    sent(ines, "/assay/WS-26-0903", do="send", version=version("Assay", "WS-26-0903"))
    answer = sent(jonas, "/review/WS-26-0903", 422, do="sign", sha256="0" * 64, password="not this one")  # noqa: S106
    assert "the password is wrong, and nothing was signed" in plain(answer)
    assert kinds("WS-26-0903")[-1] == "signature.refused"
    answer = sent(jonas, "/review/WS-26-0903", 422, do="sign", sha256="0" * 64, password=PASSWORD)
    assert "the worksheet is not the one that lay open here" in plain(answer)


def test_who_titrated_does_not_review(browser):
    """Maren, who may review, corrects a determination of Ines's; she can no longer sign it."""
    ines, maren = browser("ines"), browser("maren")
    sent(maren, "/assay/WS-26-0903", do="correct", place=1, version=determination_version("WS-26-0903", 1),
         gross="61.4402", tare="57.4528", initial="0.00", final="40.08", temperature="21.0",
         reason="the last digit misread")
    sent(ines, "/assay/WS-26-0903", do="send", version=version("Assay", "WS-26-0903"))
    answer = sent(maren, "/review/WS-26-0903", 422, do="sign", sha256="0" * 64, password=PASSWORD)
    assert "nobody reviews their own work" in plain(answer)


def determination_version(number, place):
    from assaywright.records.models import Determination

    return Determination.objects.get(assay=number, place=place).version


def test_an_analyst_neither_reviews_nor_releases(browser):
    ines = browser("ines")
    sent(browser("tomas"), "/assay/WS-26-0903", do="send", version=version("Assay", "WS-26-0903"))
    sent(browser("tomas"), "/review/WS-26-0903", 403, do="sign", sha256="0" * 64, password=PASSWORD)
    sent(ines, "/lot/0941", 403, do="release", password=PASSWORD)
    sent(ines, "/certificates/issue/0941", 403, password=PASSWORD)
    sent(browser("jonas"), "/lot/0941", 403, do="reject", reject_reason="colour not as required")


def test_a_correction_keeps_the_old_reading_on_record_and_asks_for_a_reason(browser):
    ines = browser("ines")
    fields = {"place": 1, "gross": "61.4402", "tare": "57.4528", "initial": "0.00", "final": "40.08",
              "temperature": "21.0", "version": determination_version("WS-26-0903", 1)}
    answer = sent(ines, "/assay/WS-26-0903", 422, do="correct", reason="", **fields)
    assert "the reason is missing" in plain(answer)
    assert 'value="40.08"' in answer.content.decode(), "what was typed is still there"
    sent(ines, "/assay/WS-26-0903", do="correct", reason="misread the meniscus", **fields)
    page = plain(ines.get("/assay/WS-26-0903"))
    assert "corrected a determination of WS-26-0903. Reason: misread the meniscus" in page
    assert "40.07 mL" in page
    assert "40.08 mL" in page
    answer = sent(ines, "/assay/WS-26-0903", 422, do="correct", reason="again as planned", **fields)
    assert "changed by somebody else while it lay open here" in plain(answer)


def test_an_excluded_determination_stays_and_no_longer_counts(browser):
    tomas = browser("tomas")
    assert "4 determinations count" in plain(tomas.get("/assay/WS-26-0912"))
    sent(tomas, "/assay/WS-26-0912", do="exclude", place=4, reason="powder spilt beside the flask, seen",
         version=determination_version("WS-26-0912", 4))
    page = plain(tomas.get("/assay/WS-26-0912"))
    assert "3 determinations count" in page
    assert "excluded powder spilt beside the flask, seen" in page
    sent(tomas, "/assay/WS-26-0912", do="readmit", place=4, reason="it was another flask")
    assert "4 determinations count" in plain(tomas.get("/assay/WS-26-0912"))


def test_the_preview_shows_the_result_and_records_nothing(browser):
    from assaywright.records.models import Event

    ines = browser("ines")
    new_lot(ines)
    assayed(ines, rows=ACETIC[:2])
    before = Event.objects.count()
    typed = dict(zip(("gross", "tare", "initial", "final"), ACETIC[2], strict=True))
    told = plain(ines.post("/preview/WS-26-0951", {**typed, "temperature": "21.1"}))
    assert "Nothing is recorded yet." in told
    assert "the 3 that count give" in told
    assert Event.objects.count() == before
    shown = re.search(r"give ([0-9.]+) ± ([0-9.]+) % w/w", told)
    sent(ines, "/assay/WS-26-0951", do="record", temperature="21.1", **typed)
    assert f"{shown[1]} ± {shown[2]} % w/w" in plain(ines.get("/assay/WS-26-0951"))
    told = plain(ines.post("/preview/WS-26-0951", {**typed, "final": "0.01"}))
    assert "No result with what is typed" in told
    assert "final" in told


def test_the_first_result_outside_its_limits_stays_and_a_retest_is_authorised_first(browser):
    """The path after a result outside its limits: hold, check list, authorised retest, conclusion.

    That an original result is not averaged away by a retest: common practice, no source.
    """
    from assaywright.records.models import Assay

    ines, jonas, maren = browser("ines"), browser("jonas"), browser("maren")
    sent(ines, "/assay/WS-26-0909", do="send", version=version("Assay", "WS-26-0909"))
    fields = {"number": "WS-26-0990", "about": "0943", "method": "hydrochloric-acid-by-naoh", "handling": "diluted",
              "titrant": "T-0918", "vessel burette": "B-11", "vessel pipette": "P-20-04",
              "vessel aliquot pipette": "P-50-02", "vessel flask": "F-250-07", "thermometer": "T-6",
              "performed": "2026-11-30", "dilution_temperature": "22.0", "density": "1.0833 g/mL ± 0.0002 g/mL, k = 2"}
    assert "no retest is authorised" in plain(sent(ines, "/assays/new", 422, **fields))
    sent(ines, "/lot/0943", do="hold", hold_reason="the content lies outside its limits")
    checks = {f"check {number}": "in order, seen" for number in range(1, 6)}
    plan = "three determinations of the retained sample by Tomas Rehn"
    answer = sent(jonas, "/lot/0943", 422, do="retest", plan=plan, **{**checks, "check 3": " "})
    assert "the answer to" in plain(answer)
    assert plan in answer.content.decode(), "what was typed is still there"
    sent(jonas, "/lot/0943", do="retest", plan=plan, **checks)
    sent(ines, "/assays/new", **fields)
    assert "retest of WS-26-0909, authorised by Jonas Feld" in Assay.objects.get(pk="WS-26-0990").content["note"]
    assert "the retest that was authorised is WS-26-0990" in plain(
        sent(ines, "/assays/new", 422, **{**fields, "number": "WS-26-0991"}))
    sent(ines, "/assay/WS-26-0990", do="record", sample_temperature="22.0", initial="0.00", final="40.10",
         temperature="22.0")
    page = plain(ines.get("/lot/0943"))
    assert "WS-26-0909" in page
    assert "WS-26-0990" in page
    assert "stays on record" in page
    assert "not the mean" not in page
    answer = sent(maren, "/lot/0943", 422, do="release", password=PASSWORD)
    assert "is on hold" in plain(answer)
    told = {"do": "conclude", "verdict": "no laboratory error: the first result stands", "password": PASSWORD,
            "conclusion": "no cause in the laboratory; the lot is too strong"}
    assert "the retest WS-26-0990 has not been reviewed" in plain(sent(jonas, "/lot/0943", 422, **told))
    reviewed(browser, "WS-26-0990")
    sent(jonas, "/lot/0943", **told)
    sent(maren, "/lot/0943", do="reject", reject_reason="too strong; to be adjusted as a new lot")
    assert kinds("0943")[-4:] == ["lot.held", "retest.authorised", "investigation.concluded", "lot.rejected"]


def test_a_solution_is_verified_and_discarded(browser):
    ines = browser("ines")
    page = plain(ines.get("/solution/T-0918"))
    assert "WS-26-0878" in page
    assert "Traceability chain" in page
    for found, verdict in (("0.4900", "restandardise"), ("0.4985", "accepted")):
        sent(ines, "/solution/T-0918", do="verify", found=found, limit="0.2")
        assert verdict in plain(ines.get("/solution/T-0918")).partition("Verdict")[2].partition("Traceability chain")[0]
    answer = sent(ines, "/solution/T-0918", 422, do="verify", found="0.5 g", limit="1")
    assert "found: an amount concentration" in plain(answer)
    assert "g is a unit of mass" in plain(answer)
    sent(ines, "/solution/T-0918", do="discard", reason="used up today")
    assert "discarded the solution T-0918. Reason: used up" in plain(ines.get("/solution/T-0918"))


def test_what_is_left_of_a_solution_is_what_was_prepared_less_its_titres(browser):
    """2 L prepared; 20 mL taken twice leave 1960 mL: worked by hand."""
    ines = browser("ines")
    sent(ines, "/solutions/new", number="T-0999", name="sodium hydroxide 0.5 mol/L", formula="NaOH", nominal="0.5",
         prepared="2026-11-27", volume="2", use_before="2027-01")
    sent(ines, "/assays/new", number="WS-26-0999", about="T-0999", method="naoh-against-hcl", handling="pipetted",
         against="T-0917", against_in_force="mean of accepted", thermometer="T-6", performed="2026-11-30",
         **{"vessel burette": "B-11", "vessel pipette": "P-20-03"})
    for own in ("", "yes"):
        sent(ines, "/assay/WS-26-0999", do="record", sample_temperature="22.0", initial="0.00", final="20.00",
             temperature="22.0", own=own)
    page = plain(ines.get("/solution/T-0999"))
    assert "1960 mL" in page
    assert "40 mL delivered from burettes in 2 titrations" in page


def test_a_label_says_content_hazards_dates_and_a_code_that_can_be_scanned(browser):
    """H314 with "Danger" and GHS05: UN GHS, label elements of skin corrosion, category 1 (from memory)."""
    certified(browser)
    answer = browser("ines").get("/label/lot/0951")
    page = plain(answer)
    for wanted in ("acetic acid 30 % w/w", "0951", "Danger", "H314", "use before", "±", "% w/w"):
        assert wanted in page
    assert 'alt="GHS05 corrosion"' in answer.content.decode()
    assert '<path d="M4 4h1v1h-1z' in answer.content.decode(), "the corner of the code, after four modules of space"


def test_a_repeated_send_is_stored_once(browser):
    ines, act = browser("ines"), str(uuid.uuid4())
    fields = {"do": "hold", "hold_reason": "a drop spilt", "act": act, "version": version("Lot", "0941")}
    sent(ines, "/lot/0941", **fields)
    sent(ines, "/lot/0941", **fields)
    assert kinds("0941").count("lot.held") == 1


@pytest.mark.parametrize("path", ["/lot/none", "/assay/none", "/review/none", "/solution/none", "/certificate/none",
                                  "/label/lot/none", "/working/none", "/worksheet/none", "/assays/new?about=none"])
def test_what_is_not_there_is_said(browser, path):
    answer = browser("ines").get(path)
    assert answer.status_code == 404
    assert "There is no" in plain(answer) or "No lot and no solution is named" in plain(answer)


def test_a_signature_tried_too_often_is_stopped_and_each_try_is_on_record(browser):
    jonas = browser("jonas")
    sent(browser("ines"), "/assay/WS-26-0903", do="send", version=version("Assay", "WS-26-0903"))
    fields = {"do": "sign", "sha256": "0" * 64, "act": str(uuid.uuid4())}
    answers = [jonas.post("/review/WS-26-0903", {**fields, "password": f"wrong {number}"}).status_code
               for number in range(7)]
    assert answers[0] == 422
    assert answers[-1] == 429
    assert kinds("WS-26-0903").count("signature.refused") >= 5
    assert jonas.post("/review/WS-26-0903", {**fields, "password": PASSWORD}).status_code == 429
    assert kinds("WS-26-0903")[-1] == "signature.refused"


def test_no_form_that_comes_later_in_the_line_is_ever_at_a_loss(browser):
    """Forms of a held lot, of a worksheet in review and of an issued certificate, filled with strange words."""
    from hypothesis import HealthCheck, given, settings
    from hypothesis import strategies as st

    from tests.web.test_pages import STRANGE, forms_of

    certified(browser)
    ines, maren = browser("ines"), browser("maren")
    sent(ines, "/lot/0943", do="hold", hold_reason="outside its limits")
    sent(ines, "/assay/WS-26-0906", do="send", version=version("Assay", "WS-26-0906"))
    paths = ("/lot/0943", "/lot/0951", "/review/WS-26-0906", "/certificate/C-0951-1", "/solution/T-0918",
             "/assay/WS-26-0912", "/assays/new?about=0944&method=calcium-carbonate-by-excess-acid",
             "/assays/new?about=T-0917&method=hcl-by-sodium-carbonate",
             "/assays/new?about=0943&method=hydrochloric-acid-by-naoh&handling=diluted")
    forms = [form for path in paths for form in forms_of(maren.get(path), path) if form.action != "/sign-out"]
    assert len(forms) >= 20
    maren.raise_request_exception = False

    @settings(max_examples=80, deadline=None, database=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(data=st.data())
    def send(data):
        form = data.draw(st.sampled_from(forms))
        kept = {"act", "do", "csrfmiddlewaretoken", "password"}
        filled = {name: value if name in kept or data.draw(st.integers(0, 2)) else data.draw(STRANGE)
                  for name, value in form.fields.items()}
        answer = maren.post(form.action, filled)
        assert answer.status_code in (200, 302, 400, 403, 404, 405, 422, 429), (form.action, filled, plain(answer))

    send()
