"""The server itself, in a process of its own: start, TLS, first administrator, demonstration, and what it refuses."""

import contextlib
import http.client
import os
import re
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import time
import urllib.parse
from concurrent.futures import ThreadPoolExecutor

import pytest

from assaywright.cli.serve_check import faults_found_aside
from tests.house.sources import HOUSE

PASSWORD = "quince ladder Tuesday brass"  # noqa: S105
PATIENCE_S = 60


ON_THAT_DAY = ("import sys; from tests.records.conftest import on_that_day; from assaywright.cli import main; "
               "on_that_day(); sys.exit(main(sys.argv[1:]))")


def surroundings():
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("ASSAYWRIGHT", "DJANGO"))}
    return {**kept, "PYTHONPATH": str(HOUSE / "src"), "PYTHONUTF8": "1", "COLUMNS": "100"}


def command(*arguments, on_that_day=False):
    """Return a command of the program; on the day of the tests, whenever they are run, where that is asked for."""
    program = ["-c", ON_THAT_DAY] if on_that_day else ["-m", "assaywright"]
    return [sys.executable, *program, *map(str, arguments)]


def run(*arguments, typed="", **more):
    return subprocess.run(command(*arguments), check=False, capture_output=True, text=True, encoding="utf-8",
                          input=typed, timeout=PATIENCE_S, env={**surroundings(), **more})


def free_port():
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


@contextlib.contextmanager
def serving(*arguments, port, on_that_day=False, **more):
    server = subprocess.Popen(command("serve", *arguments, "--port", port, on_that_day=on_that_day), cwd=HOUSE,
                              env={**surroundings(), **more}, text=True, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT)
    lines = []
    try:
        for line in server.stdout:
            lines.append(line)
            if "Ctrl-C" in line:
                break
        wait_for(port, server, lines)
        yield "".join(lines)
    finally:
        server.send_signal(signal.SIGINT)
        server.wait(PATIENCE_S)
        server.stdout.close()


def wait_for(port, server, lines):
    begun = time.monotonic()
    while time.monotonic() - begun < PATIENCE_S:
        assert server.poll() is None, "".join([*lines, server.stdout.read()])
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
            return
        time.sleep(0.1)
    pytest.fail("the server does not listen")


class Browser:
    """Just enough of one: cookies, forms, and no trust but in the certificate it is given."""

    def __init__(self, port, certificate):
        self.port, self.cookies = port, {}
        self.trust = ssl.create_default_context(cafile=certificate)

    def ask(self, method, path, form=None):
        line = http.client.HTTPSConnection("localhost", self.port, context=self.trust, timeout=PATIENCE_S)
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()),
                   "Origin": f"https://localhost:{self.port}", "Content-Type": "application/x-www-form-urlencoded"}
        line.request(method, path, urllib.parse.urlencode(form or {}), headers)
        answer = line.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie", []):
            name, value = cookie.strip().split(";")[0].split("=", 1)
            self.cookies[name] = value
            assert "Secure" in cookie or "Max-Age=0" in cookie
            assert "SameSite=Strict" in cookie
        return answer.status, answer.headers, answer.read().decode()

    def sign_in(self, name, password):
        page = self.ask("GET", "/sign-in")[2]
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)[1]
        return self.ask("POST", "/sign-in", {"name": name, "password": password, "csrfmiddlewaretoken": token})[0]


def test_the_demonstration_opens_over_tls_with_its_people_and_lots(tmp_path):
    place, port = tmp_path / "demo", free_port()
    with serving(place, "--demonstration", port=port) as told:
        assert f"https://localhost:{port}/" in told
        assert re.search(r"([0-9A-F]{2}:){31}[0-9A-F]{2}", told)
        browser = Browser(port, place / "tls" / "certificate.pem")
        door = browser.ask("GET", "/sign-in")[2]
        password = re.search(r"The password of each is <code>([^<]+)</code>", door)[1]
        assert browser.ask("GET", "/lots")[0] == 302
        assert browser.sign_in("ines", password) == 302
        status, headers, lots = browser.ask("GET", "/lots")
        assert status == 200
        assert "Ines Okafor" in lots
        assert "acetic acid" in lots
        assert headers["Strict-Transport-Security"]
        assert "unsafe-inline" not in headers["Content-Security-Policy"]
        style = browser.ask("GET", re.search(r'href="(/static/[^"]+\.css)"', lots)[1])
        assert style[0] == 200
        assert browser.ask("GET", "/health")[2] == "well\n"
    again = run("people", place)
    assert "Maren Tolliver" in again.stdout
    assert (place / "secret.txt").stat().st_mode & 0o077 == 0
    assert (place / "tls" / "key.pem").stat().st_mode & 0o077 == 0


OPENED = """
import importlib.util, pathlib, sys
spec = importlib.util.spec_from_file_location("run", sys.argv[1])
run = importlib.util.module_from_spec(spec)
spec.loader.exec_module(run)
run.prepare = lambda extra: None
run.program = lambda name: pathlib.Path(sys.argv[2])
sys.exit(run.main(["demo", *sys.argv[3:]]))
"""


def test_the_first_command_of_the_readme_opens_the_demonstration_and_ctrl_c_ends_it(tmp_path):
    """Run as run.py runs it, but for the environment, in which the program of these tests stands already."""
    program, port = tmp_path / "program", free_port()
    program.write_text(f'#!/bin/sh\nPYTHONPATH={HOUSE / "src"} exec {sys.executable} -m assaywright "$@"\n',
                       encoding="utf-8")
    program.chmod(0o700)
    opened = subprocess.Popen([sys.executable, "-c", OPENED, HOUSE / "run.py", program, tmp_path / "demo", "--port",
                               str(port)], env=surroundings(), text=True, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, start_new_session=True)
    lines = []
    for line in opened.stdout:
        lines.append(line)
        if "Ctrl-C" in line:
            break
    told = "".join(lines)
    assert f"https://localhost:{port}/" in told
    assert "tarn-hollow-reagents" in told
    assert "maren  Maren Tolliver, authorised signatory" in told
    assert "warns" in told
    wait_for(port, opened, lines)
    os.killpg(opened.pid, signal.SIGINT)  # as the terminal does
    rest = opened.communicate(timeout=PATIENCE_S)[0]
    assert opened.returncode == 0, rest
    assert "Traceback" not in rest


def test_the_first_administrator_is_made_by_command_and_can_sign_in(tmp_path):
    place, port = tmp_path / "records", free_port()
    with serving(place, port=port) as told:
        assert "--add-administrator" in told
        weak = run("people", place, "--add-administrator", "maren", "--name", "Maren Tolliver", typed="short\n")
        assert weak.returncode == 2
        assert "12 characters" in weak.stderr
        assert "Nobody yet" in run("people", place).stdout
        made = run("people", place, "--add-administrator", "maren", "--name", "Maren Tolliver", typed=f"{PASSWORD}\n")
        assert made.returncode == 0, made.stderr
        browser = Browser(port, place / "tls" / "certificate.pem")
        assert browser.sign_in("maren", PASSWORD) == 302
        assert browser.ask("GET", "/people/new")[0] == 200
        reset = run("people", place, "--reset", "maren", typed=f"{PASSWORD} two\n")
        assert reset.returncode == 0, reset.stderr
        assert browser.ask("GET", "/people")[0] == 302, "the reset ends open sessions"
        assert browser.sign_in("maren", PASSWORD) == 401
        assert browser.sign_in("maren", f"{PASSWORD} two") == 302
    logs = "".join(file.read_text(encoding="utf-8") for file in (place / "log").iterdir())
    assert "nobody, signing in as maren" in logs
    assert PASSWORD not in logs


def test_first_starts_at_once_do_not_disturb_each_other(tmp_path):
    with ThreadPoolExecutor(4) as together:
        answers = list(together.map(lambda _: run("people", tmp_path / "records"), range(4)))
    assert [(one.returncode, one.stderr) for one in answers] == [(0, "")] * 4
    with contextlib.closing(sqlite3.connect(tmp_path / "records" / "records.sqlite3")) as database:
        assert database.execute("SELECT count(*) FROM records_head").fetchone() == (1,)
        assert database.execute("SELECT count(*) FROM sqlite_master WHERE type = 'trigger'").fetchone() >= (4,)


def test_nothing_is_served_while_a_guard_is_missing_until_it_is_put_back(tmp_path):
    place, port = tmp_path / "records", free_port()
    assert run("people", place).returncode == 0
    with contextlib.closing(sqlite3.connect(place / "records.sqlite3")) as database:
        database.execute("DROP TRIGGER records_event_no_delete")
    refused = run("serve", place, "--port", port)
    assert refused.returncode == 2
    assert "records_event_no_delete missing" in refused.stderr
    with serving(place, "--restore-guards", port=port) as told:
        assert "serves" in told
    assert run("people", place).returncode == 0


def change(place, statement):
    with contextlib.closing(sqlite3.connect(place / "records.sqlite3")) as database:
        database.execute(statement)
        database.commit()


def test_nothing_is_served_on_tables_that_are_not_what_the_events_say_until_they_are_made_anew(tmp_path):
    place, port = tmp_path / "records", free_port()
    made = run("people", place, "--add-administrator", "maren", "--name", "Maren Tolliver", typed=f"{PASSWORD}\n")
    assert made.returncode == 0, made.stderr
    change(place, "UPDATE records_person SET roles = 'authorised signatory'")
    refused = run("serve", place, "--port", port)
    assert refused.returncode == 2
    assert "person maren: roles is 'authorised signatory', by the events 'administrator'" in refused.stderr
    assert len(refused.stderr.splitlines()) == 1
    (found,) = faults_found_aside(place)  # as for very many events, in a process beside the one that serves
    assert found in refused.stderr
    for remedy in ("check-records", "restore", "rebuild"):
        assert remedy in refused.stderr
    rebuilt = run("rebuild", place)
    assert rebuilt.returncode == 0, rebuilt.stderr
    assert "Put right: person maren: roles is" in " ".join(rebuilt.stdout.split())
    assert faults_found_aside(place) == []
    with serving(place, port=port):
        pass
    change(place, "DROP TRIGGER records_event_no_update")
    change(place, "UPDATE records_event SET subject = 'ines'")
    assert "the events are not in order" in run("rebuild", place).stderr


def test_two_first_servers_at_once_on_one_folder_both_serve(tmp_path):
    ports = [free_port(), free_port()]
    with ThreadPoolExecutor(2) as together:
        def opened(port):
            with serving(tmp_path / "records", port=port) as told:
                return told
        assert all("serves" in told for told in together.map(opened, ports))
    with contextlib.closing(sqlite3.connect(tmp_path / "records" / "records.sqlite3")) as database:
        assert database.execute("SELECT count(*) FROM records_head").fetchone() == (1,)
    assert run("check-records", tmp_path / "records").returncode == 0


def test_an_act_on_a_full_disk_is_refused_in_one_sentence_and_nothing_of_it_is_kept(tmp_path):
    """The disk is a limit on how large a file of the server may become, RLIMIT_FSIZE."""
    import resource

    place, port = tmp_path / "records", free_port()
    run("people", place, "--add-administrator", "maren", "--name", "Maren Tolliver", typed=f"{PASSWORD}\n")
    with serving(place, port=port):
        browser = Browser(port, place / "tls" / "certificate.pem")
        browser.sign_in("maren", PASSWORD)
        page = browser.ask("GET", "/people/new")[2]
        form = {"csrfmiddlewaretoken": re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)[1],
                "identity": "ines", "name": "Ines Okafor", "role": "analyst"}
        largest = max(one.stat().st_size for one in place.glob("records.sqlite3*"))
        pids = children_of_this_process()
        for pid in pids:
            limit_files_of(pid, largest)
        for number in range(60):  # until the write-ahead log would have to grow
            status, _, answer = browser.ask("POST", "/people/new", {**form, "identity": f"ines{number}"})
            if status != 302:
                break
        said = " ".join(answer.split())
        for pid in pids:
            limit_files_of(pid, resource.RLIM_INFINITY)
        assert status == 507, said
        assert "nothing of it was recorded" in said, said
        assert browser.ask("GET", f"/people/ines{number}")[0] == 404
        assert browser.ask("POST", "/people/new", {**form, "identity": "tomas"})[0] == 302
    assert run("check-records", place).returncode == 0


def limit_files_of(pid, largest):
    import resource

    with contextlib.suppress(ProcessLookupError):  # ps, which listed itself
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (largest, resource.RLIM_INFINITY))


def children_of_this_process():
    """Every process below this one."""
    found, waiting = [], [os.getpid()]
    while waiting:
        answer = subprocess.run(["ps", "-o", "pid=", "--ppid", str(waiting.pop())], check=False, capture_output=True,
                                text=True)
        waiting += [int(one) for one in answer.stdout.split()]
        found += [int(one) for one in answer.stdout.split()]
    return found


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--plain-http", "--host", "::"], "in the clear"),
        (["--certificate", "one.pem"], "go together"),
        (["--certificate", "one.pem", "--key", "two.pem", "--plain-http"], "a certificate is for TLS"),
        (["--certificate", "one.pem", "--key", "two.pem"], "no certificate that can be read"),
        (["--port", "0"], "no port"),
        (["--port", "99999"], "no port"),
        (["--host", "203.0.113.7"], "cannot be used"),
    ],
)
def test_what_cannot_be_served_is_refused_in_one_sentence(tmp_path, arguments, said):
    port = [] if "--port" in arguments else ["--port", free_port()]
    answer = run("serve", tmp_path / "records", *arguments, *port)
    assert answer.returncode == 2
    assert said in " ".join(answer.stderr.split())
    assert "Traceback" not in answer.stderr


def test_a_taken_port_a_file_for_a_folder_and_a_foreign_database_are_refused(tmp_path):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = run("serve", tmp_path / "records", "--port", other.getsockname()[1])
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    on_a_file = run("serve", tmp_path / "file", "--port", free_port())
    foreign = run("people", tmp_path / "records", ASSAYWRIGHT_DATABASE="oracle://somewhere/else")
    for answer, said in ((taken, "cannot be used"), (on_a_file, "cannot be used"), (foreign, "no database that can")):
        assert answer.returncode == 2, answer.stdout
        assert said in " ".join(answer.stderr.split())
        assert "Traceback" not in answer.stderr


def test_the_demonstration_is_never_mixed_into_other_records(tmp_path):
    assert run("people", tmp_path / "records").returncode == 0
    refused = run("serve", tmp_path / "records", "--demonstration", "--port", free_port())
    assert refused.returncode == 2
    assert "no demonstration" in refused.stderr
    assert not (tmp_path / "records" / "demonstration.txt").exists()


def test_djangos_check_of_a_deployment_finds_nothing(tmp_path):
    answer = subprocess.run(
        [sys.executable, "-m", "django", "check", "--deploy", "--fail-level", "WARNING"], check=False, text=True,
        capture_output=True, timeout=PATIENCE_S,
        env={**surroundings(), "ASSAYWRIGHT_FOLDER": str(tmp_path),
             "DJANGO_SETTINGS_MODULE": "assaywright.web.settings"})
    assert answer.returncode == 0, answer.stderr
    assert "no issues" in answer.stdout
    assert "1 silenced" in answer.stdout, "the redirection to TLS, since nothing else is served"
