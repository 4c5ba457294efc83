"""What a signature binds: worksheet, result and all that it rests on; what is other afterwards is named.

That signatures are tied to what was signed, and that amendments show who, when and what: ISO/IEC 17025:2017, 7.5.2 and
7.11.3. Hashes by hashlib (SHA-256, FIPS 180-4).
"""

import hashlib
import json

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.tampering import chain_anew, put_guards_back, take_guards_away
from tests.records.test_acts import act, events, reviewed_all, sent, sha256
from tests.records.test_check import command, settings_of_files  # noqa: F401 - fixtures by their names

pytestmark = pytest.mark.usefixtures("laboratory")
SHEET, BELOW = "WS-26-0903", "WS-26-0878"


def assay(number):
    from assaywright.records.models import Assay

    return Assay.objects.get(pk=number)


def below_is_other(by_mL="0.20"):
    """The standardisation is opened again, one of its readings corrected, and it is signed anew."""
    from decimal import Decimal

    from assaywright.records.models import Determination

    act("reopening.assay_reopen", identity=BELOW, by="maren", reason="the protocol of the balance was found")
    for row in Determination.objects.filter(assay=BELOW):
        fields = row.content
        final = Decimal(fields["final"].removesuffix(" mL")) + Decimal(by_mL)
        act("assays.determination_correct", identity=BELOW, place=row.place, by="ines",
            fields={**fields, "final": f"{final} mL"}, reason="read again from the protocol")
    sent(BELOW)
    return act("assays.assay_review", identity=BELOW, by="jonas", worksheet_sha256=sha256(BELOW))


def forged_readings(number):
    """Somebody changes a reading and makes chain and tables anew, so that every hash of the chain fits."""
    from assaywright.records import rebuild
    from assaywright.records.models import Event

    event = Event.objects.get(kind="assay.imported", subject=number)
    reading = json.loads(event.payload)["determinations"][0]["final"]
    take_guards_away()
    chain_anew(event.number, payload=event.payload.replace(f'"{reading}"', '"23.21 mL"'))
    put_guards_back()
    rebuild.rebuild()


def test_a_review_binds_the_result_and_everything_below_by_its_hash():
    from assaywright.records.bridge import worksheet_bytes
    from assaywright.records.models import Result

    reviewed_all()
    signed = json.loads(events(SHEET)[-1].payload)
    kept = Result.objects.get(assay=SHEET)
    assert signed["result"]["event"] == kept.pk
    assert (signed["result"]["value"], signed["result"]["unit"]) == (kept.value, kept.unit)
    assert signed["rests_on"] == {
        number: hashlib.sha256(worksheet_bytes(assay(number))).hexdigest()
        for number in ("WS-26-0871", "WS-26-0874", "WS-26-0878")}


def test_another_result_below_brings_what_rests_on_it_back_to_be_signed_anew():
    from assaywright.records.selectors.assays import signed_by

    reviewed_all()
    below_is_other()
    event = events(SHEET)[-1]
    told = json.loads(event.payload)
    assert (event.kind, assay(SHEET).stage) == ("assay.unsettled", "in review")
    assert event.reason.startswith(f"{BELOW} was reviewed anew (event ")
    assert told["result_before"] != told["result_now"]
    assert "the figures before the last result" in signed_by(SHEET)[0]
    with pytest.raises(Refusal, match=f"{SHEET} has not been reviewed"):
        act("lots.lot_release", identity="0941", by="maren")
    act("assays.assay_review", identity=SHEET, by="jonas", worksheet_sha256=sha256(SHEET))
    assert signed_by(SHEET)[-1].endswith(f"signed of {told['result_now']}")


def test_the_same_result_below_leaves_the_signatures_above():
    reviewed_all()
    below_is_other("0.00")
    assert assay(SHEET).stage == "reviewed"
    assert events(SHEET)[-1].kind == "assay.reviewed"


def test_a_result_that_came_out_otherwise_since_it_was_sent_is_not_signed():
    from assaywright.records.models import Determination

    sent(SHEET)
    for one in Determination.objects.filter(assay=BELOW):
        act("assays.determination_correct", identity=BELOW, place=one.place, by="ines", reason="read once more",
            fields={**one.content, "initial": "0.30 mL"})
    with pytest.raises(Refusal, match="what it rests on has changed"):
        act("assays.assay_review", identity=SHEET, by="jonas", worksheet_sha256=sha256(SHEET))


def test_a_worksheet_that_is_not_the_signed_one_is_named_by_a_plain_check_and_before_a_release(command):  # noqa: F811
    reviewed_all()
    assert command("check-records")[0] == 0
    forged_readings(SHEET)
    status, out, _ = command("check-records")
    assert status == 1
    assert f"{SHEET}: the worksheet is not the one that Jonas Feld signed" in out
    with pytest.raises(Refusal, match="is not the one that Jonas Feld signed"):
        act("lots.lot_release", identity="0941", by="maren")


def test_a_head_that_a_kept_certificate_prints_is_held_against_event_and_chain(command):  # noqa: F811
    from assaywright.records.models import Certificate, Event

    reviewed_all()
    act("lots.lot_release", identity="0941", by="maren")
    act("certificates.certificate_issue", lot="0941", by="maren")
    assert command("check-records")[0] == 0
    event = Event.objects.get(kind="certificate.issued")
    payload = json.loads(event.payload)
    take_guards_away()
    number = payload["anchor"].split(":")[0]
    chain_anew(2, reason="rewritten after the check")
    payload["anchor"] = f"{number}:{Event.objects.get(number=number).digest}"
    chain_anew(event.number, payload=json.dumps(payload, ensure_ascii=False, sort_keys=True, separators=(",", ":")))
    put_guards_back()
    from assaywright.records import rebuild

    rebuild.rebuild()
    status, out, _ = command("check-records")
    assert status == 1
    printed = Certificate.objects.get(lot="0941").number
    assert f"event {number} is not the one whose hash the certificate {printed} prints" in out
    assert f"the certificate {printed} prints another head of the records than its event states" in out


def test_a_result_whose_upstream_was_lawfully_changed_is_no_fault(command):  # noqa: F811
    reviewed_all()
    signed = below_is_other("0.0001")
    assert assay(SHEET).stage == "reviewed", "it is printed alike"
    status, out, _ = command("check-records", "--recompute", SHEET)
    assert status == 0, out
    assert f"since it rests on {BELOW}, reviewed anew as event {signed.number}" in out


def test_the_files_of_a_lot_give_its_certificates_figures_and_the_hash_that_it_prints(settings_of_files, tmp_path):  # noqa: F811
    from assaywright.cli import main
    from assaywright.cli.records_carry import CERTIFIED
    from assaywright.records import carried, files
    from assaywright.records.models import Certificate, Lot
    from assaywright.reports.attached import attached_document

    reviewed_all()
    act("lots.lot_release", identity="0941", by="maren")
    act("certificates.certificate_issue", lot="0941", by="maren")
    lot = Lot.objects.get(pk="0941")
    for name, data in carried.export_lot(lot).items():
        (tmp_path / name).write_bytes(data)
    printed = carried.printed_on(lot)
    said = [text for option, key in CERTIFIED.items() for text in (option, printed[key])]
    assert main(["certify", str(tmp_path / "lot-0941.toml"), "-o", str(tmp_path / "lot.pdf"), *said]) == 0
    ours = attached_document((tmp_path / "lot.pdf").read_bytes())
    issued = attached_document(files.read(Certificate.objects.get(lot="0941").pdf_sha256))
    digest = hashlib.sha256((tmp_path / "lot-0941.toml").read_bytes()).hexdigest()
    assert ours["lot_sha256"] == issued["lot_sha256"] == digest
    assert ours["characteristics"] == issued["characteristics"]
    assert [one["sha256"] for one in ours["records"]] == [one["sha256"] for one in issued["records"]]
    assert {key: ours[key] for key in ("number", "issued", "responsible")} == {
        key: issued[key] for key in ("number", "issued", "responsible")}
