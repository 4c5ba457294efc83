"""Who works here, and as what."""

import re

from assaywright.actions.names import RESERVED, in_one_form
from assaywright.actions.permission import checked_roles, demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.records.log import append
from assaywright.records.models import Event, Person
from assaywright.records.models.people import ADMINISTRATOR, SIGNATORY
from assaywright.records.plain_text import check_seen

COMMAND = "by command"  # who adds the first administrator, at the machine itself
AT_THE_MACHINE = "have it done by command at the machine that keeps the records"
IDENTITY = re.compile(r"[a-z][a-z0-9.-]{1,38}")


@repeatable
def person_add(*, identity: str, name: str, roles: list[str], by: str, function: str = "", act: str = "") -> Event:
    """Add somebody to the laboratory's people.

    Raises:
        Refusal: the name to sign in with is taken or not one, a role is unknown, somebody would hold both the accounts
            and the signature, or ``by`` may not.
    """
    if by != COMMAND:
        demand(by, ADMINISTRATOR)
    if not IDENTITY.fullmatch(identity):
        raise Refusal(f"'{identity}' cannot serve to sign in", where="sign-in name",
                      remedy="use 2 to 39 small letters, digits, full stops or hyphens, beginning with a letter")
    if identity in RESERVED or ".." in identity or identity.endswith("."):
        raise Refusal(f"'{identity}' cannot serve to sign in, as a page is called so" if identity in RESERVED else
                      f"'{identity}' cannot serve to sign in", where="sign-in name", remedy="choose another")
    if Person.objects.filter(pk=identity).exists():
        raise Refusal(f"'{identity}' is taken", where="sign-in name", remedy="choose another")
    _not_both(roles, by)
    check_seen(name, "name")
    if not name.strip():
        raise Refusal("the name is empty", where="name", remedy="write the name as it stands on certificates")
    return append("person.added", subject=identity, by=by, act=act,
                  payload={"name": in_one_form(name), "roles": checked_roles(roles), "function": function.strip()})


@repeatable
def person_change_roles(
    *, identity: str, roles: list[str], by: str, reason: str, expected: int | None = None, act: str = ""
) -> Event:
    """Give somebody other roles; a reason is asked for. Nobody widens their own.

    Raises:
        Refusal: no such person, an unknown role, the last administrator, more roles for oneself, the accounts and the
            signature in one hand, no reason, or ``by`` may not.
    """
    if by != COMMAND:
        demand(by, ADMINISTRATOR)
    person = _present(identity)
    wanted = checked_roles(roles)
    if not (person.has(ADMINISTRATOR) and person.has(SIGNATORY)):
        _not_both(wanted, by)
    if by == identity and any(not person.has(role) for role in wanted):
        raise Refusal("nobody widens their own roles", where="roles",
                      remedy=f"let another administrator do it, or {AT_THE_MACHINE}")
    if ADMINISTRATOR not in wanted:
        _not_the_last_administrator(person)
    return append("person.roles.changed", subject=identity, by=by, act=act, expected=expected, seen=person.version,
                  reason=needed(reason, "the reason", "reason"), payload={"roles": wanted})


@repeatable
def person_leave(*, identity: str, by: str, reason: str, act: str = "") -> Event:
    """Record that somebody has left: they can no longer sign in, and everything they did stays.

    Raises:
        Refusal: no such person, the last administrator, no reason, or ``by`` may not.
    """
    if by != COMMAND:
        demand(by, ADMINISTRATOR)
    person = _present(identity)
    _not_the_last_administrator(person)
    return append("person.left", subject=identity, by=by, act=act, payload={},
                  reason=needed(reason, "the reason", "reason"))


def _present(identity: str) -> Person:
    person = Person.objects.filter(pk=identity, present=True).first()
    return Refusal.unless(person, f"nobody here is called '{identity}'", where="sign-in name",
                          remedy="choose somebody from the list")


def _not_both(roles: list[str], by: str) -> None:
    """Keep whoever gives out accounts from signing certificates, unless it was decided at the machine itself."""
    if by != COMMAND and ADMINISTRATOR in roles and SIGNATORY in roles:
        raise Refusal(f"{ADMINISTRATOR} and {SIGNATORY} in one hand are not given by an administrator", where="roles",
                      remedy=f"choose one of the two, or {AT_THE_MACHINE}")


def _not_the_last_administrator(person: Person) -> None:
    others = [one for one in Person.objects.filter(present=True).exclude(pk=person.pk) if one.has(ADMINISTRATOR)]
    if person.has(ADMINISTRATOR) and not others:
        raise Refusal(f"{person.name} is the last administrator", where="roles",
                      remedy="make somebody else administrator first")
