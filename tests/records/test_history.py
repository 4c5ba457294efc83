"""Old spreadsheets in, and lists out: numbers and dates as stated, errors by row, all or nothing, no formula.

The workbooks are made with openpyxl, the CSV files by hand and read back with the csv module (RFC 4180). What a
spreadsheet takes for a formula: OWASP, "CSV Injection" (from memory). Decimal signs: ISO 80000-1:2009, 7.3.2 (comma or
point, thin space between groups of three), from memory.
"""

import csv
import io
import json
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from assaywright.metrology.refusal import Refusal

SETTINGS = """
format = "assaywright history 1"
source = "Assay book 2019 to 2024"
decimal_mark = "{mark}"
thousands = "{thousands}"
dates = "{dates}"
separator = ";"
{more}
[columns]
lot = "Batch"
performed = "Day"
value = "Content"
remark = "Remark"

[fixed]
unit = "mol/l"
product = "hydrochloric acid 1 mol/L"
"""
TODAY = date(2026, 12, 1)
GOOD = "Batch;Day;Content;Remark\n0801;03.04.2019;1,0024;\n;;;\n0802;04.04.2019;0,9987;a drop, spilt\n"


def settings(mark=",", thousands="", dates="day-month-year", more=""):
    from assaywright.records.history import read_mapping

    text = SETTINGS.format(mark=mark, thousands=thousands, dates=dates, more=more)
    return read_mapping(text.encode(), "columns.toml")


def read(text, **how):
    from assaywright.records.history import read_history

    return read_history(text if isinstance(text, bytes) else text.encode(), "old.csv", settings(**how), today=TODAY)


def workbook(*rows, formats=(), name="Assays"):
    book = Workbook()
    sheet = book.active
    sheet.title = name
    for row in rows:
        sheet.append(row)
    for cell, shown in formats:
        sheet[cell].number_format = shown
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_rows_are_read_with_their_numbers_and_every_digit_typed():
    found = read(GOOD)
    assert found.troubles == []
    assert found.rows == [
        {"row": 2, "lot": "0801", "performed": "2019-04-03", "value": "1.0024", "as_typed": "1,0024", "unit": "mol/L",
         "product": "hydrochloric acid 1 mol/L"},
        {"row": 4, "lot": "0802", "performed": "2019-04-04", "value": "0.9987", "as_typed": "0,9987", "unit": "mol/L",
         "product": "hydrochloric acid 1 mol/L", "remark": "a drop, spilt"},
    ]


@pytest.mark.parametrize(("typed", "mark", "thousands", "value"), [
    ("1,0024", ",", "", "1.0024"), ("1.0024", ".", "", "1.0024"), ("1,002", ",", "", "1.002"),
    ("1.002", ",", ".", "1002"), ("1,002", ".", ",", "1002"), ("1.002,50", ",", ".", "1002.50"),
    ("12,345.678", ".", ",", "12345.678"), ("1 234 567,8", ",", " ", "1234567.8"),
    ("1\u202f234,5", ",", " ", "1234.5"), ("1\u00a0234,5", ",", "", "1234.5"), ("1'234.5", ".", "'", "1234.5"),
    ("−0,0120", ",", "", "-0.0120"), ("-0,0120", ",", "", "-0.0120"), ("–5", ",", "", "-5"),
    ("24,50", ",", "", "24.50"), ("1,2e-3", ",", "", "0.0012"),
])
def test_numbers_are_read_by_the_stated_setting(typed, mark, thousands, value):
    from assaywright.records.history import number_of

    assert number_of(typed, settings(mark=mark, thousands=thousands)) == value


@pytest.mark.parametrize(("typed", "mark", "thousands", "words"), [
    ("1,002", ".", "", 'the number "1,002" may mean 1.002 or 1002'),
    ("1.002", ",", "", 'the number "1.002" may mean 1,002 or 1002'),
    ("1.0024", ",", "", "has a point, and the decimal mark is a comma"),
    ("12.34", ",", ".", "are not grouped by threes"),
    ("1.00.2", ",", ".", "are not grouped by threes"),
    ("=1+1", ",", "", "does not begin with a number"),
    ("1,0 mol/L", ",", "", "is not a number alone"),
    ("nan", ",", "", "is not a finite number"),
    ("#DIV/0!", ",", "", "does not begin with a number"),
    ("", ",", "", "there is no value"),
])
def test_a_number_that_may_mean_two_or_is_none_is_asked_about_with_its_row(typed, mark, thousands, words):
    found = read(f"Batch;Day;Content;Remark\n1;;{typed};\n", mark=mark, thousands=thousands)
    assert found.rows == []
    assert len(found.troubles) == 1
    assert found.troubles[0].startswith("row 2: value: ")
    assert words in found.troubles[0]


@pytest.mark.parametrize(("typed", "dates", "day"), [
    ("03.04.2019", "day-month-year", "2019-04-03"), ("3/4/2019", "month-day-year", "2019-03-04"),
    ("2019-04-03", "month-day-year", "2019-04-03"), ("2019/4/3", "year-month-day", "2019-04-03"),
    ("29.02.2020", "day-month-year", "2020-02-29"),
])
def test_days_are_read_in_the_stated_order(typed, dates, day):
    found = read(f"Batch;Day;Content;Remark\n1;{typed};1,0;\n", dates=dates)
    assert found.troubles == []
    assert found.rows[0]["performed"] == day


@pytest.mark.parametrize("typed", ["29.02.2019", "13/13/2019", "03.04.19", "April 2019", "31.06.2020", "0.0.0000"])
def test_a_day_that_there_is_not_is_refused_with_its_row(typed):
    found = read(f"Batch;Day;Content;Remark\n1;{typed};1,0;\n")
    assert found.troubles[0].startswith("row 2: performed: ")


def test_a_day_to_come_and_a_content_below_zero_are_refused_and_a_row_with_two_faults_names_both():
    found = read("Batch;Day;Content;Remark\n1;2030-04-04;1,0;\n2;;-5,0;\n3;31.02.2019;abc;\n")
    assert [" ".join(one.split()[:3]) for one in found.troubles] == [
        "row 2: performed:", "row 3: value:", "row 4: value:", "row 4: performed:"]
    assert "2030-04-04 is still to come" in found.troubles[0]
    assert "-5,0 mol/L is below zero" in found.troubles[1]


def test_every_row_that_cannot_be_read_is_named_and_nothing_is_imported(people):
    from assaywright.actions.history import RowsRefused, history_import
    from assaywright.records.models import Event, HistoricResult

    text = "Batch;Day;Content;Remark\n0801;03.04.2019;1,0024;\n0802;;x;\n;04.04.2019;1.0024;\n0804;30.02.2019;1,0;\n"
    before = Event.objects.count()
    with pytest.raises(RowsRefused, match="3 rows cannot be read, and nothing was imported") as refused:
        history_import(data=text.encode(), name="old.csv", mapping=settings(), by="maren")
    assert [one.split(":")[0] for one in refused.value.troubles] == ["row 3", "row 4", "row 5"]
    assert (Event.objects.count(), HistoricResult.objects.count()) == (before, 0)


def test_a_history_is_one_event_marked_as_unverified(people):
    from assaywright.actions.history import history_import
    from assaywright.records.check import check_records
    from assaywright.records.models import HistoricResult

    event = history_import(data=GOOD.encode(), name="old.csv", mapping=settings(), by="maren")
    payload = json.loads(event.payload)
    assert (event.kind, event.subject, payload["verified"]) == ("history.imported", "Assay book 2019 to 2024", False)
    rows = list(HistoricResult.objects.order_by("row").values_list("row", "lot", "value", "unit", "performed"))
    assert rows == [(2, "0801", "1.0024", "mol/L", "2019-04-03"), (4, "0802", "0.9987", "mol/L", "2019-04-04")]
    assert check_records().faults == []
    with pytest.raises(Refusal, match="on record already, as 'Assay book 2019 to 2024'"):
        history_import(data=GOOD.encode(), name="renamed.csv", mapping=settings(), by="maren")
    with pytest.raises(Refusal, match="may not do this"):
        history_import(data=GOOD.encode() + b"\n", name="old.csv", mapping=settings(), by="ines")


def test_a_workbook_gives_the_digits_that_it_shows():
    from assaywright.records.history import read_history

    data = workbook(
        ["Batch", "Day", "Content", "Remark"], ["0801", date(2019, 4, 3), 1.0, None],
        [802, datetime.fromisoformat("2019-04-04T09:30"), 0.1 + 0.2, "=HYPERLINK(1)"],
        ["0803", "05.04.2019", "1,0030", ""], ["0804", None, 1002, None],
        formats=[("C2", "0.0000"), ("C3", "0.0")],
    )
    found = read_history(data, "old.xlsx", settings(), today=TODAY)
    assert found.troubles == []
    assert [(row["lot"], row.get("performed", ""), row["value"]) for row in found.rows] == [
        ("0801", "2019-04-03", "1.0000"), ("802", "2019-04-04", "0.3"), ("0803", "2019-04-05", "1.0030"),
        ("0804", "", "1002")]


def test_a_workbook_with_several_sheets_asks_which():
    from assaywright.records.history import read_history

    book = Workbook()
    book.create_sheet("Other")
    out = io.BytesIO()
    book.save(out)
    with pytest.raises(Refusal, match="has several sheets"):
        read_history(out.getvalue(), "old.xlsx", settings(), today=TODAY)
    with pytest.raises(Refusal, match="there is no sheet 'Assays'; name one of Sheet, Other"):
        read_history(out.getvalue(), "old.xlsx", settings(more='sheet = "Assays"'), today=TODAY)
    with pytest.raises(Refusal, match="is no XLSX workbook"):
        read_history(b"Batch;Day", "old.xlsx", settings(), today=TODAY)


@pytest.mark.parametrize(("text", "words"), [
    ("Batch;Day;Content\n1;;1,0\n", "row 1 has no column 'Remark'"),
    ("Batch;Day;Content;Remark;Day\n1;;1,0;;\n", "row 1 has more than one column 'Day'"),
    ("Batch;Day;Content;Remark\n", "there is no row with anything in it"),
    ("", "there is no row 1 with headings"),
    ('Batch;Day;Content;Remark\n1;;1,0;"open\n', "correct the quotes"),
    (b"Batch;Day;Content;Remark\n1;;1,0;\xe4\n", "the file is not utf-8"),
    (b"Batch;Day;Content;Remark\n1;;1,0;\x00\n", "zero bytes"),
])
def test_a_file_that_cannot_be_read_at_all_is_refused(text, words):
    with pytest.raises(Refusal, match=words):
        read(text)


@pytest.mark.parametrize(("change", "words"), [
    (('decimal_mark = ","', ""), "it is not said whether"),
    (('dates = "day-month-year"', ""), "in March or in April"),
    (('decimal_mark = ","', 'decimal_mark = ";"'), "there is no decimal mark ';'"),
    (('thousands = ""', 'thousands = ","'), "are the same"),
    (("[columns]", "[colums]"), "there is no setting 'colums'"),
    (('lot = "Batch"', 'batch = "Batch"'), "there is no field 'batch'"),
    (('value = "Content"', ""), "no column is named for the value"),
    (('lot = "Batch"', "lot = 3"), "it is no table of texts"),
    (('unit = "mol/l"', 'unit = "mol/l"\nlot = "1"'), "'lot' is both a column and fixed"),
    (('source = "Assay book 2019 to 2024"', 'source = ""'), "has no name"),
    (('format = "assaywright history 1"', ""), "does not say what it is"),
    (("separator = \";\"", "separator = \"\""), "is not one character"),
    (("separator = \";\"", "header_row = 0"), "is no row that headings stand in"),
    (("separator = \";\"", "separator = ["), "is no TOML"),
])
def test_settings_that_mean_nothing_are_refused(change, words):
    from assaywright.records.history import read_mapping

    text = SETTINGS.format(mark=",", thousands="", dates="day-month-year", more="")
    assert change[0] in text
    with pytest.raises(Refusal, match=words) as refused:
        read_mapping(text.replace(*change).encode(), "columns.toml")
    assert str(refused.value).startswith("columns.toml")


def test_an_unknown_unit_or_a_row_without_lot_and_product_is_refused_with_its_row():
    from assaywright.records.history import read_history, read_mapping

    text = SETTINGS.format(mark=",", thousands="", dates="day-month-year", more="")
    odd = read_mapping(text.replace("mol/l", "furlong").encode(), "columns.toml")
    troubles = read_history(b"Batch;Day;Content;Remark\n1;;1,0;\n", "a.csv", odd, today=TODAY).troubles
    assert troubles[0].startswith("row 2: unit: ")
    bare = read_mapping(text.replace('product = "hydrochloric acid 1 mol/L"', "").encode(), "columns.toml")
    told = read_history(b"Batch;Day;Content;Remark\n;;1,0;\n", "a.csv", bare, today=TODAY).troubles
    assert told == ["row 2: lot: neither lot nor product is named; enter one of them."]


# --- out --------------------------------------------------------------------------------------------------------------

DANGEROUS = ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "=cmd|' /C calc'!A0", " =1", "−1+1", "＝1+1"]
FIRST = ("=", "+", "-", "@", "\t", "\r", "\n", "−", "＝", "＋", "－", "＠")


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_cell_of_csv_begins_like_a_formula(text):
    from assaywright.records.spreadsheet import csv_bytes

    rows = list(csv.reader(io.StringIO(csv_bytes(["a"], [[text]]).decode("utf-8-sig"), newline="")))
    assert rows[1] == [f"'{text}"]


@pytest.mark.parametrize("text", ["-0.0120", "+5", "24.50", "1e-3", "-1,5", "WS-26-0903", "0941", ""])
def test_plain_numbers_and_texts_stay_as_they_are(text):
    from assaywright.records.spreadsheet import harmless

    assert harmless(text) == text


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00")), min_size=1, max_size=4))
def test_whatever_stands_in_a_list_comes_out_as_text(cells):
    from assaywright.records.spreadsheet import PLAIN_NUMBER, csv_bytes

    text = csv_bytes(["a"] * len(cells), [cells]).decode("utf-8-sig")
    row = list(csv.reader(io.StringIO(text, newline="")))[1]
    assert [one.removeprefix("'") if one != cell else one for one, cell in zip(row, cells, strict=True)] == cells
    assert not [one for one in row if one.lstrip(" ").startswith(FIRST) and not PLAIN_NUMBER.fullmatch(one)]


@pytest.mark.parametrize("text", [*DANGEROUS, "24.50", "0941"])
def test_no_cell_of_a_workbook_is_a_formula_and_no_digit_is_lost(text):
    from assaywright.records.spreadsheet import xlsx_bytes

    sheet = load_workbook(io.BytesIO(xlsx_bytes("lots", ["a"], [[text]])))["lots"]
    assert sheet["A2"].data_type in ("s", "inlineStr")
    assert sheet["A2"].value.replace("\r", "").replace("_x000D_", "") == text.replace("\r", "")


def read_back(name):
    """A list written as CSV and as XLSX and read again, by the library and not by our own reader."""
    from assaywright.records import lists
    from assaywright.records.spreadsheet import csv_bytes, xlsx_bytes

    columns, rows = lists.table(name)
    rows = list(rows)
    as_csv = list(csv.DictReader(io.StringIO(csv_bytes(columns, rows).decode("utf-8-sig"), newline="")))
    heading, *cells = load_workbook(io.BytesIO(xlsx_bytes(name, columns, rows))).active.iter_rows(values_only=True)
    as_xlsx = [dict(zip(heading, (cell or "" for cell in row), strict=True)) for row in cells]
    assert as_csv == as_xlsx
    return as_csv


def test_lists_have_columns_with_units_for_what_people_look_for_and_no_cell_of_json(laboratory):
    from assaywright.records import lists
    from assaywright.records.models import Determination, Lot

    for name in lists.names():
        columns, rows = lists.table(name)
        assert "body" not in columns
        assert len(set(columns)) == len(columns)
        if name != "events":
            assert not [cell for row in rows for cell in row if cell.startswith(("{", "["))]
    lot = read_back("lots")[0]
    on_record = Lot.objects.get(pk="0941")
    assert (lot["number"], lot["product"], lot["state"], lot["made on"], lot["use before"]) == (
        "0941", on_record.product, on_record.state, on_record.made, on_record.use_before)
    assert lot["storage"] == on_record.content["storage"]
    assert lot["hazards"] == "; ".join(on_record.content["hazards"])
    titration = next(one for one in read_back("determinations") if one["assay"] == "WS-26-0903")
    stated = Determination.objects.filter(assay="WS-26-0903").order_by("pk").first().content
    assert f"{titration['final / mL']} mL" == stated["final"]
    assert {"number", "kind", "method", "lot or solution", "stage", "analyst", "performed on"} <= set(
        read_back("assays")[0])


def test_any_list_can_be_taken_along(laboratory):
    from assaywright.records import lists

    for name in lists.names():
        columns, rows = lists.table(name)
        assert columns
        assert all(len(row) == len(columns) for row in rows)
    columns, rows = lists.table("lots")
    assert [dict(zip(columns, row, strict=True))["number"] for row in rows] == ["0941", "0942", "0943", "0944"]
    with pytest.raises(Refusal, match="there is no list 'secrets'"):
        lists.table("secrets")
