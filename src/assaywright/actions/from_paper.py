"""Readings that stood on paper first: who titrated them, who typed them, and that it is said wherever they go."""

from typing import Any

from assaywright.actions.reasons import past_day
from assaywright.metrology.refusal import Refusal
from assaywright.records.beginnings import DAY
from assaywright.records.models import Assay, Person
from assaywright.records.origins import Origin, is_mixed, origins, told_origin, typed
from assaywright.records.selectors.history import at_the_laboratory


def origin(*, from_paper: bool, titrated_by: str, by: str, titrated_on: str = "") -> dict[str, Any]:
    """Return what the event says of where a reading, or a tick, came from; nothing where it was made at the burette.

    Arguments:
        from_paper: it was written on the printed sheet first.
        titrated_by: who wrote it there, by the name to sign in with; whoever types where it is empty.
        by: who types.
        titrated_on: day on which it was written there, year-month-day.

    Raises:
        Refusal: nobody goes by that name, or the day is not stated, is none or has not come.
    """
    if not from_paper:
        return {}
    titrated_by = titrated_by or by
    if not Person.objects.filter(pk=titrated_by).exists():
        raise Refusal(f"nobody here goes by “{titrated_by[:60]}”", where="titrated by",
                      remedy="choose who wrote the readings on paper")
    if not titrated_on.strip():
        raise Refusal("no day is stated for what stood on paper", where="titrated on",
                      remedy="enter the day that stands on the sheet")
    return {"from_paper": True, "titrated_by": titrated_by, "titrated_on": past_day(titrated_on, "titrated on")}


def with_origin(assay: Assay, place: int, fields: dict[str, Any]) -> dict[str, Any]:
    """Return a determination, or the blank, with its analyst and its day where they are not the worksheet's.

    A note tells of the paper. It is of the paper alone where all that was typed stood there; where some did, the note
    says which, and analyst and day are those of the endpoint. All of it follows from what is kept, so that whoever puts
    it on record makes the same of it.

    Arguments:
        assay: the worksheet.
        place: number of the determination; 0 for the blank.
        fields: of either, of what is kept.
    """
    kept = origins(assay.identity, place)
    if not kept:
        return fields
    names = dict(Person.objects.values_list("identity", "name"))
    last = max(typed(kept), key=lambda one: (one.is_endpoint, one.event.number))
    analyst = names.get(last.titrated_by, last.titrated_by)
    found = {**fields}
    if analyst.casefold() != assay.analyst.casefold():
        found["analyst"] = analyst
    if last.titrated_on and last.titrated_on != assay.performed[:DAY]:
        found["at"] = last.titrated_on
    if paper := [one for one in typed(kept) if one.from_paper]:
        found["note"] = "; ".join(filter(None, [str(fields.get("note", "")), _from_paper(paper, kept, names)]))
    return found


def _from_paper(paper: list[Origin], kept: tuple[Origin, ...], names: dict[str, str]) -> str:
    """Return the note of what was typed from paper: all of it, or which readings."""
    event = paper[-1].event
    told = f"typed from paper by {names.get(event.by, event.by)}, {at_the_laboratory(event.recorded_at)[:DAY]}"
    if not is_mixed(kept):
        return told
    which = "; ".join(f"{one.name.replace('_', ' ')} {told_origin(one, names)}" for one in paper)
    return f"{which}; {told}; the rest read at the burette" if len(paper) < len(typed(kept)) else f"{which}; {told}"
