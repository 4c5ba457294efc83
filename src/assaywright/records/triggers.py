"""The guards of the events, in the database itself: no change, no deletion, no replacing, no emptying of the table.

Django rebuilds a table of SQLite when it migrates it, and drops the triggers with the old one; so they are put back
after every migration, and nothing starts without them.
"""

from typing import Any

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from assaywright.metrology.refusal import Refusal

TABLE = "records_event"
HEAD = "records_head"
CHANGED = "events are never changed"
DELETED = "events are never deleted"
REPLACED = "an event with this number or act is there already"

SQLITE = {
    "records_event_no_update": f"""CREATE TRIGGER records_event_no_update BEFORE UPDATE ON {TABLE}
        BEGIN SELECT RAISE(ABORT, '{CHANGED}'); END""",
    "records_event_no_delete": f"""CREATE TRIGGER records_event_no_delete BEFORE DELETE ON {TABLE}
        BEGIN SELECT RAISE(ABORT, '{DELETED}'); END""",
    "records_event_no_replace": f"""CREATE TRIGGER records_event_no_replace BEFORE INSERT ON {TABLE}
        WHEN EXISTS (SELECT 1 FROM {TABLE} WHERE number = NEW.number OR act = NEW.act)
        BEGIN SELECT RAISE(ABORT, '{REPLACED}'); END""",
    "records_head_no_delete": f"""CREATE TRIGGER records_head_no_delete BEFORE DELETE ON {HEAD}
        BEGIN SELECT RAISE(ABORT, '{DELETED}'); END""",
}

POSTGRESQL_FUNCTION = f"""CREATE OR REPLACE FUNCTION records_event_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        IF TG_OP = 'UPDATE' THEN RAISE EXCEPTION '{CHANGED}'; END IF;
        RAISE EXCEPTION '{DELETED}';
    END $$"""
POSTGRESQL = {
    "records_event_no_update": f"""CREATE TRIGGER records_event_no_update BEFORE UPDATE OR DELETE ON {TABLE}
        FOR EACH ROW EXECUTE FUNCTION records_event_refuse()""",
    "records_event_no_truncate": f"""CREATE TRIGGER records_event_no_truncate BEFORE TRUNCATE ON {TABLE}
        FOR EACH STATEMENT EXECUTE FUNCTION records_event_refuse()""",
    "records_head_no_delete": f"""CREATE TRIGGER records_head_no_delete BEFORE DELETE OR TRUNCATE ON {HEAD}
        FOR EACH STATEMENT EXECUTE FUNCTION records_event_refuse()""",
}


def wanted(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """Return the statements that make the guards, by name, for this kind of database."""
    return SQLITE if connection.vendor == "sqlite" else POSTGRESQL


def present(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """Return the guards that are there and at work, by name, with the statement that made them where it is known."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            return dict(cursor.fetchall())
        cursor.execute(
            "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid "
            "WHERE NOT tgisinternal AND tgenabled <> 'D' AND relname IN (%s, %s)", [TABLE, HEAD])
        return {name: "" for (name,) in cursor.fetchall()}


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of the guards that are not there, or are not the ones they should be."""
    found = present(connection)
    return [
        name for name, statement in wanted(connection).items()
        if name not in found or (found[name] and _plain(found[name]) != _plain(statement))
    ]


def _plain(statement: str) -> str:
    return " ".join(statement.split())


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the guards in place, whatever is there."""
    statements = wanted(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRESQL_FUNCTION)
        for name in missing(connection):
            table = HEAD if "head" in name else TABLE
            suffix = f" ON {table}" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{suffix}")
            cursor.execute(statements[name])


def install_after_migration(using: str, **_: Any) -> None:
    """Put the guards back after a migration, where the tables are there, and begin the chain."""
    from assaywright.records.models import Head

    connection = connections[using]
    if {TABLE, HEAD} <= set(connection.introspection.table_names()):
        install(connection)
        Head.objects.using(using).get_or_create(pk=Head.ONLY)


def demand(connection: BaseDatabaseWrapper) -> None:
    """Refuse to go on without the guards.

    Raises:
        Refusal: a guard is missing; the sentence names it.
    """
    if lacking := missing(connection):
        raise Refusal(
            f"the events are not guarded against change: {', '.join(lacking)} missing", where="records",
            remedy="run assaywright check-records to see whether anything was changed meanwhile, then assaywright "
            "serve --restore-guards to put them back",
        )


def owner_refusal(connection: BaseDatabaseWrapper) -> Refusal | None:
    """Return why a role should not serve: it owns the events, and could take their guards away. None where it may.

    SQLite knows no roles: whoever can write the file can do everything to it, and only the chain with its anchors shows
    it.
    """
    from assaywright.records.roles import owns_events

    if not owns_events(connection):
        return None
    return Refusal(
        f"the role '{connection.settings_dict['USER']}' owns the events, and could take their guards away",
        where="ASSAYWRIGHT_DATABASE",
        remedy="serve under a role that owns no table, and name the one that owns them in ASSAYWRIGHT_DATABASE_OWNER",
    )
