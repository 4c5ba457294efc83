"""Enquiries: what customers ask who do not find our figure, why the two may differ, and what they were told."""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions import enquiries as acts
from assaywright.actions.equipment import IN_CHARGE
from assaywright.assay.agree.finding import BLANKS, FIELDS
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Enquiry
from assaywright.records.models.enquiries import ANSWERED, OPEN, WITHDRAWN
from assaywright.records.selectors.enquiries import Asked, asked, compared_now
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.listed import Column, Filter, Listed, words_of
from assaywright.web.access import may, person_of
from assaywright.web.agreement import Agreement, agreement
from assaywright.web.enquiring import names_of
from assaywright.web.forms import (
    act_of,
    asked_for,
    chosen_act,
    fresh_act,
    shown_again,
    today,
    tried,
    typed,
    version_of,
)
from assaywright.web.listing import Listing, exported, listing

ENQUIRIES = Listed(
    "enquiries", Enquiry,
    (Column("number", "Number", "identity"), Column("received", "Received", "received"),
     Column("customer", "Customer", "asked_by"), Column("about", "Lot or solution", "about"),
     Column("found", "They found", text=lambda one: str(one.content["found"])), Column("state", "State", "state"),
     Column("answered", "Answered", text=lambda one: str(one.answered))),
    (Filter("state", "State", "state", options=words_of(OPEN, ANSWERED, WITHDRAWN)),
     Filter("customer", "Customer begins", "asked_by", begins=True),
     Filter("about", "Lot or solution begins", "about", begins=True)),
    "-received", period="received", period_words="Received",
    along=(Column("certificate", "Certificate", text=lambda one: str(one.certificate)),
           Column("characteristic", "Characteristic", text=lambda one: str(one.content["characteristic"])),
           *(Column(name, words, text=lambda one, name=name: str(one.content.get(name, "")))  # type: ignore[misc]
             for name, words in FIELDS.items() if name != "found"),
           Column("replies", "Replies", text=lambda one: str(len(one.content.get("replies", ()))))))


@dataclass(frozen=True)
class EnquiriesPage:
    """What the list shows."""

    listing: Listing


@dataclass(frozen=True)
class NewEnquiryPage:
    """What the form for an enquiry shows; ``names`` are the characteristics of its lot, where one is named."""

    about: str
    certificate: str
    names: tuple[str, ...]
    act: str
    today: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    blanks: tuple[str, ...] = BLANKS


@dataclass(frozen=True)
class EnquiryPage:
    """What an enquiry's page shows; ``proposed`` is a reply to begin from, for whoever may answer."""

    asked: Asked
    about_lot: bool
    agreement: Agreement
    history: list[Happened]
    act: str
    today: str
    may_reply: bool
    proposed: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all, the latest first."""
    if (file := exported(request, ENQUIRIES)) is not None:
        return file
    return render(request, "web/enquiries.html", {"page": EnquiriesPage(listing(request, ENQUIRIES))})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Take down an enquiry; the form stands on the pages of lots and certificates as well."""
    fields, sentence, found = typed(request), "", []
    if request.method == "POST":
        sentence = tried(lambda: found.append(_open(request, fields)))
        if not sentence:
            return redirect("enquiries.show", found[0])
    given = fields or asked_for(request)
    about, certificate = given.get("about", ""), given.get("certificate", "")
    page = NewEnquiryPage(about, certificate, names_of(about, certificate), fresh_act(), today().isoformat(), sentence,
                          shown_again(fields))
    return render(request, "web/enquiries.new.html", {"page": page}, status=422 if sentence else 200)


def _open(request: HttpRequest, fields: dict[str, str]) -> str:
    return acts.enquiry_open(
        about=fields.get("about", ""), certificate=fields.get("certificate", ""),
        characteristic=fields.get("characteristic", ""), asked_by=fields.get("asked_by", ""),
        received=fields.get("received", ""), fields={name: fields.get(name, "") for name in FIELDS},
        by=request.user.get_username(), act=act_of(request, "open")).subject


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show an enquiry with why the two figures may differ; answer it, withdraw it."""
    enquiry, fields, sentence = acts.enquiry(identity), typed(request), ""
    if request.method == "POST":
        sentence = chosen_act(request, lambda: _acts(request, identity, fields))
        if not sentence:
            return redirect("enquiries.show", identity)
    shown, may_reply = asked(enquiry), may(request, *IN_CHARGE)
    why = agreement(shown, compared_now(enquiry), person_of(request).name)
    page = EnquiryPage(
        shown, enquiry.content["of"] == acts.LOT, why, history(identity, of="enquiry"), fresh_act(),
        today().isoformat(), may_reply, shown.replies[-1].text if shown.replies else why.reply, sentence,
        shown_again(fields))
    return render(request, "web/enquiries.show.html", {"page": page}, status=422 if sentence else 200)


def _acts(request: HttpRequest, identity: str, fields: dict[str, str]) -> dict[str, Callable[[], object]]:
    by, act = request.user.get_username(), act_of(request, request.POST.get("do", ""))
    version = version_of(request)
    if version is None and request.POST.get("do"):
        raise Refusal("the page's version is missing", where="version", remedy="reload the page")
    return {
        "reply": lambda: acts.enquiry_reply(identity=identity, reply=fields.get("reply", ""), on=fields.get("on", ""),
                                            by=by, expected=version, act=act),
        "withdraw": lambda: acts.enquiry_withdraw(identity=identity, reason=fields.get("reason", ""), by=by,
                                                  expected=version, act=act)}
