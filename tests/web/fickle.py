"""A server that is killed and is there again within a moment: forked from a process that has loaded the program.

The same pages, database, TLS and production server as with ``assaywright serve --demonstration``; only the loading of
the program is not paid for at every start. The process beside this one is told what to do by lines of JSON.
"""

import argparse
import contextlib
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.web.portions import LIKE

PASSWORD = "tarn-hollow-reagents"  # noqa: S105 - as the sign-in page of the demonstration shows it
PATIENCE_S = 30


class Server:
    """The invented laboratory, served from a folder on a port; killed and started at will."""

    def __init__(self, folder, port, database=""):
        self.port, self.address = port, f"https://localhost:{port}"
        surroundings = {name: value for name, value in os.environ.items() if not name.startswith("ASSAYWRIGHT_D")}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.web.fickle", str(folder), str(port)], text=True, stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, cwd=Path(__file__).resolve().parents[2],
            env={**surroundings, "ASSAYWRIGHT_HOSTS": "localhost",
                 **({"ASSAYWRIGHT_DATABASE": database} if database else {})})
        self.heard()

    def heard(self):
        for line in self.process.stdout:
            if line.startswith("{"):
                return json.loads(line)["answer"]
        raise AssertionError("the process with the program has ended")

    def ask(self, do, **about):
        self.process.stdin.write(json.dumps({"do": do, **about}) + "\n")
        self.process.stdin.flush()
        return self.heard()

    def start(self):
        self.ask("start")
        begun = time.monotonic()
        while time.monotonic() - begun < PATIENCE_S:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), timeout=5):
                return
            time.sleep(0.02)
        raise AssertionError("the server does not answer")

    def kill(self):
        self.ask("kill")

    def stop(self):
        self.process.stdin.close()
        self.process.wait(PATIENCE_S)
        self.process.stdout.close()


class Tablet:
    """A browser in which somebody is signed in."""

    def __init__(self, player, address, who, width=1280, height=800, **options):
        self.address, self.complaints = address, []
        # A service worker wants a certificate that the browser trusts: as on a tablet where it has been installed.
        self.browser = player.chromium.launch(executable_path=shutil.which("chromium"),
                                              args=["--no-sandbox", "--ignore-certificate-errors"])
        self.context = self.browser.new_context(ignore_https_errors=True, viewport={"width": width, "height": height},
                                                **options)
        self.context.set_default_timeout(10_000)
        self.page = self.opened()
        self.sign_in(who)

    def opened(self):
        """Open a further tab."""
        page = self.context.new_page()
        page.on("pageerror", lambda problem: self.complaints.append(str(problem)))
        page.on("console", lambda said: self.complaints.append(said.text) if said.type == "error" else None)
        return page

    def sign_in(self, who):
        self.page.goto(f"{self.address}/sign-in")
        self.name_oneself(who)

    def name_oneself(self, who):
        self.page.fill("#name", who)
        self.page.fill("#password", PASSWORD)
        with self.page.expect_navigation():
            self.page.get_by_role("button", name="Sign in", exact=True).click()

    def bench(self, worksheet, page=None):
        page = page or self.page
        page.goto(f"{self.address}/bench/{worksheet}")
        page.wait_for_selector("#bench[data-ready]")
        return page

    def close(self):
        self.browser.close()


def tablet_at(address, who, **options):
    """Return a tablet and what ends it."""
    player = sync_playwright().start()
    one = Tablet(player, address, who, **options)

    def ended():
        one.close()
        player.stop()

    return one, ended


def all_kept(page):
    page.wait_for_selector("#bench[data-outbox=kept]", timeout=15_000)


# --- the process with the program -------------------------------------------------------------------------------------


def told(answer):
    sys.stdout.write(json.dumps({"answer": answer}) + "\n")
    sys.stdout.flush()


class Doer:
    """Does what it is told, and says what came of it."""

    def __init__(self, folder, port):
        self.folder, self.port, self.serving = folder, port, 0

    def start(self):
        from django.db import connections

        from assaywright.cli.serve import _serve

        connections.close_all()
        pair = (self.folder / "tls" / "certificate.pem", self.folder / "tls" / "key.pem")
        self.serving = os.fork()
        if not self.serving:
            os.setsid()
            os.close(0)
            _serve("127.0.0.1", self.port, pair)
            os._exit(0)
        return self.serving

    def kill(self):
        """End the server and what it has started, without a chance to tidy up."""
        if self.serving:
            os.killpg(self.serving, signal.SIGKILL)
            os.waitpid(self.serving, 0)
        self.serving = 0

    def begin(self, number, use_before="2099-10"):
        """Begin a worksheet like one of the laboratory's, with nothing titrated, its titrant in date as told."""
        from assaywright.actions.assays import assay_begin
        from assaywright.actions.lots import lot_make
        from assaywright.records.bridge import rests_on
        from assaywright.records.models import Assay, Lot
        from assaywright.web.forms import today

        like = Assay.objects.get(pk=LIKE)
        table = {**Lot.objects.get(pk=like.about).content, "certificate_number": f"TH-26-{number}-1"}
        lot_make(identity=number, quantity="20 L", by="ines", table=table)
        heading = {**like.content, "id": f"WS-26-{number}", "sample": {**like.content["sample"], "lot": number},
                   "performed": {"date": today().isoformat()},
                   "titrant": {**like.content["titrant"], "use_before": use_before}}
        assay_begin(heading=heading, about=number, rests_on=rests_on(like), by="ines")
        return f"WS-26-{number}"

    def begin_example(self, method):
        """Begin the published example of a method, with nothing titrated; return its number and its readings."""
        import tomllib

        from assaywright.actions.assays import assay_begin
        from assaywright.assay.method import load_method
        from assaywright.records.models import Assay
        from assaywright.records.toml_text import from_toml

        heading = from_toml(tomllib.loads(load_method(method).example.worksheet))
        readings = heading.pop("determination")
        if again := Assay.objects.filter(pk__startswith=heading["id"]).count():  # each example once on a lot
            heading["id"] += f"-{again}"
            for table in (heading.get("sample", {}), heading.get("titrant", {})):
                table.update(lot=f"{table['lot']}-{again}" if table.get("lot") else "")
        blank = heading.pop("blank", {}) if "titrations" in heading.get("blank", {}) else {}
        assay_begin(heading=heading, about=str(heading.get("sample", {}).get("lot", "")), rests_on=[], by="ines")
        return {"worksheet": heading["id"], "readings": readings, "blank": blank}

    def events(self, subject):
        from assaywright.records.models import Event

        return [{"kind": one.kind, "by": one.by, "act": one.act, **json.loads(one.payload)}
                for one in Event.objects.filter(subject=subject).order_by("number")]

    def recorded(self, worksheet):
        from assaywright.records.models import Determination

        return [one.content for one in Determination.objects.filter(assay=worksheet).order_by("place")]

    def heading(self, worksheet):
        from assaywright.records.models import Assay

        return Assay.objects.get(pk=worksheet).content

    def end_sessions(self):
        from django.contrib.sessions.models import Session

        return Session.objects.all().delete()[0]

    def faults(self):
        """Return what a check of the records finds: chain, guards, and every table against the events."""
        from assaywright.records.check import check_records

        return check_records().faults

    def export(self, worksheet):
        """Return the files of a worksheet, text by name."""
        from assaywright.records.bridge import export
        from assaywright.records.models import Assay

        return {name: data.decode() if isinstance(data, bytes) else data
                for name, data in export(Assay.objects.get(pk=worksheet)).items()}


DEEDS = {"start": Doer.start, "kill": Doer.kill, "begin": Doer.begin, "begin_example": Doer.begin_example,
         "events": Doer.events, "recorded": Doer.recorded, "heading": Doer.heading, "faults": Doer.faults,
         "end_sessions": Doer.end_sessions, "export": Doer.export}


def made_ready(folder):
    from assaywright.web.folder import mark_demonstration
    from assaywright.web.start import make_ready, set_up

    database = os.environ.pop("ASSAYWRIGHT_DATABASE", "")  # the demonstration itself keeps to its folder
    mark_demonstration(folder)
    if database:
        os.environ["ASSAYWRIGHT_DATABASE"] = database
    set_up(folder)
    from assaywright.cli.serve import _bring_laboratory
    from assaywright.records.clock import now
    from assaywright.web import demonstration, tls

    make_ready()
    demonstration.people_make()
    demonstration.accreditation_make()
    _bring_laboratory()
    tls.own_certificate(folder, ["localhost"], now())
    import assaywright.web.urls
    import assaywright.web.wsgi  # noqa: F401 - loaded before the forks


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("port", type=int)
    parsed = parser.parse_args()
    made_ready(parsed.folder)
    doer = Doer(parsed.folder, parsed.port)
    told("ready")
    try:
        for line in sys.stdin:
            said = json.loads(line)
            from django.db import connections

            told(DEEDS[said.pop("do")](doer, **said))
            connections.close_all()
    finally:
        doer.kill()


if __name__ == "__main__":
    main()
