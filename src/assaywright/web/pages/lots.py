"""The lots: where each stands and what it waits for; and a lot's page, built round its stages."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions import characteristics, investigations
from assaywright.actions import lots as acts
from assaywright.actions.certificates import PRINTED_IN
from assaywright.actions.equipment import WORKERS
from assaywright.actions.lot_heading import HEADING
from assaywright.actions.names import in_one_form
from assaywright.actions.respecification import lot_respecify
from assaywright.metrology.refusal import Refusal
from assaywright.records.investigated import authorised_now
from assaywright.records.models import Lot, Product
from assaywright.records.models.lots import MADE, ON_HOLD, RECALLED, REJECTED, RELEASED
from assaywright.records.models.people import SIGNATORY
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.labels import DEFERRAL, Label, label_of_lot
from assaywright.records.selectors.listed import Column, Filter, Listed, values_of, words_of
from assaywright.records.selectors.lots import LotShown, lot_shown
from assaywright.records.selectors.products import wanted_of
from assaywright.records.selectors.signatures import SignatureShown, signatures_about
from assaywright.records.selectors.stages import LotLine
from assaywright.records.selectors.standing import lot_lines_of, undecided
from assaywright.records.selectors.taken_along import last_day_of
from assaywright.records.specified import specified_of
from assaywright.records.toml_text import DATE, day_text
from assaywright.web.access import may
from assaywright.web.enquiring import Enquiring, enquiring
from assaywright.web.forms import act_of, chosen_act, fresh_act, shown_again, sign, today, tried, typed, version_of
from assaywright.web.irregularities import NOTHING_IRREGULAR, Irregularities, accepting, irregularities
from assaywright.web.listing import Listing, exported, listing

CHECKS = (
    "Was the sample of the right lot, and did it stand, dissolve and mix as it should?",
    "Were the readings, masses and units copied and calculated right?",
    "Were titrant, reagents and indicator the right ones, within their dates, and in order?",
    "Were balance, burette, pipettes and flasks within calibration, clean and free of bubbles and drops?",
    "Was the method followed, and did anything unusual happen at the bench?",
)
UNVERSIONED = ("accept", "open")  # they leave the lot as it is
WORDS = {"made": "Made", "use_before": "Use before the end of", "quantity": "Quantity", "maker": "Maker",
         "storage": "Storage", "customer": "Customer"}


LOTS = Listed(
    "lots", Lot,
    (Column("number", "Lot", "identity"), Column("product", "Product", "product"), Column("state", "State", "state"),
     Column("stage", "Last stage", line=lambda one: str(one.stage)),
     Column("waits", "Waits for", line=lambda one: str(one.waits_for)), Column("made", "Made", "made"),
     Column("use_before", "Use before the end of", "use_before")),
    (Filter("product", "Product", "product", options=lambda: values_of(Product, "name")),
     Filter("state", "State", "state", options=words_of(MADE, ON_HOLD, RELEASED, REJECTED, RECALLED)),
     Filter("number", "Number begins", "identity", begins=True)),
    "state", period="made", period_words="Made", lines=lot_lines_of,
    along=(Column("last", "Last day of use", text=lambda one: last_day_of(one.use_before)),))


@dataclass(frozen=True)
class LotsPage:
    """What the list shows."""

    listing: Listing
    lots: list[LotLine]
    undecided: int


@dataclass(frozen=True)
class ToEnter:
    """A characteristic that can be entered, and what is wanted of it."""

    name: str
    wanted: str


@dataclass(frozen=True)
class HeadingField:
    """A field of a lot's heading: its name, how it is called, and what stands in it."""

    name: str
    words: str
    text: str


@dataclass(frozen=True)
class LotPage:
    """What a lot's page shows.

    Fields:
        entries: what can be entered now; with ``retests``, as an authorised retest only.
        in_other_words: what was found in other words than those required, for whoever releases it.
        heading: as the form that corrects it shows it.
    """

    shown: LotShown
    history: list[Happened]
    entries: list[ToEnter]
    retests: bool
    retest_authorised: bool
    in_other_words: list[dict[str, str]]
    heading: list[HeadingField]
    may_amend: bool
    checks: tuple[str, ...]
    act: str
    today: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    release_meaning: str = acts.RELEASED_MEANING
    recall_meaning: str = acts.RECALLED_MEANING
    check_meaning: str = characteristics.CHECKED_MEANING
    conclude_meaning: str = investigations.CONCLUDED_MEANING
    verdicts: tuple[str, ...] = investigations.VERDICTS
    languages: tuple[tuple[str, str], ...] = PRINTED_IN
    irregularities: Irregularities = NOTHING_IRREGULAR
    signatures: tuple[SignatureShown, ...] = ()
    enquiring: Enquiring = field(default_factory=Enquiring)


@dataclass(frozen=True)
class NewLotPage:
    """What the form for a new lot shows."""

    products: list[Product]
    act: str
    today: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class NoLabelPage:
    """What is shown in place of the label of a lot that is not to be used."""

    lot: Lot


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
    if (file := exported(request, LOTS)) is not None:
        return file
    shown = listing(request, LOTS)
    page = LotsPage(shown, lot_lines_of(shown.rows), undecided())
    return render(request, "web/lots.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Enter a lot of a product."""
    fields, sentence = typed(request), ""
    if request.method == "POST":
        sentence = tried(lambda: _make(request, fields))
        if not sentence:
            return redirect("lots.show", in_one_form(fields["number"]))
    page = NewLotPage(list(Product.objects.order_by("name")), fresh_act(), today().isoformat(), sentence,
                      shown_again(fields))
    return render(request, "web/lots.new.html", {"page": page}, status=422 if sentence else 200)


def _make(request: HttpRequest, fields: dict[str, str]) -> None:
    from assaywright.actions.reasons import day

    table: dict[str, Any] = {"product": fields.get("product", ""), "made": {DATE: day(fields.get("made", ""), "made")}}
    table |= {key: fields[key].strip() for key in ("use_before", "maker", "storage", "customer")
              if fields.get(key, "").strip()}
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
    shown, retests = lot_shown(lot), investigations.waits_for_retest(lot)
    over = lot.state in acts.OVER
    page = LotPage(
        shown, history(identity, of="lot", lot=identity), _to_enter(lot, retests), bool(retests),
        authorised_now(identity) is not None, [] if over else acts.in_other_words(lot), _heading(lot, fields),
        may(request, *(SIGNATORY,) if over else WORKERS), CHECKS, fresh_act(), today().isoformat(), sentence,
        shown_again(fields), irregularities=irregularities(shown.remarks, _judged(shown)),
        signatures=signatures_about(lot), enquiring=enquiring(identity))
    return render(request, "web/lots.show.html", {"page": page}, status=422 if sentence else 200)


def _to_enter(lot: Lot, retests: list[str]) -> list[ToEnter]:
    """Return what can be entered of a lot: everything that is not titrated, or what waits for its retest."""
    specified = specified_of(lot)
    return [ToEnter(one["name"], wanted_of(one)) for one in specified
            if not one.get("method") and (not retests or one["name"] in retests)]


def _heading(lot: Lot, fields: dict[str, str]) -> list[HeadingField]:
    """Return the fields of a lot's heading: as typed where its form was sent, else as they are on record."""
    sent = "amend_reason" in fields
    return [HeadingField(name, WORDS[name], fields.get(name, "") if sent else day_text(lot.content.get(name)))
            for name in HEADING]


def _judged(shown: LotShown) -> list[str]:
    """Return the numbers for which something may have been accepted that concerns the lot."""
    return [shown.lot.identity, *(one.worksheet for one in shown.characteristics if one.worksheet)]


def _acts(request: HttpRequest, identity: str, fields: dict[str, str]) -> dict[str, Callable[[], object]]:
    """Return what the forms of a lot's page do, by the name that each carries."""
    by, do = request.user.get_username(), request.POST.get("do", "")
    act = act_of(request, do)
    said: dict[str, Any] = {"identity": identity, "by": by, "act": act}
    if do not in UNVERSIONED:
        said["expected"] = _version(request)
    answers = {question: fields.get(f"check {number}", "") for number, question in enumerate(CHECKS, 1)}

    def signed(meaning: str, done: Callable[[], object]) -> Callable[[], None]:
        def sign_and_do() -> None:
            sign(request, subject=identity, meaning=meaning)
            done()

        return sign_and_do

    def text(name: str) -> str:
        return fields.get(name, "")

    return {
        "respecify": lambda: lot_respecify(reason=text("respecify_reason"), **said),
        "sample": lambda: acts.lot_sample(taken=text("taken"), where=text("where"),
                                          retained_until=text("retained_until"), **said),
        "amend": lambda: acts.lot_amend(fields={name: fields[name] for name in HEADING if name in fields},
                                        reason=text("amend_reason"), **said),
        "enter": lambda: characteristics.characteristic_enter(table=_entry(fields), reason=text("entry_reason"),
                                                              **said),
        "check": lambda: characteristics.characteristic_check(**said),
        "hold": lambda: acts.lot_hold(reason=text("hold_reason"), **said),
        "retest": lambda: investigations.retest_authorise(checks=answers, plan=text("plan"), **said),
        "conclude": signed(investigations.CONCLUDED_MEANING, lambda: investigations.investigation_conclude(
            verdict=text("verdict"), conclusion=text("conclusion"), checks=answers, **said)),
        "release": signed(acts.RELEASED_MEANING, lambda: acts.lot_release(**said)),
        "accept": accepting(request, identity, fields),
        "reject": lambda: acts.lot_reject(reason=text("reject_reason"), **said),
        "recall": signed(acts.RECALLED_MEANING, lambda: acts.lot_recall(reason=text("recall_reason"), **said)),
        "open": lambda: acts.bottle_open(identity=text("bottle"), of=identity, opened=text("opened"), by=by, act=act),
    }


def _version(request: HttpRequest) -> int:
    """Return the version of the lot that the page showed; every form that changes the lot sends it."""
    return Refusal.unless(version_of(request), "the form does not say which state of the lot lay open", where="form",
                          remedy="reload the page, and send it again")


def _entry(fields: dict[str, str]) -> dict[str, Any]:
    """Return the table of an entered characteristic: a value, a bound, or words with whether they satisfy."""
    table: dict[str, Any] = {"name": fields.get("characteristic", ""), "source": fields.get("source", "").strip()}
    way, text = fields.get("way", ""), fields.get("found", "").strip()
    if way in ("value", "less_than"):
        return {**table, way: text}
    judged = {"yes": True, "no": False}.get(fields.get("satisfied", ""))
    return {**table, "found": text, **({} if judged is None else {"satisfied": judged})}


@require_safe
def label(request: HttpRequest, identity: str) -> HttpResponse:
    """Show a lot's label, to be printed; of a lot that is not to be used there is none."""
    lot = acts.lot(identity)
    if lot.state in (REJECTED, RECALLED):
        return render(request, "web/lots.no-label.html", {"page": NoLabelPage(lot)})
    return show_label(request, label_of_lot(lot), reverse("lots.show", args=[identity]))


def show_label(request: HttpRequest, drawn: Label, back: str) -> HttpResponse:
    """Show a label with its scannable code."""
    from assaywright.reports.scannable import qr_code

    page = LabelPage(drawn, qr_code(drawn.scanned), DEFERRAL, back)
    return render(request, "web/label.html", {"page": page})
