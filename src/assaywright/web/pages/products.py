"""The products: what is sold, within what limits, by edition; defined and revised."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions.equipment import IN_CHARGE
from assaywright.actions.names import in_one_form
from assaywright.actions.products import product_define, product_revise
from assaywright.records.models import Product
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.listed import Column, Filter, Listed
from assaywright.records.selectors.products import (
    ProductLine,
    ProductShown,
    decision_rules,
    methods_to_choose,
    product_lines,
    product_shown,
)
from assaywright.records.selectors.proposed_hazards import ProposedHazards, proposed_hazards
from assaywright.records.titrants import UNCLASSIFIED
from assaywright.web.access import missing, only
from assaywright.web.forms import act_of, fresh_act, tried, typed, version_of
from assaywright.web.listing import Listing, exported, listing

LIMITS = ("name", "lower", "upper", "required", "rule", "guard_band_factor", "conformance_probability",
          "rounding_step", "method", "measurand", "unit")
LISTS = ("hazards", "precautions", "cautions")
PLAIN = ("maker", "place", "storage")
NO_HAZARDS = "none"
ASKED = ("characteristics", UNCLASSIFIED, *PLAIN, *LISTS)
SPARE_ROWS, MOST_ROWS = 2, 40


PRODUCTS = Listed(
    "products", Product,
    (Column("name", "Product", "name"), Column("edition", "Edition", "edition", number=True),
     Column("first", "First characteristic"), Column("characteristics", "Characteristics", number=True),
     Column("lots", "Lots", number=True)),
    (Filter("name", "Name holds", condition=lambda text: Q(name__icontains=text)),), "name")


@dataclass(frozen=True)
class ProductsPage:
    """What the list shows."""

    listing: Listing
    products: list[ProductLine]


@dataclass(frozen=True)
class ProductPage:
    """One product."""

    shown: ProductShown
    history: list[Happened]


@dataclass(frozen=True)
class Row:
    """One characteristic in the form."""

    number: int
    fields: dict[str, str]
    accredited: bool


@dataclass(frozen=True)
class ProductFormPage:
    """The form that defines or revises a product; as typed where it was refused."""

    revised: Product | None
    fields: dict[str, str]
    rows: tuple[Row, ...]
    rules: tuple[str, ...]
    methods: tuple[tuple[str, str], ...]
    act: str
    sentence: str
    proposed: ProposedHazards | None = None


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    if (file := exported(request, PRODUCTS)) is not None:
        return file
    shown = listing(request, PRODUCTS)
    return render(request, "web/products.html", {"page": ProductsPage(shown, product_lines(shown.rows))})


@require_safe
def show(request: HttpRequest, name: str) -> HttpResponse:
    """Show one product."""
    found = _product(name)
    if found is None:
        return missing(request, f"There is no product '{name[:80]}'. Look for it in the list of the products.")
    page = ProductPage(product_shown(found), history(found.name, of="product"))
    return render(request, "web/products.show.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
@only(*IN_CHARGE)
def new(request: HttpRequest) -> HttpResponse:
    """Define a product."""
    fields, sentence = typed(request), ""
    if request.method == "POST":
        name = in_one_form(fields.get("name", ""))
        sentence = tried(lambda: product_define(
            name=name, definition=definition_of(fields, {}), by=request.user.get_username(),
            act=act_of(request, "define")))
        if not sentence:
            return redirect("products.show", name)
    return _form(request, None, fields, sentence)


@require_http_methods(["GET", "HEAD", "POST"])
@only(*IN_CHARGE)
def revise(request: HttpRequest, name: str) -> HttpResponse:
    """Revise a product: a new edition, for the lots entered from now on."""
    found = _product(name)
    if found is None:
        return missing(request, f"There is no product '{name[:80]}'. Look for it in the list of the products.")
    if request.method != "POST":
        return _form(request, found, fields_of(found.content), "")
    fields = typed(request)
    sentence = tried(lambda: product_revise(
        name=found.name, definition=definition_of(fields, found.content), by=request.user.get_username(),
        reason=fields.get("reason", ""), expected=version_of(request), act=act_of(request, "revise")))
    return _form(request, found, fields, sentence) if sentence else redirect("products.show", found.name)


def _form(request: HttpRequest, revised: Product | None, fields: dict[str, str], sentence: str) -> HttpResponse:
    used = [int(key.removeprefix("name-")) for key, text in fields.items() if _is_row(key) and text]
    count = min(max(used, default=1) + SPARE_ROWS, MOST_ROWS)
    rows = tuple(Row(number, {key: fields.get(f"{key}-{number}", "") for key in LIMITS},
                     bool(fields.get(f"accredited-{number}"))) for number in range(1, count + 1))
    page = ProductFormPage(revised, fields, rows, decision_rules(), methods_to_choose(),
                           fields.get("act") or fresh_act(), sentence,
                           proposed_hazards(revised.name if revised else fields.get("name", "")))
    return render(request, "web/products.form.html", {"page": page}, status=422 if sentence else 200)


def _is_row(key: str) -> bool:
    number = key.removeprefix("name-")
    return key.startswith("name-") and number.isascii() and number.isdigit() and 0 < int(number[:4]) <= MOST_ROWS


def definition_of(fields: Mapping[str, str], before: Mapping[str, Any]) -> dict[str, Any]:
    """Return a product's definition as the form states it; what the form doesn't ask for stays as it was."""
    known = {one["name"]: one for one in before.get("characteristics", ())}
    characteristics = []
    for number in range(1, MOST_ROWS + 1):
        stated: dict[str, Any] = {key: text for key in LIMITS if (text := fields.get(f"{key}-{number}", "").strip())}
        if not stated:
            continue
        if fields.get(f"accredited-{number}"):
            stated["accredited"] = True
        kept = {key: value for key, value in known.get(stated.get("name", ""), {}).items()
                if key not in (*LIMITS, "accredited")}
        characteristics.append({**kept, **stated})
    definition = {key: value for key, value in before.items() if key not in ASKED}
    definition["characteristics"] = characteristics
    definition.update({key: text for key in PLAIN if (text := fields.get(key, "").strip())})
    definition.update({key: lines for key in LISTS if (lines := _lines(fields.get(key, "")))})
    if said_none(definition.get("hazards", ())):
        definition = {key: value for key, value in definition.items() if key != "hazards"} | {UNCLASSIFIED: True}
    return definition


def said_none(lines: Iterable[str]) -> bool:
    """Return whether all that stands there is that no hazard statement applies."""
    return [line.casefold() for line in lines] == [NO_HAZARDS]


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def fields_of(content: Mapping[str, Any]) -> dict[str, str]:
    """Return a product's definition as the form's fields hold it."""
    fields = {key: str(content.get(key, "")) for key in PLAIN}
    fields.update({key: "\n".join(content.get(key, ())) for key in LISTS})
    if content.get(UNCLASSIFIED):
        fields["hazards"] = NO_HAZARDS
    for number, one in enumerate(content.get("characteristics", ()), start=1):
        fields.update({f"{key}-{number}": str(one.get(key, "")) for key in LIMITS})
        fields[f"accredited-{number}"] = "yes" if one.get("accredited") else ""
    return fields


def _product(name: str) -> Product | None:
    return Product.objects.filter(pk=name.replace("\0", "")).first()
