"""Every act: who may do it, what event it leaves, and by which sentence it is refused.

What is tried here are the laboratory's own rules: a role for every act, nobody reviews their own work, a reason for
every change, nobody overwrites another's change, one act sent twice stored once. Records of changes with who, when and
the original: ISO/IEC 17025:2017, 7.5.2; authorised personnel for results and release: 6.2.6.
"""

import inspect
import json
import pkgutil
import uuid
from importlib import import_module

import pytest

from assaywright.metrology.refusal import Refusal

pytestmark = pytest.mark.usefixtures("laboratory")
BLANK = "WS-26-0906"  # whose method titrates an indicator blank
READINGS = {"gross": "61.4402 g", "tare": "57.4528 g", "initial": "0.00 mL", "final": "40.08 mL",
            "temperature": "21.0 °C"}
CHECKS = {"Was the sample of the right lot?": "yes, label seen"}
VESSEL = {"id": "B-99", "kind": "burette", "nominal": "50 mL", "class": "A", "standard": "ISO 385",
          "graduation": "0.1 mL"}
SOLUTION = {"name": "sodium hydroxide 0.5 mol/L", "formula": "NaOH", "nominal": "0.5 mol/L"}


def act(path, **arguments):
    module, name = path.split(".")
    return getattr(import_module(f"assaywright.actions.{module}"), name)(**arguments)


def version(model, **key):
    from assaywright.records import models

    return getattr(models, model).objects.get(**key).version


def events(subject=None):
    from assaywright.records.models import Event

    found = Event.objects.order_by("number")
    return list(found.filter(subject=subject) if subject else found)


def own_method():
    from assaywright.assay.method import library_text

    text = library_text("acetic-acid-by-naoh")
    return text.replace("acetic-acid-by-naoh", "vinegar-by-naoh")


def heading(number="WS-26-0960", lot="0945"):
    from assaywright.records.models import Assay

    found = Assay.objects.get(pk="WS-26-0903").content
    return {**found, "id": number, "sample": {**found["sample"], "lot": lot}}


def calibrated():
    given = ACTS["equipment.instrument_calibrate"][3]()
    return act("equipment.instrument_calibrate", **given, by="ines").number


def received():
    return act("equipment.material_receive", **ACTS["equipment.material_receive"][3](), by="ines").number


def kept(place, **texts):
    """Return the worksheet's number, once a determination, or at 0 its blank, is kept field by field."""
    from assaywright.actions.bench import reading_keep

    for name, text in texts.items():
        reading_keep(identity="WS-26-0903" if place else BLANK, place=place, name=name, text=text, by="ines")
    return {"identity": "WS-26-0903" if place else BLANK}


def without_blank():
    """Let the blank of its worksheet be to come still."""
    from assaywright.records.models import Assay

    content = Assay.objects.get(pk=BLANK).content
    Assay.objects.filter(pk=BLANK).update(body=json.dumps({key: one for key, one in content.items() if key != "blank"}))


# What each act needs, by whom it may be done, by whom not, and the kind of event that it leaves.
ACTS = {
    "people.person_add": ("maren", "jonas", "person.added", lambda: {
        "identity": "petra", "name": "Petra Lind", "roles": ["analyst"]}),
    "people.person_change_roles": ("maren", "ines", "person.roles.changed", lambda: {
        "identity": "tomas", "roles": ["reviewer"], "reason": "trained for it"}),
    "passwords.link_made": ("maren", "ines", "person.link.made", lambda: {"identity": "tomas"}),
    "bench.bench_check": ("ines", "nobody", "bench.checked", lambda: {
        "identity": "WS-26-0903", "checks": ["goggles and gloves"]}),
    "bench.question_confirm": ("ines", "nobody", "question.confirmed", lambda: {
        "identity": "WS-26-0903", "place": 4, "name": "final", "text": "41.20", "code": "far",
        "question": "41.20 mL is far from what is expected"}),
    "bench.determination_finish": ("ines", "nobody", "determination.recorded", lambda: {
        **kept(4, gross="61.4402", tare="57.4528", initial="0.00", final="40.09", temperature="21.0"), "place": 4}),
    "bench_blank.blank_finish": ("ines", "nobody", "assay.amended", lambda: (
        without_blank(), kept(0, initial="0.00", final="0.03"))[1]),
    "bench_blank.blank_correct": ("ines", "nobody", "assay.amended", lambda: {
        "identity": BLANK, "name": "final", "text": "0.03", "reason": "the meniscus was misread"}),
    "people.person_leave": ("maren", "ines", "person.left", lambda: {"identity": "tomas", "reason": "moved away"}),
    "equipment.instrument_register": ("ines", "nobody", "instrument.registered", lambda: {
        "identity": "B-99", "kind": "burette", "table": VESSEL}),
    "equipment.instrument_calibrate": ("ines", "nobody", "instrument.calibrated", lambda: {
        "identity": "P-20-03", "table": {"id": "P-20-03", "kind": "pipette", "nominal": "20 mL", "class": "A",
                                         "standard": "ISO 648", "certificate": {"id": "K-27-9", "due": "2027-11"}},
        "reason": "a new certificate"}),
    "second_look.instrument_check": ("jonas", "ines", "instrument.checked", lambda: {
        "identity": "P-20-03", "entry": calibrated()}),
    "second_look.material_check": ("jonas", "ines", "material.checked", lambda: {
        "identity": "RM-9", "entry": received()}),
    "equipment.instrument_withdraw": ("ines", "nobody", "instrument.withdrawn", lambda: {
        "identity": "P-20-03", "reason": "chipped at the tip"}),
    "equipment.material_receive": ("ines", "nobody", "material.received", lambda: {
        "identity": "RM-9", "table": {
            "name": "sodium carbonate", "formula": "Na2CO3", "content": "99.96 % ± 0.04 %, k = 2", "lot": "RM-9",
            "certificate": {"id": "RM-9", "issued": {"date": "2026-01-17"}, "traceable_to": "SI, by coulometry"}}}),
    "equipment.material_withdraw": ("ines", "nobody", "material.withdrawn", lambda: {
        "identity": "RM-SC-5", "reason": "damp when weighed"}),
    "equipment.method_adopt": ("jonas", "ines", "method.adopted", lambda: {
        "name": "vinegar-by-naoh", "text": own_method()}),
    "solutions.solution_prepare": ("ines", "nobody", "solution.prepared", lambda: {
        "identity": "T-0999", "table": SOLUTION, "prepared": "2026-11-27", "volume": "10 L"}),
    "solutions.solution_verify": ("ines", "nobody", "solution.verified", lambda: {
        "identity": "T-0918", "found": "0.4985 mol/L", "limit_percent": "0.2"}),
    "solutions.solution_specify": ("jonas", "ines", "solution.specified", lambda: {
        "identity": "T-0917", "table": {"maker": "Tarn Hollow Reagents", "limits": {
            "name": "amount concentration", "lower": "0.495 mol/L"}}}),
    "solutions.solution_discard": ("ines", "nobody", "solution.discarded", lambda: {
        "identity": "T-0918", "reason": "used up today"}),
    "products.product_define": ("jonas", "ines", "product.defined", lambda: {
        "name": "vinegar", "definition": {"characteristics": [{"name": "appearance", "required": "clear"}]}}),
    "products.product_revise": ("jonas", "ines", "product.revised", lambda: {
        "name": "acetic acid 30 % w/w", "reason": "a tighter limit",
        "definition": {"characteristics": [{"name": "appearance", "required": "clear"}]}}),
    "lots.lot_make": ("ines", "nobody", "lot.made", lambda: {
        "identity": "0945", "table": {"product": "acetic acid 30 % w/w", "maker": "Tarn Hollow Reagents"}}),
    "lots.lot_amend": ("ines", "nobody", "lot.amended", lambda: {
        "identity": "0941", "fields": {"quantity": "200 × 1 L"}, "reason": "the quantity was left out"}),
    "respecification.lot_respecify": ("jonas", "ines", "lot.respecified", lambda: revised() | {
        "identity": "0941", "reason": "the customer asks for the tighter limit"}),
    "lots.lot_sample": ("ines", "nobody", "lot.sampled", lambda: {
        "identity": "0941", "taken": "2026-11-29", "where": "tank 4"}),
    "lots.bottle_open": ("ines", "nobody", "bottle.opened", lambda: {
        "identity": "0941-3", "of": "0941", "opened": "2026-11-29"}),
    "characteristics.characteristic_enter": ("ines", "nobody", "characteristic.entered", lambda: {
        "identity": "0941", "reason": "measured again", "table": {
            "name": "chloride", "less_than": "1 mg/kg", "source": "T. Rehn, 2026-11-29"}}),
    "lots.lot_hold": ("ines", "nobody", "lot.held", lambda: {"identity": "0943", "reason": "outside its limits"}),
    "investigations.retest_authorise": ("jonas", "ines", "retest.authorised", lambda: held() | {
        "checks": CHECKS, "plan": "three determinations by Tomas Rehn"}),
    "investigations.investigation_conclude": ("jonas", "ines", "investigation.concluded", lambda: held() | {
        "verdict": "no laboratory error: the first result stands", "checks": CHECKS,
        "conclusion": "the lot is too strong"}),
    "lots.lot_release": ("maren", "jonas", "lot.released", lambda: reviewed_all() | {"identity": "0941"}),
    "characteristics.characteristic_check": ("jonas", "ines", "characteristic.checked", lambda: entered() | {}),
    "lots.lot_recall": ("maren", "jonas", "lot.recalled", lambda: released() | {
        "identity": "0941", "reason": "a wrong label on bottle 12"}),
    "lots.lot_reject": ("maren", "jonas", "lot.rejected", lambda: {"identity": "0943", "reason": "too strong"}),
    "assays.assay_begin": ("ines", "nobody", "assay.begun", lambda: {
        "heading": heading(), "about": "0945", "rests_on": ["WS-26-0878"]}),
    "assays.assay_amend": ("ines", "nobody", "assay.amended", lambda: {
        "identity": "WS-26-0903", "heading": heading("WS-26-0903", "0941"), "rests_on": ["WS-26-0878"],
        "reason": "the barometer misread"}),
    "assays.determination_record": ("ines", "nobody", "determination.recorded", lambda: {
        "identity": "WS-26-0903", "fields": READINGS}),
    "assays.determination_correct": ("ines", "nobody", "determination.corrected", lambda: {
        "identity": "WS-26-0903", "place": 1, "fields": READINGS, "reason": "misread at the bench"}),
    "bench_corrected.reading_correct": ("ines", "nobody", "determination.corrected", lambda: {
        "identity": "WS-26-0903", "place": 1, "name": "final", "text": "40.13", "fields": READINGS, "answers": (),
        "reason": "misread at the bench"}),
    "assays.determination_exclude": ("ines", "nobody", "determination.excluded", lambda: {
        "identity": "WS-26-0903", "place": 1, "reason": "spilt, seen"}),
    "assays.determination_readmit": ("ines", "nobody", "determination.readmitted", lambda: excluded() | {
        "identity": "WS-26-0903", "place": 1, "reason": "it was another flask"}),
    "assays.assay_send": ("ines", "nobody", "assay.sent", lambda: {"identity": "WS-26-0903"}),
    "assays.assay_return": ("jonas", "ines", "assay.returned", lambda: sent() | {
        "identity": "WS-26-0903", "reason": "the air is missing"}),
    "assays.assay_review": ("jonas", "tomas", "assay.reviewed", lambda: sent() | {
        "identity": "WS-26-0903", "worksheet_sha256": sha256("WS-26-0903")}),
    "reopening.assay_reopen": ("jonas", "ines", "assay.reopened", lambda: reviewed_all("WS-26-0903") | {
        "identity": "WS-26-0903", "reason": "the balance was found out of order"}),
    "reopening.assay_void": ("jonas", "ines", "assay.voided", lambda: {
        "identity": "WS-26-0903", "reason": "the wrong drum was sampled"}),
    "certificates.certificate_issue": ("maren", "jonas", "certificate.issued", lambda: released() | {"lot": "0941"}),
    "certificates.certificate_amend": ("maren", "jonas", "certificate.amended", lambda: issued() | {
        "number": "TH-26-0941-1", "changed": "asked for in German", "language": "de"}),
    "certificates.certificate_withdraw": ("maren", "jonas", "certificate.withdrawn", lambda: issued() | {
        "number": "TH-26-0941-1", "reason": "a wrong limit"}),
    "certificates.titrant_certificate_issue": ("maren", "jonas", "certificate.issued", lambda: reviewed_all() | {
        "solution": "T-0918"}),
    "irregularities.remark_accept": ("maren", "jonas", "remark.accepted", lambda: sent("WS-26-0912") | {
        "subject": "WS-26-0912", **first_hold("WS-26-0912"), "reason": "a coarse powder"}),
    "accreditation.accreditation_state": ("maren", "jonas", "accreditation.stated", lambda: {
        "identity": "TH-ACC-0001", "scope": "acetic acid by titration", "since": "2026-01-01",
        "covers": [{"method": "acetic-acid-by-naoh"}]}),
    "enquiries.enquiry_open": ("ines", "nobody", "enquiry.opened", lambda: {
        "about": "0941", "asked_by": "Fell and Arden", "received": "2026-11-20", "fields": {"found": "30.30 % w/w"}}),
    "enquiries.enquiry_reply": ("jonas", "ines", "enquiry.replied", lambda: enquired() | {
        "reply": "Please run a blank."}),
    "enquiries.enquiry_withdraw": ("ines", "nobody", "enquiry.withdrawn", lambda: enquired() | {
        "reason": "taken down twice"}),
    "files.file_attach": ("ines", "nobody", "file.attached", lambda: {
        "subject": "RM-SC-5", "name": "certificate.pdf", "data": b"%PDF-1.7"}),
    "signatures.signature_refuse": ("jonas", "nobody", "signature.refused", lambda: {
        "subject": "WS-26-0903", "meaning": "reviewed"}),
}


# --- what must have happened before ---


def revised(lower="29.6 % w/w", name="acetic acid 30 % w/w"):
    from assaywright.records.models import Product

    product = Product.objects.get(pk=name)
    content = product.content
    content["characteristics"][0]["lower"] = lower
    act("products.product_revise", name=product.pk, definition=content, by="maren", reason="other limits agreed upon")
    return {}


def held():
    act("lots.lot_hold", identity="0943", reason="outside its limits", by="ines")
    return {"identity": "0943"}


def entered():
    act("characteristics.characteristic_enter", identity="0941", by="ines", reason="measured again", table={
        "name": "chloride", "less_than": "1 mg/kg", "source": "T. Rehn, 2026-11-29"})
    return {"identity": "0941"}


def excluded():
    act("assays.determination_exclude", identity="WS-26-0903", place=1, reason="spilt, seen", by="ines")
    return {}


def sent(number="WS-26-0903"):
    act("assays.assay_send", identity=number, by="ines")
    return {}


def sha256(number):
    from assaywright.actions.assays import assay_of_number, sha256_of

    return sha256_of(assay_of_number(number))


def first_hold(number):
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    found = next(one for one in evaluate_assay(Assay.objects.get(pk=number)).remarks if one.holds)
    return {"kind": found.kind, "where": found.where, "what": found.what}


def reviewed_all(*numbers):
    for number in numbers or ("WS-26-0871", "WS-26-0874", "WS-26-0878", "WS-26-0903"):
        sent(number)
        act("assays.assay_review", identity=number, by="jonas", worksheet_sha256=sha256(number))
    return {}


def released():
    reviewed_all()
    act("lots.lot_release", identity="0941", by="maren")
    return {}


def issued():
    released()
    act("certificates.certificate_issue", lot="0941", by="maren")
    return {}


def enquired():
    _, _, _, asked = ACTS["enquiries.enquiry_open"]
    return {"identity": act("enquiries.enquiry_open", by="ines", **asked()).subject}


# --- the rules that hold for all ---


def test_no_act_is_left_out():
    import assaywright.actions as package
    from assaywright.records.models import Event

    acts = set()
    for found in pkgutil.iter_modules(package.__path__):
        module = import_module(f"assaywright.actions.{found.name}")
        acts |= {f"{found.name}.{name}" for name, one in inspect.getmembers(module, inspect.isfunction)
                 if one.__module__ == module.__name__ and not name.startswith("_")
                 and inspect.signature(one).return_annotation in (Event, "Event")
                 and "by" in inspect.signature(one).parameters}
    assert acts - {"history.history_import"} == set(ACTS), "histories are imported in tests of their own"


@pytest.mark.parametrize("path", ACTS)
def test_an_act_leaves_its_event_and_is_stored_once_however_often_it_is_sent(path):
    from assaywright.records.check import check_records

    by, _, kind, arguments = ACTS[path]
    given = {**arguments(), "by": by}
    before = len(events())
    takes_acts = "act" in inspect.signature(getattr(import_module(f"assaywright.actions.{path.split('.')[0]}"),
                                                    path.split(".")[1])).parameters
    sent_as = {"act": str(uuid.uuid4())} if takes_acts else {}
    event = act(path, **given, **sent_as)
    assert (event.kind, event.by) == (kind, by)
    assert len(events()) == before + 1
    if takes_acts:
        assert act(path, **given, **sent_as).number == event.number
        assert len(events()) == before + 1
    assert not check_records().faults


@pytest.mark.parametrize("path", ACTS)
def test_an_act_is_refused_to_whoever_may_not_and_leaves_nothing(path):
    from assaywright.actions.people import COMMAND, person_add

    _, not_by, _, arguments = ACTS[path]
    if not_by == "nobody":
        person_add(identity="nobody", name="Otto Nagel", roles=[], by=COMMAND)
        if path == "signatures.signature_refuse":
            not_by = "somebody-else"
    given = arguments()
    before = len(events())
    with pytest.raises(Refusal, match=r"may not do this as|nobody here is called"):
        act(path, **given, by=not_by)
    assert len(events()) == before


@pytest.mark.parametrize("path", [path for path, (*_, given) in ACTS.items() if "reason" in given.__code__.co_consts
                                  or any("reason" in (names or ()) for names in given.__code__.co_consts
                                         if isinstance(names, tuple))])
def test_a_change_without_a_reason_or_with_one_that_tells_nothing_is_refused(path):
    by, _, _, arguments = ACTS[path]
    given, before = {**arguments(), "by": by}, None
    for reason, refused in ((" \n", "the reason"), ("mistyped", "too short a reason"), ("a b", "too short a reason")):
        before = before or len(events())
        with pytest.raises(Refusal, match=refused):
            act(path, **{**given, "reason": reason})
    assert len(events()) == before


@pytest.mark.parametrize("path", [path for path in ACTS if path.split(".")[1] in (
    "person_change_roles", "instrument_calibrate", "product_revise", "lot_release", "assay_amend",
    "lot_amend", "lot_sample", "characteristic_enter", "characteristic_check", "lot_hold", "retest_authorise",
    "investigation_conclude", "lot_reject", "lot_recall",
    "determination_correct", "determination_exclude", "assay_send", "assay_return")])
def test_who_looked_at_an_older_version_overwrites_nothing(path):
    by, _, _, arguments = ACTS[path]
    given = {**arguments(), "by": by}
    before = len(events())
    with pytest.raises(Refusal, match="changed by somebody else while it lay open here"):
        act(path, **given, expected=1)
    assert len(events()) == before


def test_who_has_left_can_do_nothing():
    act("people.person_leave", identity="tomas", by="maren", reason="moved away")
    with pytest.raises(Refusal, match="has left the laboratory"):
        act("lots.lot_sample", identity="0941", taken="2026-11-29", where="tank 4", by="tomas")


# --- what each refuses of its own ---


def test_nobody_reviews_what_they_have_titrated_amended_or_sent():
    act("people.person_change_roles", identity="tomas", roles=["analyst", "reviewer"], by="maren", reason="trained now")
    act("assays.determination_record", identity="WS-26-0903", fields=READINGS, by="tomas")
    sent()
    for one in ("tomas",):
        with pytest.raises(Refusal, match="nobody reviews their own work"):
            act("assays.assay_review", identity="WS-26-0903", by=one, worksheet_sha256=sha256("WS-26-0903"))
        with pytest.raises(Refusal, match="nobody reviews their own work"):
            act("assays.assay_return", identity="WS-26-0903", by=one, reason="air in the burette")


def test_an_analyst_named_on_the_worksheet_does_not_review_it_though_somebody_else_imported_it():
    act("people.person_change_roles", identity="ines", roles=["analyst", "reviewer"], by="maren", reason="trained now")
    act("assays.assay_send", identity="WS-26-0903", by="tomas")
    with pytest.raises(Refusal, match="Ines Okafor has worked on WS-26-0903"):
        act("assays.assay_review", identity="WS-26-0903", by="ines", worksheet_sha256=sha256("WS-26-0903"))


def test_what_is_in_review_or_reviewed_is_not_changed():
    sent()
    for _ in range(2):
        for path, more in (("determination_record", {"fields": READINGS}),
                           ("determination_exclude", {"place": 1, "reason": "spilt at the bench"}), ("assay_send", {})):
            with pytest.raises(Refusal, match=r"WS-26-0903 is (in review|reviewed)"):
                act(f"assays.{path}", identity="WS-26-0903", by="ines", **more)
        if _ == 0:
            act("assays.assay_review", identity="WS-26-0903", by="jonas", worksheet_sha256=sha256("WS-26-0903"))


def test_another_worksheet_than_the_one_looked_at_is_not_signed():
    sent()
    with pytest.raises(Refusal, match="not the one that lay open here"):
        act("assays.assay_review", identity="WS-26-0903", by="jonas", worksheet_sha256="0" * 64)


def test_a_correction_keeps_the_readings_of_before():
    from assaywright.records.models import Determination

    old = Determination.objects.get(assay="WS-26-0903", place=1).content
    event = act("assays.determination_correct", identity="WS-26-0903", place=1, by="ines", reason="misread there",
                fields={**READINGS, "final": "40.08 mL"})
    told = json.loads(event.payload)
    assert told["before"] == old
    assert told["fields"]["final"] == "40.08 mL"


def test_readings_that_cannot_be_are_refused_with_their_place():
    with pytest.raises(Refusal, match="determination 4") as refused:
        act("assays.determination_record", identity="WS-26-0903", by="ines",
            fields={**READINGS, "initial": "40.00 mL", "final": "2.00 mL"})
    assert "final" in str(refused.value)


def test_two_people_do_not_record_under_one_number():
    act("assays.determination_record", identity="WS-26-0903", by="ines", fields=READINGS, place=4)
    with pytest.raises(Refusal, match="determination 4 is on record already"):
        act("assays.determination_record", identity="WS-26-0903", by="tomas", fields=READINGS, place=4)


def test_a_lot_is_not_released_before_every_assay_and_standardisation_below_it_is_reviewed():
    reviewed_all("WS-26-0903")
    with pytest.raises(Refusal, match="WS-26-0871 and WS-26-0874 and WS-26-0878 have not been reviewed"):
        act("lots.lot_release", identity="0941", by="maren")
    reviewed_all("WS-26-0871", "WS-26-0874", "WS-26-0878")
    act("lots.lot_release", identity="0941", by="maren")


def test_a_lot_outside_its_limits_is_not_released():
    reviewed_all("WS-26-0871", "WS-26-0874", "WS-26-0878", "WS-26-0909")
    with pytest.raises(Refusal, match="does not conform"):
        act("lots.lot_release", identity="0943", by="maren")


def test_a_second_assay_of_a_lot_waits_for_an_authorised_retest():
    """That a result outside its limits is not outweighed by testing again unasked: common practice, no source."""
    again = {"heading": heading("WS-26-0961", "0941"), "about": "0941", "rests_on": ["WS-26-0878"], "by": "ines"}
    with pytest.raises(Refusal, match="no retest is authorised"):
        act("assays.assay_begin", **again)
    act("lots.lot_hold", identity="0941", by="ines", reason="doubtful in my eyes")
    with pytest.raises(Refusal, match="no retest is authorised"):
        act("assays.assay_begin", **again)
    plan = act("investigations.retest_authorise", identity="0941", by="jonas", checks=CHECKS,
               plan="three by Tomas Rehn")
    begun = act("assays.assay_begin", **again)
    told = json.loads(begun.payload)
    assert (told["authorised"], told["retest_of"]) == (plan.number, "WS-26-0903")
    assert "retest of WS-26-0903, authorised by Jonas Feld" in told["heading"]["note"]
    with pytest.raises(Refusal, match="the retest that was authorised is WS-26-0961"):
        act("assays.assay_begin", **{**again, "heading": heading("WS-26-0962", "0941")})


def test_the_first_result_counts_until_the_investigation_lets_the_retest_count_and_stays_after():
    from assaywright.records.bridge import assay_of
    from assaywright.records.models import Lot, Result

    reviewed_all("WS-26-0903")
    act("lots.lot_hold", identity="0941", by="ines", reason="doubtful in my eyes")
    act("investigations.retest_authorise", identity="0941", by="jonas", checks=CHECKS, plan="three by Tomas Rehn")
    act("assays.assay_begin", heading=heading("WS-26-0961", "0941"), about="0941", rests_on=["WS-26-0878"], by="ines")
    for final in ("40.30 mL", "40.31 mL", "40.32 mL"):
        act("assays.determination_record", identity="WS-26-0961", by="ines", fields={**READINGS, "final": final})
    lot = Lot.objects.get(pk="0941")
    assert assay_of(lot, "acetic-acid-by-naoh").identity == "WS-26-0903"
    first = Result.objects.get(assay="WS-26-0903").value
    reviewed_all("WS-26-0961")
    assert assay_of(lot, "acetic-acid-by-naoh").identity == "WS-26-0903", "until the investigation is concluded so"
    act("investigations.investigation_conclude", identity="0941", by="jonas", conclusion="a bubble in the tip",
        verdict="laboratory error found: the retest counts")
    assert assay_of(lot, "acetic-acid-by-naoh").identity == "WS-26-0961"
    assert Result.objects.get(assay="WS-26-0903").value == first
    assert Result.objects.get(assay="WS-26-0961").value != first


def test_an_unanswered_check_authorises_no_retest():
    held()
    for checks in ({}, {**CHECKS, "Was the burette clean?": " "}):
        with pytest.raises(Refusal, match=r"the answer to|the check list is empty"):
            act("investigations.retest_authorise", identity="0943", by="jonas", checks=checks, plan="three")


@pytest.mark.parametrize(("found", "limit", "verdict"), [
    ("0.5010 mol/L", "0.2", "accepted"), ("0.5011 mol/L", "0.2", "restandardise"), ("0.4990 mol/L", "0.2", "accepted"),
    ("0.4989 mol/L", "0.2 %", "restandardise")])
def test_a_titrant_is_accepted_up_to_its_limit(found, limit, verdict):
    """Against 0.5000 mol/L, 0.2 % is 0.0010 mol/L: worked by hand."""
    act("solutions.solution_prepare", identity="T-0999", by="ines", table={
        **SOLUTION, "concentration": "0.5000 mol/L ± 0.0005 mol/L, k = 2", "certificate": {"id": "C-77"}})
    event = act("solutions.solution_verify", identity="T-0999", found=found, limit_percent=limit, by="ines")
    assert json.loads(event.payload)["verdict"] == verdict


def test_a_certificate_is_issued_once_and_its_bytes_are_kept_by_their_hash():
    import hashlib

    from assaywright.records.files import read
    from assaywright.records.models import Certificate

    with pytest.raises(Refusal, match="is not released"):
        act("certificates.certificate_issue", lot="0941", by="maren")
    released()
    event = act("certificates.certificate_issue", lot="0941", by="maren")
    certificate = Certificate.objects.get(pk="TH-26-0941-1")
    data = read(certificate.pdf_sha256)
    assert data.startswith(b"%PDF")
    assert hashlib.sha256(data).hexdigest() == json.loads(event.payload)["pdf_sha256"]
    assert json.loads(event.payload)["anchor"] == f"{event.number - 1}:{event.previous}"
    with pytest.raises(Refusal, match="has a certificate already"):
        act("certificates.certificate_issue", lot="0941", by="maren")


def test_an_amendment_says_what_changed_and_only_the_last_certificate_is_amended():
    from assaywright.records.models import Certificate

    issued()
    with pytest.raises(Refusal, match="what changed is missing"):
        act("certificates.certificate_amend", number="TH-26-0941-1", changed=" ", by="maren")
    act("certificates.certificate_amend", number="TH-26-0941-1", changed="asked for in German", language="de",
        by="maren")
    assert Certificate.objects.get(pk="TH-26-0941-1").superseded_by == "TH-26-0941-2"
    with pytest.raises(Refusal, match=r"is superseded by TH-26-0941-2"):
        act("certificates.certificate_amend", number="TH-26-0941-1", changed="again", by="maren")


@pytest.mark.parametrize("number", ["", " ", "a\nb", "x" * 61, "a\0b", "../etc"])
def test_a_number_that_no_label_shows_is_refused(number):
    for path, more in (("lots.lot_make", {"table": {"product": "acetic acid 30 % w/w"}}),
                       ("solutions.solution_prepare", {"table": SOLUTION}),
                       ("lots.bottle_open", {"of": "0941", "opened": "2026-11-29"})):
        with pytest.raises(Refusal, match=r"is missing|cannot be written like that"):
            act(path, identity=number, by="ines", **more)


@pytest.mark.parametrize("day", ["", "yesterday", "2026-02-30", "30.11.2026", "20261130T"])
def test_what_is_no_day_is_refused(day):
    with pytest.raises(Refusal, match=r"the day is missing|is no day"):
        act("lots.lot_sample", identity="0941", taken=day, where="tank 4", by="ines")


def test_what_has_been_done_was_not_done_tomorrow(laboratory):
    from datetime import timedelta

    from assaywright.actions.lots import bottle_open, lot_sample
    from assaywright.records import days

    tomorrow = (days.today() + timedelta(days=1)).isoformat()
    with pytest.raises(Refusal, match="has not come yet"):
        lot_sample(identity="0941", taken=tomorrow, where="drum 1", by="ines")
    with pytest.raises(Refusal, match="has not come yet"):
        bottle_open(identity="0941-1", of="0941", opened=tomorrow, by="ines")
    assert lot_sample(identity="0941", taken=days.today().isoformat(), where="drum 1", by="ines").kind == "lot.sampled"
