"""An act that is sent twice: the second sending finds the event of the first, even where the state has moved on."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

from assaywright.metrology.refusal import Refusal
from assaywright.records.log import AnotherAct
from assaywright.records.models import Event

P = ParamSpec("P")


def repeatable(act: Callable[P, Event]) -> Callable[P, Event]:
    """Let an action answer a repeated sending of the same act by the same person with the event that is there.

    A lot that has been released cannot be released again, and would refuse; yet whoever sends the same act once more,
    because the answer was lost on its way, has done nothing wrong.
    """

    @wraps(act)
    def answered(*args: P.args, **kwargs: P.kwargs) -> Event:
        try:
            return act(*args, **kwargs)
        except AnotherAct:
            raise
        except Refusal:
            sent, by = kwargs.get("act"), kwargs.get("by")
            before = Event.objects.filter(act=sent, by=by).first() if sent else None
            if before is None:
                raise
            return before

    return answered
