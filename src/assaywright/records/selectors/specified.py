"""What a lot's page says of the edition of the specification that the lot is judged by."""

from dataclasses import dataclass

from assaywright.records.models import Event, Lot, Person
from assaywright.records.selectors.history import at_the_laboratory
from assaywright.records.specified import edition_of, newest_of, respecified, told_by


@dataclass(frozen=True)
class Respecified:
    """A later edition applied to a lot: from which to which, when, by whom and why."""

    before: int
    edition: int
    at: str
    by: str
    reason: str


@dataclass(frozen=True)
class SpecificationShown:
    """The edition that a lot is judged by, the newest one of its product, and how it came to be so."""

    edition: int
    newest: int
    applied: tuple[Respecified, ...]


def specification_shown(lot: Lot) -> SpecificationShown:
    """Return the edition of the specification that a lot is judged by."""
    names = dict(Person.objects.values_list("identity", "name"))
    return SpecificationShown(edition_of(lot).edition, newest_of(lot).edition,
                              tuple(_applied(one, names) for one in respecified(lot)))


def _applied(event: Event, names: dict[str, str]) -> Respecified:
    before, edition = told_by(event)
    return Respecified(before, edition, at_the_laboratory(event.recorded_at), names.get(event.by, event.by),
                       event.reason)
