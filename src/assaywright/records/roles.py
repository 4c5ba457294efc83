"""The two roles of a PostgreSQL database: one owns the tables and migrates, the other serves and can only add events.

Whoever owns a table can drop its triggers. So the pages are served under a role that owns nothing: it may read and add
events, move the head, and write the tables that are made from events; it may not change, delete or empty the events.
"""

from django.db import connection, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from assaywright.records.projections import projected_models
from assaywright.records.triggers import HEAD, TABLE

FREE = ("auth_", "axes_", "django_session", "django_content_type")  # sessions, accounts, wrong passwords
READ_ONLY = ("django_migrations",)


def grants(role: str, using: BaseDatabaseWrapper | None = None) -> list[str]:
    """Return the statements that the owner runs once, and after every migration, for the role that serves.

    Arguments:
        role: name of a role that exists and can sign in.
        using: connection that sees the tables; the usual one when not said.
    """
    using = using or connection
    named, schema = using.ops.quote_name(role), "public"
    tables = using.introspection.table_names()
    made = {model._meta.db_table for model in projected_models()}
    free = sorted(made | {table for table in tables if table.startswith(FREE)})
    return [
        f"REVOKE ALL ON ALL TABLES IN SCHEMA {schema} FROM {named}",
        f"REVOKE CREATE ON SCHEMA {schema} FROM PUBLIC",
        f"GRANT USAGE ON SCHEMA {schema} TO {named}",
        f"GRANT SELECT, INSERT ON {TABLE} TO {named}",
        f"GRANT SELECT, UPDATE ON {HEAD} TO {named}",
        *(f"GRANT SELECT ON {table} TO {named}" for table in READ_ONLY),
        *(f"GRANT SELECT, INSERT, UPDATE, DELETE ON {table} TO {named}" for table in free),
        f"GRANT USAGE ON ALL SEQUENCES IN SCHEMA {schema} TO {named}",
    ]


def grant(role: str, using: BaseDatabaseWrapper) -> None:
    """Give a role what it needs to serve, all at once, so that whoever works under it meanwhile notices nothing.

    Arguments:
        using: connection of the role that owns the tables.
    """
    with transaction.atomic(using=using.alias), using.cursor() as cursor:
        for statement in grants(role, using):
            cursor.execute(statement)


def owns_events(using: BaseDatabaseWrapper) -> bool:
    """Return whether the role of a connection could take the guards away: it owns the events, or may do everything."""
    if using.vendor != "postgresql":
        return False
    with using.cursor() as cursor:
        cursor.execute(
            "SELECT pg_has_role(current_user, relowner, 'USAGE') FROM pg_class "
            "WHERE oid = to_regclass(%s)", [TABLE])
        row = cursor.fetchone()
    return row is None or bool(row[0])
