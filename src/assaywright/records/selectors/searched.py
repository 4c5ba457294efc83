"""Search by number or name, over everything on record, in moments however much there is.

A number is found by its beginning, whatever case it is typed in, by the index of its table. Among the numbers that
changed last, and in the short lists (products, people, instruments, solutions, reference materials), a part from the
middle is found too. Nothing reads through a million rows.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import Model, Q, QuerySet

from assaywright.records.models import (
    Assay,
    Bottle,
    Certificate,
    Enquiry,
    HistoricResult,
    Instrument,
    Lot,
    Material,
    Person,
    Product,
    Solution,
)

MOST = 20
CHANGED_LAST = 5_000
LONGEST = 100
LAST = "\U0010fffd"  # after every character that somebody types


@dataclass(frozen=True)
class Hit:
    """Something found: name of its page, what stands in the page's address, its number, and what it is in words."""

    page: str
    key: str
    identity: str
    words: str


@dataclass(frozen=True)
class Group:
    """What was found of one kind; ``more`` says that there is more than is shown."""

    name: str
    hits: tuple[Hit, ...]
    more: bool


def begins(field: str, text: str) -> Q:
    """Return the condition that a text begins so, typed as it stands, in capitals or in small letters.

    SQLite uses no index for LIKE where case is not told apart; so there it is asked for what lies between.
    """
    found = Q()
    for one in cased(text):
        found |= (Q(**{f"{field}__gte": one, f"{field}__lt": one + LAST}) if connection.vendor == "sqlite"
                  else Q(**{f"{field}__startswith": one}))
    return found


def cased(text: str) -> tuple[str, ...]:
    """Return a text as it stands, in capitals, and in small letters."""
    return tuple(dict.fromkeys((text, text.upper(), text.lower())))


def searched(text: str, most: int = MOST) -> list[Group]:
    """Return what goes by a text, by kind; kinds of which nothing is found are left out.

    Arguments:
        text: beginning of a number, or part of a name.
        most: how many of a kind are shown.
    """
    text = " ".join(text.split())[:LONGEST]
    if not text:
        return []
    found = (_group(name, rows, told, most) for name, rows, told in _asked(text, most))
    return [one for one in found if one.hits]


def _group(name: str, rows: list[Any], told: Callable[[Any], Hit], most: int) -> Group:
    return Group(name, tuple(told(one) for one in rows[:most]), len(rows) > most)


def _asked(text: str, most: int) -> list[tuple[str, list[Any], Callable[[Any], Hit]]]:
    def named(*fields: str) -> Q:
        found = Q()
        for one in fields:
            found |= Q(**{f"{one}__icontains": text})
        return found

    def short(model: type[Model], *fields: str, by: str) -> list[Any]:
        return list(QuerySet(model).filter(named(*fields)).order_by(by)[:most + 1])

    return [
        ("Lots", _numbered(Lot, ("identity",), text, most),
         lambda one: Hit("lots.show", one.identity, one.identity, f"{one.product}, {one.state}")),
        ("Worksheets", _numbered(Assay, ("identity", "about"), text, most),
         lambda one: Hit("assays.show", one.identity, one.identity,
                         f"{one.kind} of {one.about}, {one.stage}, {one.analyst}")),
        ("Certificates", _numbered(Certificate, ("number", "lot"), text, most),
         lambda one: Hit("certificates.show", one.number, one.number, f"of {one.lot}, issued {one.issued[:10]}")),
        ("Enquiries", list(Enquiry.objects.filter(begins("identity", text) | begins("about", text) | named("asked_by"))
                           .order_by("-received", "-pk")[:most + 1]),
         lambda one: Hit("enquiries.show", one.identity, one.identity,
                         f"{one.asked_by}, about {one.about}, {one.state}")),
        ("Bottles", _numbered(Bottle, ("identity", "lot"), text, most, middle=False),
         lambda one: Hit("lots.show", one.lot, one.identity, f"of lot {one.lot}, opened {one.opened}")),
        ("Products", short(Product, "name", by="name"),
         lambda one: Hit("products.show", one.name, one.name, f"edition {one.edition}")),
        ("Solutions", short(Solution, "identity", "name", "formula", by="identity"),
         lambda one: Hit("solutions.show", one.identity, one.identity, f"{one.name}, {one.state}")),
        ("Instruments", short(Instrument, "identity", "kind", by="identity"),
         lambda one: Hit("equipment.show", one.identity, one.identity, f"{one.kind}, {one.state}")),
        ("Reference materials", short(Material, "identity", "name", by="identity"),
         lambda one: Hit("equipment.material", one.identity, one.identity, f"{one.name}, {one.state}")),
        ("People", short(Person, "identity", "name", by="name"),
         lambda one: Hit("people.show", one.identity, one.name, one.roles if one.present else "has left")),
        ("Results from before these records", list(HistoricResult.objects.filter(begins("lot", text)).order_by("lot")[
            :most + 1]), lambda one: Hit("history", one.lot, one.lot, f"{one.product}, {one.value} {one.unit}, "
                                         f"{one.performed}, {one.source}, row {one.row}")),
    ]


def _numbered(
    model: type[Model], fields: tuple[str, ...], text: str, most: int, *, middle: bool = True
) -> list[Any]:
    """Return rows whose number begins so; if none does, those that changed last and have it in the middle."""
    key = str(model._meta.pk.attname)
    rows: QuerySet[Any] = QuerySet(model)
    found: dict[str, Any] = {}
    for field in fields:
        found |= {one.pk: one for one in rows.filter(begins(field, text)).order_by(field)[:most + 1]}
    if not found and middle:
        last = rows.order_by("-version").values_list("pk", flat=True)[:CHANGED_LAST]
        some = [one for one in last if text.casefold() in one.casefold()][:most + 1]
        found = {one.pk: one for one in rows.filter(pk__in=some).order_by(key)}
    return list(found.values())[:most + 1]
