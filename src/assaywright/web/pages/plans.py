"""The plan of a lot's assay: what is asked, the options best first, and the bench guide of one of them."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.actions import lots as acts
from assaywright.metrology.refusal import Refusal
from assaywright.records.selectors.plans import PlanAsked, PlanShown, guide_of, plan_asked, plan_shown
from assaywright.web.forms import asked_for, today
from assaywright.web.pages.assays import sent_file


@dataclass(frozen=True)
class PlanPage:
    """What the page of a plan shows; without ``shown.plan`` the form alone, and why there is none."""

    shown: PlanShown
    chart: str = ""
    sentence: str = ""


@require_safe
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Plan the assay of a lot with what is registered."""
    from assaywright.reports.chart_plan import plan_svg

    lot = acts.lot(identity)
    asked = PlanAsked(())
    try:
        asked = plan_asked(lot, asked_for(request))
        shown = plan_shown(lot, asked, today())
    except Refusal as refusal:
        page = PlanPage(PlanShown(lot, asked), sentence=str(refusal))
        return render(request, "web/lots.plan.html", {"page": page}, status=422)
    page = PlanPage(shown, plan_svg(shown.plan) if shown.plan is not None else "")
    return render(request, "web/lots.plan.html", {"page": page})


@require_safe
def guide(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the bench guide of one option as PDF, with blanks to fill in by hand."""
    from assaywright.reports.render import guide_pdf

    lot, fields = acts.lot(identity), asked_for(request)
    number = fields.get("option", "1")
    document = guide_of(lot, plan_asked(lot, fields), number, today())
    return sent_file(guide_pdf(document), f"guide-{lot.identity}-{number}.pdf", "application/pdf")
