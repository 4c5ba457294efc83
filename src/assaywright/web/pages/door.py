"""The door: signing in and out, choosing and changing a password, and whether the program is well."""

import logging
from dataclasses import dataclass

from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from assaywright.actions.passwords import password_chosen
from assaywright.metrology.refusal import Refusal
from assaywright.records import passwords
from assaywright.records.models import Person
from assaywright.web import accounts, demonstration, unsent
from assaywright.web.unsent import Unsent

signed_in = logging.getLogger("assaywright.sign-in")
LONGEST_NAME = 60
WRONG = "Name and password do not go together, or the account is closed. Try again, or ask an administrator."
KEPT = "You are signed in. This is what was typed before; send it on if it still holds."
CHOSEN = "The password is chosen. Sign in with it."


@dataclass(frozen=True)
class Invented:
    """An invented person of the demonstration, to sign in as."""

    identity: str
    name: str
    roles: str


@dataclass(frozen=True)
class DoorPage:
    """What the door shows.

    Fields:
        name: as typed.
        onwards: path to go to after signing in.
        sentence: why signing in was refused; empty at first.
        note: why somebody is asked to sign in.
        unsent: the sealed form that waits to be sent.
        invented: people of the demonstration, whose password everybody may know.
        password: theirs.
    """

    name: str
    onwards: str
    sentence: str
    note: str
    unsent: str
    invented: tuple[Invented, ...]
    password: str


@dataclass(frozen=True)
class PasswordPage:
    """What the page shows on which a password is chosen or changed.

    Fields:
        name: identity of the person.
        link: by which it is chosen; empty where the present one is asked for.
        sentence: why it was refused.
        note: what has been done.
    """

    name: str
    link: str
    sentence: str
    note: str


def show_door(request: HttpRequest, note: str = "", *, unsent: Unsent | None = None, status: int = 401) -> HttpResponse:
    """Return the door, with what was typed before and waits to be sent."""
    from assaywright.web.unsent import sealed

    return _door(request, note=note, waiting=sealed(unsent) if unsent else "", status=status)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in with name and password; then back to the page, or to what was typed and not taken."""
    if request.method != "POST":
        return _door(request, note=CHOSEN if "chosen" in request.GET else "", status=200)
    name = _name(request)
    user = authenticate(request, username=name, password=request.POST.get("password", ""))
    if user is None:
        return _door(request, sentence=WRONG, waiting=request.POST.get("unsent", ""), status=401)
    login(request, user)
    signed_in.info("%s signed in from %s", name, request.META.get("REMOTE_ADDR", ""))
    waiting = unsent.unsealed(request.POST.get("unsent", ""))
    return unsent.page(request, waiting, KEPT) if waiting else redirect(_onwards(request))


def _door(request: HttpRequest, *, status: int, sentence: str = "", note: str = "", waiting: str = "") -> HttpResponse:
    page = DoorPage(
        _name(request) if sentence else "", _onwards(request), sentence, note, waiting,
        tuple(Invented(*one) for one in demonstration.PEOPLE) if settings.DEMONSTRATION else (),
        demonstration.PASSWORD if settings.DEMONSTRATION else "")
    return render(request, "web/sign-in.html", {"page": page}, status=status)


def _name(request: HttpRequest) -> str:
    """Return the name to sign in with as typed, cut to a length that no name has."""
    return request.POST.get("name", "").replace("\0", "").strip().lower()[:LONGEST_NAME]


def _onwards(request: HttpRequest) -> str:
    """Return where to go after signing in: a page of this site, never another's."""
    onwards = request.POST.get("next") or request.GET.get("next") or "/"
    safe = url_has_allowed_host_and_scheme(onwards, {request.get_host()}, require_https=request.is_secure())
    return onwards if safe else "/"


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign out, so that somebody else can use the tablet; the next person comes to the same page."""
    onwards = _onwards(request)
    logout(request)
    return redirect(f"{reverse('sign-in')}?{urlencode({'next': onwards})}")


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """Change one's own password; the present one is asked for, and wrong ones count as at the door."""
    name = request.user.get_username()
    if request.method != "POST":
        return _password(request, name, note="The password is changed." if "changed" in request.GET else "")
    user = authenticate(request, username=name, password=request.POST.get("password", ""))
    if user is None:
        return _password(request, name, sentence="That is not the present password; type it again.", status=422)
    account = accounts.account_make(name)
    try:
        with transaction.atomic():
            password_chosen(identity=name, how=passwords.OWN)
            accounts.password_set(account, request.POST.get("new_password", ""), request.POST.get("again_password", ""))
    except Refusal as refusal:
        return _password(request, name, sentence=str(refusal), status=422)
    request.session.create()
    login(request, account, backend="assaywright.web.access.PresentPeople")
    update_session_auth_hash(request, account)
    return redirect(f"{reverse('password')}?changed")


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def choose_password(request: HttpRequest) -> HttpResponse:
    """Choose a password by a link that an administrator has handed over; it serves once."""
    given = request.POST if request.method == "POST" else request.GET
    name, link = given.get("name", "").replace("\0", ""), given.get("link", "")
    account = accounts.account_of_link(name, link)
    if account is None or not Person.objects.filter(pk=name, present=True).exists():
        return _password(request, "", sentence="This link has been used, is older than three days, or is not complete; "
                         "ask an administrator for a new one.", status=403)
    if request.method != "POST":
        return _password(request, name, link=link)
    try:
        with transaction.atomic():
            password_chosen(identity=name, how=passwords.LINK)
            accounts.password_set(account, request.POST.get("new_password", ""), request.POST.get("again_password", ""))
    except Refusal as refusal:
        return _password(request, name, link=link, sentence=str(refusal), status=422)
    AccessAttempt.objects.filter(username=name).delete()
    return redirect(f"{reverse('sign-in')}?chosen")


def _password(request: HttpRequest, name: str, *, link: str = "", sentence: str = "", note: str = "",
              status: int = 200) -> HttpResponse:
    template = "web/password.html" if request.user.is_authenticated and not link else "web/choose-password.html"
    return render(request, template, {"page": PasswordPage(name, link, sentence, note)}, status=status)


@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """Say that the program is well: the database answers and the events are guarded."""
    from django.db import DatabaseError, connection

    from assaywright.records import triggers

    kind = "text/plain; charset=utf-8"
    try:
        triggers.demand(connection)
    except (Refusal, DatabaseError):
        return HttpResponse("not well: the log of the program says why\n", content_type=kind, status=503)
    return HttpResponse("well\n", content_type=kind)
