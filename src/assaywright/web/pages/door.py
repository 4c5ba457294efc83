"""The door: signing in and out, and whether the program is well."""

from dataclasses import dataclass

from django.contrib.auth import authenticate, login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST


@dataclass(frozen=True)
class DoorPage:
    """What the door shows."""

    name: str
    onwards: str
    sentence: str


@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in with name and password."""
    onwards = request.POST.get("next") or request.GET.get("next") or "/"
    if not url_has_allowed_host_and_scheme(onwards, {request.get_host()}, require_https=request.is_secure()):
        onwards = "/"
    name, sentence = request.POST.get("name", "").strip().lower(), ""
    if request.method == "POST":
        user = authenticate(request, username=name, password=request.POST.get("password", ""))
        if user is not None:
            login(request, user)
            return redirect(onwards)
        sentence = "Name and password do not go together, or the account is closed."
    page = DoorPage(name, onwards, sentence)
    return render(request, "web/sign-in.html", {"page": page}, status=401 if sentence else 200)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign out, so that somebody else can use the tablet."""
    logout(request)
    return redirect("sign-in")


def health(request: HttpRequest) -> HttpResponse:
    """Say that the program is well: the database answers and the events are guarded."""
    from django.db import connection

    from assaywright.records import triggers

    triggers.demand(connection)
    return HttpResponse("well\n", content_type="text/plain; charset=utf-8")
