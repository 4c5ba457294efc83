"""The certificates that went out."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.records.models import Certificate


@dataclass(frozen=True)
class CertificatesPage:
    """What the list shows."""

    certificates: list[Certificate]


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    page = CertificatesPage(list(Certificate.objects.order_by("number")))
    return render(request, "web/certificates.html", {"page": page})
