"""What the laboratory works with: vessels, balances, thermometers, reference materials, solutions, methods."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents

IN_USE = "in use"
WITHDRAWN = "withdrawn"


class Instrument(MadeFromEvents):
    """A vessel, balance, thermometer or pH electrode; its body is the table that a worksheet states of it."""

    identity = models.CharField(max_length=60, primary_key=True)
    kind = models.CharField(max_length=40, db_index=True)
    state = models.CharField(max_length=20, default=IN_USE)
    due = models.CharField(max_length=10, blank=True)

    def __str__(self) -> str:
        return f"{self.kind} {self.identity}"


class Calibration(MadeFromEvents):
    """One calibration of an instrument; ``id`` is the event's number."""

    id = models.BigIntegerField(primary_key=True)
    instrument = models.CharField(max_length=60, db_index=True)
    certificate = models.CharField(max_length=100, blank=True)
    issued = models.CharField(max_length=10, blank=True)
    due = models.CharField(max_length=10, blank=True)

    def __str__(self) -> str:
        return f"calibration {self.certificate or self.id} of {self.instrument}"


class Material(MadeFromEvents):
    """A reference material with its certificate; its body is the table of a worksheet."""

    identity = models.CharField(max_length=60, primary_key=True)
    name = models.CharField(max_length=120)
    use_before = models.CharField(max_length=10, blank=True)
    state = models.CharField(max_length=20, default=IN_USE)

    def __str__(self) -> str:
        return f"{self.name} {self.identity}"


class Solution(MadeFromEvents):
    """A titrant: a standard solution in a bottle with a number, set by standardisations."""

    identity = models.CharField(max_length=60, primary_key=True)
    name = models.CharField(max_length=120)
    formula = models.CharField(max_length=60)
    nominal = models.CharField(max_length=40)
    use_before = models.CharField(max_length=10, blank=True)
    state = models.CharField(max_length=20, default=IN_USE)

    def __str__(self) -> str:
        return f"{self.name}, lot {self.identity}"


class MethodEdition(MadeFromEvents):
    """A method by edition, with the hash of its file; the text of a laboratory's own stands in the body."""

    id = models.BigIntegerField(primary_key=True)
    name = models.CharField(max_length=120, db_index=True)
    edition = models.CharField(max_length=20)
    sha256 = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"{self.name}, edition {self.edition}"
