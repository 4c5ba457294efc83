"""Assays and standardisations with their determinations and results."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents

TITRATING = "titrating"
IN_REVIEW = "in review"
RETURNED = "sent back"
REVIEWED = "reviewed"
VOID = "void"


class Assay(MadeFromEvents):
    """A set of replicate determinations with its result; its body is the heading of a worksheet.

    Fields:
        about: number of the lot that is assayed, or of the solution that is standardised.
        rests_on: numbers of the standardisations that give the titrant its value, as a JSON list.
        in_burette: number of the solution that stands in the burette.
        path: name of the worksheet file, by which others name it.
    """

    identity = models.CharField(max_length=60, primary_key=True)
    kind = models.CharField(max_length=20)
    method = models.CharField(max_length=120, db_index=True)
    about = models.CharField(max_length=60, db_index=True)
    stage = models.CharField(max_length=20, default=TITRATING, db_index=True)
    analyst = models.CharField(max_length=100)
    performed = models.CharField(max_length=32)
    rests_on = models.TextField(default="[]")
    path = models.CharField(max_length=80, unique=True)
    in_burette = models.CharField(max_length=60, blank=True, default="", db_index=True)

    class Meta:
        """What the list of worksheets filters and sorts by."""

        indexes = (
            models.Index(fields=("stage", "identity"), name="assay_stage"),
            models.Index(fields=("performed", "identity"), name="assay_performed"),
            models.Index(fields=("method", "identity"), name="assay_method"),
            models.Index(fields=("method", "performed", "identity"), name="assay_method_day"),
            models.Index(fields=("analyst", "performed", "identity"), name="assay_analyst"),
            models.Index(fields=("stage", "kind", "method", "analyst", "performed"), name="assay_counted"),
            models.Index(fields=("version",), name="assay_version"),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.identity}"


class Determination(MadeFromEvents):
    """One titration, as typed; ``id`` is the event that recorded it."""

    id = models.BigIntegerField(primary_key=True)
    assay = models.CharField(max_length=60, db_index=True)
    place = models.IntegerField()
    excluded = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"determination {self.place} of {self.assay}"


class Result(MadeFromEvents):
    """What was concluded when an assay was sent to review; ``id`` is that event. The body is the stored form.

    Fields:
        worksheet_sha256: of the worksheet's bytes, from which the result can be had again.
    """

    id = models.BigIntegerField(primary_key=True)
    assay = models.CharField(max_length=60, db_index=True)
    measurand = models.CharField(max_length=200)
    value = models.CharField(max_length=30)
    unit = models.CharField(max_length=20)
    standard_uncertainty = models.CharField(max_length=30)
    expanded_uncertainty = models.CharField(max_length=30)
    releasable = models.BooleanField()
    worksheet_sha256 = models.CharField(max_length=64)
    software = models.CharField(max_length=20)

    def __str__(self) -> str:
        return f"result of {self.assay}"
