"""What pages say of a lot's edition, of results put out of sight, of certificates and signatures; what labels carry.

That a label of what is not released carries its standing, and none is used whose hazards nobody stated: common
practice, no source. H319 from 10 % acetic acid on: Regulation (EC) 1272/2008, Annex VI, specific limits (from memory).
"""

import pytest

from tests.web.conftest import PASSWORD
from tests.web.site import forms_of
from tests.web.test_line import certified, plain, sent, version

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
PRODUCT = "acetic acid 30 % w/w"


def revised(lower="29.6 % w/w", name=PRODUCT, **more):
    from assaywright.actions.products import product_revise
    from assaywright.records.models import Product

    content = {**Product.objects.get(pk=name).content, **more}
    content["characteristics"][0]["lower"] = lower
    product_revise(name=name, definition=content, by="maren", reason="other limits agreed upon")


def offered(client, path):
    return {form.fields.get("do") for form in forms_of(client.get(path), path)}


def test_a_lot_says_by_which_edition_it_is_judged_and_a_newer_one_is_applied_by_another(browser):
    jonas, maren = browser("jonas"), browser("maren")
    assert "Judged by edition 1 of the specification." in plain(jonas.get("/lot/0941"))
    assert "respecify" not in offered(jonas, "/lot/0941")
    revised()
    page = plain(jonas.get("/lot/0941"))
    assert "Edition 2 is newer" in page
    assert "29.5 to 30.5 % w/w" in page
    said = {"do": "respecify", "version": version("Lot", "0941"), "respecify_reason": "asked for by the customer"}
    assert "has revised the product" in plain(sent(maren, "/lot/0941", 422, **said))
    assert "respecify" not in offered(browser("ines"), "/lot/0941")
    sent(jonas, "/lot/0941", **said)
    page = plain(jonas.get("/lot/0941"))
    assert "Judged by edition 2 of the specification. Edition 2 applied in place of edition 1 by Jonas Feld" in page
    assert "because: asked for by the customer" in page
    assert "29.6 to 30.5 % w/w" in page


def test_a_void_worksheet_stays_listed_and_a_result_put_out_of_sight_is_remarked(browser):
    from assaywright.actions.assays import determination_exclude
    from assaywright.actions.reopening import assay_void
    from assaywright.records.models import Determination

    assay_void(identity="WS-26-0903", by="jonas", reason="the wrong drum was sampled")
    assert "no result on record yet (void: counts for nothing, stays on record)" in plain(
        browser("ines").get("/lot/0941"))
    for row in Determination.objects.filter(assay="WS-26-0909").order_by("place")[1:]:
        determination_exclude(identity="WS-26-0909", place=row.place, by="ines", reason="spilt at the bench")
    assert "WS-26-0909 had a result outside the limits before determinations were left out" in plain(
        browser("ines").get("/lot/0943"))


def test_a_label_of_what_is_not_released_carries_no_figure_and_every_signature_is_listed(browser):
    ines = browser("ines")
    page = plain(ines.get("/label/lot/0941"))
    assert "NOT RELEASED" in page
    assert "±" not in page
    sent(ines, "/lot/0941", do="hold", hold_reason="a drop was spilt")
    page = plain(ines.get("/label/lot/0941"))
    assert "ON HOLD" in page
    assert "±" not in page
    certified(browser)
    told = plain(browser("jonas").get("/lot/0951"))
    for signed in ("Jonas Feld reviewed and signed WS-26-0951", "Maren Tolliver released the lot 0951",
                   "Maren Tolliver issued the certificate", "lot file, SHA-256", "edition 1 of the specification"):
        assert signed in told
    page = plain(ines.get("/label/lot/0951"))
    assert "±" in page
    assert "NOT RELEASED" not in page


def test_a_label_without_stated_hazards_is_not_for_use_and_the_form_proposes_them(browser):
    from assaywright.actions.lots import lot_make

    maren = browser("maren")
    definition = {"do": "", "name": "acetic acid 15 % w/w", "maker": "Tarn Hollow Reagents", "storage": "cool",
                  "name-1": "appearance", "required-1": "clear"}
    sent(maren, "/products/new", **definition)
    lot_make(identity="0960", by="ines", table={"product": "acetic acid 15 % w/w"})
    assert "Hazards not stated: not for use as a label" in plain(maren.get("/label/lot/0960"))
    assert "Hazard statements not stated" in plain(maren.get("/product/acetic acid 15 % w/w"))
    form = plain(maren.get("/products/revise/acetic acid 15 % w/w"))
    assert "H319" in form
    assert "for acetic acid, 15 % w/w" in form
    sent(maren, "/products/revise/acetic acid 15 % w/w", reason="judged by the safety data sheet", hazards="none",
         version=version("Product", "acetic acid 15 % w/w"), **definition)
    assert "Hazards not stated" not in plain(maren.get("/label/lot/0960"))
    assert "Hazard statements none applies" in plain(maren.get("/product/acetic acid 15 % w/w"))


def test_advice_about_a_certificate_with_other_figures_can_be_followed(browser):
    """Of the result, and of what holds another certificate back; none once the lot is recalled."""
    from assaywright.actions import assays, reopening
    from assaywright.records.models import Assay, Determination

    number, maren = certified(browser), browser("maren")
    reopening.assay_reopen(identity="WS-26-0951", by="maren", reason="the balance was found out of order")
    rows = list(Determination.objects.filter(assay="WS-26-0951").order_by("place"))
    final = float(rows[0].content["final"].removesuffix(" mL"))
    assays.determination_correct(identity="WS-26-0951", place=1, by="ines", reason="the burette was misread",
                                 fields={**rows[0].content, "final": f"{final + 1.5:.2f} mL"})
    assays.assay_send(identity="WS-26-0951", by="ines")
    assays.assay_review(identity="WS-26-0951", by="jonas",
                        worksheet_sha256=assays.sha256_of(Assay.objects.get(pk="WS-26-0951")))
    for path in ("/lot/0951", f"/certificate/{number}"):
        page = plain(maren.get(path))
        assert "an amended one is held back by “" in page, path
        assert "judge it, or withdraw the certificate" in page, path
        assert "issue an amended certificate" not in page, path
    page = plain(maren.get("/lot/0951"))
    assert "Waits for the judgement of “" in page, page[page.find("Waits for"):][:300]
    sent(maren, "/lot/0951", do="recall", recall_reason="a wrong result", password=PASSWORD)
    for path in ("/lot/0951", f"/certificate/{number}"):
        page = plain(maren.get(path))
        assert "judge it, or withdraw" not in page, path
        assert "issue an amended certificate" not in page, path
