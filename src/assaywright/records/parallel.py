"""Several worksheets of one lot by one method: which result stands, and which of them still lie open.

A second worksheet is begun only as an authorised retest. Older records, and files brought in, may hold several without
one; then a result outside its limits is not done away with by a better one, whichever of them was reviewed last.
"""

from collections.abc import Sequence

from assaywright.records.investigated import worksheets_set_aside
from assaywright.records.models import Assay, Lot, Result
from assaywright.records.models.assays import REVIEWED, VOID
from assaywright.records.specified import specified_of


def first_outside(assays: Sequence[Assay]) -> Assay | None:
    """Return the first of several worksheets that was sent to review with a result outside its limits; else None.

    Arguments:
        assays: of one lot and method that no investigation has set aside, in the order in which they were begun.
    """
    from assaywright.records.limits import outside_its_limits

    if len(assays) < 2:
        return None
    sent = set(Result.objects.filter(assay__in=[one.identity for one in assays]).values_list("assay", flat=True))
    return next((one for one in assays if one.identity in sent and outside_its_limits(one)), None)


def open_of(lot: Lot, method: str = "") -> list[Assay]:
    """Return the worksheets of a lot that are neither reviewed nor void, by one method or by any that it is assayed by.

    Those that an investigation has set aside are left out.
    """
    methods = [method] if method else [one["method"] for one in specified_of(lot) if one.get("method")]
    found = Assay.objects.filter(about=lot.identity, kind="assay", method__in=methods)
    return list(found.exclude(stage__in=(REVIEWED, VOID)).exclude(pk__in=worksheets_set_aside(lot.identity)).order_by(
        "identity"))
