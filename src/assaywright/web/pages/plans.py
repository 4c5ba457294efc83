"""The plan of a lot's assay or a solution's standardisation: what is asked, the options, the bench guide of one."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.actions.retests import demand_beginning
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
from assaywright.web.forms import asked_for, today, tried
from assaywright.web.pages.assays import sent_file
from assaywright.web.said import in_words


@dataclass(frozen=True)
class PlanPage:
    """What the page of a plan shows; without ``shown.plan`` the form alone, and why there is none.

    Fields:
        not_begun: why the assay that is planned cannot be begun now, in a sentence; empty where it can.
    """

    shown: PlanShown | StandardisationShown
    chart: str = ""
    sentence: str = ""
    not_begun: str = ""


@dataclass(frozen=True)
class Planned:
    """What can be planned: the assay of a lot, or the standardisation of a solution.

    Fields:
        subject: model of what it is planned for, called ``word``; its plan is shown by ``template``.
        nothing_asked: before anything could be asked.
        empty: the page without a plan, of the subject and of what is asked.
        asked, shown, guide: what is asked of the fields typed, the plan for it, and the bench guide of an option.
        choice, known: the field that chooses what is titrated, and what there is to choose from.
    """

    subject: type[Lot] | type[Solution]
    word: str
    template: str
    nothing_asked: PlanAsked | StandardisationAsked
    empty: Callable[[Any, Any], PlanShown | StandardisationShown]
    asked: Callable[..., Any]
    shown: Callable[..., PlanShown | StandardisationShown]
    guide: Callable[..., Any]
    choice: str
    known: Callable[[Any], tuple[object, ...]]


ASSAY = Planned(
    Lot, "lot", "web/lots.plan.html", PlanAsked(()), PlanShown, plan_asked, plan_shown, guide_of, "characteristic",
    lambda asked: asked.characteristics)
STANDARDISATION = Planned(
    Solution, "solution", "web/solutions.plan.html", StandardisationAsked(()), StandardisationShown,
    standardisation_asked, standardisation_shown, guide_of_standardisation, "method", lambda asked: asked.methods)


@require_safe
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Plan the assay of a lot with what is registered."""
    return _show(request, identity, ASSAY)


@require_safe
def guide(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the bench guide of one option as PDF, with blanks to fill in by hand."""
    return _guide(request, identity, ASSAY)


@require_safe
def show_standardisation(request: HttpRequest, identity: str) -> HttpResponse:
    """Plan the standardisation of a solution with what is registered."""
    return _show(request, identity, STANDARDISATION)


@require_safe
def guide_standardisation(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the bench guide of one option of a standardisation as PDF."""
    return _guide(request, identity, STANDARDISATION)


def _show(request: HttpRequest, identity: str, planned: Planned) -> HttpResponse:
    subject = planned.subject.objects.filter(pk=identity).first()
    if subject is None:
        return _not_there(request, identity, planned)
    asked, fields = planned.nothing_asked, asked_for(request)
    try:
        asked = planned.asked(subject, fields)
        shown = planned.shown(subject, asked, today())
    except Refusal as refusal:
        if not planned.known(asked) and fields.get(planned.choice, "").strip():  # the address names what is not there
            return missing(request, in_words(refusal))
        page = PlanPage(planned.empty(subject, asked), sentence=in_words(refusal))
        return render(request, planned.template, {"page": page}, status=422)
    return render(request, planned.template, {"page": _drawn(shown)})


def _guide(request: HttpRequest, identity: str, planned: Planned) -> HttpResponse:
    from assaywright.reports.render import guide_pdf

    subject, fields = planned.subject.objects.filter(pk=identity).first(), asked_for(request)
    if subject is None:
        return _not_there(request, identity, planned)
    number = fields.get("option", "1")
    document = planned.guide(subject, planned.asked(subject, fields), number, today())
    return sent_file(guide_pdf(document, mark()), f"guide-{subject.identity}-{number}.pdf", "application/pdf")


def _drawn(shown: PlanShown | StandardisationShown) -> PlanPage:
    from assaywright.reports.chart_plan import plan_svg

    chart = plan_svg(shown.plan) if shown.plan is not None else ""
    if isinstance(shown, StandardisationShown):
        return PlanPage(shown, chart)
    return PlanPage(shown, chart, not_begun=tried(lambda: demand_beginning(shown.lot.identity, shown.named)))


def _not_there(request: HttpRequest, identity: str, planned: Planned) -> HttpResponse:
    word = planned.word
    return missing(request, f"There is no {word} {identity[:60]}. Look for it in the list of the {word}s.")
