"""What is not there, or not open to somebody: a page that says so, and where to go on."""

import re

import pytest

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
