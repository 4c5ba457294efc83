"""What was typed at the bench and is in no determination: begun and not finished, or typed after it was on record."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from assaywright.metrology.remarks import Remark, Severity
from assaywright.records.models import Assay, Confirmed, Determination, Event, KeptReading, Person
from assaywright.records.models.assays import IN_REVIEW, REVIEWED
from assaywright.records.readings import BLANK, blank_texts, reading_texts
from assaywright.records.selectors.history import at_the_laboratory

LEFT = "left-at-the-bench"
MINUTE = len("2026-11-30 14:47")
BEGUN, LATE = "was begun and not finished", "is on record, and something else was typed afterwards"


@dataclass(frozen=True, slots=True)
class LeftReading:
    """A reading that was kept and never went on record: its name in words, its text, by whom, when."""

    words: str
    text: str
    by: str
    at: str


@dataclass(frozen=True, slots=True)
class LeftPlace:
    """What is left of one determination, or of the blank.

    Fields:
        place: number of the determination; 0 for the blank.
        state: that it was begun and not finished, or is on record and something else was typed afterwards.
        readings: that are not on record.
        confirmed: questions about them that were answered with "it is so", and by whom.
    """

    place: int
    state: str
    readings: tuple[LeftReading, ...]
    confirmed: tuple[str, ...]

    @property
    def opening(self) -> str:
        """Which determination, and what became of it."""
        return f"{f'determination {self.place}' if self.place != BLANK else 'the blank'} {self.state}"

    @property
    def said(self) -> str:
        """What is left, in one clause."""
        return f"{self.opening}: {', '.join(f'{one.words} {one.text}' for one in self.readings)}"


def left_at_bench(assay: Assay) -> tuple[LeftPlace, ...]:
    """Return what was typed of a worksheet at the bench and is not on record, by determination."""
    kept: dict[int, list[KeptReading]] = {}
    for row in KeptReading.objects.filter(assay=assay.identity).exclude(text="").order_by("place", "id"):
        kept.setdefault(row.place, []).append(row)
    if not kept:
        return ()
    rows = {one.place: one for one in Determination.objects.filter(assay=assay.identity)}
    names = dict(Person.objects.values_list("identity", "name"))
    found = []
    for place, readings in kept.items():
        texts, since = _on_record(rows.get(place)) if place != BLANK else _blank_on_record(assay)
        left = _differing(readings, texts, since) if since else readings
        if left and not _only_proposed(left):
            found.append(LeftPlace(place, LATE if since else BEGUN, tuple(_told(one, names) for one in left),
                                   _confirmed(assay.identity, place, left, names)))
    return tuple(found)


def left_remarks(assay: Assay) -> tuple[Remark, ...]:
    """Return a question for each determination of which something was left at the bench, once it is sent to review."""
    if assay.stage not in (IN_REVIEW, REVIEWED):
        return ()
    return tuple(Remark(LEFT, Severity.QUESTION, one.said, assay.path,
                        "ask who typed it what became of it; nothing of it counts in the result")
                 for one in left_at_bench(assay))


def _on_record(row: Determination | None) -> tuple[Mapping[str, str], int]:
    """Return the texts of a determination and the event that put it on record; 0 where it is not."""
    return ({}, 0) if row is None else (reading_texts(row.content), row.id)


def _blank_on_record(assay: Assay) -> tuple[Mapping[str, str], int]:
    """Return the texts of the blank in the heading and the event that put it there last; 0 where none is titrated."""
    texts = blank_texts(assay.content)
    if not texts:
        return {}, 0
    since, before = 1, None
    for event in Event.objects.filter(subject=assay.identity, kind="assay.amended").order_by("number"):
        blank = json.loads(event.payload)["heading"].get("blank")
        since, before = (event.number, blank) if blank != before else (since, before)
    return texts, since


def _differing(readings: list[KeptReading], texts: Mapping[str, str], since: int) -> list[KeptReading]:
    """Return what was typed after something went on record, and reads otherwise there."""
    return [one for one in readings if one.version > since and not _says(texts.get(one.name, ""), one.text)]


def _says(on_record: str, typed: str) -> bool:
    """Return whether a text on record is what was typed, with its unit or with a note put behind it."""
    return on_record == typed.strip() or on_record.startswith((f"{typed.strip()} ", f"{typed.strip()};"))


def _only_proposed(left: list[KeptReading]) -> bool:
    """Return whether nobody typed anything: all of it was proposed from the determination before."""
    events = Event.objects.filter(number__in=[one.version for one in left])
    return all(json.loads(one.payload).get("carried") for one in events)


def _told(row: KeptReading, names: Mapping[str, str]) -> LeftReading:
    return LeftReading(row.name.replace("_", " "), row.text, names.get(row.by, row.by),
                       at_the_laboratory(row.at)[:MINUTE])


def _confirmed(identity: str, place: int, left: list[KeptReading], names: Mapping[str, str]) -> tuple[str, ...]:
    about = {(one.name, one.text) for one in left}
    return tuple(f"{one.question} Confirmed by {names.get(one.by, one.by)}, {at_the_laboratory(one.at)[:MINUTE]}."
                 for one in Confirmed.objects.filter(assay=identity, place=place).order_by("id")
                 if (one.name, one.text) in about)


def left_payload(assay: Assay) -> dict[str, Any]:
    """Return what the event that sends a worksheet to review says of what was left; nothing where nothing was."""
    left = left_at_bench(assay)
    return {"left_at_bench": [one.said for one in left]} if left else {}
