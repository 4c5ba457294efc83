"""Who makes and changes the tables: on PostgreSQL another role than the one that serves.

Whoever owns a table can drop its triggers. So the pages are served by a role that owns nothing, and tables are brought
up to a version by the role that owns them, over a connection that is there for that alone.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from django.core.management import call_command
from django.db import connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor

from assaywright.metrology.refusal import Refusal
from assaywright.records import triggers
from assaywright.records.roles import grant, owns_events
from assaywright.web import folder as place

ALIAS = "owner"


def migrate(*, serving: bool, again: bool = False) -> None:
    """Bring the tables up to this version.

    Arguments:
        serving: whether the role of the usual connection is going to serve.
        again: whether to go through it although nothing is new, so that guards are put back.

    Raises:
        Refusal: the role that serves owns the events, or would; or it owns nothing and the tables are of another
            version.
    """
    with _owner() as owner:
        if connection.vendor != "postgresql":
            call_command("migrate", verbosity=0, interactive=False)
            return
        if owner is not None:
            call_command("migrate", verbosity=0, interactive=False, database=ALIAS)
            if connection.settings_dict["USER"] != owner.settings_dict["USER"]:
                grant(str(connection.settings_dict["USER"]), owner)
        elif serving:
            _demand_no_owner(new=_is_new() or again)
        elif owns_events(connection):
            call_command("migrate", verbosity=0, interactive=False)
    if serving and (refusal := triggers.owner_refusal(connection)) is not None:
        raise refusal


def _demand_no_owner(*, new: bool) -> None:
    """Refuse to serve without an owner where there are no tables yet, the role owns them, or they have to change."""
    if triggers.TABLE not in connection.introspection.table_names():
        raise Refusal("the database holds no records yet, and the role that serves is not to own them",
                      where=place.DATABASE, remedy=f"name the role that makes the tables in {place.OWNER}")
    if (refusal := triggers.owner_refusal(connection)) is not None:
        raise refusal
    if new:
        raise Refusal("the tables are to be brought up to this version, and the role that serves does not own them",
                      where=place.DATABASE, remedy=f"name the role that owns them in {place.OWNER}")


def _is_new() -> bool:
    """Return whether this version has tables that the database has not."""
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


@contextmanager
def _owner() -> Iterator[BaseDatabaseWrapper | None]:
    """Give the connection of the role that owns the tables, where it is set; it is forgotten afterwards."""
    described = place.owner_database()
    if described is None:
        yield None
        return
    connections.databases[ALIAS] = {**connection.settings_dict, **described}
    try:
        yield connections[ALIAS]
    finally:
        connections[ALIAS].close()
        del connections[ALIAS]
        del connections.databases[ALIAS]
