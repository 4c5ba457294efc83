"""What ``assaywright check-records`` names: every way to change the records by hand, through the command itself.

An audit trail must show amendments (ISO/IEC 17025:2017, 7.5.2); that a hash chain shows a change anywhere before an
anchor follows from SHA-256 being collision resistant (FIPS 180-4). The hashes are recomputed with hashlib in
test_events.py.
"""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from assaywright.cli import main
from tests.records.tampering import chain_anew, put_guards_back, sql, take_guards_away


@pytest.fixture
def command(records, tmp_path, monkeypatch, capsys, settings_of_files):
    """The program run on this test's database; gives exit status, output, and what it says on the error stream."""
    if records == "postgresql":
        monkeypatch.setenv("ASSAYWRIGHT_DATABASE", "postgresql://the-one-that-is-open/anyway")
    monkeypatch.setenv("ASSAYWRIGHT_FOLDER", str(tmp_path))

    def run(*arguments):
        status = main([arguments[0], str(tmp_path), *map(str, arguments[1:])])
        told = capsys.readouterr()
        return status, " ".join(told.out.split()), " ".join(told.err.split())

    return run


@pytest.fixture
def settings_of_files(django_ready, tmp_path, monkeypatch):
    from django.conf import settings

    monkeypatch.setattr(settings, "FILES_FOLDER", tmp_path / "files")
    monkeypatch.setattr(settings, "DATA_FOLDER", tmp_path)


def head():
    from assaywright.records.check import head_anchor

    return str(head_anchor())


def test_records_in_order_are_said_to_be(people, command):
    status, out, err = command("check-records")
    assert (status, err) == (0, "")
    assert "4 events" in out
    assert f"The chain ends at {head()}" in out
    assert out.endswith("The records are in order.")


COPIED = ("INSERT INTO records_event SELECT {}, recorded_at, schema, kind, subject, \"by\", reason, 'another', "
          "payload, digest, digest FROM records_event WHERE number = 4")


@pytest.mark.parametrize(("statement", "named"), [
    ("UPDATE records_event SET payload = '{}' WHERE number = 2", "event 2 (person.added, jonas) was changed after it"),
    ("UPDATE records_event SET recorded_at = '2020-01-01T00:00:00.000000Z' WHERE number = 3", "event 3 (person.added"),
    ("UPDATE records_event SET act = 'x' WHERE number = 1", "event 1 (person.added, maren) was changed after it"),
    ("DELETE FROM records_event WHERE number = 2", "event 2 is missing"),
    ("DELETE FROM records_event WHERE number IN (2, 3)", "events 2 to 3 are missing"),
    ("DELETE FROM records_event WHERE number = 4", "the chain ends at event 4, and it ends at event 3"),
    ("DELETE FROM records_event", "it ends at event 0"),
    ("DELETE FROM records_head", "the head of the chain is missing"),
    (COPIED.format(5), "event 5 (person.added, tomas) was changed after it was made"),
    (COPIED.format(0), "event 0 stands where none can stand"),
])
def test_a_row_changed_deleted_or_put_in_by_hand_is_named(people, command, statement, named):
    take_guards_away()
    sql(statement)
    put_guards_back()
    status, out, _ = command("check-records")
    assert status == 1
    assert named in out
    assert out.endswith("The records are NOT in order.")


def test_a_chain_made_anew_by_hand_is_found_out_by_an_anchor_only(people, command):
    before = head()
    take_guards_away()
    chain_anew(2, reason="rewritten after the check")
    put_guards_back()
    assert command("check-records")[0] == 0
    number, digest = before.split(":")
    for anchor in (before, f"{number}:{digest[:16].upper()}"):
        status, out, _ = command("check-records", "--anchor", anchor)
        assert status == 1
        assert f"event 4 is not the one of the anchor {anchor.lower()}: the chain is another" in out
    status, out, _ = command("check-records", "--anchor", head(), f"9:{'0' * 64}")
    assert status == 1
    assert "the chain ends before event 9 of an anchor: its end was cut off" in out


def test_two_anchors_of_one_event_are_both_held_against_it(people, command):
    status, out, _ = command("check-records", "--anchor", head(), f"4:{'0' * 16}")
    assert status == 1
    assert out.count("Fault:") == 1


def test_a_certificate_on_record_is_an_anchor_of_its_own(people, command):
    """Whoever makes the chain anew has to change the certificate's event too, and then it is not the one printed."""
    from assaywright.records.log import append

    append("certificate.issued", subject="TH-1", by="maren", payload={
        "lot": "0941", "pdf_sha256": "0" * 64, "meaning": "I answer for it", "anchor": head()})
    take_guards_away()
    chain_anew(2, reason="rewritten after the check")
    put_guards_back()
    status, out, _ = command("check-records")
    assert status == 1
    assert "event 4 is not the one whose hash the certificate TH-1 states: the chain was made anew since" in out


@pytest.mark.parametrize("text", ["4", "4:", "4:abc", "x:0123456789abcdef", f"4:{'g' * 64}", f"4:{'0' * 65}"])
def test_what_is_no_anchor_is_refused(people, command, text):
    status, out, err = command("check-records", "--anchor", text)
    assert (status, out) == (2, "")
    assert "is no anchor" in err


def test_missing_guards_are_named(people, command, records):
    take_guards_away()
    status, out, _ = command("check-records")
    assert status == 1
    assert "the guard records_event_no_update of the events is missing" in out


def test_a_table_changed_by_hand_is_named_row_by_row(laboratory, command):
    from assaywright.records.models import Determination, Lot, Person

    Lot.objects.filter(pk="0943").update(state="released")
    Determination.objects.filter(assay="WS-26-0903", place=1).delete()
    Person.objects.create(identity="stranger", name="A Stranger", roles="administrator", version=1)
    status, out, _ = command("check-records")
    assert status == 1
    assert "lot 0943: state is 'released', by the events 'made'" in out
    assert "determination 1 of WS-26-0903 is missing from the table, though an event made it" in out
    assert "person stranger is in the table, and no event made it" in out


def test_what_was_changed_in_a_row_is_named_with_both_values(laboratory, command):
    from assaywright.records.models import Determination

    row = Determination.objects.filter(assay="WS-26-0903", place=2).get()
    before = row.content
    Determination.objects.filter(pk=row.pk).update(body=row.body.replace(before["final"], "24.99 mL"))
    out = command("check-records")[1]
    assert f"determination 2 of WS-26-0903: final is '24.99 mL', by the events '{before['final']}'." in out


def test_an_event_from_which_nothing_can_follow_is_named(people, command):
    take_guards_away()
    chain_anew(3, payload='{"roles":["analyst"]}')
    put_guards_back()
    status, out, _ = command("check-records")
    assert status == 1
    assert "nothing can follow from event 3 (person.added, ines): it lacks 'name'" in out


def test_an_event_of_a_later_version_is_named(people, command):
    take_guards_away()
    chain_anew(3, schema=2)
    put_guards_back()
    status, out, _ = command("check-records")
    assert status == 1
    assert "event 3 was written by a later version of the program (schema 2)" in out


def test_kept_files_are_held_against_their_hashes(people, command, tmp_path):
    from assaywright.records import files
    from assaywright.records.log import append

    kept = [files.keep(data) for data in (b"certificate of a reference material", b"a spectrum", b"not named")]
    for number, sha256 in enumerate(kept[:2]):
        append("file.attached", subject="RM-1", by="ines",
               payload={"name": f"{number}.pdf", "sha256": sha256, "size": 9})
    status, out, _ = command("check-records")
    assert status == 0
    assert "1 kept file that no event names" in out
    files.path_of(kept[0]).write_bytes(b"certificate of another material")
    files.path_of(kept[1]).unlink()
    status, out, _ = command("check-records")
    assert status == 1
    assert "the file 0.pdf of RM-1 was changed after it was kept" in out
    assert "the file 1.pdf of RM-1 cannot be read (no such file or directory)" in out


def test_results_are_computed_anew_from_the_raw_data(laboratory, command):
    from assaywright.actions.assays import assay_send
    from assaywright.records.models import Result

    assert "No result is on record to be computed anew" in command("check-records", "--recompute", "all")[1]
    assay_send(identity="WS-26-0903", by="ines")
    status, out, _ = command("check-records", "--recompute", "all")
    assert status == 0
    assert "1 result computed anew from the raw data; 1 the same as on record" in out
    Result.objects.update(value="30.5")
    status, out, _ = command("check-records", "--recompute", "WS-26-0903", "WS-26-0871")
    assert status == 1
    assert "WS-26-0903: the value was 30.5 % w/w, and is" in out
    assert "WS-26-0871 has no result on record yet" in out
    status, out, err = command("check-records", "--recompute", "WS-99")
    assert (status, out) == (2, "")
    assert "there is no worksheet WS-99 in the records" in err


def test_a_worksheet_changed_after_its_result_is_not_compared_but_told(laboratory, command):
    from assaywright.actions.assays import assay_return, assay_send, determination_exclude

    assay_send(identity="WS-26-0903", by="tomas")
    assay_return(identity="WS-26-0903", by="jonas", reason="look at determination 2 again")
    determination_exclude(identity="WS-26-0903", place=2, by="tomas", reason="a bubble in the tip")
    status, out, _ = command("check-records", "--recompute", "all")
    assert status == 0
    assert "WS-26-0903 was changed since its result, and has not been sent again" in out


def test_a_reading_changed_in_events_and_tables_alike_is_found_by_computing_anew(laboratory, command):
    """A forger who makes chain and tables anew after changing a reading still has the result against them."""
    from assaywright.actions.assays import assay_send
    from assaywright.records import rebuild
    from assaywright.records.models import Event

    assay_send(identity="WS-26-0903", by="ines")
    event = Event.objects.get(kind="assay.imported", subject="WS-26-0903")
    payload = json.loads(event.payload)
    reading = payload["determinations"][0]["final"]
    take_guards_away()
    chain_anew(event.number, payload=event.payload.replace(f'"{reading}"', '"23.21 mL"'))
    put_guards_back()
    rebuild.rebuild()
    assert command("check-records")[0] == 0
    status, out, _ = command("check-records", "--recompute", "all")
    assert status == 1
    assert "the worksheet is not the one that the result was computed from" in out


def test_programs_are_told_in_json(people, records, tmp_path, monkeypatch, capsys, settings_of_files):
    if records == "postgresql":
        monkeypatch.setenv("ASSAYWRIGHT_DATABASE", "postgresql://the-one-that-is-open/anyway")
    monkeypatch.setenv("ASSAYWRIGHT_FOLDER", str(tmp_path))
    assert main(["check-records", str(tmp_path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["in_order"], told["events"], told["faults"], told["head"]) == (True, 4, [], head())


def test_a_folder_without_records_is_refused(django_ready, tmp_path, capsys):
    assert main(["check-records", str(tmp_path / "none")]) == 2
    assert "there are no records in this folder" in capsys.readouterr().err
    (tmp_path / "records.sqlite3").write_bytes(b"no database at all, though its name says so" * 100)
    answer = subprocess.run([sys.executable, "-m", "assaywright", "check-records", str(tmp_path)], check=False,
                            capture_output=True, text=True)
    assert answer.returncode == 2
    assert "file is not a database" in answer.stderr
    assert len(answer.stderr.splitlines()) == 1


def test_checking_keeps_nobody_waiting(people, records, tmp_path):
    """While a check reads, an event is appended by another connection, and the check tells of the moment it began."""
    import threading

    from django.db import connections

    from assaywright.records.log import append
    from assaywright.records.replay import events
    from assaywright.records.snapshot import snapshot

    def write():
        try:
            append("lot.held", subject="0941", by="ines", payload={}, reason="a drop spilt")
        finally:
            connections["default"].close()

    with snapshot():
        before = len(list(events()))
        writer = threading.Thread(target=write)
        writer.start()
        writer.join(10)
        assert not writer.is_alive()
        assert len(list(events())) == before
    assert len(list(events())) == before + 1


def test_going_through_events_in_memory_makes_what_the_database_makes(laboratory):
    from django.db.models import QuerySet

    from assaywright.records import rebuild
    from assaywright.records.models import Event
    from assaywright.records.projections import project, projected_models

    kept = {model: list(rebuild.rows(model)) for model in projected_models()}
    for model in projected_models():
        QuerySet(model).delete()
    for event in Event.objects.order_by("number"):
        project(event)
    assert {model: list(rebuild.rows(model)) for model in projected_models()} == kept
    assert rebuild.differences() == []


def test_projections_write_through_rows_alone():
    """One that spoke to the database directly would be left out when events are gone through in memory."""
    from assaywright.records import projections

    modules = [file for file in Path(projections.__file__).parent.glob("*.py") if file.name != "tables.py"]
    assert len(modules) >= 7
    assert not [file.name for file in modules if ".objects" in file.read_text(encoding="utf-8")]
