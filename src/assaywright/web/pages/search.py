"""One search for everything: by lot, product, person, instrument, solution, certificate, worksheet, bottle."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from assaywright.records.selectors.belonging import Belonging, belonging
from assaywright.records.selectors.scanned import found_by_code
from assaywright.records.selectors.searched import MOST, Group, Hit, searched
from assaywright.web.forms import asked_for

ALL = 500  # of one group, when more is asked for
WITH_BELONGING = 3  # of one group, the first ones


@dataclass(frozen=True)
class Beneath:
    """What belongs to a thing that was found; ``all_of_it`` is the address of the list of it."""

    words: str
    hits: tuple["Shown", ...]
    all_of_it: str
    none: str


@dataclass(frozen=True)
class Shown:
    """One thing that was found, with its address and what belongs to it."""

    href: str
    identity: str
    words: str
    beneath: tuple[Beneath, ...] = ()


@dataclass(frozen=True)
class ShownGroup:
    """What was found of one kind, and the address of more."""

    name: str
    hits: tuple[Shown, ...]
    more: str


@dataclass(frozen=True)
class SearchPage:
    """What the page of the search shows."""

    asked: str
    groups: tuple[ShownGroup, ...]


@require_safe
def show(request: HttpRequest) -> HttpResponse:
    """Find what goes by a text; an exact number leads to its page at once."""
    sent = asked_for(request)
    text, wanted = sent.get("q", "").strip(), sent.get("of", "")
    exact = found_by_code(text) if text and not wanted else ()
    if len(exact) == 1:
        return redirect(_page_of(exact[0].page), exact[0].identity)
    groups = searched(text, ALL if wanted else MOST)
    page = SearchPage(text, tuple(_shown(one, text) for one in groups if not wanted or one.name == wanted))
    return render(request, "web/search.html", {"page": page})


def _page_of(page: str) -> str:
    """Return where a search leads: to a worksheet's page, where a scanner at the bench leads to the burette."""
    return "assays.show" if page == "bench.show" else page


def _shown(group: Group, text: str) -> ShownGroup:
    more = f"{reverse('search')}?{urlencode({'q': text, 'of': group.name})}" if group.more else ""
    first = {one.key: tuple(map(_beneath, belonging(group.name, one.key))) for one in group.hits[:WITH_BELONGING]}
    return ShownGroup(group.name, tuple(Shown(_address(one), one.identity, one.words, first.get(one.key, ()))
                                        for one in group.hits), more)


def _beneath(one: Belonging) -> Beneath:
    return Beneath(one.words, tuple(Shown(_address(hit), hit.identity, hit.words) for hit in one.hits),
                   f"{reverse(one.page)}?{urlencode(one.query)}" if one.page else "", one.none)


def _address(hit: Hit) -> str:
    if hit.page == "history":
        return f"{reverse('history')}?{urlencode({'lot': hit.key})}"
    return reverse(hit.page, args=[hit.key])
