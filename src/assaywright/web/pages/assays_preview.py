"""The result of a worksheet as it would be with what is being typed; nothing is saved."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from assaywright.actions import assays as acts
from assaywright.records.selectors.assays import assay_shown, previewed
from assaywright.web.forms import place_of, typed
from assaywright.web.pages.assays import determination_fields
from assaywright.web.said import told


@dataclass(frozen=True)
class PreviewPage:
    """What the live part shows: the result as it would be, or what is still missing."""

    trouble: str
    value: str = ""
    uncertainty: str = ""
    unit: str = ""
    own: str = ""
    number: int = 0
    holds: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


@require_POST
def preview(request: HttpRequest, identity: str) -> HttpResponse:
    """Show what the result would be with what is typed; nothing is saved, and the words say so."""
    assay, fields = acts.assay_of_number(identity), typed(request)
    place = place_of(request) if request.POST.get("place") else 0
    content = determination_fields(assay_shown(assay), fields, place)
    if not (content.get("final") or content.get("fillings")):
        return render(request, "web/_assays.preview.html", {"page": PreviewPage("the final reading is not typed yet")})
    outcome, trouble = previewed(assay, content, place)
    if outcome is None:
        return render(request, "web/_assays.preview.html", {"page": PreviewPage(trouble)})
    from assaywright.assay.working_document import working_document

    document = working_document(outcome)
    stated, own = document.results[0], document.replicates[-1].value
    page = PreviewPage(
        "", stated.value, stated.uncertainty, stated.unit, own, outcome.statistics.number,
        tuple(told(one) for one in outcome.remarks if one.holds),
        tuple(told(one) for one in outcome.remarks if one.severity.value == "question"))
    return render(request, "web/_assays.preview.html", {"page": page})
