"""Every form that there is, at every address that takes one: strange words come back as a sentence, never as a fault.

Beside the forms that pages of one state show (test_pages.py, test_line.py), every act that a template names is sent to
its page, whether or not the page would offer it just then, so that no form can be left out by being hidden.
"""

import re
from pathlib import Path

import pytest

from tests.web.site import EXAMPLES, address, routes
from tests.web.test_pages import text_of

TEMPLATES = sorted((Path(__file__).resolve().parents[2] / "src/assaywright/web/templates/web").glob("*.html"))
DO = re.compile(r'name="do" value="([^"]*)"')
WORDS = re.compile(r"\{%.*?%\}")
FIELD = re.compile(r'name="([a-z_0-9]+)"')
OWN = {"act", "do", "csrfmiddlewaretoken", "version"}
ALLOWED = {200, 302, 303, 400, 401, 403, 404, 405, 409, 413, 415, 422, 429}
NOT_KNOWN = "this form is not known here"
AT_THE_DOOR = {"sign-in", "sign-out", "password", "choose-password"}  # test_door.py; they end the session of this test
FILLINGS = ("x", "1e400", "2026-11-30", "a\0b", "−24,53 mL\n[[a]]")


def acts():
    """Return what forms do, each with the pages whose templates hold such a form, themselves or by a part of them."""
    texts = {file.name: file.read_text(encoding="utf-8") for file in TEMPLATES}
    found = set()
    for file, text in texts.items():
        for value in DO.findall(text):
            found |= {(do, page) for do in WORDS.sub(" ", value).split() for page in holding(file, texts)}
    return sorted(found)


def holding(file, texts):
    """Return the pages that hold a template."""
    if not file.startswith("_"):
        return {file.removesuffix(".html")}
    return set().union(*(holding(one, texts) for one, text in texts.items() if f'include "web/{file}"' in text), set())


def fields():
    """Return the names of all fields of all templates that do not depend on what is shown."""
    return sorted(set().union(*(FIELD.findall(file.read_text(encoding="utf-8")) for file in TEMPLATES)) - OWN)


def addresses():
    """Return every address but those at the door; of a page without an example, that of a worksheet."""
    from django.urls import reverse

    return {name: address(name).split("?")[0] if name in EXAMPLES or not routes()[name] else
            reverse(name, args=["WS-26-0903"]) for name in sorted(routes()) if name not in AT_THE_DOOR}


@pytest.fixture
def client(laboratory, browser):
    """Somebody who may do everything, so that nothing is refused before it is read."""
    from assaywright.actions.people import COMMAND, person_change_roles
    from assaywright.records.models.people import ROLES

    person_change_roles(identity="maren", roles=list(ROLES), by=COMMAND, reason="may do everything here")
    opened = browser("maren")
    opened.raise_request_exception = False
    return opened


def test_every_act_of_every_form_is_answered_in_words(client):
    names, places = fields(), addresses()
    assert len(acts()) > 20
    assert len(names) > 60
    assert {page for _, page in acts()} <= set(places), "a form on a page without an address of its name"
    for do, page in acts():
        for text in (None, *FILLINGS):
            answer = client.post(places[page], {"do": do, **({} if text is None else dict.fromkeys(names, text))})
            assert answer.status_code in ALLOWED - {405}, (page, do, text, text_of(answer)[:400])
            assert NOT_KNOWN not in text_of(answer), (page, do)


def test_every_address_that_takes_a_form_answers_in_words(client):
    names, taken = fields(), set()
    for name, place in addresses().items():
        for text in FILLINGS:
            answer = client.post(place, dict.fromkeys(names, text))
            assert answer.status_code in ALLOWED, (name, text, text_of(answer)[:400])
            if answer.status_code == 405:
                break
            taken.add(name)
    assert {"lots.show", "assays.show", "review.show", "solutions.show", "people.new", "products.new"} <= taken
