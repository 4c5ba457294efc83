"""Every page in a real browser, at the widths of a desk, a tablet and a telephone, and at twice the size of letters.

No serious violation of WCAG 2.2 by the rules of axe-core; nothing wider than the window; nothing that the browser
complains of, such as a script or style that the page's policy forbids.
"""

import shutil
import unicodedata

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect, sync_playwright

from scripts.screenshots import STRAY, sign_in, walk
from tests.web.test_serve import free_port, serving

# The server is started once, whatever number of workers share the tests.
pytestmark = pytest.mark.xdist_group("the look of the pages")

GRAVE = ("serious", "critical")
WIDTHS = {"desk": (1280, 900), "tablet": (820, 1180), "desk at 200 %": (640, 450), "telephone": (390, 844)}
WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
LONG_WORDS = """() => document.querySelectorAll(
    "main :is(h1, h2, p:not(.figure), dd, li, td, th, label, summary, strong, .hint)")
    .forEach(one => one.append(" " + "x".repeat(300)))"""
UNNAMED_FRAMES = """() => [...document.querySelectorAll("main *")].filter(one =>
    ["auto", "scroll"].includes(getComputedStyle(one).overflowX) && one.scrollWidth > one.clientWidth + 1
    && !(one.tabIndex === 0
         && (one.getAttribute("aria-label") || one.matches("input, textarea, select, pre, .working"))))
    .map(one => one.outerHTML.slice(0, 120))"""
OURS_TO_SAY = ("404", "403", "422")  # the browser reports such an answer as an error of its own


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The demonstration served on this machine, without TLS, which the browser would have to be told to trust."""
    port = free_port()
    place = tmp_path_factory.mktemp("look") / "demonstration"
    with serving(place, "--demonstration", "--plain-http", port=port, on_that_day=True):
        yield f"http://127.0.0.1:{port}/"


@pytest.fixture(scope="module")
def page(site):
    """A browser in which the signatory is signed in."""
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        found = browser.new_page()
        found.goto(f"{site}sign-in")
        sign_in(found, "maren")
        yield found
        browser.close()


@pytest.mark.slow
def test_every_page_can_be_read_by_everybody_and_fits_the_window(site, page):
    complaints, faults = [], []
    page.on("console", lambda said: complaints.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda problem: complaints.append(str(problem)))
    paths = [*walk(page, site), *STRAY, "sign-in"]
    assert len(paths) > 30
    for path in paths:
        page.set_viewport_size({"width": 1280, "height": 900})
        page.goto(site + path.lstrip("/"))
        faults += [(path, one["id"], [node["html"][:150] for node in one["nodes"]][:3])
                   for one in Axe().run(page).response["violations"] if one["impact"] in GRAVE]
        for name, (width, height) in WIDTHS.items():
            page.set_viewport_size({"width": width, "height": height})
            if (wider := page.evaluate(WIDER)) > 0:
                faults.append((path, name, f"{wider} px wider than the window"))
            faults += [(path, name, "a frame that scrolls, without a name or out of the keyboard's reach", one)
                       for one in page.evaluate(UNNAMED_FRAMES)]
        page.evaluate(LONG_WORDS)
        for name, (width, height) in WIDTHS.items():
            page.set_viewport_size({"width": width, "height": height})
            if (wider := page.evaluate(WIDER)) > 0:
                faults.append((path, name, f"{wider} px wider than the window, for a word without blanks"))
    assert not faults
    assert not [one for one in complaints if not any(status in one for status in OURS_TO_SAY)]


@pytest.mark.slow
def test_the_keyboard_alone_leads_from_the_top_of_a_page_into_its_content(site, page):
    page.set_viewport_size({"width": 1280, "height": 900})
    page.goto(f"{site}people")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the content"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.querySelector('main').contains(document.activeElement)")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"


@pytest.mark.slow
def test_everything_to_press_is_large_enough_for_a_gloved_finger(site, page):
    """44 px, WCAG 2.2, success criterion 2.5.5 (AAA), from memory; links within text are excepted there."""
    page.set_viewport_size({"width": 820, "height": 1180})
    for path in ("people/ines", "equipment/new?kind=burette", "sign-in"):
        page.goto(site + path)
        small = page.eval_on_selector_all(
            "button, .button, input:not([type=hidden]):not([type=checkbox]), select, nav a",
            "all => all.filter(one => one.offsetParent && one.getBoundingClientRect().height < 43.5)"
            ".map(one => one.outerHTML.slice(0, 120))")
        assert not small


# --- on paper ---------------------------------------------------------------------------------------------------------

PAPERS = {"A4": 680, "Letter": 703}  # 210 mm and 215.9 mm less 15 mm on either side, in pixels of 1/96 inch
PRINTED = {
    "lot/0941": "acetic acid 30 % w/w", "assay/WS-26-0903": "Determinations", "plan/lot/0941": "Options, best first",
    "label/lot/0941": "acetic acid 30 % w/w", "solution/T-0917": "Standardisations", "certificates": "Certificates",
}
SHOWN = "all => all.filter(one => one.checkVisibility()).map(one => one.outerHTML.slice(0, 100))"


@pytest.mark.slow
@pytest.mark.parametrize("path", PRINTED)
def test_a_page_is_printed_whole_and_without_its_forms(site, page, path, tmp_path):
    import pypdf

    page.goto(site + path)
    for paper, width in PAPERS.items():
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(media="print")
        assert page.evaluate(WIDER) <= 0, paper
        assert not page.eval_on_selector_all("nav, form, button, .button, .demonstration, .skip", SHOWN)
        page.pdf(path=tmp_path / f"{paper}.pdf", format=paper)
        page.emulate_media(media="screen")
        sheets = pypdf.PdfReader(tmp_path / f"{paper}.pdf").pages
        text = " ".join(unicodedata.normalize("NFKC", " ".join(one.extract_text() for one in sheets)).split())
        assert PRINTED[path] in text
        assert "Sign out" not in text


# --- the keyboard alone -----------------------------------------------------------------------------------------------

FOCUSED = """() => { const one = document.activeElement;
    if (one === document.body) return ["", "", "none"]; // nothing has it: between the end of the page and its top
    return [one.textContent.trim() || one.name || "", one.id, getComputedStyle(one).outlineStyle] }"""


class Keyboard:
    """A person who never touches the mouse."""

    def __init__(self, page):
        self.page = page

    def to(self, words):
        """Press Tab until what bears these words, or this name, has the focus, which has to be seen all the way."""
        for _ in range(120):
            self.page.keyboard.press("Tab")
            text, name, outline = self.page.evaluate(FOCUSED)
            assert outline != "none" or not (text or name), f"no focus is seen on {text or name}"
            if words in (text, name):
                return
        raise AssertionError(f"Tab does not lead to {words}")

    def press(self, words):
        """Go there and press Enter."""
        self.to(words)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")

    def type(self, **fields):
        """Type into one field after the other."""
        for name, text in fields.items():
            self.to(name)
            self.page.keyboard.type(text)


@pytest.mark.slow
def test_the_keyboard_alone_leads_from_signing_in_to_a_worksheet_sent_to_review(site, page):
    own = page.context.browser.new_context()
    page = own.new_page()
    page.goto(f"{site}sign-in")
    keys = Keyboard(page)
    expect(page.locator("#name")).to_be_focused()
    page.keyboard.type("ines")
    keys.type(password="tarn-hollow-reagents")  # noqa: S106 - of the demonstration
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "sign-in" not in page.url, page.text_content("main")
    keys.press("Enter a lot")
    keys.type(number="0981", product="acetic acid", use_before="2028-11", quantity="20 L")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.url.endswith("/lot/0981"), page.text_content("main")
    keys.press("Begin the assay")
    keys.type(titrant="T-0918")
    keys.press("Begin")
    assert "/assay/" in page.url, page.text_content("main")
    for tare, final in (("20.0000", "40.01"), ("20.0010", "40.04"), ("20.0020", "39.98")):
        keys.type(gross="24.0000", tare=tare, initial="0.00", final=final)
        keys.press("Record")
    keys.press("Send to review")
    assert "in review" in page.text_content("main")
    own.close()
