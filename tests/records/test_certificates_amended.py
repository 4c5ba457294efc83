"""Certificates amended, withdrawn, held back by a reopened worksheet, and issued for titrants stated in the records.

That an amended report identifies what was changed, and is uniquely told apart from the one that it replaces:
ISO/IEC 17025:2017, 7.8.8. The figures compared are those of the issued file itself, read here by pikepdf.
"""

import io
import json

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act, reviewed_all

pytestmark = pytest.mark.usefixtures("laboratory")
LIMITS = {"name": "amount concentration of HCl", "lower": "0.495 mol/L", "upper": "0.505 mol/L",
          "rule": "simple acceptance"}
STATED = {"maker": "Tarn Hollow Reagents", "made": "2026-09-25", "use_before": "2027-02", "storage": "in its bottle",
          "hazards": ["H290"], "limits": LIMITS}
BELOW = ("WS-26-0871", "WS-26-0874")


def stated(**changes):
    return act("solutions.solution_specify", identity="T-0917", table={**STATED, **changes}, by="maren",
               reason="as the safety data sheet now says")


def certified():
    """The acid, of which no worksheet file says what its certificate states; return the certificate's number."""
    reviewed_all(*BELOW)
    stated()
    return act("certificates.titrant_certificate_issue", solution="T-0917", by="maren").subject


def amended(number, **more):
    return act("certificates.certificate_amend", number=number, by="maren", **{"changed": "see the list", **more})


def payload(event):
    return json.loads(event.payload)


def file_of(number):
    from assaywright.records.files import read
    from assaywright.records.models import Certificate

    return read(Certificate.objects.get(pk=number).pdf_sha256)


def document_of(number):
    import pikepdf

    with pikepdf.open(io.BytesIO(file_of(number))) as opened:
        return json.loads(next(iter(opened.attachments.values())).get_file().read_bytes())


def text_of(number):
    import pypdf

    pages = pypdf.PdfReader(io.BytesIO(file_of(number))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


# --- titrants that the records describe -------------------------------------------------------------------------------


def test_a_titrant_gets_its_certificate_once_the_records_state_what_it_says_and_its_limits():
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    reviewed_all(*BELOW)
    with pytest.raises(Refusal, match="no reviewed standardisation certifies the solution T-0917"):
        act("certificates.titrant_certificate_issue", solution="T-0917", by="maren")
    stated()
    number = act("certificates.titrant_certificate_issue", solution="T-0917", by="maren").subject
    assert number == "C-T-0917-1"
    document = document_of(number)
    last = evaluate_assay(Assay.objects.get(pk="WS-26-0874")).result
    one = document["characteristics"][0]
    assert (one["name"], one["limits"], one["decision"]) == (
        "amount concentration of HCl", "0.495 to 0.505 mol/L", "conforms")
    assert one["numbers"]["value"] == last.estimate.value
    assert document["records"][0]["worksheet"] == "WS-26-0874"
    assert (document["storage"], [one["code"] for one in document["hazards"]]) == ("in its bottle", ["H290"])


@pytest.mark.parametrize(("changes", "sentence"), [
    ({"limits": {"name": "c"}}, "there is no limit to decide by"),
    ({"limits": {**LIMITS, "lower": "0.6 mol/L"}}, "lower"),
    ({"hazards": ["H999"]}, "hazards"),
    ({"use_before": "2026-08"}, "before the lot was made"),
    ({"maker": ""}, "maker")])
def test_what_no_certificate_could_say_of_a_titrant_is_refused(changes, sentence):
    with pytest.raises(Refusal, match=sentence) as told:
        stated(**changes)
    assert "toml" not in str(told.value)


def test_what_is_stated_of_a_titrant_is_stated_anew_with_a_reason_and_stays_in_its_event():
    stated()
    with pytest.raises(Refusal, match="the reason for stating it anew"):
        act("solutions.solution_specify", identity="T-0917", table=STATED, by="maren")
    assert payload(stated(storage="cool"))["before"]["storage"] == "in its bottle"


# --- amended ----------------------------------------------------------------------------------------------------------


def test_an_amendment_says_figure_by_figure_what_changed():
    first = certified()
    with pytest.raises(Refusal, match=f"nothing on record differs from {first}"):
        amended(first)
    works = "Fell Road 3, Tarn Hollow"
    stated(storage="tightly closed, in the dark", limits={**LIMITS, "lower": "0.499 mol/L"}, hazards=["H290", "H315"],
           place=works)
    event = amended(first, changed="Limits agreed anew.")
    told = {what: (before, now) for what, before, now in payload(event)["changes"]}
    assert told.pop("Address of the works")[1] == works
    assert told == {
        "amount concentration of HCl: specified": ("0.495 to 0.505 mol/L", "0.499 to 0.505 mol/L"),
        "Storage": ("in its bottle", "tightly closed, in the dark"),
        "Hazard statements": ("H290", "H290, H315")}
    text = text_of(event.subject)
    assert (f"This certificate takes the place of {first}. What changed, in the words of Maren Tolliver, who signs: "
            "“Limits agreed anew”. Head") in text
    assert "No figure, date or statement differs" not in text
    head = text.partition("Certificate of analysis")[0]
    assert works in head
    assert f"Amends {first}" in head, "beneath the number, on page 1"
    assert "Changes What Before Now" in text
    assert "0.495 to 0.505 mol/L 0.499 to 0.505 mol/L" in text
    assert [[one["what"], one["before"], one["now"]] for one in document_of(event.subject)["changes"]] == payload(
        event)["changes"]


def test_what_differs_otherwise_than_was_shown_is_not_signed():
    from assaywright.actions.certificates import changes_on_record, seen_as

    first = certified()
    stated(storage="cool")
    seen = seen_as(changes_on_record(first, by="maren"))
    stated(storage="cold")
    with pytest.raises(Refusal, match="something else differs"):
        amended(first, seen=seen)
    amended(first, seen=seen_as(changes_on_record(first, by="maren")))


def test_another_language_alone_takes_the_place_in_wording_only():
    first = certified()
    event = amended(first, language="de", changed="asked for by the customer")
    assert payload(event)["changes"] == [["Printed in", "English", "German"]]
    text = text_of(event.subject)
    assert f"tritt nur dem Wortlaut nach an die Stelle von {first}; es sagt dasselbe aus" in text
    assert "Sprache Englisch Deutsch" in text
    assert f"Keine Zahl, kein Datum und keine Aussage unterscheidet sich von {first}. Weshalb es" in text
    assert text.index(f"Ändert {first}") < text.index("Analysenzertifikat")
    with pytest.raises(Refusal, match="nothing on record differs"):
        amended(event.subject, language="de")


def test_a_german_amendment_says_its_changes_in_german():
    first = certified()
    stated(limits={**LIMITS, "lower": "0.499 mol/L"}, use_before="2027-03")
    text = text_of(amended(first, language="de").subject)
    assert "Spezifikation 0,495 bis 0,505 mol/L 0,499 bis 0,505 mol/L" in text
    assert "Verwendbar bis einschließlich 28. Februar 2027 31. März 2027" in text


# --- withdrawn --------------------------------------------------------------------------------------------------------


def test_a_withdrawn_certificate_stays_with_its_reason_and_can_be_issued_anew():
    from assaywright.assay.wording import written_date
    from assaywright.records import days
    from assaywright.records.check import check_records
    from assaywright.records.models import Certificate
    from assaywright.records.selectors.certificates import certificate_shown

    first = certified()
    before = file_of(first)
    with pytest.raises(Refusal, match="the reason is missing"):
        act("certificates.certificate_withdraw", number=first, reason=" ", by="maren")
    act("certificates.certificate_withdraw", number=first, reason="the burette was out of order", by="maren")
    shown = certificate_shown(Certificate.objects.get(pk=first))
    assert (shown.in_force, shown.withdrawn.because) == (False, "the burette was out of order")
    assert shown.file_name == f"{first}-withdrawn.pdf"
    assert file_of(first) == before
    with pytest.raises(Refusal, match="is withdrawn already"):
        act("certificates.certificate_withdraw", number=first, reason="again as planned", by="maren")
    second = amended(first, changed="the burette was in order; withdrawn by mistake").subject
    assert Certificate.objects.get(pk=first).superseded_by == second
    assert f"This certificate replaces {first}, withdrawn on" in text_of(second)
    text = text_of(second)
    head, _, rest = text.partition("Certificate of analysis")
    assert (f"because: the burette was out of order. No figure, date or statement differs from {first}. "
            "Why it is issued, in the words of Maren Tolliver, who signs: “the burette was in order") in rest
    assert f"Replaces {first}, withdrawn on {written_date(days.today())}" in head
    assert certificate_shown(Certificate.objects.get(pk=second)).same
    with pytest.raises(Refusal, match=f"is superseded by {second}"):
        act("certificates.certificate_withdraw", number=first, reason="again as planned", by="maren")
    assert not check_records().faults


# --- a worksheet reopened below ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("reopened", ["WS-26-0878", "WS-26-0871"], ids=["its own", "one below"])
def test_a_reopened_worksheet_blocks_issue_and_amendment(reopened):
    reviewed_all("WS-26-0878", *BELOW)
    first = act("certificates.titrant_certificate_issue", solution="T-0918", by="maren").subject
    act("reopening.assay_reopen", identity=reopened, reason="a reading was misread", by="maren")
    with pytest.raises(Refusal, match=f"{reopened} has not been reviewed"):
        amended(first, language="de")


# --- the day of issue -------------------------------------------------------------------------------------------------


def test_the_day_of_issue_is_the_day_of_issue_and_never_that_of_an_imported_worksheet():
    """T-0918 was imported with a day of issue of its own, 1 October 2026."""
    from assaywright.records import days

    reviewed_all("WS-26-0878", *BELOW)
    number = act("certificates.titrant_certificate_issue", solution="T-0918", by="maren").subject
    assert document_of(number)["issued"] == days.today().isoformat()
    assert "1 October 2026" not in text_of(number).partition("Results")[0]


def test_a_lot_is_issued_when_its_certificate_is_and_an_old_day_of_issue_holds_no_retest_back():
    """Lot 0941 was imported as issued on 9 October 2026."""
    from assaywright.records.bridge import evaluate_lot_record
    from assaywright.records.models import Lot

    lot = Lot.objects.get(pk="0941")
    assert lot.content["issued"]
    assert evaluate_lot_record(lot).lot.issued is None


def test_an_irregularity_that_was_accepted_stands_on_the_first_certificate_of_an_imported_lot():
    from assaywright.actions.lots import lot_release
    from assaywright.records import days
    from assaywright.records.bridge import evaluate_lot_record
    from assaywright.records.models import Lot

    outcome = evaluate_lot_record(Lot.objects.get(pk="0944"))
    reviewed_all("WS-26-0878", *BELOW, *(one.worksheet.identity for one in outcome.outcomes))
    held = evaluate_lot_record(Lot.objects.get(pk="0944")).holds
    for one in held:
        act("irregularities.remark_accept", subject="WS-26-0912", kind=one.kind, where=one.where, what=one.what,
            by="maren", reason="a coarse powder")
    lot_release(identity="0944", by="maren")
    number = act("certificates.certificate_issue", lot="0944", by="maren").subject
    document = document_of(number)
    assert len(document["accepted"]) == len(held) > 0
    assert not [one for one in document["accepted"] if "toml" in one["where"]]
    assert document["issued"] == days.today().isoformat()
