"""Which function writes what follows from an event of each kind."""

import json
from collections.abc import Callable
from functools import cache
from typing import Any

from assaywright.records.models import Event
from assaywright.records.models.kept import MadeFromEvents

Projection = Callable[[Event, dict[str, Any]], None]
KINDS: dict[str, Projection] = {}
_read = json.JSONDecoder().raw_decode  # what json.loads takes besides costs as much again, a million times


def follows(*kinds: str) -> Callable[[Projection], Projection]:
    """Mark a function as the one that writes what follows from events of these kinds."""

    def mark(projection: Projection) -> Projection:
        KINDS.update(dict.fromkeys(kinds, projection))
        return projection

    return mark


@cache
def _loaded() -> bool:
    from assaywright.records.projections import (
        accepted,
        assays,
        bench,
        certificates,
        enquiries,
        equipment,
        lots,
        people,
        products,
    )

    return all((accepted, assays, bench, certificates, enquiries, equipment, lots, people, products))


def project(event: Event) -> None:
    """Write what follows from one event."""
    _loaded()
    payload, end = _read(event.payload)
    if end != len(event.payload):
        raise ValueError(f"its payload goes on after its end: {event.payload[end:end + 20]!r}")
    KINDS[event.kind](event, payload)


def projected_models() -> list[type[MadeFromEvents]]:
    """Return the tables that are made from events, in a fixed order."""
    from django.apps import apps

    return sorted(
        (one for one in apps.get_app_config("records").get_models() if issubclass(one, MadeFromEvents)),
        key=lambda one: one.__name__,
    )
