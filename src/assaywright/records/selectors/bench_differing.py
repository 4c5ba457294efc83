"""What is kept of a determination and reads otherwise on the page that puts it on record."""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass

from assaywright.records.models import Event, KeptReading, Person

MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")  # as browsers write one


@dataclass(frozen=True, slots=True)
class Differing:
    """A reading of which it is to be said what stands.

    Fields:
        name, text, by, version: of the reading as it is kept, and who typed it.
        late, late_by: a text that another person typed earlier, and that came in later; ``is_late`` where there is one.
    """

    name: str
    text: str
    by: str
    version: int
    late: str = ""
    late_by: str = ""
    is_late: bool = False


def differing(identity: str, place: int, shown: Mapping[str, str]) -> tuple[Differing, ...]:
    """Return the kept readings that a page did not show as they stand, and those that a late one speaks against.

    Arguments:
        identity: number of the worksheet.
        place: number of the determination.
        shown: texts as they stood on the page, by the readings' names, with decimal points.
    """
    names = dict(Person.objects.values_list("identity", "name"))
    late = contested(identity, place)
    others = {one.name for one in late}
    return (*late, *(Differing(row.name, row.text, names.get(row.by, row.by), row.version)
                     for row in KeptReading.objects.filter(assay=identity, place=place).order_by("id")
                     if row.text != shown.get(row.name, "").strip() and row.name not in others))


def contested(identity: str, place: int) -> tuple[Differing, ...]:
    """Return the readings to which another person's came in late, and nobody has said since which of the two stands."""
    names = dict(Person.objects.values_list("identity", "name"))
    found = []
    for row in KeptReading.objects.filter(assay=identity, place=place).order_by("id"):
        late = [one for one in row.content["before"] if one[3] > row.version and one[0] != row.text]
        if late:
            text, by, *_ = late[-1]
            found.append(Differing(row.name, row.text, names.get(row.by, row.by), row.version, text,
                                   names.get(by, by), is_late=True))
    return tuple(found)


def is_late(identity: str, place: int, name: str, text: str, by: str, seen: int, typed_at: str) -> bool:
    """Return whether a text was typed before another person's that stands in its field, and that its page did not know.

    The clocks of two tablets differ; so the one that stands is left there, and people say which of the two is right.

    Arguments:
        typed_at: moment by the browser's clock, in UTC.
    """
    row = KeptReading.objects.filter(assay=identity, place=place, name=name).exclude(text="").first()
    if row is None or row.by == by or row.version == seen or row.text == text:
        return False
    other = str(json.loads(Event.objects.get(pk=row.version).payload).get("typed_at", ""))
    return bool(MOMENT.fullmatch(typed_at) and MOMENT.fullmatch(other) and typed_at < other)
