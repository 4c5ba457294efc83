"""What every table that is made from events has in common."""

import json
from typing import Any

from django.db import models


class MadeFromEvents(models.Model):
    """A row that ``rebuild`` can make anew from the events.

    Fields:
        version: number of the last event that concerned it; who changes it says which version was looked at.
        body: everything else that is known of it, as JSON text.
    """

    version = models.BigIntegerField()
    body = models.TextField(default="{}")

    class Meta:
        """No table of its own."""

        abstract = True

    @property
    def content(self) -> dict[str, Any]:
        """The body as a table."""
        found: dict[str, Any] = json.loads(self.body)
        return found
