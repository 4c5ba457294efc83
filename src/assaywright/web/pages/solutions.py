"""The solutions: titrants with what they are worth."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.records.models import Solution


@dataclass(frozen=True)
class SolutionsPage:
    """What the list shows."""

    solutions: list[Solution]


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    page = SolutionsPage(list(Solution.objects.order_by("identity")))
    return render(request, "web/solutions.html", {"page": page})
