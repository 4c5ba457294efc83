"""Whether what was signed is still there: the hash that a reviewer signed against the worksheet as it stands.

Whoever makes the whole chain anew after changing a reading can make every hash of the chain fit. The hash in the
signature is another one: it is of the worksheet's bytes, and is looked at without computing any result.
"""

from collections.abc import Iterable, Iterator

from assaywright.records.bridge import worksheet_digests
from assaywright.records.models import Assay, Person, Signature
from assaywright.records.models.assays import REVIEWED

CHUNK = 500


def other_than_signed(numbers: Iterable[str] | None = None) -> list[str]:
    """Return in sentences which reviewed worksheets are not the ones that were signed.

    Arguments:
        numbers: of the worksheets to look at; all when left out. Numbers of other things are passed over.
    """
    if numbers is None:
        return list(_other(Assay.objects.filter(stage=REVIEWED).order_by("identity").iterator(CHUNK)))
    return list(_other(Assay.objects.filter(stage=REVIEWED, pk__in=list(numbers)).order_by("identity")))


def _other(assays: Iterable[Assay]) -> Iterator[str]:
    for assay in assays:
        signed = Signature.objects.filter(subject=assay.identity).order_by("id").last()
        if signed is None:
            yield f"{assay.identity} is reviewed, and nobody has signed it"
        elif signed.sha256 not in worksheet_digests(assay):
            name = Person.objects.filter(pk=signed.by).values_list("name", flat=True).first() or signed.by
            yield f"{assay.identity}: the worksheet is not the one that {name} signed (event {signed.pk})"
