"""What stands before every page: security headers, the door, refusals as sentences on a page, and their log."""

from collections.abc import Callable

from django.conf import settings
from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from assaywright.actions.permission import NotAllowed
from assaywright.metrology.refusal import Refusal
from assaywright.web import unsent
from assaywright.web.no_room import SAID as NO_ROOM
from assaywright.web.no_room import no_room
from assaywright.web.pages.door import show_door
from assaywright.web.pages.errors import not_allowed, refused, said, wants_data
from assaywright.web.refused_acts import write

Answer = Callable[[HttpRequest], HttpResponse]
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'; manifest-src 'self'; "
    "worker-src 'self'"
)
OPEN = ("sign-in", "sign-out", "choose-password", "health", "bench.worker")
ENDED = "Your session has ended. Sign in again: what you typed is kept, and can then be sent."
NUL = "\0"
REFUSED = (400, 401, 403, 404, 405, 409, 413, 422, 429)


class PageSecurity:
    """Adds the headers that forbid foreign scripts, styles and frames, and lets no cache keep a page.

    A page may stay in the browser's own history (no-cache, not no-store): who goes back finds what was typed.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, with the headers."""
        answer = self.get_response(request)
        answer.headers.setdefault("Content-Security-Policy", POLICY)
        answer.headers.setdefault("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
        answer.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        answer.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        answer.headers.setdefault("Cache-Control", "private, no-cache")
        return answer


class RefusedActs:
    """Writes every refused act into the log that administrators read."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and log a refusal."""
        answer = self.get_response(request)
        if answer.status_code in REFUSED:
            write(request, answer)
        return answer


class DoorLeavesCookies:
    """Lets an answer in data that nobody is signed in leave the browser's cookies as they are.

    A page that asks again and again may be answered while its browser signs in in another tab: to delete the session's
    cookie then would end the session that has just begun.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, without the cookie where nobody is signed in."""
        answer = self.get_response(request)
        if answer.status_code == 401 and wants_data(request):
            answer.cookies.pop(settings.SESSION_COOKIE_NAME, None)
        return answer


class SessionGoesOn:
    """Begins a session's half hour anew with every page; written down once a minute, not at each field that is left.

    A write waits for the disk, and thirty people at the bench leave a field every second. So a session is written when
    the last writing is a minute old, and lasts a minute longer than half an hour.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and let the session go on."""
        answer = self.get_response(request)
        session = request.session
        if session.session_key and not session.is_empty():
            minute = int(timezone.now().timestamp()) // 60
            if session.get("minute") != minute:
                session["minute"] = minute
        return answer


class SignedIn:
    """Lets nobody past who is not signed in, but to the door itself; what they had typed goes with them."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or show the door.

        Raises:
            BadRequest: the address holds a character that no database takes.
        """
        if NUL in request.path or any(NUL in text for text in request.GET.values()):
            raise BadRequest("a null character in the address")
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable[..., HttpResponse], *_: object) -> HttpResponse | None:
        """Send whoever is not signed in to the door, with the way back."""
        match = request.resolver_match
        if request.user.is_authenticated or (match and match.url_name in OPEN):
            return None
        if wants_data(request):
            return JsonResponse({"state": "signed out"}, status=401)
        if request.headers.get("HX-Request") == "true":
            return render(request, "web/_session-ended.html")  # a part of a page: the page with what was typed stays
        if request.method == "POST":
            return show_door(request, ENDED, unsent=unsent.from_request(request))
        return redirect(f"{reverse('sign-in')}?{urlencode({'next': request.get_full_path()})}")


class RefusalsAsPages:
    """Turns a refusal that no page has caught into one sentence on a page."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer; a method that a page does not know is told of, too."""
        answer = self.get_response(request)
        if answer.status_code == 405 and not answer.content:
            page = said(request, 405, "This page is not opened this way",
                        "The address belongs to a form; go back to the page with the form, and send it from there.")
            page.headers["Allow"] = answer.headers.get("Allow", "")
            return page
        return answer

    def process_exception(self, request: HttpRequest, problem: Exception) -> HttpResponse | None:
        """Answer a refusal with its sentence."""
        if wants_data(request) and isinstance(problem, Refusal):
            return JsonResponse({"state": "refused", "sentence": str(problem)}, status=422)
        if isinstance(problem, NotAllowed):
            return not_allowed(request, problem)
        if isinstance(problem, Refusal):
            return refused(request, problem)
        if no_room(problem):
            return said(request, 507, "There is no room", NO_ROOM)
        return None
