"""Sending a worksheet to review without something that was read at the bench: only with the reason, place by place."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from assaywright.actions.reasons import needed
from assaywright.assay.result import Outcome
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Assay, Person
from assaywright.records.selectors.left_at_bench import LeftPlace, left_at_bench
from assaywright.records.set_aside import KIND, SET_ASIDE, place_of


class NotSetAside(Refusal):
    """A determination held all its readings, is not on record, and nobody has said why it does not count.

    Fields:
        left: that and whatever else is to be recorded or set aside.
    """

    left: tuple[LeftPlace, ...] = ()


def left_payload(assay: Assay, reasons: Mapping[int, str], by: str) -> dict[str, Any]:
    """Return what the event that sends a worksheet to review says of what was left at the bench.

    Arguments:
        reasons: why a determination does not count, by its number; 0 for the blank.
        by: who sends it.

    Raises:
        Refusal: a determination held all its readings, is not on record, and is not set aside: not now, and not when
            the worksheet was sent before; or a reason tells nothing.
    """
    left = left_at_bench(assay)
    if not left:
        return {}
    waiting = tuple(one for one in left if one.whole and not one.reason and not reasons.get(one.place, "").strip())
    if waiting:
        raise _not_set_aside(assay, waiting)
    told = [(one, *_reason(one, reasons, by)) for one in left]
    names = dict(Person.objects.values_list("identity", "name"))
    return {
        "left_at_bench": [one.said + (f"; does not count, says {names.get(who, who)}: {reason}" if reason else "")
                          for one, reason, who in told],
        **({SET_ASIDE: aside} if (aside := [
            {"place": one.place, "reason": reason, "by": who, "whole": one.whole}
            for one, reason, who in told if reason]) else {})}


def as_not_sent_before(assay: Assay, outcome: Outcome) -> Outcome:
    """Return an outcome without what holds it since the worksheet was sent before: it is sent anew, and said anew."""
    return replace(outcome, remarks=tuple(
        one for one in outcome.remarks if (one.kind, one.where) != (KIND, place_of(assay.identity))))


def held_by(said: Mapping[str, Any], result: Mapping[str, Any]) -> dict[str, Any]:
    """Return whether a result goes as it is: not where a whole determination is set aside by what is said of it."""
    whole = any(one["whole"] for one in said.get(SET_ASIDE, ()))
    return {"releasable": result["releasable"] and not whole}


def _not_set_aside(assay: Assay, waiting: tuple[LeftPlace, ...]) -> NotSetAside:
    found = NotSetAside(
        " and ".join(one.opening for one in waiting), where=assay.identity,
        remedy="record it, and exclude it with a reason if it is not to count; or send with a reason why "
               f"{' and '.join(one.named for one in waiting)} {'does' if len(waiting) == 1 else 'do'} not count")
    found.left = waiting
    return found


def _reason(one: LeftPlace, reasons: Mapping[int, str], by: str) -> tuple[str, str]:
    """Return why something does not count and who says so; both empty where nobody does."""
    text = reasons.get(one.place, "")
    if text.strip() in ("", one.reason):
        return one.reason, one.by
    return needed(text, f"the reason why {one.named} does not count", "reason"), by
