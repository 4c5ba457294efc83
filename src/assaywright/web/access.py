"""Who may come in: people who are present, with their password; and what a repeated wrong one meets."""

from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.http import HttpRequest, HttpResponse

from assaywright.records.models import Person


class PresentPeople(ModelBackend):
    """Lets in accounts of people who are in the records and have not left."""

    def user_can_authenticate(self, user: Any) -> bool:
        """Return whether the account's person is present."""
        return bool(user is not None and user.is_active
                    and Person.objects.filter(pk=user.get_username(), present=True).exists())


def person_of(request: HttpRequest) -> Person:
    """Return the person who is signed in; the middleware has seen to it that there is one."""
    return Person.objects.get(pk=request.user.get_username())


def too_often(request: HttpRequest, *_: Any, **__: Any) -> HttpResponse:
    """Answer after too many wrong passwords."""
    from assaywright.web.pages.errors import said

    return said(request, 429, "Too many wrong passwords", "Wait a quarter of an hour, or ask an administrator.")
