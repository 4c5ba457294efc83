"""Backup while people work, restore into an empty place, and all that can go wrong: one sentence, nothing half-done."""

import json
import random
import threading
import zipfile
from pathlib import Path

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records import killed
from tests.records.conftest import KINDS, connected
from tests.records.tampering import assaywright, chain_anew, names_in, one_sentence, put_guards_back, take_guards_away

PASSWORD = "wholly-made-up-words"  # noqa: S105


@pytest.fixture
def in_folder(django_ready, tmp_path, monkeypatch):
    """A folder for the files of this test's records."""
    from django.conf import settings

    folder = tmp_path / "laboratory"
    folder.mkdir()
    monkeypatch.setattr(settings, "FILES_FOLDER", folder / "files")
    monkeypatch.setattr(settings, "DATA_FOLDER", folder)
    return folder


@pytest.fixture
def filled(in_folder, laboratory):
    """The demonstration laboratory with a result, an account, a session and an attached file; returns its hash."""
    from django.contrib.auth import get_user_model
    from django.contrib.sessions.backends.db import SessionStore

    from assaywright.actions.assays import assay_send
    from assaywright.records import files
    from assaywright.records.log import append

    get_user_model().objects.create_user("maren", password=PASSWORD)
    SessionStore().create()
    kept = files.keep(random.Random(1).randbytes(300_000))  # noqa: S311 - a file that no compression makes small
    append("file.attached", subject="RM-1", by="maren", payload={"name": "rm-1.pdf", "sha256": kept, "size": 300_000})
    assay_send(identity="WS-26-0903", by="ines")
    return kept


@pytest.fixture(scope="session")
def small_backup(sqlite_template, tmp_path_factory):
    """A backup of records with a few people, an account and a file, to be damaged."""
    import shutil

    from django.conf import settings
    from django.contrib.auth import get_user_model
    from django.db import connections

    from assaywright.actions.people import COMMAND, person_add
    from assaywright.records import files
    from assaywright.web import folder

    place = tmp_path_factory.mktemp("small")
    shutil.copy(sqlite_template, place / "records.sqlite3")
    connected({**folder.database(place), "NAME": str(place / "records.sqlite3")})
    before = settings.FILES_FOLDER
    settings.FILES_FOLDER = place / "files"
    try:
        person_add(identity="maren", name="Maren Tolliver", by=COMMAND, roles=["administrator"])
        get_user_model().objects.create_user("maren", password=PASSWORD)
        files.keep(b"certificate of a reference material" * 1000)
        written(place / "kept.backup")
    finally:
        settings.FILES_FOLDER = before
        connections["default"].close()
    return (place / "kept.backup").read_bytes()


@pytest.fixture
def small(small_backup, tmp_path):
    """That backup in this test's own folder."""
    (tmp_path / "kept.backup").write_bytes(small_backup)


def written(target):
    from assaywright.records.backup import backup

    return backup(target)


def told(answer):
    return " ".join(answer.stdout.split())


def test_a_backup_of_either_kind_is_restored_whole_and_proven(filled, tmp_path):
    made = written(tmp_path / "kept.backup")
    assert (made.faults, made.files) == ((), 1)
    answer = assaywright("restore", tmp_path / "kept.backup", tmp_path / "again")
    assert (answer.returncode, answer.stderr) == (0, "")
    assert f"The chain ends at {made.head} The records are in order." in told(answer)
    checked = assaywright("check-records", tmp_path / "again", "--anchor", made.head, "--recompute", "all", "--json")
    found = json.loads(checked.stdout)
    assert (found["in_order"], found["events"], found["files"]) == (True, made.events, 1)
    assert found["recomputed"] == [{"worksheet": "WS-26-0903", "software": "0.1.0", "differences": []}]


def test_accounts_come_along_hashed_and_sessions_and_the_secret_stay_behind(filled, tmp_path):
    import sqlite3

    from django.contrib.auth.hashers import check_password

    written(tmp_path / "kept.backup")
    with zipfile.ZipFile(tmp_path / "kept.backup") as archive:
        everything = b"".join(archive.read(name) for name in archive.namelist())
        assert sorted(name.split("/")[0] for name in archive.namelist()) == [
            "accounts.json", "events.jsonl", "files", "manifest.json"]
    assert PASSWORD.encode() not in everything
    assert assaywright("restore", tmp_path / "kept.backup", tmp_path / "again").returncode == 0
    restored = sqlite3.connect(tmp_path / "again" / "records.sqlite3")
    (name, hashed), = restored.execute("SELECT username, password FROM auth_user").fetchall()
    assert name == "maren"
    assert check_password(PASSWORD, hashed)
    assert restored.execute("SELECT count(*) FROM django_session").fetchone() == (0,)
    restored.close()


@pytest.mark.parametrize("kind", KINDS)
def test_a_backup_goes_from_one_kind_of_database_to_the_other(filled, tmp_path, kind):
    made = written(tmp_path / "kept.backup")
    if kind == "sqlite":
        answer = assaywright("restore", tmp_path / "kept.backup", tmp_path / "again")
        assert (answer.returncode, made.head in told(answer)) == (0, True), answer.stderr
        return
    with killed.a_database() as address:
        answer = assaywright("restore", tmp_path / "kept.backup", tmp_path / "again", database=address)
        assert (answer.returncode, made.head in told(answer)) == (0, True), answer.stderr
        again = assaywright("restore", tmp_path / "kept.backup", tmp_path / "third", database=address)
        assert "the database holds records already" in one_sentence(again)
        assert not (tmp_path / "third").exists()


def test_a_backup_taken_while_people_write_is_of_one_moment(filled, tmp_path):
    from django.db import connections

    from assaywright.records.log import append
    from assaywright.records.models import Event

    stop, before = threading.Event(), Event.objects.count()

    def write():
        try:
            while not stop.is_set():
                append("lot.sampled", subject="0941", by="ines", payload={"taken": "2026-11-30", "where": "tank 4"})
        finally:
            connections["default"].close()

    writers = [threading.Thread(target=write) for _ in range(2)]
    for one in writers:
        one.start()
    try:
        made = [written(tmp_path / f"{number}.backup") for number in range(5)]
    finally:
        stop.set()
        for one in writers:
            one.join()
    counts = [one.events for one in made]
    assert before <= counts[0] < counts[-1] <= Event.objects.count()
    assert not [fault for one in made for fault in one.faults]
    answer = assaywright("restore", tmp_path / "4.backup", tmp_path / "again")
    assert (answer.returncode, made[4].head in told(answer)) == (0, True), answer.stderr


def test_by_command_the_backup_says_the_anchor_and_leaves_a_file_alone(filled, in_folder, tmp_path, records):
    if records == "postgresql":
        with pytest.raises(Refusal, match="something stands there already"):
            written(in_folder)
        return
    import shutil

    from django.db import connection

    connection.close()
    shutil.copy(tmp_path / "records.sqlite3", in_folder / "records.sqlite3")
    answer = assaywright("backup", in_folder, tmp_path / "kept.backup")
    assert (answer.returncode, answer.stderr) == (0, "")
    assert "1 kept file" in told(answer)
    assert "The chain ends at 4" in told(answer)
    before = (tmp_path / "kept.backup").read_bytes()
    assert "something stands there already" in one_sentence(assaywright("backup", in_folder, tmp_path / "kept.backup"))
    assert (tmp_path / "kept.backup").read_bytes() == before
    assert "there are no records in this folder" in one_sentence(
        assaywright("backup", tmp_path / "none", tmp_path / "other.backup"))
    full = assaywright("backup", in_folder, tmp_path / "other.backup", limit_bytes=100_000)
    assert "the backup cannot be written (file too large)" in one_sentence(full)
    assert not [name for name in names_in(tmp_path) if "other" in name or ".part" in name]


def test_a_full_disk_while_restoring_leaves_nothing_behind(small, tmp_path):
    before = names_in(tmp_path)
    for limit in (1_000, 20_000, 200_000, 560_000):
        answer = assaywright("restore", tmp_path / "kept.backup", tmp_path / "again", limit_bytes=limit)
        assert "see that" in one_sentence(answer)
        assert names_in(tmp_path) == before


@pytest.mark.parametrize("share", [0.0, 0.001, 0.5, 0.9, 0.999])
def test_a_backup_that_was_cut_short_is_refused_and_nothing_is_made(small, tmp_path, share):
    data = (tmp_path / "kept.backup").read_bytes()
    (tmp_path / "cut.backup").write_bytes(data[:int(len(data) * share)])
    before = names_in(tmp_path)
    answer = assaywright("restore", tmp_path / "cut.backup", tmp_path / "again")
    assert "was cut short" in one_sentence(answer)
    assert names_in(tmp_path) == before


def test_a_byte_changed_anywhere_in_a_backup_is_noticed(small, tmp_path):
    """Each part has its hash in the manifest, and the manifest its checksum in the archive."""
    from assaywright.records.backup import read_manifest

    data = bytearray((tmp_path / "kept.backup").read_bytes())
    with zipfile.ZipFile(tmp_path / "kept.backup") as archive:
        places = [one.header_offset + 30 + len(one.filename) + 40 for one in archive.infolist()]
    for place in places:
        changed = bytearray(data)
        changed[place] ^= 0x55
        (tmp_path / "changed.backup").write_bytes(changed)
        with pytest.raises(Refusal, match="backup"):
            read_manifest(tmp_path / "changed.backup")


def rewritten(source, target, change):
    """Write a backup anew with other parts, manifest included, as somebody who knows the format could."""
    with zipfile.ZipFile(source) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    manifest = json.loads(parts.pop("manifest.json"))
    change(parts, manifest)
    with zipfile.ZipFile(target, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
        archive.writestr("manifest.json", json.dumps(manifest))


@pytest.mark.parametrize(("change", "words"), [
    (lambda _, manifest: manifest.update(format="assaywright backup 2"), "written as 'assaywright backup 2'"),
    (lambda parts, _: parts.pop("accounts.json"), "has other parts than its manifest says"),
    (lambda parts, _: parts.update({"extra": b""}), "has other parts than its manifest says"),
    (lambda parts, _: parts.update({"accounts.json": b"[]"}), "accounts.json of the backup is not the one"),
    (lambda _, manifest: manifest.pop("head"), "manifest of the backup cannot be read"),
])
def test_a_backup_of_another_version_or_put_together_otherwise_is_refused(small, tmp_path, change, words):
    rewritten(tmp_path / "kept.backup", tmp_path / "other.backup", change)
    answer = assaywright("restore", tmp_path / "other.backup", tmp_path / "again")
    assert words in one_sentence(answer)
    assert not (tmp_path / "again").exists()


@pytest.mark.parametrize("name", ["files/../../escaped", "files/" + "0" * 63 + "G", "files/" + "/" * 64])
def test_a_part_that_would_lie_outside_the_records_is_refused(small, tmp_path, name):
    import hashlib

    def change(parts, manifest):
        parts[name] = b"x"
        manifest["parts"][name] = {"sha256": hashlib.sha256(b"x").hexdigest(), "size": 1}

    rewritten(tmp_path / "kept.backup", tmp_path / "other.backup", change)
    before = names_in(tmp_path)
    assert "has no place in the records" in one_sentence(
        assaywright("restore", tmp_path / "other.backup", tmp_path / "again"))
    assert names_in(tmp_path) == before


def test_what_is_no_backup_or_no_empty_place_is_refused(small, tmp_path):
    (tmp_path / "letter.txt").write_text("Dear customer", encoding="utf-8")
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as archive:
        archive.writestr("letter.txt", "Dear customer")
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("Dear customer", encoding="utf-8")
    before = names_in(tmp_path)
    for file, place, words in (
        ("letter.txt", "again", "is no backup, or was cut short"),
        ("other.zip", "again", "is no backup of these records"),
        ("none", "again", "cannot be read (no such file or directory)"),
        ("full", "again", "cannot be read (is a directory)"),
        ("kept.backup", "full", "the folder is not empty, and is left as it is"),
        ("kept.backup", "letter.txt", "is there already and is no folder"),
        ("kept.backup", "none/again", "the folder that it would lie in is not there"),
    ):
        assert words in one_sentence(assaywright("restore", tmp_path / file, tmp_path / place))
        assert names_in(tmp_path) == before
    assert names_in(tmp_path / "full") == ["letter.txt"]
    (tmp_path / "empty").mkdir()
    assert assaywright("restore", tmp_path / "kept.backup", tmp_path / "empty").returncode == 0


def test_records_that_are_not_in_order_are_backed_up_with_their_faults_named(filled, tmp_path):
    from assaywright.records import files
    from assaywright.records.models import Event

    take_guards_away()
    Event.objects.filter(number=5).update(reason="rewritten after the check")
    put_guards_back()
    files.path_of(filled).write_bytes(b"another certificate")
    made = written(tmp_path / "kept.backup")
    assert any("event 5" in fault and "was changed after it was made" in fault for fault in made.faults)
    assert any("kept file" in fault and "was changed" in fault for fault in made.faults)
    answer = assaywright("restore", tmp_path / "kept.backup", tmp_path / "again")
    assert answer.returncode == 1
    assert "The records are NOT in order." in told(answer)
    assert "rm-1.pdf of RM-1 was changed after it was kept" in told(answer)


def test_a_backup_is_an_anchor_against_rewriting_what_came_before(filled, in_folder, tmp_path):
    from assaywright.records.anchors import Anchor
    from assaywright.records.check import check_records

    made = written(tmp_path / "kept.backup")
    take_guards_away()
    chain_anew(5, reason="rewritten after the check")
    put_guards_back()
    assert check_records(tables=False).faults == []
    assert "the chain is another" in check_records([Anchor.read(made.head)], tables=False).faults[0]


def test_the_mark_of_a_demonstration_comes_along(filled, in_folder, tmp_path):
    Path(in_folder / "demonstration.txt").write_text("invented", encoding="utf-8")
    written(tmp_path / "kept.backup")
    assert assaywright("restore", tmp_path / "kept.backup", tmp_path / "again").returncode == 0
    assert (tmp_path / "again" / "demonstration.txt").read_text(encoding="utf-8") == "invented"
