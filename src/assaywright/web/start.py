"""The start: settings from the folder, the database brought up to this version, the guards of the events in place."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assaywright.metrology.refusal import Refusal
from assaywright.web import folder as place
from assaywright.web.lock import only_one

SETTINGS = "assaywright.web.settings"
ADVISORY = 0x_A55A_9001  # number of our lock among those of a PostgreSQL server


def set_up(folder: Path) -> None:
    """Set Django up on a folder of records.

    Raises:
        Refusal: the folder cannot be made or written to, or the database's address is none.
    """
    os.environ[place.FOLDER] = str(folder.absolute())
    os.environ["DJANGO_SETTINGS_MODULE"] = SETTINGS
    import django

    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with only_one(folder):
            django.setup()
    except OSError as problem:
        raise Refusal(f"the folder cannot be used ({(problem.strerror or str(problem)).lower()})", where=str(folder),
                      remedy="name one that can be written to") from problem


def make_ready(*, restore_guards: bool = False, serving: bool = False) -> None:
    """Bring the database up to this version, with the guards of the events in place; one start at a time.

    On PostgreSQL the tables are made and changed by the role that ``ASSAYWRIGHT_DATABASE_OWNER`` names.

    Arguments:
        restore_guards: put back guards that are missing from records that are there already.
        serving: whether pages will be served, which on PostgreSQL only a role does that could not take the guards away.

    Raises:
        Refusal: the database cannot be reached, the events of records that are there stand unguarded, or the role owns
            them.
    """
    from django.conf import settings
    from django.core.management import call_command
    from django.db import DatabaseError, connection, connections

    from assaywright.records import triggers
    from assaywright.web import ownership

    try:
        with only_one(settings.DATA_FOLDER), _alone_on_the_server():
            if triggers.TABLE in connection.introspection.table_names() and not restore_guards:
                triggers.demand(connection)
            ownership.migrate(serving=serving, again=restore_guards)
            triggers.demand(connection)
            call_command("clearsessions")
    except DatabaseError as problem:
        raise Refusal(f"the database cannot be used ({' '.join(str(problem).split())})", where=place.DATABASE
                      if connection.vendor == "postgresql" else str(settings.DATABASES["default"]["NAME"]),
                      remedy="see that it is there, has room, and lets this program write") from problem
    finally:
        connections.close_all()


@contextmanager
def _alone_on_the_server() -> Iterator[None]:
    """Keep starts on other machines waiting, where the database is on a server that they share."""
    from django.db import connection

    if connection.vendor != "postgresql":
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s)", [ADVISORY])
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_unlock(%s)", [ADVISORY])
