"""The methods: the program's and the laboratory's own; one in full with its curve; adopting an edition."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions.equipment import IN_CHARGE, method_adopt
from assaywright.actions.permission import NotAllowed
from assaywright.metrology.refusal import Refusal
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.methods import OWN, MethodLine, MethodShown, method_lines, method_shown, name_of
from assaywright.web.access import missing, only
from assaywright.web.forms import act_of, fresh_act, tried, typed


@dataclass(frozen=True)
class MethodsPage:
    """What the list shows."""

    methods: list[MethodLine]
    words: str


@dataclass(frozen=True)
class MethodPage:
    """One method."""

    shown: MethodShown
    history: list[Happened]
    act: str
    sentence: str


@dataclass(frozen=True)
class OwnMethodPage:
    """The form for a laboratory's own method file."""

    text: str
    act: str
    sentence: str


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List those in which the words searched for stand."""
    words = request.GET.get("words", "")[:200]
    page = MethodsPage(method_lines(words), words)
    return render(request, "web/methods.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, named: str) -> HttpResponse:
    """Show one method; sent as a form, adopt the edition that is shown."""
    sentence = ""
    try:
        shown = method_shown(named)
    except Refusal:
        return missing(request, f"There is no method called '{named[:80]}'. Look for it in the list of methods.")
    if request.method == "POST":
        sentence = tried(lambda: method_adopt(name=named, by=request.user.get_username(), act=act_of(request, named)))
        if not sentence:
            return redirect("methods.show", named)
    page = MethodPage(shown, history(named.removesuffix(OWN), of="method"), fresh_act(), sentence)
    return render(request, "web/methods.show.html", {"page": page}, status=422 if sentence else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@only(*IN_CHARGE)
def own(request: HttpRequest) -> HttpResponse:
    """Adopt a laboratory's own method, as the text of its file."""
    fields = request.POST.get("text", "").replace("\r\n", "\n")
    if request.method != "POST":
        return render(request, "web/methods.own.html", {"page": OwnMethodPage("", fresh_act(), "")})
    try:
        name = name_of(fields)
        method_adopt(name=name, text=fields, by=request.user.get_username(), act=act_of(request, name))
    except NotAllowed:
        raise
    except Refusal as refusal:
        page = OwnMethodPage(fields, typed(request).get("act") or fresh_act(), str(refusal))
        return render(request, "web/methods.own.html", {"page": page}, status=422)
    return redirect("methods.show", f"{name}{OWN}")
