"""Opening a laboratory's records for a command: there must be some, of this version, in a database that answers."""

import os
import time
from collections.abc import Callable
from pathlib import Path

from assaywright.metrology.refusal import Refusal

FOLDER, DATABASE, SETTINGS = "ASSAYWRIGHT_FOLDER", "ASSAYWRIGHT_DATABASE", "DJANGO_SETTINGS_MODULE"
USUAL = "assaywright-records"
SAY_EVERY_S = 2.0


def named_folder(folder: str | None) -> Path:
    """Return the folder that was named, else the one of the setting, else the usual one."""
    return Path(folder or os.environ.get(FOLDER) or USUAL).absolute()


def open_records(folder: str | None) -> Path:
    """Make the records of a folder the ones that are spoken to, and return the folder.

    Raises:
        Refusal: there are none, they are of another version, or the database does not answer.
    """
    place = named_folder(folder)
    if not os.environ.get(DATABASE) and not (place / "records.sqlite3").is_file():
        raise Refusal("there are no records in this folder", where=str(place),
                      remedy="name the folder that assaywright serve uses")
    set_up(place)
    from django.db import DatabaseError

    try:
        _check_version(place)
    except DatabaseError as problem:
        raise Refusal(f"the database cannot be read ({' '.join(str(problem).split()).rstrip('.')})", where=str(place),
                      remedy="see that it is there and is one of Assaywright's") from problem
    return place


def set_up(place: Path) -> None:
    """Let Django work on a folder.

    Raises:
        Refusal: the folder cannot be written to, or a setting means nothing.
    """
    os.environ[FOLDER] = str(place)
    os.environ.setdefault(SETTINGS, "assaywright.web.settings")
    import django

    try:
        django.setup()
    except OSError as problem:
        raise Refusal(f"the folder cannot be used ({(problem.strerror or str(problem)).lower()})", where=str(place),
                      remedy="see that you may write to it") from problem


def _check_version(place: Path) -> None:
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise Refusal("the records are of an earlier version, or not there yet", where=str(place),
                      remedy="start assaywright serve once, which brings them up to this version")
    ours = {name for name in executor.loader.applied_migrations or () if name[0] == "records"}
    if ours - set(executor.loader.graph.nodes):
        raise Refusal("the records are of a later version of the program", where=str(place),
                      remedy="use that version or a later one")


def counted(number: int, word: str) -> str:
    """Return a number of things: "1 event", "2,000 events"."""
    return f"{number:,} {word}{'' if number == 1 else 's'}"


def progress(what: str) -> Callable[[int], None]:
    """Return what tells on the standard error stream how far a long work is; of a short one it says nothing."""
    from assaywright.cli.plain_text import say

    last = time.monotonic()

    def tell(number: int) -> None:
        nonlocal last
        if time.monotonic() - last >= SAY_EVERY_S:
            last = time.monotonic()
            say(f"... {number:,} {what}")

    return tell
