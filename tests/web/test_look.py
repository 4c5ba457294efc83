"""Every page in a real browser, at the widths of a desk, a tablet and a telephone, and at twice the size of letters.

No serious violation of WCAG 2.2 by the rules of axe-core; nothing wider than the window; nothing that the browser
complains of, such as a script or style that the page's policy forbids.
"""

import shutil

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright

from scripts.screenshots import STRAY, sign_in, walk
from tests.web.test_serve import free_port, serving

GRAVE = ("serious", "critical")
WIDTHS = {"desk": (1280, 900), "tablet": (820, 1180), "desk at 200 %": (640, 450), "telephone": (390, 844)}
WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
LONG_WORDS = """() => document.querySelectorAll(
    "main h1, main h2, main p, main dd, main li, main td, main th, main label, main summary, main strong, main .hint")
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
    with serving(place, "--demonstration", "--plain-http", port=port):
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
