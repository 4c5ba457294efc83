"""The methods, by edition."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.records.models import MethodEdition


@dataclass(frozen=True)
class MethodsPage:
    """What the list shows."""

    methods: list[MethodEdition]


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    page = MethodsPage(list(MethodEdition.objects.order_by("name")))
    return render(request, "web/methods.html", {"page": page})
