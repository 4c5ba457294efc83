"""What goes out, who signed what, and what came in as files."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents


class Certificate(MadeFromEvents):
    """An issued certificate: its bytes are kept by their hash and never made anew.

    Fields:
        lot: number of the lot, or of the standard solution.
        worksheet: of a solution's certificate, the standardisation that it certifies; empty for a lot's.
    """

    number = models.CharField(max_length=60, primary_key=True)
    lot = models.CharField(max_length=60, db_index=True)
    worksheet = models.CharField(max_length=60, blank=True, default="")
    pdf_sha256 = models.CharField(max_length=64)
    issued = models.CharField(max_length=27)
    superseded_by = models.CharField(max_length=60, blank=True)

    class Meta:
        """What the list of certificates filters and sorts by."""

        indexes = (
            models.Index(fields=("issued", "number"), name="certificate_issued"),
            models.Index(fields=("superseded_by", "issued", "number"), name="certificate_standing"),
            models.Index(fields=("version",), name="certificate_version"),
        )

    def __str__(self) -> str:
        return f"certificate {self.number}"


class Signature(MadeFromEvents):
    """A signature with its meaning, under something named by its hash; ``id`` is the event."""

    id = models.BigIntegerField(primary_key=True)
    subject = models.CharField(max_length=60, db_index=True)
    by = models.CharField(max_length=100)
    meaning = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    at = models.CharField(max_length=27)

    def __str__(self) -> str:
        return f"{self.by}: {self.meaning}"


class Attachment(MadeFromEvents):
    """A file that belongs to something: a reference material's certificate, a spectrum; kept by its hash."""

    id = models.BigIntegerField(primary_key=True)
    subject = models.CharField(max_length=60, db_index=True)
    name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    size = models.BigIntegerField()

    def __str__(self) -> str:
        return self.name


class HistoricResult(MadeFromEvents):
    """A result from before these records: imported, marked, unverified."""

    id = models.CharField(max_length=40, primary_key=True)
    source = models.CharField(max_length=200)
    row = models.IntegerField()
    lot = models.CharField(max_length=60, blank=True, db_index=True)
    product = models.CharField(max_length=120, blank=True)
    performed = models.CharField(max_length=32, blank=True)
    value = models.CharField(max_length=40)
    unit = models.CharField(max_length=20)

    class Meta:
        """What the list of results from before filters and sorts by."""

        indexes = (
            models.Index(fields=("performed", "id"), name="historic_performed"),
            models.Index(fields=("product", "performed", "id"), name="historic_product"),
            models.Index(fields=("source", "row"), name="historic_source"),
        )

    def __str__(self) -> str:
        return f"{self.source}, row {self.row}"
