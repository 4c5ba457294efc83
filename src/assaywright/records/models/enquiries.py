"""What customers ask who do not find our figure, and what they were told."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents

OPEN, ANSWERED, WITHDRAWN = "open", "answered", "withdrawn"


class Enquiry(MadeFromEvents):
    """An enquiry about a lot, or a titrant that is sold.

    Its body tells the rest as it was taken down, by whom, and under "replies" every reply: text, by whom, on which day,
    number of its event. A later one corrects those before it, all of which stay.

    Fields:
        about: number of the lot, or of the standard solution.
        certificate: that the customer holds; empty where they named none.
        asked_by: the customer.
        received, answered: days; the second is that of the last reply, empty before the first.
    """

    identity = models.CharField(max_length=60, primary_key=True)
    about = models.CharField(max_length=60, db_index=True)
    certificate = models.CharField(max_length=60, blank=True)
    asked_by = models.CharField(max_length=200, db_index=True)
    received = models.CharField(max_length=10)
    state = models.CharField(max_length=20, default=OPEN)
    answered = models.CharField(max_length=10, blank=True, default="")

    class Meta:
        """What the list of enquiries filters and sorts by."""

        verbose_name_plural = "enquiries"
        indexes = (
            models.Index(fields=("received", "identity"), name="enquiry_received"),
            models.Index(fields=("state", "received", "identity"), name="enquiry_state"),
        )

    def __str__(self) -> str:
        return f"enquiry {self.identity}"
