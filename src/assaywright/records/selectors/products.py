"""Products: what is sold within what limits, and how it came to be so."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from assaywright.records.days import shown
from assaywright.records.models import Lot, Product, ProductEdition
from assaywright.records.selectors.belonging import latest_lots
from assaywright.records.selectors.labels import Precaution, precautions_of
from assaywright.records.titrants import UNCLASSIFIED

LATEST = 20  # lots on a product's page


@dataclass(frozen=True)
class CharacteristicShown:
    """A specified characteristic as a table shows it."""

    name: str
    wanted: str
    rule: str
    method: str
    accredited: bool


@dataclass(frozen=True)
class ProductLine:
    """A product as the list shows it."""

    product: Product
    characteristics: int
    first: str
    lots: int


@dataclass(frozen=True)
class EditionShown:
    """One edition of a product, with what it asked for."""

    edition: int
    since: str
    characteristics: tuple[CharacteristicShown, ...]


@dataclass(frozen=True)
class ProductShown:
    """What a product's page says; of its lots the latest ones, at most so many."""

    product: Product
    characteristics: tuple[CharacteristicShown, ...]
    maker: str
    storage: str
    hazards: tuple[str, ...]
    cautions: tuple[str, ...]
    precautions: tuple[Precaution, ...]
    unclassified: bool
    editions: tuple[EditionShown, ...]
    lots: tuple[Lot, ...]
    most: int = LATEST


def product_lines(rows: Iterable[Product]) -> list[ProductLine]:
    """Return products as the list shows them, in their order."""
    found = []
    for one in rows:
        characteristics = one.content.get("characteristics", [])
        first = f"{characteristics[0]['name']}: {wanted_of(characteristics[0])}" if characteristics else ""
        found.append(ProductLine(one, len(characteristics), first, Lot.objects.filter(product=one.name).count()))
    return found


def product_shown(product: Product) -> ProductShown:
    """Return what a product's page says."""
    content = product.content
    editions = ProductEdition.objects.filter(product=product.name).order_by("-id")
    return ProductShown(
        product, _characteristics(content), str(content.get("maker", "")), str(content.get("storage", "")),
        tuple(content.get("hazards", ())), tuple(content.get("cautions", ())),
        precautions_of(content),
        bool(content.get(UNCLASSIFIED)),
        tuple(EditionShown(one.edition, shown(one.since), _characteristics(one.content)) for one in editions),
        tuple(latest_lots(product.name, LATEST)))


def wanted_of(one: dict[str, Any]) -> str:
    """Return in words what a characteristic must satisfy."""
    lower, upper = str(one.get("lower", "")), str(one.get("upper", ""))
    if one.get("required"):
        return str(one["required"])
    if lower and upper:
        return f"{lower} to {upper}"
    told = f"reported in {one['unit']}, no limit" if one.get("unit") else "reported, no limit"
    return f"at least {lower}" if lower else f"at most {upper}" if upper else told


def _characteristics(content: dict[str, Any]) -> tuple[CharacteristicShown, ...]:
    return tuple(CharacteristicShown(
        str(one["name"]), wanted_of(one), _rule(one), str(one.get("method", "")), bool(one.get("accredited")))
        for one in content.get("characteristics", ()))


def _rule(one: dict[str, Any]) -> str:
    further = [f"{words} {one[key]}" for key, words in (
        ("guard_band_factor", "factor"), ("conformance_probability", "at least"), ("rounding_step", "step"),
        ("rounding", "")) if one.get(key)]
    limited = one.get("lower") or one.get("upper")
    rule = str(one.get("rule") or ("simple acceptance" if limited else ""))
    return ", ".join(filter(None, (rule, *(text.strip() for text in further))))


def decision_rules() -> tuple[str, ...]:
    """Return the names of the rules by which conformity can be decided."""
    from assaywright.metrology.conformity import DECISION_RULES

    return tuple(DECISION_RULES)


def methods_to_choose() -> tuple[tuple[str, str], ...]:
    """Return the methods of assays, by the name that a specification gives them and by their title."""
    from assaywright.records.selectors.methods import method_lines

    return tuple((one.named, one.title) for one in method_lines() if one.kind == "assay")
