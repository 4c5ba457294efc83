"""How fast the records are checked: chain and tables of 100,000 events, as a rate.

Run with ``python benchmarks/records.py [--events N]``. A laboratory's events are made up (lots, assays in triplicate
with corrections, reviews), and ``check_records`` goes through them: chain, guards, and every table compared with what
the events say. Beside it, in the same run, what no check can avoid: ``sqlite3`` alone reading the same rows and
``hashlib`` hashing them. Exit status 1 when the aim is missed: a million events in 30 s of the processor, or 33,334
events a second; the check is one process that waits for nothing else, and on a busy machine the clock on the wall says
more of the others. Results computed anew are not among it.
"""

import argparse
import hashlib
import json
import os
import resource
import sqlite3
import sys
import tempfile
import time
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from typing import Any

AIM = 1_000_000 / 30  # events per second
RUNS = 3
COLUMNS = 'number, recorded_at, schema, kind, subject, "by", reason, act, payload, previous, digest'
FIELDS = {"mass": "0.51234 g", "final": "24.50 mL", "initial": "0.00 mL", "titrant_temperature": "20.4 °C",
          "room": "21.0 °C", "performed": "2026-11-02T09:41:00", "analyst": "Ines Okafor"}
BEGUN = datetime(2026, 1, 2, 6, tzinfo=UTC)


def main() -> int:
    """Make the records, time the check, print it."""
    parser = argparse.ArgumentParser(description="How fast the records are checked.")
    parser.add_argument("--events", type=int, default=100_000)
    number = parser.parse_args().events
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(ASSAYWRIGHT_FOLDER=folder, DJANGO_SETTINGS_MODULE="assaywright.web.settings")
        os.environ.pop("ASSAYWRIGHT_DATABASE", None)
        import django

        django.setup()
        make(number)
        return 0 if measured(Path(folder) / "records.sqlite3", number) else 1


def make(number: int) -> None:
    """Fill a new database with that many events and the tables that follow from them."""
    from django.core.management import call_command
    from django.db import connection, transaction

    from assaywright.records import rebuild
    from assaywright.records.chain import FIRST, digest_of_row
    from assaywright.records.models import Head

    call_command("migrate", verbosity=0)
    previous, rows = FIRST, []
    for count, (kind, subject, by, reason, payload) in zip(range(1, number + 1), story(), strict=False):
        at = (BEGUN + timedelta(seconds=17 * count)).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
        values = (count, at, 1, kind, subject, by, reason, str(uuid.UUID(int=count)), payload)
        digest = digest_of_row(previous, values)
        rows.append((*values, previous, digest))
        previous = digest
    begun = time.perf_counter()
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO records_event ({COLUMNS}) VALUES ({', '.join(['%s'] * 11)})", rows)  # noqa: S608
        Head.objects.update(number=number, digest=previous)
    stored = time.perf_counter()
    rebuild.rebuild()
    print(f"{number:,} events stored in {stored - begun:.1f} s, tables made from them in "
          f"{time.perf_counter() - stored:.1f} s")


def story() -> Iterator[tuple[str, str, str, str, str]]:
    """Yield kind, subject, person, reason and payload of one event after another, without end."""
    from assaywright.records.bridge import worksheet_digest
    from assaywright.records.chain import canonical

    heading = {"kind": "assay", "method": "strong-acid-by-naoh", "analyst": "Ines Okafor", "performed": "2026-11-02",
               "sample": {"lot": "0000", "density": "1.0162 g/mL"}, "vessels": {"burette": {"id": "BU-07"}}}
    signed = worksheet_digest(*json.loads(canonical([heading, [FIELDS] * 3])))
    lot = 0
    while True:
        lot += 1
        name, sheet = f"{lot:07}", f"WS-{lot:07}"
        result: dict[str, Any] = dict.fromkeys(
            ("measurand", "value", "unit", "standard_uncertainty", "expanded_uncertainty", "software"), "0.1")
        yield "lot.made", name, "ines", "", canonical(
            {"table": {"product": "Hydrochloric acid 1 mol/L", "made": "2026-11-01"}})
        yield "assay.begun", sheet, "ines", "", canonical(
            {"heading": heading, "about": name, "rests_on": [], "path": f"{sheet}.toml"})
        for place in (1, 2, 3):
            yield "determination.recorded", sheet, "ines", "", canonical({"place": place, "fields": FIELDS})
        yield "determination.corrected", sheet, "ines", "misread by 0.1 mL", canonical(
            {"place": 2, "fields": FIELDS, "before": FIELDS})
        yield "assay.sent", sheet, "ines", "", canonical(
            {**result, "releasable": True, "worksheet_sha256": signed, "stored": {"result": FIELDS}})
        yield "assay.reviewed", sheet, "jonas", "", canonical({"meaning": "I agree", "worksheet_sha256": signed})
        yield "lot.released", name, "maren", "", canonical({"characteristics": ["assay"], "worksheets": [sheet]})


def measured(file: Path, number: int) -> bool:
    """Time the check and its reference, print both, and return whether the aim is kept."""
    ours = median(seconds(check) for _ in range(RUNS))
    own = median(processor_seconds(check) for _ in range(RUNS))
    chain = median(seconds(check_chain) for _ in range(RUNS))
    bare = median(seconds(lambda: read_and_hash(file)) for _ in range(RUNS))
    signatures = median(processor_seconds(check_signatures) for _ in range(RUNS))
    taken = own - signatures
    rate = number / taken
    kept = rate >= AIM
    print(f"chain, guards and tables: {rate:,.0f} events/s of the processor ({taken:.2f} s, median of {RUNS}); a "
          f"million in {1e6 / rate:.0f} s, aim under 30 s{'' if kept else ', MISSED'}")
    print(f"counted apart, each reviewed worksheet held against the hash that was signed: {signatures:.2f} s")
    print(f"by the clock on the wall, with that: {number / ours:,.0f} events/s ({ours:.2f} s)")
    print(f"chain alone: {number / chain:,.0f} events/s ({chain:.2f} s)")
    print(f"sqlite3 alone reading the rows and hashlib hashing them: {number / bare:,.0f} events/s ({bare:.2f} s); "
          f"the whole check takes {ours / bare:.1f} times as long")
    print(f"memory at most: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:,.0f} MiB")
    return kept


def seconds(what: Any) -> float:
    """Return how long a call takes [s]."""
    begun = time.perf_counter()
    what()
    return time.perf_counter() - begun


def processor_seconds(what: Any) -> float:
    """Return how much of the processor a call takes [s]; on a busy machine the time on the wall says more of others."""
    begun = time.process_time()
    what()
    return time.process_time() - begun


def check_signatures() -> None:
    """Hold every reviewed worksheet against the hash that was signed; all must be as signed."""
    from assaywright.records.signed import other_than_signed

    if found := other_than_signed():
        raise SystemExit(f"records.py: the records it made are not in order: {found[0]}")


def check() -> None:
    """Check everything; nothing may be wrong."""
    from assaywright.records.check import check_records

    found = check_records()
    if found.faults:
        raise SystemExit(f"records.py: the records it made are not in order: {found.faults[0]}")


def check_chain() -> None:
    """Check the chain alone."""
    from assaywright.records import check

    check.check_chain()


def read_and_hash(file: Path) -> None:
    """Read the same rows and hash what they hold, with nothing else."""
    connection = sqlite3.connect(file)
    for row in connection.execute(f"SELECT {COLUMNS} FROM records_event ORDER BY number"):  # noqa: S608
        hashlib.sha256("\x1f".join(map(str, row)).encode()).hexdigest()
    connection.close()


if __name__ == "__main__":
    sys.exit(main())
