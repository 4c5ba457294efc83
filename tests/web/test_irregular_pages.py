"""The pages on which an irregular result is let pass, the accreditation is stated, and a titrant is certified.

That a departure is justified, authorised and told to the customer: ISO/IEC 17025:2017, 7.2.1.7 and 7.8.2.1 n (from
memory). That a refused form shows again what was typed into it, and never a password: common practice, no source.
"""

import re

import pytest

from tests.web.conftest import PASSWORD
from tests.web.site import forms_of
from tests.web.test_line import kinds, plain, reviewed, sent, version

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
FARTHER = "WS-26-0912"
WHY = "a coarse powder; the range is that of its portions"


def accepting(client, path):
    """The forms of a page that accept a remark."""
    return [one for one in forms_of(client.get(path), path) if one.fields.get("do") == "accept"]


def accept(client, path, form, **more):
    return client.post(path, {**form.fields, "accept_reason": WHY, "password": PASSWORD, **more})


@pytest.mark.parametrize("path", [f"/assay/{FARTHER}", "/lot/0944"])
def test_a_remark_is_accepted_on_the_page_of_lot_or_worksheet_and_release_and_certificate_go(browser, path):
    maren = browser("maren")
    reviewed(browser, "WS-26-0871", "WS-26-0874", "WS-26-0878", FARTHER)
    held = sent(maren, "/lot/0944", expected=422, do="release", version=version("Lot", "0944"), password=PASSWORD)
    assert "beyond 0.4 %" in plain(held)
    forms = accepting(maren, path)
    assert len(forms) == 2
    for form in forms:
        assert accept(maren, path, form).status_code == 302
    assert accepting(maren, path) == []
    for shown in (path, "/lot/0944"):
        assert "Holds the release" not in plain(maren.get(shown))
        assert "By Maren Tolliver, on 20" in plain(maren.get(shown))
        assert WHY in plain(maren.get(shown))
    subject = path.rpartition("/")[2]
    assert kinds(subject).count("remark.accepted") == 2
    assert maren.get(f"/working/{FARTHER}").status_code == 200
    sent(maren, "/lot/0944", do="release", version=version("Lot", "0944"), password=PASSWORD)
    assert sent(maren, "/certificates/issue/0944", password=PASSWORD)["Location"].startswith("/certificate/")


def test_a_wrong_password_or_no_reason_accepts_nothing_and_what_was_typed_is_shown_again(browser):
    maren = browser("maren")
    reviewed(browser, FARTHER)
    form = accepting(maren, "/lot/0944")[0]
    wrong = accept(maren, "/lot/0944", form, password="wrong")  # noqa: S106
    assert wrong.status_code == 422
    assert "the password is wrong" in plain(wrong)
    assert re.search(rf"<textarea[^>]*>{re.escape(WHY)}</textarea>", wrong.content.decode())
    assert kinds("0944")[-1] == "signature.refused"
    empty = accept(maren, "/lot/0944", accepting(maren, "/lot/0944")[0], accept_reason=" ")
    assert (empty.status_code, "the reason is missing" in plain(empty)) == (422, True)
    assert "remark.accepted" not in kinds("0944")


def test_who_is_no_signatory_is_told_whom_to_ask(browser):
    reviewed(browser, FARTHER)
    form = accepting(browser("maren"), "/lot/0944")[0]
    answer = accept(browser("jonas"), "/lot/0944", form)
    assert answer.status_code == 403
    assert "Maren Tolliver" in plain(answer)
    assert "remark.accepted" not in kinds("0944")


def test_a_result_outside_its_limits_has_no_such_form_and_a_forged_one_is_refused(browser):
    maren = browser("maren")
    assert accepting(maren, "/lot/0943") == []
    forged = {"act": "0", "do": "accept", "remark_kind": "out-of-specification", "remark_where": "lot 0943",
              "remark_what": "it is too strong", "accept_reason": WHY, "password": PASSWORD}
    answer = maren.post("/lot/0943", forged)
    assert answer.status_code == 422
    assert "is never accepted" in plain(answer)


def test_the_management_states_what_the_accreditation_covers_and_everybody_reads_it(browser):
    from assaywright.records.models import Accreditation

    maren, path = browser("maren"), "/certificates/accreditation"
    assert "nothing is presented as covered" in plain(maren.get(path))
    fields = {"number": "TH-ACC-0001", "scope": "acetic acid by titration", "since": "2026-01-01",
              "method-1": "acetic-acid-by-naoh", "characteristic-3": "chloride"}
    refused = sent(maren, path, expected=422, **{**fields, "product-2": "acetic acid 30 % w/w"})
    assert "it names no method and no characteristic" in plain(refused)
    assert 'value="TH-ACC-0001"' in refused.content.decode()
    sent(maren, path, **fields)
    assert [one["method"] for one in Accreditation.objects.get().content["covers"]] == ["acetic-acid-by-naoh", ""]
    page = plain(browser("ines").get(path))
    assert "Accreditation TH-ACC-0001, since 2026-01-01. acetic acid by titration" in page
    assert "State what it covers" not in page
    assert sent(browser("ines"), path, expected=403, **fields)
    assert "the reason for stating it anew" in plain(sent(maren, path, expected=422, **fields))
    sent(maren, path, number="", scope="", since="2026-11-01", reason="given back")
    assert "nothing is presented as covered" in plain(maren.get(path))


def test_a_result_is_shown_as_accredited_where_product_and_accreditation_say_so(browser):
    from assaywright.records.models import Product

    maren = browser("maren")
    product = Product.objects.get(pk="acetic acid 30 % w/w")
    definition = product.content
    for one in definition["characteristics"]:
        one["accredited"] = True
    from assaywright.actions.products import product_revise
    from assaywright.actions.respecification import lot_respecify

    product_revise(name=product.pk, definition=definition, by="maren", reason="accredited since May")
    lot_respecify(identity="0941", by="jonas", reason="the edition that asks for it")
    assert "◆ accredited" not in plain(maren.get("/lot/0941"))
    sent(maren, "/certificates/accreditation", **{
        "number": "TH-ACC-0001", "scope": "acetic acid", "since": "2026-01-01", "method-1": "acetic-acid-by-naoh"})
    assert plain(maren.get("/lot/0941")).count("◆ accredited") == 1


def test_a_titrant_is_certified_on_its_own_page(browser):
    maren = browser("maren")
    assert "Sign and issue the certificate" not in plain(maren.get("/solution/T-0918"))
    reviewed(browser, "WS-26-0871", "WS-26-0874", "WS-26-0878")
    assert "It rests on WS-26-0878." in plain(maren.get("/solution/T-0918"))
    page = sent(maren, "/certificates/titrant/T-0918", password=PASSWORD)["Location"]
    shown = plain(maren.get(page))
    assert "solution T-0918" in shown
    assert "working of WS-26-0878" in shown
    assert "TH-26-T0918-1 , by WS-26-0878 in force" in plain(maren.get("/solution/T-0918"))
    assert "T-0918" in plain(maren.get("/certificates"))
    later = sent(maren, page, changed="in German", language="de", password=PASSWORD)["Location"]
    assert later.endswith("TH-26-T0918-2")
    file = maren.get(later.replace("/certificate/", "/certificates/file/"))
    assert file.content.startswith(b"%PDF")
