"""What is not there, or not open to somebody: a page that says so, and where to go on."""

import re

import pytest

from tests.house.sentences import assert_well_said
from tests.records.test_bench import OPEN, sheet  # noqa: F401 - a fixture by its name
from tests.web.test_typed import plain

pytestmark = pytest.mark.usefixtures("laboratory")


@pytest.mark.parametrize("address", [
    "/lot/none", "/assay/none", "/solution/none", "/certificate/none", "/review/none", "/working/none",
    "/label/lot/none", "/label/solution/none", "/product/none", "/method/none", "/equipment/instrument/none",
    "/equipment/material/none", "/people/none", "/products/revise/none", "/certificates/file/none", "/worksheet/none",
    "/assays/new?about=none", "/assays/new?about=0941&method=none", "/assays/new?about=none&method=acetic-acid-by-naoh",
    "/assays/new?about=0941&method=hcl-by-tris", "/no-such-page", "/lot/x/y/z",
])
def test_what_is_not_on_record_is_a_page_that_says_so_with_a_way_on(browser, address):
    answer = browser("maren").get(address)
    assert answer.status_code == 404
    said = plain(answer)
    assert re.search(r"[Tt]here is no|No lot and no solution", said)
    assert 'class="button' in answer.content.decode()
    assert "toml" not in said.lower()


def test_a_form_for_what_is_not_on_record_is_refused_and_no_fault(browser):
    for address in ("/lot/none", "/assay/none", "/solution/none", "/review/none"):
        assert browser("ines").post(address, {"do": "hold"}).status_code == 422


def test_who_may_not_is_told_whom_to_ask(browser):
    answer = browser("ines").get("/products/new")
    assert answer.status_code == 403
    assert re.search(r"Ask .*(Jonas|Maren)", plain(answer))
    assert "To the list: Products" in plain(answer)


@pytest.mark.usefixtures("sheet")
def test_the_working_of_a_worksheet_without_readings_says_where_to_begin(browser):
    answer = browser("ines").get(f"/working/{OPEN}")
    assert answer.status_code == 404
    said = plain(answer)
    assert "Nothing is titrated yet" in said
    assert f'href="/bench/{OPEN}"' in answer.content.decode()
    assert "Look for it in the list" not in said


@pytest.mark.usefixtures("sheet")
def test_a_refused_form_says_no_place_twice(browser):
    client, told = browser("ines"), []
    for address in (f"/assay/{OPEN}", "/assay/WS-26-0903", "/lot/0941", "/lot/none"):
        for act in ("hold", "send", "record"):
            page = client.post(address, {"do": act}).content.decode()
            told += re.findall(r'class="sentence"[^>]*>(.*?)</p>', page, re.DOTALL)
    assert len(told) >= 8
    for sentence in told:
        assert_well_said(" ".join(sentence.split()))
