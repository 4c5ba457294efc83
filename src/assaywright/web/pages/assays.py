"""Assays and standardisations: begun, titrated with the result live, corrected, sent to review."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions import assays as acts
from assaywright.actions import heading_correction as correction
from assaywright.actions import reopening
from assaywright.actions.asked_about import SameReadings
from assaywright.actions.fitting import fits, material_fits
from assaywright.actions.headings import Chosen, heading_of
from assaywright.actions.names import in_one_form
from assaywright.assay.asked import Asked, asked, ways_of
from assaywright.assay.bench.cautioned import of_nominals
from assaywright.assay.method import Method, method_names
from assaywright.metrology.refusal import Refusal
from assaywright.records.accepted import accepted_of
from assaywright.records.behind import doubtful_solutions
from assaywright.records.bridge import last_sample
from assaywright.records.demonstration import mark
from assaywright.records.instruments import BALANCE, THERMOMETER
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Determination, Instrument, Lot, Material, MethodEdition, Solution
from assaywright.records.models.assays import IN_REVIEW, RETURNED, REVIEWED, TITRATING, VOID
from assaywright.records.models.equipment import IN_USE
from assaywright.records.readings import determination_of, filling_names
from assaywright.records.selectors.above import Above, resting_on
from assaywright.records.selectors.assays import (
    AssayShown,
    assay_shown,
    cautions_of,
    free_number,
)
from assaywright.records.selectors.certificates import reviewer_of, signatures_over
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.left_shown import LeftShown, left_shown
from assaywright.records.selectors.listed import Column, Filter, Listed, values_of, words_of
from assaywright.web.forms import (
    act_of,
    asked_for,
    chosen_act,
    fresh_act,
    place_of,
    shown_again,
    today,
    tried,
    typed,
    version_of,
)
from assaywright.web.irregularities import NOTHING_IRREGULAR, Irregularities, accepting, irregularities
from assaywright.web.left_at_bench import reasons_of
from assaywright.web.listing import Listing, exported, listing
from assaywright.web.pages.errors import said

OPEN_STAGES = ("titrating", "sent back")
ROLES = {"titrant": "Titrant", "reagent": "Reagent in excess", "against": "Standard solution that it is set against"}


ASSAYS = Listed(
    "worksheets", Assay,
    (Column("number", "Worksheet", "identity"), Column("kind", "Kind", "kind", sorts=False),
     Column("about", "About", "about"), Column("method", "Method", "method"),
     Column("performed", "Performed", "performed"), Column("analyst", "Analyst", "analyst"),
     Column("stage", "Stage", "stage")),
    (Filter("stage", "Stage", "stage", options=words_of(TITRATING, IN_REVIEW, RETURNED, REVIEWED, VOID)),
     Filter("kind", "Kind", "kind", options=words_of("assay", "standardisation")),
     Filter("method", "Method", "method", options=lambda: values_of(Assay, "method")),
     Filter("analyst", "Analyst", "analyst", options=lambda: values_of(Assay, "analyst")),
     Filter("about", "Lot or solution begins", "about", begins=True)),
    "-performed", period="performed", period_words="Performed")


@dataclass(frozen=True)
class AssaysPage:
    """What the list shows."""

    listing: Listing


@dataclass(frozen=True)
class ChoosePage:
    """What is shown before a worksheet is begun: for which lot or solution, by which method."""

    kind: str
    about: str
    methods: list[tuple[str, str]]


@dataclass(frozen=True)
class NewAssayPage:
    """What the form that begins a worksheet shows."""

    kind: str
    about: str
    method: str
    method_title: str
    handlings: tuple[str, ...]
    asked: Asked
    cautions: tuple[str, ...]
    solutions: list[tuple[str, str, list[Solution]]]
    materials: list[Material]
    vessels: list[tuple[str, str, list[Instrument]]]
    balances: list[Instrument]
    thermometers: list[Instrument]
    number: str
    taken: str
    act: str
    today: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    corrects: Assay | None = None
    doubtful: frozenset[str] = frozenset()


@dataclass(frozen=True)
class AssayPage:
    """What an assay's page shows.

    Fields:
        worked: whether who looks at it has titrated it, or entered or corrected anything of it.
        above: what rests on it, while it is reviewed and can be reopened.
        asks_own: whether equal readings are asked about.
        left: what was typed at the bench and is not on record.
    """

    shown: AssayShown
    history: list[Happened]
    chart: str
    is_open: bool
    worked: bool
    act: str
    above: Above | None = None
    asks_own: bool = False
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    corrected: int = 0
    irregularities: Irregularities = NOTHING_IRREGULAR
    left: tuple[LeftShown, ...] = ()


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all, the latest first."""
    return exported(request, ASSAYS) or render(
        request, "web/assays.html", {"page": AssaysPage(listing(request, ASSAYS))})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Begin an assay of a lot, or a standardisation of a solution."""
    fields = typed(request) if request.method == "POST" else asked_for(request)
    about, named = fields.get("about", "").strip(), fields.get("method", "").strip()
    if not named:
        return _choose(request, about)
    method, sentence = method_of(named), ""
    table = Lot if method.kind == "assay" else Solution
    if not table.objects.filter(pk=about).exists():
        raise Refusal(f"there is no {table.__name__.lower()} {about[:60]}", where="address",
                      remedy="begin from the page of a lot or solution")
    if request.method == "POST":
        sentence = tried(lambda: _begin(request, Chosen(named, about, fields)))
        if not sentence:
            return redirect("assays.show", in_one_form(fields["number"]))
    page = form_page(named, about, asked(method, fields.get("handling", "")), fields, sentence)
    return render(request, "web/assays.new.html", {"page": page}, status=422 if sentence else 200)


def form_page(
    named: str, about: str, wanted: Asked, fields: dict[str, str], sentence: str = "", corrects: Assay | None = None
) -> NewAssayPage:
    """Return what the form of a heading shows: what can be chosen, and what is typed; of a stated one, that as well."""
    method = method_of(named)
    stated = set(fields.values()) if corrects else set()
    usable = Q(state=IN_USE) | Q(pk__in=stated)
    instruments = list(Instrument.objects.filter(usable).order_by("identity"))
    return NewAssayPage(
        method.kind, about, named, method.title, ways_of(method), wanted, cautions_of(of_nominals(method)),
        _solutions(method, wanted, Solution.objects.filter(usable).order_by("identity"), stated),
        [one for one in Material.objects.filter(usable).order_by("identity")
         if one.identity in stated or material_fits(one, method)],
        [(one.role, one.words, [item for item in instruments if item.kind in one.kinds]) for one in wanted.vessels],
        [one for one in instruments if one.kind == BALANCE], [one for one in instruments if one.kind == THERMOMETER],
        free_number(f"WS-{today():%y}-"), last_sample(about), fresh_act(), today().isoformat(), sentence,
        shown_again(fields), corrects, doubtful_solutions())


def _solutions(
    method: Method, wanted: Asked, rows: Iterable[Solution], stated: set[str]
) -> list[tuple[str, str, list[Solution]]]:
    """Return for each role of a solution its name in words, with its substance, and what can play it."""
    every, found = list(rows), []
    for role in wanted.solutions:
        fitting = [one for one in every if one.identity in stated or fits(one.formula, method, role)]
        found.append((role, f"{ROLES[role]}: {getattr(method, role).name}", fitting))
    return found


@require_http_methods(["GET", "HEAD", "POST"])
def heading(request: HttpRequest, identity: str) -> HttpResponse:
    """Correct the heading of an open worksheet: the form that begins one, filled with what is stated."""
    assay = acts.open_assay(identity)
    stated = correction.fields_of(assay.content, correction.handling_now(assay))
    fields, sentence = {**stated, **asked_for(request)}, ""
    if request.method == "POST":
        fields = {**stated, **typed(request)}
        sentence = tried(lambda: _correct(request, assay, typed(request)))
        if not sentence:
            return redirect("assays.show", identity)
    wanted = asked(method_of(assay.method), fields["handling"])
    page = form_page(assay.method, assay.about, wanted, fields, sentence, acts.assay_of_number(identity))
    return render(request, "web/assays.new.html", {"page": page}, status=422 if sentence else 200)


def _correct(request: HttpRequest, assay: Assay, fields: dict[str, str]) -> None:
    by = request.user.get_username()
    acts.may_work(by)
    changed, rests_on = correction.corrected(assay, fields, by=by)
    acts.assay_amend(identity=assay.identity, heading=changed, rests_on=rests_on, by=by,
                     reason=fields.get("reason", ""), expected=version_of(request), act=act_of(request, "amend"))


def _choose(request: HttpRequest, about: str) -> HttpResponse:
    """Show the methods that fit: assays for a lot, standardisations for a solution, its own formula's first."""
    lot, solution = Lot.objects.filter(pk=about).first(), Solution.objects.filter(pk=about).first()
    if lot is None and solution is None:
        raise Refusal("no lot and no solution is named", where="about",
                      remedy="begin from the page of a lot or solution")
    kind = "assay" if lot is not None else "standardisation"
    adopted = [f"{name}.toml" for name in MethodEdition.objects.values_list("name", flat=True).distinct()]
    found = [(name, method) for name in (*method_names(), *adopted) if (method := method_of(name)).kind == kind]
    if solution is not None:
        found = [(name, method) for name, method in found if method.titrant.formula == solution.formula]
    page = ChoosePage(kind, about, [(name, method.title) for name, method in found])
    return render(request, "web/assays.choose.html", {"page": page})


def _begin(request: HttpRequest, chosen: Chosen) -> None:
    by = request.user.get_username()
    acts.may_work(by)
    heading, rests_on = heading_of(chosen, by=by)
    acts.assay_begin(heading=heading, about=chosen.about, rests_on=rests_on, by=by, act=act_of(request, "begin"))


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show an assay, and do what one of its forms asks."""
    from assaywright.reports.chart_replicates import replicate_chart

    assay, fields, sentence = acts.assay_of_number(identity), typed(request), ""
    asked_about: list[SameReadings] = []
    if request.method == "POST":
        sentence = chosen_act(request, _acts(request, assay, fields, asked_about))
        if not sentence:
            return redirect("assays.show", identity)
        assay = acts.assay_of_number(identity)
    shown = assay_shown(assay)
    page = AssayPage(
        shown, history(identity, of="worksheet"), replicate_chart(shown.outcome) if shown.outcome else "",
        assay.stage in OPEN_STAGES,
        acts.worked_on(request.user.get_username(), assay), fresh_act(),
        resting_on(assay) if assay.stage == REVIEWED else None, bool(asked_about), sentence, shown_again(fields),
        place_of(request) if sentence and request.POST.get("do") in ("correct", "exclude", "readmit") else 0,
        irregularities(shown.outcome.remarks, (identity, assay.about)) if shown.outcome else NOTHING_IRREGULAR,
        left_shown(assay, shown.left, fields))
    return render(request, "web/assays.show.html", {"page": page}, status=422 if sentence else 200)


@require_safe
def working(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the written-out working as PDF: the laboratory's own copy, with raw data and budget."""
    from assaywright.assay.working_document import working_document
    from assaywright.records.bridge import evaluate_assay
    from assaywright.reports.render import working_pdf

    assay = acts.assay_of_number(identity)
    if not Determination.objects.filter(assay=assay.identity).exists():
        return said(request, 404, "Nothing is titrated yet", f"{assay.identity} holds no determination, so there is no "
                    "working of it yet. Begin at the bench, or enter the readings on the worksheet’s page.",
                    (reverse("bench.show", args=[assay.identity]), f"To the bench: {assay.identity}"))
    data = working_pdf(working_document(
        evaluate_assay(assay), accepted_of(identity, assay.about), signatures_over(assay), reviewer_of(identity)),
        mark())
    return sent_file(data, f"{assay.path.removesuffix('.toml')}-working.pdf", "application/pdf")


@require_safe
def worksheet(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the worksheet with every worksheet that it rests on, as one archive, for the command line."""
    import io
    import zipfile

    from assaywright.records.bridge import export

    assay, packed = acts.assay_of_number(identity), io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in export(assay).items():
            archive.writestr(name, data)
    return sent_file(packed.getvalue(), f"{assay.path.removesuffix('.toml')}.zip", "application/zip")


def sent_file(data: bytes, name: str, kind: str) -> HttpResponse:
    """Answer with a file to be kept."""
    from django.utils.http import content_disposition_header

    answer = HttpResponse(data, content_type=kind)
    answer.headers["Content-Disposition"] = content_disposition_header(as_attachment=True, filename=name)
    return answer


# --- what the forms do ------------------------------------------------------------------------------------------------


def _acts(
    request: HttpRequest, assay: Assay, fields: dict[str, str], asked_about: list[SameReadings]
) -> dict[str, Callable[[], object]]:
    """Return what the forms of an assay's page do, by the name that each carries."""
    identity, by, do = assay.identity, request.user.get_username(), request.POST.get("do", "")

    def said(*, placed: bool = True) -> dict[str, Any]:
        place = place_of(request) if placed else 0
        found: dict[str, Any] = {"identity": identity, "by": by, "act": act_of(request, do, place)}
        return {**found, "place": place} if placed else found

    def content(place: int) -> dict[str, Any]:
        return determination_fields(assay_shown(assay), fields, place)

    def reason() -> str:
        return fields.get("reason", "")

    def record() -> None:
        try:
            acts.determination_record(fields=content(0), own=fields.get("own") == "yes",
                                      looked_at=version_of(request), **said(placed=False))
        except SameReadings as question:
            asked_about.append(question)
            raise

    return {
        "record": record,
        "correct": lambda: acts.determination_correct(fields=content(place_of(request)), reason=reason(),
                                                      expected=version_of(request), **said()),
        "exclude": lambda: acts.determination_exclude(reason=reason(), expected=version_of(request), **said()),
        "readmit": lambda: acts.determination_readmit(reason=reason(), **said()),
        "accept": accepting(request, identity, fields),
        "send": lambda: acts.assay_send(left=reasons_of(fields), expected=version_of(request), **said(placed=False)),
        "reopen": lambda: reopening.assay_reopen(reason=reason(), expected=version_of(request), **said(placed=False)),
        "void": lambda: reopening.assay_void(reason=reason(), expected=version_of(request), **said(placed=False)),
    }


def determination_fields(shown: AssayShown, fields: Mapping[str, str], place: int) -> dict[str, Any]:
    """Return a determination as typed, with units; of a corrected one, what the form does not show stays."""
    before = next((one.fields for one in shown.determinations if one.place == place), {})
    typed = dict(fields)
    further = (one for one in fields.get("fillings", "").replace("\n", ";").split(";") if one.strip())
    for number, one in enumerate(further, 2):
        initial, _, final = one.partition(" to ")
        typed |= dict(zip(filling_names(number), (initial, final), strict=True))
    shown_on_form = (*(one.name for one in shown.asked.readings), "fillings", "note")
    return {**determination_of(shown.asked, shown.heading, typed),
            **{key: value for key, value in before.items() if key not in shown_on_form}}
