"""Search: everything on record by number or name, whatever case it is typed in, without reading through long tables."""

import pytest

from tests.web.test_line import new_lot, plain, sent

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")


def found(client, text, **more):
    """The addresses that a search leads to, by the name of the group."""
    from lxml import html

    answer = client.get("/search", {"q": text, **more})
    assert answer.status_code == 200, answer.headers.get("Location")
    page = html.fromstring(answer.content.decode())
    return {one.text: one.xpath("following-sibling::ul[1]//a/@href") for one in page.xpath("//h2")}


@pytest.mark.parametrize(("typed", "page"), [
    ("0941", "/lot/0941"), ("ws-26-0903", "/assay/WS-26-0903"), ("WS-26-0903", "/assay/WS-26-0903"),
    ("t-0918", "/solution/T-0918"), (" B-11 ", "/equipment/instrument/B-11"),
    ("rm-sc-5", "/equipment/material/RM-SC-5"), ("lot 0941; acetic acid 30 % w/w; use before 2027-10", "/lot/0941")])
def test_an_exact_number_leads_there_at_once(browser, typed, page):
    answer = browser("ines").get("/search", {"q": typed})
    assert (answer.status_code, answer.headers["Location"]) == (302, page)


@pytest.mark.parametrize(("typed", "group", "page"), [
    ("094", "Lots", "/lot/0943"), ("ws-26", "Worksheets", "/assay/WS-26-0906"), ("094", "Worksheets",
                                                                                "/assay/WS-26-0903"),
    ("ACETIC", "Products", "/product/acetic%20acid%2030%20%25%20w/w"), ("okafor", "People", "/people/ines"),
    ("burette", "Instruments", "/equipment/instrument/B-11"), ("hydroxide", "Solutions", "/solution/T-0918"),
    ("carbonate", "Reference materials", "/equipment/material/RM-SC-5"), ("0903", "Worksheets", "/assay/WS-26-0903")])
def test_beginnings_of_numbers_and_parts_of_names(browser, typed, group, page):
    assert page in found(browser("ines"), typed)[group]


def test_bottles_and_results_from_before(browser):
    from assaywright.records.log import append

    sent(browser("ines"), "/lot/0941", do="open", bottle="FL-77", opened="2026-11-20")
    append("history.imported", subject="old sheet", by="maren", payload={"rows": [
        {"row": 3, "lot": "H-0007", "product": "soda", "value": "99.1", "unit": "%", "performed": "2019-04-01"}]})
    assert found(browser("ines"), "fl-7") == {"Bottles": ["/lot/0941"]}
    groups = found(browser("ines"), "h-00")
    assert groups == {"Results from before these records": ["/history?lot=H-0007"]}
    assert "99.1" in plain(browser("ines").get("/history?lot=H-0007"))


def test_a_number_that_two_things_go_by_is_shown_and_not_guessed(browser):
    sent(browser("ines"), "/lot/0941", do="open", bottle="0942", opened="2026-11-20")
    groups = found(browser("ines"), "0942")
    assert groups["Lots"] == ["/lot/0942"]
    assert groups["Bottles"] == ["/lot/0941"]


def test_what_belongs_to_a_thing_is_found_with_it(browser):
    ines = browser("ines")
    product = found(ines, "acetic acid 30")["Products"]
    assert product == ["/product/acetic%20acid%2030%20%25%20w/w", "/lot/0941",
                       "/lots?product=acetic+acid+30+%25+w%2Fw&sort=-made"]
    assert ines.get(product[-1]).status_code == 200
    person = found(ines, "okafor")["People"]
    assert person[0] == "/people/ines"
    assert "/assay/WS-26-0903" in person
    burette = found(ines, "b-11", of="Instruments")["Instruments"]
    assert "/assay/WS-26-0903" in burette, "by its heading"
    assert "none of the 3,000" not in plain(ines.get("/search?q=B-11&of=Instruments"))
    assert "issued 2026-03-11, valid through 2027-03-11" in plain(ines.get("/search?q=B-11&of=Instruments"))
    assert "Worksheets that used it last" in plain(ines.get("/equipment/instrument/B-11"))
    resting = found(ines, "T-0918", of="Solutions")["Solutions"]
    assert resting[0] == "/solution/T-0918"
    assert "/assay/WS-26-0903" in resting


def test_at_most_twenty_of_a_kind_and_then_more(browser):
    from assaywright.records.models import Lot

    Lot.objects.bulk_create(Lot(identity=f"77{number:02}", product="soda", version=number) for number in range(25))
    answer = browser("ines").get("/search?q=77")
    assert len(found(browser("ines"), "77")["Lots"]) == 20
    assert "More lots" in plain(answer)
    assert len(found(browser("ines"), "77", of="Lots")["Lots"]) == 25


def test_what_is_not_there_is_said_with_what_can_be_typed(browser):
    text = plain(browser("ines").get("/search?q=%3Cb%3Enothing"))
    assert "Found for “<b>nothing”" in text
    assert "Nothing here goes by that. Type the beginning of a number" in text


@pytest.mark.parametrize("odd", ["%", "_", "\\", "'", "  ", "\U0001f9ea", "a" * 5000])
def test_odd_texts_are_only_texts(browser, odd):
    assert "Lots" not in found(browser("ines"), odd), "no character stands for others"


def test_no_long_table_is_read_through(browser, records):
    """SQLite says itself how it would go about it: by an index, or through the table."""
    if records != "sqlite":
        return
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    new_lot(browser("ines"))
    with CaptureQueriesContext(connection) as asked:
        browser("ines").get("/search?q=zz-9")
    for one in asked.captured_queries:
        if any(f'FROM "records_{name}"' in one["sql"] for name in ("lot", "assay", "certificate", "bottle", "event",
                                                                  "historicresult", "determination")):
            with connection.cursor() as cursor:
                cursor.execute(f"EXPLAIN QUERY PLAN {one['sql']}")
                plan = " / ".join(row[3] for row in cursor.fetchall())
            assert "USING" in plan, (plan, one["sql"])


def test_the_field_stands_on_every_page(browser):
    for path in ("/", "/lots", "/lot/0941", "/people", "/nowhere"):
        assert 'action="/search"' in browser("ines").get(path).content.decode(), path
