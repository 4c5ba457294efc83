"""What is too long for a column is refused in a sentence, on every database alike; SQLite itself would take it.

So records can move from the one to the other at any time.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any

from django.db import models

from assaywright.metrology.refusal import Refusal


@cache
def longest(model: type[models.Model]) -> dict[str, int]:
    """Return how many characters each field of a table takes, where that is limited."""
    return {field.attname: field.max_length for field in model._meta.concrete_fields
            if isinstance(field, models.CharField) and field.max_length is not None}


def check_lengths(model: type[models.Model], fields: Mapping[str, Any]) -> None:
    """Refuse what is too long for its column.

    Raises:
        Refusal: a text is longer than its field takes.
    """
    for name, most in longest(model).items():
        value = fields.get(name)
        if isinstance(value, str) and len(value) > most:
            raise Refusal(f"{len(value)} characters are too many, {most} are kept", where=name.replace("_", " "),
                          remedy="shorten it")


class Measured(models.QuerySet[Any]):
    """Rows of a table, each text of which is measured before it is written."""

    def create(self, **kwargs: Any) -> Any:
        """Add a row."""
        check_lengths(self.model, kwargs)
        return super().create(**kwargs)

    def update(self, **kwargs: Any) -> int:
        """Give the rows other values."""
        check_lengths(self.model, kwargs)
        return super().update(**kwargs)

    def update_or_create(self, defaults: Any = None, create_defaults: Any = None, **kwargs: Any) -> Any:
        """Give the row with this key other values, or add it."""
        check_lengths(self.model, {**kwargs, **(defaults or {})})
        return super().update_or_create(defaults, create_defaults, **kwargs)
