"""The verbs ``check-records``, ``backup`` and ``restore``: proving the records, and keeping them."""

import argparse
import os
import shutil
import sys
import tempfile
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assaywright.cli.opening import terminal_width, wrapped
from assaywright.cli.records_open import DATABASE, counted, open_records, progress, set_up
from assaywright.metrology.refusal import Refusal

if TYPE_CHECKING:
    from assaywright.records.anchors import Anchor
    from assaywright.records.check import Findings
    from assaywright.records.recompute import Recomputed
    from assaywright.web.accounts_check import AccountTold

DONE, FAULTS = 0, 1
NOT_LOOKED_AT = ["passwords", "sessions", "sign-ins that were refused", "logs"]
IN_ORDER, NOT_IN_ORDER = "The records are in order.", "The records are NOT in order."
MOST_SHOWN = 50


def check_records(parsed: argparse.Namespace) -> int:
    """Check the records; exit status 1 when something is wrong."""
    open_records(parsed.folder)
    if parsed.grants:
        return _grants(parsed.grants)
    from assaywright.records import check
    from assaywright.records.recompute import recompute
    from assaywright.web.accounts_check import accounts_told

    anchors = [_anchor(text) for text in parsed.anchors]
    found = check.check_records(anchors, progress=progress("events checked"))
    check.check_files(found, progress("files checked"))
    results = recompute(parsed.recompute, progress("results computed anew"))
    accounts, faults = accounts_told()
    found.faults += faults
    if parsed.json:
        from assaywright.cli.show_json import json_text

        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(_record(found, results, accounts), plain=plain))
    else:
        _tell_accounts(accounts)
        _tell(found, results, len(anchors), asked=bool(parsed.recompute))
    return FAULTS if found.faults or any(one.differences for one in results) else DONE


def _anchor(text: str) -> "Anchor":
    from assaywright.records.anchors import Anchor

    try:
        return Anchor.read(text)
    except ValueError as problem:
        raise Refusal(f"'{text[:40]}' is no anchor", where="--anchor",
                      remedy="write it as it is printed: the event's number, a colon, the hash or its first 16 "
                      "characters") from problem


def _record(found: "Findings", results: "list[Recomputed]", accounts: "list[AccountTold]") -> dict[str, Any]:
    return {
        "in_order": not found.faults and not any(one.differences for one in results),
        "events": found.events, "head": found.head, "files": found.files, "tables_compared": found.tables,
        "faults": found.faults, "remarks": [*found.remarks, *(one.remark for one in results if one.remark)],
        "recomputed": [{"worksheet": one.assay, "software": one.software, "differences": list(one.differences)}
                       for one in results if not one.remark],
        "accounts": [asdict(one) for one in accounts], "not_looked_at": NOT_LOOKED_AT,
    }


def _tell_accounts(accounts: "list[AccountTold]") -> None:
    """Print who can sign in, since no chain shows it, and what was not looked at."""
    from assaywright.cli.tables import Column, drawn

    if accounts:
        columns = [Column("signs in as"), Column("roles", flexible=True), Column("account", flexible=True),
                   Column("added by event")]
        rows = [[one.identity, one.roles or "nobody of the records", one.account,
                 "none" if one.added_by_event is None else str(one.added_by_event)] for one in accounts]
        for line in drawn(columns, rows, terminal_width(), indent=""):
            print(line)
        print()
    for part in wrapped(f"Not looked at, since no event stands behind them: {'; '.join(NOT_LOOKED_AT)}.",
                        terminal_width()):
        print(part)


def _tell(found: "Findings", results: "list[Recomputed]", anchors: int = 0, *, asked: bool = False) -> None:
    faults = [*found.faults, *(text for one in results for text in one.differences)]
    tables = "compared" if found.tables else "not compared"
    looked_at = f"{counted(found.events, 'event')}, {counted(found.files, 'kept file')} looked at"
    lines = [f"{looked_at}; tables made from the events: {tables}."]
    if anchors:
        lines.append(f"{counted(anchors, 'anchor')} held against the chain.")
    if compared := [one for one in results if not one.remark]:
        same = sum(not one.differences for one in compared)
        lines.append(f"{counted(len(compared), 'result')} computed anew from the raw data; {same} the same as on "
                     "record.")
    elif asked:
        lines.append("No result is on record to be computed anew.")
    lines += _some("Fault", faults)
    lines += _some("Remark", [*found.remarks, *(one.remark for one in results if one.remark)])
    lines += [f"The chain ends at {found.head}", NOT_IN_ORDER if faults else IN_ORDER]
    for line in lines:
        for part in wrapped(line, terminal_width()):
            print(part)


def _some(what: str, sentences: list[str]) -> list[str]:
    shown = [f"{what}: {one}." for one in sentences[:MOST_SHOWN]]
    return shown + ([f"... and {len(sentences) - MOST_SHOWN} more."] if len(sentences) > MOST_SHOWN else [])


def _grants(role: str) -> int:
    from django.db import connection

    from assaywright.records.roles import grants

    if connection.vendor != "postgresql":
        raise Refusal("SQLite knows no roles", where="--grants", remedy="set ASSAYWRIGHT_DATABASE, or leave it out")
    for statement in grants(role):
        print(f"{statement};")
    return DONE


# --- keeping ----------------------------------------------------------------------------------------------------------


def backup(parsed: argparse.Namespace) -> int:
    """Write a backup while people work; exit status 1 when what it holds is not in order."""
    open_records(parsed.folder)
    from assaywright.records.backup import backup as write

    made = write(Path(parsed.file).absolute(), progress("events written"))
    held = (f"{counted(made.events, 'event')}, {counted(made.files, 'kept file')}, the accounts with their hashed "
            "passwords")
    last = ("Run assaywright check-records: these records are NOT in order." if made.faults
            else "Keep that line in another place than the backup: with it, check-records proves that nothing was "
            "rewritten.")
    lines = [f"{parsed.file} written: {held}, of {made.made}.", f"The chain ends at {made.head}",
             *_some("Fault", list(made.faults)), last]
    for line in lines:
        for part in wrapped(line, terminal_width()):
            print(part)
    return FAULTS if made.faults else DONE


def restore(parsed: argparse.Namespace) -> int:
    """Bring a backup into an empty place, and check it at once; exit status 1 when it is not in order."""
    file, place = Path(parsed.file).absolute(), Path(parsed.folder).absolute()
    _check_place(place, parsed.folder)
    try:
        beside = Path(tempfile.mkdtemp(dir=place.parent, prefix=f".{place.name[:40]}.", suffix=".part"))
    except OSError as problem:
        raise Refusal(f"the folder cannot be made ({(problem.strerror or str(problem)).lower()})", where=parsed.folder,
                      remedy="name one in a place that can be written to") from problem
    try:
        found = _restored(file, beside)
        if place.exists():
            place.rmdir()
        beside.replace(place)
    except BaseException:
        shutil.rmtree(beside, ignore_errors=True)
        raise
    print(f"{parsed.folder} restored.")
    _tell(found, [], 1)
    return FAULTS if found.faults else DONE


def _check_place(place: Path, typed: str) -> None:
    if os.path.lexists(place) and (place.is_symlink() or not place.is_dir()):
        raise Refusal("it is there already and is no folder", where=typed, remedy="name a new or an empty folder")
    if place.is_dir() and any(place.iterdir()):
        raise Refusal("the folder is not empty, and is left as it is", where=typed,
                      remedy="name a new or an empty folder")
    if not place.parent.is_dir():
        raise Refusal("the folder that it would lie in is not there", where=typed, remedy="make that one first")


def _restored(file: Path, beside: Path) -> "Findings":
    """Restore into a folder beside the place, so that nothing half-done ever stands in the place itself."""
    set_up(beside)
    from django.core.management import call_command
    from django.db import DatabaseError, connections

    from assaywright.records.backup import read_manifest
    from assaywright.records.backup import restore as bring

    read_manifest(file)
    try:
        call_command("migrate", verbosity=0)
        found = bring(file, progress("events brought in"))
    except DatabaseError as problem:
        raise Refusal(f"the database cannot be written ({' '.join(str(problem).split()).rstrip('.')})",
                      where=DATABASE if os.environ.get(DATABASE) else str(beside.parent),
                      remedy="see that there is room and leave to write") from problem
    finally:
        connections.close_all()
    return found
