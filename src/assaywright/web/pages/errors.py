"""Pages that say what went wrong and what to do next.

400.html, 403.html, 404.html and 500.html, at the root of the templates, are the ones that Django itself looks for.
"""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from assaywright.actions.permission import NotAllowed
from assaywright.metrology.refusal import Refusal
from assaywright.web import unsent
from assaywright.web.said import in_words

STALE = ("This page lay open since before somebody last signed in here, so its form was not taken. Nothing is lost: "
         "look at what was typed, and send it on if it still holds.")
EMPTY = "there is no determination"
ABSENT = ("there is no ", "no lot and no solution ")
FORGED = "The form does not come from a page of this program, so it was not taken. Open the page itself and fill it in."


def said(request: HttpRequest, status: int, heading: str, sentence: str,
         begin: tuple[str, str] | None = None) -> HttpResponse:
    """Return a page with one sentence, and where to begin: an address and what it leads to."""
    return render(request, "web/said.html", {"heading": heading, "sentence": sentence, "begin": begin}, status=status)


def refused(request: HttpRequest, problem: Refusal) -> HttpResponse:
    """Answer what was refused; a page that was asked for and names what is not on record is one that is not there."""
    if request.method in ("GET", "HEAD") and problem.what.startswith(ABSENT) and not problem.what.startswith(EMPTY):
        sentence = f"{problem.what[:1].upper()}{problem.what[1:]}."
        return said(request, 404, "Not in these records", f"{in_words(sentence)} Look for it in the list.")
    return said(request, 422, "This was refused", in_words(problem))


def not_allowed(request: HttpRequest, problem: NotAllowed) -> HttpResponse:
    """Answer somebody who may not do something, with the people who may."""
    from assaywright.web.access import who_may

    people = [one.name for one in who_may(problem.roles)]
    sentence = f"{problem.what[:1].upper()}{problem.what[1:]}."
    if problem.roles:
        whom = f"Ask {' or '.join(people)}." if people else "Nobody here has that role; ask an administrator."
        sentence += f" This is for: {' or '.join(problem.roles)}. {whom}"
    else:
        sentence += f" {problem.remedy[:1].upper()}{problem.remedy[1:]}."
    return said(request, 403, "This is for others to do", sentence)


def wants_data(request: HttpRequest) -> bool:
    """Return whether a page's script asks, which reads data and shows its own words."""
    return request.headers.get("Accept") == "application/json"


def forged(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form whose token is not the present one: from a page of ours it is shown again, else it is refused."""
    from assaywright.web.pages.door import show_door

    if wants_data(request):
        return JsonResponse({"state": "forged"}, status=403)
    if request.method != "POST" or not _from_here(request):
        return said(request, 403, "This form was not accepted", FORGED)
    typed = unsent.from_request(request)
    if request.path in ("/sign-in", "/choose-password", "/sign-out"):
        return show_door(request, "The page had lain open too long. Sign in now.", status=403)
    if not _signed_in(request):
        return show_door(request, STALE, unsent=typed, status=403)
    return unsent.page(request, typed, STALE, status=403)


def _signed_in(request: HttpRequest) -> bool:
    """Return whether somebody is signed in, though the token was looked at before the session."""
    from django.contrib.auth import get_user

    if not hasattr(request, "user"):
        request.user = get_user(request)
    return request.user.is_authenticated


def _from_here(request: HttpRequest) -> bool:
    """Return whether the browser itself says that the form stands on a page of this site."""
    return request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}"
