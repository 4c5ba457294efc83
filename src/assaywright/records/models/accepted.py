"""What an authorised person let pass, and what the laboratory's accreditation covers."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents


class AcceptedRemark(MadeFromEvents):
    """A remark that held a worksheet or a lot back, and why it may go; ``id`` is the event.

    Fields:
        subject: number of the worksheet or lot for which it was accepted.
        kind, place, what: of the remark.
    """

    id = models.BigIntegerField(primary_key=True)
    subject = models.CharField(max_length=60, db_index=True)
    kind = models.CharField(max_length=60)
    place = models.TextField()
    what = models.TextField()
    reason = models.TextField()
    by = models.CharField(max_length=100)
    at = models.CharField(max_length=27)

    def __str__(self) -> str:
        return f"{self.kind} of {self.subject}, accepted"


class Accreditation(MadeFromEvents):
    """What an accreditation was stated to cover; ``id`` is the event, and the body holds the scope's lines.

    Fields:
        number: of the accreditation; empty where it was stated that there is none.
        since: first day on which this holds.
    """

    id = models.BigIntegerField(primary_key=True)
    number = models.CharField(max_length=60, blank=True)
    since = models.CharField(max_length=10)

    def __str__(self) -> str:
        return f"accreditation {self.number}, since {self.since}"
