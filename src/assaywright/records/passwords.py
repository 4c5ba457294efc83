"""By whose doing somebody has the password that they sign with: what the events say of links and commands.

The password itself is in no event. But whoever makes a link for somebody could open it, and then sign in that person's
name. So each signature under such a password says whose link it was, and nobody releases or certifies what rests on a
signature behind which their own link stands.
"""

import json
from typing import Any

from assaywright.records.models import Event

LINK, COMMAND, OWN = "by link", "by command", "own change, the old password was asked for"
MADE, CHOSEN = "person.link.made", "person.password.chosen"
PASSWORD_BY = "password_by"  # noqa: S105 - name of a field


def link_before(identity: str) -> Event | None:
    """Return the event by which the last link was made for somebody, or None."""
    return Event.objects.filter(subject=identity, kind=MADE).order_by("number").last()


def said_of_password(identity: str) -> dict[str, Any]:
    """Return what a signature says of the password: whose link or command it was last set by, on which day.

    A change of one's own takes nothing back: whoever opened the link first could have made it.
    """
    chosen = Event.objects.filter(subject=identity, kind=CHOSEN).order_by("-number")
    for event in chosen:
        payload = json.loads(event.payload)
        if payload["how"] != OWN:
            return {PASSWORD_BY: {"how": payload["how"], "link_of": payload.get("link_of", ""),
                                  "on": event.recorded_at[:10], "event": event.number}}
    return {}


def told_of_password(payload: dict[str, Any], names: dict[str, str]) -> str:
    """Return in words what a signature says of the password; empty where it says nothing."""
    said = payload.get(PASSWORD_BY)
    if not isinstance(said, dict):
        return ""
    maker = str(said.get("link_of", ""))
    how = f"by link of {names.get(maker, maker)}" if maker else str(said.get("how", ""))
    return f"password set {how} on {said.get('on', '')}"


def signed_behind_link(subjects: set[str], maker: str) -> Event | None:
    """Return the first signature under something whose password was set by a link of somebody else's making, or None.

    Arguments:
        subjects: numbers of what was signed.
        maker: who made the link, by the name to sign in with.
    """
    signed = Event.objects.filter(subject__in=subjects, payload__contains=f'"{PASSWORD_BY}"').exclude(by=maker)
    for event in signed.order_by("number"):
        if json.loads(event.payload)[PASSWORD_BY].get("link_of") == maker:
            return event
    return None
