"""What somebody with the database in hand could do to it; and the program's own commands run on such a database."""

import os
import subprocess
import sys
from pathlib import Path


def sql(statement, values=()):
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(statement, list(values))
        return cursor.fetchall() if cursor.description else []


def take_guards_away():
    from django.db import connection

    from assaywright.records import triggers

    for name in triggers.wanted(connection):
        table = triggers.HEAD if "head" in name else triggers.TABLE
        sql(f"DROP TRIGGER {name}" + (f" ON {table}" if connection.vendor == "postgresql" else ""))


def put_guards_back():
    from django.db import connection

    from assaywright.records import triggers

    triggers.install(connection)


def chain_anew(start, **changes):
    """Change an event and give it and all that follow hashes that fit, as a forger who knows the program would."""
    from assaywright.records.models import Event, Head

    previous = Event.objects.get(number=start - 1).digest if start > 1 else "0" * 64
    for event in Event.objects.filter(number__gte=start).order_by("number"):
        if event.number == start:
            for name, value in changes.items():
                setattr(event, name, value)
        event.previous = previous
        event.digest = event.computed_digest()
        event.save()
        previous = event.digest
    Head.objects.update(digest=previous)


def assaywright(*arguments, database="", limit_bytes=None, **more):
    """Run the program in a process of its own; ``limit_bytes`` is the largest file it may write, as on a full disk."""
    surroundings = {name: value for name, value in os.environ.items()
                    if not name.startswith(("ASSAYWRIGHT_", "DJANGO_"))}
    if database:
        surroundings["ASSAYWRIGHT_DATABASE"] = database

    def limit():
        import resource

        if limit_bytes is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit_bytes, limit_bytes))

    return subprocess.run(
        [sys.executable, "-m", "assaywright", *map(str, arguments)], check=False, capture_output=True, text=True,
        encoding="utf-8", env={**surroundings, "PYTHONUTF8": "1", "COLUMNS": "100"}, preexec_fn=limit, **more)


def one_sentence(answer):
    """The sentence of a refusal: one line, nothing else, and exit status 2."""
    lines = answer.stderr.splitlines()
    assert (answer.returncode, len(lines), answer.stdout) == (2, 1, ""), answer.stderr + answer.stdout
    return lines[0]


def names_in(folder):
    return sorted(one.name for one in Path(folder).iterdir())
