"""A writer killed in the midst of writing, again and again: no acknowledged act lost, none twice, the chain whole.

Run by hand with ``python -m tests.records.killed --times 500`` (SQLite in a folder of its own; PostgreSQL too where
ASSAYWRIGHT_TEST_POSTGRESQL names a server). The writer is a process of its own: it is told the UUIDs of its acts by a
counter, and writes each on its standard output once the act is stored; it is killed with SIGKILL after a random time.
The next writer begins by sending the last act once more, as a tablet would that never got its answer.
"""

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
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
    set_up()
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
    """Kill a writer so many times, and check after each time; return how many acts were acknowledged in all.

    Raises:
        AssertionError: an acknowledged act is lost or there twice, or the chain or a table is not in order.
    """
    surroundings = {**os.environ, "ASSAYWRIGHT_FOLDER": str(folder), "ASSAYWRIGHT_DATABASE": database}
    chance, number, midst = random.Random(seed), 1, 0  # noqa: S311
    in_process(["migrate"], surroundings)
    for turn in range(1, times + 1):
        acknowledged = killed_writer(number, chance.uniform(0.0, LONGEST_S), surroundings)
        last = int(in_process(["check", str(acknowledged)], surroundings))
        midst += last > acknowledged
        number = max(last, 1)  # sent once more by the next writer
        told(f"{turn} of {times} killed, {last} acts stored, none lost; {midst} times between storing and answering")
    return number


def killed_writer(first, after_s, surroundings):
    """Let a writer begin, kill it, and return the last number that it acknowledged, 0 for none."""
    writer = subprocess.Popen([sys.executable, "-m", "tests.records.killed", "--write", str(first)],
                              stdout=subprocess.PIPE, text=True, env=surroundings)
    if writer.stdout.readline().strip() != READY:
        raise AssertionError("the writer did not begin")
    try:
        writer.wait(after_s)
    except subprocess.TimeoutExpired:
        os.kill(writer.pid, signal.SIGKILL)
    answered = [line for line in writer.stdout.read().split("\n")[:-1] if line]
    if writer.wait() != -signal.SIGKILL:
        raise AssertionError("the writer ended by itself")
    return int(answered[-1]) if answered else first - 1


def in_process(arguments, surroundings):
    """Run a step in a process of its own, so that every look at the records is a fresh one."""
    found = subprocess.run([sys.executable, "-m", "tests.records.killed", "--step", *arguments], check=False,
                           capture_output=True, text=True, env=surroundings)
    if found.returncode:
        raise AssertionError(found.stdout + found.stderr)
    return found.stdout


def step(name, *arguments):
    set_up()
    if name == "migrate":
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
    else:
        say(check(int(arguments[0])))


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
    parser.add_argument("--write", type=int)
    parser.add_argument("--step", nargs="+")
    parsed = parser.parse_args(arguments)
    if parsed.write:
        write(parsed.write)
    elif parsed.step:
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
