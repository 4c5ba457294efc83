"""What stands before every page: security headers, the door, and refusals as sentences on a page."""

import logging
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from assaywright.metrology.refusal import Refusal
from assaywright.web.pages.errors import said

Answer = Callable[[HttpRequest], HttpResponse]
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'; manifest-src 'self'; "
    "worker-src 'self'"
)
OPEN = ("sign-in", "health")
refused = logging.getLogger("assaywright.refused")


class PageSecurity:
    """Adds the headers that forbid foreign scripts, styles and frames."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, with the headers."""
        answer = self.get_response(request)
        answer.headers.setdefault("Content-Security-Policy", POLICY)
        answer.headers.setdefault("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
        answer.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        return answer


class SignedIn:
    """Lets nobody past who is not signed in, but to the door itself."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or show the door."""
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable[..., HttpResponse], *_: object) -> HttpResponse | None:
        """Send whoever is not signed in to the door, with the way back."""
        match = request.resolver_match
        if request.user.is_authenticated or (match and match.url_name in OPEN):
            return None
        return redirect(f"{reverse('sign-in')}?next={request.get_full_path()}")


class RefusalsAsPages:
    """Turns a refusal that no page has caught into one sentence on a page, and logs it."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, problem: Exception) -> HttpResponse | None:
        """Answer a refusal with its sentence."""
        if not isinstance(problem, Refusal):
            return None
        refused.warning("%s %s %s: %s", request.user.get_username() or "nobody", request.method, request.path, problem)
        return said(request, 422, "This was refused", str(problem))
