"""What is kept of a determination and reads otherwise on the page that puts it on record."""

from collections.abc import Mapping
from dataclasses import dataclass

from assaywright.records.models import KeptReading, Person


@dataclass(frozen=True, slots=True)
class Differing:
    """A reading that stands on record otherwise than it was shown: its name, its text, who typed it, its version."""

    name: str
    text: str
    by: str
    version: int


def differing(identity: str, place: int, shown: Mapping[str, str]) -> tuple[Differing, ...]:
    """Return the kept readings that a page did not show as they stand.

    Arguments:
        identity: number of the worksheet.
        place: number of the determination.
        shown: texts as they stood on the page, by the readings' names, with decimal points.
    """
    names = dict(Person.objects.values_list("identity", "name"))
    return tuple(Differing(row.name, row.text, names.get(row.by, row.by), row.version)
                 for row in KeptReading.objects.filter(assay=identity, place=place).order_by("id")
                 if row.text != shown.get(row.name, "").strip())
