"""Standard solutions: factor in force, what is left, expiry; verified, restandardised, discarded."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions import solutions as acts
from assaywright.actions.certificates import MEANING, PRINTED_IN
from assaywright.actions.names import in_one_form
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Solution
from assaywright.records.readings import with_unit
from assaywright.records.selectors.drift import (
    USUAL_CHANGE_PERCENT,
    Standing,
    allowed_of,
    ranked_by,
    standings_of,
)
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.labels import label_of_solution
from assaywright.records.selectors.listed import Column, Filter, Listed, values_of
from assaywright.records.selectors.products import decision_rules
from assaywright.records.selectors.proposed_hazards import ProposedHazards, proposed_hazards
from assaywright.records.selectors.resting import Resting, resting_on_solution
from assaywright.records.selectors.solutions import (
    SolutionLine,
    SolutionShown,
    advice_of,
    solution_lines,
    solution_shown,
    usual_maker,
)
from assaywright.records.selectors.taken_along import last_day_of
from assaywright.records.titrants import UNCLASSIFIED
from assaywright.web.forms import act_of, chosen_act, fresh_act, shown_again, today, tried, typed
from assaywright.web.listing import Listing, exported, listing
from assaywright.web.pages.lots import show_label
from assaywright.web.pages.products import NO_HAZARDS, said_none

FACTS = ("product", "maker", "made", "use_before", "storage", "certificate_number")
LISTS = ("hazards", "cautions")
LIMIT_FIELDS = ("name", "lower", "upper", "rule", "guard_band_factor", "conformance_probability", "rounding_step")
TAKEN_OVER = ("found", "worksheet")  # from the bench page into the form of a control titration
STATED = "stated_"  # before the names of the fields that state what a certificate says


def in_force(line: SolutionLine, name: str) -> str:
    """Return what a field says of the value in force; an empty text where none is."""
    return str(getattr(line.in_force, name)) if line.in_force else ""


def standing(line: SolutionLine, name: str) -> str:
    """Return what a field says of how a solution in use stands; an empty text where it says nothing."""
    found = getattr(line.standing, name) if line.standing else None
    return "" if found is None else str(found)


SOLUTIONS = Listed(
    "solutions", Solution,
    (Column("number", "Lot", "identity"), Column("name", "Solution", "name"), Column("state", "State", "state"),
     Column("due", "Due", line=lambda one: standing(one, "due"),
            ranked=lambda: ranked_by(lambda one: one.due or date.max, today())),
     Column("drift", "Drift since the first, %", number=True, line=lambda one: standing(one, "since_first"),
            ranked=lambda: ranked_by(lambda one: one.size, today())),
     Column("use_before", "Use before the end of", "use_before"),
     Column("concentration", "Concentration in force", number=True, line=lambda one: in_force(one, "value")),
     Column("by", "By", line=lambda one: in_force(one, "worksheet")),
     Column("left", "Left, mL", number=True, line=lambda one: str(one.left.left)),
     Column("verified", "Last control, %", number=True, line=lambda one: standing(one, "deviation")),
     Column("lots", "Lots on it", number=True, line=lambda one: standing(one, "lots"),
            ranked=lambda: ranked_by(lambda one: one.lots, today()))),
    (Filter("name", "Solution", "name", options=lambda: values_of(Solution, "name")),
     Filter("state", "State", "state", options=lambda: values_of(Solution, "state"))),
    "due", period="use_before", period_words="Use before", lines=lambda rows: solution_lines(today(), rows),
    along=(Column("factor", "Factor", number=True, line=lambda one: in_force(one, "factor")),
           Column("u", "U of the concentration", number=True, line=lambda one: in_force(one, "uncertainty")),
           Column("unit", "Unit", line=lambda one: in_force(one, "unit")),
           Column("u_factor", "U of the factor", number=True, line=lambda one: in_force(one, "factor_uncertainty")),
           Column("performed", "Standardised on", line=lambda one: in_force(one, "performed")),
           Column("stage", "Stage of the standardisation", line=lambda one: in_force(one, "stage")),
           Column("held", "Held back by", line=lambda one: in_force(one, "held")),
           Column("u_drift", "U of the drift, %", number=True, line=lambda one: standing(one, "since_first_u")),
           Column("month", "Drift in a month, %", number=True, line=lambda one: standing(one, "per_month")),
           Column("u_month", "U of the drift in a month, %", number=True,
                  line=lambda one: standing(one, "per_month_u")),
           Column("predicted", "Holds until, by its drift", line=lambda one: standing(one, "predicted")),
           Column("at_least", "Holds at least until", line=lambda one: standing(one, "at_least")),
           Column("due_by", "Due by", line=lambda one: standing(one, "by")),
           Column("days", "Days to it", number=True, line=lambda one: standing(one, "days")),
           Column("prepared", "Prepared", line=lambda one: str(one.left.prepared)),
           Column("delivered", "Delivered, mL", number=True, line=lambda one: str(one.left.delivered)),
           Column("last", "Last day of use", text=lambda one: last_day_of(one.use_before)),
           Column("past", "Past its date", line=lambda one: "yes" if one.expired else "no"),
           Column("advice", "To be restandardised", line=lambda one: str(one.verdict))))


@dataclass(frozen=True)
class SolutionsPage:
    """What the list shows."""

    listing: Listing
    solutions: list[SolutionLine]


@dataclass(frozen=True)
class SolutionPage:
    """What a solution's page shows."""

    shown: SolutionShown
    history: list[Happened]
    limit: str
    act: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)
    certificate_meaning: str = MEANING
    languages: tuple[tuple[str, str], ...] = PRINTED_IN
    rules: tuple[str, ...] = ()
    stated: dict[str, str] = field(default_factory=dict)
    proposed: ProposedHazards | None = None
    advice: str = ""
    standing: Standing | None = None
    resting: Resting | None = None
    chart: str = ""


@dataclass(frozen=True)
class NewSolutionPage:
    """What the form for a new solution shows."""

    act: str
    today: str
    sentence: str = ""
    typed: dict[str, str] = field(default_factory=dict)


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all, those in use first, the most urgent at the top."""
    if (file := exported(request, SOLUTIONS)) is not None:
        return file
    shown = listing(request, SOLUTIONS)
    page = SolutionsPage(shown, solution_lines(today(), shown.rows))
    return render(request, "web/solutions.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Enter a standard solution that was prepared."""
    fields, sentence = typed(request), ""
    if request.method == "POST":
        sentence = tried(lambda: _prepare(request, fields))
        if not sentence:
            return redirect("solutions.show", in_one_form(fields["number"]))
    page = NewSolutionPage(fresh_act(), today().isoformat(), sentence, shown_again(fields))
    return render(request, "web/solutions.new.html", {"page": page}, status=422 if sentence else 200)


def _prepare(request: HttpRequest, fields: dict[str, str]) -> None:
    table: dict[str, Any] = {key: fields[key].strip() for key in ("name", "formula", "use_before")
                             if fields.get(key, "").strip()}
    if fields.get("nominal", "").strip():
        table["nominal"] = with_unit(fields["nominal"], "mol/L")
    acts.solution_prepare(
        identity=fields.get("number", ""), table=table, prepared=fields.get("prepared", ""),
        volume=with_unit(fields.get("volume", ""), "L"), by=request.user.get_username(), act=act_of(request, "prepare"))


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show a solution, and do what one of its forms asks."""
    solution, fields, sentence = _solution(identity), typed(request), ""
    if request.method != "POST":  # a control titration's result comes from the bench page
        fields = {key: request.GET[key] for key in TAKEN_OVER if key in request.GET}
    if request.method == "POST":
        sentence = chosen_act(request, lambda: _acts(request, identity, fields))
        if not sentence:
            return redirect("solutions.show", identity)
    shown = solution_shown(solution, today())
    certificates = [one.certificate.number for one in shown.certificates]
    page = SolutionPage(shown, history(identity, *certificates, of="solution"), USUAL_CHANGE_PERCENT, fresh_act(),
                        sentence, shown_again(fields), rules=decision_rules(), stated=_stated(solution, shown, fields),
                        proposed=_proposed(solution, str(shown.content.get("nominal", ""))), advice=advice_of(solution),
                        standing=(stands := standings_of([solution], today())[identity]),
                        resting=resting_on_solution(solution), chart=_chart(solution, stands))
    return render(request, "web/solutions.show.html", {"page": page}, status=422 if sentence else 200)


def _chart(solution: Solution, stands: Standing) -> str:
    """Return the standardisations that count as a drawing; an empty text of fewer than two, which show nothing."""
    from assaywright.reports.chart_drift import drift_svg

    if len(stands.drift.found) < 2 or stands.drift.since_first is None:
        return ""
    return drift_svg(stands.drift, allowed_of(solution, stands.drift.found),
                     title=f"{solution.name}, lot {solution.identity}", today=today())


def _acts(request: HttpRequest, identity: str, fields: dict[str, str]) -> dict[str, Callable[[], object]]:
    by, act = request.user.get_username(), act_of(request, request.POST.get("do", ""))
    return {
        "verify": lambda: acts.solution_verify(
            identity=identity, found=with_unit(fields.get("found", ""), "mol/L"),
            limit_percent=fields.get("limit", ""), by=by, worksheet=fields.get("worksheet", ""), act=act),
        "specify": lambda: acts.solution_specify(
            identity=identity, table=_facts(fields), by=by, reason=fields.get("stated_reason", ""), act=act),
        "discard": lambda: acts.solution_discard(identity=identity, reason=fields.get("reason", ""), by=by, act=act),
    }


def _facts(fields: dict[str, str]) -> dict[str, Any]:
    """Return what the form states for the certificate, as a lot file states it; what was left empty is left out."""
    told = {key: fields.get(f"{STATED}{key}", "").strip() for key in (*FACTS, *LISTS, *LIMIT_FIELDS)}
    table: dict[str, Any] = {key: told[key] for key in FACTS if told[key]}
    lists = {key: [one.strip() for one in told[key].splitlines() if one.strip()] for key in LISTS}
    if said_none(lists["hazards"]):
        table[UNCLASSIFIED], lists["hazards"] = True, []
    table.update({key: lines for key, lines in lists.items() if lines})
    limits = {key: told[key] for key in LIMIT_FIELDS if told[key]}
    limits.update({key: with_unit(limits[key], "mol/L") for key in ("lower", "upper") if key in limits})
    return {**table, "limits": limits}


def _proposed(solution: Solution, nominal: str) -> ProposedHazards | None:
    return proposed_hazards(f"{solution.formula} {nominal}", solution.name)


def _stated(solution: Solution, shown: SolutionShown, fields: dict[str, str]) -> dict[str, str]:
    """Return what stands in the form's fields: as typed, else as stated before, else what the solution's own say."""
    if fields.get("do") == "specify":
        return {key.removeprefix(STATED): text for key, text in fields.items() if key.startswith(STATED)}
    before = shown.stated
    flat = {**{key: str(one) for key, one in before.items() if key in FACTS},
            **{key: "\n".join(before.get(key, ())) for key in LISTS}, **before.get("limits", {})}
    if before.get(UNCLASSIFIED):
        flat["hazards"] = NO_HAZARDS
    usual = {"product": solution.name, "maker": usual_maker(), "made": str(shown.content.get("prepared", "")),
             "use_before": solution.use_before, "name": f"amount concentration of {solution.formula}"}
    return {**usual, **flat}


@require_safe
def label(request: HttpRequest, identity: str) -> HttpResponse:
    """Show a solution's label, to be printed."""
    solution = _solution(identity)
    now = solution_shown(solution, today()).in_force
    words = "not standardised yet" if now is None else (
        f"c = ({now.value} ± {now.uncertainty}) {now.unit}" + (f", f = {now.factor}" if now.factor else ""))
    return show_label(request, label_of_solution(solution, words), reverse("solutions.show", args=[identity]))


def _solution(identity: str) -> Solution:
    return Refusal.unless(Solution.objects.filter(pk=identity).first(), f"there is no solution {identity}",
                          where="number", remedy="choose one from the list")
