"""The accounts beside the people of the records: they are outside the chain, so they are told one by one."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import User

from assaywright.records.models import Event, Person
from assaywright.web.accounts import is_invented

NONE, CLOSED, WAITING, OPEN = "none", "closed", "no password chosen yet", "open"


@dataclass(frozen=True)
class AccountTold:
    """A name to sign in with.

    Fields:
        identity: the name to sign in with.
        roles: of the person, as their row says; empty where there is no person.
        account: whether somebody can sign in by it.
        added_by_event: number of the event that added the person; None where none did.
    """

    identity: str
    roles: str
    account: str
    added_by_event: int | None


def accounts_told() -> tuple[list[AccountTold], list[str]]:
    """Return every name to sign in with, and in sentences what no act of this program leaves behind."""
    people = {one.identity: one for one in Person.objects.order_by("identity")}
    accounts = {one.get_username(): one for one in get_user_model().objects.order_by("username")}
    added: dict[str, int] = {}
    for subject, number in Event.objects.filter(kind="person.added").order_by("number").values_list(
            "subject", "number"):
        added.setdefault(subject, number)
    names = sorted({*people, *accounts})
    told = [AccountTold(one, _roles(people.get(one)), _state(accounts.get(one)), added.get(one)) for one in names]
    faults = [fault for name, account in accounts.items()
              for fault in _faults(name, account, people.get(name), added.get(name))]
    return told, faults


def _roles(person: Person | None) -> str:
    if person is None:
        return ""
    return person.roles if person.present else f"has left ({person.roles})"


def _state(account: User | None) -> str:
    if account is None:
        return NONE
    if not account.is_active:
        return CLOSED
    return OPEN if account.has_usable_password() else WAITING


def _faults(name: str, account: User, person: Person | None, event: int | None) -> Iterator[str]:
    if person is None or event is None:
        yield f"the account {name} has nobody of the records behind it"
    elif account.is_active and not person.present:
        yield f"the account {name} is open, and {person.name} has left"
    if account.is_staff or account.is_superuser:
        yield f"the account {name} bears a mark (staff or superuser) that this program never gives"
    if account.user_permissions.exists():
        yield f"the account {name} bears permissions that this program never gives"
    if is_invented(account) and not settings.DEMONSTRATION:
        yield f"the account {name} is one of the demonstration, whose password everybody may know"
