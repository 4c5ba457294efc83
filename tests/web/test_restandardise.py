"""A titrant that is to be restandardised says so wherever it is listed and offered; who verified it stands beside.

Marking what is not to be relied on: ISO/IEC 17025:2017, 6.4.9.
"""

import pytest

from tests.web.test_typed import plain, sent

pytestmark = pytest.mark.usefixtures("laboratory")


def test_a_titrant_found_off_says_so_wherever_it_is_offered(browser):
    ines = browser("ines")
    before = plain(ines.get("/solution/T-0918"))
    assert "restandardise first" not in before
    assert "In force by the records" in before
    sent(ines, "/solution/T-0918", do="verify", found="0.4800", limit="0.2")
    page = plain(ines.get("/solution/T-0918"))
    assert "restandardise first" in page
    assert "Ines Okafor" in page.partition("Verifications")[2][:300]
    assert "restandardise first" in plain(ines.get("/solutions"))
    form = plain(ines.get("/assays/new?about=0941&method=acetic-acid-by-naoh&handling=weighed"))
    assert form.count("restandardise first") == 1
    answer = sent(ines, "/solution/T-0918", do="verify", found="0.4985", limit="0.2")
    assert answer.status_code == 302, plain(answer)[:600]
    page = plain(ines.get("/solution/T-0918"))
    assert "restandardise first" not in page, page[:600]
