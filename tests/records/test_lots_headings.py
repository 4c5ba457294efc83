"""What a lot's heading may say, how it is corrected, and how a lot is recalled.

That an amendment keeps the earlier information: ISO/IEC 17025:2017, 7.5.2; the rest: common practice, no source.
"""

import json
from datetime import date

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act, issued, released, reviewed_all

pytestmark = pytest.mark.usefixtures("laboratory")
PRODUCT = "acetic acid 30 % w/w"


def lot(number="0941"):
    from assaywright.records.models import Lot

    return Lot.objects.get(pk=number)


def made(quantity="200 L", **table):
    return act("lots.lot_make", identity="0951", by="ines", quantity=quantity,
               table={"product": PRODUCT, "made": {"date": "2026-11-20"}, **table})


def amended(number="0941", by="ines", **fields):
    return act("lots.lot_amend", identity=number, fields=fields, by=by, reason="mistyped by me")


@pytest.mark.parametrize(("said", "refused"), [
    ({"use_before": "2026-11-20"}, "not after the lot was made"), ({"use_before": "2026-10"}, "not after the lot was"),
    ({"use_before": "soon"}, "is no day"), ({"made": {"date": "2099-01-01"}}, "has not come yet"),
    ({"quantity": "-5 bananas"}, "quantity"), ({"quantity": "-5 L"}, "no amount that could have been made"),
    ({"quantity": "0 L"}, "no amount"), ({"quantity": "200"}, "neither a volume nor a mass"),
    ({"quantity": "20 °C"}, "neither a volume nor a mass"), ({"quantity": "0 x 1 L"}, "no amount")])
def test_a_heading_that_cannot_be_is_refused(said, refused):
    with pytest.raises(Refusal, match=refused):
        made(**said)
    with pytest.raises(Refusal, match=refused):
        amended(**{key: one["date"] if isinstance(one, dict) else one for key, one in said.items()}
                | ({"made": "2026-11-20"} if "use_before" in said else {}))


@pytest.mark.parametrize("quantity", ["200 L", "25 kg", "200 x 1 L", "20 × 2.5 L", ""])
def test_a_quantity_is_a_volume_a_mass_or_packages_of_one(quantity):
    made(quantity, use_before="2026-11")
    assert lot("0951").content["quantity"] == quantity
    assert lot("0951").content["maker"] == "Tarn Hollow Reagents", "the product's own where the lot says nothing"


def test_without_maker_and_storage_there_is_no_lot():
    act("products.product_define", name="vinegar", by="jonas",
        definition={"characteristics": [{"name": "appearance", "required": "clear"}], "storage": "cool"})
    with pytest.raises(Refusal, match="the maker is missing"):
        made(product="vinegar")


def test_a_corrected_heading_keeps_what_stood_there_and_is_for_a_signatory_after_release():
    from assaywright.records.check import check_records
    from assaywright.records.selectors.history import history

    amended(made="2026-10-01", quantity="200 L")
    assert (lot().made, lot().content["quantity"]) == ("2026-10-01", "200 L")
    told = history("0941", of="lot")[-1]
    assert "made: 2026-10-02 → 2026-10-01" in told.details
    assert told.reason == "mistyped by me"
    with pytest.raises(Refusal, match="nothing of the heading changes"):
        amended(made="2026-10-01")
    released()
    with pytest.raises(Refusal, match="may not do this as"):
        amended(customer="Brackwater Dyeworks")
    amended(customer="Brackwater Dyeworks", by="maren")
    assert not check_records().faults


def test_a_certificate_that_states_the_old_heading_is_named_and_one_after_it_is_not():
    from assaywright.records.selectors.lots import lot_shown

    amended(storage="tightly closed")
    issued()
    assert lot_shown(lot()).outdated == ()
    amended(by="maren", quantity="200 L")
    assert lot_shown(lot()).outdated == (), "no certificate states the quantity"
    amended(by="maren", storage="tightly closed, 10 °C to 25 °C")
    assert lot_shown(lot()).outdated == ("TH-26-0941-1",)
    act("certificates.certificate_amend", number="TH-26-0941-1", changed="storage", by="maren")
    assert lot_shown(lot()).outdated == ()


def test_nothing_is_sampled_or_opened_before_the_lot_was_made():
    for path, more in (("lots.lot_sample", {"identity": "0941", "taken": "2026-10-01", "where": "tank 4"}),
                       ("lots.bottle_open", {"identity": "0941-1", "of": "0941", "opened": "2026-10-01"})):
        with pytest.raises(Refusal, match="the lot was made on 2026-10-02"):
            act(path, by="ines", **more)
    act("lots.bottle_open", identity="0941-1", of="0941", opened="2026-10-02", by="ines")
    with pytest.raises(Refusal, match="its bottle 0941-1 opened on 2026-10-02"):
        amended(made="2026-10-03")


def test_a_sample_entered_late_stands_on_the_certificate_where_no_worksheet_says_it():
    from assaywright.assay.certificate import certificate_document
    from assaywright.records.bridge import certifiable
    from assaywright.records.models import Assay

    heading = Assay.objects.get(pk="WS-26-0903").content
    heading["sample"].pop("taken")
    act("assays.assay_amend", identity="WS-26-0903", heading=heading, rests_on=["WS-26-0878"], by="ines",
        reason="the place is not known here")
    reviewed_all()
    act("lots.lot_sample", identity="0941", taken="2026-10-05", where="tank 4, outlet", by="ines")
    document = certificate_document(certifiable(
        lot(), certificate_number="TH-26-0941-1", issued=date(2026, 11, 30), responsible="Maren Tolliver",
        responsible_function="authorised signatory"))
    stated = [(one.label, one.text) for one in document.identification]
    assert ("Sample taken", "tank 4, outlet, 5 October 2026") in stated


def test_a_recalled_lot_withdraws_its_certificates_and_leaves_their_bytes():
    from assaywright.records.files import read
    from assaywright.records.models import Certificate
    from assaywright.records.selectors.certificates import certificate_lines
    from assaywright.records.selectors.standing import lot_lines

    with pytest.raises(Refusal, match="is made, and not released"):
        act("lots.lot_recall", identity="0941", by="maren", reason="a wrong label")
    issued()
    event = act("lots.lot_recall", identity="0941", by="maren", reason="a wrong label")
    assert json.loads(event.payload)["certificates"] == ["TH-26-0941-1"]
    certificate = Certificate.objects.get(pk="TH-26-0941-1")
    assert certificate.content["withdrawn"]["because"] == "lot recalled: a wrong label"
    assert not certificate_lines()[0].in_force
    assert read(certificate.pdf_sha256).startswith(b"%PDF")
    assert next(one for one in lot_lines() if one.identity == "0941").state == "recalled"
    with pytest.raises(Refusal, match="is not released"):
        act("certificates.certificate_amend", number="TH-26-0941-1", changed="again", by="maren")
    for path, more in (("lots.lot_reject", {"by": "maren"}), ("lots.lot_hold", {"by": "ines"})):
        with pytest.raises(Refusal, match="is recalled already"):
            act(path, identity="0941", reason="doubtful in my eyes", **more)
