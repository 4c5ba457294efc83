"""A lot as files that go out of the records: its lot file, and every worksheet and method that it rests on."""

from typing import Any

from assaywright.records.bridge import PLACE_OF_LOTS, export, lot_bytes, lot_table
from assaywright.records.files import read
from assaywright.records.models import Assay, Certificate, Lot
from assaywright.reports.attached import attached_document


def lot_path(lot: Lot) -> str:
    """Return the name of a lot's file."""
    return f"{PLACE_OF_LOTS}{lot.identity}.toml"


def export_lot(lot: Lot) -> dict[str, bytes]:
    """Return a lot as files, by name: the lot file whose hash its certificate prints, and all that it rests on."""
    paths = [one["worksheet"] for one in lot_table(lot).get("characteristic", ()) if one.get("worksheet")]
    files = {lot_path(lot): lot_bytes(lot)}
    for assay in Assay.objects.filter(path__in=paths).order_by("identity"):
        files |= export(assay)
    return files


def printed_on(lot: Lot) -> dict[str, Any]:
    """Return the data that a lot's certificate in force carries, ``lot_sha256`` among it; empty for none.

    Raises:
        Refusal: the kept certificate is not there, or was changed.
        ValueError: it carries no data that can be read.
    """
    certificate = Certificate.objects.filter(lot=lot.identity, worksheet="", superseded_by="").last()
    if certificate is None:
        return {}
    return attached_document(read(certificate.pdf_sha256))
