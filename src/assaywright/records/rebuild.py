"""Making the tables anew from the events, and seeing whether they were what the events say."""

from collections.abc import Iterator
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from assaywright.records.chain import canonical
from assaywright.records.models import Event
from assaywright.records.models.kept import MadeFromEvents
from assaywright.records.projections import project, projected_models

CHUNK = 2000


def rebuild() -> int:
    """Empty the tables that are made from events and make them anew; return the number of events."""
    with transaction.atomic():
        for model in projected_models():
            QuerySet(model).delete()
        number = 0
        for event in Event.objects.order_by("number").iterator(CHUNK):
            project(event)
            number += 1
    return number


def rows(model: type[MadeFromEvents]) -> Iterator[tuple[str, str]]:
    """Yield a table's rows: the key, and everything in it as text."""
    names = [field.attname for field in model._meta.concrete_fields]
    key = model._meta.pk.attname
    for row in QuerySet(model).order_by("pk").values(*names).iterator(CHUNK):
        yield str(row[key]), canonical({name: _plain(row[name]) for name in names})


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | int | bool | None) else str(value)


def differences() -> list[str]:
    """Return in sentences where a table is not what the events say; nothing is changed."""
    before = {model: dict(rows(model)) for model in projected_models()}
    found: list[str] = []
    with transaction.atomic():
        rebuild()
        for model, were in before.items():
            found += _compared(str(model._meta.verbose_name), were, dict(rows(model)))
        transaction.set_rollback(True)
    return found


def _compared(what: str, were: dict[str, str], ought: dict[str, str]) -> list[str]:
    return [
        *(f"{what} {key} is in the table, and no event made it" for key in were.keys() - ought.keys()),
        *(f"{what} {key} is missing from the table, though an event made it" for key in ought.keys() - were.keys()),
        *(f"{what} {key} is not what the events say" for key in were.keys() & ought.keys() if were[key] != ought[key]),
    ]
