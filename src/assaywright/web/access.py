"""Who may come in: people who are present, with their password; what is theirs to do."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.contrib.auth.backends import ModelBackend
from django.http import HttpRequest, HttpResponse

from assaywright.actions.permission import demand
from assaywright.records.models import Person
from assaywright.web.accounts import is_invented

View = Callable[..., HttpResponse]


class PresentPeople(ModelBackend):
    """Lets in accounts of people who are in the records and have not left; invented ones in a demonstration only.

    Asked anew at every request, so that the door is shut at once behind whoever leaves.
    """

    def user_can_authenticate(self, user: Any) -> bool:
        """Return whether the account's person is present."""
        return bool(user is not None and user.is_active
                    and Person.objects.filter(pk=user.get_username(), present=True).exists()
                    and (settings.DEMONSTRATION or not is_invented(user)))


def person_of(request: HttpRequest) -> Person:
    """Return the person who is signed in; the middleware has seen to it that there is one."""
    return Person.objects.get(pk=request.user.get_username())


def may(request: HttpRequest, *roles: str) -> bool:
    """Return whether the person who is signed in holds one of the roles."""
    person = person_of(request)
    return any(person.has(role) for role in roles)


def only(*roles: str) -> Callable[[View], View]:
    """Show a page to those who hold one of the roles; others are told whom to ask."""

    def guarded(view: View) -> View:
        @wraps(view)
        def asked(request: HttpRequest, *arguments: Any, **named: Any) -> HttpResponse:
            demand(request.user.get_username(), *roles)
            return view(request, *arguments, **named)

        return asked

    return guarded


def who_may(roles: tuple[str, ...]) -> list[Person]:
    """Return the people who hold one of the roles."""
    return [one for one in Person.objects.filter(present=True).order_by("name") if any(one.has(r) for r in roles)]


def too_often(request: HttpRequest, *_: Any, **__: Any) -> HttpResponse:
    """Answer after too many wrong passwords."""
    from assaywright.web.pages.errors import said

    return said(request, 429, "Too many wrong passwords",
                "Wait a quarter of an hour and sign in then, or ask an administrator for a link to choose a new one.")


def missing(request: HttpRequest, sentence: str) -> HttpResponse:
    """Answer that something is not in the records, and where to look for it."""
    from assaywright.web.pages.errors import said

    return said(request, 404, "Not in these records", sentence)
