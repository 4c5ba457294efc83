"""The events, append-only, and the head of their chain."""

from typing import Any

from django.db import models

from assaywright.records.chain import CHAINED, FIRST, digest_of


class Event(models.Model):
    """One thing that somebody did. Never changed, never deleted; the database itself refuses.

    The table is not altered after a release: what a new kind of event needs goes into its payload, under a schema
    number of its own.
    """

    number = models.BigIntegerField(primary_key=True)
    recorded_at = models.CharField(max_length=27)
    schema = models.IntegerField()
    kind = models.CharField(max_length=60)
    subject = models.CharField(max_length=200, db_index=True)
    by = models.CharField(max_length=100, db_index=True)
    reason = models.TextField(blank=True)
    act = models.CharField(max_length=36, unique=True)
    payload = models.TextField()
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64)

    class Meta:
        """Order of the chain."""

        ordering = ("number",)

    def __str__(self) -> str:
        return f"event {self.number}, {self.kind}, {self.subject}"

    def fields(self) -> dict[str, Any]:
        """Return what the hash is taken over, by name."""
        return {name: getattr(self, name) for name in CHAINED}

    def computed_digest(self) -> str:
        """Return the hash that the event ought to carry."""
        return digest_of(self.fields(), self.previous)


class Head(models.Model):
    """The end of the chain: one row, locked for each event that is appended."""

    ONLY = 1

    id = models.SmallIntegerField(primary_key=True, default=ONLY)
    number = models.BigIntegerField(default=0)
    digest = models.CharField(max_length=64, default=FIRST)

    def __str__(self) -> str:
        return f"head at event {self.number}"
