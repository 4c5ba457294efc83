"""PostgreSQL under a role that owns nothing: it adds events, and can neither change them nor take their guards away.

What a role may do is PostgreSQL's own (its documentation, "Privileges": only an owner can alter or drop an object). The
server for tests must let its role make roles.
"""

import uuid

import pytest
from django.db import DatabaseError, connections, transaction

from assaywright.metrology.refusal import Refusal
from tests.records.conftest import connected, on_the_server
from tests.records.tampering import sql

FORBIDDEN = (
    "DROP TRIGGER records_event_no_update ON records_event",
    "ALTER TABLE records_event DISABLE TRIGGER ALL",
    "DROP TABLE records_event",
    "UPDATE records_event SET reason = 'other' WHERE number = 1",
    "DELETE FROM records_event WHERE number = 4",
    "TRUNCATE records_event",
    "DELETE FROM records_head",
    "CREATE OR REPLACE FUNCTION records_event_refuse() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$",
    "SET session_replication_role = replica",
    "CREATE TABLE another (number integer)",
    "DELETE FROM django_migrations",
)


@pytest.fixture
def serving(people, records):
    """The connection of a role that only serves; None on SQLite, which knows no roles."""
    from assaywright.records.roles import grants

    if records != "postgresql":
        yield None
        return
    description = connections["default"].settings_dict
    role = f"serving_{uuid.uuid4().hex[:8]}"
    on_the_server(f"CREATE ROLE {role} LOGIN PASSWORD 'throw-away'")
    for statement in grants(role):
        sql(statement)
    owner = dict(description)
    connected({**owner, "USER": role, "PASSWORD": "throw-away"})
    yield connections["default"]
    connected(owner)
    for what in ("ALL TABLES IN SCHEMA public", "ALL SEQUENCES IN SCHEMA public", "SCHEMA public"):
        sql(f"REVOKE ALL ON {what} FROM {role}")
    on_the_server(f"DROP ROLE {role}")


def test_a_role_that_only_serves_can_do_its_work(serving):
    from assaywright.actions.people import person_leave
    from assaywright.records import rebuild, triggers
    from assaywright.records.check import check_records
    from assaywright.records.models import Person

    person_leave(identity="tomas", by="maren", reason="retired last week")
    assert not Person.objects.get(pk="tomas").present
    found = check_records()
    assert (found.events, found.faults) == (5, [])
    triggers.demand(connections["default"])
    assert triggers.owner_refusal(connections["default"]) is None
    assert rebuild.rebuild() == 5


@pytest.mark.parametrize("statement", FORBIDDEN)
def test_a_role_that_only_serves_can_change_no_event_and_take_no_guard_away(serving, statement):
    from assaywright.records.check import check_records

    if serving is None:
        statement = "UPDATE records_event SET reason = 'other' WHERE number = 1"  # SQLite: the trigger refuses
    with pytest.raises(DatabaseError), transaction.atomic():
        sql(statement)
    assert check_records().faults == []


def test_the_owner_of_the_events_is_told_not_to_serve(people, records):
    from assaywright.records import triggers

    refusal = triggers.owner_refusal(connections["default"])
    if records == "sqlite":
        assert refusal is None
        return
    assert isinstance(refusal, Refusal)
    assert "owns the events, and could take their guards away" in str(refusal)


def test_an_account_can_be_made_and_a_session_kept_under_that_role(serving):
    from django.contrib.auth import get_user_model
    from django.contrib.sessions.backends.db import SessionStore

    account = get_user_model().objects.create_user("ines", password="wholly-made-up-words")  # noqa: S106
    session = SessionStore()
    session["_auth_user_id"] = str(account.pk)
    session.save()
    assert SessionStore(session.session_key)["_auth_user_id"] == str(account.pk)
    session.delete()
    assert not SessionStore().exists(session.session_key)
