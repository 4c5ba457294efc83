"""Enquiries in the browser: taken down, found again, set beside our figure, answered by somebody in charge."""

import math

import pytest

from tests.web.test_line import plain

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
TOLD = {"about": "0941", "asked_by": "Fell and Arden", "received": "2026-11-20", "found": "30.30 % w/w",
        "uncertainty": "0.10 % w/w", "blank": "none", "temperature": "27", "act": "one"}


def taken_down(client, **said):
    answer = client.post("/enquiries/new", {**TOLD, **said})
    assert answer.status_code == 302, plain(answer)
    return answer.headers["Location"]


def test_an_enquiry_from_the_lots_page_to_its_answer(browser):
    from assaywright.records.models import Assay, Enquiry
    from tests.web.site import forms_of

    ines, maren = browser("ines"), browser("maren")
    form = next(one for one in forms_of(ines.get("/enquiries/new?about=0941"), "") if "found" in one.fields)
    assert form.fields["about"] == "0941"
    assert "acetic acid" in form.choices["characteristic"]
    wrong = ines.post("/enquiries/new", {**TOLD, "found": "30,30"})
    assert wrong.status_code == 422
    assert 'value="Fell and Arden"' in wrong.content.decode()
    page = taken_down(ines)
    shown = plain(ines.get(page))
    # 30.043 % w/w with U 0.053 % w/w on record; E_n by hand
    assert f"E n {0.257 / math.hypot(0.053, 0.10):.1f}" in shown
    assert "It is a discrepancy" in shown
    assert "What they told us" in shown
    assert "no blank, as they tell; ours has none either" in shown
    assert "their solutions at 27 °C, as they tell" in shown
    assert "stays unexplained" in shown
    assert "What might explain the rest Guessed, not told." in shown
    assert "No cause is claimed" in shown
    assert "Theirs, 30.30 % w/w, lies within the limits" in shown
    assert "Ours conforms by" in shown
    assert "would explain" in shown
    assert "The one experiment to ask for" in shown
    assert "answers it" in shown
    assert "Record the reply" not in shown
    assert "Enquiries 1 E-26-00001 Fell and Arden, about 0941" in plain(maren.get("/"))
    waiting = plain(maren.get(page))
    assert "not reviewed not to be told to a customer yet (" in waiting
    assert "WS-26-0903)" in waiting
    assert "No reply is proposed, since our figure is not reviewed" in waiting
    assert "Maren Tolliver answers for this reply." not in waiting
    Assay.objects.update(stage="reviewed")
    proposed = next(one for one in forms_of(maren.get(page), page) if "reply" in one.fields).fields["reply"]
    assert "We do not know the cause of what is left." in proposed
    assert "your solutions at 27 °C, as you tell" in proposed
    assert "not reviewed" not in plain(maren.get(page))
    assert "Maren Tolliver answers for this reply." in proposed
    answer = maren.post(page, {"do": "reply", "reply": "Please run a blank.", "on": "2026-11-30", "act": "two",
                               "version": Enquiry.objects.get().version})
    assert answer.status_code == 302
    assert "Please run a blank." in plain(maren.get(page))
    assert "No customer waits for an answer." in plain(maren.get("/"))


def test_it_is_found_in_the_list_and_by_search_and_taken_along(browser):
    ines = browser("ines")
    page = taken_down(ines)
    taken_down(ines, found="30.06 % w/w", uncertainty="", asked_by="Orrin Dyeworks", act="two")
    assert "Orrin" not in plain(ines.get("/enquiries?customer=fell&state=open")).partition("Narrow")[2]
    assert ines.get("/enquiries?as=csv&sort=number").content.decode().count("0941") == 2
    assert page in ines.get("/search?q=arden").content.decode()
    assert ines.get("/search?q=e-26-00001").headers["Location"] == page
    assert "within our expanded uncertainty alone" in plain(ines.get("/enquiries/E-26-00002"))
    assert "E-26-00002" in plain(ines.get("/lot/0941"))


def test_the_demonstration_holds_one_that_is_answered_and_one_to_be_thought_about(browser):
    """30.30 less 30.043 % w/w is beyond both expanded uncertainties together; 0.0997 less 0.09985 mol/L is not.

    The answered one is about a titrant whose standardisations are reviewed.
    """
    from assaywright.records.models import Event
    from assaywright.web.demonstration import enquiries_make
    from assaywright.web.demonstration_titrant import drifting_make

    enquiries_make()
    assert not Event.objects.filter(kind="enquiry.opened").exists(), "what it is about is not there yet"
    drifting_make()
    enquiries_make()
    before = Event.objects.count()
    enquiries_make()
    assert Event.objects.count() == before, "once"
    ines = browser("ines")
    assert "Enquiries 1 E-26-00002 Beckside Waterworks laboratory, about 0941" in plain(browser("maren").get("/"))
    asked = plain(ines.get("/enquiries/E-26-00002"))
    assert "It is a discrepancy" in asked
    assert "The one experiment to ask for" in asked
    answered = plain(ines.get("/enquiries/E-26-00001"))
    assert "this is no discrepancy" in answered
    assert "It is a discrepancy" not in answered
    assert "not reviewed" not in answered


def test_no_discrepancy_does_not_hide_that_theirs_is_outside_the_limits(browser):
    ines = browser("ines")
    shown = plain(ines.get(taken_down(ines, about="0942", found="0.4949 mol/L", uncertainty="0.0015 mol/L")))
    assert "It is no discrepancy" in shown
    assert "Theirs, 0.4949 mol/L, lies below the lower limit of 0.4950 mol/L" in shown
    assert "Ours conforms by" in shown
    assert "it lies within them with a probability of" in shown
