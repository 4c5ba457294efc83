"""What was typed at the bench and is in no determination: begun and not finished, or typed after it was on record."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace

from assaywright.assay.asked import WEIGHED, Asked
from assaywright.metrology.remarks import Remark, Severity
from assaywright.records.models import Assay, Confirmed, Determination, Event, KeptReading, Person
from assaywright.records.models.assays import IN_REVIEW, REVIEWED
from assaywright.records.readings import BLANK, asked_of, blank_texts, determination_of, reading_texts
from assaywright.records.same_readings import place_of_same
from assaywright.records.selectors.history import at_the_laboratory
from assaywright.records.set_aside import named, set_aside

LEFT = "left-at-the-bench"
MINUTE = len("2026-11-30 14:47")
BEGUN, LATE = "was begun and not finished", "is on record, and something else was typed afterwards"
WHOLE = "holds all its readings and is not on record"
EMPTIED = "held all its readings until some were emptied, and is not on record"
LATE_WHOLE = "is on record, and all its readings were typed once more, otherwise, afterwards"


@dataclass(frozen=True, slots=True)
class LeftReading:
    """A reading that was kept and never went on record: its name in words, its text, by whom, when.

    Fields:
        text: as it stands now; empty where it was emptied.
        before: what was typed there earlier, each with who typed it and when, the first one first.
        typed: the last text that was not empty.
    """

    words: str
    text: str
    by: str
    at: str
    before: tuple[str, ...] = ()
    name: str = ""
    typed: str = ""


@dataclass(frozen=True, slots=True)
class LeftPlace:
    """What is left of one determination, or of the blank.

    Fields:
        place: number of the determination; 0 for the blank.
        state: that it was begun and not finished, or is on record and something else was typed afterwards.
        readings: that are not on record.
        confirmed: questions about them that were answered with "it is so", and by whom.
        whole: all readings that a determination needs were typed: it goes on record, or is set aside with a reason.
        reason, by: why it was set aside when the worksheet was sent, and the number of the person who said so; empty
            while nobody has, or where something was typed since.
        by_name: the same person's name.
    """

    place: int
    state: str
    readings: tuple[LeftReading, ...]
    confirmed: tuple[str, ...]
    whole: bool = False
    reason: str = ""
    by: str = ""
    by_name: str = ""

    @property
    def named(self) -> str:
        """The determination in words."""
        return named(self.place)

    @property
    def opening(self) -> str:
        """Which determination, and what became of it."""
        return f"{self.named} {self.state}"

    @property
    def said(self) -> str:
        """What is left, in one clause."""
        typed = ", ".join(f"{one.words} {one.text or f'{one.typed} (emptied)'}" for one in self.readings)
        return f"{self.opening}: {typed}"


def left_at_bench(assay: Assay) -> tuple[LeftPlace, ...]:
    """Return what was typed of a worksheet at the bench and is not on record, by determination."""
    kept: dict[int, list[KeptReading]] = {}
    for row in KeptReading.objects.filter(assay=assay.identity).order_by("place", "id"):
        kept.setdefault(row.place, []).append(row)
    if not kept:
        return ()
    rows = {one.place: one for one in Determination.objects.filter(assay=assay.identity)}
    names, wanted, aside = dict(Person.objects.values_list("identity", "name")), asked_of(assay), None
    found = []
    for place, readings in kept.items():
        texts, since = _on_record(rows.get(place)) if place != BLANK else blank_on_record(assay)
        one = _left(assay, place, readings, (texts, since), wanted, names)
        if one is None:
            continue
        aside = set_aside(assay.identity) if aside is None else aside
        said = aside.get(place)
        if said and all(row.version < said.event for row in readings):
            one = replace(one, reason=said.reason, by=said.by, by_name=names.get(said.by, said.by))
        found.append(one)
    return tuple(found)


def _left(assay: Assay, place: int, readings: list[KeptReading], record: tuple[Mapping[str, str], int], wanted: Asked,
          names: Mapping[str, str]) -> LeftPlace | None:
    """Return what is left of one determination; None where all of it is on record or was only proposed."""
    texts, since = record
    typed = [one for one in readings if one.version > since and _last_typed(one)]
    standing = [one for one in typed if one.text]
    whole = _is_whole(wanted, {one.name: _last_typed(one) for one in typed}, place)
    left = _differing(standing, texts) if since else standing
    if whole and not since:
        if not standing and _moved(assay, wanted, typed, place):
            return None
        left, state = typed, WHOLE if _is_whole(wanted, {one.name: one.text for one in typed}, place) else EMPTIED
    elif since:
        state = LATE_WHOLE if whole else LATE
    else:
        state = BEGUN
    if not left or _only_proposed(left):
        return None
    return LeftPlace(place, state, tuple(_told(one, names) for one in left),
                     _confirmed(assay.identity, place, left, names), whole)


def _is_whole(wanted: Asked, texts: Mapping[str, str], place: int) -> bool:
    """Return whether all is typed that a determination needs; of the blank, its two readings."""
    if place == BLANK:
        return all(texts.get(name) for name in ("initial", "final"))
    weighed = wanted.handling != WEIGHED or bool(texts.get("net") or (texts.get("gross") and texts.get("tare")))
    return weighed and all(texts.get(one.name) or any(texts[name] for name in texts if name.startswith(f"{one.name} "))
                           for one in wanted.readings if one.needed)


def _last_typed(row: KeptReading) -> str:
    """Return the text of a field, and where it was emptied the last one before."""
    return row.text or next((one[0] for one in reversed(row.content["before"]) if one[0]), "")


def _moved(assay: Assay, wanted: Asked, typed: list[KeptReading], place: int) -> bool:
    """Return whether what was emptied is on record under another number."""
    texts = {one.name: _last_typed(one) for one in typed}
    return place_of_same(assay, determination_of(wanted, assay.content, texts), place) is not None


def left_remarks(assay: Assay) -> tuple[Remark, ...]:
    """Return a question for each determination of which something was left at the bench, once it is sent to review."""
    if assay.stage not in (IN_REVIEW, REVIEWED):
        return ()
    return tuple(Remark(LEFT, Severity.QUESTION, one.said, assay.path,
                        "ask who typed it what became of it; nothing of it counts in the result")
                 for one in left_at_bench(assay) if not (one.whole and one.reason))


def _on_record(row: Determination | None) -> tuple[Mapping[str, str], int]:
    """Return the texts of a determination and the event that put it on record; 0 where it is not."""
    return ({}, 0) if row is None else (reading_texts(row.content), row.id)


def blank_on_record(assay: Assay) -> tuple[Mapping[str, str], int]:
    """Return the texts of the blank in the heading and the event that put it there last; 0 where none is titrated."""
    texts = blank_texts(assay.content)
    if not texts:
        return {}, 0
    since, before = 1, None
    for event in Event.objects.filter(subject=assay.identity, kind="assay.amended").order_by("number"):
        blank = json.loads(event.payload)["heading"].get("blank")
        since, before = (event.number, blank) if blank != before else (since, before)
    return texts, since


def _differing(readings: list[KeptReading], texts: Mapping[str, str]) -> list[KeptReading]:
    """Return what reads otherwise on record."""
    return [one for one in readings if not _says(texts.get(one.name, ""), one.text)]


def _says(on_record: str, typed: str) -> bool:
    """Return whether a text on record is what was typed, with its unit or with a note put behind it."""
    return on_record == typed.strip() or on_record.startswith((f"{typed.strip()} ", f"{typed.strip()};"))


def _only_proposed(left: list[KeptReading]) -> bool:
    """Return whether nobody typed anything: all of it was proposed from the determination before."""
    events = Event.objects.filter(number__in=[one.version for one in left])
    return all(json.loads(one.payload).get("carried") for one in events)


def _told(row: KeptReading, names: Mapping[str, str]) -> LeftReading:
    earlier = tuple(f"{text or '(emptied)'}, {names.get(by, by)}, {at_the_laboratory(at)[:MINUTE]}"
                    for text, by, at, *_ in row.content["before"])
    return LeftReading(row.name.replace("_", " "), row.text, names.get(row.by, row.by),
                       at_the_laboratory(row.at)[:MINUTE], earlier, row.name, _last_typed(row))


def _confirmed(identity: str, place: int, left: list[KeptReading], names: Mapping[str, str]) -> tuple[str, ...]:
    about = {(one.name, _last_typed(one)) for one in left}
    return tuple(f"{one.question} Confirmed by {names.get(one.by, one.by)}, {at_the_laboratory(one.at)[:MINUTE]}."
                 for one in Confirmed.objects.filter(assay=identity, place=place).order_by("id")
                 if (one.name, one.text) in about)
