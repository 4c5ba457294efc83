"""Each page says in place what it is for, and an empty list says what to do first, with the way there."""

import pytest
from lxml import html

from assaywright.web.what_is_this import OWN, TEXTS
from tests.web.site import ISSUED_LATER, address, routes

SENTENCES_AT_MOST = 4


def pages(client):
    """Yield the pages of the map that open, with what they hold; parts of pages and files are none."""
    for name in sorted(set(routes()) - ISSUED_LATER - {"sign-out"}):
        answer = client.get(address(name))
        text = answer.content.decode() if answer.headers["Content-Type"].startswith("text/html") else ""
        if answer.status_code == 200 and "<main" in text:
            yield name, html.fromstring(text)


def told(tree):
    return [" ".join(one.text_content().split()) for one in tree.xpath("//details")
            if one.findtext("summary") == "What is this page?"]


@pytest.mark.usefixtures("laboratory")
def test_every_page_says_once_what_it_is_for(browser):
    seen = []
    for name, tree in pages(browser("maren")):
        assert len(told(tree)) == 1, name
        seen.append(name)
    assert len(seen) > 35
    assert set(TEXTS) | OWN >= set(seen)
    assert told(html.fromstring(browser().get("/sign-in").content.decode()))


def test_the_texts_are_short_and_of_pages_that_there_are():
    assert set(TEXTS) <= set(routes())
    for name, text in TEXTS.items():
        assert text.endswith("."), name
        assert text.count(". ") < SENTENCES_AT_MOST, name


def test_a_page_that_is_not_there_does_not_say_what_it_is_for(people, browser):
    answer = browser("ines").get("/lot/none")
    assert answer.status_code == 404
    assert "What is this page?" not in answer.content.decode()


EMPTY = {"lots": "/lots/new", "solutions": "/solutions/new", "equipment": "/equipment/new", "assays": "/lots",
         "bench": "/lots", "certificates": "/lots", "review": "/assays"}


@pytest.mark.parametrize("name", sorted(EMPTY))
def test_an_empty_list_says_what_to_do_first_and_leads_there(people, browser, name):
    tree = html.fromstring(browser("ines").get(address(name)).content.decode())
    said = tree.xpath('//*[contains(@class, "empty")]')
    assert said, name
    assert EMPTY[name] in [link for one in said for link in one.xpath(".//a/@href")]


def test_what_somebody_may_not_do_is_said_and_not_linked(people, browser):
    tree = html.fromstring(browser("ines").get("/products").content.decode())
    said = tree.xpath('//*[contains(@class, "empty")]')[0]
    assert "person in charge" in said.text_content()
    assert not said.xpath(".//a")
    tree = html.fromstring(browser("maren").get("/products").content.decode())
    assert tree.xpath('//*[contains(@class, "empty")]//a/@href') == ["/products/new"]
