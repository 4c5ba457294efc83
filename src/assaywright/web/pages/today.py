"""Today's page: for the person signed in, by their roles, what is to be done, each with the way to the next act."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from assaywright.assay.wording import written_date
from assaywright.records.models import Person
from assaywright.records.selectors import due
from assaywright.records.selectors.enquiries import open_enquiries
from assaywright.web.access import person_of
from assaywright.web.context import may
from assaywright.web.forms import today

NEXT_ACTS = {
    "titrant": ("solutions.plan", "Plan its standardisation"), "bottle": ("lots.show", "Look at its lot"),
    "reference material": ("equipment.material.new", "Receive a new one"),
    "calibration": ("equipment.show", "Enter a calibration"),
}
PAGES = {"titrant": "solutions.show", "bottle": "lots.show", "reference material": "equipment.material",
         "calibration": "equipment.show"}


@dataclass(frozen=True)
class Line:
    """One thing to do: what it is about with its address, what there is to say, and the next act with its address.

    Fields:
        said: in a word or two how urgent or where it stands; ``grave`` when it is past its date or was sent back.
    """

    identity: str
    href: str
    words: str
    said: str
    act: str
    act_href: str
    grave: bool = False


@dataclass(frozen=True)
class Part:
    """A part of the page; ``empty`` is what it says where there is nothing, ``more`` leads to all of it."""

    title: str
    lines: tuple[Line, ...]
    empty: str
    more: str = ""
    more_words: str = ""


@dataclass(frozen=True)
class TodayPage:
    """What today's page shows; ``first`` is what an empty laboratory lacks."""

    day: str
    name: str
    parts: tuple[Part, ...]
    first: str


@require_safe
def show(request: HttpRequest) -> HttpResponse:
    """Show what is to be done today."""
    person = person_of(request)
    day = today()
    page = TodayPage(written_date(day), person.name, tuple(_parts(person)), due.is_empty())
    return render(request, "web/today.html", {"page": page})


def _parts(person: Person) -> list[Part]:
    roles = may(person)
    found: list[Part] = []
    if roles.work:
        found.append(_worksheets(person))
    if roles.review:
        found.append(_reviews(person))
    if roles.sign:
        found += [_release(), _certify()]
    if roles.charge:
        found += [_entries(person), _investigations()]
    if roles.work or roles.charge:
        found.append(_enquiries(may_reply=roles.charge))
    if roles.work:
        found.append(_lots())
    return [*found, _falling_due(may_work=roles.work)]


def _worksheets(person: Person) -> Part:
    lines = tuple(Line(
        one.assay.identity, reverse("assays.show", args=[one.assay.identity]),
        f"{one.assay.kind} of {one.assay.about}" + (f": {one.by}: “{one.reason}”" if one.reason else ""),
        one.assay.stage, "Go on at the bench", reverse("bench.show", args=[one.assay.identity]), bool(one.by))
        for one in due.worksheets_of(person))
    return Part("Your worksheets", lines[:due.SHOWN], "None of your worksheets lies open.",
                _list("assays", analyst=person.name), f"all {len(lines)}" if len(lines) > due.SHOWN else "")


def _reviews(person: Person) -> Part:
    waiting, count = due.reviews_for(person)
    lines = tuple(Line(
        one.identity, reverse("review.show", args=[one.identity]), f"{one.kind} of {one.about}, by {one.analyst}",
        one.performed, "Review it", reverse("review.show", args=[one.identity])) for one in waiting)
    empty = "Nothing waits for a reviewer." if not count else f"You have worked on what is in review ({count})."
    return Part("To review", lines, empty, reverse("review"), f"all {count}" if count > len(lines) else "")


def _release() -> Part:
    lines = tuple(Line(one.identity, reverse("lots.show", args=[one.identity]), one.product, f"made {one.made}",
                       "Decide on it", reverse("lots.show", args=[one.identity])) for one in due.lots_to_release())
    return Part("Lots to release", lines, "No lot waits for its release.", _list("lots", state="made"),
                "all undecided lots" if len(lines) == due.SHOWN else "")


def _certify() -> Part:
    lines = tuple(Line(one.identity, reverse("lots.show", args=[one.identity]), one.product, "released",
                       "Sign its certificate", reverse("lots.show", args=[one.identity]))
                  for one in due.lots_to_certify())
    return Part("Certificates to sign", lines,
                f"Each of the {due.RELEASED_LAST:,} lots released last has its certificate, or none is released.",
                _list("lots", state="released"), "all released lots" if len(lines) == due.SHOWN else "")


def _entries(person: Person) -> Part:
    lines = tuple(Line(one.lot, reverse("lots.show", args=[one.lot]), ", ".join(one.names), "entered",
                       "Compare with the source", reverse("lots.show", args=[one.lot]))
                  for one in due.entries_to_check(person))
    return Part("Entries to check", lines, "Nothing that others have entered waits for you to check it.")


def _investigations() -> Part:
    lines = tuple(Line(one.lot, reverse("lots.show", args=[one.lot]), str(one.content.get("reason", "")), one.stage,
                       "Go on with it", reverse("lots.show", args=[one.lot]), grave=True)
                  for one in due.investigations_open())
    return Part("Investigations", lines, "No investigation is open.", _list("lots", state="on hold"),
                "all lots on hold" if len(lines) == due.SHOWN else "")


def _enquiries(*, may_reply: bool) -> Part:
    waiting, count = open_enquiries()
    act = "Answer it" if may_reply else "Look at it"
    lines = tuple(Line(one.identity, reverse("enquiries.show", args=[one.identity]),
                       f"{one.asked_by}, about {one.about}", f"received {one.received}", act,
                       reverse("enquiries.show", args=[one.identity])) for one in waiting)
    return Part("Enquiries", lines, "No customer waits for an answer.", _list("enquiries", state="open"),
                f"all {count}" if count > len(lines) else "")


def _lots() -> Part:
    waiting, count = due.lots_to_assay()
    lines = tuple(Line(one.identity, reverse("lots.show", args=[one.identity]), one.product,
                       f"waits for {one.waits_for}", "Plan the assay" if one.waits_for.startswith("the assay") else
                       "Open it", reverse("lots.plan" if one.waits_for.startswith("the assay") else "lots.show",
                                          args=[one.identity])) for one in waiting)
    return Part("Lots to assay", lines, "No lot waits for the bench.", _list("lots", state="made"),
                f"all {count} undecided lots" if count > len(lines) else "")


def _falling_due(*, may_work: bool) -> Part:
    found = due.falls_due(today())
    lines = []
    for one in found[:due.SHOWN]:
        page, words = NEXT_ACTS[one.kind]
        number = one.lot or one.identity
        target = reverse(page, args=[] if page.endswith(".new") else [number])
        lines.append(Line(one.identity, reverse(PAGES[one.kind], args=[number]), f"{one.kind}: {one.words}", one.said,
                          words if may_work else "", target, one.days < 0))
    return Part("Falling due within thirty days", tuple(lines),
                "No titrant, bottle, reference material or calibration falls due within thirty days.",
                reverse("equipment"), f"{len(found)} in all, see Equipment" if len(found) > len(lines) else "")


def _list(name: str, **filters: str) -> str:
    return f"{reverse(name)}?{urlencode(filters)}"
