"""Backups: everything that the records cannot make anew, in one file, taken while people work; and back from it.

The file is a ZIP: the events as lines of JSON, the accounts with their hashed passwords, every kept file under its
hash, and a manifest with the head of the chain and the hash of each part. The tables are not in it, they follow from
the events; so a backup of SQLite can be restored into PostgreSQL and the other way round. Sessions and the secret that
signs them are left out: after a restore everybody signs in anew.
"""

import hashlib
import json
import os
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import IO, Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.db import DatabaseError, connection, transaction

from assaywright import __version__
from assaywright.metrology.refusal import Refusal
from assaywright.records import clock, files, rebuild
from assaywright.records.anchors import Anchor
from assaywright.records.chain import canonical
from assaywright.records.check import ChainWalk, Findings, Progress, check_files, check_records, silent
from assaywright.records.models import Event, Head
from assaywright.records.replay import CHUNK, EventRow, events
from assaywright.records.snapshot import snapshot

FORMAT = "assaywright backup 1"
MANIFEST, EVENTS, ACCOUNTS, FILES = "manifest.json", "events.jsonl", "accounts.json", "files/"
MARK = "demonstration.txt"
ACCOUNT = ("username", "password", "is_active", "date_joined", "last_login")
MOST_MANIFEST = 100_000_000


@dataclass(frozen=True, slots=True)
class Backup:
    """What a backup holds.

    Fields:
        events, files: how many.
        head: of the chain, as an anchor.
        made: when [UTC].
        faults: of the chain and of kept files, in sentences; they were backed up as they are.
    """

    events: int
    files: int
    head: str
    made: str
    faults: tuple[str, ...] = ()


class _Parts:
    """Writes the parts of a backup, and keeps each one's hash and size."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.archive = archive
        self.found: dict[str, dict[str, Any]] = {}

    def add(self, name: str, pieces: Iterator[bytes]) -> str:
        """Write a part; return its hash [hexadecimal]."""
        digest, size = hashlib.sha256(), 0
        with self.archive.open(name, "w", force_zip64=True) as out:
            for piece in pieces:
                out.write(piece)
                digest.update(piece)
                size += len(piece)
        self.found[name] = {"sha256": digest.hexdigest(), "size": size}
        return digest.hexdigest()


# --- out --------------------------------------------------------------------------------------------------------------


def backup(target: Path, progress: Progress = silent) -> Backup:
    """Write a backup, whole or not at all, all of one moment; people may go on writing meanwhile.

    Raises:
        Refusal: something stands there already, or it cannot be written.
    """
    if os.path.lexists(target):
        raise Refusal("something stands there already, and is left as it is", where=str(target),
                      remedy="name a file that is not there yet")
    try:
        with _whole(target) as out, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
            return _written(_Parts(archive), progress)
    except OSError as problem:
        raise Refusal(f"the backup cannot be written ({(problem.strerror or str(problem)).lower()})",
                      where=str(target), remedy="see that there is room and leave to write; nothing was left "
                      "behind") from problem


@contextmanager
def _whole(target: Path) -> Iterator[IO[bytes]]:
    """Write a file beside its place first, and put it there once it is complete and on disk."""
    descriptor, beside = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.", suffix=".part")
    try:
        with os.fdopen(descriptor, "w+b") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        _put_in_place(Path(beside), target)
        files.sync_folder(target.parent)
    finally:
        Path(beside).unlink(missing_ok=True)


def _put_in_place(beside: Path, target: Path) -> None:
    """Give the file its name; where the file system can, refuse what was put there meanwhile."""
    try:
        os.link(beside, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        beside.replace(target)


def _written(parts: _Parts, progress: Progress) -> Backup:
    found = Findings()
    walk = ChainWalk(found)
    with snapshot():
        parts.add(EVENTS, _event_lines(walk, progress))
        parts.add(ACCOUNTS, iter([canonical(_accounts()).encode()]))
        walk.end()
    faults = found.faults
    number = 0
    for sha256 in files.kept():  # after the events: a file is kept before the event that names it
        if parts.add(FILES + sha256, _pieces(files.path_of(sha256))) != sha256:
            faults.append(f"the kept file {sha256[:16]}… was changed after it was kept")
        number += 1
    mark = Path(settings.DATA_FOLDER) / MARK
    if mark.exists():
        parts.add(MARK, _pieces(mark))
    made = clock.written(clock.now())
    manifest = {"format": FORMAT, "software": __version__, "made": made, "events": found.events, "files": number,
                "head": found.head, "parts": parts.found}
    parts.archive.writestr(MANIFEST, json.dumps(manifest, indent=1, sort_keys=True))
    return Backup(found.events, number, found.head, made, tuple(faults))


def _event_lines(walk: ChainWalk, progress: Progress) -> Iterator[bytes]:
    rows = events()
    while some := list(islice(rows, CHUNK)):
        for row in some:
            walk.event(row)
        yield "".join(f"{canonical(list(row))}\n" for row in some).encode()
        progress(walk.found.events)


def _accounts() -> list[dict[str, Any]]:
    return [
        {**{name: _plain(getattr(one, name)) for name in ACCOUNT},
         "groups": sorted(one.groups.values_list("name", flat=True))}
        for one in get_user_model().objects.order_by("pk").prefetch_related("groups")
    ]


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | bool | None) else value.isoformat()


def _pieces(file: Path) -> Iterator[bytes]:
    with file.open("rb") as opened:
        while piece := opened.read(files.BLOCK):
            yield piece


# --- back -------------------------------------------------------------------------------------------------------------


def read_manifest(file: Path) -> dict[str, Any]:
    """Return the manifest of a backup after every part has been read and compared with it.

    Raises:
        Refusal: it is no backup, of a later version, cut short or changed.
    """
    with _opened(file) as archive:
        return _checked(archive)


@contextmanager
def _opened(file: Path) -> Iterator[zipfile.ZipFile]:
    try:
        with zipfile.ZipFile(file) as archive:
            yield archive
    except (zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, EOFError, NotImplementedError) as problem:
        raise Refusal("the file is no backup, or was cut short", where=str(file),
                      remedy="take another backup") from problem
    except Refusal as refusal:
        raise refusal.at(str(file)) from refusal.__cause__
    except OSError as problem:
        if problem.filename not in (None, str(file)):
            raise
        raise Refusal(f"the file cannot be read ({(problem.strerror or str(problem)).lower()})", where=str(file),
                      remedy="check its name and its permissions") from problem


def _checked(archive: zipfile.ZipFile) -> dict[str, Any]:
    names = archive.namelist()
    encrypted = any(one.flag_bits & 1 for one in archive.infolist())
    if encrypted or MANIFEST not in names or archive.getinfo(MANIFEST).file_size > MOST_MANIFEST:
        raise Refusal("the file is no backup of these records", remedy="name one that assaywright backup wrote")
    try:
        manifest: dict[str, Any] = json.loads(archive.read(MANIFEST))
        parts, kind = dict(manifest["parts"]), str(manifest["format"])
        Anchor.read(manifest["head"])
    except (ValueError, KeyError, TypeError, AttributeError, zlib.error, zipfile.BadZipFile) as problem:
        raise Refusal("the manifest of the backup cannot be read", remedy="take another backup") from problem
    if kind != FORMAT:
        raise Refusal(f"the backup is written as '{kind}', and this version reads '{FORMAT}'",
                      remedy="restore it with the version that wrote it, or a later one")
    if sorted(names) != sorted([*parts, MANIFEST]) or EVENTS not in parts or ACCOUNTS not in parts:
        raise Refusal("the backup has other parts than its manifest says", remedy="take another backup")
    for name, part in parts.items():
        digest = hashlib.sha256()
        with archive.open(name) as opened:
            while piece := opened.read(files.BLOCK):
                digest.update(piece)
        if digest.hexdigest() != part["sha256"]:
            raise Refusal(f"the part {name} of the backup is not the one that was written",
                          remedy="take another backup")
    return manifest


def demand_empty() -> None:
    """Refuse to restore over records.

    Raises:
        Refusal: the database holds events or accounts.
    """
    if Event.objects.exists() or get_user_model().objects.exists():
        raise Refusal("the database holds records already", where="restore",
                      remedy="restore into an empty database, or an empty folder")


def restore(file: Path, progress: Progress = silent) -> Findings:
    """Bring a backup into an empty, migrated database and the folder of its files, and check all of it at once.

    The database is filled in one transaction, all or nothing; the files are written first.

    Raises:
        Refusal: the database is not empty, the backup is none, or there is no room.
    """
    demand_empty()
    with _opened(file) as archive:
        manifest = _checked(archive)
        try:
            _bring_files(archive, manifest)
            with transaction.atomic():
                demand_empty()
                _bring_events(archive, progress)
                _bring_accounts(archive)
                rebuild.rebuild()
        except (OSError, DatabaseError) as problem:
            raise Refusal(f"the records cannot be written ({' '.join(str(problem).split()).lower()})",
                          where="restore", remedy="see that there is room and leave to write, and restore once "
                          "more") from problem
        except (ValueError, TypeError, KeyError) as problem:
            if isinstance(problem, Refusal):
                raise
            raise Refusal(f"the events of the backup cannot be read ({problem})",
                          remedy="take another backup") from problem
    found = check_records([Anchor.read(manifest["head"])], progress=progress)
    check_files(found)
    return found


def _bring_files(archive: zipfile.ZipFile, manifest: dict[str, Any]) -> None:
    for name in manifest["parts"]:
        if name == MARK:
            files.write_safely(Path(settings.DATA_FOLDER) / MARK, archive.read(name))
        elif name.startswith(FILES):
            sha256 = name.removeprefix(FILES)
            if len(sha256) != files.HEX or set(sha256) - set("0123456789abcdef"):
                raise Refusal(f"the part '{name}' of the backup has no place in the records",
                              remedy="take another backup")
            files.write_safely(files.path_of(sha256), archive.read(name))


def _bring_events(archive: zipfile.ZipFile, progress: Progress) -> None:
    columns = ", ".join(connection.ops.quote_name(name) for name in EventRow._fields)
    marks = ", ".join(["%s"] * len(EventRow._fields))
    statement = f"INSERT INTO {Event._meta.db_table} ({columns}) VALUES ({marks})"  # noqa: S608 - names of our own
    number, last = 0, None
    with archive.open(EVENTS) as lines, connection.cursor() as cursor:
        while some := [EventRow._make(json.loads(line)) for line in islice(lines, CHUNK)]:
            cursor.executemany(statement, some)
            number, last = number + len(some), some[-1]
            progress(number)
    if last is not None:
        Head.objects.update(number=last.number, digest=last.digest)


def _bring_accounts(archive: zipfile.ZipFile) -> None:
    for one in json.loads(archive.read(ACCOUNTS)):
        groups = one.pop("groups")
        account = get_user_model().objects.create(**one)
        account.groups.set([Group.objects.get_or_create(name=name)[0] for name in groups])
