"""Whether a sample of a lot is on record: taken, or stated by a file that was brought in with its results."""

from collections.abc import Iterable

from assaywright.records.models import Assay, Event, Lot, Sample
from assaywright.records.models.assays import VOID


def is_sampled(lot: Lot) -> bool:
    """Return whether a sample of a lot is on record, or a lot or worksheet file that was brought in states one."""
    if Sample.objects.filter(lot=lot.identity).exists() or stated_with(lot, ()):
        return True
    assays = list(Assay.objects.filter(about=lot.identity, kind="assay").exclude(stage=VOID))
    numbers = [one.identity for one in assays]
    imported = set(Event.objects.filter(subject__in=numbers, kind="assay.imported").values_list("subject", flat=True))
    return stated_with(lot, (one for one in assays if one.identity in imported))


def stated_with(lot: Lot, imported: Iterable[Assay]) -> bool:
    """Return whether the lot, or a worksheet of it that was brought in, states its sample."""
    return bool(lot.content.get("sampled")) or any(one.content.get("sample", {}).get("taken") for one in imported)
