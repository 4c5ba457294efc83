"""The people and their roles."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.records.models import Person


@dataclass(frozen=True)
class PeoplePage:
    """What the list shows."""

    people: list[Person]


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    page = PeoplePage(list(Person.objects.order_by("name")))
    return render(request, "web/people.html", {"page": page})
