"""What is said on the pages of lots and certificates of worksheets that were reopened, or have another result now."""

from typing import Any

from django import template

from assaywright.records.models import Certificate, Lot
from assaywright.records.selectors.above import Differs, differing, differing_from, reopened_below, reopened_of
from assaywright.records.selectors.advised import advised

register = template.Library()


@register.inclusion_tag("web/_reopened.html")
def reopened_of_lot(lot: Lot) -> dict[str, Any]:
    """Say which worksheets below a released lot are open again, and what its certificate states otherwise."""
    return {"reopened": reopened_of(lot), "differing": (found := differing(lot)), "advice": _advice(found)}


@register.inclusion_tag("web/_reopened.html")
def reopened_of_certificate(certificate: Certificate, worksheets: tuple[str, ...]) -> dict[str, Any]:
    """Say the same of the certificate itself."""
    if certificate.superseded_by:
        return {}
    found = differing_from(certificate)
    return {"reopened": reopened_below(worksheets), "differing": found, "advice": _advice(found)}


def _advice(found: tuple[Differs, ...]) -> str:
    certificate = Certificate.objects.filter(pk=found[0].certificate).first() if found else None
    return advised(certificate) if certificate else ""
