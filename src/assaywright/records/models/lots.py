"""Lots with their bottles, samples and entered characteristics."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents

MADE = "made"
ON_HOLD = "on hold"
RELEASED = "released"
REJECTED = "rejected"
RECALLED = "recalled"


class Lot(MadeFromEvents):
    """One made quantity. It has a history, never an edited state."""

    identity = models.CharField(max_length=60, primary_key=True)
    product = models.CharField(max_length=120, db_index=True)
    state = models.CharField(max_length=20, default=MADE)
    made = models.CharField(max_length=10, blank=True)
    use_before = models.CharField(max_length=10, blank=True)

    class Meta:
        """What the list of lots filters and sorts by."""

        indexes = (
            models.Index(fields=("state", "identity"), name="lot_state"),
            models.Index(fields=("product", "identity"), name="lot_product"),
            models.Index(fields=("made", "identity"), name="lot_made"),
            models.Index(fields=("use_before", "identity"), name="lot_use_before"),
            models.Index(fields=("state", "product", "made"), name="lot_counted"),
            models.Index(fields=("state", "version"), name="lot_state_version"),
            models.Index(fields=("version",), name="lot_version"),
        )

    def __str__(self) -> str:
        return f"lot {self.identity}, {self.product}"


class Bottle(MadeFromEvents):
    """A package of a lot or of a solution; opening it starts its in-use life."""

    identity = models.CharField(max_length=60, primary_key=True)
    lot = models.CharField(max_length=60, db_index=True)
    opened = models.CharField(max_length=10)

    def __str__(self) -> str:
        return f"bottle {self.identity} of {self.lot}"


class Sample(MadeFromEvents):
    """A sample taken of a lot: where, when and by whom, and until when what is left of it is kept."""

    id = models.BigIntegerField(primary_key=True)
    lot = models.CharField(max_length=60, db_index=True)
    taken = models.CharField(max_length=10)
    retained_until = models.CharField(max_length=10, blank=True)

    def __str__(self) -> str:
        return f"sample of lot {self.lot}, taken {self.taken}"


class EnteredCharacteristic(MadeFromEvents):
    """A characteristic that was not titrated: its body is what a lot file says of it, and who has checked it.

    A later entry counts, unless an investigation has set it aside.
    """

    id = models.BigIntegerField(primary_key=True)
    lot = models.CharField(max_length=60, db_index=True)
    name = models.CharField(max_length=120)
    by = models.CharField(max_length=100)

    def __str__(self) -> str:
        return f"{self.name} of lot {self.lot}"


class Investigation(MadeFromEvents):
    """A result outside its limits: hold, check list, retest by plan, conclusion. The first result stays."""

    id = models.BigIntegerField(primary_key=True)
    lot = models.CharField(max_length=60, db_index=True)
    stage = models.CharField(max_length=20, db_index=True)

    def __str__(self) -> str:
        return f"investigation of lot {self.lot}"
