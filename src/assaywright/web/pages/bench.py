"""At the burette: the page that keeps every field the moment it is left, and what its script asks the server."""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from assaywright.actions import bench as acts
from assaywright.actions.assays import assay_of_number, assay_send
from assaywright.actions.bench_blank import blank_correct, blank_finish
from assaywright.actions.bench_corrected import reading_correct
from assaywright.actions.set_aside import NotSetAside
from assaywright.metrology.refusal import Refusal
from assaywright.records.beginnings import beginnings
from assaywright.records.models import Assay, Determination, Event, KeptReading, Person
from assaywright.records.models.assays import RETURNED, TITRATING
from assaywright.records.models.people import ANALYST
from assaywright.records.origins import day_of_work
from assaywright.records.readings import BLANK, asked_of, determination_of, reading_texts
from assaywright.records.selectors.bench import BenchShown, bench_shown, name_of, on_record, typed_at_bench
from assaywright.records.selectors.bench_differing import differing
from assaywright.records.selectors.bench_live import Live, live
from assaywright.records.selectors.left_at_bench import blank_on_record
from assaywright.records.selectors.scanned import Found, found_by_code
from assaywright.web.figures import with_points
from assaywright.web.forms import asked_for, today
from assaywright.web.left_at_bench import reasons_of
from assaywright.web.said import in_words

MOST_ACTS = 200
BEFORE = "Something before it was not taken; mend that, and send again."
OPEN_STAGES = (TITRATING, RETURNED)
Sent = Mapping[str, Any]


@dataclass(frozen=True)
class ScanPage:
    """What the page shows on which a code is scanned: what was scanned, what goes by it, and what lies open."""

    code: str
    sentence: str
    found: tuple[Found, ...]
    open: list[Assay]


@dataclass(frozen=True)
class BenchPage:
    """What the bench page shows."""

    shown: BenchShown
    is_open: bool
    typed: list[tuple[str, str]]
    live: Live
    analysts: list[Person]
    today: str
    earliest: str


@dataclass(frozen=True)
class LivePage:
    """What the live part shows."""

    live: Live


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Find what a scanned or typed code belongs to; go there at once where it can only be one."""
    code = asked_for(request).get("code", "").strip()
    found = found_by_code(code) if code else ()
    if len(found) == 1:
        return redirect(found[0].page, found[0].identity)
    sentence = f"Nothing here goes by “{code[:60]}”. Check the label, or look under Lots." if code and not found else ""
    page = ScanPage(code, sentence, found, list(Assay.objects.filter(stage__in=OPEN_STAGES).order_by("-version")[:20]))
    return render(request, "web/bench.html", {"page": page}, status=404 if sentence else 200)


@require_safe
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show a worksheet as it lies at the burette."""
    assay = assay_of_number(identity)
    shown, is_open = bench_shown(assay), assay.stage in OPEN_STAGES
    page = BenchPage(shown, is_open, typed_at_bench(identity), live(assay, {}, 0, today() if is_open else None),
                     _analysts(assay), today().isoformat(),
                     json.dumps([[one.day, one.what] for one in beginnings(assay)]))
    get_token(request)
    return render(request, "web/bench.show.html", {"page": page})


def _analysts(assay: Assay) -> list[Person]:
    """Return the people who titrate, by name; and who the worksheet says has."""
    return [one for one in Person.objects.order_by("name") if one.has(ANALYST) or one.name == assay.analyst]


@require_safe
def token(request: HttpRequest) -> HttpResponse:
    """Tell the page's script who is signed in, and the token that its next requests carry."""
    return JsonResponse({"token": get_token(request), "person": request.user.get_username()})


@require_safe
def worker(_request: HttpRequest) -> HttpResponse:
    """Send the script that opens the bench pages when the server does not answer; it serves the whole site."""
    found = finders.find("web/bench-worker.js")
    answer = HttpResponse(Path(str(found)).read_bytes(), content_type="text/javascript")
    answer.headers["Cache-Control"] = "no-cache"
    return answer


@require_POST
def live_part(request: HttpRequest, identity: str) -> HttpResponse:
    """Answer with the live part: titre, result, range, questions and the drawn burette, for what is typed just now.

    The page says whose it is, and which field is still being typed (none is, where that is empty).
    """
    said = _body(request)
    sent = said.get("texts")
    texts = {name: _as_kept(name, str(text)) for name, text in sent.items()} if isinstance(sent, dict) else {}
    by = request.user.get_username()
    if said.get("by", by) != by:  # somebody else has signed in in another tab: what is typed here is not theirs
        return JsonResponse({"state": "another person", "person": name_of(by)}, status=409)
    typing = said.get("typing")
    left = texts.keys() - {typing} if isinstance(typing, str) else None
    assay, place = assay_of_number(identity), _place(said)
    sheet = str(said.get("titrated_on", "")) if said.get("from_paper") is True else None
    page = LivePage(live(assay, texts, place, day_of_work(assay, place, today(), sheet), left))
    return render(request, "web/_bench.live.html", {"page": page})


@require_POST
def keep(request: HttpRequest) -> HttpResponse:
    """Do the acts that a page has gathered, in their order, each once; answer for each what became of it."""
    sent = _body(request).get("acts", [])
    if not isinstance(sent, list) or len(sent) > MOST_ACTS:
        raise Refusal("the acts cannot be read", where="bench page", remedy="reload the page")
    by = request.user.get_username()
    return JsonResponse({"answers": _answers(sent, by)})


# --- one act ----------------------------------------------------------------------------------------------------------


def _answers(sent: list[Any], by: str) -> list[dict[str, Any]]:
    """Return what became of each act; nothing is sent to review behind an act that was not taken."""
    answers: list[dict[str, Any]] = []
    refused: set[Any] = set()
    for one in sent:
        told = one if isinstance(one, dict) else {}
        if told.get("kind") == "send" and str(told.get("identity")) in refused:
            answers.append({"uuid": str(told.get("uuid", "")), "state": "refused", "sentence": BEFORE})
            continue
        answers.append(_answer(one, by))
        if answers[-1]["state"] == "refused":
            refused.add(str(told.get("identity")))
    return answers


def _answer(sent: Any, by: str) -> dict[str, Any]:
    """Return what became of one act: kept, refused with a sentence, or another person's."""
    if not isinstance(sent, dict) or not isinstance(sent.get("uuid"), str):
        return {"uuid": "", "state": "refused", "sentence": "The act cannot be read; reload the page."}
    found: dict[str, Any] = {"uuid": sent["uuid"]}
    if sent.get("by") != by:
        return {**found, "state": "another person", "person": name_of(by)}
    do = DO.get(str(sent.get("kind")))
    if do is None:
        return {**found, "state": "refused", "sentence": "This act is not known here; reload the page."}
    try:
        return {**found, "state": "kept", **do(sent, by)}
    except Refusal as refusal:
        asked = {"asked": True} if isinstance(refusal, acts.Unanswered) else {}
        left = [one.place for one in refusal.left] if isinstance(refusal, NotSetAside) else []
        return {**found, "state": "refused", "sentence": in_words(refusal), **asked, **_stands(sent),
                **({"left": left} if left else {})}


def _said(sent: Sent, by: str) -> dict[str, Any]:
    """Return what every act says: of which worksheet, by whom, and its own number."""
    return {"identity": str(sent.get("identity", "")), "by": by, "act": str(sent["uuid"])[:36]}


def _keep(sent: Sent, by: str) -> dict[str, Any]:
    name, text = str(sent.get("name", "")), str(sent.get("text", ""))
    kept = acts.reading_keep(
        place=_place(sent), name=name, text=_as_kept(name, text),
        seen=_number(sent, "seen"), typed_at=str(sent.get("typed_at", ""))[:40], carried=sent.get("carried") is True,
        **_paper(sent), **_said(sent, by))
    version = kept.event.number
    if kept.late:
        version = KeptReading.objects.get(assay=str(sent["identity"]), place=_place(sent), name=name).version
    return {"version": version, "other": kept.other, "other_by": name_of(kept.other_by),
            **({"yields": True} if kept.yields else {}), **({"late": True} if kept.late else {}),
            **_stands(sent, kept.event.number)}


def _stands(sent: Sent, before: int | None = None) -> dict[str, Any]:
    """Return the readings that a determination has on record, and its version; empty while it is not there.

    Arguments:
        before: number of an event that it was there before; any number where none is given.
    """
    if sent.get("place") == BLANK:
        return _blank_stands(str(sent.get("identity", "")), before)
    rows = Determination.objects.filter(assay=str(sent.get("identity", "")), place=_place(sent))
    row = rows.first() if before is None else rows.filter(pk__lt=before).first()
    return {"on_record": on_record(row), "on_record_version": row.version} if row is not None else {}


def _blank_stands(identity: str, before: int | None) -> dict[str, Any]:
    """Return the readings that the blank has on record, as :func:`_stands` those of a determination."""
    assay = Assay.objects.filter(pk=identity).first()
    texts, since = blank_on_record(assay) if assay is not None else ({}, 0)
    if assay is None or not texts or (before is not None and since > before):
        return {}
    return {"on_record": {name: text.split(" ")[0] for name, text in texts.items()}, "on_record_version": assay.version}


def _finish(sent: Sent, by: str) -> dict[str, Any]:
    looked = sent.get("looked") is True
    if otherwise := _otherwise(sent):
        return otherwise
    if sent.get("place") == BLANK:
        return {"version": blank_finish(looked=looked, **_said(sent, by)).number}
    event = acts.determination_finish(place=_place(sent), looked=looked, **_said(sent, by))
    return {"version": event.number, "finished": _place(sent)}


def _otherwise(sent: Sent) -> dict[str, Any]:
    """Return the refusal to record a determination of other readings than its page shows; empty where it shows them."""
    identity, place, shown = str(sent.get("identity", "")), _place(sent), sent.get("shown")
    if not isinstance(shown, dict) or _stands(sent):
        return {}
    read = {str(name): _as_kept(str(name), str(text)) for name, text in shown.items()}
    found = differing(identity, place, read)
    if not found:
        return {}
    first = found[0]
    name, named = first.name.replace("_", " "), f"Determination {place}" if place > BLANK else "Blank"
    if first.is_late:
        return {"state": "refused", "differs": [asdict(one) for one in found],
                "sentence": f"{named}: {first.late_by} typed {first.late or 'nothing'} for {name}, which "
                            f"came in late, and {first.by} {first.text or 'nothing'}; say beside the reading which "
                            "stands."}
    words = f"{first.by} typed {first.text or 'nothing'} for {name} meanwhile"
    return {"state": "refused", "differs": [asdict(one) for one in found],
            "sentence": f"{named}: {words}, and this page shows {read.get(first.name) or 'nothing'}; "
                        "say beside the reading which stands, and it is recorded."}


def _confirm(sent: Sent, by: str) -> dict[str, Any]:
    said = {key: str(sent.get(key, "")) for key in ("name", "text", "code", "question")}
    return {"version": acts.question_confirm(place=_place(sent), **said, **_said(sent, by)).number}


def _check(sent: Sent, by: str) -> dict[str, Any]:
    checks = [str(one) for one in sent.get("checks", [])]
    return {"version": acts.bench_check(checks=checks, **_paper(sent), **_said(sent, by)).number}


def _paper(sent: Sent) -> dict[str, Any]:
    """Return what an act says of the printed sheet that it was typed from: who filled it in, and on which day."""
    return {"from_paper": sent.get("from_paper") is True, "titrated_by": str(sent.get("titrated_by", ""))[:60],
            "titrated_on": str(sent.get("titrated_on", ""))[:10]}


def _correct(sent: Sent, by: str) -> dict[str, Any]:
    """Correct one reading of a determination on record; the others stay as they are."""
    identity, place, name = str(sent.get("identity", "")), _place(sent), str(sent.get("name", ""))
    assay = assay_of_number(identity)
    if sent.get("place") == BLANK:
        text = _as_kept(name, str(sent.get("text", "")))
        event = blank_correct(name=name, text=text, reason=str(sent.get("reason", "")), **_said(sent, by))
        return {"version": event.number}
    row = Determination.objects.filter(assay=identity, place=place).first()
    if row is None:
        raise Refusal(f"there is no determination {place} on record", where=identity, remedy="reload the page")
    if Event.objects.filter(act=str(sent["uuid"])[:36], by=by).exists():
        return {"version": row.version}
    text = _as_kept(name, str(sent.get("text", "")))
    answers = [str(one) for one in sent["answers"]] if isinstance(sent.get("answers"), list) else []
    event = reading_correct(
        place=place, name=name, text=text, fields=corrected(assay, row.content, name, text), answers=answers,
        reason=str(sent.get("reason", "")), **_said(sent, by))
    return {"version": event.number}


def corrected(assay: Assay, before: dict[str, Any], name: str, text: str) -> dict[str, Any]:
    """Return a determination on record with one of its readings as typed now."""
    wanted = asked_of(assay)
    found = determination_of(wanted, assay.content, {**reading_texts(before), name: text})
    typed = {*found, *(one.name for one in wanted.readings), "note", "fillings", "first", "first_filling"}
    kept = {key: one for key, one in before.items() if key not in typed}
    return {**kept, **found}


def _send(sent: Sent, by: str) -> dict[str, Any]:
    return {"version": assay_send(left=reasons_of(sent.get("left")), **_said(sent, by)).number, "sent": True}


DO: dict[str, Callable[[Sent, str], dict[str, Any]]] = {
    "keep": _keep, "finish": _finish, "confirm": _confirm, "check": _check, "correct": _correct, "send": _send,
}


# --- what is sent -----------------------------------------------------------------------------------------------------


def _as_kept(name: str, text: str) -> str:
    """Return what stands in a field as it is kept: a figure with a decimal point, whichever filling it is of."""
    base = name.split(" ", maxsplit=1)[0]
    return with_points({base: text}, settings.DECIMAL_MARK)[base]


def _body(request: HttpRequest) -> dict[str, Any]:
    try:
        found = json.loads(request.body.decode())
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise Refusal("what the page sent cannot be read", where="bench page", remedy="reload the page")
    return found


def _place(sent: Sent) -> int:
    return _number(sent, "place")


def _number(sent: Sent, name: str) -> int:
    found = sent.get(name, 0)
    return found if isinstance(found, int) and 0 <= found < 10**12 else 0
