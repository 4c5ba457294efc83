"""The lots: where each stands and what it waits for; and a lot's page, built round its stages."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions import lots as acts
from assaywright.actions.certificates import PRINTED_IN
from assaywright.records.models import Product
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.labels import DEFERRAL, Label, label_of_lot
from assaywright.records.selectors.lots import LotLine, LotShown, lot_lines, lot_shown
from assaywright.records.toml_text import DATE
from assaywright.web.forms import act_of, chosen_act, fresh_act, shown_again, sign, today, tried, typed, version_of
from assaywright.web.irregularities import NOTHING_IRREGULAR, Irregularities, accepting, irregularities

CHECKS = (
    "Was the sample of the right lot, and did it stand, dissolve and mix as it should?",
    "Were the readings, masses and units copied and calculated right?",
    "Were titrant, reagents and indicator the right ones, within their dates, and in order?",
    "Were balance, burette, pipettes and flasks within calibration, clean and free of bubbles and drops?",
    "Was the method followed, and did anything unusual happen at the bench?",
)


@dataclass(frozen=True)
class LotsPage:
    """What the list shows."""

    lots: list[LotLine]
    waiting: int


@dataclass(frozen=True)
class LotPage:
    """What a lot's page shows."""

    shown: LotShown
    history: list[Happened]
    entries: list[dict[str, Any]]
    checks: tuple[str, ...]
    act: str
    today: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    release_meaning: str = acts.RELEASED_MEANING
    languages: tuple[tuple[str, str], ...] = PRINTED_IN
    irregularities: Irregularities = NOTHING_IRREGULAR


@dataclass(frozen=True)
class NewLotPage:
    """What the form for a new lot shows."""

    products: list[Product]
    act: str
    today: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class LabelPage:
    """What the page of a label shows; the code is that which a scanner reads, drawn."""

    label: Label
    code: str
    deferral: str
    back: str


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all, those that wait for something first."""
    lines = lot_lines()
    page = LotsPage(lines, sum(1 for one in lines if one.waits_for != "nothing"))
    return render(request, "web/lots.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Enter a lot of a product."""
    fields, sentence = typed(request), ""
    if request.method == "POST":
        sentence = tried(lambda: _make(request, fields))
        if not sentence:
            return redirect("lots.show", fields["number"].strip())
    page = NewLotPage(list(Product.objects.order_by("name")), fresh_act(), today().isoformat(), sentence,
                      shown_again(fields))
    return render(request, "web/lots.new.html", {"page": page}, status=422 if sentence else 200)


def _make(request: HttpRequest, fields: dict[str, str]) -> None:
    from assaywright.actions.reasons import day

    product = Product.objects.filter(pk=fields.get("product", "")).first()
    kept = ("storage", "hazards", "cautions", "maker")
    table: dict[str, Any] = {key: value for key, value in (product.content if product else {}).items() if key in kept}
    table |= {"product": fields.get("product", ""), "made": {DATE: day(fields.get("made", ""), "made")}}
    table |= {key: fields[key].strip() for key in ("use_before", "maker", "customer") if fields.get(key, "").strip()}
    acts.lot_make(identity=fields.get("number", ""), table=table, quantity=fields.get("quantity", "").strip(),
                  by=request.user.get_username(), act=act_of(request, "make"))


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show a lot, and do what one of its forms asks."""
    lot, fields, sentence = acts.lot(identity), typed(request), ""
    if request.method == "POST":
        sentence = chosen_act(request, lambda: _acts(request, identity, fields))
        if not sentence:
            return redirect("lots.show", identity)
    shown = lot_shown(lot)
    entries = [one for one in Product.objects.get(pk=lot.product).content["characteristics"] if not one.get("method")]
    page = LotPage(shown, history(identity, lot=identity), entries, CHECKS, fresh_act(), today().isoformat(), sentence,
                   shown_again(fields), irregularities=irregularities(shown.remarks, _judged(shown)))
    return render(request, "web/lots.show.html", {"page": page}, status=422 if sentence else 200)


def _judged(shown: LotShown) -> list[str]:
    """Return the numbers for which something may have been accepted that concerns the lot."""
    return [shown.lot.identity, *(one.worksheet for one in shown.characteristics if one.worksheet)]


def _acts(request: HttpRequest, identity: str, fields: dict[str, str]) -> dict[str, Callable[[], object]]:
    """Return what the forms of a lot's page do, by the name that each carries."""
    by, said = request.user.get_username(), {"identity": identity, "by": request.user.get_username()}
    act = act_of(request, request.POST.get("do", ""))
    answers = {question: fields.get(f"check {number}", "") for number, question in enumerate(CHECKS, 1)}

    def release() -> None:
        sign(request, subject=identity, meaning=acts.RELEASED_MEANING)
        acts.lot_release(identity=identity, by=by, act=act, expected=version_of(request))

    def text(name: str) -> str:
        return fields.get(name, "")

    return {
        "sample": lambda: acts.lot_sample(taken=text("taken"), where=text("where"), act=act,
                                          retained_until=text("retained_until"), **said),
        "enter": lambda: acts.characteristic_enter(table=_entry(fields), reason=text("entry_reason"), act=act, **said),
        "hold": lambda: acts.lot_hold(reason=text("hold_reason"), act=act, **said),
        "retest": lambda: acts.retest_authorise(checks=answers, plan=text("plan"), act=act, **said),
        "conclude": lambda: acts.investigation_conclude(conclusion=text("conclusion"), act=act, **said),
        "release": release,
        "accept": accepting(request, identity, fields),
        "reject": lambda: acts.lot_reject(reason=text("reject_reason"), act=act, **said),
        "open": lambda: acts.bottle_open(identity=text("bottle"), of=identity, opened=text("opened"), by=by, act=act),
    }


def _entry(fields: dict[str, str]) -> dict[str, Any]:
    """Return the table of an entered characteristic: a value, a bound, or words with whether they satisfy."""
    table: dict[str, Any] = {"name": fields.get("characteristic", ""), "source": fields.get("source", "").strip()}
    way, text = fields.get("way", ""), fields.get("found", "").strip()
    if way in ("value", "less_than"):
        return {**table, way: text}
    return {**table, "found": text, "satisfied": fields.get("satisfied") == "yes"}


@require_safe
def label(request: HttpRequest, identity: str) -> HttpResponse:
    """Show a lot's label, to be printed."""
    return show_label(request, label_of_lot(acts.lot(identity)), reverse("lots.show", args=[identity]))


def show_label(request: HttpRequest, drawn: Label, back: str) -> HttpResponse:
    """Show a label with its scannable code."""
    from assaywright.reports.scannable import qr_code

    page = LabelPage(drawn, qr_code(drawn.scanned), DEFERRAL, back)
    return render(request, "web/label.html", {"page": page})
