"""Production's questions: how much brings a lot to strength, and what lots give together; sheets, and nothing recorded.

A form is sent with its fields in the address, since nothing is changed by it; the same address gives the printed sheet.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from assaywright.assay.prepare.sheet import ProductionSheet
from assaywright.metrology.refusal import Refusal
from assaywright.records.demonstration import mark
from assaywright.records.models import Lot, Product
from assaywright.records.selectors.adjusting import (
    AT_CONTENT,
    CONCENTRATE,
    WATER,
    AdjustAsked,
    adjust_asked,
    adjust_sheet,
)
from assaywright.records.selectors.blending import BlendAsked, blend_asked, blend_shown
from assaywright.records.selectors.production import lot_named
from assaywright.web.access import missing
from assaywright.web.forms import asked_for, today
from assaywright.web.pages.assays import sent_file
from assaywright.web.said import in_words

Row = tuple[str, str, str]
TANK: tuple[Row, ...] = (
    ("tank", "Tank", ""),
    ("amount", "In the tank, by mass or by volume", "5000 kg ± 15 kg, k = 2, or 3760 L ± 10 L, rectangular"),
    ("tank_temperature", "Temperature in the tank", "22 °C; 20 °C when empty"),
    ("capacity", "The tank holds", "4200 L; without it no room is checked"),
)
OF_TANK: tuple[Row, ...] = (
    ("tank_density", "Density at the tank’s temperature", "1.0826 g/mL ± 0.0002 g/mL, k = 2; the table’s when empty"),
    ("dead_leg", "Dead leg: read, but not mixed", "12 kg ± 3 kg, rectangular"),
    ("greatest_temperature", "Greatest temperature of the tank", "50 °C"),
    ("mixing", "How it is mixed", "pump round for 30 minutes"),
)
ADDED: tuple[Row, ...] = (
    ("addition_lot", "Its lot, or a lot or solution on record", "content and density are then taken from the records"),
    ("addition_content", "Content of a concentrate", "48.6 % w/w ± 0.2 % w/w, k = 2"),
    ("readability", "Smallest step of what measures it", "1 kg on a scale, 0.1 L by a meter"),
)
OF_ADDED: tuple[Row, ...] = (
    ("addition_temperature", "Its temperature", "20 °C when empty"),
    ("addition_density", "Density of a concentrate", "1.509 g/mL ± 0.002 g/mL, k = 2; the table’s when empty"),
    ("measuring", "How far an amount may be off", "0.2 L, rectangular; one step when empty"),
    ("instrument", "Scale or meter", "water meter M-1"), ("available", "How much there is", "800 kg"),
)
OF_LOT: tuple[Row, ...] = (
    ("content", "Content found, where no worksheet gives it", "30.45 % w/w ± 0.06 % w/w, k = 2"),
    ("density", "Density of the lot at 20 °C", "1.0833 g/mL ± 0.0002 g/mL, k = 2"),
    ("product_density", "Density of the product at its nominal content", "where no table holds it"),
    ("repeatability", "Repeatability of one determination", "0.02 % w/w"),
    ("prior_mean", "Mean of the product’s lots before adjustment", "with the next field; both may stay empty"),
    ("prior_deviation", "Their standard deviation", ""),
)
HEAD: tuple[Row, ...] = (
    ("number", "Number of the sheet", ""), ("responsible", "Responsible, a qualified person", ""),
    ("function", "Function", ""), ("note", "Note", ""),
)
BLENDED: tuple[Row, ...] = (
    ("wanted", "Mass wanted", "8000 kg; as much as can be made when empty"),
    ("failing", "Chance of failing, at most", ""),
    ("capacity", "The vessel holds", "by mass: 10000 kg"),
    ("readability", "Smallest step of the scale", "1 kg"),
)
OF_BLEND: tuple[Row, ...] = (
    ("measuring", "How far a mass may be off", "0.5 kg, rectangular; one step when empty"), ("instrument", "Scale", ""),
    ("product_density", "Density of the product at its nominal content", "where no table holds it"),
)
AIMS = (("nominal", "the nominal content"), ("most", "as much of the lots as stays within the limits"))
ADJUST_PARTS = {"tank": TANK, "of_tank": OF_TANK, "added": ADDED, "of_added": OF_ADDED, "of_lot": OF_LOT, "head": HEAD}
BLEND_PARTS = {"blend": BLENDED, "of_blend": OF_BLEND, "head": HEAD}
KINDS = ((WATER, "a diluent, like water"), (CONCENTRATE, "a concentrate"))
LANDINGS = (
    ("nominal", "at the nominal content"), (AT_CONTENT, "at another content"),
    ("cheapest", "at the lowest content that keeps the chance of failing"))


@dataclass(frozen=True)
class FieldShown:
    """A field of a form: its name, how it is called, an example, and what stands in it."""

    key: str
    words: str
    hint: str
    text: str


@dataclass(frozen=True)
class AdjustPage:
    """What the page of an adjustment shows: the form, and the sheet once it was sent.

    Fields:
        sentence: why nothing can be worked out.
        groups: the fields by the part of the form that they stand in.
        opened: the parts of them that stand folded, and in which something was typed.
        query: the address of the printed sheet, what follows its question mark.
    """

    lot: Lot
    asked: AdjustAsked | None
    sheet: ProductionSheet | None = None
    sentence: str = ""
    groups: dict[str, list[FieldShown]] = field(default_factory=dict)
    opened: tuple[str, ...] = ()
    kinds: tuple[tuple[str, str], ...] = KINDS
    landings: tuple[tuple[str, str], ...] = LANDINGS
    query: str = ""


@dataclass(frozen=True)
class BlendPage:
    """What the page of a blend shows: the form, and the sheet once it was sent; see :class:`AdjustPage`."""

    product: str
    asked: BlendAsked | None
    sheet: ProductionSheet | None = None
    sentence: str = ""
    groups: dict[str, list[FieldShown]] = field(default_factory=dict)
    opened: tuple[str, ...] = ()
    aims: tuple[tuple[str, str], ...] = AIMS
    query: str = ""


@require_safe
def adjust(request: HttpRequest, identity: str) -> HttpResponse:
    """Show how much to add to a lot, and what comes of it."""
    lot = lot_named(identity)
    if lot is None:
        return _no_lot(request, identity)
    asked, sheet, sentence = None, None, ""
    try:
        asked = adjust_asked(lot, asked_for(request), today())
        sheet = adjust_sheet(asked, today()) if asked.asked else None
    except Refusal as refusal:
        sentence = in_words(refusal)
    fields = asked.fields if asked else {}
    groups = {name: fields_shown(rows, fields) for name, rows in ADJUST_PARTS.items()}
    page = AdjustPage(lot, asked, sheet, sentence, groups, opened_parts(request, ADJUST_PARTS),
                      query=request.GET.urlencode())
    return render(request, "web/lots.adjust.html", {"page": page}, status=422 if sentence else 200)


@require_safe
def adjust_pdf(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the sheet of an adjustment as PDF, to be ticked off and signed by hand."""
    lot = lot_named(identity)
    if lot is None:
        return _no_lot(request, identity)
    asked = adjust_asked(lot, asked_for(request), today())
    if not asked.asked:
        return redirect("lots.adjust", lot.identity)
    return printed_sheet(adjust_sheet(asked, today()), f"adjust-{lot.identity}.pdf")


@require_safe
def blend(request: HttpRequest, name: str) -> HttpResponse:
    """Show what lots of a product give together, and how likely that conforms."""
    if not Product.objects.filter(pk=name.replace("\0", "")).exists():
        return _no_product(request, name)
    asked, sheet, sentence = None, None, ""
    try:
        asked = blend_asked(name, asked_for(request), today())
        sheet = blend_shown(asked, today()) if asked.asked else None
    except Refusal as refusal:
        sentence = in_words(refusal)
    fields = asked.fields if asked else {}
    groups = {part: fields_shown(rows, fields) for part, rows in BLEND_PARTS.items()}
    page = BlendPage(name, asked, sheet, sentence, groups, opened_parts(request, BLEND_PARTS),
                     query=request.GET.urlencode())
    return render(request, "web/products.blend.html", {"page": page}, status=422 if sentence else 200)


@require_safe
def blend_pdf(request: HttpRequest, name: str) -> HttpResponse:
    """Send the sheet of a blend as PDF, to be ticked off and signed by hand."""
    if not Product.objects.filter(pk=name.replace("\0", "")).exists():
        return _no_product(request, name)
    asked = blend_asked(name, asked_for(request), today())
    if not asked.asked:
        return redirect("products.blend", name)
    sheet = blend_shown(asked, today())
    return printed_sheet(sheet, f"blend-{sheet.number}.pdf")


def fields_shown(rows: tuple[Row, ...], fields: Any) -> list[FieldShown]:
    """Return the fields of a part of a form, with what stands in them."""
    return [FieldShown(key, words, hint, str(fields.get(key, ""))) for key, words, hint in rows]


def opened_parts(request: HttpRequest, parts: Mapping[str, tuple[Row, ...]]) -> tuple[str, ...]:
    """Return the parts of a form that stand folded and in which something was typed; their names begin with "of"."""
    return tuple(name for name, rows in parts.items()
                 if name.startswith("of_") and any(request.GET.get(key, "").strip() for key, _, _ in rows))


def printed_sheet(sheet: ProductionSheet, name: str) -> HttpResponse:
    """Answer with a sheet as PDF."""
    from assaywright.reports.render import production_pdf

    return sent_file(production_pdf(sheet, mark()), name, "application/pdf")


def _no_lot(request: HttpRequest, identity: str) -> HttpResponse:
    return missing(request, f"There is no lot {identity[:60]}. Look for it in the list of the lots.")


def _no_product(request: HttpRequest, name: str) -> HttpResponse:
    return missing(request, f"There is no product {name[:60]}. Look for it in the list of the products.")
