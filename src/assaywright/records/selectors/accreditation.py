"""What the laboratory's accreditation was stated to cover, and since when."""

from dataclasses import dataclass
from datetime import date

from assaywright.assay.method import method_names
from assaywright.records.accreditation import statement_on
from assaywright.records.models import Accreditation, MethodEdition, Product
from assaywright.records.selectors.history import Happened, history


@dataclass(frozen=True)
class AccreditationShown:
    """What is covered today, what from a later day on, and everything that was stated.

    Fields:
        covers: lines with method, product and characteristic; empty where nothing is covered.
        to_come: statements that begin to hold on a later day.
    """

    number: str
    scope: str
    since: str
    covers: tuple[dict[str, str], ...]
    to_come: tuple[Accreditation, ...]
    history: tuple[Happened, ...]


def accreditation_shown(today: date) -> AccreditationShown:
    """Return what the page of the accreditation says.

    Arguments:
        today: the laboratory's day.
    """
    now = statement_on(today.isoformat())
    content = now.content if now else {}
    numbers = [one.number or "none" for one in Accreditation.objects.all()]
    return AccreditationShown(
        now.number if now else "", content.get("scope", ""), now.since if now else "", tuple(content.get("covers", ())),
        tuple(Accreditation.objects.filter(since__gt=today.isoformat()).order_by("id")),
        tuple(history(*dict.fromkeys(numbers), of="accreditation")))


def known_methods() -> list[str]:
    """Return the names of the methods there are: those that come with the program, and the laboratory's own."""
    own = MethodEdition.objects.values_list("name", flat=True).distinct()
    return sorted({*method_names(), *own})


def known_products() -> list[str]:
    """Return the names of the products."""
    return list(Product.objects.order_by("name").values_list("name", flat=True))


def known_characteristics() -> list[str]:
    """Return the names of every characteristic that a product specifies."""
    return sorted({one["name"] for product in Product.objects.all() for one in product.content["characteristics"]})
