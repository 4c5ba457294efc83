"""What the page of a lot offers to whom, and what it says of entries, recalls, corrections and two open tabs."""

import pytest

from tests.web.conftest import PASSWORD
from tests.web.site import forms_of
from tests.web.test_line import certified, new_lot, plain, reviewed, sent, version

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
DENSITY = {"do": "enter", "characteristic": "density at 20 °C", "way": "value", "source": "densitometer D-2"}


def offered(client, path="/lot/0941"):
    return {form.fields.get("do") for form in forms_of(client.get(path), path) if form.fields.get("do")}


def test_only_those_forms_are_offered_that_somebodys_roles_allow(browser):
    sent(browser("ines"), "/lot/0941", found="1.0386 g/mL", entry_reason="misread at the bench", **DENSITY)
    everybody = {"sample", "enter", "hold", "open", "amend"}
    assert offered(browser("ines")) == everybody
    assert offered(browser("jonas")) == everybody | {"check"}
    assert offered(browser("maren")) == everybody | {"check", "release", "reject"}
    assert "An authorised signatory releases or rejects it." in plain(browser("ines").get("/lot/0941"))
    sent(browser("ines"), "/lot/0943", do="hold", hold_reason="outside its limits")
    assert offered(browser("ines"), "/lot/0943") == {"open", "amend"}
    assert offered(browser("jonas"), "/lot/0943") == {"open", "amend", "retest", "conclude"}


def test_every_form_that_changes_a_lot_says_which_version_lay_open(browser):
    maren = browser("maren")
    sent(browser("ines"), "/lot/0941", found="1.0386 g/mL", entry_reason="misread at the bench", **DENSITY)
    forms = [form for path in ("/lot/0941", "/lot/0943") for form in forms_of(maren.get(path), path)
             if form.fields.get("do") not in (None, "open", "accept")]
    assert len(forms) >= 10
    assert all(form.fields["version"] for form in forms)
    for fields in ({"do": "sample", "taken": "2026-11-29", "where": "tank 4"},
                   {"do": "hold", "hold_reason": "doubt about it"}):
        assert "does not say which state of the lot" in plain(sent(maren, "/lot/0941", 422, version="", **fields))


def test_of_two_tabs_the_second_is_told_and_keeps_what_was_typed(browser):
    ines, tomas = browser("ines"), browser("tomas")
    before = version("Lot", "0941")
    sent(ines, "/lot/0941", version=before, do="sample", taken="2026-11-29", where="tank 4")
    answer = sent(tomas, "/lot/0941", 422, version=before, do="hold", hold_reason="a smell of something else")
    assert "was changed by somebody else while it lay open here" in plain(answer)
    assert "a smell of something else" in answer.content.decode()
    sent(tomas, "/lot/0941", do="hold", hold_reason="a smell of something else")


def test_entries_are_told_with_who_why_and_by_whom_checked(browser):
    sent(browser("ines"), "/lot/0941", found="1.0386 g/mL", entry_reason="a digit misread", **DENSITY)
    page = plain(browser("jonas").get("/lot/0941"))
    assert "1.0385 g/mL ± 0.0005 g/mL, k = 2 (stays on record): came in with the lot, by Runa Eklund" in page
    assert "1.0386 g/mL (counts): entered by Ines Okafor" in page
    assert "because: a digit misread; not checked yet" in page
    assert "Waits for the assay" not in page
    sent(browser("jonas"), "/lot/0941", do="check")
    assert "because: a digit misread; checked by Jonas Feld" in plain(browser("ines").get("/lot/0941"))


def test_what_was_found_in_words_is_judged_by_whoever_enters_and_shown_beside_what_is_required(browser):
    ines = browser("ines")
    new_lot(ines)
    form = next(one for one in forms_of(ines.get("/lot/0951"), "/lot/0951") if one.fields.get("do") == "enter")
    assert form.choices["satisfied"][0] == "", "neither yes nor no is chosen beforehand"
    said = {"do": "enter", "characteristic": "appearance", "way": "words", "found": "a little cloudy",
            "source": "by eye"}
    assert "choose yes or no" in plain(sent(ines, "/lot/0951", 422, satisfied="", **said))
    sent(ines, "/lot/0951", satisfied="yes", **said)
    page = plain(browser("maren").get("/lot/0951"))
    assert "appearance clear, colourless, free of particles a little cloudy" in page


def test_a_recalled_lot_says_so_everywhere_and_has_no_label(browser):
    number = certified(browser)
    maren = browser("maren")
    answer = sent(maren, "/lot/0951", 422, do="recall", recall_reason="a wrong label", password="not this one")  # noqa: S106
    assert "the password is wrong" in plain(answer)
    sent(maren, "/lot/0951", do="recall", recall_reason="a wrong label", password=PASSWORD)
    assert "Not to be used: this lot has been recalled." in plain(maren.get("/lot/0951"))
    assert "lot recalled: a wrong label" in plain(maren.get("/lot/0951"))
    assert "recalled" in plain(maren.get("/lots"))
    for path in (f"/certificate/{number}", "/certificates"):
        assert "lot recalled: a wrong label" in plain(maren.get(path))
    assert maren.get(f"/certificates/file/{number}").content.startswith(b"%PDF")
    label = maren.get("/label/lot/0951")
    assert "not to be used, and no label is printed for it" in plain(label)
    assert "<svg" not in label.content.decode()
    assert "acetic acid:" not in plain(label)


def test_a_corrected_heading_is_told_and_a_refused_one_keeps_what_was_typed(browser):
    ines = browser("ines")
    new_lot(ines)
    fields = {"do": "amend", "made": "2026-11-26", "use_before": "2099-10", "quantity": "5 bananas",
              "maker": "Tarn Hollow Reagents", "storage": "cool", "customer": "", "amend_reason": "mistyped by me"}
    answer = sent(ines, "/lot/0951", 422, **fields)
    assert "write it like 200 L, 25 kg or 200 × 1 L" in plain(answer)
    assert 'value="5 bananas"' in answer.content.decode()
    sent(ines, "/lot/0951", **{**fields, "quantity": "200 × 1 L"})
    page = plain(ines.get("/lot/0951"))
    assert "Quantity 200 × 1 L." in page
    assert "quantity: 200 L → 200 × 1 L" in page
    assert "made: 2026-11-27 → 2026-11-26" in page
    assert "200 × 1 L" in plain(ines.get("/label/lot/0951"))


def test_a_conclusion_is_signed_and_stays_on_the_page(browser):
    ines, jonas = browser("ines"), browser("jonas")
    sent(ines, "/lot/0943", do="hold", hold_reason="outside its limits")
    checks = {f"check {number}": "in order, seen" for number in range(1, 6)}
    said = {"do": "conclude", "verdict": "no laboratory error: the first result stands",
            "conclusion": "the lot is too strong", "password": PASSWORD}
    assert "the answer to" in plain(sent(jonas, "/lot/0943", 422, **said))
    sent(jonas, "/lot/0943", **said, **checks)
    page = plain(ines.get("/lot/0943"))
    assert "Concluded by Jonas Feld, no laboratory error: the first result stands : the lot is too strong" in page
    reviewed(browser, "WS-26-0909", "WS-26-0878", "WS-26-0871", "WS-26-0874")
    answer = sent(browser("maren"), "/lot/0943", 422, do="release", password=PASSWORD)
    assert "does not conform" in plain(answer)
