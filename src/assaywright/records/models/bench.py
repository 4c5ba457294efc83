"""What is typed at the bench, field by field, before a determination is whole."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents


class KeptReading(MadeFromEvents):
    """One field of one determination as it was last typed; ``id`` is the event that first kept it.

    Its body tells under "before" what stood there earlier: text, by whom, when, number of the event. One whose event is
    later than the row's own was typed earlier and sent late; which of the two stands is still to be said.
    """

    id = models.BigIntegerField(primary_key=True)
    assay = models.CharField(max_length=60)
    place = models.IntegerField()
    name = models.CharField(max_length=60)
    text = models.TextField(blank=True)
    by = models.CharField(max_length=100)
    at = models.CharField(max_length=27)

    class Meta:
        """One row for each field."""

        constraints = (models.UniqueConstraint(fields=("assay", "place", "name"), name="one_row_for_each_field"),)

    def __str__(self) -> str:
        return f"{self.name} of determination {self.place} of {self.assay}"


class Confirmed(MadeFromEvents):
    """A question about a reading that somebody answered with “it is so”; ``id`` is the event."""

    id = models.BigIntegerField(primary_key=True)
    assay = models.CharField(max_length=60, db_index=True)
    place = models.IntegerField()
    name = models.CharField(max_length=60)
    text = models.TextField(blank=True)
    code = models.CharField(max_length=60)
    question = models.TextField()
    by = models.CharField(max_length=100)
    at = models.CharField(max_length=27)

    def __str__(self) -> str:
        return f"{self.code} confirmed for determination {self.place} of {self.assay}"
