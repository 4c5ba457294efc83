"""Paper still works: the sheet of a worksheet, its codes scanned, and what is typed in from it afterwards."""

import io
import json
import re

import pytest

from tests.records.test_bench import OPEN, READINGS, sheet  # noqa: F401 - a fixture by its name
from tests.web.test_bench_page import act, events, keeps, sent, states

pytestmark = pytest.mark.usefixtures("laboratory")


def pages_of(client, identity=OPEN):
    from pypdf import PdfReader

    answer = client.get(f"/bench/paper/{identity}")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(answer.content))


def text_of(client, identity=OPEN):
    return " ".join(" ".join(page.extract_text() for page in pages_of(client, identity).pages).split())


def document_of(client, identity=OPEN):
    return json.loads(pages_of(client, identity).attachments["document.json"][0])


def asked_on_the_page(client):
    """The readings in the order in which the bench page asks for them."""
    from lxml import html

    tree = html.fromstring(client.get(f"/bench/{OPEN}").content.decode())
    section = tree.xpath('//section[@data-place="1"]')[0]
    return [" ".join(one.text_content().split()).casefold() for one in section.xpath('.//p[@data-field]/label')]


def test_the_sheet_has_cautions_checks_plan_and_a_place_for_every_reading_in_the_pages_order(browser, sheet):  # noqa: F811
    client = browser("ines")
    text = text_of(client)
    order = [text.index(words) for words in (
        "Cautions, before the first step", "safety data sheet", "To tick off before the titrations", "The assay",
        "To fill in by hand", "titrated by, signature", "typed in by, signature")]
    assert order == sorted(order)
    assert f"Worksheet No. {OPEN}" in text
    document = document_of(client)
    lines = [one["words"].casefold() for one in document["tables"][-1]["lines"]]
    refilled = [one for one in lines if one.startswith("filled again")]
    assert lines[lines.index("burette, final reading, ml") + 1:][:2] == refilled, "a second filling after the first"
    assert [one for one in lines[:-2] if one not in refilled] == asked_on_the_page(client)
    assert document["tables"][-1]["columns"] == ["1", "2", "3", "+"]
    assert not any(text for line in document["tables"][-1]["lines"] for text in line["texts"])
    told = {one["label"]: one["text"] for one in document["planned"]}
    assert {"Titrant", "Burette", "Portion", "Stop at"} <= set(told)


def test_what_earlier_determinations_lead_to_and_what_is_on_record_stand_on_the_sheet(browser, sheet):  # noqa: F811
    client = browser("ines")
    assert "not known before" in {one["label"]: one["text"] for one in document_of(client)["planned"]}[
        "Endpoint expected at"]
    states(client, *keeps(), act("finish"))
    document = document_of(client)
    told = {one["label"]: one["text"] for one in document["planned"]}
    expected = re.match(r"\((\d+\.\d\d) ± (\d+\.\d\d)\) mL", told["Endpoint expected at"])
    assert float(expected[1]) == pytest.approx(24.52, abs=0.3), "the portion of the first determination again"
    assert float(told["Run freely to, then dropwise"].split()[0]) <= float(expected[1]) - float(expected[2])
    finals = next(one for one in document["tables"][-1]["lines"] if one["words"].startswith("burette, final"))
    assert finals["texts"] == ["24.52", "", "", ""]


def test_many_determinations_stand_a_few_side_by_side_each_once(browser):
    columns = [one["columns"] for one in document_of(browser("ines"), "WS-26-0912")["tables"]
               if one["title"] == "Determinations"]
    assert columns == [["1", "2", "3", "4", "5"]], "four on record and the next"


def test_a_titrated_blank_has_its_places_as_the_bench_page_asks_for_it(browser):
    from lxml import html

    client = browser("ines")
    tree = html.fromstring(client.get("/bench/WS-26-0906").content.decode())
    asked = [" ".join(one.text_content().split()).casefold() for one in
             tree.xpath('//section[@data-place="0"][contains(@class, "blank")]//p[@data-field]/label')]
    table = document_of(client, "WS-26-0906")["tables"][-1]
    assert "blank" in table["title"]
    assert [one["words"].casefold() for one in table["lines"]] == [one for one in asked if "titration" not in one]
    initial = next(one["texts"] for one in table["lines"] if "initial" in one["words"])
    assert initial == ["0.00", "0.02", ""], "two titrations are on record"
    assert not [one for one in table["lines"] if "filled again" in one["words"]], "an indicator blank takes drops"
    without = document_of(client, "WS-26-0903")["tables"]
    assert [one["title"] for one in without] == ["Determinations"], "its method titrates no blank"


def test_a_blank_titrated_with_the_burette_has_a_line_for_one_filled_again(sheet):  # noqa: F811
    from assaywright.records.selectors.bench import FieldAtBench, Place
    from assaywright.records.selectors.bench_paper import _blank

    fields = [FieldAtBench(name, name, "mL", needed=True, temperature=False, mass=False, text=text) for name, text in (
        ("initial", "0.00"), ("final", "49.90"), ("initial 1.2", "0.10"), ("final 1.2", "1.32"))]
    lines = _blank(Place(0, "", 0, tuple(fields)), "titrated likewise")
    assert [words for words, _, _ in lines] == [
        "initial", "final", "filled again: initial reading", "filled again: final reading"]
    assert [texts[0] for _, _, texts in lines] == ["0.00", "49.90", "0.10", "1.32"]


def test_every_page_fits_a4_and_letter(browser, sheet):  # noqa: F811
    """ISO 216: A4 is 210 mm × 297 mm; ANSI/ASME Y14.1: letter size is 8.5 in × 11 in. Points are 1/72 in."""
    a4, letter = (210 / 25.4 * 72, 297 / 25.4 * 72), (8.5 * 72, 11 * 72)
    heights = []

    def seen(text, current, matrix, *_):
        if text.strip():
            heights.append(matrix[4] * current[1] + matrix[5] * current[3] + current[5])

    for page in pages_of(browser("ines")).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(a4, abs=0.5)
        page.extract_text(visitor_text=seen)
    assert max(heights) < a4[1]
    assert min(heights) > a4[1] - letter[1], "what stands lower is cut off on a letter sheet, printed from the top"


def dark_modules(svg):
    """The dark modules of a drawn code as rows of nought and one, without the clear space of four modules."""
    drawn = {(int(x) - 4, int(y) - 4) for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", svg)}
    size = max(x for x, _ in drawn) + 1
    return [[int((x, y) in drawn) for x in range(size)] for y in range(size)]


MASKS = (  # ISO/IEC 18004, data mask pattern references 000 to 111 (from memory); i the row, j the column
    lambda i, j: (i + j) % 2, lambda i, _: i % 2, lambda _, j: j % 3, lambda i, j: (i + j) % 3,
    lambda i, j: (i // 2 + j // 3) % 2, lambda i, j: i * j % 2 + i * j % 3, lambda i, j: (i * j % 2 + i * j % 3) % 2,
    lambda i, j: ((i + j) % 2 + i * j % 3) % 2,
)


def read_square(rows):
    """Read a square code of version 2 or 3, where one block holds all, in byte mode.

    ISO/IEC 18004: format information with its mask 101010000010010, placement of codewords upwards and downwards in
    pairs of columns from the right, function patterns, mode indicator 0100 and count of eight bits (from memory).
    """
    size = len(rows)
    version = (size - 17) // 4
    assert version in (2, 3)
    near = [rows[8][column] for column in (0, 1, 2, 3, 4, 5, 7, 8)] + [rows[row][8] for row in (7, 5, 4, 3, 2, 1, 0)]
    told = int("".join(map(str, near)), 2) ^ 0b101010000010010
    mask = MASKS[told >> 10 & 7]
    centre = size - 7  # of the one alignment pattern

    def is_function(row, column):
        at_the_left = column < 9 and (row < 9 or row >= size - 8)
        at_the_right = row < 9 and column >= size - 8
        is_aligning = max(abs(row - centre), abs(column - centre)) <= 2
        return at_the_left or at_the_right or is_aligning or 6 in (row, column)

    bits, upwards = [], True
    for right in (*range(size - 1, 6, -2), *range(5, 0, -2)):
        for row in range(size - 1, -1, -1) if upwards else range(size):
            bits += [rows[row][column] ^ (mask(row, column) == 0) for column in (right, right - 1)
                     if not is_function(row, column)]
        upwards = not upwards
    stream = "".join(map(str, map(int, bits)))
    assert stream[:4] == "0100", "byte mode"
    return bytes(int(stream[12 + 8 * one:20 + 8 * one], 2) for one in range(int(stream[4:12], 2))).decode()


def test_its_codes_open_the_worksheet(browser, sheet):  # noqa: F811
    from assaywright.reference.bar_code import bar_widths
    from assaywright.reports.scannable import qr_code

    client = browser("ines")
    document = document_of(client)
    assert tuple(document["bars"]) == bar_widths(OPEN), "held against the table of ISO/IEC 15417 with the bench guide"
    assert document["scanned"] == f"https://testserver/bench?code={OPEN}"
    assert read_square(dark_modules(qr_code(document["scanned"]))) == document["scanned"]
    for code in (OPEN, document["scanned"], OPEN.lower(), f"http://tablet.example:8443/bench?code={OPEN}"):
        answer = client.get("/bench", {"code": code})
        assert (answer.status_code, answer.headers["Location"]) == (302, f"/bench/{OPEN}"), code
    assert client.get(document["scanned"].removeprefix("https://testserver")).headers["Location"] == f"/bench/{OPEN}"


def test_labels_open_the_page_of_what_they_stand_on(browser):
    from assaywright.records.models import Lot, Solution
    from assaywright.records.selectors.labels import label_of_lot, label_of_solution

    client = browser("ines")
    labels = [(label_of_lot(one), f"/lot/{one.identity}") for one in Lot.objects.all()]
    labels += [(label_of_solution(one, ""), f"/solution/{one.identity}") for one in Solution.objects.all()]
    assert len(labels) > 5
    for label, page in labels:
        answer = client.get("/bench", {"code": label.scanned})
        assert (answer.status_code, answer.headers.get("Location")) == (302, page), label.scanned


def test_typed_in_from_paper_the_record_says_so_and_who_titrated(browser, sheet):  # noqa: F811
    from assaywright.assay.moments import first_moment
    from assaywright.assay.worksheet import parse_worksheet
    from assaywright.records.bridge import export, worksheet_bytes
    from assaywright.records.models import Assay, Determination
    from assaywright.records.selectors.history import history

    client = browser("tomas")
    paper = {"by": "tomas", "from_paper": True, "titrated_by": "jonas", "titrated_on": "2026-10-02"}
    ticked = act("check", checks=["goggles worn"], **paper)
    early = {"name": "final", "text": "24.52", "code": "paper-day", "question": "before it was begun"}
    assert set(states(client, ticked, *keeps(**paper), act("confirm", by="tomas", **early),
                      act("finish", **paper))) == {"kept"}
    assert "unchecked" not in events("determination.recorded")[0]
    assert states(client, *keeps(**{**paper, "titrated_on": "2099-01-01"}, place=2))[0] == "refused"
    for one in events("reading.kept"):
        assert (one["from_paper"], one["titrated_by"]) == (True, "jonas")
    content = Determination.objects.get(assay=OPEN, place=1).content
    assert content["analyst"].startswith("Jonas ")
    assert content["at"] == "2026-10-02"
    sheet_read = parse_worksheet(worksheet_bytes(Assay.objects.get(pk=OPEN)), f"{OPEN}.toml")
    assert first_moment(sheet_read).isoformat() == "2026-10-02", "dates of titrant and instruments are held against it"
    assert re.fullmatch(r"typed from paper by Tomas \S+, \d{4}-\d\d-\d\d", content["note"])
    assert states(client, act("correct", name="final", text="24.54", reason="misread from the sheet", by="tomas")) == [
        "kept"]
    corrected = Determination.objects.get(assay=OPEN, place=1).content
    assert corrected == {**content, "final": "24.54 mL"}, "who titrated, and on which day, stays"
    page = " ".join(client.get(f"/bench/{OPEN}").content.decode().split())
    assert "from paper, titrated by Jonas" in page
    assert re.search(r"Gone through by Jonas \S+, on paper; typed in by Tomas", page)
    offered = page[page.index('id="titrated-by"'):].partition("</select>")[0]
    assert 'value="ines"' in offered
    assert 'value="maren"' not in offered, "she does not titrate"
    assert "titrated on" in client.get(f"/assay/{OPEN}").content.decode()
    assert any("typed from paper by Tomas" in told for one in history(OPEN, of="worksheet") for told in one.details)
    assert "typed from paper by Tomas" in "".join(map(str, export(Assay.objects.get(pk=OPEN)).values()))
    from pypdf import PdfReader

    working = PdfReader(io.BytesIO(client.get(f"/working/{OPEN}").content))
    assert "typed from paper by Tomas" in " ".join(" ".join(one.extract_text() for one in working.pages).split())


def test_whoever_titrated_on_paper_does_not_review_it(browser, sheet):  # noqa: F811
    from assaywright.actions.assays import has_worked_on
    from assaywright.records.models import Assay, Person

    paper = {"by": "tomas", "from_paper": True, "titrated_by": "jonas", "titrated_on": "2026-10-07"}
    states(browser("tomas"), *keeps(**paper), act("finish", **paper))
    assay = Assay.objects.get(pk=OPEN)
    assert [has_worked_on(Person.objects.get(pk=one), assay) for one in ("jonas", "tomas", "maren")] == [
        True, True, False]


def test_at_the_burette_nothing_is_said_of_paper_and_nobody_unknown_has_titrated(browser, sheet):  # noqa: F811
    from assaywright.records.models import Determination

    client = browser("ines")
    answer = sent(client, *keeps(READINGS[:1], from_paper=True, titrated_by="nobody"))[0]
    assert answer["state"] == "refused"
    assert "nobody here goes by" in answer["sentence"].casefold()
    states(client, *keeps(), act("finish"))
    assert not {"note", "analyst"} & set(Determination.objects.get(assay=OPEN, place=1).content)
    assert not any("from_paper" in one for one in events("reading.kept"))


@pytest.mark.parametrize(("name", "first", "then"), [
    ("caustic-soda-two-endpoints", "First stop at", "Then stop at"),
    ("caustic-soda-by-barium-chloride", "With barium chloride, stop at", "Then stop at")])
def test_both_stops_of_a_method_with_two_endpoints_stand_on_the_sheet(name, first, then):
    from assaywright.assay.asked import asked
    from assaywright.assay.bench.paper import planned_words
    from assaywright.assay.bench.state import bench_state
    from assaywright.assay.method import load_method

    method = load_method(name)
    told = {one.label: one.text for one in planned_words(method, asked(method), bench_state(method, {}, [], {}))}
    assert told[first].startswith("pink to the last trace of pink")
    assert told[then] == "yellow to the first orange"


def test_solutions_on_the_sheet_last_through_a_named_day(browser):
    told = " ".join(one["text"] for one in document_of(browser("ines"), "WS-26-0874")["planned"])
    assert "through the last day of December 2026" in told
    assert "the end of 2026-12" not in told
