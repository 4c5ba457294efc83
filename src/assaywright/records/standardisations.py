"""Which standardisations tell what a solution is worth."""

from assaywright.records.models import Assay, Event
from assaywright.records.models.assays import REVIEWED, TITRATING, VOID


def standardisations_of(solution: str) -> list[Assay]:
    """Return the standardisations that tell what a solution is worth: the reviewed ones, else those sent or imported.

    While none has been reviewed, the others serve, and the release of what rests on them waits for their review.
    """
    every = Assay.objects.filter(kind="standardisation", about=solution).exclude(stage=VOID).order_by(
        "performed", "identity")
    reviewed = [one for one in every if one.stage == REVIEWED]
    return reviewed or [one for one in every if one.stage != TITRATING or one.version in _imported(one)]


def _imported(assay: Assay) -> set[int]:
    return set(Event.objects.filter(subject=assay.identity, kind="assay.imported").values_list("number", flat=True))
