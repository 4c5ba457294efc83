"""What is said on the pages of lots and certificates of worksheets that were reopened, or have another result now."""

from typing import Any

from django import template

from assaywright.records.models import Certificate, Lot
from assaywright.records.selectors.above import differing, differing_from, reopened_below, reopened_of

register = template.Library()


@register.inclusion_tag("web/_reopened.html")
def reopened_of_lot(lot: Lot) -> dict[str, Any]:
    """Say which worksheets below a released lot are open again, and what its certificate states otherwise."""
    return {"reopened": reopened_of(lot), "differing": differing(lot)}


@register.inclusion_tag("web/_reopened.html")
def reopened_of_certificate(certificate: Certificate, worksheets: tuple[str, ...]) -> dict[str, Any]:
    """Say the same of the certificate itself."""
    if certificate.superseded_by:
        return {}
    return {"reopened": reopened_below(worksheets), "differing": differing_from(certificate)}
