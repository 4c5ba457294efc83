"""Signatures that were refused: a wrong password under a signature is an event of its own."""

from assaywright.actions.permission import demand
from assaywright.records.log import append
from assaywright.records.models import Event
from assaywright.records.models.people import ROLES


def signature_refuse(*, subject: str, meaning: str, by: str) -> Event:
    """Record that a signature in somebody's name was refused, because the password was wrong.

    Arguments:
        subject: number of what was to be signed.
        meaning: what the signature would have stated.

    Raises:
        Refusal: there is no such person.
    """
    demand(by, *ROLES)
    return append("signature.refused", subject=subject, by=by, payload={"meaning": meaning})
