"""PostgreSQL: the tables are made by the role that owns them, and served by one that could not take the guards away.

Only an owner can alter or drop a table or its triggers: PostgreSQL's documentation, "Privileges". The server for tests
must let its role make roles and databases.
"""

import os
import uuid
from urllib.parse import urlsplit

import pytest

from tests.records.conftest import KINDS, SERVER, on_the_server
from tests.web.test_serve import free_port, run, serving

PASSWORD = "quince ladder Tuesday brass"  # noqa: S105


def said(answer):
    assert answer.returncode == 2, answer.stdout + answer.stderr
    return " ".join(answer.stderr.split())


@pytest.fixture(params=KINDS)
def roles(request):
    """A database of its own with two roles: the settings of each and of the server's own; None for SQLite."""
    if request.param == "sqlite":
        yield None
        return
    if SERVER not in os.environ:
        pytest.fail(f"{SERVER} names no server, and without one half of the records would go untested")
    name, server = uuid.uuid4().hex[:8], urlsplit(os.environ[SERVER])
    owner, serves, database = f"owner_{name}", f"serving_{name}", f"owned_{name}"
    for role in (owner, serves):
        on_the_server(f"CREATE ROLE {role} LOGIN PASSWORD 'throw-away'")
    on_the_server(f"GRANT {owner} TO CURRENT_USER")
    on_the_server(f"CREATE DATABASE {database} OWNER {owner}")
    place = server.netloc.rpartition("@")[2]
    yield {"owner": f"postgresql://{owner}:throw-away@{place}/{database}",
           "serving": f"postgresql://{serves}:throw-away@{place}/{database}", "database": database, "role": owner}
    on_the_server(f"DROP DATABASE {database} WITH (FORCE)")
    for role in (owner, serves):
        on_the_server(f"DROP ROLE {role}")


def owner_of_the_events(address):
    import psycopg

    with psycopg.connect(address) as connection:
        return connection.execute("SELECT tableowner FROM pg_tables WHERE tablename = 'records_event'").fetchone()[0]


def start(place, **settings):
    """Start a server that must refuse, and return what it says."""
    return said(run("serve", place, "--plain-http", "--port", free_port(), **settings))


def test_a_role_that_owns_the_events_or_would_does_not_serve(roles, tmp_path):
    place = tmp_path / "records"
    if roles is None:
        assert "an owner is set, and no database on a server" in start(
            place, ASSAYWRIGHT_DATABASE_OWNER="postgresql://owner@localhost/records")
        return
    for address in (roles["owner"], roles["serving"]):
        told = start(place, ASSAYWRIGHT_DATABASE=address)
        assert "holds no records yet, and the role that serves is not to own them" in told
    both = {"ASSAYWRIGHT_DATABASE": roles["owner"], "ASSAYWRIGHT_DATABASE_OWNER": roles["owner"]}
    assert f"the role '{roles['role']}' owns the events, and could take their guards away" in start(place, **both)
    assert "owns the events" in start(place, ASSAYWRIGHT_DATABASE=roles["owner"])
    root = os.environ[SERVER].rsplit("/", 1)[0] + f"/{roles['database']}"
    assert "owns the events" in start(place, ASSAYWRIGHT_DATABASE=root, ASSAYWRIGHT_DATABASE_OWNER=roles["owner"])


def test_the_owner_makes_the_tables_and_another_role_serves_them_then_and_later(roles, tmp_path):
    place, port = tmp_path / "records", free_port()
    settings = {} if roles is None else {"ASSAYWRIGHT_DATABASE": roles["serving"]}
    owner = {} if roles is None else {"ASSAYWRIGHT_DATABASE_OWNER": roles["owner"]}
    with serving(place, "--plain-http", port=port, **settings, **owner):
        pass
    if roles is not None:
        assert owner_of_the_events(roles["serving"]) == roles["role"]
    made = run("people", place, "--add-administrator", "maren", "--name", "Maren Tolliver",
               typed=f"{PASSWORD}\n{PASSWORD}\n", **settings)
    assert made.returncode == 0, made.stderr
    with serving(place, "--plain-http", port=free_port(), **settings) as told:
        assert "Nobody can sign in yet" not in told
    checked = run("check-records", place, **settings)
    assert checked.returncode == 0, checked.stdout + checked.stderr


EARLIER = ("DROP TABLE records_enquiry",
           "DELETE FROM django_migrations WHERE app = 'records' AND name = '0006_enquiries'")


def made_earlier(roles, place):
    """Take back what the last version of the tables added."""
    import sqlite3

    import psycopg

    if roles is None:
        connection = sqlite3.connect(place / "records.sqlite3", isolation_level=None)
    else:
        connection = psycopg.connect(roles["owner"], autocommit=True)
    for statement in EARLIER:
        connection.execute(statement)
    connection.close()


def test_tables_of_an_earlier_version_are_brought_up_by_whoever_owns_them(roles, tmp_path):
    place = tmp_path / "records"
    settings = {} if roles is None else {"ASSAYWRIGHT_DATABASE": roles["serving"]}
    owner = {} if roles is None else {"ASSAYWRIGHT_DATABASE_OWNER": roles["owner"]}
    with serving(place, "--plain-http", port=free_port(), **settings, **owner):
        pass
    made_earlier(roles, place)
    assert "of an earlier version" in said(run("check-records", place, **settings))
    if roles is not None:
        assert "brought up to this version, and the role that serves does not own them" in start(place, **settings)
    with serving(place, "--plain-http", port=free_port(), **settings, **owner):
        pass
    assert run("check-records", place, **settings).returncode == 0


def test_nothing_lets_an_owner_serve_all_the_same(tmp_path):
    assert "--owner-accepted" in said(run("serve", tmp_path / "records", "--owner-accepted"))
