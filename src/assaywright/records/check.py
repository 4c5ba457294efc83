"""Whether the records can be trusted: the chain, the anchors, the tables made from it, and the results."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from django.db import connection

from assaywright.records import rebuild, triggers
from assaywright.records.catalogue import EVENTS
from assaywright.records.chain import CHAINED, FIRST, digest_of
from assaywright.records.models import Event, Head

EVERY = 10_000
Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class Anchor:
    """The head of the chain as it once was printed, on a certificate or in a backup."""

    number: int
    digest: str

    @classmethod
    def read(cls, text: str) -> "Anchor":
        """Return an anchor from its printed form, ``NUMBER:DIGEST``; the digest may be shortened to 16 characters.

        Raises:
            ValueError: the text is no anchor.
        """
        number, _, digest = text.strip().lower().partition(":")
        if not number.isdigit() or len(digest) < 16 or set(digest) - set("0123456789abcdef"):
            raise ValueError(text)
        return cls(int(number), digest)


@dataclass
class Findings:
    """What a check of the records found.

    Fields:
        events: how many were looked at.
        faults: what is wrong, in sentences; none when the records are in order.
        remarks: what is irregular but no fault, such as a clock that went backwards.
    """

    events: int = 0
    head: str = ""
    faults: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def check_chain(anchors: Iterable[Anchor] = (), progress: Progress = lambda _: None) -> Findings:
    """Walk the chain from its first event to its head, and compare it with anchors printed earlier."""
    found = Findings()
    wanted = {one.number: one.digest for one in anchors}
    previous, expected, last_time = FIRST, 1, ""
    columns = (*CHAINED, "previous", "digest")
    for row in Event.objects.order_by("number").values_list(*columns).iterator(rebuild.CHUNK):
        fields = dict(zip(columns, row, strict=True))
        number = fields["number"]
        if number != expected:
            found.faults.append(
                f"event {expected} is missing" if number == expected + 1
                else f"events {expected} to {number - 1} are missing")
        if fields["previous"] != previous:
            found.faults.append(f"event {number} does not follow from the one before it")
        if digest_of(fields, fields["previous"]) != fields["digest"]:
            found.faults.append(f"event {number} ({fields['kind']}, {fields['subject']}) was changed after it was made")
        if fields["kind"] not in EVENTS:
            found.faults.append(f"event {number} is of an unknown kind, '{fields['kind']}'")
        if fields["recorded_at"] < last_time:
            found.remarks.append(f"event {number} bears an earlier time than the one before it: a clock went backwards")
        anchor = wanted.pop(number, None)
        if anchor is not None and not fields["digest"].startswith(anchor):
            found.faults.append(f"event {number} is not the one of the anchor {number}:{anchor}: the chain is another")
        previous, expected, last_time = fields["digest"], number + 1, fields["recorded_at"]
        found.events += 1
        if found.events % EVERY == 0:
            progress(found.events)
    found.faults += [f"the chain ends before event {number} of an anchor: its end was cut off" for number in wanted]
    _check_head(found, expected - 1, previous)
    return found


def _check_head(found: Findings, number: int, digest: str) -> None:
    head = Head.objects.get(pk=Head.ONLY)
    if (head.number, head.digest) != (number, digest):
        found.faults.append(
            f"the head says that the chain ends at event {head.number}, and it ends at event {number}")
    found.head = f"{number}:{digest}"


def check_records(
    anchors: Iterable[Anchor] = (), *, tables: bool = True, progress: Progress = lambda _: None
) -> Findings:
    """Check guards, chain and anchors, and, with ``tables``, that the other tables follow from the events."""
    found = check_chain(anchors, progress)
    found.faults += [f"the guard {name} of the events is missing" for name in triggers.missing(connection)]
    if tables and not found.faults:
        found.faults += rebuild.differences()
    return found


def head_anchor() -> Anchor:
    """Return the head of the chain now."""
    head = Head.objects.get(pk=Head.ONLY)
    return Anchor(head.number, head.digest)


