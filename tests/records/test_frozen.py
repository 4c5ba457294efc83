"""What was once written must be read for ever: a sample of each kind of event, and the whole records of each version.

The samples and records were written by the acts of tests/records/story.py and are never made anew; each carries its own
hash, so that nobody mends a sample instead of the program. What a later version computes from the raw data must agree
with the results that stand in them.
"""

import hashlib
import json
import sqlite3

import pytest

from tests.records import story
from tests.records.conftest import connected
from tests.records.tampering import sql

RECORDS = sorted(story.FROZEN.glob("records-*.sql"))
SAMPLES = sorted((story.FROZEN / "events").glob("*.json"))
COLUMNS = ("number", "recorded_at", "schema", "kind", "subject", "by", "reason", "act", "payload")


def sample(file):
    return json.loads(file.read_text(encoding="utf-8"))


def test_every_kind_of_event_has_its_sample(django_ready):
    assert not story.missing_samples(), "perform the new act in tests/records/story.py, and run it"
    assert len(SAMPLES) >= 38


@pytest.mark.parametrize("file", SAMPLES, ids=lambda file: file.stem)
def test_a_sample_is_the_one_that_was_written_and_still_tells_itself(django_ready, file):
    from assaywright.records.catalogue import EVENTS, sentence

    event = sample(file)
    chained = json.dumps([event["previous"], *(event[name] for name in COLUMNS)], ensure_ascii=False,
                         separators=(",", ":"))
    assert hashlib.sha256(chained.encode()).hexdigest() == event["digest"]
    assert file.name == f"{event['kind']}.schema-{event['schema']}.json"
    assert EVENTS[event["kind"]].schema >= event["schema"]
    told = sentence(event["kind"], subject=event["subject"], by=event["by"])
    assert event["subject"] in told or event["by"] in told
    assert "{" not in told


@pytest.fixture(params=RECORDS, ids=lambda file: file.stem)
def as_released(request, django_ready, tmp_path):
    """The records of a released version in SQLite, brought up to this version as a first start does it."""
    from django.core.management import call_command
    from django.db import connections

    from assaywright.web import folder

    with sqlite3.connect(tmp_path / "records.sqlite3") as made:
        made.executescript(request.param.read_text(encoding="utf-8"))
    made.close()
    connected({**folder.database(tmp_path), "NAME": str(tmp_path / "records.sqlite3")})
    call_command("migrate", verbosity=0)
    yield request.param
    connections["default"].close()


def test_the_records_of_every_version_are_in_order_and_give_the_same_results(as_released):
    from django.db import connection

    from assaywright.records import triggers
    from assaywright.records.check import check_records
    from assaywright.records.recompute import recompute

    found = check_records()
    assert (found.faults, found.tables) == ([], True)
    assert found.events > 80
    triggers.demand(connection)
    results = recompute(["all"])
    assert len(results) >= 5
    assert not [difference for one in results for difference in one.differences]


def test_their_tables_are_made_anew_as_they_were(as_released):
    from assaywright.records import rebuild
    from assaywright.records.projections import projected_models

    then = as_released.read_text(encoding="utf-8")  # a table that came with a later version has no rows then
    before = {model: list(rebuild.rows(model)) for model in projected_models()
              if f'CREATE TABLE "{model._meta.db_table}"' in then}
    assert len(before) >= 20
    assert all(before.values()), "a table without a row shows nothing"
    rebuild.rebuild()
    assert {model: list(rebuild.rows(model)) for model in before} == before


def test_every_table_is_made_by_the_frozen_events_alone(records):
    """On both kinds of database: the events alone go in, and chain, tables and results are the same."""
    from assaywright.records import rebuild
    from assaywright.records.check import check_records
    from assaywright.records.models import Head
    from assaywright.records.recompute import recompute

    memory = sqlite3.connect(":memory:")
    memory.executescript(RECORDS[-1].read_text(encoding="utf-8"))
    names = [*COLUMNS, "previous", "digest"]
    columns = ", ".join(f'"{name}"' for name in names)
    events = memory.execute(f"SELECT {columns} FROM records_event ORDER BY number").fetchall()  # noqa: S608
    memory.close()
    for event in events:
        sql(f"INSERT INTO records_event ({columns}) VALUES ({', '.join(['%s'] * 11)})", event)  # noqa: S608
    Head.objects.update(number=events[-1][0], digest=events[-1][-1])
    assert rebuild.rebuild() == len(events)
    assert check_records().faults == []
    assert not [difference for one in recompute(["all"]) for difference in one.differences]


def test_a_changed_sample_would_be_noticed(tmp_path, django_ready):
    event = sample(SAMPLES[0])
    (tmp_path / SAMPLES[0].name).write_text(json.dumps({**event, "by": "somebody else"}), encoding="utf-8")
    with pytest.raises(AssertionError):
        test_a_sample_is_the_one_that_was_written_and_still_tells_itself(None, tmp_path / SAMPLES[0].name)


def test_the_story_still_runs_in_the_present_version(records, demonstration, tmp_path, monkeypatch):
    from django.conf import settings

    from assaywright.records.catalogue import EVENTS
    from assaywright.records.check import check_files, check_records
    from assaywright.records.models import Event

    monkeypatch.setattr(settings, "FILES_FOLDER", tmp_path / "files")
    story.perform(demonstration)
    assert set(Event.objects.values_list("kind", flat=True)) == set(EVENTS)
    found = check_records()
    check_files(found)
    assert (found.faults, found.files) == ([], 3)
