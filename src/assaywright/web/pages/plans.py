"""The plan of a lot's assay or a solution's standardisation: what is asked, the options, the bench guide of one."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.metrology.refusal import Refusal
from assaywright.records.demonstration import mark
from assaywright.records.models import Lot, Solution
from assaywright.records.selectors.plans import PlanAsked, PlanShown, guide_of, plan_asked, plan_shown
from assaywright.records.selectors.plans_standardisation import (
    StandardisationAsked,
    StandardisationShown,
    guide_of_standardisation,
    standardisation_asked,
    standardisation_shown,
)
from assaywright.web.access import missing
from assaywright.web.forms import asked_for, today
from assaywright.web.pages.assays import sent_file
from assaywright.web.said import in_words


@dataclass(frozen=True)
class PlanPage:
    """What the page of a plan shows; without ``shown.plan`` the form alone, and why there is none."""

    shown: PlanShown | StandardisationShown
    chart: str = ""
    sentence: str = ""


@require_safe
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Plan the assay of a lot with what is registered."""
    lot = Lot.objects.filter(pk=identity).first()
    if lot is None:
        return _no_lot(request, identity)
    asked, fields = PlanAsked(()), asked_for(request)
    try:
        asked = plan_asked(lot, fields)
        shown = plan_shown(lot, asked, today())
    except Refusal as refusal:
        if _names_nothing(asked.characteristics, fields, "characteristic"):
            return missing(request, in_words(refusal))
        page = PlanPage(PlanShown(lot, asked), sentence=in_words(refusal))
        return render(request, "web/lots.plan.html", {"page": page}, status=422)
    return render(request, "web/lots.plan.html", {"page": _drawn(shown)})


@require_safe
def guide(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the bench guide of one option as PDF, with blanks to fill in by hand."""
    from assaywright.reports.render import guide_pdf

    lot, fields = Lot.objects.filter(pk=identity).first(), asked_for(request)
    if lot is None:
        return _no_lot(request, identity)
    number = fields.get("option", "1")
    document = guide_of(lot, plan_asked(lot, fields), number, today())
    return sent_file(guide_pdf(document, mark()), f"guide-{lot.identity}-{number}.pdf", "application/pdf")


@require_safe
def show_standardisation(request: HttpRequest, identity: str) -> HttpResponse:
    """Plan the standardisation of a solution with what is registered."""
    solution = Solution.objects.filter(pk=identity).first()
    if solution is None:
        return _no_solution(request, identity)
    asked, fields = StandardisationAsked(()), asked_for(request)
    try:
        asked = standardisation_asked(solution, fields)
        shown = standardisation_shown(solution, asked, today())
    except Refusal as refusal:
        if _names_nothing(asked.methods, fields, "method"):
            return missing(request, in_words(refusal))
        page = PlanPage(StandardisationShown(solution, asked), sentence=in_words(refusal))
        return render(request, "web/solutions.plan.html", {"page": page}, status=422)
    return render(request, "web/solutions.plan.html", {"page": _drawn(shown)})


@require_safe
def guide_standardisation(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the bench guide of one option of a standardisation as PDF."""
    from assaywright.reports.render import guide_pdf

    solution, fields = Solution.objects.filter(pk=identity).first(), asked_for(request)
    if solution is None:
        return _no_solution(request, identity)
    number = fields.get("option", "1")
    document = guide_of_standardisation(solution, standardisation_asked(solution, fields), number, today())
    return sent_file(guide_pdf(document, mark()), f"guide-{solution.identity}-{number}.pdf", "application/pdf")


def _drawn(shown: PlanShown | StandardisationShown) -> PlanPage:
    from assaywright.reports.chart_plan import plan_svg

    return PlanPage(shown, plan_svg(shown.plan) if shown.plan is not None else "")


def _names_nothing(known: tuple[object, ...], fields: Mapping[str, str], name: str) -> bool:
    """Return whether an address names what is not there: nothing was found to ask, though it named something."""
    return not known and bool(fields.get(name, "").strip())


def _no_lot(request: HttpRequest, identity: str) -> HttpResponse:
    return missing(request, f"There is no lot {identity[:60]}. Look for it in the list of the lots.")


def _no_solution(request: HttpRequest, identity: str) -> HttpResponse:
    return missing(request, f"There is no solution {identity[:60]}. Look for it in the list of the solutions.")
