"""Fills a folder with invented records of a million determinations, whose chain and tables are in order.

Run with ``python -m benchmarks.many FOLDER [--determinations 1000000]``. The invented laboratory of the demonstration
comes first; its worksheets are the pattern of all others, which therefore evaluate as any. Every hundred lots have a
titrant of their own, standardised, and are titrated in triplicate. Nearly all are reviewed, released and certified; the
last ones stand at every stage of the line. Events go in by the thousand, each with the hash of the one before, and the
tables are made from them by the same projections that every act goes through. Signatures are bound to what an act binds
them to: worksheet, result as printed, lot file. ``check-records`` finds all of it in order.

What it leaves out: the PDF of a certificate is no more than a frame with number, lot and head of the records as data;
the stored form of a result is short, and its figures are invented, so that ``check-records --recompute`` names them.
"""

import argparse
import hashlib
import json
import random
import sys
import time
import uuid
import zlib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from unittest import mock

LOTS_OF_A_TITRANT, REPLICATES = 100, 3
PRODUCTS, ANALYSTS, INSTRUMENTS, MATERIALS, HISTORIC = 20, 40, 200, 40, 50_000
IN_USE = 20  # titrants, the last ones
UNFINISHED = 240  # lots, the last ones
YEARS = 5
EVENTS_OF_A_LOT = 10
REPORTED = 5.0  # seconds between lines of progress
Payload = dict[str, Any]
Told = tuple[str, str, str, str, Payload | Callable[[int], Payload]]  # kind, subject, by, reason, payload of a number


def main() -> int:
    """Fill the folder."""
    parser = argparse.ArgumentParser(description="Fills a folder with invented records.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--determinations", type=int, default=1_000_000)
    given = parser.parse_args()
    if (given.folder / "records.sqlite3").exists():
        print(f"many.py: {given.folder} holds records already; name a new folder", file=sys.stderr)
        return 2
    begun = time.perf_counter()
    fill(given.folder, given.determinations)
    print(f"filled in {time.perf_counter() - begun:.0f} s")
    return 0


def fill(folder: Path, determinations: int) -> None:
    """Fill a new folder with at least that many determinations."""
    from assaywright.web.folder import mark_demonstration
    from assaywright.web.start import make_ready, set_up

    mark_demonstration(folder)
    set_up(folder)
    make_ready()
    begun = datetime.now(UTC) - timedelta(days=365 * YEARS)
    bring_demonstration(begun)
    titrants = max(1, -(-determinations // (REPLICATES * (LOTS_OF_A_TITRANT + 1))))
    patterns = patterns_of_demonstration()
    writer = Writer(begun, titrants * (LOTS_OF_A_TITRANT + 1) * EVENTS_OF_A_LOT)
    writer.write(list(around(patterns)))
    told, last = REPORTED, time.perf_counter()
    for number in range(titrants):
        writer.write(list(of_a_titrant(patterns, number, titrants, writer)))
        if number == 0:
            same_lot_file(patterns)
        if time.perf_counter() - last > told or number == titrants - 1:
            last = time.perf_counter()
            print(f"{(number + 1) * (LOTS_OF_A_TITRANT + 1) * REPLICATES:,} determinations, {writer.number:,} events",
                  flush=True)
    writer.close()


def bring_demonstration(begun: datetime) -> None:
    """Bring the invented laboratory in, on which all standardisations rest, as if recorded before everything begins."""
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.cli.demo_story import laboratory
    from assaywright.records import clock
    from assaywright.web import demonstration

    file_of = laboratory()
    with mock.patch.object(clock, "now", return_value=begun - timedelta(days=1)):
        demonstration.people_make()
        demonstration.accreditation_make()
        bring = WorksheetImport(file_of.__getitem__, "maren")
        for name in sorted(name for name in file_of if name.startswith("lots/")):
            bring.lot(name)


def patterns_of_demonstration() -> dict[str, Any]:
    """Return the patterns that everything is made after."""
    from assaywright.assay.wording import written_limits
    from assaywright.records.bridge import lot_file
    from assaywright.records.models import Assay, Determination, Instrument, Lot, Material, Product

    def sheet(identity: str) -> dict[str, Any]:
        assay = Assay.objects.get(pk=identity)
        return {"heading": assay.content, "rests_on": json.loads(assay.rests_on), "readings": [
            one.content for one in Determination.objects.filter(assay=identity).order_by("place")][:REPLICATES]}

    lot = Lot.objects.get(pk="0941").content
    definition = Product.objects.get(pk=lot["product"]).content
    definition["characteristics"] = definition["characteristics"][:1]
    return {"assay": sheet("WS-26-0903"), "standardisation": sheet("WS-26-0878"), "lot": lot, "product": definition,
            "instrument": Instrument.objects.get(pk="B-11").content,
            "material": Material.objects.get(pk="RM-SC-5").content,
            "limits": written_limits(lot_file(Lot.objects.get(pk="0941")).characteristics[0].specification)}


def product_of(number: int) -> str:
    """Return the name of the product that a lot with this number is of."""
    return f"acetic acid 30 % w/w, pack {number % PRODUCTS + 1}"


def analyst_of(number: int) -> str:
    """Return the name to sign in with of the analyst whose turn a number is."""
    return f"analyst-{number % ANALYSTS + 1:02}"


def around(patterns: dict[str, Any]) -> Iterator[Told]:
    """Yield what the laboratory has besides lots: people, products, instruments, materials, results from before."""
    for number in range(ANALYSTS):
        yield "person.added", analyst_of(number), "maren", "", {
            "name": f"Analyst {number + 1:02}", "roles": ["analyst", "reviewer"], "function": "invented"}
    for number in range(PRODUCTS):
        yield "product.defined", product_of(number), "maren", "", {"definition": patterns["product"], "edition": 1}
    for number in range(INSTRUMENTS):
        due = (datetime(2026, 11, 1, tzinfo=UTC) + timedelta(days=3 * number)).date().isoformat()
        table = {**patterns["instrument"], "id": f"B-{number + 100}",
                 "certificate": {**patterns["instrument"]["certificate"], "due": {"date": due}}}
        yield "instrument.registered", table["id"], "maren", "", {"kind": "burette", "table": table}
    for number in range(MATERIALS):
        table = {**patterns["material"], "lot": f"RM-{number + 100}", "use_before": f"20{27 + number % 3}-06"}
        yield "material.received", table["lot"], "maren", "", {"table": table}
    for start in range(0, HISTORIC, 1000):
        rows = [{"row": row, "lot": f"H{start + row:06}", "product": product_of(row), "value": "30.02", "unit": "% w/w",
                 "performed": f"20{16 + start // 10_000}-03-{row % 28 + 1:02}"} for row in range(1, 1001)]
        yield "history.imported", f"old sheets {start // 1000 + 1}", "maren", "", {
            "file": "old.csv", "sha256": "0" * 64, "columns": {}, "fixed": {}, "decimal_mark": ".", "thousands": "",
            "dates": "year first", "verified": False, "rows": rows}


def of_a_titrant(patterns: dict[str, Any], number: int, titrants: int, writer: "Writer") -> Iterator[Told]:
    """Yield the life of one titrant: prepared, standardised, used for a hundred lots, discarded."""
    name, sheet = f"T-{number + 10_000}", f"ST-{number + 10_000}"
    by = analyst_of(number)
    yield "solution.prepared", name, by, "", {
        "table": {"name": "sodium hydroxide 0.5 mol/L", "formula": "NaOH", "nominal": "0.5 mol/L",
                  "use_before": writer.day(60)}, "prepared": writer.day(), "volume": "25 L"}
    heading = {key: one for key, one in patterns["standardisation"]["heading"].items()
               if key not in ("lot", "specification")}
    heading |= {"id": sheet, "performed": {"date": writer.day()}, "titrant": {**heading["titrant"], "lot": name}}
    yield from titrated(patterns["standardisation"], heading, name, by, "0.4998", "mol/L")
    signed = worksheet_sha256(heading, patterns["standardisation"]["readings"])
    total = titrants * LOTS_OF_A_TITRANT
    for count in range(number * LOTS_OF_A_TITRANT, (number + 1) * LOTS_OF_A_TITRANT):
        yield from of_a_lot(patterns, count, total - count, (name, sheet, signed), writer)
    if titrants - number > IN_USE:
        yield "solution.discarded", name, by, "used up", {}


def of_a_lot(
    patterns: dict[str, Any], number: int, left: int, titrant: tuple[str, str, str], writer: "Writer"
) -> Iterator[Told]:
    """Yield the life of one lot; of the last ones, ``left`` from the end, no more than the first acts of it."""
    name, sheet, by = f"L{number:07}", f"WS-{number:07}", analyst_of(number)
    unfinished = left % 6 if left <= UNFINISHED else 6
    table = {**patterns["lot"], "product": product_of(number), "made": {"date": writer.day()},
             "use_before": writer.day(600)[:7], "certificate_number": f"TH-{number:07}-1"}
    yield "lot.made", name, by, "", {"table": table, "quantity": f"{100 + number % 900} L"}
    if number % 3 == 0:
        yield "bottle.opened", f"{name}/1", by, "", {"lot": name, "opened": writer.day()}
    if unfinished == 0:
        return
    heading = patterns["assay"]["heading"]
    heading = {**heading, "id": sheet, "performed": {"date": writer.day()},
               "analyst": f"Analyst {number % ANALYSTS + 1:02}",
               "sample": {**heading["sample"], "lot": name, "product": table["product"]},
               "titrant": {**heading["titrant"], "lot": titrant[0], "worksheets": [f"{titrant[1]}.toml"]}}
    pattern = {**patterns["assay"], "rests_on": [titrant[1]], "signed_below": {titrant[1]: titrant[2]}}
    acts = titrated(pattern, heading, name, by, value_of(number), "% w/w")
    yield from (one for place, one in enumerate(acts) if place < (1, REPLICATES + 1, REPLICATES + 2)[unfinished - 1]
                ) if unfinished < 4 else acts
    if unfinished == 3 and number % 2:
        yield "assay.returned", sheet, "jonas", "the tare of the second portion looks misread", {}
    if unfinished < 4:
        return
    if unfinished == 4:
        yield "lot.held", name, "maren", "the result lies close to the limit", {}
    elif unfinished == 6:
        yield from released(patterns, number, table, writer)


def value_of(number: int) -> str:
    """Return the invented result of a lot, in % w/w."""
    return f"{29.8 + number % 50 / 100:.4f}"


def titrated(
    pattern: dict[str, Any], heading: dict[str, Any], about: str, by: str, value: str, unit: str
) -> Iterator[Told]:
    """Yield a worksheet from its beginning to its review, with determinations like those of the pattern."""
    sheet, sha256 = heading["id"], worksheet_sha256(heading, pattern["readings"])
    yield "assay.begun", sheet, by, "", {
        "heading": heading, "about": about, "rests_on": pattern["rests_on"], "path": f"{sheet}.toml"}
    for place, readings in enumerate(pattern["readings"], 1):
        yield "determination.recorded", sheet, by, "", {"place": place, "fields": readings}
    yield "assay.sent", sheet, by, "", {
        "measurand": about, "value": value, "unit": unit, "standard_uncertainty": "0.02",
        "expanded_uncertainty": "0.04", "releasable": True, "worksheet_sha256": sha256, "software": "0",
        "stored": {"value": value}}
    yield "assay.reviewed", sheet, "jonas", "", lambda event: {
        "meaning": "I agree", "worksheet_sha256": sha256, "rests_on": pattern.get("signed_below", {}),
        "result": {"event": event - 1, "printed": as_printed(value, unit), "value": value, "unit": unit,
                   "expanded_uncertainty": "0.04"}}


def as_printed(value: str, unit: str) -> str:
    """Return an invented result as it is printed."""
    from assaywright.records import printed

    return printed.as_printed(float(value), 0.04, unit)


def worksheet_sha256(heading: dict[str, Any], readings: list[dict[str, Any]]) -> str:
    """Return the hash of the worksheet that a reviewer signs, as the records write it out."""
    from assaywright.records.bridge import worksheet_digest
    from assaywright.records.chain import canonical

    return worksheet_digest(*json.loads(canonical([heading, readings])))


def released(patterns: dict[str, Any], number: int, table: dict[str, Any], writer: "Writer") -> Iterator[Told]:
    """Yield a lot's release and, of nine in ten, its certificate."""
    name = f"L{number:07}"
    yield "lot.released", name, "maren", "", {
        "characteristics": ["acetic acid"], "worksheets": [f"WS-{number:07}"], "meaning": "I release it",
        "lot_file_sha256": hashlib.sha256(lot_text(patterns, number, table)).hexdigest(), "product_edition": 1,
        "decided": [{"name": "acetic acid", "found": as_printed(value_of(number), "% w/w"),
                     "limits": patterns["limits"], "decision": "conforms"}]}
    if number % 10:
        certificate = f"TH-{number:07}-1"
        sha256 = kept(pdf_of({"number": certificate, "lot": name,
                          "note": f"Head of the records when this was issued: {writer.printed_anchor}."}))
        yield "certificate.issued", certificate, "maren", "", {
            "lot": name, "worksheet": "", "pdf_sha256": sha256, "meaning": "I certify it",
            "anchor": writer.anchor, "renderer": "invented", "product": product_of(number),
            "signed_by": "Maren Tolliver", "product_edition": 1, "software": "0"}


def kept(data: bytes) -> str:
    """Keep a file as the records do, but for the wait until it is on the disk, and return its hash."""
    from assaywright.records import files

    sha256 = hashlib.sha256(data).hexdigest()
    target = files.path_of(sha256)
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(data)
    return sha256


def pdf_of(document: dict[str, Any]) -> bytes:
    """Return the frame of a PDF that carries a document as an embedded file (ISO 32000-1:2008, 7.11.4)."""
    data = zlib.compress(json.dumps(document).encode())
    head = f"%PDF-1.7\n1 0 obj\n<< /Type /EmbeddedFile /Filter /FlateDecode /Length {len(data)} >>\nstream\n"
    return head.encode() + data + b"\nendstream\nendobj\n%%EOF\n"


def lot_text(patterns: dict[str, Any], number: int, table: dict[str, Any]) -> bytes:
    """Return the lot file that a signatory signs, as the records write it out."""
    from assaywright.assay.worksheet import FORMAT
    from assaywright.records.bridge import FOUND, NOT_OF_THE_LOT
    from assaywright.records.chain import canonical
    from assaywright.records.toml_text import toml_text

    (specified,) = patterns["product"]["characteristics"]
    limits = {key: one for key, one in specified.items() if key not in {"method", "unit", *FOUND}}
    measurand = {"measurand": specified["measurand"]} if specified.get("measurand") else {}
    own = {key: one for key, one in json.loads(canonical(table)).items()
           if key not in NOT_OF_THE_LOT and one not in ("", [])}
    return toml_text({"format": FORMAT, "kind": "lot", **own, "id": f"L{number:07}", "characteristic": [
        {**limits, "accredited": False, "worksheet": f"WS-{number:07}.toml", **measurand}]}).encode()


def same_lot_file(patterns: dict[str, Any]) -> None:
    """End where the records write a lot file out otherwise than it was signed here."""
    from assaywright.records.bridge import lot_bytes
    from assaywright.records.models import Lot
    from assaywright.records.models.lots import RELEASED

    lot = Lot.objects.filter(state=RELEASED).order_by("identity").first()
    if lot is not None and lot_bytes(lot) != lot_text(patterns, int(lot.identity[1:]), lot.content):
        raise SystemExit("many.py: the records write a lot file out otherwise than it is signed here")


class Writer:
    """Writes events with the hash of the one before, and the rows that follow from them, many at a time.

    Fields:
        number: of the last event.
        anchor: head of the chain after the events written so far.
    """

    def __init__(self, begun: datetime, expected: int) -> None:
        from django.db import connection

        from assaywright.records.models import Head

        head = Head.objects.get(pk=Head.ONLY)
        self.number, self.digest = head.number, head.digest
        self.anchor = f"{head.number}:{head.digest}"
        self.begun, self.end, self.step = begun, datetime.now(UTC), timedelta(days=365 * YEARS) / expected
        self.first = head.number
        self.acts = random.Random(head.number)  # noqa: S311 - invented acts, no secret
        with connection.cursor() as cursor:
            for pragma in ("synchronous=OFF", "cache_size=-400000", "wal_autocheckpoint=50000"):
                cursor.execute(f"PRAGMA {pragma}")

    @property
    def printed_anchor(self) -> str:
        """The anchor as a certificate prints it."""
        number, digest = self.anchor.split(":")
        return f"{number}:{digest[:32]}"

    def moment(self) -> datetime:
        """Return when the next event happens."""
        return min(self.begun + self.step * (self.number - self.first), self.end)

    def day(self, later: int = 0) -> str:
        """Return the day of the next event, or one later by that many days."""
        return (self.moment() + timedelta(days=later)).date().isoformat()

    def write(self, told: list[Told]) -> None:
        """Write events and what follows from them, in one transaction."""
        from django.db import transaction

        from assaywright.records.models import Event, Head
        from assaywright.records.replay import EventRow, Replay

        events = [EventRow._make(self._event(*one)) for one in told]
        replay = Replay()
        replay.feed(events)
        if replay.faults:
            raise SystemExit(f"many.py: {replay.faults[0]}")
        with transaction.atomic():
            insert(Event._meta.db_table, EventRow._fields, events)
            for model, table in replay.tables.items():
                insert(model._meta.db_table, table.names, list(table.rows.values()))
            Head.objects.filter(pk=Head.ONLY).update(number=self.number, digest=self.digest)
        self.anchor = f"{self.number}:{self.digest}"

    def _event(self, kind: str, subject: str, by: str, reason: str,
               payload: Payload | Callable[[int], Payload]) -> tuple[Any, ...]:
        from assaywright.records import clock
        from assaywright.records.catalogue import EVENTS
        from assaywright.records.chain import canonical, digest_of_row

        at = clock.written(self.moment())
        self.number += 1
        told = payload if isinstance(payload, dict) else payload(self.number)
        act = str(uuid.UUID(int=(self.number << 64) + self.acts.getrandbits(64)))
        values = (self.number, at, EVENTS[kind].schema, kind, subject, by, reason, act, canonical(told))
        previous, self.digest = self.digest, digest_of_row(self.digest, values)
        return (*values, previous, self.digest)

    def close(self) -> None:
        """Put everything on the disk, and count what there is to choose the best way to it by."""
        from django.db import connection, connections

        with connection.cursor() as cursor:
            cursor.execute("PRAGMA synchronous=FULL")
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connections.close_all()


def insert(table: str, names: Any, rows: list[Any]) -> None:
    """Insert rows as they are."""
    from django.db import connection

    columns = ", ".join(f'"{name}"' for name in names)
    with connection.cursor() as cursor:
        cursor.executemany(f'INSERT INTO "{table}" ({columns}) VALUES ({", ".join(["%s"] * len(names))})',  # noqa: S608
                           rows)


if __name__ == "__main__":
    sys.exit(main())
