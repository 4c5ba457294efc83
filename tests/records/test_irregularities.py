"""Irregular results that somebody lets pass, what the accreditation covers, and certificates of titrants.

That work which departs from a method is justified and authorised, and that the customer's report says so: ISO/IEC
17025:2017, 7.2.1.7 and 7.8.2.1 n (from memory); that who judges has not done the work, and that a report claims
accreditation for what is covered only: common practice, no source.
"""

import json
from datetime import date

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act, events, first_hold, released, reviewed_all, sent

pytestmark = pytest.mark.usefixtures("laboratory")
FARTHER = "WS-26-0912"  # the determinations lie further apart than the method's rule of acceptance allows
WHY = "a coarse powder; the range is that of its portions"


@pytest.fixture
def settings_of(monkeypatch):
    from django.conf import settings

    return lambda **changes: [monkeypatch.setattr(settings, key, value) for key, value in changes.items()]


def lot(number):
    from assaywright.records.models import Lot

    return Lot.objects.get(pk=number)


def holds_of(number):
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    return [{"kind": one.kind, "where": one.where, "what": one.what}
            for one in evaluate_assay(Assay.objects.get(pk=number)).remarks if one.holds]


def accept(subject, remark, **more):
    return act("irregularities.remark_accept", **{"subject": subject, **remark, "reason": WHY, "by": "maren", **more})


def accepted(subject=FARTHER):
    for one in holds_of(FARTHER):
        accept(subject, one)


def reviewed_0944():
    reviewed_all("WS-26-0871", "WS-26-0874", "WS-26-0878", FARTHER)


def pdf_text(data):
    import io

    import pypdf

    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split())


def printed(number):
    """The words of a certificate's file, and its figures for programs."""
    import io

    import pikepdf

    from assaywright.records.files import read
    from assaywright.records.models import Certificate

    data = read(Certificate.objects.get(pk=number).pdf_sha256)
    with pikepdf.open(io.BytesIO(data)) as opened:
        return pdf_text(data), json.loads(opened.attachments["document.json"].get_file().read_bytes())


# --- irregular results ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("subject", [FARTHER, "0944"])
def test_what_was_accepted_with_a_reason_is_released_and_stands_on_the_certificate(subject):
    reviewed_0944()
    with pytest.raises(Refusal, match=r"beyond 0\.4 %"):
        act("lots.lot_release", identity="0944", by="maren")
    first, *others = holds_of(FARTHER)
    accept(subject, first)
    with pytest.raises(Refusal, match="2 further needed"):
        act("lots.lot_release", identity="0944", by="maren")
    for one in others:
        accept(subject, one)
    act("lots.lot_release", identity="0944", by="maren")
    text, document = printed(act("certificates.certificate_issue", lot="0944", by="maren").subject)
    assert "Irregularities accepted" in text
    assert first["what"] in text
    assert f"by Maren Tolliver: {WHY}" in text
    assert [one["what"] for one in document["accepted"]] == [first["what"], *(one["what"] for one in others)]


def test_the_laboratorys_copy_says_what_was_accepted_and_is_no_longer_held_back():
    from assaywright.assay.working_document import working_document
    from assaywright.records.accepted import accepted_of
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay
    from assaywright.reports.render import working_pdf

    sent(FARTHER)
    outcome = evaluate_assay(Assay.objects.get(pk=FARTHER))
    assert not working_document(outcome, accepted_of(FARTHER)).released
    accepted()
    document = working_document(outcome, accepted_of(FARTHER))
    assert document.released
    assert [one.reason for one in document.accepted] == [WHY, WHY]
    assert WHY in pdf_text(working_pdf(document))


def test_a_certificate_of_what_was_never_irregular_says_nothing_of_it():
    released()
    text, document = printed(act("certificates.certificate_issue", lot="0941", by="maren").subject)
    assert "Irregularities accepted" not in text
    assert document["accepted"] == []


def test_what_was_found_in_words_names_whoever_released_the_lot_and_as_what():
    released()
    text, _ = printed(act("certificates.certificate_issue", lot="0941", by="maren").subject)
    assert "in the judgement of Maren Tolliver, " in text
    assert "the person named" not in text.split("Metrological")[0].split("Conformity")[1]


def test_a_certificate_of_the_demonstration_says_so_on_every_page_and_one_of_a_laboratory_does_not(settings_of):
    released()
    text, document = printed(act("certificates.certificate_issue", lot="0941", by="maren").subject)
    assert "certifies nothing" not in text
    assert document["demonstration"] == ""
    settings_of(DEMONSTRATION=True)
    from assaywright.actions.certified import document_of
    from assaywright.actions.certified import released as of_lot
    from assaywright.records.models import Person

    now = document_of(of_lot("0941"), Person.objects.get(pk="maren"), "C-1", "")
    assert now.demonstration == "Demonstration: certifies nothing"


def test_a_remark_that_reads_otherwise_is_another_one_and_holds_again():
    from assaywright.records.bridge import evaluate_lot_record
    from assaywright.records.models import Determination

    sent(FARTHER)
    accepted()
    assert evaluate_lot_record(lot("0944")).releasable
    act("assays.assay_return", identity=FARTHER, by="jonas", reason="a misreading")
    row = Determination.objects.filter(assay=FARTHER).order_by("place").first()
    final = row.content["final"]
    changed = f"{float(final.removesuffix(' mL')) - 0.05:.2f} mL"
    act("assays.determination_correct", identity=FARTHER, place=row.place, fields={**row.content, "final": changed},
        by="tomas", reason="misread at the bench")
    assert [one.kind for one in evaluate_lot_record(lot("0944")).holds] == ["replicates-not-accepted"] * 2


def test_a_result_outside_its_limits_is_never_accepted():
    from assaywright.records.bridge import evaluate_lot_record

    reviewed_all("WS-26-0871", "WS-26-0874", "WS-26-0878", "WS-26-0909")
    outside = evaluate_lot_record(lot("0943")).holds[0]
    named = {"kind": outside.kind, "where": outside.where, "what": outside.what}
    before = len(events())
    with pytest.raises(Refusal, match="a result outside its limits is never accepted"):
        accept("0943", named)
    assert len(events()) == before
    with pytest.raises(Refusal, match="does not conform"):
        act("lots.lot_release", identity="0943", by="maren")


def test_an_acceptance_that_came_by_another_way_lets_no_result_outside_its_limits_pass():
    """The event is put in past the act, as somebody with the database might; the evaluation heeds it no more."""
    from assaywright.records.bridge import evaluate_lot_record
    from assaywright.records.log import append

    outside = evaluate_lot_record(lot("0943")).holds[0]
    append("remark.accepted", subject="0943", by="maren", reason=WHY, payload={
        "kind": outside.kind, "where": outside.where, "what": outside.what, "meaning": "none"})
    assert evaluate_lot_record(lot("0943")).holds == (outside,)


@pytest.mark.parametrize("kind", ["out-of-specification", "characteristic-undecided", "lot-differs",
                                  "reviewer-is-analyst", "one-identity-twice"])
def test_some_kinds_are_no_matter_of_judgement(kind):
    with pytest.raises(Refusal, match="is never accepted"):
        accept("0944", {"kind": kind, "where": "x", "what": "y"})


def test_nobody_accepts_what_they_have_worked_on_or_what_rests_on_it():
    sent(FARTHER)
    act("people.person_change_roles", identity="tomas", roles=["analyst", "authorised signatory"], by="maren",
        reason="promoted last week")
    with pytest.raises(Refusal, match="Tomas Rehn has worked on WS-26-0912"):
        accept(FARTHER, first_hold(FARTHER), by="tomas")
    act("people.person_change_roles", identity="ines", roles=["analyst", "authorised signatory"], by="maren",
        reason="promoted last week")
    with pytest.raises(Refusal, match=r"Ines Okafor has worked on WS-26-0\d+"):
        accept(FARTHER, first_hold(FARTHER), by="ines")


def test_what_is_not_in_review_is_not_there_or_accepted_already_is_refused():
    with pytest.raises(Refusal, match="WS-26-0912 is titrating"):
        accept(FARTHER, first_hold(FARTHER))
    sent(FARTHER)
    with pytest.raises(Refusal, match="not held back by that remark"):
        accept(FARTHER, {**first_hold(FARTHER), "what": "something else"})
    with pytest.raises(Refusal, match="no worksheet and no lot 0999"):
        accept("0999", first_hold(FARTHER))
    accept(FARTHER, first_hold(FARTHER))
    for subject in (FARTHER, "0944"):
        with pytest.raises(Refusal, match="accepted already"):
            accept(subject, first_hold(FARTHER))


def test_of_a_lot_on_hold_nothing_is_accepted():
    sent(FARTHER)
    act("lots.lot_hold", identity="0944", by="ines", reason="doubtful in my eyes")
    with pytest.raises(Refusal, match="the lot 0944 is on hold"):
        accept("0944", first_hold(FARTHER))


# --- the accreditation ------------------------------------------------------------------------------------------------


def flagged():
    """Let the product ask for its titrated characteristic and one that is entered to be reported as accredited."""
    from assaywright.records.models import Product

    product = Product.objects.get(pk="acetic acid 30 % w/w")
    definition = product.content
    for one in definition["characteristics"]:
        one["accredited"] = True
    act("products.product_revise", name=product.pk, definition=definition, by="maren", reason="accredited since May")
    act("respecification.lot_respecify", identity="0941", by="jonas", reason="the edition that asks for it")
    return [one["name"] for one in definition["characteristics"]]


def stated(*covers, since="2026-01-01", **more):
    return act("accreditation.accreditation_state", **{
        "identity": "TH-ACC-0001", "scope": "acetic acid by titration", "since": since, "covers": list(covers),
        "by": "maren", **more})


def marked(number="0941"):
    from assaywright.records.bridge import evaluate_lot_record

    return [one.name for one in evaluate_lot_record(lot(number)).characteristics if one.characteristic.accredited]


METHOD, PRODUCT = "acetic-acid-by-naoh", "acetic acid 30 % w/w"


def test_what_a_specification_says_is_not_enough():
    flagged()
    assert marked() == []


def test_what_the_accreditation_covers_is_not_marked_unless_the_product_asks_for_it():
    stated({"method": METHOD}, {"characteristic": "chloride"})
    assert marked() == []


@pytest.mark.parametrize(("line", "covers"), [
    ({"method": METHOD}, True), ({"method": f"{METHOD}.toml", "product": PRODUCT}, True),
    ({"method": METHOD, "product": "another"}, False), ({"method": METHOD, "characteristic": "another"}, False),
    ({"method": "hcl-by-tris"}, False), ({"product": PRODUCT, "characteristic": "chloride"}, False)])
def test_a_titrated_result_is_covered_by_a_line_that_names_its_method(line, covers):
    from assaywright.records.models import Product

    flagged()
    stated(line)
    titrated = next(one["name"] for one in Product.objects.get(pk=PRODUCT).content["characteristics"]
                    if one.get("method"))
    assert (titrated in marked()) is covers
    assert ("chloride" in marked()) is (line.get("characteristic") == "chloride")


def test_an_accreditation_that_ended_or_began_after_the_assay_covers_nothing():
    """The assay of lot 0941 was performed on 2026-10-05."""
    flagged()
    stated({"method": METHOD}, since="2026-10-06")
    assert marked() == []
    stated({"method": METHOD}, since="2026-10-05", reason="the day was misread")
    assert len(marked()) == 1
    stated(identity="", scope="", since="2026-11-01", reason="given back")
    assert marked() == []


def test_the_certificate_marks_each_result_and_names_the_accreditation():
    flagged()
    stated({"method": METHOD})
    released()
    text, document = printed(act("certificates.certificate_issue", lot="0941", by="maren").subject)
    assert [one["accredited"] for one in document["characteristics"]].count(True) == 1
    assert document["accreditation_number"] == "TH-ACC-0001"
    assert "Number of the accreditation: TH-ACC-0001." in text
    assert "the others are not" in text


@pytest.mark.parametrize(("given", "sentence"), [
    ({"covers": [{"product": PRODUCT}]}, "line 1: it names no method and no characteristic"),
    ({"covers": [{"method": METHOD}], "identity": " "}, "number is missing"),
    ({"covers": [{"method": METHOD}], "scope": " "}, "the scope is missing"),
    ({"covers": [], "since": "soon"}, "is no day")])
def test_a_statement_that_says_nothing_is_refused(given, sentence):
    with pytest.raises(Refusal, match=sentence):
        act("accreditation.accreditation_state", **{
            "identity": "TH-ACC-0001", "scope": "titrations", "since": "2026-01-01", "by": "maren", **given})


def test_what_was_stated_before_is_replaced_with_a_reason_only():
    stated({"method": METHOD})
    with pytest.raises(Refusal, match="the reason for stating it anew"):
        stated({"method": METHOD})


# --- titrants ---------------------------------------------------------------------------------------------------------


def test_a_titrant_is_certified_by_its_own_standardisation_once_all_below_is_reviewed():
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay, Certificate

    with pytest.raises(Refusal, match="no reviewed standardisation certifies"):
        act("certificates.titrant_certificate_issue", solution="T-0918", by="maren")
    reviewed_all("WS-26-0878")
    with pytest.raises(Refusal, match="WS-26-0871 and WS-26-0874 have not been reviewed"):
        act("certificates.titrant_certificate_issue", solution="T-0918", by="maren")
    reviewed_all("WS-26-0871", "WS-26-0874")
    stated({"method": "naoh-against-hcl"})
    number = act("certificates.titrant_certificate_issue", solution="T-0918", by="maren").subject
    certificate = Certificate.objects.get(pk=number)
    assert (number, certificate.lot, certificate.worksheet) == ("TH-26-T0918-1", "T-0918", "WS-26-0878")
    text, document = printed(number)
    result = evaluate_assay(Assay.objects.get(pk="WS-26-0878")).result
    assert document["characteristics"][0]["numbers"]["value"] == result.estimate.value
    assert document["characteristics"][0]["accredited"]
    assert "Signed: in the laboratory’s records" in text
    with pytest.raises(Refusal, match="has a certificate already"):
        act("certificates.titrant_certificate_issue", solution="T-0918", by="maren")
    later = act("certificates.certificate_amend", number=number, changed="asked for in German", language="de",
                by="maren").subject
    assert later == "TH-26-T0918-2"
    assert Certificate.objects.get(pk=number).superseded_by == later


def test_a_titrant_without_limits_of_its_own_or_out_of_use_has_no_certificate():
    reviewed_all()
    with pytest.raises(Refusal, match="no reviewed standardisation certifies the solution T-0917"):
        act("certificates.titrant_certificate_issue", solution="T-0917", by="maren")
    act("solutions.solution_discard", identity="T-0918", by="ines", reason="used up today")
    with pytest.raises(Refusal, match="no solution T-0918 in use"):
        act("certificates.titrant_certificate_issue", solution="T-0918", by="maren")


def test_the_days_compared_are_those_of_the_laboratory():
    """A statement that begins today covers what is issued today; worked by hand."""
    from assaywright.records import days
    from assaywright.records.accreditation import covers, statement_on

    stated({"characteristic": "chloride"}, since=days.today().isoformat())
    now = statement_on(days.today().isoformat())
    assert covers(now, method="", product="any", characteristic="chloride")
    assert statement_on(date(2020, 1, 1).isoformat()) is None
