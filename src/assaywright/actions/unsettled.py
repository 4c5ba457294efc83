"""A signature counts for the figures that were signed: where they come out otherwise, it is asked for anew.

A worksheet rests on others. When one of these is reviewed anew, and a result above is printed otherwise than it was
signed, that worksheet goes back to the reviewer's desk, in the same transaction. The old signature stays on record as
one of the old figures.
"""

from typing import Any

from assaywright.assay.result import Outcome
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import evaluate_assay
from assaywright.records.log import append
from assaywright.records.models import Assay, Event, Result
from assaywright.records.models.assays import IN_REVIEW, REVIEWED
from assaywright.records.printed import printed, printed_now
from assaywright.records.selectors.above import below, resting_on


def signed_content(assay: Assay) -> dict[str, Any]:
    """Return what a review binds besides the worksheet: the printed result, and what it rests on by its hashes.

    Raises:
        Refusal: the result comes out otherwise now than when it was sent to review.
    """
    from assaywright.actions.assays import sha256_of

    sent = Result.objects.filter(assay=assay.identity).order_by("id").last()
    if sent is None:
        raise Refusal("no result of it is on record", where=assay.identity, remedy="let it be sent to review once more")
    before, now = printed(sent), printed_now(evaluate_assay(assay))
    if before != now:
        raise Refusal(f"its result was {before} when it was sent, and is {now} now: what it rests on has changed",
                      where=assay.identity, remedy="send it back, so that it is looked at and sent anew")
    return {
        "result": {"event": sent.pk, "printed": before, "value": sent.value, "unit": sent.unit,
                   "expanded_uncertainty": sent.expanded_uncertainty},
        "rests_on": {one.identity: sha256_of(one) for one in below(assay)},
    }


def unsettle_above(reviewed: Event) -> None:
    """Send back to review every worksheet above one that is reviewed anew, whose printed result is another now.

    Arguments:
        reviewed: the event by which the one below was signed.
    """
    assay = Assay.objects.get(pk=reviewed.subject)
    for above in resting_on(assay).assays:
        signed = Result.objects.filter(assay=above.identity).order_by("id").last()
        if above.stage not in (REVIEWED, IN_REVIEW) or signed is None:
            continue
        before, outcome, now = printed(signed), _outcome(above), "none that can be computed"
        if outcome is not None and (now := printed_now(outcome)) == before:
            continue
        append("assay.unsettled", subject=above.identity, by=reviewed.by,
               reason=f"{assay.identity} was reviewed anew (event {reviewed.number})",
               payload={"upstream": assay.identity, "event": reviewed.number, "result_before": before,
                        "result_now": now, **_result(above, outcome)})


def _outcome(assay: Assay) -> Outcome | None:
    try:
        return evaluate_assay(assay)
    except Refusal:
        return None


def _result(assay: Assay, outcome: Outcome | None) -> dict[str, Any]:
    from assaywright.actions.assays import result_payload

    return {} if outcome is None else result_payload(assay, outcome)
