"""A worksheet to be printed, for a bench without a screen."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.http import content_disposition_header, urlencode
from django.views.decorators.http import require_safe

from assaywright.actions.assays import assay_of_number
from assaywright.records.demonstration import mark
from assaywright.records.selectors.bench_paper import paper_sheet
from assaywright.reports.render import paper_pdf
from assaywright.web.forms import today


@require_safe
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Send the sheet of a worksheet as PDF; its square code opens the worksheet by this server's address."""
    assay = assay_of_number(identity)
    opened = request.build_absolute_uri(f"{reverse('bench')}?{urlencode({'code': assay.identity})}")
    answer = HttpResponse(paper_pdf(paper_sheet(assay, today(), opened), mark()), content_type="application/pdf")
    answer.headers["Content-Disposition"] = content_disposition_header(
        as_attachment=False, filename=f"worksheet-{assay.identity}.pdf") or "inline"
    return answer
