"""The certificates that went out: issued, downloaded, superseded by an amendment, withdrawn."""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from assaywright.actions import certificates as acts
from assaywright.assay.certificate_changes import CertificateChange
from assaywright.metrology.refusal import Refusal
from assaywright.records.files import read
from assaywright.records.models import Certificate, Event, Product
from assaywright.records.models.people import SIGNATORY
from assaywright.records.selectors.above import Differs, differing_from
from assaywright.records.selectors.assays import signed_by
from assaywright.records.selectors.certificates import (
    CertificateShown,
    certificate_lines,
    certificate_shown,
    of_product,
    standing_of,
)
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.listed import Column, Filter, Listed, values_of
from assaywright.reports.language import ENGLISH
from assaywright.web.access import may
from assaywright.web.enquiring import Enquiring, enquiring
from assaywright.web.forms import act_of, fresh_act, shown_again, sign, today, tried, typed
from assaywright.web.listing import Listing, exported, listing
from assaywright.web.pages.assays import sent_file
from assaywright.web.pages.errors import said
from assaywright.web.said import in_words

NOT_SUPERSEDED, SUPERSEDED = "not superseded", "superseded"
CERTIFICATES = Listed(
    "certificates", Certificate,
    (Column("number", "Number", "number"), Column("product", "Product", text=lambda one: str(
        one.content.get("product", ""))), Column("lot", "Lot", "lot"), Column("issued", "Issued", "issued"),
     Column("signed", "Signed by", text=lambda one: str(one.content.get("signed_by", ""))),
     Column("standing", "Standing", text=standing_of), Column("file", "File")),
    (Filter("product", "Product of the lot", options=lambda: values_of(Product, "name"), condition=of_product),
     Filter("standing", "Standing", options=lambda: [(one, one) for one in (NOT_SUPERSEDED, SUPERSEDED)],
            condition=lambda text: ~Q(superseded_by="") if text == SUPERSEDED else Q(superseded_by="")),
     Filter("lot", "Lot begins", "lot", begins=True)),
    "-issued", period="issued", period_words="Issued")


@dataclass(frozen=True)
class CertificatesPage:
    """What the list shows."""

    listing: Listing
    certificates: list[CertificateShown]


@dataclass(frozen=True)
class Amending:
    """What the form for an amendment shows: what differs from what is on record, or why there can be none.

    Fields:
        seen: mark of the differences that are shown.
    """

    changes: tuple[CertificateChange, ...] = ()
    trouble: str = ""
    seen: str = ""


@dataclass(frozen=True)
class CertificatePage:
    """What a certificate's page shows."""

    shown: CertificateShown
    signed: tuple[str, ...]
    history: list[Happened]
    meaning: str
    act: str
    amending: Amending | None
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    language: str = ""
    languages: tuple[tuple[str, str], ...] = acts.PRINTED_IN
    withdrawn_meaning: str = acts.WITHDRAWN_MEANING
    differs: tuple[Differs, ...] = ()
    enquiring: Enquiring = field(default_factory=Enquiring)
    today: str = ""


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all, the latest first."""
    if (file := exported(request, CERTIFICATES)) is not None:
        return file
    shown = listing(request, CERTIFICATES)
    page = CertificatesPage(shown, certificate_lines(shown.rows))
    return render(request, "web/certificates.html", {"page": page})


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
    """Show a certificate with its history; amend it, withdraw it."""
    certificate, fields, sentence = acts.certificate_of_number(identity), typed(request), ""
    if request.method == "POST":
        found: list[str] = []
        act = _withdraw if fields.get("do") == "withdraw" else _amend
        sentence = tried(lambda: found.append(act(request, identity, fields)))
        if not sentence:
            return redirect("certificates.show", found[0])
    shown = certificate_shown(certificate)
    page = CertificatePage(
        shown, signed_by(identity), history(identity, of="certificate"), acts.MEANING, fresh_act(),
        _amending(request, shown), sentence, shown_again(fields), fields.get("language", shown.language),
        differs=differing_from(certificate), enquiring=enquiring(certificate.lot, identity), today=today().isoformat())
    return render(request, "web/certificates.show.html", {"page": page}, status=422 if sentence else 200)


def _amend(request: HttpRequest, identity: str, fields: dict[str, str]) -> str:
    sign(request, subject=identity, meaning=acts.MEANING)
    return acts.certificate_amend(
        number=identity, changed=fields.get("changed", ""), by=request.user.get_username(), language=_language(request),
        seen=fields.get("seen"), act=act_of(request, "amend")).subject


def _withdraw(request: HttpRequest, identity: str, fields: dict[str, str]) -> str:
    sign(request, subject=identity, meaning=acts.WITHDRAWN_MEANING)
    return acts.certificate_withdraw(number=identity, reason=fields.get("reason", ""), by=request.user.get_username(),
                                     act=act_of(request, "withdraw")).subject


def _amending(request: HttpRequest, shown: CertificateShown) -> Amending | None:
    """Return what differs, for whoever may amend the certificate; None for others, and once another took its place."""
    if shown.certificate.superseded_by or not may(request, SIGNATORY):
        return None
    try:
        changes = acts.changes_on_record(shown.certificate.number, by=request.user.get_username())
    except Refusal as refusal:
        return Amending(trouble=in_words(refusal))
    return Amending(changes, seen=acts.seen_as(changes))


@require_safe
def download(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the certificate's bytes as they were issued; the file's name says when it is no longer in force."""
    certificate = acts.certificate_of_number(identity)
    return sent_file(read(certificate.pdf_sha256), certificate_shown(certificate).file_name, "application/pdf")
