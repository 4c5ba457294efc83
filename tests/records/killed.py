"""A writer killed in the midst of writing, again and again: no acknowledged act lost, none twice, the chain whole.

Run by hand with ``python -m tests.records.killed --times 500`` (SQLite in a folder of its own; PostgreSQL too where
ASSAYWRIGHT_TEST_POSTGRESQL names a server). The writer is a process of its own: it is told the UUIDs of its acts by a
counter, and says each of them once the act is stored; it is killed with SIGKILL after a random time. The next writer
begins by sending the last act once more, as a tablet would that never got its answer. Writers and checks are forked
from a process that has loaded the program and holds no connection, so that each opens the database afresh and none
pays for the loading.
"""

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
import traceback
import uuid
from pathlib import Path

SERVER = "ASSAYWRIGHT_TEST_POSTGRESQL"
LONGEST_S = 0.25
READY = "ready"


def say(what):
    sys.stdout.write(f"{what}\n")
    sys.stdout.flush()


def act_of(number):
    return str(uuid.UUID(int=number))


def write(first):
    """Append acts without end, from a number on, and acknowledge each once it is stored."""
    from assaywright.records.log import append

    say(READY)
    number = first
    while True:
        kind, payload = (("determination.recorded", {"place": number, "fields": {"final": f"{number} mL"}})
                         if number % 3 else ("lot.sampled", {"taken": "2026-11-30", "where": "tank 4"}))
        append(kind, subject="WS-1", by="ines", payload=payload, act=act_of(number))
        say(number)
        number += 1


def set_up():
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "assaywright.web.settings"
    django.setup()


def kill_again_and_again(folder, times, *, database="", seed=1, told=lambda _: None):
    """Kill a writer so many times, and check after each time; return how many acts were stored in all.

    Raises:
        AssertionError: an acknowledged act is lost or there twice, or the chain or a table is not in order.
    """
    surroundings = {**os.environ, "ASSAYWRIGHT_FOLDER": str(folder), "ASSAYWRIGHT_DATABASE": database}
    in_process(["migrate"], surroundings)
    loop = subprocess.Popen([sys.executable, "-m", "tests.records.killed", "--step", "loop", str(times), str(seed)],
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=surroundings)
    lines = []
    for line in loop.stdout:
        lines.append(line.strip())
        told(lines[-1])
    if wrong := loop.communicate()[1] if loop.wait() else "":
        raise AssertionError(wrong)
    return int(lines[-1].split(" killed, ")[1].split()[0])


def kill_in_a_loop(times, seed):
    """Fork a writer, kill it, fork a check, and so on; say after each time how things stand."""
    chance, number, midst = random.Random(seed), 1, 0  # noqa: S311
    for turn in range(1, times + 1):
        acknowledged = killed_writer(number, chance.uniform(0.0, LONGEST_S))
        last = int(forked(lambda at_least=acknowledged: say(check(at_least))).wait()[0])
        midst += last > acknowledged
        number = max(last, 1)  # sent once more by the next writer
        say(f"{turn} of {times} killed, {last} acts stored, none lost; {midst} times between storing and answering")


def killed_writer(first, after_s):
    """Let a writer begin, kill it, and return the last number that it acknowledged."""
    writer = forked(lambda: write(first))
    if writer.line() != READY:
        raise AssertionError("the writer did not begin")
    time.sleep(after_s)
    os.kill(writer.pid, signal.SIGKILL)
    answered = writer.wait(-signal.SIGKILL)
    return int(answered[-1]) if answered else first - 1


class forked:  # noqa: N801
    """A process forked from this one, which does one thing; what it says is read by whole lines."""

    def __init__(self, what):
        reading, writing = os.pipe()
        self.pid = os.fork()
        if self.pid == 0:
            os.close(reading)
            os.dup2(writing, 1)
            status = 1
            try:
                what()
                status = 0
            except BaseException:  # noqa: BLE001 - told, and the process ends
                traceback.print_exc()
            finally:
                sys.stdout.flush()
                sys.stderr.flush()
                os._exit(status)
        os.close(writing)
        self.said = os.fdopen(reading, encoding="utf-8")

    def line(self):
        return self.said.readline().strip()

    def wait(self, expected=0):
        """Return the lines that are left, once the process has ended in the way that was expected."""
        with self.said:
            lines = [line for line in self.said.read().split("\n")[:-1] if line]
        status = os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
        if status != expected:
            raise AssertionError(f"a process ended with {status}, not {expected}")
        return lines


def in_process(arguments, surroundings):
    """Run a step in a process of its own."""
    found = subprocess.run([sys.executable, "-m", "tests.records.killed", "--step", *arguments], check=False,
                           capture_output=True, text=True, env=surroundings)
    if found.returncode:
        raise AssertionError(found.stdout + found.stderr)
    return found.stdout


def step(name, *arguments):
    set_up()
    numbers = [float(one) for one in arguments]
    if name == "migrate":
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
    elif name == "loop":
        kill_in_a_loop(int(numbers[0]), int(numbers[1]))
    elif name == "kill":
        say(killed_writer(int(numbers[0]), numbers[1]))
    else:
        say(check(int(numbers[0])))


def check(acknowledged):
    """Return the number of the last act that is stored; every act up to the last acknowledged is there, each once."""
    from assaywright.records.check import check_records
    from assaywright.records.models import Event

    found = check_records()
    if found.faults:
        raise AssertionError(found.faults)
    stored = [uuid.UUID(act).int for act in Event.objects.order_by("number").values_list("act", flat=True)]
    if stored != list(range(1, len(stored) + 1)):
        raise AssertionError(f"acts out of order, lost or twice: {stored[-5:]}")
    if len(stored) < acknowledged:
        raise AssertionError(f"act {acknowledged} was acknowledged, and only {len(stored)} are stored")
    return len(stored)


def main(arguments):
    parser = argparse.ArgumentParser(description="Kill a writer of the records again and again.")
    parser.add_argument("--times", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--step", nargs="+")
    parsed = parser.parse_args(arguments)
    if parsed.step:
        step(*parsed.step)
    else:
        by_hand(parsed.times, parsed.seed)


def by_hand(times, seed):
    with tempfile.TemporaryDirectory() as folder:
        acts = kill_again_and_again(Path(folder), times, seed=seed, told=say)
        say(f"SQLite: killed {times} times, {acts} acts, none lost, none twice, chain and tables in order")
    if SERVER in os.environ:
        with tempfile.TemporaryDirectory() as folder, a_database() as address:
            acts = kill_again_and_again(Path(folder), times, database=address, seed=seed, told=say)
            say(f"PostgreSQL: killed {times} times, {acts} acts, none lost, none twice, chain and tables in order")


class a_database:  # noqa: N801
    """A database of its own on the server for tests, dropped at the end."""

    def __enter__(self):
        self.name = f"assaywright_{uuid.uuid4().hex[:12]}"
        self.on_the_server(f"CREATE DATABASE {self.name}")
        return f"{os.environ[SERVER].rsplit('/', 1)[0]}/{self.name}"

    def __exit__(self, *_):
        self.on_the_server(f"DROP DATABASE {self.name} WITH (FORCE)")

    @staticmethod
    def on_the_server(statement):
        import psycopg

        with psycopg.connect(os.environ[SERVER], autocommit=True) as connection:
            connection.execute(statement)


if __name__ == "__main__":
    main(sys.argv[1:])
