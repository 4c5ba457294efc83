"""At the bench: every field kept the moment it is left, checks gone through, questions answered, determinations made.

A field that is kept is an event of its own. Whoever types the same field meanwhile loses nothing: both texts are on
record, the later one stands, and the answer says whose text stood there before.
"""

import json
from dataclasses import dataclass
from typing import Any

from assaywright.actions.assays import check_determination, open_assay
from assaywright.actions.equipment import WORKERS
from assaywright.actions.from_paper import origin, with_origin
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.records.checks_left_out import is_checked
from assaywright.records.days import today
from assaywright.records.log import append
from assaywright.records.models import Assay, Confirmed, Determination, Event, KeptReading
from assaywright.records.origins import MIXED_ORIGIN, PAPER_DAY, day_of_work, origin_questions
from assaywright.records.readings import BLANK, MOST_PLACES, SAME_READINGS, asked_of, determination_of
from assaywright.records.same_readings import place_of_same
from assaywright.records.selectors.bench_differing import contested, is_late
from assaywright.records.selectors.bench_live import open_questions

LONGEST_TEXT = 4000
LONGEST_NAME = 60
OF_ORIGIN = (MIXED_ORIGIN, PAPER_DAY)


class Unanswered(Refusal):
    """Readings that nobody was asked about while they were typed, and that there is something to ask of."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of a field.

    Fields:
        event: that keeps it.
        other: the text that stood there and that the page did not know, or empty.
        other_by: who typed that.
        yields: that text stands, since this one was only proposed; no event was added.
        late: that text stands, since it was typed later, by another person; which of the two is right is to be said.
    """

    event: Event
    other: str = ""
    other_by: str = ""
    yields: bool = False
    late: bool = False


@repeatable
def bench_check(
    *, identity: str, checks: list[str], by: str, from_paper: bool = False, titrated_by: str = "",
    titrated_on: str = "", act: str = "",
) -> Event:
    """Record that somebody went through the checks before the titrations.

    Arguments:
        from_paper: they were ticked on the printed sheet, by ``titrated_by``; by ``by`` where that is empty.
        titrated_on: day on which they were, year-month-day; empty where that is not told.

    Raises:
        Refusal: no such worksheet open, no checks, nobody goes by ``titrated_by``, the day has not come, or ``by`` may
            not.
    """
    demand(by, *WORKERS)
    open_assay(identity)
    if not checks:
        raise Refusal("no check is named", where=identity, remedy="reload the page")
    return append("bench.checked", subject=identity, by=by, act=act, payload={
        "checks": checks,
        **origin(from_paper=from_paper, titrated_by=titrated_by, by=by, titrated_on=titrated_on)})


def reading_keep(
    *, identity: str, place: int, name: str, text: str, by: str, seen: int = 0, typed_at: str = "",
    carried: bool = False, from_paper: bool = False, titrated_by: str = "", titrated_on: str = "", act: str = "",
) -> Kept:
    """Keep one field of one determination as it was left.

    Arguments:
        place: number of the determination.
        name: of the reading, as the method asks for it; "initial 2", "final 2" … of further fillings; "note".
        seen: version of the field that the page knew; 0 where it knew none.
        typed_at: moment by the browser's clock, kept for what it is worth.
        carried: the text was proposed from the determination before, and left as it stood.
        from_paper: it was written on the printed sheet first, by ``titrated_by``; by ``by`` where that is empty.
        titrated_on: day on which it was, year-month-day; empty where that is not told.

    Raises:
        Refusal: no such worksheet or field, nobody goes by ``titrated_by``, the day has not come, the worksheet is in
            review or reviewed, or ``by`` may not.
    """
    demand(by, *WORKERS)
    there = Event.objects.filter(act=act, by=by).first() if act else None
    if there is None:  # else sent once more, since the answer was lost
        open_assay(identity)
        _check_field(place, name, text)
        if carried and (typed := _typed_meanwhile(identity, place, name, seen)) is not None:
            return Kept(Event.objects.get(pk=typed.version), typed.text, typed.by, yields=True)
    late = is_late(identity, place, name, text, by, seen, typed_at) if there is None else bool(
        json.loads(there.payload).get("late"))
    event = append("reading.kept", subject=identity, by=by, act=act, payload={
        "place": place, "name": name, "text": text, "seen": seen, "typed_at": typed_at, "carried": carried,
        **({"late": True} if late else {}),
        **origin(from_paper=from_paper, titrated_by=titrated_by, by=by, titrated_on=titrated_on)})
    if late:
        row = KeptReading.objects.get(assay=identity, place=place, name=name)
        return Kept(event, row.text, row.by, late=True)
    return Kept(event, *_stood_there(identity, place, name, event.number, seen, text))


def _typed_meanwhile(identity: str, place: int, name: str, seen: int) -> KeptReading | None:
    """Return what somebody typed into a field that a page only proposed a text for: a proposal yields to it."""
    found = KeptReading.objects.filter(assay=identity, place=place, name=name).exclude(text="").first()
    return found if found is not None and found.version != seen else None


def _stood_there(identity: str, place: int, name: str, number: int, seen: int, text: str) -> tuple[str, str]:
    """Return the other text that stood in a field before an event, and who typed it, where the page did not know it."""
    row = KeptReading.objects.get(assay=identity, place=place, name=name)
    earlier = [one for one in row.content["before"] if one[3] < number]
    if not earlier or earlier[-1][3] == seen or earlier[-1][0] == text:
        return "", ""
    return earlier[-1][0], earlier[-1][1]


@repeatable
def question_confirm(
    *, identity: str, place: int, name: str, text: str, code: str, question: str, by: str, act: str = ""
) -> Event:
    """Record that somebody was asked about a reading and answered that it is so.

    Raises:
        Refusal: no such worksheet open, or ``by`` may not.
    """
    demand(by, *WORKERS)
    open_assay(identity)
    _check_field(place, name, text)
    return append("question.confirmed", subject=identity, by=by, act=act, payload={
        "place": place, "name": name, "text": text, "code": needed(code, "what was asked", "question")[:60],
        "question": needed(question, "the question", "question")[:LONGEST_TEXT]})


@repeatable
def determination_finish(*, identity: str, place: int, by: str, act: str = "", looked: bool = True) -> Event:
    """Make a determination of what is kept of it, once everything that is needed is there.

    Arguments:
        looked: the page had its readings asked about just as they stand; where it had not, since the server was away,
            they are asked about here, and what is open is to be answered first.

    Raises:
        Unanswered: a question about a reading is open, and nobody has looked.
        Refusal: something is missing, a reading cannot be, another one is on record under its number, or ``by`` may
            not. Readings that another determination has as well are asked about, and refused by nobody: where nobody
            answered, the event says so, and the reviewer sees it.
    """
    demand(by, *WORKERS)
    assay = open_assay(identity)
    fields = with_origin(assay, place, kept_fields(assay, place))
    there = Determination.objects.filter(assay=identity, place=place).first()
    if there is not None:
        if there.content == fields:
            return Event.objects.get(pk=there.id)  # finished in another tab
        raise Refusal(f"determination {place} is on record already", where=identity,
                      remedy="correct it with a reason, or enter this one under the next number")
    check_determination(assay, fields, place)
    demand_settled(assay, place)
    demand_answers(assay, place, OF_ORIGIN if looked else ())
    confirmed = [f"{one.name}: {one.question}" for one in Confirmed.objects.filter(assay=identity, place=place)]
    kept = KeptReading.objects.filter(assay=identity, place=place).order_by("version")
    return append("determination.recorded", subject=identity, by=by, act=act, payload={
        "place": place, "fields": fields, "kept": [one.version for one in kept],
        **({"confirmed": confirmed} if confirmed else {}), **({} if is_checked(identity) else {"unchecked": True}),
        **_same_as_another(assay, place, fields)})


def _same_as_another(assay: Assay, place: int, fields: dict[str, Any]) -> dict[str, Any]:
    """Return what the event says of another determination with the same readings: confirmed as its own, or not."""
    same = place_of_same(assay, fields, place)
    if same is None:
        return {}
    texts = kept_texts(assay.identity, place)
    answered = Confirmed.objects.filter(assay=assay.identity, place=place, code=SAME_READINGS)
    if any(_plain(texts.get(one.name, "")) == _plain(one.text) for one in answered):
        return {"own_readings": True}
    return {"same_as": same}


def demand_settled(assay: Assay, place: int) -> None:
    """Refuse to put readings on record of which a late one, typed earlier by another person, was not decided upon.

    Raises:
        Unanswered: naming both.
    """
    for one in contested(assay.identity, place):
        raise Unanswered(f"{one.late_by} typed {one.late or 'nothing'}, which came in late, and {one.by} "
                         f"{one.text or 'nothing'}", where=f"{_named(place)}, {_reading(one.name)}",
                         remedy="say which stands, beside the reading")


def demand_answers(assay: Assay, place: int, codes: tuple[str, ...] = ()) -> None:
    """Refuse to put readings on record that nobody was asked about, as long as there is something to ask.

    Arguments:
        codes: of the questions that are open to be asked here; all where none is named.

    Raises:
        Unanswered: a question about what is kept at this place is open.
    """
    texts = {name: text for name, text in kept_texts(assay.identity, place).items() if text.strip()}
    if codes and not any(origin_questions(assay, place)):
        return
    day = day_of_work(assay, place, today())
    found = [one for one in open_questions(assay, texts, place, day) if not codes or one.code in codes]
    if not found:
        return
    one = next((question for question in found if question.impossible), found[0])
    why = "" if codes else "typed while the server was away; "
    what = "this cannot be" if one.impossible else f"{why}is it so?"
    said = one.sentence.rstrip(".")
    raise Unanswered(f"{what}{':' if one.impossible else ''} {said}", where=f"{_named(place)}, {_reading(one.name)}",
                     remedy=one.remedy if one.impossible else "confirm it beside the reading or type it again")


def _named(place: int) -> str:
    return f"determination {place}" if place > BLANK else "blank"


def _reading(name: str) -> str:
    return name.replace("_", " ")


def _plain(text: str) -> str:
    """Return a figure as it is kept, with whichever mark it was typed."""
    return text.strip().replace(",", ".")


def kept_fields(assay: Assay, place: int) -> dict[str, Any]:
    """Return what is kept of a determination, as a worksheet holds it."""
    return determination_of(asked_of(assay), assay.content, kept_texts(assay.identity, place))


def kept_texts(identity: str, place: int) -> dict[str, str]:
    """Return what is kept of a determination, text by name."""
    return dict(KeptReading.objects.filter(assay=identity, place=place).values_list("name", "text"))


def _check_field(place: int, name: str, text: str) -> None:
    """Refuse what no page sends: a field that no method has, a text of a length that nobody types."""
    if not BLANK <= place <= MOST_PLACES:
        raise Refusal(f"there is no determination {place}", where="determination", remedy="reload the page")
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise Refusal("no field is named", where=f"determination {place}", remedy="reload the page")
    if len(text) > LONGEST_TEXT:
        raise Refusal(f"more than {LONGEST_TEXT} characters stand in one field", where=f"determination {place}, {name}",
                      remedy="keep the long text in a file, and attach that")
