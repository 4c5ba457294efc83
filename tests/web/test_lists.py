"""Lists: filtered, sorted by a heading, cut into pages, counted, and taken along exactly as they are filtered."""

import csv
import io

import pytest

from tests.web.test_line import plain

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
LISTS = ("/lots", "/assays", "/certificates", "/solutions", "/equipment", "/products", "/history")


def numbers(answer, label=""):
    """What stands in the first column of a list."""
    from lxml import html

    page = html.fromstring(answer.content.decode())
    return [one.text_content() for one in page.xpath(f"//div[contains(@aria-label, '{label}')]//tbody//th")]


def rows(answer):
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


@pytest.fixture
def many(laboratory):
    """A hundred and twenty lots, made on one day after the other."""
    from datetime import date, timedelta

    from assaywright.records.models import Lot

    Lot.objects.bulk_create(Lot(
        identity=f"M{number:03}", product="soda" if number % 2 else "potash", version=1000 + number,
        state="released" if number % 3 else "rejected", made=(date(2025, 1, 1) + timedelta(number)).isoformat(),
        use_before="2030-01") for number in range(120))


@pytest.mark.usefixtures("many")
def test_pages_hold_fifty_and_together_every_lot_once(browser):
    ines = browser("ines")
    pages = [numbers(ines.get(f"/lots?sort=number&page={page}")) for page in (1, 2, 3)]
    assert [len(one) for one in pages] == [50, 50, 24]
    together = [one for page in pages for one in page]
    assert together == sorted(together)
    assert len(set(together)) == 124
    assert "124, 51 to 100 shown" in plain(ines.get("/lots?sort=number&page=2"))
    assert numbers(ines.get("/lots?sort=number&page=99")) == pages[2], "there is no page after the last"


@pytest.mark.usefixtures("many")
@pytest.mark.parametrize("walked", [True, False])
def test_filters_find_what_counting_by_hand_finds(browser, walked, monkeypatch):
    from assaywright.records.models import Lot
    from assaywright.records.selectors import listed

    monkeypatch.setattr(listed, "COMMON", 10**6 if walked else 0)  # by walking the list, and by the filters' indexes
    expected = sorted(one.identity for one in Lot.objects.all() if one.product in ("soda", "potash") and (
        one.state == "released" and "2025-02-03" <= one.made <= "2025-03-31"))
    assert len(expected) == 38
    answer = browser("ines").get("/lots?state=released&from=2025-02-03&to=2025-03&sort=-number")
    assert numbers(answer) == expected[::-1]
    assert "38 of 124" in plain(answer)
    assert len(numbers(browser("ines").get("/lots?number=m00"))) == 10


@pytest.mark.usefixtures("many")
def test_a_click_on_a_heading_sorts_and_another_one_turns_it_round(browser):
    from lxml import html

    ines = browser("ines")

    def heading(answer, words):
        page = html.fromstring(answer.content.decode())
        (found,) = page.xpath(f"//thead//th[starts-with(normalize-space(.), '{words}')]")
        return found.get("aria-sort"), found.xpath("a/@href")[0]

    first = ines.get("/lots?state=released")
    assert heading(first, "Made")[0] is None
    up = ines.get(heading(first, "Made")[1])
    assert heading(up, "Made")[0] == "ascending"
    down = ines.get(heading(up, "Made")[1])
    assert heading(down, "Made")[0] == "descending"
    assert numbers(up)[0] == "M001"
    assert numbers(down)[0] == "M119"
    assert "80 of 124" in plain(down), "the filter stays"


@pytest.mark.usefixtures("many")
def test_undecided_lots_come_first_of_themselves(browser):
    answer = browser("ines").get("/lots")
    assert numbers(answer)[:4] == ["0941", "0942", "0943", "0944"]
    assert "4 undecided" in plain(answer)


@pytest.mark.usefixtures("many")
def test_what_is_taken_along_is_what_is_filtered_and_no_more(browser):
    from assaywright.records.spreadsheet import read_xlsx

    ines = browser("ines")
    asked = "/lots?product=soda&state=rejected&sort=-made"
    answer = ines.get(f"{asked}&as=csv")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="lots.csv"'
    heading, *body = rows(answer)
    assert heading == ["Lot", "Product", "State", "Last stage", "Waits for", "Made", "Use before the end of",
                       "Last day of use"]
    assert body[0][-2:] == ["2030-01", "2030-01-31"]
    assert {one[4] for one in rows(ines.get("/lots?product=soda&as=csv"))[1:]} == {"nothing", "its certificate"}
    assert [one[0] for one in body] == numbers(ines.get(asked))
    assert len(body) == 20
    book = ines.get(f"{asked}&as=xlsx").content
    assert [row for _, row in read_xlsx(book, sheet="")] == [heading, *body]


def test_what_is_worked_out_is_taken_along_as_numbers_and_reads_as_on_the_page(browser):
    import json

    from openpyxl import load_workbook

    ines = browser("ines")
    heading, *body = rows(ines.get("/solutions?sort=number&as=csv"))
    told = dict(zip(heading, next(one for one in body if one[0] == "T-0918"), strict=True))
    page = plain(ines.get("/solutions"))
    assert f"({told['Concentration in force']} ± {told['U of the concentration']}) {told['Unit']}" in page
    assert all(told[one] in page for one in ("Factor", "By", "Standardised on"))
    sheet = load_workbook(io.BytesIO(ines.get("/solutions?sort=number&as=xlsx").content)).active
    names, *cells = sheet.iter_rows()
    (cell,) = (row[[one.value for one in names].index("Factor")] for row in cells if row[0].value == "T-0918")
    assert (cell.data_type, cell.value) == ("n", float(told["Factor"]))
    assert cell.number_format == "0." + "0" * len(told["Factor"].partition(".")[2])
    assert cells[0][0].data_type == "s", "a number of a lot is a name and no number"
    text = ines.get("/solutions?sort=number&as=json").content.decode()
    assert f'"Factor": {told["Factor"]},' in text, "with its last zero"
    (line,) = (one for one in json.loads(text) if one["Lot"] == "T-0918")
    assert line["Delivered, mL"] == int(told["Delivered, mL"])


@pytest.mark.parametrize(("query", "sentence"), [
    ("from=2026-13-45", "There is no day 2026-13-45: a day is written like 2026-11-30"),
    ("from=2025-01&to=yesterday", "“yesterday” is no day: a day is written like"),
    ("from=2026-02-30", "There is no day 2026-02-30"),
    ("from=2026-11-30&to=2026-11-01", "so nothing lies between them"),
    ("state=sold", "sold (there is none)")])
def test_what_the_list_is_not_narrowed_down_by_is_told_beside_the_filter(browser, query, sentence):
    ines = browser("ines")
    assert sentence in plain(ines.get(f"/lots?{query}"))
    if "state" not in query:
        answer = ines.get(f"/lots?{query}&as=csv")
        assert answer.status_code == 422
        assert sentence.partition(":")[0] in plain(answer)


def test_nothing_taken_along_is_run_as_a_formula(browser):
    from assaywright.records.models import Lot

    Lot.objects.bulk_create([Lot(identity="=1+1", product='@SUM(A1)"', version=1, state="made")])
    (row,) = (one for one in rows(browser("ines").get("/lots?as=csv")) if "1+1" in one[0])
    assert row[0] == "'=1+1"
    assert row[1] == "'@SUM(A1)\""
    assert '"Lot": "=1+1"' in browser("ines").get("/lots?as=json").content.decode()


@pytest.mark.parametrize(("path", "expected"), [
    ("/assays?kind=standardisation&sort=number", ["WS-26-0871", "WS-26-0874", "WS-26-0878"]),
    ("/assays?analyst=Tomas+Rehn&about=0944", ["WS-26-0912"]), ("/assays?stage=reviewed", []),
    ("/assays?method=acetic-acid-by-naoh", ["WS-26-0903"]), ("/solutions?sort=-number", ["T-0918", "T-0917"]),
    ("/solutions?to=2026-11", ["T-0918"]), ("/equipment?kind=burette&material-name=x", ["B-11"]),
    ("/equipment?kind=burette&material-sort=-number&material-name=sodium+carbonate", ["B-11", "RM-SC-5"]),
    ("/products?name=ACETIC", ["acetic acid 30 % w/w"])])
def test_each_list_filters_by_what_it_holds(browser, path, expected):
    answer = browser("ines").get(path)
    assert answer.status_code == 200
    assert numbers(answer) == expected
    if not expected:
        assert "None is found by that. Show all" in plain(answer)


@pytest.mark.parametrize("path", LISTS)
@pytest.mark.parametrize("query", ["sort=nothing", "page=-1", "page=9999999", "sort=-&from=yesterday&to=0", "as=exe",
                                   "state=%27&product=%25&kind=x&method=y&analyst=z&lot=_&standing=q", "as=csv"])
def test_an_address_that_nobody_clicked_together_is_answered_all_the_same(browser, path, query):
    assert browser("ines").get(f"{path}?{query}").status_code == 200


def test_the_value_in_force_is_evaluated_anew_once_a_reading_was_corrected(browser):
    from assaywright.actions.assays import determination_correct
    from assaywright.records.models import Determination

    ines = browser("ines")
    before = plain(ines.get("/solutions"))
    assert plain(ines.get("/solutions")) == before
    fields = Determination.objects.get(assay="WS-26-0878", place=1).content
    determination_correct(identity="WS-26-0878", place=1, fields={**fields, "final": "20.14 mL"},
                          reason="misread at the bench",
                          by="ines")
    after = plain(ines.get("/solutions"))
    assert after != before
    assert "WS-26-0878" in after
