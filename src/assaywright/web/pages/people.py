"""The people and their roles: added, given other roles, gone; and the log of refused acts."""

from dataclasses import dataclass, replace

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from assaywright.actions.passwords import link_made
from assaywright.actions.people import person_change_roles, person_leave
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Person
from assaywright.records.models.people import ADMINISTRATOR, ROLES
from assaywright.records.selectors.history import Happened, history
from assaywright.web import accounts
from assaywright.web.access import only, person_of
from assaywright.web.forms import act_of, fresh_act, typed, version_of
from assaywright.web.refused_acts import RefusedAct, newest

MOST_REFUSED = 200


@dataclass(frozen=True)
class PersonLine:
    """One person in the list."""

    person: Person
    function: str
    account: str


@dataclass(frozen=True)
class PeoplePage:
    """What the list shows."""

    people: list[PersonLine]
    may_change: bool


@dataclass(frozen=True)
class RoleChoice:
    """A role to tick."""

    role: str
    held: bool


@dataclass(frozen=True)
class PersonFormPage:
    """What the form shows that adds somebody; as typed where it was refused."""

    sentence: str
    act: str
    identity: str
    name: str
    function: str
    roles: list[RoleChoice]


@dataclass(frozen=True)
class PersonPage:
    """What is known of one person, and the forms that change it."""

    person: Person
    function: str
    account: str
    may_change: bool
    sentence: str
    act: str
    reason: str
    link: str
    roles: list[RoleChoice]
    happened: list[Happened]


@dataclass(frozen=True)
class RefusedPage:
    """The newest refused acts."""

    acts: list[RefusedAct]


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all, those who have left at the end."""
    people = Person.objects.order_by("-present", "name")
    page = PeoplePage([PersonLine(one, _function(one), _account(one)) for one in people],
                      person_of(request).has(ADMINISTRATOR))
    return render(request, "web/people.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
@only(ADMINISTRATOR)
def new(request: HttpRequest) -> HttpResponse:
    """Add somebody."""
    fields, wanted = typed(request), request.POST.getlist("role")
    page = PersonFormPage("", fields.get("act") or fresh_act(), fields.get("identity", ""), fields.get("name", ""),
                          fields.get("function", ""), _choices(wanted))
    if request.method != "POST":
        return render(request, "web/people.new.html", {"page": page})
    identity = page.identity.strip().lower()
    try:
        accounts.person_with_account(identity=identity, name=page.name, function=page.function, roles=wanted,
                                     by=request.user.get_username(), act=act_of(request, "add"))
    except Refusal as refusal:
        page = replace(page, sentence=str(refusal))
        return render(request, "web/people.new.html", {"page": page}, status=422)
    return redirect("people.show", identity=identity)


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show one person."""
    return _shown(request, identity)


@require_POST
@only(ADMINISTRATOR)
def roles(request: HttpRequest, identity: str) -> HttpResponse:
    """Give somebody other roles."""
    _person(identity)
    try:
        person_change_roles(
            identity=identity, roles=request.POST.getlist("role"), by=request.user.get_username(),
            reason=typed(request).get("reason", ""), expected=version_of(request),
            act=act_of(request, "roles", identity))
    except Refusal as refusal:
        return _shown(request, identity, sentence=str(refusal), status=422)
    return redirect("people.show", identity=identity)


@require_POST
@only(ADMINISTRATOR)
def leave(request: HttpRequest, identity: str) -> HttpResponse:
    """Record that somebody has left, and close the account at once."""
    _person(identity)
    try:
        person_leave(identity=identity, by=request.user.get_username(), reason=typed(request).get("reason", ""),
                     act=act_of(request, "leave", identity))
    except Refusal as refusal:
        return _shown(request, identity, sentence=str(refusal), status=422)
    accounts.account_close(identity)
    return redirect("people.show", identity=identity)


@require_POST
@only(ADMINISTRATOR)
def link(request: HttpRequest, identity: str) -> HttpResponse:
    """Make a link by which somebody chooses a password; it is shown once, to be handed over."""
    if not _person(identity).present:
        return _shown(request, identity, sentence="Whoever has left is given no link.", status=422)
    link_made(identity=identity, by=request.user.get_username())
    path = accounts.link_path(accounts.account_make(identity))
    return _shown(request, identity, link=request.build_absolute_uri(f"/{path}"))


@require_safe
@only(ADMINISTRATOR)
def refused(request: HttpRequest) -> HttpResponse:
    """Show the newest refused acts."""
    return render(request, "web/people.refused.html", {"page": RefusedPage(newest(MOST_REFUSED))})


def _shown(
    request: HttpRequest, identity: str, *, sentence: str = "", link: str = "", status: int = 200
) -> HttpResponse:
    person = _person(identity)
    ticked = request.POST.getlist("role") if sentence and "role" in request.POST else person.roles.split(", ")
    page = PersonPage(
        person, _function(person), _account(person), person_of(request).has(ADMINISTRATOR) and person.present, sentence,
        fresh_act(), typed(request).get("reason", "") if sentence else "", link,
        _choices(ticked), history(identity, of="person"))
    return render(request, "web/people.show.html", {"page": page}, status=status)


def _person(identity: str) -> Person:
    found = Person.objects.filter(pk=identity).first() if "\0" not in identity else None
    if found is None:
        raise Http404(identity)
    return found


def _choices(held: list[str]) -> list[RoleChoice]:
    return [RoleChoice(one, one in held) for one in ROLES]


def _function(person: Person) -> str:
    return str(person.content.get("function", ""))


def _account(person: Person) -> str:
    """Return in words whether the person can sign in."""
    account = accounts.account_of(person.identity)
    if not person.present:
        return "closed"
    return "open" if account is not None and account.has_usable_password() else "no password chosen yet"
