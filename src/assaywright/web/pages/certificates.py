"""The certificates that went out: issued, downloaded, superseded by an amendment."""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from assaywright.actions import certificates as acts
from assaywright.records.files import read
from assaywright.records.models import Event
from assaywright.records.selectors.assays import signed_by
from assaywright.records.selectors.certificates import CertificateShown, certificate_lines, certificate_shown
from assaywright.records.selectors.history import Happened, history
from assaywright.reports.language import ENGLISH
from assaywright.web.forms import act_of, fresh_act, sign, tried, typed
from assaywright.web.pages.assays import sent_file
from assaywright.web.pages.errors import said


@dataclass(frozen=True)
class CertificatesPage:
    """What the list shows."""

    certificates: list[CertificateShown]


@dataclass(frozen=True)
class CertificatePage:
    """What a certificate's page shows."""

    shown: CertificateShown
    signed: tuple[str, ...]
    history: list[Happened]
    meaning: str
    act: str
    sentence: str = ""
    changed: str = ""
    language: str = ""
    languages: tuple[tuple[str, str], ...] = acts.PRINTED_IN


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all, the latest first."""
    return render(request, "web/certificates.html", {"page": CertificatesPage(certificate_lines())})


@require_POST
def issue(request: HttpRequest, identity: str) -> HttpResponse:
    """Issue the certificate of a released lot; the form stands on the lot's page."""
    return _issue(request, identity, lambda **said: acts.certificate_issue(lot=identity, **said))


@require_POST
def titrant(request: HttpRequest, identity: str) -> HttpResponse:
    """Issue the certificate of a titrant; the form stands on the solution's page."""
    return _issue(request, identity, lambda **said: acts.titrant_certificate_issue(solution=identity, **said))


def _issue(request: HttpRequest, identity: str, act: Callable[..., Event]) -> HttpResponse:
    found: list[str] = []

    def issued() -> None:
        sign(request, subject=identity, meaning=acts.MEANING)
        found.append(act(by=request.user.get_username(), language=_language(request),
                         act=act_of(request, "issue")).subject)

    sentence = tried(issued)
    if sentence:
        return said(request, 422, "The certificate was not issued", sentence)
    return redirect("certificates.show", found[0])


def _language(request: HttpRequest) -> str:
    """Return the language that a form asks for; English where it does not ask."""
    return typed(request).get("language", "") or ENGLISH


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show a certificate with its history; amend it."""
    certificate, fields, sentence = acts.certificate_of_number(identity), typed(request), ""
    if request.method == "POST":
        found: list[str] = []

        def amended() -> None:
            sign(request, subject=identity, meaning=acts.MEANING)
            event = acts.certificate_amend(number=identity, changed=fields.get("changed", ""),
                                           by=request.user.get_username(), language=_language(request),
                                           act=act_of(request, "amend"))
            found.append(event.subject)

        sentence = tried(amended)
        if not sentence:
            return redirect("certificates.show", found[0])
    shown = certificate_shown(certificate)
    page = CertificatePage(shown, signed_by(identity), history(identity), acts.MEANING, fresh_act(), sentence,
                           fields.get("changed", ""), fields.get("language", shown.language))
    return render(request, "web/certificates.show.html", {"page": page}, status=422 if sentence else 200)


@require_safe
def download(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the certificate's bytes as they were issued."""
    certificate = acts.certificate_of_number(identity)
    return sent_file(read(certificate.pdf_sha256), f"{identity}.pdf", "application/pdf")
