"""A worksheet as it lies at the burette: what each determination asks for, what is kept of it, and the checks first."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from assaywright.assay.asked import WEIGHED, Asked, AskedReading
from assaywright.assay.bench.aimed import aimed_words
from assaywright.assay.bench.blank_questions import asked_of_blank
from assaywright.assay.method import Method
from assaywright.records.bridge import open_by_path
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Confirmed, Determination, Event, KeptReading, Person
from assaywright.records.readings import (
    BLANK,
    MOST_FILLINGS,
    asked_of,
    blank_names,
    blank_texts,
    filling_names,
    reading_texts,
)
from assaywright.records.selectors.assays import cautions_by_strength
from assaywright.records.selectors.bench_checks import Check, checks_of
from assaywright.records.selectors.bench_corrections import corrections, plain_texts
from assaywright.records.selectors.bench_known import found_before, with_limits
from assaywright.records.selectors.bench_live import nominal_content
from assaywright.records.selectors.history import at_the_laboratory

TEMPERATURES = ("sample_temperature", "excess_temperature", "temperature")
TITRATED_BLANKS = ("reagent blank", "indicator blank", "titrated likewise")
SAMPLE = AskedReading("identity", "sample, by its label", "", needed=False)


@dataclass(frozen=True, slots=True)
class FieldAtBench:
    """One field of a determination as the bench page shows it.

    Fields:
        name, words, unit: of the reading.
        needed: without it there is no determination.
        temperature, mass: what kind of reading; temperatures are proposed from the determination before.
        text: as typed last.
        version: of the kept text; 0 where nothing is kept.
        by: who typed it, where somebody did.
        before: what stood there earlier and who typed that.
        corrected: what it was on record before, what it was corrected to and why, in words; empty where it was not.
    """

    name: str
    words: str
    unit: str
    needed: bool
    temperature: bool
    mass: bool
    text: str = ""
    version: int = 0
    by: str = ""
    before: tuple[tuple[str, str], ...] = ()
    corrected: str = ""


@dataclass(frozen=True, slots=True)
class ConfirmedShown:
    """A question that was answered with "it is so".

    Fields:
        question: as it was asked.
        name: of the reading that it was about.
        text: the reading that was confirmed.
        stands: whether that reading stands there still; else the confirming is of a figure that has gone.
    """

    question: str
    name: str
    text: str
    stands: bool


@dataclass(frozen=True, slots=True)
class Place:
    """One determination at the bench.

    Fields:
        number: of the determination.
        excluded: why it does not count.
        version: of the record; 0 while it is not on record.
        fields: in the order in which they are typed.
        late: what was typed after it was on record, and is not in it.
        confirmed: questions that were answered with "it is so".
    """

    number: int
    excluded: str
    version: int
    fields: tuple[FieldAtBench, ...]
    late: tuple[str, ...] = ()
    confirmed: tuple[ConfirmedShown, ...] = ()

    @property
    def finished(self) -> bool:
        """Whether it is on record."""
        return self.version > 0


@dataclass(frozen=True, slots=True)
class BenchShown:
    """What the bench page says of a worksheet.

    Fields:
        planned: determinations that the method asks for.
        weighs: the portion is weighed; ``tared`` on a tared balance, so that there is one mass for each.
        places: determinations on record or begun, and the next one.
        empty: one with nothing typed, from which the page makes further ones.
        checked: who went through the checks and when; empty while nobody has.
        aimed: about how much to weigh next, in words; empty where nothing tells.
        blank: its titrations, under the number 0; None where the method has none, or its volume is stated.
    """

    assay: Assay
    heading: dict[str, Any]
    method_title: str
    cautions: tuple[str, ...]
    procedure: tuple[str, ...]
    planned: int
    weighs: bool
    tared: bool
    places: tuple[Place, ...]
    empty: Place
    checks: tuple[Check, ...]
    checked: str
    blank: Place | None = None
    aimed: str = ""


def bench_shown(assay: Assay) -> BenchShown:
    """Return what the bench page says of a worksheet."""
    method, wanted = method_of(assay.method), asked_of(assay)
    rows = {one.place: one for one in Determination.objects.filter(assay=assay.identity)}
    kept: dict[int, dict[str, KeptReading]] = {}
    for one in KeptReading.objects.filter(assay=assay.identity):
        kept.setdefault(one.place, {})[one.name] = one
    tared = wanted.handling == WEIGHED and _is_tared(rows, kept)
    names = dict(Person.objects.values_list("identity", "name"))
    last = max([*rows, *kept, 0])
    numbers = [*range(1, last + 1)]
    if not numbers or last in rows:
        numbers.append(last + 1)
    were = corrections(assay.identity, wanted)
    places = tuple(_place(assay, number, wanted, rows.get(number), kept.get(number, {}), names, were.get(number, {}))
                   for number in numbers)
    return BenchShown(
        assay, assay.content, method.title, cautions_by_strength(assay, method), method.procedure, method.replicates,
        wanted.handling == WEIGHED, tared, places, Place(0, "", 0, tuple(_fields(wanted, {}, {}, {}))),
        tuple(checks_of(assay, method)), _checked(assay.identity, names),
        _blank(assay, method, wanted, kept.get(BLANK, {}), names), _aimed(assay, method, rows))


def _aimed(assay: Assay, method: Method, rows: dict[int, Determination]) -> str:
    """Return about how much to weigh next, in words."""
    before = [{**row.content, "excluded": row.excluded} for _, row in sorted(rows.items())]
    return aimed_words(method, with_limits(assay.content, assay), before,
                       nominal=nominal_content(assay) or found_before(assay).text, opener=open_by_path)


def _blank(assay: Assay, method: Method, wanted: Asked, kept: dict[str, KeptReading],
           names: dict[str, str]) -> Place | None:
    """Return the blank as it is titrated: like a determination, without a portion."""
    stated = assay.content.get("blank", {})
    if method.blank.kind not in TITRATED_BLANKS or "volume" in stated:
        return None
    texts = blank_texts(assay.content)
    only = _all_of_blank(asked_of_blank(wanted), {*(texts or kept)})
    fields = tuple(_fields(only, texts, {} if texts else kept, names, assay.version if texts else 0, further=False))
    return Place(BLANK, "", assay.version if texts else 0, fields[1:], (), _confirmed(assay, BLANK, fields))


def _all_of_blank(wanted: Asked, names: set[str]) -> Asked:
    """Return what is asked for of a blank with the readings of its further fillings and titrations behind the first."""
    readings = []
    for one in wanted.readings:
        readings.append(one)
        if one.name == "final":
            readings += _further_of_blank(names)
    return replace(wanted, readings=tuple(readings))


def _further_of_blank(names: set[str]) -> Iterator[AskedReading]:
    for number in range(1, MOST_FILLINGS + 1):
        for filling in range(1, MOST_FILLINGS + 1):
            initial, final = blank_names(number, filling)
            if (number, filling) == (1, 1) or not {initial, final} & names:
                continue
            which = f"blank, titration {number}" + (f", filling {filling}" if filling > 1 else "")
            yield AskedReading(initial, f"{which}: initial reading", "mL")
            yield AskedReading(final, f"{which}: final reading", "mL")


def name_of(identity: str) -> str:
    """Return a person's name; what is given where nobody goes by it."""
    row = Person.objects.filter(pk=identity).first()
    return row.name if row is not None else identity


def _is_tared(rows: dict[int, Determination], kept: dict[int, dict[str, KeptReading]]) -> bool:
    """Return whether the portions so far were weighed on a tared balance."""
    texts = [one.content for one in rows.values()] + [
        {name: row.text for name, row in place.items() if row.text} for place in kept.values()]
    return any("net" in one for one in texts)


def _place(assay: Assay, number: int, wanted: Asked, row: Determination | None, kept: dict[str, KeptReading],
           names: dict[str, str], corrected: Mapping[str, str]) -> Place:
    if row is None:
        fields = tuple(_fields(wanted, {}, kept, names))
        return Place(number, "", 0, fields, (), _confirmed(assay, number, fields))
    texts = reading_texts(row.content)
    late = tuple(f"{one.name}: {one.text}, typed by {names.get(one.by, one.by)}, {at_the_laboratory(one.at)}"
                 for one in kept.values() if one.version > row.id and one.text != texts.get(one.name, "").split(" ")[0])
    fields = tuple(replace(one, corrected=corrected.get(one.name, ""))
                   for one in _fields(wanted, texts, {}, names, row.version))
    return Place(number, row.excluded, row.version, fields, late, _confirmed(assay, number, fields))


def _confirmed(assay: Assay, number: int, fields: tuple[FieldAtBench, ...]) -> tuple[ConfirmedShown, ...]:
    """Return the questions that were answered, each with whether the reading stands as it was confirmed."""
    texts = {one.name: one.text for one in fields}
    return tuple(ConfirmedShown(one.question, one.name, one.text,
                                texts.get(one.name, one.text).strip() == one.text.strip())  # of a solution, it stands
                 for one in Confirmed.objects.filter(assay=assay.identity, place=number).order_by("id"))


def on_record(row: Determination) -> dict[str, str]:
    """Return the readings of a determination on record as the bench page shows them, by the names it has for them."""
    return plain_texts(row.content, asked_of(Assay.objects.get(pk=row.assay)))


def _fields(wanted: Asked, texts: dict[str, str], kept: dict[str, KeptReading], names: dict[str, str],
            version: int = 0, *, further: bool = True) -> Iterator[FieldAtBench]:
    for one in (SAMPLE, *(_in_order(wanted, texts, kept) if further else wanted.readings)):
        row = kept.get(one.name)
        plain = FieldAtBench(one.name, one.words, one.unit, one.needed, one.name in TEMPERATURES, one.unit == "g",
                             texts.get(one.name, "").removesuffix(f" {one.unit}"), version)
        if row is None:
            yield plain
            continue
        before = tuple((text, names.get(by, by)) for text, by, *_ in row.content["before"] if text != row.text)
        yield replace(plain, text=row.text, version=row.version, by=names.get(row.by, row.by), before=before)


def _in_order(wanted: Asked, texts: dict[str, str], kept: dict[str, KeptReading]) -> Iterator[AskedReading]:
    """Yield the readings as they are asked for, further fillings after the first, as far as there are any."""
    for one in wanted.readings:
        yield one
        if one.name != "final":
            continue
        for number in range(2, MOST_FILLINGS + 1):
            initial, final = filling_names(number)
            if not {initial, final} & {*texts, *kept}:
                break
            yield AskedReading(initial, f"burette, filling {number}: initial reading", "mL")
            if any(other.name == "first" for other in wanted.readings) and not (
                    texts.get("first") or ("first" in kept and kept["first"].text)):
                yield AskedReading(f"first {number}", f"burette, filling {number}: at the first endpoint", "mL",
                                   needed=False)
            yield AskedReading(final, f"burette, filling {number}: final reading", "mL")


def _checked(identity: str, names: dict[str, str]) -> str:
    event = Event.objects.filter(subject=identity, kind="bench.checked").order_by("number").last()
    if event is None:
        return ""
    said, who = json.loads(event.payload), names.get(event.by, event.by)
    when = at_the_laboratory(event.recorded_at)
    if not said.get("from_paper"):
        return f"{who}, {when}"
    return f"{names.get(said['titrated_by'], said['titrated_by'])}, on paper; typed in by {who}, {when}"


def typed_at_bench(identity: str) -> list[tuple[str, str]]:
    """Return every text that was kept of a worksheet at the bench: when and by whom, and what, in order."""
    names = dict(Person.objects.values_list("identity", "name"))
    found = []
    for event in Event.objects.filter(subject=identity, kind="reading.kept").order_by("number"):
        said = json.loads(event.payload)
        what = f"determination {said['place']}, {said['name'].replace('_', ' ')}: {said['text'] or '(emptied)'}"
        if said.get("from_paper"):
            what += f", from paper, titrated by {names.get(said['titrated_by'], said['titrated_by'])}"
            what += f" on {said['titrated_on']}" if said.get("titrated_on") else ""
        found.append((f"{at_the_laboratory(event.recorded_at)}, {names.get(event.by, event.by)}", what))
    return found
