"""By which edition of its product’s specification a lot is judged: that in force when it was entered.

A later edition is for the lots entered from then on. What a lot has to meet does not change with its results on the
table; applying a later edition to it is an act of its own. A lot entered before its event told the edition is judged by
that in force at the event, and one that was released then by that in force at its release.
"""

import json
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Event, Lot, ProductEdition

SETTLED = ("lot.made", "lot.released")


def edition_of(lot: Lot) -> ProductEdition:
    """Return the edition of its product that a lot is judged by.

    Raises:
        Refusal: its product is not on record.
    """
    return Refusal.unless(editions_of([lot]).get(lot.identity), f"there is no product '{lot.product}'",
                          where=f"lot {lot.identity}", remedy="define it first")


def specified_of(lot: Lot) -> list[dict[str, Any]]:
    """Return the characteristics that a lot is judged by, as its edition of the product specifies them.

    Raises:
        Refusal: its product is not on record.
    """
    found: list[dict[str, Any]] = edition_of(lot).content.get("characteristics", [])
    return found


def editions_of(lots: Sequence[Lot]) -> dict[str, ProductEdition]:
    """Return by lots' numbers the edition that each is judged by, in two questions to the database.

    A lot whose product is not on record is left out.
    """
    of_product: dict[str, list[ProductEdition]] = defaultdict(list)
    for one in ProductEdition.objects.filter(product__in={one.product for one in lots}).order_by("id"):
        of_product[one.product].append(one)
    untold = [one.identity for one in lots if not one.content.get("edition") and len(of_product[one.product]) > 1]
    events: dict[str, dict[str, Event]] = defaultdict(dict)
    if untold:
        for event in Event.objects.filter(subject__in=untold, kind__in=SETTLED).order_by("number"):
            events[event.subject][event.kind] = event
    return {lot.identity: _edition(lot, every, events[lot.identity])
            for lot in lots if (every := of_product[lot.product])}


def _edition(lot: Lot, every: list[ProductEdition], events: dict[str, Event]) -> ProductEdition:
    told, before = lot.content.get("edition"), 0
    if not told and (event := events.get("lot.released") or events.get("lot.made")):
        told, before = json.loads(event.payload).get("product_edition"), event.number
    found = [one for one in every if (one.edition == told if told else one.id < before)]
    return found[-1] if found else every[0]


def newest_of(lot: Lot) -> ProductEdition:
    """Return the newest edition of a lot's product.

    Raises:
        Refusal: its product is not on record.
    """
    return Refusal.unless(ProductEdition.objects.filter(product=lot.product).order_by("id").last(),
                          f"there is no product '{lot.product}'", where=f"lot {lot.identity}",
                          remedy="define it first")


def respecified(lot: Lot) -> list[Event]:
    """Return the events by which later editions were applied to a lot, in their order."""
    return list(Event.objects.filter(subject=lot.identity, kind="lot.respecified").order_by("number"))


def told_by(event: Event) -> tuple[int, int]:
    """Return the editions before and after an event that applied another one to a lot."""
    payload = json.loads(event.payload)
    return int(payload["before"]), int(payload["edition"])
