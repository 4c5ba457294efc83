"""Nothing that was typed is lost: server killed, network cut, page reloaded, session ended, at random moments.

Run by hand with ``python -m tests.web.lost --times 100`` (SQLite in a folder of its own), and with ``--postgresql`` on
the server that ASSAYWRIGHT_TEST_POSTGRESQL names. Somebody types determinations into the bench page in a real browser.
In the midst of each, after a random keystroke and a random further moment, something happens; she goes on, types again
only what the page no longer shows, and at the end every field is in the records once, in order, no act twice, and the
records hold: chain, guards, and every table as the events say.
"""

import argparse
import os
import random
import sys
import tempfile
import time
import uuid
from pathlib import Path

from playwright.sync_api import Error as PlaywrightError

from tests.web.fickle import Server, all_kept, tablet_at
from tests.web.portions import portion_of, typed_of
from tests.web.test_serve import free_port

SERVER = "ASSAYWRIGHT_TEST_POSTGRESQL"
MOST_ON_A_SHEET = 10
LONGEST_MS = 80


def say(what):
    sys.stdout.write(f"{what}\n")
    sys.stdout.flush()


class Typist:
    """Types determinations, and goes on after whatever happens."""

    def __init__(self, server, tablet, chance):
        self.server, self.tablet, self.page, self.chance = server, tablet, tablet.page, chance
        self.keys, self.moment, self.happens, self.over = 0, 0, None, None

    def determination(self, place, happens):
        """Type one determination; in its midst something happens, and is over at its end at the latest."""
        keys = sum(len(text) + 1 for _, text in typed_of(place))
        self.keys, self.moment, self.happens, self.over = 0, self.chance.randint(1, keys), happens, None
        try:
            while not self.typed_through(place):
                pass
            if self.over is None:  # fewer keys were needed than were reckoned with
                happens(self)
            self.over()
            signed_in_again(self)
            self.page.wait_for_selector(f'.place.finished[data-place="{place}"]', timeout=10_000)
            self.page.wait_for_timeout(200)  # what it says of the session may be of the moment before
            signed_in_again(self)
            all_kept(self.page)
        except PlaywrightError as problem:
            raise AssertionError(f"{happens.__name__}, determination {place}, keystroke {self.moment}: "
                                 f"{self.page.locator('main').inner_text()}") from problem

    def typed_through(self, place):
        """Type every reading that the page does not show; return whether it could be done without looking again."""
        if self.is_finished(place):
            return True
        for name, text in typed_of(place):
            if not self.shows(place, name, text) and not self.reading(place, name, text):
                return False
        if not self.is_finished(place):
            self.at(place, typed_of(place)[-1][0]).focus()
            if not self.press("Enter", lambda: self.is_finished(place)):
                return False
        return True

    def reading(self, place, name, text):
        field = self.at(place, name)
        field.focus()
        field.select_text()
        for key in text:
            if not self.press(key):
                return False
        left = field.get_attribute("id")
        return self.press("Enter", lambda: self.page.evaluate("document.activeElement.id") != left)

    def press(self, key, done=None):
        """Strike a key; return whether the page is still the one it was."""
        self.page.keyboard.press(key)
        self.keys += 1
        if self.keys == self.moment:
            self.page.wait_for_timeout(self.chance.uniform(0, LONGEST_MS))
            return not self.happens(self)
        begun = time.monotonic()
        while done and not done() and time.monotonic() - begun < 5:
            self.page.wait_for_timeout(5)
        return True

    def at(self, place, name):
        return self.page.locator(f'.place[data-place="{place}"] input[name="{name}"]')

    def shows(self, place, name, text):
        """Whether a reading stands there, and has been left."""
        field = self.at(place, name)
        return field.count() == 1 and field.evaluate("(one, text) => one.value === text && one.dataset.kept === text",
                                                     text)

    def is_finished(self, place):
        return self.page.locator(f'.place.finished[data-place="{place}"]').count() == 1

    def reload(self):
        self.page.reload()
        self.page.wait_for_selector("#bench[data-ready]")


def signed_in_again(typist):
    """Whoever was signed out signs in again."""
    typist.page.wait_for_selector("#bench[data-outbox=kept], #bench[data-outbox='signed out']", timeout=30_000)
    if typist.page.locator("#outbox a").count():
        typist.page.locator("#outbox a").click()
        typist.tablet.name_oneself("ines")
        typist.page.wait_for_selector("#bench[data-ready]")


def killed(typist):
    typist.server.kill()
    typist.over = typist.server.start


def killed_and_reloaded(typist):
    typist.server.kill()
    typist.over = typist.server.start
    typist.reload()
    return True


def network_cut(typist):
    typist.tablet.context.set_offline(True)
    typist.over = lambda: typist.tablet.context.set_offline(False)


def reloaded(typist):
    typist.over = lambda: None
    typist.reload()
    return True


def session_ended(typist):
    typist.over = lambda: None
    typist.server.ask("end_sessions")


HAPPENINGS = {"server killed": killed, "server killed and page reloaded": killed_and_reloaded,
              "network cut": network_cut, "page reloaded": reloaded, "session ended": session_ended}


def differences(events, places):
    """Return in sentences where the records differ from what was typed."""
    found = []
    for place in places:
        kept = [(one["name"], one["text"]) for one in events if one["kind"] == "reading.kept" and one["place"] == place]
        if kept != portion_of(place):
            found.append(f"determination {place}: {kept}")
        made = [one for one in events if one["kind"] == "determination.recorded" and one["place"] == place]
        if len(made) != 1:
            found.append(f"determination {place} is on record {len(made)} times")
    if len({one["act"] for one in events}) != len(events):
        found.append("an act is there twice")
    return found


def run(server, tablet, kinds, times, seed, told=say):
    """Let each of the happenings happen so many times; return what is not as it was typed, in sentences."""
    found = []
    for number, kind in enumerate(kinds, 1):
        chance, begun = random.Random(f"{seed} {kind}"), time.monotonic()  # noqa: S311 - no secret
        for sheet, first in enumerate(range(0, times, MOST_ON_A_SHEET)):
            places = range(1, min(MOST_ON_A_SHEET, times - first) + 1)
            worksheet = server.ask("begin", number=f"{9000 + 100 * number + sheet}")
            tablet.bench(worksheet)
            tablet.page.wait_for_selector("#bench[data-worker=kept]")
            for place in places:
                Typist(server, tablet, chance).determination(place, HAPPENINGS[kind])
            found += [f"{kind}, {worksheet}, {one}"
                      for one in differences(server.ask("events", subject=worksheet), places)]
        told(f"{kind}: {times} times, {time.monotonic() - begun:.0f} s")
    return [*found, *server.ask("faults")]


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=100)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    parser.add_argument("--postgresql", action="store_true")
    parser.add_argument("--port", type=int, default=0)
    parsed = parser.parse_args()
    say(f"seed {parsed.seed}")
    database = ""
    if parsed.postgresql:
        from tests.records.conftest import on_the_server

        name = f"assaywright_{uuid.uuid4().hex[:12]}"
        on_the_server(f"CREATE DATABASE {name}")
        database = f"{os.environ[SERVER].rsplit('/', 1)[0]}/{name}"
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder) / "records", parsed.port or free_port(), database)
        try:
            server.start()
            tablet, ended = tablet_at(server.address, "ines")
            found = run(server, tablet, HAPPENINGS, parsed.times, parsed.seed)
            ended()
        finally:
            server.stop()
            if database:
                on_the_server(f"DROP DATABASE {name} WITH (FORCE)")
    say("\n".join(found) or "Everything that was typed is in the records once, in order; the records hold.")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())
