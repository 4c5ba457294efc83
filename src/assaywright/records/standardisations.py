"""Which standardisations tell what a solution is worth."""

from collections.abc import Iterable
from typing import Any

from assaywright.records.models import Assay, Event
from assaywright.records.models.assays import REVIEWED, TITRATING, VOID
from assaywright.records.toml_text import DATE


def standardisations_of(solution: str) -> list[Assay]:
    """Return the standardisations that tell what a solution is worth: the reviewed ones, else those sent or imported.

    While none has been reviewed, the others serve, and the release of what rests on them waits for their review.
    """
    every = Assay.objects.filter(kind="standardisation", about=solution).exclude(stage=VOID).order_by(
        "performed", "identity")
    reviewed = [one for one in every if one.stage == REVIEWED]
    return reviewed or [one for one in every if one.stage != TITRATING or one.version in _imported(one)]


def let_pass_of(standardisations: Iterable[Assay]) -> list[dict[str, Any]]:
    """Return what authorised people have let pass of standardisations, as a worksheet's heading states it.

    It is stated when a worksheet is begun, so that what is accepted later changes no result that is on record.
    """
    from assaywright.records.accepted import accepted_of

    return [{"worksheet": one.identity, "kind": let.kind, "what": let.what, "reason": let.reason, "by": let.by,
             "function": let.function, "day": {DATE: let.day}}
            for one in standardisations for let in accepted_of(one.identity)]


def _imported(assay: Assay) -> set[int]:
    return set(Event.objects.filter(subject=assay.identity, kind="assay.imported").values_list("number", flat=True))
