"""What is known of a sample or a solution before it is titrated: limits of its product, and what was found before."""

from typing import Any

from assaywright.records.models import Assay, Lot, Result
from assaywright.records.specified import specified_of
from assaywright.records.standardisations import standardisations_of

LIMITS = ("lower", "upper")


def with_limits(heading: dict[str, Any], assay: Assay) -> dict[str, Any]:
    """Return a heading with the limits of its product between which the endpoint is looked for.

    The heading's own limits stand; without limits, or with the same method for two characteristics, it stays as it is.

    Arguments:
        heading: of the worksheet.
        assay: the worksheet.
    """
    lot = Lot.objects.filter(pk=assay.about).first() if assay.kind == "assay" else None
    if lot is None or "specification" in heading:
        return heading
    specified = [one for one in specified_of(lot) if one.get("method") == assay.method]
    limits = {key: specified[0][key] for key in LIMITS if specified[0].get(key)} if len(specified) == 1 else {}
    if not limits:
        return heading
    return {**heading, "specification": {"characteristic": str(specified[0].get("name", "content")), **limits}}


def found_before(assay: Assay) -> str:
    """Return what the last standardisation of the solution that is standardised again found; empty without one."""
    if assay.kind != "standardisation":
        return ""
    earlier = [one.identity for one in standardisations_of(assay.about) if one.identity != assay.identity]
    found = Result.objects.filter(assay=earlier[-1]).order_by("id").last() if earlier else None
    return "" if found is None else f"{found.value} {found.unit}"
