"""Events: appended, chained, never changed; who changes one by hand is found out.

What an audit trail must do: ISO/IEC 17025:2017, 7.5.2 (amendments traceable to the original); the hash of the chain is
recomputed here with hashlib and json alone, from the columns, as the documentation of the records states it.
"""

import hashlib
import json

import pytest
from django.db import DatabaseError, connection, transaction

from assaywright.metrology.refusal import Refusal

pytestmark = pytest.mark.usefixtures("people")
REPLACED = "number, recorded_at, schema, kind, subject, \"by\", 'other', act, payload, previous, digest"
COLUMNS = ("number", "recorded_at", "schema", "kind", "subject", "by", "reason", "act", "payload")


def events():
    from assaywright.records.models import Event

    return list(Event.objects.order_by("number").values(*COLUMNS, "previous", "digest"))


def appended(**changes):
    from assaywright.records.log import append

    return append(**{"kind": "lot.held", "subject": "0941", "by": "ines", "payload": {"a": 1}, "reason": "a drop spilt",
                     **changes})


@pytest.fixture
def guards_off():
    """The guards taken away, as somebody with the database file in hand could do."""
    from assaywright.records import triggers

    with connection.cursor() as cursor:
        for name in triggers.wanted(connection):
            table = triggers.HEAD if "head" in name else triggers.TABLE
            cursor.execute(f"DROP TRIGGER {name}" + (f" ON {table}" if connection.vendor == "postgresql" else ""))


def sql(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)


def faults():
    from assaywright.records.check import check_chain

    return check_chain().faults


def test_each_event_carries_the_hash_of_the_one_before():
    previous = "0" * 64
    for number, event in enumerate(events(), 1):
        assert event["number"] == number
        assert event["previous"] == previous
        chained = [previous, *(event[name] for name in COLUMNS)]
        text = json.dumps(chained, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
        assert event["digest"] == hashlib.sha256(text.encode()).hexdigest()
        previous = event["digest"]
    assert number == 4
    assert not faults()


@pytest.mark.parametrize("statement", [
    "UPDATE records_event SET reason = 'other' WHERE number = 2",
    "DELETE FROM records_event WHERE number = 4",
    "DELETE FROM records_head",
    "INSERT INTO records_event SELECT * FROM records_event WHERE number = 2",
])
def test_the_database_refuses_to_change_or_delete_or_double_an_event(statement):
    before = events()
    with pytest.raises(DatabaseError), transaction.atomic():
        sql(statement)
    assert events() == before


def test_sqlite_refuses_to_replace_an_event(records):
    if records != "sqlite":
        return
    before = events()
    for verb in ("INSERT OR REPLACE INTO", "REPLACE INTO"):
        with pytest.raises(DatabaseError, match="is there already"), transaction.atomic():
            sql(f"{verb} records_event SELECT {REPLACED} FROM records_event WHERE number = 2")  # noqa: S608
    assert events() == before


def test_postgresql_refuses_to_empty_the_table_or_to_overwrite_on_conflict(records):
    if records != "postgresql":
        return
    before = events()
    for statement in (
        "TRUNCATE records_event",
        ("INSERT INTO records_event SELECT * FROM records_event WHERE number = 2 "
        "ON CONFLICT (number) DO UPDATE SET reason = 'other'"),
    ):
        with pytest.raises(DatabaseError, match="events are never"), transaction.atomic():
            sql(statement)
    assert events() == before


@pytest.mark.parametrize(("statement", "named"), [
    ("UPDATE records_event SET payload = '{}' WHERE number = 2", "event 2 (person.added, jonas) was changed"),
    ("UPDATE records_event SET \"by\" = 'tomas' WHERE number = 3", "event 3 (person.added, ines) was changed"),
    ("DELETE FROM records_event WHERE number = 2", "event 2 is missing"),
    ("DELETE FROM records_event WHERE number = 4", "the head says that the chain ends at event 4"),
    ("UPDATE records_event SET previous = digest WHERE number = 3", "event 3 does not follow"),
])
def test_an_event_changed_or_deleted_by_hand_is_named(guards_off, statement, named):
    assert not faults()
    sql(statement)
    assert any(named in fault for fault in faults()), faults()


def test_an_event_put_in_by_hand_is_named(guards_off):
    sql("INSERT INTO records_event SELECT 5, recorded_at, schema, kind, subject, \"by\", reason, "
        "'another', payload, digest, digest FROM records_event WHERE number = 4")
    assert any("event 5" in fault for fault in faults())


def test_a_chain_made_anew_from_the_middle_is_found_out_by_an_anchor_printed_before(guards_off):
    from assaywright.records.check import Anchor, check_chain, head_anchor
    from assaywright.records.models import Event, Head

    anchor = head_anchor()
    previous = Event.objects.get(number=1).digest
    for event in Event.objects.filter(number__gt=1).order_by("number"):
        event.previous = previous
        if event.number == 2:
            event.reason = "rewritten after the check"
        event.digest = event.computed_digest()
        event.save()
        previous = event.digest
    Head.objects.update(digest=previous)
    assert not check_chain().faults
    told = check_chain([anchor]).faults
    assert told == [f"event 4 is not the one of the anchor 4:{anchor.digest}: the chain is another"]
    assert "its end was cut off" in check_chain([Anchor(9, "0" * 64)]).faults[0]


def test_missing_guards_are_named_and_nothing_goes_on_without_them(guards_off):
    from assaywright.records import triggers
    from assaywright.records.check import check_records

    assert triggers.missing(connection) == list(triggers.wanted(connection))
    assert any("the guard records_event_no_update" in fault for fault in check_records().faults)
    with pytest.raises(Refusal, match="not guarded against change"):
        triggers.demand(connection)
    triggers.install(connection)
    triggers.demand(connection)


def test_a_migration_that_rebuilds_the_table_leaves_the_guards_in_place(records):
    from django.core.management import call_command
    from django.db import models

    from assaywright.records import triggers
    from assaywright.records.models import Event

    field = models.CharField(max_length=300, db_index=True)
    field.set_attributes_from_name("subject")
    old = Event._meta.get_field("subject")
    with connection.schema_editor() as editor:
        editor.alter_field(Event, old, field)
    if records == "sqlite":
        assert triggers.missing(connection), "SQLite drops the triggers with the table that a migration rebuilds"
    call_command("migrate", verbosity=0)
    assert not triggers.missing(connection)
    assert not faults()


def test_the_same_act_sent_twice_is_stored_once():
    first = appended(act="6f1c1f5e-0000-4000-8000-000000000001")
    again = appended(act="6f1c1f5e-0000-4000-8000-000000000001")
    assert again.number == first.number
    assert len(events()) == 5
    with pytest.raises(Refusal, match="on record already, as another one"):
        appended(act="6f1c1f5e-0000-4000-8000-000000000001", payload={"a": 2})


def test_who_looked_at_an_older_version_is_told_and_overwrites_nothing():
    with pytest.raises(Refusal, match="changed by somebody else"):
        appended(expected=2, seen=3)
    assert len(events()) == 4


def test_an_event_that_cannot_be_projected_leaves_nothing_behind():
    with pytest.raises(KeyError):
        appended(kind="lot.made", payload={})
    assert len(events()) == 4
    assert not faults()


def test_a_clock_that_goes_backwards_is_remarked_and_breaks_nothing(monkeypatch):
    from datetime import timedelta

    from assaywright.records import clock
    from assaywright.records.check import check_chain

    earlier = clock.now() - timedelta(hours=1)
    monkeypatch.setattr(clock, "now", lambda: earlier)
    appended()
    found = check_chain()
    assert not found.faults
    assert found.remarks == ["event 5 bears an earlier time than the one before it: a clock went backwards"]


def test_two_writers_at_once_make_one_chain(records, tmp_path):
    """Eight threads, each with a connection of its own, ten events each: all there, none twice, in one chain."""
    from concurrent.futures import ThreadPoolExecutor

    from django.db import connections

    def write(number):
        try:
            for turn in range(10):
                appended(subject=f"{number}-{turn}")
        finally:
            connections["default"].close()

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(write, range(8)))
    found = events()
    assert len({one["subject"] for one in found if one["kind"] == "lot.held"}) == 80
    assert [one["number"] for one in found] == list(range(1, 85))
    assert not faults()
