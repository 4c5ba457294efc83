"""Any list of the records as a table of texts, to be taken along as CSV, XLSX or JSON."""

from collections.abc import Iterator
from typing import Any

from django.db.models import Model, QuerySet

from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Event
from assaywright.records.projections import projected_models
from assaywright.records.replay import CHUNK


def names() -> dict[str, type[Model]]:
    """Return the lists there are, by name."""
    models: list[type[Model]] = [Event, *projected_models()]
    return {str(model._meta.verbose_name_plural).replace(" ", "-"): model for model in models}


def table(name: str) -> tuple[list[str], Iterator[list[str]]]:
    """Return a list: its headings, and its rows in the order of their keys.

    Raises:
        Refusal: there is no such list.
    """
    known = names()
    if name not in known:
        raise Refusal(f"there is no list '{name[:40]}'", where="--list", remedy=f"choose among {', '.join(known)}")
    columns = [field.attname for field in known[name]._meta.concrete_fields]
    rows = QuerySet(known[name]).order_by("pk").values_list(*columns).iterator(CHUNK)
    return columns, ([_text(value) for value in row] for row in rows)


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)
