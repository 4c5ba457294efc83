"""The bench page in a real browser: the daily case counted, by keyboard and by touch, questions, and nothing lost.

No serious violation on the page, at both widths: WCAG 2.2, by the rules of axe-core. The numbers shown are compared
with ``evaluate`` on the worksheet that comes down.
"""

import json
import random
import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import expect

from tests.web import lost
from tests.web.fickle import Server, Tablet, all_kept
from tests.web.portions import NAMES, READINGS
from tests.web.test_line_browser import GRAVE
from tests.web.test_serve import free_port

# The server is started once, whatever number of workers share the tests.
pytestmark = pytest.mark.xdist_group("the bench page")
NUMBERS = iter(range(1000, 9000))


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    one = Server(tmp_path_factory.mktemp("served") / "records", free_port())
    one.start()
    yield one
    one.stop()


@pytest.fixture(scope="module")
def player():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as one:
        yield one


@pytest.fixture
def tablet(server, player):
    """Somebody's tablet; nothing on it may complain, but of what it could not fetch."""
    opened = []

    def one(who="ines", **options):
        opened.append(Tablet(player, server.address, who, **options))
        return opened[-1]

    yield one
    complaints = [said for tablet in opened for said in tablet.complaints if "Failed to load resource" not in said]
    for tablet in opened:
        tablet.close()
    assert not complaints


@pytest.fixture
def sheet(server):
    return server.ask("begin", number=str(next(NUMBERS)))


class Hands:
    """Counts every key struck, every click and every tap."""

    def __init__(self, page):
        self.page, self.keys, self.clicks = page, 0, 0

    def type(self, text):
        self.page.keyboard.type(text)
        self.keys += len(text)

    def press(self, chord):
        self.page.keyboard.press(chord)
        self.keys += len(chord.split("+"))

    def tap(self, where):
        self.page.locator(where).first.tap()
        self.clicks += 1


def focused(page):
    return page.evaluate("document.activeElement.id")


def goes_to(page, identity):
    expect(page.locator(f'[id="{identity}"]')).to_be_focused(timeout=10_000)


def look(page):
    """Find nothing grave on the page that lies open."""
    found = Axe().run(page).response["violations"]
    grave = {one["id"]: [node["html"][:200] for node in one["nodes"]] for one in found if one["impact"] in GRAVE}
    assert not grave


def texts(server, worksheet, kind="reading.kept"):
    return [(one["place"], one["name"], one["text"]) for one in server.ask("events", subject=worksheet)
            if one["kind"] == kind]


def evaluated(server, worksheet, folder, capsys):
    """Return what ``evaluate`` says of the worksheet as it comes down."""
    from assaywright.cli import main

    for name, text in server.ask("export", worksheet=worksheet).items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert main(["evaluate", str(folder / f"{worksheet}.toml"), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def figure(page):
    """Return the first result that stands there, without its name."""
    plain = "one => [...one.childNodes].filter(part => part.nodeType === 3).map(part => part.textContent).join(' ')"
    return " ".join(page.locator("#live p.figure").first.evaluate(plain).split())


# --- the daily case ---------------------------------------------------------------------------------------------------


def test_the_daily_case_by_keyboard_takes_the_readings_and_at_most_twelve_keys_more(server, tablet, sheet, tmp_path,
                                                                                    capsys):
    page = tablet().page
    page.goto(f"{server.address}/bench")
    hands = Hands(page)
    goes_to(page, "code")
    page.keyboard.type(sheet)  # the scanner, which types like a keyboard
    page.keyboard.press("Enter")
    page.wait_for_selector("#bench[data-ready]")
    goes_to(page, "check")
    hands.press("Enter")
    goes_to(page, "1d-gross")
    for place, readings in enumerate(READINGS, 1):
        for name, text in zip(NAMES, readings, strict=False):
            goes_to(page, f"{place}d-{name}")
            if page.input_value(f'[id="{place}d-{name}"]') != text:  # the gross mass is the tare before it, proposed
                hands.type(text)
            hands.press("Enter")
    goes_to(page, "4d-gross")
    hands.press("Control+Enter")
    expect(page.locator("#stage")).to_have_text("in review", timeout=10_000)
    readings = [text for one in READINGS for text in one]
    characters = sum(map(len, readings))
    with capsys.disabled():
        lost.say(f"\nthree replicates from scan to review: {hands.keys} keys and {hands.clicks} clicks; the readings "
                 f"are {characters} characters")
    assert hands.keys + hands.clicks <= characters + 12
    told = evaluated(server, sheet, tmp_path, capsys)["result"]
    shown = page.locator("#live p.figure").inner_text()
    assert float(told["value"]) == pytest.approx(float(shown.split()[0]), abs=6e-4)
    assert texts(server, sheet) == [(place, name, text) for place, one in enumerate(READINGS, 1)
                                    for name, text in zip(NAMES, [*one, "21.0"][:5], strict=True)]


def test_a_balance_that_types_like_a_keyboard_needs_no_hand(server, tablet, sheet):
    page = tablet().bench(sheet)
    page.focus('[id="1d-gross"]')
    for text, following in (("61.4402", "1d-tare"), ("57.4528", "1d-initial")):
        page.keyboard.insert_text(text)
        page.keyboard.press("Enter")
        goes_to(page, following)
    all_kept(page)
    assert texts(server, sheet) == [(1, "gross", "61.4402"), (1, "tare", "57.4528")]


def test_a_label_scanned_into_a_reading_goes_to_the_sample_and_the_cursor_stays(server, tablet):
    lot = f"{next(NUMBERS)}E5"  # a number of a lot that reads like a figure
    page = tablet().bench(server.ask("begin", number=lot))
    for code in (f"lot {lot}; acetic acid 30 % w/w; use before 2027-10", lot):
        page.focus('[id="1d-final"]')
        page.keyboard.type(code)
        page.keyboard.press("Enter")
        expect(page.locator('[id="1d-identity"]')).to_have_value(code, timeout=10_000)
        goes_to(page, "1d-final")
        assert page.input_value('[id="1d-final"]') == ""
    expect(kept_of(page)).to_have_text("")


# --- keyboard only, touch only ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (820, 1180)])
def test_everything_can_be_reached_seen_and_heard(server, tablet, sheet, width, height):
    page = tablet(width=width, height=height).bench(sheet)
    look(page)
    page.click("#check")
    for name, text in zip(NAMES, READINGS[0], strict=True):
        page.focus(f'[id="1d-{name}"]')
        page.keyboard.type(text)
        page.wait_for_timeout(400)  # the live part comes meanwhile
        assert focused(page) == f"1d-{name}"
        both = page.evaluate("""() => [document.activeElement, document.querySelector('.live .titre output')].map(
            one => one.getBoundingClientRect()).every(one => one.top >= 0 && one.bottom <= innerHeight)""")
        assert both, (name, "the reading and the titre are in view together")
    expect(page.locator("#said")).to_contain_text("% w/w", timeout=10_000)
    heard = page.locator("#said").inner_text()
    assert "Titre 40.07 mL" in heard
    assert "of one determination; the method asks for 3" in heard
    look(page)
    page.keyboard.press("Enter")
    goes_to(page, "2d-gross")
    all_kept(page)
    look(page)
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= width
    small = page.evaluate("""() => [...document.querySelectorAll('#places button, #places input[name], #check, #send')]
        .filter(one => one.offsetParent && one.type !== 'radio' && one.getBoundingClientRect().height < 44)
        .map(one => one.outerHTML.slice(0, 80))""")
    assert not small
    least = page.evaluate("document.getElementById('2d-final').getBoundingClientRect().height")
    assert least >= 56


def test_three_replicates_by_touch_alone(server, tablet, sheet):
    page = tablet(width=820, height=1180, has_touch=True).bench(sheet)
    hands = Hands(page)
    hands.tap("#check")
    for place, readings in enumerate(READINGS, 1):
        for name, text in zip(NAMES, readings, strict=False):
            hands.tap(f'[id="{place}d-{name}"]')
            page.keyboard.type(text)  # on the tablet's own keyboard, without its Enter
        hands.tap(f'.place[data-place="{place}"] .finish')
        page.wait_for_selector(f'.place.finished[data-place="{place}"]')
    hands.tap("#send")
    expect(page.locator("#stage")).to_have_text("in review", timeout=10_000)
    assert len(texts(server, sheet)) == 15


def test_a_reading_on_record_is_corrected_by_touch_with_a_reason_and_both_stay(server, tablet, sheet):
    page = tablet(width=820, height=1180, has_touch=True).bench(sheet)
    one_typed(page, 1, READINGS[0])
    page.fill('[id="1d-final"]', "40.09")
    page.locator('[id="1d-tare"]').tap()
    page.locator('[id="1d-final-why"]').wait_for()
    page.get_by_role("button", name="Correct it").tap()
    assert "reason is needed" in page.locator("#said").inner_text()
    page.fill('[id="1d-final-why"]', "misread by two hundredths")
    page.get_by_role("button", name="Correct it").tap()
    expect(kept_of(page)).to_contain_text("corrected", timeout=10_000)
    kinds = [one["kind"] for one in server.ask("events", subject=sheet)]
    assert kinds.count("determination.recorded") == kinds.count("determination.corrected") == 1


def kept_of(page):
    """Where the page says what became of the first final reading."""
    return page.locator('.place[data-place="1"] [data-field=final] .kept')


def one_typed(page, place, readings, names=NAMES):
    """Type one determination with Enter after every reading."""
    for name, text in zip(names, readings, strict=False):
        page.focus(f'[id="{place}d-{name}"]')
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    page.wait_for_selector(f'.place.finished[data-place="{place}"]')
    all_kept(page)


# --- questions --------------------------------------------------------------------------------------------------------


def asked(page, place, name, text, code):
    """Type a reading, and wait until it is asked about in one sentence; nothing is blocked meanwhile."""
    page.focus(f'[id="{place}d-{name}"]')
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type(text)
    question = page.locator(f'.question[data-code="{code}"]:not(.confirmed)')
    question.wait_for(timeout=10_000)
    assert focused(page) == f"{place}d-{name}"
    sentence = question.locator(".asked").inner_text()
    assert sentence.endswith(".")
    assert len(re.findall(r"\.\s", sentence)) == 0
    return sentence


QUESTIONS = [
    ("final", "40.24", "digits-exchanged", "40.42"),
    ("final", "43.40", "far-from-expected", "far from what is expected"),
    ("final", "0.04", "final-is-initial", "0.04"),
    ("temperature", "69.8", "other-temperature-scale", "°F"),
]


WAYS = [(*one, way) for one in QUESTIONS for way in ("F2", "Enter", "button", "mended")
        if way == "mended" or one[0] != "temperature"]  # no evaluation takes 69.8 °C


@pytest.mark.parametrize(("name", "text", "code", "words", "way"), WAYS)
def test_an_odd_reading_is_asked_about_and_confirmed_or_mended(server, tablet, sheet, name, text, code, words, way):
    page = tablet().bench(sheet)
    one_typed(page, 1, READINGS[0])
    for other, usual in zip(NAMES, READINGS[1], strict=False):
        if other != name:
            page.fill(f'[id="2d-{other}"]', usual)
    assert words in asked(page, 2, name, text, code)
    if way == "F2":
        page.keyboard.press("F2")
    if way == "button":
        page.locator("#live [data-confirm]").first.click()
        goes_to(page, f"2d-{name}")
    if way == "mended":
        right = dict(zip(NAMES, [*READINGS[1], "21.0"], strict=True))[name]
        page.focus(f'[id="2d-{name}"]')
        page.keyboard.press("ControlOrMeta+a")
        page.keyboard.type(right)
        page.locator(f'.question[data-code="{code}"]').wait_for(state="detached")
    page.locator('.place[data-place="2"] .finish').focus() if name != "final" else page.focus('[id="2d-final"]')
    page.keyboard.press("Enter")
    if way == "Enter":  # once more: it is so
        expect(page.locator("#said")).to_contain_text("Is it so?", timeout=10_000)
        page.keyboard.press("Enter")
    page.wait_for_selector('.place.finished[data-place="2"]')
    all_kept(page)
    answered = [(one["name"], one["text"], one["code"]) for one in server.ask("events", subject=sheet)
                if one["kind"] == "question.confirmed"]
    assert ((name, text, code) in answered) == (way != "mended")


def test_the_readings_of_another_determination_are_asked_about_and_said_to_be_of_their_own(server, tablet, sheet):
    page = tablet().bench(sheet)
    one_typed(page, 1, READINGS[0])
    for other, usual in zip(NAMES, READINGS[0], strict=False):
        if other != "final":
            page.fill(f'[id="2d-{other}"]', usual)
    assert "Determination 1 has the same readings" in asked(page, 2, "final", "40.070", "same-readings")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("Is it so?", timeout=10_000)
    page.keyboard.press("Enter")
    page.wait_for_selector('.place.finished[data-place="2"]')
    all_kept(page)
    recorded = [one for one in server.ask("events", subject=sheet) if one["kind"] == "determination.recorded"]
    assert [one.get("own_readings") for one in recorded] == [None, True]


def test_a_titrant_past_its_date_is_asked_about_and_confirmed_once_for_the_determination(server, tablet):
    sheet = server.ask("begin", number=str(next(NUMBERS)), use_before="2026-10")
    page = tablet().bench(sheet)
    assert "past its date" in page.locator(".checklist").inner_text()
    asked(page, 1, "gross", "61.4402", "past-its-date")
    page.keyboard.press("F2")
    page.locator('.question.confirmed[data-code="past-its-date"]').wait_for()
    page.keyboard.press("ControlOrMeta+a")
    one_typed(page, 1, READINGS[0])
    codes = [one["code"] for one in server.ask("events", subject=sheet) if one["kind"] == "question.confirmed"]
    assert codes == ["past-its-date"]


def test_what_cannot_be_is_said_at_once_and_never_recorded(server, tablet, sheet):
    page = tablet().bench(sheet)
    for other, usual in zip(NAMES[:4], READINGS[1], strict=True):
        page.fill(f'[id="1d-{other}"]', usual)
    assert "before the initial" in asked(page, 1, "final", "0.02", "final-before-initial")
    page.fill('[id="1d-temperature"]', "21.0")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("This cannot be", timeout=10_000)
    assert page.locator(".place.finished").count() == 0
    all_kept(page)
    assert (1, "final", "0.02") in texts(server, sheet), "kept as typed all the same"


def test_what_was_typed_while_the_server_was_away_is_asked_about_once_it_answers(server, tablet, sheet):
    mine = tablet()
    page = mine.bench(sheet)
    one_typed(page, 1, READINGS[0])
    mine.context.set_offline(True)
    for name, text in zip(NAMES, (*READINGS[1][:3], "43.40"), strict=False):
        page.fill(f'[id="2d-{name}"]', text)
    page.focus('[id="2d-temperature"]')
    page.keyboard.press("Enter")
    page.wait_for_selector('.place.finished[data-place="2"]')
    mine.context.set_offline(False)
    expect(page.locator("#refused")).to_contain_text("yped while the server was away; is it so?", timeout=10_000)
    page.locator('.question[data-code="far-from-expected"]:not(.confirmed)').wait_for()
    goes_to(page, "2d-final")
    assert server.ask("recorded", worksheet=sheet)[1:] == []
    page.keyboard.press("F2")
    page.wait_for_selector('.place.finished[data-place="2"]')
    all_kept(page)
    (recorded,) = [one for one in server.ask("events", subject=sheet)
                   if one["kind"] == "determination.recorded" and one["place"] == 2]
    assert ["titre of 43.36 mL" in one for one in recorded["confirmed"]] == [True], "confirmed, and once"
    assert page.locator("#refused li").count() == 0


def test_no_figure_is_told_as_its_field_is_left_and_a_refused_correction_is_put_back(server, tablet, sheet):
    page = tablet().bench(sheet)
    page.focus('[id="1d-final"]')
    page.keyboard.type("abc")
    page.wait_for_timeout(600)
    assert page.locator(".question[data-code=no-figure]").count() == 0, "still being typed"
    page.keyboard.press("Enter")
    expect(page.locator(".question.impossible")).to_contain_text(
        "“abc” is no figure. Type the figure alone; the field is in mL.", timeout=10_000)
    page.fill('[id="1d-final"]', "")
    one_typed(page, 1, READINGS[0])
    page.fill('[id="1d-final"]', "99.99")
    page.locator('[id="1d-initial"]').focus()
    page.fill('[id="1d-final-why"]', "misread")
    page.keyboard.press("Enter")
    expect(page.locator("#refused")).to_contain_text("99.99", timeout=10_000)
    expect(page.locator('[id="1d-final"]')).to_have_value("40.07")
    expect(kept_of(page)).to_have_text("on record")


# --- every kind of titration ------------------------------------------------------------------------------------------

KINDS = {  # method: what its published example shows
    "naoh-by-khp": "a weighed primary standard", "hcl-against-naoh": "against a solution, pipetted",
    "calcium-carbonate-by-excess-acid": "a back titration with its blank titrated likewise",
    "caustic-soda-two-endpoints": "two endpoints", "caustic-soda-by-barium-chloride": "with barium chloride",
    "chloride-by-silver-nitrate": "a pipetted portion with a stated blank",
    "calcium-chloride-by-edta": "an aliquot of a dilution",
}


def figure_of(text):
    """Return a reading without its unit."""
    return text.split(" ")[0]


def typed_like(page, place, readings):
    """Type a determination of a worksheet into the page, and put it on record, whatever is asked about it."""
    if "net" in readings:
        page.check("#tared")
    for name, text in readings.items():
        field = page.locator(f'.place[data-place="{place}"] input[name="{name}"]')
        if field.count():
            field.fill(figure_of(text))
    field = page.locator(f'.place[data-place="{place}"] input[name="final"]')
    for _ in range(3):
        page.locator(f'.place[data-place="{place}"] .finish').focus()
        page.keyboard.press("Enter")
        try:
            page.locator(f'.place.finished[data-place="{place}"]').wait_for(timeout=2500)
            break
        except PlaywrightError:
            continue
    all_kept(page)


@pytest.mark.parametrize("method", KINDS)
def test_every_kind_of_titration_runs_on_the_page_and_gives_what_evaluate_gives(server, tablet, method, tmp_path,
                                                                                capsys):
    example = server.ask("begin_example", method=method)
    page = tablet().bench(example["worksheet"])
    for number, one in enumerate(example["blank"].get("titrations", ()), 1):
        if number > 1:
            page.locator(".blank .filling").click()
        for end in ("initial", "final"):
            page.fill(f'.blank input[name="{end}{f" {number}" if number > 1 else ""}"]', figure_of(one[end]))
        page.fill('.blank input[name="temperature"]', figure_of(one["temperature"]))
    if example["blank"]:
        page.locator(".blank .finish").click()
        page.wait_for_selector(".blank.finished")
        all_kept(page)
    for place, readings in enumerate(example["readings"], 1):
        typed_like(page, place, readings)
    page.reload()
    page.wait_for_selector("#bench[data-ready]")
    told = evaluated(server, example["worksheet"], tmp_path, capsys)["result"]
    shown = figure(page)
    assert told["unit"] in shown
    value = shown.split()[0]
    half = 0.5 * 10.0 ** -len(value.partition(".")[2])
    assert abs(float(told["value"]) - float(value)) <= half * 1.000001
    assert shown.endswith(f"{told['unit']}")
    for mine, typed in zip(server.ask("recorded", worksheet=example["worksheet"]), example["readings"], strict=True):
        assert {key: mine.get(key) for key in typed if key not in ("pipette", "excess_pipette")} == {
            key: text for key, text in typed.items() if key not in ("pipette", "excess_pipette")}


def test_a_burette_filled_again_gives_the_sum_and_the_same_result_as_evaluate(server, tablet, sheet, tmp_path, capsys):
    page = tablet().bench(sheet)
    for name, text in (("gross", "61.4402"), ("tare", "57.4528"), ("initial", "0.00"), ("final", "30.00")):
        page.fill(f'[id="1d-{name}"]', text)
    page.locator('.place[data-place="1"] .filling').click()
    goes_to(page, "1d-initial-2")
    page.fill('[id="1d-initial-2"]', "0.10")
    page.fill('[id="1d-final-2"]', "10.17")
    expect(page.locator(".titre output")).to_have_text("40.07 mL", timeout=10_000)
    page.fill('[id="1d-temperature"]', "21.0")
    page.locator('.place[data-place="1"] .filling').click()  # by mistake
    page.locator('.place[data-place="1"] .finish').click()
    expect(page.locator("#said")).to_contain_text("Once more says that there was none", timeout=10_000)
    page.locator('.place[data-place="1"] .finish').click()
    page.wait_for_selector('.place.finished[data-place="1"]')
    all_kept(page)
    told = evaluated(server, sheet, tmp_path, capsys)["result"]
    assert float(told["value"]) == pytest.approx(float(figure(page).split()[0]), abs=6e-4)
    assert server.ask("recorded", worksheet=sheet)[0]["fillings"] == [["0.00 mL", "30.00 mL"], ["0.10 mL", "10.17 mL"]]


def test_a_blank_is_kept_put_on_record_corrected_and_refused_when_read_backwards(server, tablet):
    example = server.ask("begin_example", method="copper-by-thiosulfate")
    page = tablet().bench(example["worksheet"])
    for name, text in (("initial", "0.05"), ("final", "0.02")):
        page.fill(f'.blank input[name="{name}"]', text)
    page.locator(".blank .finish").click()
    expect(page.locator(".question.impossible")).to_contain_text("before the initial reading", timeout=10_000)
    page.fill('.blank input[name="final"]', "0.10")
    page.locator(".blank .finish").click()
    page.wait_for_selector(".blank.finished")
    all_kept(page)
    assert server.ask("heading", worksheet=example["worksheet"])["blank"]["titrations"] == [
        {"initial": "0.05 mL", "final": "0.10 mL"}]
    page.fill('.blank input[name="final"]', "0.12")
    page.locator('.blank input[name="initial"]').focus()
    page.fill('[id="0d-final-why"]', "misread at the bench")
    page.get_by_role("button", name="Correct it").click()
    expect(page.locator(".blank [data-field=final] .kept")).to_contain_text("corrected", timeout=10_000)
    assert server.ask("heading", worksheet=example["worksheet"])["blank"]["titrations"][0]["final"] == "0.12 mL"


def test_the_blank_of_a_back_titration_is_refilled_and_opened_again_as_it_was_typed(server, tablet):
    example = server.ask("begin_example", method="sodium-sulfite-by-excess-iodine")
    page = tablet().bench(example["worksheet"])
    page.fill('.blank input[name="initial"]', "0.00")
    page.fill('.blank input[name="final"]', "40.00")
    page.locator(".blank .refill").click()
    for name, text in (("initial 1.2", "0.10"), ("final 1.2", "9.90")):
        page.fill(f'.blank input[name="{name}"]', text)
    expect(page.locator(".titre output")).to_have_text("49.80 mL")
    page.locator(".blank .filling").click()
    page.fill('.blank input[name="initial 2"]', "0.00")
    all_kept(page)
    page.reload()
    page.wait_for_selector("#bench[data-ready]")
    shown = [(one.get_attribute("name"), one.input_value()) for one in
             page.locator('.blank input[name^="initial"], .blank input[name^="final"]').all()]
    assert shown == [("initial", "0.00"), ("final", "40.00"), ("initial 1.2", "0.10"), ("final 1.2", "9.90"),
                     ("initial 2", "0.00"), ("final 2", "")]


def test_a_burette_filled_again_before_the_first_of_two_endpoints_asks_for_it_there(server, tablet):
    example = server.ask("begin_example", method="caustic-soda-two-endpoints")
    page = tablet().bench(example["worksheet"])
    for name, text in (("sample_temperature", "20.0"), ("initial", "10.00"), ("final", "30.00")):
        page.fill(f'[data-place="1"] input[name="{name}"]', text)
    page.locator('[data-place="1"] .filling').click()
    for name, text in (("initial 2", "0.00"), ("first 2", "5.00"), ("final 2", "10.00"), ("temperature", "20.0")):
        page.fill(f'[data-place="1"] input[name="{name}"]', text)
    expect(page.locator('[data-part="titre"]')).to_contain_text("25.00 mL", timeout=10_000)
    page.locator('.place[data-place="1"] .finish').click()
    page.wait_for_selector('.place.finished[data-place="1"]')
    all_kept(page)
    (recorded,) = [one for one in server.ask("events", subject=example["worksheet"])
                   if one["kind"] == "determination.recorded"]
    assert (recorded["fields"]["first"], recorded["fields"]["first_filling"]) == ("5.00 mL", 2)


# --- two at once ------------------------------------------------------------------------------------------------------


def test_two_tabs_on_one_worksheet_lose_nothing_and_each_says_what_the_other_typed(server, tablet, sheet):
    mine = tablet()
    first, second = mine.bench(sheet), mine.bench(sheet, mine.opened())
    for page, text in ((first, "40.07"), (second, "40.70")):
        page.bring_to_front()
        page.focus('[id="1d-final"]')
        page.keyboard.type(text)
        page.keyboard.press("Enter")
        expect(kept_of(page)).to_have_text("kept", timeout=10_000)
    assert texts(server, sheet) == [(1, "final", "40.07"), (1, "final", "40.70")]
    second.locator(".other", has_text="40.07").wait_for()
    second.get_by_role("button", name="Take 40.07").click()
    expect(kept_of(second)).to_have_text("kept", timeout=10_000)
    assert texts(server, sheet)[-1] == (1, "final", "40.07")
    first.reload()
    assert first.input_value('[id="1d-final"]') == "40.07"


def test_two_people_on_one_determination_both_stay_on_record_and_each_sees_it(server, tablet, sheet):
    ines, tomas = tablet("ines").bench(sheet), tablet("tomas").bench(sheet)
    for page, text in ((ines, "40.07"), (tomas, "40.70")):
        page.focus('[id="1d-final"]')
        page.keyboard.type(text)
        page.keyboard.press("Enter")
        expect(kept_of(page)).to_have_text("kept", timeout=10_000)
    tomas.locator(".other", has_text="Ines Okafor typed 40.07 here meanwhile").wait_for()
    ines.reload()
    ines.wait_for_selector("#bench[data-ready]")
    field = ines.locator('.place[data-place="1"] [data-field=final]')
    assert field.locator("input").input_value() == "40.70"
    assert "Tomas Rehn" in field.inner_text()
    assert "40.07 Ines Okafor" in field.inner_text()


def test_what_one_person_typed_is_never_sent_under_anothers_name(server, tablet, sheet):
    mine = tablet()
    page = mine.bench(sheet)
    page.wait_for_selector("#bench[data-worker=kept]")
    server.ask("end_sessions")
    page.focus('[id="1d-gross"]')
    page.keyboard.type("61.4402")
    page.keyboard.press("Enter")
    page.wait_for_selector("#bench[data-outbox='signed out']")
    page.locator("#outbox a").click()
    mine.name_oneself("tomas")
    page.wait_for_selector("#bench[data-outbox='another person']")
    assert texts(server, sheet) == []
    page.get_by_role("button", name="Sign out").click()
    mine.name_oneself("ines")
    mine.bench(sheet)
    all_kept(page)
    assert [one["by"] for one in server.ask("events", subject=sheet) if one["kind"] == "reading.kept"] == ["ines"]


def test_cookies_that_have_gone_and_another_persons_session_are_told(server, tablet, sheet):
    mine = tablet()
    page = mine.bench(sheet)
    page.wait_for_selector("#bench[data-worker=kept]")
    mine.context.clear_cookies()
    page.fill('[id="1d-gross"]', "61.4402")
    page.locator('[id="1d-tare"]').focus()
    page.wait_for_selector("#bench[data-outbox='signed out']")
    expect(page.locator("#outbox")).to_contain_text("sign in again; nothing is lost")
    other = mine.opened()
    other.goto(f"{server.address}/sign-in")
    mine.page = other
    mine.name_oneself("tomas")
    page.wait_for_selector("#bench[data-outbox='another session']")
    expect(page.locator("#outbox")).to_contain_text("Tomas Rehn has signed in in this browser")
    page.bring_to_front()
    page.fill('[id="1d-tare"]', "57.4528")
    expect(page.locator("#live [data-part=result]")).to_contain_text("until you have signed in again", timeout=10_000)
    other.goto(f"{server.address}/sign-in")
    mine.name_oneself("ines")
    all_kept(page)
    expect(page.locator("#live [data-part=result]")).to_contain_text("first final reading", timeout=10_000)
    assert {one["by"] for one in server.ask("events", subject=sheet) if one["kind"] == "reading.kept"} == {"ines"}


# --- nothing lost -----------------------------------------------------------------------------------------------------


def test_nothing_typed_is_lost_whatever_happens_at_ten_random_moments_each(server, tablet, capsys):
    seed = random.SystemRandom().randrange(10**6)
    lines = [f"\nseed {seed}"]
    found = lost.run(server, tablet(), lost.HAPPENINGS, 10, seed, told=lines.append)
    with capsys.disabled():
        lost.say("\n".join(lines))
    assert not found, f"seed {seed}"


# --- figures ----------------------------------------------------------------------------------------------------------

READING = st.decimals(0, 100, places=2) | st.decimals(0, 100, places=3) | st.decimals(0, 100, places=0)


def test_the_titre_without_the_server_is_the_exact_one(server, tablet):
    page = tablet().page
    page.evaluate("async () => { window.titre = (await import('/static/web/titre.js')).titre; }")

    @settings(max_examples=200, deadline=None)
    @given(st.lists(st.tuples(READING, READING), min_size=1, max_size=3), st.sampled_from(".,"))
    def same(pairs, mark):
        typed = [[str(one).replace(".", mark) for one in pair] for pair in pairs]
        exact = sum((final - initial for initial, final in pairs), start=0)
        assert page.evaluate("pairs => titre(pairs)", typed) == str(exact).replace("-", "−").replace("−0.00", "0.00")

    same()
