"""The authority's certificate, for devices that are to open the bench page without the server; what trusting means."""

from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.web.access import missing
from assaywright.web.authority import der, names_of
from assaywright.web.tls import fingerprint

FILE = "assaywright-authority.crt"


@dataclass(frozen=True)
class TrustPage:
    """What the page says: the authority's fingerprint and what it may vouch for; neither where there is none."""

    fingerprint: str
    names: tuple[str, ...]
    plain: bool


@require_safe
def show(request: HttpRequest) -> HttpResponse:
    """Say how a tablet is told to trust this server, and what that means."""
    file = _file()
    page = TrustPage(fingerprint(file), names_of(file), plain=False) if file else TrustPage(
        "", (), plain=not request.is_secure())
    return render(request, "web/trust.html", {"page": page})


@require_safe
def download(request: HttpRequest) -> HttpResponse:
    """Send the authority's certificate in the form that tablets install."""
    file = _file()
    if file is None:
        return missing(request, "This server has no authority of its own; there is nothing to install.")
    answer = HttpResponse(der(file), content_type="application/x-x509-ca-cert")
    answer.headers["Content-Disposition"] = f'attachment; filename="{FILE}"'
    return answer


def _file() -> Path | None:
    """Return the file of the authority's certificate; None where the server was given a certificate, or has no TLS."""
    found: Path | None = settings.AUTHORITY
    return found if found is not None and found.exists() else None
