"""Whether the records can be trusted: the chain, the anchors, the guards, the tables made from it, and the files."""

import json
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice

from django.db import connection

from assaywright.metrology.refusal import Refusal
from assaywright.records import files, rebuild, triggers
from assaywright.records.anchors import Anchor, head_anchor
from assaywright.records.catalogue import EVENTS
from assaywright.records.chain import FIRST, digest_of_row
from assaywright.records.models import Attachment, Certificate, Event, Head
from assaywright.records.replay import EventRow, Replay, events
from assaywright.records.signed import other_than_signed
from assaywright.records.snapshot import snapshot
from assaywright.reports.attached import attached_document

__all__ = ["Anchor", "ChainWalk", "Findings", "Progress", "check_chain", "check_files", "check_records", "head_anchor",
           "silent"]

EVERY = 10_000
PRINTED_HEAD = re.compile(r"\b([0-9]+):([0-9a-f]{32})\b")
Progress = Callable[[int], None]


def silent(_number: int) -> None:
    """Say nothing of how far it is."""


@dataclass
class Findings:
    """What a check of the records found.

    Fields:
        events: how many were looked at.
        head: where the chain ends, as an anchor for the next check.
        files: how many kept files were looked at.
        tables: whether the tables were compared with the events.
        faults: what is wrong, in sentences; none when the records are in order.
        remarks: what is irregular but no fault, such as a clock that went backwards.
    """

    events: int = 0
    head: str = ""
    files: int = 0
    tables: bool = False
    faults: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


class ChainWalk:
    """Goes along the chain, event by event."""

    def __init__(self, found: Findings, anchors: Iterable[Anchor] = ()) -> None:
        self.found = found
        self.anchors = sorted(set(anchors), key=lambda one: one.number, reverse=True)
        self.previous, self.expected, self.last_time = FIRST, 1, ""
        self._meet_anchors(0, FIRST)

    def event(self, row: EventRow) -> None:
        """Look at one event."""
        number, faults = row.number, self.found.faults
        if number != self.expected:
            faults.append(
                f"event {self.expected} is missing" if number == self.expected + 1
                else f"events {self.expected} to {number - 1} are missing" if number > self.expected
                else f"event {number} stands where none can stand")
        if row.previous != self.previous:
            faults.append(f"event {number} does not follow from the one before it")
        if digest_of_row(row.previous, row[:9]) != row.digest:
            faults.append(f"event {number} ({row.kind}, {row.subject}) was changed after it was made")
        if row.kind not in EVENTS:
            faults.append(f"event {number} is of an unknown kind, '{row.kind}'")
        elif row.schema > EVENTS[row.kind].schema:
            faults.append(f"event {number} was written by a later version of the program (schema {row.schema})")
        if row.recorded_at < self.last_time:
            self.found.remarks.append(
                f"event {number} bears an earlier time than the one before it: a clock went backwards")
        if self.anchors:
            self._meet_anchors(number, row.digest)
        self.previous, self.expected, self.last_time = row.digest, number + 1, row.recorded_at
        self.found.events += 1

    def _meet_anchors(self, number: int, digest: str) -> None:
        while self.anchors and self.anchors[-1].number <= number:
            anchor = self.anchors.pop()
            if anchor.number == number and not digest.startswith(anchor.digest):
                self.found.faults.append(
                    f"event {number} is not the one of the anchor {anchor}: the chain is another")

    def end(self) -> None:
        """Look at the head, and at anchors that the chain does not reach."""
        for anchor in reversed(self.anchors):
            self.found.faults.append(
                f"the chain ends before event {anchor.number} of an anchor: its end was cut off")
        number, head = self.expected - 1, Head.objects.filter(pk=Head.ONLY).first()
        if head is None:
            self.found.faults.append("the head of the chain is missing")
        elif (head.number, head.digest) != (number, self.previous):
            self.found.faults.append(
                f"the head says that the chain ends at event {head.number}, and it ends at event {number}")
        self.found.head = f"{number}:{self.previous}"


def check_chain(anchors: Iterable[Anchor] = (), progress: Progress = silent) -> Findings:
    """Walk the chain from its first event to its head, and compare it with anchors printed earlier."""
    return check_records(anchors, guards=False, tables=False, progress=progress)


def check_records(
    anchors: Iterable[Anchor] = (), *, guards: bool = True, tables: bool = True, progress: Progress = silent
) -> Findings:
    """Check chain, anchors and guards, and, with ``tables``, that the other tables follow from the events.

    With the tables in order, each reviewed worksheet is held against the hash that its reviewer signed.
    The events are read once, all of one moment; people may go on writing meanwhile.
    """
    found, replay = Findings(), Replay()
    walk = ChainWalk(found, anchors)
    with snapshot():
        for rows in _batches():
            for row in rows:
                walk.event(row)
            if tables:
                replay.feed(rows)
            progress(found.events)
        walk.end()
        found.faults += _other_than_certificates_say()
        if guards:
            found.faults += [f"the guard {name} of the events is missing" for name in triggers.missing(connection)]
        if tables and not found.faults:
            found.faults += replay.faults or rebuild.compare(replay.tables)
            found.tables = True
            if not found.faults:
                found.faults += other_than_signed()
        elif tables:
            found.remarks.append("the tables were not compared with the events, since these are not in order")
    return found


def _other_than_certificates_say() -> list[str]:
    """Return in sentences where the chain is not the one whose head a certificate states."""
    faults = []
    for subject, payload in Event.objects.filter(kind__startswith="certificate.").values_list("subject", "payload"):
        try:
            anchor = Anchor.read(str(json.loads(payload).get("anchor", "")))
        except (ValueError, AttributeError):
            continue  # a changed payload is named by its hash
        digest = Event.objects.filter(number=anchor.number).values_list("digest", flat=True).first() or ""
        if anchor.number and not digest.startswith(anchor.digest):
            faults.append(f"event {anchor.number} is not the one whose hash the certificate {subject} states: the "
                          "chain was made anew since")
    return faults


def _batches() -> Iterator[list[EventRow]]:
    rows = events()
    while some := list(islice(rows, EVERY)):
        yield some


def check_files(found: Findings, progress: Progress = silent) -> None:
    """Look at every file that an event names by its hash: attached ones and issued certificates."""
    named = {one.sha256: f"the file {one.name} of {one.subject}" for one in Attachment.objects.order_by("pk")}
    certificates = {one.pdf_sha256: one for one in Certificate.objects.order_by("pk")}
    for certificate in certificates.values():
        named[certificate.pdf_sha256] = f"the PDF of the certificate {certificate.number}"
    for sha256, what in named.items():
        try:
            if files.digest_of_file(files.path_of(sha256)) != sha256:
                found.faults.append(f"{what} was changed after it was kept")
            elif sha256 in certificates:
                found.faults += _other_than_printed(certificates[sha256])
        except OSError as problem:
            found.faults.append(f"{what} cannot be read ({(problem.strerror or str(problem)).lower()})")
        found.files += 1
        progress(found.files)
    if others := [one for one in files.kept() if one not in named]:
        found.remarks.append(f"{len(others)} kept file{'s' if len(others) > 1 else ''} that no event names, such as "
                             f"{others[0][:16]}…")


def _other_than_printed(certificate: Certificate) -> list[str]:
    """Return in sentences where the head that a kept certificate prints is not that of its event, or of the chain."""
    try:
        note = str(attached_document(files.read(certificate.pdf_sha256)).get("note", ""))
    except (Refusal, ValueError):
        return [f"the PDF of the certificate {certificate.number} carries no data that can be read"]
    printed = PRINTED_HEAD.search(note)
    if printed is None:
        return [f"the PDF of the certificate {certificate.number} prints no head of the records"]
    number, digest = int(printed[1]), printed[2]
    found = []
    if not str(certificate.content.get("anchor", "")).startswith(f"{number}:{digest}"):
        found.append(f"the certificate {certificate.number} prints another head of the records than its event states")
    there = Event.objects.filter(number=number).values_list("digest", flat=True).first() or ""
    if number and not there.startswith(digest):
        found.append(f"event {number} is not the one whose hash the certificate {certificate.number} prints: the chain "
                     "was made anew since")
    return found
