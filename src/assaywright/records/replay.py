"""All events gone through anew, in memory: the tables as the events say that they ought to be."""

from collections.abc import Iterator
from typing import Any, NamedTuple, cast

from assaywright.records.models import Event
from assaywright.records.projections import project
from assaywright.records.projections.tables import Model, Table, in_memory

CHUNK = 2000


class EventRow(NamedTuple):
    """An event as it stands in its table, without the cost of an object of the database."""

    number: int
    recorded_at: str
    schema: int
    kind: str
    subject: str
    by: str
    reason: str
    act: str
    payload: str
    previous: str
    digest: str


def events() -> Iterator[EventRow]:
    """Yield all events in the order of the chain."""
    yield from map(EventRow._make, Event.objects.order_by("number").values_list(*EventRow._fields).iterator(CHUNK))


class Replay:
    """Tables in memory that follow from the events fed to it.

    Fields:
        tables: by their model.
        faults: in sentences, events from which nothing can follow.
    """

    def __init__(self) -> None:
        self.tables: dict[Model, Table] = {}
        self.faults: list[str] = []

    def feed(self, rows: list[EventRow]) -> None:
        """Go through some events."""
        with in_memory(self.tables):
            for row in rows:
                try:
                    project(cast("Event", row))
                except (KeyError, ValueError, LookupError, TypeError, AttributeError) as problem:
                    self.faults.append(f"nothing can follow from event {row.number} ({row.kind}, {row.subject}): "
                                       f"{_told(problem)}")


def _told(problem: Exception) -> str:
    if isinstance(problem, KeyError):
        return f"it lacks {problem}"
    return " ".join(str(problem).split())


def replayed() -> dict[Model, Table]:
    """Return the tables in memory as all events say that they ought to be.

    Raises:
        ValueError: nothing can follow from an event.
    """
    replay, waiting = Replay(), list[Any]()
    for row in events():
        waiting.append(row)
        if len(waiting) == CHUNK:
            replay.feed(waiting)
            waiting = []
    replay.feed(waiting)
    if replay.faults:
        raise ValueError(replay.faults[0])
    return replay.tables
