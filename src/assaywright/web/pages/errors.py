"""Pages that say what went wrong and what to do next."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def said(request: HttpRequest, status: int, heading: str, sentence: str) -> HttpResponse:
    """Return a page with one sentence."""
    return render(request, "web/said.html", {"heading": heading, "sentence": sentence}, status=status)


def forged(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form that does not come from a page of ours, or from one that has lain open too long."""
    return said(request, 403, "This form could not be accepted",
                "The page has lain open too long, or the form does not come from here; go back, reload the page, and "
                "send it again: what you typed is still in it.")
