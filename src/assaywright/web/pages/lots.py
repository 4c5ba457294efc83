"""The lots: what was made, and where each stands."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.records.models import Lot


@dataclass(frozen=True)
class LotsPage:
    """What the list shows."""

    lots: list[Lot]


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    page = LotsPage(list(Lot.objects.order_by("identity")))
    return render(request, "web/lots.html", {"page": page})
