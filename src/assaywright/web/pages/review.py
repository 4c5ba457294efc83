"""The reviewer's desk: raw data, working, budget, chart, remarks and history side by side; sent back, or signed."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions import assays as acts
from assaywright.records.models import Assay
from assaywright.records.models.assays import IN_REVIEW
from assaywright.records.selectors.assays import AssayShown, assay_shown, in_review
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.left_shown import LeftShown, left_shown
from assaywright.web.forms import act_of, chosen_act, fresh_act, sign, typed, version_of


@dataclass(frozen=True)
class ReviewsPage:
    """What waits for a reviewer."""

    assays: list[Assay]


@dataclass(frozen=True)
class ReviewPage:
    """What lies before the reviewer; ``sha256`` is of the worksheet that is shown."""

    shown: AssayShown
    history: list[Happened]
    chart: str
    sha256: str
    meaning: str
    act: str
    sentence: str = ""
    reason: str = ""
    worked: bool = False
    left: tuple[LeftShown, ...] = ()


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List what waits."""
    return render(request, "web/review.html", {"page": ReviewsPage(in_review())})


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show everything side by side; sign it, or send it back with a reason."""
    from assaywright.reports.chart_replicates import replicate_chart

    assay, fields, sentence = acts.assay_of_number(identity), typed(request), ""
    by = request.user.get_username()

    def act() -> str:
        return act_of(request, request.POST.get("do", ""))

    def signed() -> None:
        acts.may_review(identity, by)
        sign(request, subject=identity, meaning=acts.REVIEWED_MEANING)
        acts.assay_review(identity=identity, by=by, worksheet_sha256=fields.get("sha256", ""), act=act())

    def sent_back() -> None:
        acts.assay_return(identity=identity, by=by, reason=fields.get("reason", ""), expected=version_of(request),
                          act=act())

    if request.method == "POST":
        sentence = chosen_act(request, {"sign": signed, "return": sent_back})
        if not sentence:
            return redirect("assays.show", identity)
    if assay.stage != IN_REVIEW and not sentence:
        return redirect("assays.show", identity)
    shown = assay_shown(assay)
    page = ReviewPage(shown, history(identity, of="worksheet"), replicate_chart(shown.outcome) if shown.outcome else "",
                      acts.sha256_of(assay), acts.REVIEWED_MEANING, fresh_act(), sentence, fields.get("reason", ""),
                      acts.worked_on(by, assay), left_shown(assay, shown.left))
    return render(request, "web/review.show.html", {"page": page}, status=422 if sentence else 200)
