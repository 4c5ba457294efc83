"""Which results of a lot count after its investigations: none is taken away, and a retest counts only as concluded."""

import json
from typing import Any

from assaywright.records.models import Assay, EnteredCharacteristic, Event, Investigation
from assaywright.records.models.assays import VOID
from assaywright.records.projections.lots import CONCLUDED, RETEST


def worksheets_set_aside(lot: str) -> set[str]:
    """Return the numbers of the worksheets of a lot that do not count.

    They are those that an investigation set aside, and the retests of one that is not concluded yet.
    """
    aside = {number for one in _concluded(lot) for number in one.get("set_aside", {}).get("worksheets", ())}
    event = authorised_now(lot)
    return aside | ({one.identity for one in begun_under(event)} if event else set())


def standing(lot: str) -> set[str]:
    """Return the names of the characteristics of which an investigation has let the first result stand."""
    return {name for one in _concluded(lot) for name in one.get("stands", ())}


def entries_of(lot: str, name: str = "") -> list[EnteredCharacteristic]:
    """Return what was entered of a lot, or of one of its characteristics, in the order in which it was."""
    named = {"name": name} if name else {}
    return list(EnteredCharacteristic.objects.filter(lot=lot, **named).order_by("id"))


def entry_of(lot: str, name: str) -> EnteredCharacteristic | None:
    """Return the entry of a characteristic that counts, or None: the last one, but for those that are set aside.

    A retest counts once the investigation that authorised it is concluded so.
    """
    aside = {key for one in _concluded(lot) for key in one.get("set_aside", {}).get("entries", ())}
    aside |= {one.pk for one in _retests(lot)}
    return next((one for one in reversed(entries_of(lot, name)) if one.pk not in aside), None)


def unchecked(lot: str) -> list[EnteredCharacteristic]:
    """Return the entries that count, or may come to, and that only those who entered them have looked at yet."""
    names = dict.fromkeys(one.name for one in entries_of(lot))
    counting = [*(entry_of(lot, name) for name in names), *_retests(lot)]
    return [one for one in counting if one is not None and not one.content.get("checked_by")]


def authorised_now(lot: str) -> Event | None:
    """Return the event that authorised a retest of a lot, while its investigation waits for one; else None."""
    investigation = Investigation.objects.filter(lot=lot).order_by("id").last()
    if investigation is None or investigation.stage != RETEST:
        return None
    return Event.objects.filter(subject=lot, kind="retest.authorised").order_by("number").last()


def begun_under(event: Event) -> list[Assay]:
    """Return the worksheets that were begun under an authorisation and have not been declared void."""
    assays = Assay.objects.filter(about=event.subject).exclude(stage=VOID).order_by("identity")
    begun = Event.objects.filter(subject__in=[one.identity for one in assays], kind="assay.begun")
    under = {one.subject for one in begun if json.loads(one.payload).get("authorised") == event.number}
    return [one for one in assays if one.identity in under]


def entered_under(event: Event) -> list[EnteredCharacteristic]:
    """Return what was entered under an authorisation."""
    entered = Event.objects.filter(subject=event.subject, kind="characteristic.entered", number__gt=event.number)
    keys = [one.number for one in entered if json.loads(one.payload).get("authorised") == event.number]
    return list(EnteredCharacteristic.objects.filter(pk__in=keys).order_by("id"))


def _retests(lot: str) -> list[EnteredCharacteristic]:
    event = authorised_now(lot)
    return entered_under(event) if event else []


def _concluded(lot: str) -> list[dict[str, Any]]:
    return [one.content for one in Investigation.objects.filter(lot=lot, stage=CONCLUDED).order_by("id")]
