"""Accounts: the passwords that go with people. Who they are and what they may do stands in the records.

An account begins without a password. Its owner chooses one, by a link that an administrator hands over and that serves
once within three days; so nobody ever knows somebody else's.
"""

from typing import Any
from urllib.parse import urlencode

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group, User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.db import transaction

from assaywright.metrology.refusal import Refusal

INVENTED = "invented people of the demonstration"
links = PasswordResetTokenGenerator()


def account_of(identity: str) -> User | None:
    """Return the account of a person; None where there is none yet."""
    return get_user_model().objects.filter(username=identity).first()


def account_make(identity: str) -> User:
    """Return the account of a person, made without a password where there is none."""
    found, made = get_user_model().objects.get_or_create(username=identity)
    if made:
        found.set_unusable_password()
        found.save()
    return found


def person_with_account(**told: Any) -> None:
    """Add a person and make the account, both or neither.

    Arguments:
        told: as for :func:`~assaywright.actions.people.person_add`.

    Raises:
        Refusal: as there.
    """
    from assaywright.actions.people import person_add

    with transaction.atomic():
        person_add(**told)
        account_make(str(told["identity"]))


def invented_account_make(identity: str, password: str) -> None:
    """Make the account of an invented person, with a password that everybody may know."""
    account = account_make(identity)
    account.set_password(password)
    account.save()
    account.groups.add(Group.objects.get_or_create(name=INVENTED)[0])


def is_invented(account: Any) -> bool:
    """Return whether an account belongs to the demonstration."""
    return bool(account.groups.filter(name=INVENTED).exists())


def password_set(account: User, password: str, again: str) -> None:
    """Give an account a password, and end its sessions.

    Raises:
        Refusal: the two differ, or the password breaks a rule; the sentence says which.
    """
    if password != again:
        raise Refusal("the two passwords differ", where="new password", remedy="type the same one twice")
    try:
        validate_password(password, account)
    except ValidationError as problem:
        reasons = " ".join(problem.messages).rstrip(".")
        raise Refusal(f"{reasons[:1].lower()}{reasons[1:]}", where="new password",
                      remedy="choose another, such as a few words that do not belong together") from problem
    with transaction.atomic():
        account.set_password(password)
        account.save()
        sessions_end(account)


def link_path(account: User) -> str:
    """Return the path, below the site's address, of a link that lets its holder choose the account's password once."""
    return f"choose-password?{urlencode({'name': account.get_username(), 'link': links.make_token(account)})}"


def account_of_link(identity: str, link: str) -> User | None:
    """Return the account that a link belongs to; None where it has been used, is too old or none of ours."""
    account = account_of(identity)
    return account if account is not None and links.check_token(account, link) else None


def account_close(identity: str) -> None:
    """Close an account: no password opens it, and its sessions end at once."""
    account = account_make(identity)
    with transaction.atomic():
        account.is_active = False
        account.set_unusable_password()
        account.save()
        sessions_end(account)


def sessions_end(account: User) -> None:
    """End every session of an account."""
    for session in Session.objects.iterator():
        if session.get_decoded().get("_auth_user_id") == str(account.pk):
            session.delete()
