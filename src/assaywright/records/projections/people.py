"""What follows for people."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import Event, Person
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows


@follows("person.added")
def _added(event: Event, payload: dict[str, Any]) -> None:
    rows(Person).create(
        identity=event.subject, name=payload["name"], roles=", ".join(payload["roles"]), version=event.number,
        body=canonical({"function": payload.get("function", ""), "since": event.recorded_at}),
    )


@follows("person.roles.changed")
def _roles(event: Event, payload: dict[str, Any]) -> None:
    rows(Person).filter(pk=event.subject).update(roles=", ".join(payload["roles"]), version=event.number)


@follows("person.left")
def _left(event: Event, payload: dict[str, Any]) -> None:
    rows(Person).filter(pk=event.subject).update(present=False, version=event.number)


@follows("person.link.made", "person.password.chosen")
def _password(event: Event, payload: dict[str, Any]) -> None:
    """Nothing follows: passwords are outside the records, and these events say only that there is another one."""


@follows("signature.refused")
def _refused(event: Event, payload: dict[str, Any]) -> None:
    """Nothing follows: the event itself is the log of refused signatures."""
