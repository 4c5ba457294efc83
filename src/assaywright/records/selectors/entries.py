"""What was entered of a lot's characteristics: every entry with who, when and why, and who has checked it."""

from dataclasses import dataclass

from assaywright.assay.wording import written_decimal
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.records.investigated import entries_of, entry_of, unchecked
from assaywright.records.models import EnteredCharacteristic, Event, Person
from assaywright.records.selectors.history import at_the_laboratory


@dataclass(frozen=True)
class EntryShown:
    """One entry of a characteristic.

    Fields:
        said: what was entered, as typed; ``satisfied`` in words, or empty.
        by, at, reason: who entered it, when, and why where it was not the first.
        checked_by: who compared it with its source, or empty.
        imported: whether it came in with its lot.
        retest: whether it is an authorised retest.
        counts: whether it is the one that the lot is decided by.
    """

    name: str
    said: str
    satisfied: str
    source: str
    by: str
    at: str
    reason: str
    checked_by: str
    imported: bool
    retest: bool
    counts: bool


def entries_shown(lot: str, name: str) -> tuple[EntryShown, ...]:
    """Return every entry of a characteristic, the first one first."""
    counting = entry_of(lot, name)
    names = dict(Person.objects.values_list("identity", "name"))
    return tuple(_shown(one, names, counts=counting is not None and one.pk == counting.pk)
                 for one in entries_of(lot, name))


def unchecked_shown(lot: str) -> tuple[EntryShown, ...]:
    """Return the entries of a lot that nobody else than whoever entered them has looked at yet."""
    names = dict(Person.objects.values_list("identity", "name"))
    return tuple(_shown(one, names, counts=True) for one in unchecked(lot))


def _shown(entry: EnteredCharacteristic, names: dict[str, str], *, counts: bool) -> EntryShown:
    event, content = Event.objects.get(pk=entry.pk), entry.content
    satisfied = content.get("satisfied")
    return EntryShown(
        name=entry.name, said=_said(content),
        satisfied="" if satisfied is None else "satisfies" if satisfied else "does not satisfy",
        source=str(content.get("source", "")), by=names.get(entry.by, entry.by),
        at=at_the_laboratory(event.recorded_at), reason=event.reason,
        checked_by=names.get(str(content.get("checked_by", "")), ""),
        imported=bool(content.get("imported")), retest="retest_of_entry" in content, counts=counts)


def _said(content: dict[str, object]) -> str:
    if "found" in content:
        return str(content["found"])
    text = str(content.get("value") or content.get("less_than") or "")
    try:
        found = read_quantity(text)
    except Refusal:
        return text
    if found.uncertainty is not None:
        return text
    return f"{'less than ' if 'less_than' in content else ''}{written_decimal(found.value)} {found.unit}".strip()
