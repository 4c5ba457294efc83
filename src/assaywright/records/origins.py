"""Where the readings of a determination come from: read at the burette, or typed in from the printed sheet."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from assaywright.assay.bench.asking import Question
from assaywright.records.beginnings import DAY, beginnings
from assaywright.records.models import Assay, Determination, Event, KeptReading, Person
from assaywright.records.readings import BLANK, blank_texts
from assaywright.records.toml_text import day_text

MIXED_ORIGIN = "mixed-origin"
PAPER_DAY = "paper-day"
ENDPOINTS = ("final", "titrant_gross", "titrant_net", "volume")
ALIKE = "mend the tick or the day above and take all readings so, or confirm it"


@dataclass(frozen=True, slots=True)
class Origin:
    """Where one reading comes from.

    Fields:
        name: of the reading, as the page has it.
        event: that keeps it as it stands.
        from_paper: it stood on the printed sheet first.
        titrated_by, titrated_on: who wrote it there and on which day, as far as that is told; else who typed it.
        proposed: nobody typed it: a temperature, say, left as in the determination before.
    """

    name: str
    event: Event
    from_paper: bool
    titrated_by: str
    titrated_on: str
    proposed: bool

    @property
    def alike(self) -> tuple[str, str]:
        """What readings of one origin have in common; nothing is asked about who typed them at the burette."""
        return (self.titrated_by, self.titrated_on) if self.from_paper else ("", "")

    @property
    def is_endpoint(self) -> bool:
        """Whether it is a reading with which a titration ends."""
        return self.name.split(" ", maxsplit=1)[0] in ENDPOINTS


def origins(identity: str, place: int) -> tuple[Origin, ...]:
    """Return where each kept reading of a determination comes from, in the order in which they were typed."""
    kept = dict(KeptReading.objects.filter(assay=identity, place=place).exclude(text="").values_list("version", "name"))
    events = Event.objects.filter(number__in=kept).order_by("number")
    return tuple(_origin(event, kept[event.number]) for event in events)


def _origin(event: Event, name: str) -> Origin:
    said = json.loads(event.payload)
    return Origin(name, event, bool(said.get("from_paper")), said.get("titrated_by", event.by),
                  said.get("titrated_on", ""), bool(said.get("carried")))


def typed(found: tuple[Origin, ...]) -> tuple[Origin, ...]:
    """Return the origins of what was typed; of all, where all was proposed."""
    return tuple(one for one in found if not one.proposed) or found


def is_mixed(found: tuple[Origin, ...]) -> bool:
    """Return whether some readings stood on paper and others did not, or on different sheets."""
    return len({one.alike for one in typed(found)}) > 1


def origin_questions(assay: Assay, place: int) -> Iterator[Question]:
    """Yield what is asked about where readings come from, until they are on record.

    Arguments:
        place: number of the determination; 0 for the blank.
    """
    found = typed(origins(assay.identity, place))
    if not any(one.from_paper for one in found) or _is_on_record(assay, place):
        return
    after = [one for one in beginnings(assay) if place != BLANK or not one.of_sample]
    early = [one for one in found if one.from_paper and one.titrated_on
             and any(one.titrated_on < other.day for other in after)]
    if early:
        last = max(early, key=lambda one: one.is_endpoint)
        *others, latest = [f"{one.what} on {one.day}" for one in after if last.titrated_on < one.day]
        what = f"{', '.join(others)} and {latest}" if others else latest
        yield Question(last.name, PAPER_DAY, f"The sheet is said to be of {last.titrated_on}; {what}.", ALIKE)
    if is_mixed(found):
        odd = [one for one in found if one.alike != found[0].alike]
        yield Question(odd[-1].name, MIXED_ORIGIN, f"{_listed(found)}.", ALIKE)


def day_of_work(assay: Assay, place: int, today: date, sheet: str | None = None) -> date | None:
    """Return the day on which a determination is titrated: that on record, that of its sheet, else today.

    Arguments:
        place: number of the determination; 0 for the blank.
        today: the laboratory's day.
        sheet: the day said of the printed sheet that is being typed in, year-month-day or not typed yet; None where
            none is. What is kept of a determination tells the day of its sheet, too.

    Returns: None while the day of a sheet is not said, or where it has not come
    """
    if _is_on_record(assay, place):
        row = Determination.objects.filter(assay=assay.identity, place=place).first()
        content = assay.content.get("blank", {}) if row is None else row.content
        sheet = day_text(content.get("at")) or assay.performed
    elif sheet is None:
        found = typed(origins(assay.identity, place))
        last = max(found, key=lambda one: (one.is_endpoint, one.event.number), default=None)
        sheet = last.titrated_on if last is not None and last.from_paper else today.isoformat()
    try:
        day = date.fromisoformat(sheet[:DAY])
    except ValueError:
        return None
    return day if day <= today else None


def _is_on_record(assay: Assay, place: int) -> bool:
    if place == BLANK:
        return bool(blank_texts(assay.content))
    return Determination.objects.filter(assay=assay.identity, place=place).exists()


def _listed(found: tuple[Origin, ...]) -> str:
    """Return which readings come from where, in words."""
    names = dict(Person.objects.values_list("identity", "name"))
    groups: dict[tuple[str, str], list[Origin]] = {}
    for one in found:
        groups.setdefault(one.alike, []).append(one)
    told = "; ".join(f"{', '.join(one.name.replace('_', ' ') for one in group)} {told_origin(group[0], names)}"
                     for group in groups.values())
    return told[0].upper() + told[1:]


def told_origin(one: Origin, names: dict[str, str]) -> str:
    """Return where a reading comes from, in words."""
    if not one.from_paper:
        return "read at the burette"
    on = f" of {one.titrated_on}" if one.titrated_on else ""
    return f"from paper{on} by {names.get(one.titrated_by, one.titrated_by)}"
