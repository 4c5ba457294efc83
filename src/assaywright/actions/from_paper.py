"""Readings that stood on paper first: who titrated them, who typed them, and that it is said wherever they go."""

import json
from typing import Any

from assaywright.actions.reasons import past_day
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Assay, Event, KeptReading, Person
from assaywright.records.selectors.history import at_the_laboratory

DAY = len("2026-11-30")


def origin(*, from_paper: bool, titrated_by: str, by: str, titrated_on: str = "") -> dict[str, Any]:
    """Return what the event says of where a reading, or a tick, came from; nothing where it was made at the burette.

    Arguments:
        from_paper: it was written on the printed sheet first.
        titrated_by: who wrote it there, by the name to sign in with; whoever types where it is empty.
        by: who types.
        titrated_on: day on which it was written there, year-month-day; empty where that is not told.

    Raises:
        Refusal: nobody goes by that name, or the day is none or has not come.
    """
    if not from_paper:
        return {}
    titrated_by = titrated_by or by
    if not Person.objects.filter(pk=titrated_by).exists():
        raise Refusal(f"nobody here goes by “{titrated_by[:60]}”", where="titrated by",
                      remedy="choose who wrote the readings on paper")
    on = {"titrated_on": past_day(titrated_on, "titrated on")} if titrated_on.strip() else {}
    return {"from_paper": True, "titrated_by": titrated_by, **on}


def with_origin(assay: Assay, place: int, fields: dict[str, Any]) -> dict[str, Any]:
    """Return a determination with its analyst and its day where they are not the worksheet's, and a note of the paper.

    All of it follows from what is kept, so that whoever puts it on record makes the same determination of it.

    Arguments:
        assay: the worksheet.
        place: number of the determination.
        fields: of the determination, of what is kept.
    """
    numbers = KeptReading.objects.filter(assay=assay.identity, place=place).exclude(text="").values_list("version")
    events = [(one, json.loads(one.payload)) for one in Event.objects.filter(number__in=numbers).order_by("number")]
    if not events:
        return fields
    names = dict(Person.objects.values_list("identity", "name"))
    last, said = next(((one, told) for one, told in reversed(events) if told.get("from_paper")), events[-1])
    analyst = names.get(said.get("titrated_by", last.by), last.by)
    found = {**fields}
    if analyst.casefold() != assay.analyst.casefold():
        found["analyst"] = analyst
    if said.get("titrated_on", assay.performed[:DAY]) != assay.performed[:DAY]:
        found["at"] = said["titrated_on"]
    if said.get("from_paper"):
        typed = f"typed from paper by {names.get(last.by, last.by)}, {at_the_laboratory(last.recorded_at)[:DAY]}"
        found["note"] = "; ".join(filter(None, [str(fields.get("note", "")), typed]))
    return found
