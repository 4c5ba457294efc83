"""What the laboratory's accreditation covers: everybody reads it, the management states it."""

from dataclasses import dataclass, field

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from assaywright.actions.accreditation import accreditation_state
from assaywright.records.accreditation import LINE
from assaywright.records.models.people import MANAGEMENT
from assaywright.records.selectors.accreditation import (
    AccreditationShown,
    accreditation_shown,
    known_characteristics,
    known_methods,
    known_products,
)
from assaywright.web.access import may
from assaywright.web.forms import act_of, fresh_act, shown_again, today, tried, typed

EMPTY_LINES = 4
MOST_LINES = 200


@dataclass(frozen=True)
class AccreditationPage:
    """What the page shows; ``lines`` are those of the form, with empty ones at the end."""

    shown: AccreditationShown
    lines: list[dict[str, str]]
    methods: list[str]
    products: list[str]
    characteristics: list[str]
    may_state: bool
    act: str
    today: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest) -> HttpResponse:
    """Show what is covered from when; state it anew."""
    fields, sentence = typed(request), ""
    if request.method == "POST":
        sentence = tried(lambda: accreditation_state(
            identity=fields.get("number", ""), scope=fields.get("scope", ""), since=fields.get("since", ""),
            covers=_lines(fields), reason=fields.get("reason", ""), by=request.user.get_username(),
            act=act_of(request, "accreditation")))
        if not sentence:
            return redirect("certificates.accreditation")
    shown = accreditation_shown(today())
    lines = _lines(fields) if sentence else [dict(one) for one in shown.covers]
    page = AccreditationPage(
        shown, [*lines, *({} for _ in range(EMPTY_LINES))], known_methods(), known_products(), known_characteristics(),
        may(request, MANAGEMENT), fresh_act(), today().isoformat(), sentence, shown_again(fields))
    return render(request, "web/certificates.accreditation.html", {"page": page}, status=422 if sentence else 200)


def _lines(fields: dict[str, str]) -> list[dict[str, str]]:
    """Return the lines of the form in which anything stands."""
    found = [{key: fields.get(f"{key}-{place}", "").strip() for key in LINE} for place in range(1, MOST_LINES + 1)]
    return [one for one in found if any(one.values())]
