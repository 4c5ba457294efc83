"""The equipment: vessels, balances, thermometers, reference materials."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.records.models import Instrument


@dataclass(frozen=True)
class EquipmentPage:
    """What the list shows."""

    instruments: list[Instrument]


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    page = EquipmentPage(list(Instrument.objects.order_by("identity")))
    return render(request, "web/equipment.html", {"page": page})
