"""How fast the pages are with a million determinations, and whether thirty analysts can save at once.

Run with ``python -m benchmarks.pages FOLDER [--seconds 120] [--requests 200] [--beside-comparison]`` on a folder that
``benchmarks.many`` has filled (SQLite). It starts ``assaywright serve`` on the folder, with TLS on loopback, waits
until the comparison that a start begins is done (or measures beside it, the analysts first, and says whether it goes
on), and measures over HTTP: each list, today's page and the search, one request after the other, p95
under 200 ms; then thirty analysts, each signed in and with a worksheet of their own, who together leave 25 fields a
second at the bench, each by a request of its own: no error, p95 under 60 ms, p99 under 250 ms. What is measured is from
sending to the last byte of the answer. The one who asks runs on the same machine. Exit status 1 when an aim is missed.
The readings stay in the folder.
"""

import argparse
import http.client
import json
import os
import platform
import random
import ssl
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import quantiles
from typing import Any

PORT = 8468
ANALYSTS, SAVES_A_SECOND = 30, 25
LISTS_P95_MS, SAVE_P95_MS, SAVE_P99_MS = 200.0, 60.0, 250.0
NAMES = (("gross", "61.4402"), ("tare", "57.4528"), ("initial", "0.00"), ("final", "40.07"), ("temperature", "21.0"))
HERE = ["localhost", "127.0.0.1", "[::1]"]
START_S, COMPARED_S = 120, 1800
BEFORE, BESIDE, WITHOUT = "before", "beside", "without"  # the comparison that a start begins
PAGES = {
    "today, an analyst": ["/"],
    "lots": ["/lots", "/lots?page=2", "/lots?page=200", "/lots?sort=-made", "/lots?state=released&sort=use_before",
             "/lots?product={product}&state=released&sort=-made", "/lots?from=2025-01&to=2025-06&sort=number"],
    "worksheets": ["/assays", "/assays?page=150", "/assays?stage=reviewed&sort=analyst&page=7",
                   "/assays?stage=sent+back", "/assays?analyst=Analyst+07",
                   "/assays?method=acetic-acid-by-naoh&from=2026-06&sort=-number"],
    "certificates": ["/certificates", "/certificates?page=100", "/certificates?product={product}",
                     "/certificates?standing=not+superseded&sort=lot", "/certificates?lot=L0012"],
    "solutions": ["/solutions", "/solutions?state=discarded&sort=-use_before", "/solutions?page=30"],
    "equipment": ["/equipment", "/equipment?sort=-due&kind=burette"],
    "products": ["/products"],
    "results from before": ["/history", "/history?from=2018&to=2019&sort=lot", "/history?lot=H0123"],
    "search": ["/search?q=L01234", "/search?q=WS-0045", "/search?q=acetic", "/search?q=Analyst+1",
               "/search?q=B-15&of=Instruments", "/search?q=T-1&of=Solutions", "/search?q=99887", "/search?q=TH-03",
               "/search?q=nothing", "/search?q=B-1", "/search?q=L0004321"],
}


def main() -> int:
    """Serve, measure, print."""
    parser = argparse.ArgumentParser(description="How fast the pages are with a million determinations.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seconds", type=float, default=120)
    parser.add_argument("--requests", type=int, default=200)
    parser.add_argument("--port", type=int, default=PORT)
    way = parser.add_mutually_exclusive_group()
    way.add_argument("--without-comparison", dest="comparison", action="store_const", const=WITHOUT, default=BEFORE,
                     help="serve at once, as long after a start")
    way.add_argument("--beside-comparison", dest="comparison", action="store_const", const=BESIDE,
                     help="measure while the comparison of a start goes on")
    parser.add_argument("--only-serve", action="store_true", help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.only_serve:
        return only_served(given.folder, given.port)
    people, signatory, worksheets, authority = prepared(given.folder)
    load = " ".join(f"{one:.1f}" for one in os.getloadavg())
    print(f"{platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}; load before: {load}")
    with served(given.folder, given.port, authority, given.comparison):
        def browser(session: str) -> Browser:
            return Browser(given.port, authority, session)

        def lists() -> bool:
            every = [*((name, people[0][1], addresses) for name, addresses in PAGES.items()),
                     ("today, a signatory", signatory, ["/"])]
            found = [lists_measured(name, browser(who), addresses, given.requests) for name, who, addresses in every]
            return all(found)

        def saves() -> bool:
            return saves_measured([Analyst(browser(session), name, sheet) for (name, session), sheet in zip(
                people, worksheets, strict=True)], given.seconds)

        kept = []
        for part in (saves, lists) if given.comparison == BESIDE else (lists, saves):
            kept.append(part())
            if given.comparison == BESIDE:
                print(f"  the comparison of the start: {still(given.folder)}", flush=True)
    print(f"load after: {' '.join(f'{one:.1f}' for one in os.getloadavg())}")
    return 0 if all(kept) else 1


def prepared(folder: Path) -> tuple[list[tuple[str, str]], str, list[str], Path]:
    """Return the analysts with a session for each, one of a signatory, worksheets, and who vouches for the server."""
    from assaywright.web.start import make_ready, set_up

    set_up(folder)
    make_ready()
    from assaywright.records.clock import now
    from assaywright.records.models import Assay, Determination
    from assaywright.records.models.assays import TITRATING
    from assaywright.web.tls import own_certificate

    print(f"{Determination.objects.count():,} determinations in {Assay.objects.count():,} worksheets")
    people = [(f"analyst-{number:02}", signed_in(f"analyst-{number:02}")) for number in range(1, ANALYSTS + 1)]
    lie_open = Assay.objects.filter(stage=TITRATING, about__startswith="L").order_by("identity")
    worksheets = list(lie_open.values_list("identity", flat=True)[:ANALYSTS])
    if len(worksheets) < ANALYSTS:
        raise SystemExit("pages.py: too few worksheets lie open; fill a new folder with benchmarks.many")
    authority = own_certificate(folder, HERE, now()).authority
    return people, signed_in("maren"), worksheets, authority


def signed_in(name: str) -> str:
    """Return the key of a session of somebody, as signing in makes it."""
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    from assaywright.web.accounts import account_make

    account = account_make(name)
    session = SessionStore()
    session[SESSION_KEY] = str(account.pk)
    session[BACKEND_SESSION_KEY] = "assaywright.web.access.PresentPeople"
    session[HASH_SESSION_KEY] = account.get_session_auth_hash()
    session.create()
    return str(session.session_key)


@contextmanager
def served(folder: Path, port: int, authority: Path, comparison: str) -> Iterator[None]:
    """Serve the folder as ``assaywright serve`` does, and end that afterwards.

    Arguments:
        comparison: that a start begins: waited for, left going on beside, or left out.
    """
    from django.db import connections

    from assaywright.records.untouched import COMPARING

    connections.close_all()
    comparing = comparison != WITHOUT
    command = ["assaywright", "serve", str(folder)] if comparing else [
        "benchmarks.pages", str(folder), "--only-serve"]
    serving = subprocess.Popen([sys.executable, "-m", *command, "--port", str(port)], stdout=subprocess.DEVNULL,
                               stderr=subprocess.DEVNULL if comparing else None)
    try:
        waited(lambda: Browser(port, authority, "").get("/health")[0] == 200, START_S, "the server did not start")
        begun = time.monotonic()
        if comparison == BESIDE:
            print(f"the comparison of the start: {still(folder)}", flush=True)
        elif comparing:
            waited(lambda: compared(folder / COMPARING) is not None, COMPARED_S, "the comparison did not end")
            print(f"tables compared with the events while serving: {time.monotonic() - begun:.0f} s; "
                  f"{compared(folder / COMPARING)}", flush=True)
        else:
            print("served without the comparison that a start begins", flush=True)
        yield
    finally:
        serving.terminate()
        serving.wait(30)


def only_served(folder: Path, port: int) -> int:
    """Serve the folder without comparing its tables with its events first."""
    from assaywright.cli.serve import _serve
    from assaywright.records.clock import now
    from assaywright.web.start import set_up
    from assaywright.web.tls import own_certificate

    set_up(folder)
    pair = own_certificate(folder, HERE, now())
    _serve("127.0.0.1", port, (pair.certificate, pair.key))
    return 0


def still(folder: Path) -> str:
    """Return whether the comparison that a start begins goes on, or what it found."""
    from assaywright.records.untouched import COMPARING

    found = compared(folder / COMPARING)
    return "goes on" if found is None else f"has ended; {found}"


def compared(mark: Path) -> str | None:
    """Return what the comparison that a start begins has found, in words; None while it goes on."""
    from assaywright.cli.serve_check import STILL

    try:
        text = mark.read_text(encoding="utf-8").strip()
    except FileNotFoundError:
        return "in order"
    return None if text == STILL or not text else text[:200]


def waited(done: Any, seconds: float, otherwise: str) -> None:
    """Wait until something is so."""
    begun = time.monotonic()
    while time.monotonic() - begun < seconds:
        try:
            if done():
                return
        except OSError:
            pass
        time.sleep(0.3)
    raise SystemExit(f"pages.py: {otherwise}")


class Browser:
    """One connection that stays open, with its cookies."""

    def __init__(self, port: int, authority: Path, session: str) -> None:
        self.port, self.session, self.token = port, session, ""
        self.context = ssl.create_default_context(cafile=str(authority))
        self.connection = http.client.HTTPSConnection("localhost", port, context=self.context, timeout=60)

    def ask(self, method: str, path: str, body: str = "") -> tuple[int, bytes, float]:
        """Return status and content of the answer, and how long it took [ms]."""
        headers = {"Cookie": f"sessionid={self.session}; csrftoken={self.token}", "Accept": "application/json, */*",
                   "Origin": f"https://localhost:{self.port}", "Content-Type": "application/json",
                   "X-CSRFToken": self.token}
        begun = time.perf_counter()
        self.connection.request(method, path, body or None, headers)
        answer = self.connection.getresponse()
        content = answer.read()
        return answer.status, content, 1000 * (time.perf_counter() - begun)

    def get(self, path: str) -> tuple[int, bytes, float]:
        """Return the answer to a page."""
        return self.ask("GET", path)


def lists_measured(name: str, browser: Browser, addresses: list[str], number: int) -> bool:
    """Ask for pages in turn, print the percentiles, and return whether the aim is kept."""
    from urllib.parse import quote_plus

    product = quote_plus("acetic acid 30 % w/w, pack 3")
    taken, wrong, largest = [], 0, 0
    for one in addresses:
        browser.get(one.format(product=product))  # the first of all has to open files that the others find open
    for count in range(number):
        status, content, ms = browser.get(addresses[count % len(addresses)].format(product=product))
        taken.append(ms)
        wrong += status not in (200, 302)
        largest = max(largest, len(content))
    p50, p95, p99 = percentiles(taken)
    kept = p95 < LISTS_P95_MS and not wrong
    print(f"{name}: p50 {p50:.0f} ms, p95 {p95:.0f} ms, p99 {p99:.0f} ms, at most {max(taken):.0f} ms of {number} "
          f"requests; largest page {largest / 1000:.0f} kB; {wrong} errors{missed(kept)}", flush=True)
    return kept


@dataclass
class Analyst:
    """Somebody at a burette, whose page sends each field as it is left.

    Fields:
        taken: how long each save took [ms]. wrong: what was answered otherwise than by "kept".
    """

    browser: Browser
    name: str
    worksheet: str
    taken: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    seen: dict[tuple[int, str], int] = field(default_factory=dict)

    def work(self, until: float, start: threading.Event) -> None:
        """Leave one field after the other until a moment, at an even pace that is not that of the others."""
        self.browser.token = json.loads(self.browser.get("/bench/token")[1])["token"]
        chance, count, pause = random.Random(self.name), 0, ANALYSTS / SAVES_A_SECOND  # noqa: S311
        start.wait()
        due = time.monotonic() + chance.random() * pause
        while due < until:
            time.sleep(max(0.0, due - time.monotonic()))
            try:
                self.save(count)
            except (OSError, http.client.HTTPException, ValueError) as problem:
                self.wrong.append(repr(problem))
                self.browser.connection.close()
            count += 1
            due += pause * chance.uniform(0.9, 1.1)

    def save(self, count: int) -> None:
        """Leave one field."""
        name, text = NAMES[count % len(NAMES)]
        place = count // len(NAMES) % 90 + 1
        act = {"uuid": str(uuid.uuid4()), "kind": "keep", "by": self.name, "identity": self.worksheet, "place": place,
               "name": name, "text": text, "seen": self.seen.get((place, name), 0),
               "typed_at": "2026-11-30T13:47:20.000Z", "carried": False}
        status, content, ms = self.browser.ask("POST", "/bench/keep", json.dumps({"acts": [act]}))
        self.taken.append(ms)
        (answer,) = json.loads(content).get("answers", [{}]) if status == 200 else [{}]
        if answer.get("state") != "kept":
            self.wrong.append(f"{status}: {content[:200]!r}")
        self.seen[place, name] = int(answer.get("version", 0))


def saves_measured(analysts: list[Analyst], seconds: float) -> bool:
    """Let everybody work at once, print what it took, and return whether the aims are kept."""
    start = threading.Event()
    begun = time.monotonic() + 2
    threads = [threading.Thread(target=one.work, args=(begun + seconds, start)) for one in analysts]
    for one in threads:
        one.start()
    time.sleep(max(0.0, begun - time.monotonic()))
    start.set()
    for one in threads:
        one.join()
    taken = [ms for one in analysts for ms in one.taken]
    wrong = [text for one in analysts for text in one.wrong]
    p50, p95, p99 = percentiles(taken)
    rate = len(taken) / seconds
    kept = not wrong and p95 < SAVE_P95_MS and p99 < SAVE_P99_MS and rate > 0.9 * SAVES_A_SECOND
    print(f"{len(analysts)} analysts for {seconds:.0f} s, {rate:.1f} saves a second: p50 {p50:.1f} ms, "
          f"p95 {p95:.1f} ms, p99 {p99:.1f} ms, at most {max(taken):.0f} ms of {len(taken)}; "
          f"{len(wrong)} errors{missed(kept)}")
    for text in wrong[:3]:
        print(f"  {text}")
    return kept


def missed(kept: object) -> str:
    """Return what a line ends with where an aim is missed."""
    return "" if kept else "  MISSED"


def percentiles(taken: list[float]) -> tuple[float, float, float]:
    """Return the 50th, 95th and 99th percentile."""
    cuts = quantiles(taken, n=100, method="inclusive")
    return cuts[49], cuts[94], cuts[98]


if __name__ == "__main__":
    sys.exit(main())
