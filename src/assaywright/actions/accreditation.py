"""What the laboratory's accreditation covers: stated by its management, line by line; nothing else is presented so."""

from typing import Any

from assaywright.actions.names import number
from assaywright.actions.permission import demand
from assaywright.actions.reasons import day, needed
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.records.accreditation import LINE
from assaywright.records.log import append
from assaywright.records.models import Accreditation, Event
from assaywright.records.models.people import MANAGEMENT

NONE = "none"


@repeatable
def accreditation_state(
    *, identity: str, scope: str, since: str, covers: list[dict[str, Any]], by: str, reason: str = "", act: str = ""
) -> Event:
    """State what the accreditation covers from a day on, in place of what was stated before.

    Arguments:
        identity: number of the accreditation; with no line to cover it may stay empty, and there is none from then on.
        scope: in the words of its certificate.
        since: first day [ISO 8601].
        covers: lines with method, product and characteristic. What stays empty restricts nothing, but for the method:
            a line without one covers what is entered and not titrated, and then names what of.

    Raises:
        Refusal: a line names nothing, an accreditation without number, scope or day, a second statement without a
            reason, or ``by`` may not.
    """
    demand(by, MANAGEMENT)
    lines = [_line(one, place) for place, one in enumerate(covers, 1)]
    stated = number(identity, "the accreditation’s number", "number") if lines or identity.strip() else ""
    scope = needed(scope, "the scope", "scope") if lines else scope.strip()
    if Accreditation.objects.exists():
        reason = needed(reason, "the reason for stating it anew", "reason")
    return append("accreditation.stated", subject=stated or NONE, by=by, act=act, reason=reason.strip(), payload={
        "number": stated, "scope": scope, "since": day(since, "since"), "covers": lines})


def _line(given: dict[str, Any], place: int) -> dict[str, str]:
    line = {key: " ".join(str(given.get(key, "")).split()) for key in LINE}
    line["method"] = line["method"].removesuffix(".toml")
    if not (line["method"] or line["characteristic"]):
        raise Refusal("it names no method and no characteristic", where=f"line {place}",
                      remedy="name the method of a titration, or the characteristic that is found otherwise")
    return line
