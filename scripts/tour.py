"""The first day on the demonstration laboratory, walked in a browser, with the pictures of docs/tour.md.

Starts the server on a folder that goes away afterwards, and does what the page tells, from a new lot to its
certificate: ``python scripts/tour.py`` writes docs/tour/*.png; with ``--quick`` it only walks, and writes nothing.
Needs Playwright and a Chromium.
"""

import os
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import sync_playwright

HOUSE = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(HOUSE / "scripts"))

from screenshots import PASSWORD, free_port, wait  # noqa: E402

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

PICTURES = HOUSE / "docs" / "tour"
LARGEST_BYTES, ALL_BYTES = 120_000, 1_000_000
WIDTH, HEIGHT = 900, 640
LOT, WORKSHEET = "0951", "WS-26-0951"
EARLIER = ("WS-26-0871", "WS-26-0874", "WS-26-0878")  # standardisations of the demonstration on which its titrant rests
ENTERED = (("density at 20 °C", "value", "1.0385 g/mL ± 0.0005 g/mL, k = 2"), ("chloride", "less_than", "1 mg/kg"),
           ("appearance", "words", "clear, colourless"))
ACID = (("61.4402", "57.4528", "0.00", "40.07"), ("57.4528", "53.4309", "0.04", "40.42"),
        ("53.4309", "49.4747", "0.02", "39.76"))
TEMPERATURE, MISTYPED = "21.0", "40.24"


class Walk:
    """A browser in which the tour is walked; pictures are taken where there is a folder for them."""

    def __init__(self, page: "Page", site: str, target: Path | None) -> None:
        self.page, self.site, self.target, self.taken = page, site, target, list[str]()

    def go(self, path: str) -> None:
        """Open a page."""
        self.page.goto(self.site + path)

    def picture(self, name: str) -> None:
        """Take what the window shows."""
        self.taken.append(name)
        if self.target is not None:
            self.page.screenshot(path=self.target / f"{name}.png", animations="disabled")

    def press(self, words: str) -> None:
        """Press a button and see that nothing was refused."""
        self.page.get_by_role("button", name=words, exact=True).first.click()
        self.page.wait_for_load_state()
        alert = self.page.get_by_role("alert")
        if alert.count():
            raise SystemExit(f"{self.page.url}, {words}: {alert.first.inner_text()}")

    def fill(self, within: "Page | Locator | None" = None, /, **fields: str) -> None:
        """Fill in fields that are seen, by their names."""
        for name, text in fields.items():
            field = (within or self.page).locator(f'[name="{name.replace("__", " ")}"]:visible').first
            if field.evaluate("one => one.tagName") == "SELECT":
                field.select_option(text)
            else:
                field.fill(text)

    def unfold(self, words: str) -> None:
        """Unfold what lies folded."""
        self.page.locator("summary", has_text=words).first.click()

    def sign_in(self, name: str) -> None:
        """Sign in as an invented person, after whoever was there."""
        leaving = self.page.locator("form.who button")
        if leaving.count():
            leaving.click()
        self.go("sign-in")
        self.fill(name=name, password=PASSWORD)
        self.press("Sign in")


def the_door(walk: Walk) -> None:
    """Who is there, and what is to be done today."""
    walk.go("sign-in")
    walk.picture("door")
    walk.sign_in("ines")
    walk.go("")
    walk.picture("start")


def a_new_lot(walk: Walk) -> None:
    """A lot is entered, sampled, and what is not titrated is entered with its source."""
    walk.go("lots/new")
    walk.fill(number=LOT, product="acetic acid 30 % w/w", made="2026-11-27", use_before="2099-10", quantity="200 L")
    walk.press("Enter the lot")
    walk.unfold("Take a sample")
    walk.fill(taken="2026-11-29", where="filling line 1, first and last bottle")
    walk.press("Record the sample")
    for name, way, found in ENTERED:
        walk.unfold("Enter a characteristic")
        walk.fill(characteristic=name, way=way, found=found, satisfied="yes", source="Tomas Rehn, 2026-11-29")
        walk.press("Enter it")
    walk.picture("lot")


def a_plan(walk: Walk) -> None:
    """How much to take, which burette, how many determinations."""
    walk.go(f"plan/lot/{LOT}")
    walk.picture("plan")


def a_worksheet(walk: Walk) -> None:
    """The assay is begun, and printed for a bench without a screen."""
    walk.go(f"lot/{LOT}")
    walk.page.get_by_role("link", name="Begin the assay").first.click()
    walk.fill(number=WORKSHEET, performed="2026-11-30", titrant="T-0918", vessel__burette="B-11", balance="W-4",
              thermometer="T-6", density="1.0385 g/mL ± 0.0005 g/mL, k = 2", air_temperature=TEMPERATURE,
              air_pressure="1017", air_humidity="46", pooled="0.05 %, 30 degrees of freedom")
    walk.press("Begin")
    sheet = walk.page.request.get(f"{walk.site}bench/paper/{WORKSHEET}")
    if sheet.headers.get("content-type") != "application/pdf":
        raise SystemExit(f"no sheet for paper: {sheet.status}")


def at_the_bench(walk: Walk) -> None:
    """Checks gone through, three determinations typed with the keyboard alone, and sent to review."""
    walk.go(f"bench/{WORKSHEET}")
    page = walk.page
    page.locator("#bench[data-ready]").wait_for()
    walk.picture("bench-checks")
    page.locator("#check").click()
    for number, (gross, tare, initial, final) in enumerate(ACID, 1):
        place = page.locator(f'.place[data-place="{number}"]')
        readings = {"gross": gross, "tare": tare, "initial": initial, "final": final, "temperature": TEMPERATURE}
        for name, text in readings.items():
            field = place.locator(f'input[name="{name}"]')
            if (number, name) == (2, "final"):
                field.fill(MISTYPED)
                page.locator("#live .question").first.wait_for()
            field.fill(text)
            field.press("Tab")
            if (number, name) == (len(ACID), "initial"):
                page.wait_for_timeout(1200 if walk.target else 0)
                place.scroll_into_view_if_needed()
                walk.picture("bench")
        finish(walk, number)
    page.locator("#send").click()
    page.locator("#stage", has_text="in review").wait_for()


def finish(walk: Walk, number: int) -> None:
    """Put a determination on record; a question that is asked about a reading is answered with "it is so"."""
    place = walk.page.locator(f'.place[data-place="{number}"]')
    place.locator("button.finish").click()
    for _ in range(20):
        walk.page.wait_for_timeout(250)
        if "finished" in str(place.get_attribute("class")):
            break
        walk.page.keyboard.press("F2")
    else:
        raise SystemExit(f"determination {number} is not on record: {walk.page.locator('#said').inner_text()}")
    walk.page.locator('#bench[data-outbox="kept"]').wait_for()


def a_second_person(walk: Walk) -> None:
    """The titrant's standardisations, the assay and what was entered are looked at by somebody else."""
    for number in EARLIER:
        walk.go(f"assay/{number}")
        walk.press("Send to review")
    walk.sign_in("jonas")
    for number in (*EARLIER, WORKSHEET):
        walk.go(f"review/{number}")
        if number == WORKSHEET:
            walk.picture("review")
        walk.fill(walk.page.locator("form", has_text="Sign as reviewer"), password=PASSWORD)
        walk.press("Sign as reviewer")
    walk.go(f"lot/{LOT}")
    walk.press("Record that they are checked")


def release(walk: Walk) -> None:
    """The signatory releases the lot and signs its certificate; its label goes with it."""
    walk.sign_in("maren")
    walk.go(f"lot/{LOT}")
    walk.unfold("Release")
    walk.picture("release")
    walk.fill(password=PASSWORD)
    walk.press("Sign and release")
    walk.fill(password=PASSWORD)
    walk.press("Sign and issue the certificate")
    walk.picture("certificate")
    walk.go(f"label/lot/{LOT}")
    walk.picture("label")


STEPS = (the_door, a_new_lot, a_plan, a_worksheet, at_the_bench, a_second_person, release)


def walked(site: str, target: Path | None) -> list[str]:
    """Walk the whole tour; return the names of its pictures in their order."""
    with sync_playwright() as play:
        chromium = shutil.which("chromium") or shutil.which("chromium-browser")
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        walk = Walk(browser.new_page(viewport={"width": WIDTH, "height": HEIGHT}), site, target)
        for step in STEPS:
            print(step.__doc__, flush=True)
            step(walk)
        browser.close()
    return walk.taken


def main(arguments: list[str]) -> int:
    """Walk the tour on a server of its own."""
    target = None if "--quick" in arguments else PICTURES
    if target is not None:
        shutil.rmtree(target, ignore_errors=True)
        target.mkdir(parents=True)
    with tempfile.TemporaryDirectory() as folder:
        port = free_port()
        server = subprocess.Popen(
            [sys.executable, "-m", "assaywright", "serve", folder + "/demonstration", "--demonstration", "--plain-http",
             "--port", str(port)], env={**os.environ, "PYTHONPATH": str(HOUSE / "src")}, stdout=subprocess.DEVNULL)
        try:
            wait(f"http://127.0.0.1:{port}/health")
            names = walked(f"http://127.0.0.1:{port}/", target)
        finally:
            server.send_signal(signal.SIGINT)
            server.wait()
    if target is None:
        return 0
    sizes = {name: (target / f"{name}.png").stat().st_size for name in names}
    for name, size in sizes.items():
        print(f"docs/tour/{name}.png: {size / 1000:.0f} kB")
    return 0 if max(sizes.values()) <= LARGEST_BYTES and sum(sizes.values()) <= ALL_BYTES else 1


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
