"""What is known of a sample or a solution before it is titrated: limits of its product, and what was found before."""

from dataclasses import dataclass
from typing import Any

from assaywright.records.models import Assay, Lot, Result
from assaywright.records.models.assays import REVIEWED
from assaywright.records.selectors.solutions import kept_value
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


@dataclass(frozen=True, slots=True)
class FoundBefore:
    """What was found of a titrant before.

    Fields:
        text: value and unit; empty where nothing was.
        unreviewed: whether nobody has reviewed it.
    """

    text: str = ""
    unreviewed: bool = False


def found_before(assay: Assay) -> FoundBefore:
    """Return what the last standardisation of the solution that is standardised again found, reviewed or not.

    It is the result as it went to review; of one that never did, as one that was imported, it is computed.
    """
    if assay.kind != "standardisation":
        return FoundBefore()
    for one in reversed(standardisations_of(assay.about)):
        if one.identity == assay.identity:
            continue
        row = Result.objects.filter(assay=one.identity).order_by("id").last()
        found = row or kept_value(one)
        if found is not None:
            return FoundBefore(f"{found.value} {found.unit}", one.stage != REVIEWED)
    return FoundBefore()
