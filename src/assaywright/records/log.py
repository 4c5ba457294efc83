"""The only writer of events: one at a time, each with the hash of the one before, and what follows from it at once."""

import json
import threading
import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from django.db import connection, transaction

from assaywright.metrology.refusal import Refusal
from assaywright.records import clock
from assaywright.records.by_command import said_of_command
from assaywright.records.catalogue import EVENTS
from assaywright.records.chain import canonical, digest_of
from assaywright.records.models import Event, Head
from assaywright.records.passwords import PASSWORD_BY, said_of_password
from assaywright.records.plain_text import check_seen, cleaned
from assaywright.records.projections import project
from assaywright.records.projections.lengths import check_lengths

REFUSED = "signature.refused"  # it is nobody's signature
ADDED = ("by_command", "account_of_machine", PASSWORD_BY)  # what no act says of itself


_TURN = threading.Lock()


class AnotherAct(Refusal):
    """The same act was sent before, with another content."""


def append(
    kind: str, *, subject: str, by: str, payload: Mapping[str, Any], reason: str = "", act: str = "",
    expected: int | None = None, seen: int | None = None,
) -> Event:
    """Append an event, and write what follows from it into the other tables, all or nothing.

    Arguments:
        kind: of the catalogue.
        subject: number of what it concerns ("WS-26-0903", "lot 0941").
        by: identity of the person.
        payload: everything else, JSON.
        act: the client's own UUID for this act; sent twice, it is stored once.
        expected: version of the subject that the person looked at.
        seen: version that the subject has; with ``expected`` it keeps two people from overwriting each other.

    Raises:
        Refusal: a text holds what nobody sees, somebody else changed the subject meanwhile, or the same act was sent
            with another content.
    """
    act = act or str(uuid.uuid4())
    check_seen(subject, "number")
    check_seen(reason, "reason")
    text = canonical({**cleaned(payload), **_added(kind, payload, by)})
    with _in_turn(), transaction.atomic():
        head = Head.objects.select_for_update().get(pk=Head.ONLY)
        if (before := Event.objects.filter(act=act).first()) is not None:
            return _same(before, kind, subject, by, text)
        if expected is not None and seen is not None and expected != seen:
            raise Refusal(
                f"{subject} was changed by somebody else while it lay open here", where=subject,
                remedy="look at what is new; nothing you typed is lost, send it again if it still holds",
            )
        event = Event(
            number=head.number + 1, recorded_at=clock.written(clock.now()), schema=EVENTS[kind].schema, kind=kind,
            subject=subject, by=by, reason=reason, act=act, payload=text, previous=head.digest,
        )
        check_lengths(Event, event.fields())
        event.digest = digest_of(event.fields(), head.digest)
        event.save(force_insert=True)
        head.number, head.digest = event.number, event.digest
        head.save(update_fields=["number", "digest"])
        project(event)
        return event


def _added(kind: str, payload: Mapping[str, Any], by: str) -> dict[str, Any]:
    """Return what every event says of a command at the machine, and every signature of the password behind it."""
    signature = "meaning" in payload and kind != REFUSED
    return {**(said_of_password(by) if signature else {}), **said_of_command()}


@contextmanager
def _in_turn() -> Iterator[None]:
    """Let the threads of this process write to SQLite one after the other.

    SQLite would let them wait as well, but by asking again at ever longer intervals, up to a tenth of a second each.
    Whoever has begun to write already must not wait here for those who wait for that.
    """
    if connection.vendor != "sqlite" or connection.in_atomic_block:
        yield
        return
    with _TURN:
        yield


def _same(before: Event, kind: str, subject: str, by: str, text: str) -> Event:
    said = [{key: value for key, value in json.loads(one).items() if key not in ADDED}
            for one in (before.payload, text)]
    if (before.kind, before.subject, before.by, said[0]) != (kind, subject, by, said[1]):
        raise AnotherAct(
            f"the act {before.act} is on record already, as another one", where=subject,
            remedy="reload the page and enter it anew",
        )
    return before
