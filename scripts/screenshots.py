"""Every page of the demonstration as pictures, at two widths, in ./screenshots: to be looked at, not to be compared.

Starts the server on a folder that goes away afterwards, signs in as an invented person, follows every link, and takes
two pages of each kind at most. Needs Playwright and a Chromium: ``python scripts/screenshots.py [FOLDER]``.
"""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from playwright.sync_api import Error, sync_playwright

if TYPE_CHECKING:
    from playwright.sync_api import Page

HOUSE = Path(__file__).resolve().parent.parent
WIDTHS = {1280: 900, 820: 1180}
OF_A_KIND = 2
PASSWORD = "tarn-hollow-reagents"  # noqa: S105 - of the demonstration
STRAY = ("no-such-page", "people/nobody", "equipment/new?kind=burette", "equipment/new?kind=balance")
KINDS = (*(f"/{one}/.+" for one in (
    "lot", "assay", "solution", "product", "method", "certificate", "working", "review", "plan/lot", "plan/solution",
    "adjust/lot", "blend", "label/lot", "label/solution", "bench", "heading", "equipment/instrument",
    "equipment/material", "products/revise")), r"/people/(?!new|refused)[^/]+")


def main(arguments: list[str]) -> int:
    """Take all the pictures and name them as they are written."""
    target = Path(arguments[0]) if arguments else HOUSE / "screenshots"
    shutil.rmtree(target, ignore_errors=True)
    target.mkdir(parents=True)
    with tempfile.TemporaryDirectory() as folder:
        port = free_port()
        server = subprocess.Popen(
            [sys.executable, "-m", "assaywright", "serve", folder + "/demonstration", "--demonstration", "--plain-http",
             "--port", str(port)], env={**os.environ, "PYTHONPATH": str(HOUSE / "src")})
        try:
            wait(f"http://127.0.0.1:{port}/health")
            picture(f"http://127.0.0.1:{port}/", target)
        finally:
            server.send_signal(signal.SIGINT)
            server.wait()
    return 0


def free_port() -> int:
    """Return a port that nothing uses."""
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return int(tried.getsockname()[1])


def wait(address: str) -> None:
    """Wait until the server answers."""
    for _ in range(300):
        try:
            urllib.request.urlopen(address, timeout=1)  # noqa: S310 - our own server
        except (urllib.error.URLError, OSError):
            time.sleep(0.2)
        else:
            return
    raise SystemExit("the server does not answer")


def picture(site: str, target: Path) -> None:
    """Take the pictures of every page, as an analyst at the door and as the signatory inside."""
    with sync_playwright() as play:
        chromium = shutil.which("chromium") or shutil.which("chromium-browser")
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(f"{site}sign-in")
        take(page, target, "sign-in")
        sign_in(page, "ines")
        page.goto(f"{site}people/new")
        take(page, target, "not-allowed")
        page.goto(f"{site}lots")
        page.click("form.who button")
        sign_in(page, "maren")
        for path in (*walk(page, site), *STRAY):
            page.goto(site + path.lstrip("/"))
            take(page, target, re.sub(r"[^a-z0-9.-]+", "-", path.lower()).strip("-")[:80] or "start")
        browser.close()


def sign_in(page: "Page", name: str) -> None:
    """Sign in as an invented person."""
    page.fill("#name", name)
    page.fill("#password", PASSWORD)
    page.click("main button")


def walk(page: "Page", site: str) -> list[str]:
    """Return the paths of the pages that links lead to, two of a kind at most."""
    waiting, found, counted = ["/lots"], ["/lots"], dict.fromkeys(KINDS, 0)
    while waiting:
        path = waiting.pop(0)
        try:
            page.goto(site + path.lstrip("/"))
        except Error:  # a file to download, and no page
            found.remove(path)
            continue
        hrefs: list[str] = page.eval_on_selector_all("a[href]", "links => links.map(one => one.href)")
        for address in hrefs:
            path = urlsplit(address).path
            kind = next((one for one in KINDS if re.fullmatch(one, path)), "")
            known = path in found or not address.startswith(site)
            if known or counted.get(kind, 0) >= OF_A_KIND:
                continue
            counted[kind] = counted.get(kind, 0) + bool(kind)
            found.append(path)
            waiting.append(path)
    return found


def take(page: "Page", target: Path, name: str) -> None:
    """Take one page at both widths."""
    for width, height in WIDTHS.items():
        page.set_viewport_size({"width": width, "height": height})
        page.screenshot(path=target / f"{name}-{width}.png", full_page=True)
        wider = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        print(f"{name}-{width}.png" + (f": WIDER THAN THE WINDOW by {wider} px" if wider > 0 else ""), flush=True)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
