"""What happened to something, event by event, in sentences."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Q

from assaywright.assay.wording import written_number
from assaywright.metrology.rounding import report
from assaywright.records import clock
from assaywright.records.catalogue import EVENTS, sentence
from assaywright.records.certificate_files.entered import said_of_file
from assaywright.records.checks_left_out import UNCHECKED_WORDS
from assaywright.records.models import Event, Person
from assaywright.records.passwords import told_of_password

TOLD = {
    "taken": "taken", "where": "where", "retained_until": "kept until", "opened": "opened", "plan": "plan",
    "conclusion": "conclusion", "meaning": "meaning", "found": "found", "in_force": "in force",
    "deviation_percent": "deviation, %", "verdict": "verdict", "changed": "what changed", "supersedes": "in place of",
    "place": "determination", "scope": "scope", "since": "since",
    "anchor": "head of the records then", "retest_of": "retest of",
    "correction_of": "correction of", "entry": "entered as event", "certificate": "certificate",
    "how": "how", "result_before": "result before", "result_now": "result now",
    "asked_by": "asked by", "received": "received", "about": "about", "reply": "reply", "on": "answered on",
    "value": "value", "unit": "unit", "expanded_uncertainty": "expanded uncertainty", "quantity": "quantity",
}
FAMILIES = {
    "lot": ("lot", "characteristic", "investigation", "retest", "remark"),
    "worksheet": ("assay", "determination", "bench", "question", "reading", "remark"),
    "solution": ("solution", "certificate"), "certificate": ("certificate",), "bottle": ("bottle",),
    "instrument": ("instrument",), "material": ("material",), "product": ("product",), "method": ("method",),
    "person": ("person",), "accreditation": ("accreditation",), "enquiry": ("enquiry",),
}
"""What something may be, and the first words of the kinds of events that happen to it."""
OF_ANYTHING = ("signature", "file", "history")
AT_THE_BENCH = "reading.kept"
RESULT = ("value", "expanded_uncertainty", "unit")
READINGS = ("before", "fields", "checks", "table")
PLAIN = 12  # a table with more than so many plain entries is told by its number only


@dataclass(frozen=True)
class Happened:
    """One event as a page tells it.

    Fields:
        number: in the chain.
        at: date and time in the laboratory's zone.
        sentence: what happened.
        reason: as given, or empty.
        details: what was recorded with it, each "what: value".
    """

    number: int
    at: str
    sentence: str
    reason: str
    details: tuple[str, ...]


def history(*subjects: str, of: str, lot: str = "") -> list[Happened]:
    """Return the events of subjects in the order in which they happened; with ``lot`` its certificates' too.

    A lot and a worksheet may bear one number: told is what happened to the kind of thing that is meant. Every field
    kept at the bench is told there, and not here.

    Arguments:
        subjects: numbers or names of what is meant.
        of: what they are, one of FAMILIES.
        lot: number of a lot whose certificates' and bottles' events are wanted as well.
    """
    from assaywright.records.models import Bottle, Certificate

    wanted = _events(subjects, *FAMILIES[of], *OF_ANYTHING)
    if lot:
        certificates = Certificate.objects.filter(lot=lot, worksheet="").values_list("number", flat=True)
        wanted |= _events(certificates, *FAMILIES["certificate"])
        wanted |= _events(Bottle.objects.filter(lot=lot).values_list("identity", flat=True), *FAMILIES["bottle"])
    names = dict(Person.objects.values_list("identity", "name"))
    found = Event.objects.filter(wanted).exclude(kind=AT_THE_BENCH).order_by("number")
    return [_told(event, names) for event in found]


def _events(subjects: Iterable[str], *families: str) -> Q:
    kinds = [kind for kind in EVENTS if kind.split(".")[0] in families]
    return Q(subject__in=list(subjects), kind__in=kinds)


def at_the_laboratory(written: str) -> str:
    """Return a stored moment in the laboratory's zone: date, time, and how far the zone is from UTC."""
    moment = clock.read(written).astimezone(ZoneInfo(settings.LABORATORY_ZONE))
    return moment.strftime("%Y-%m-%d %H:%M:%S %Z")


def _told(event: Event, names: dict[str, str]) -> Happened:
    payload, who = json.loads(event.payload), names.get(event.by, event.by)
    for_somebody = payload.get("by_command") and event.by in names
    said = sentence(event.kind, subject=event.subject, by=f"{who} (by command)" if for_somebody else who)
    file = said_of_file(payload)
    details = (*_details(payload), *((file,) if file else ()), *_left_or_replaced(payload), *_on_paper(payload, names),
               *_password(payload, names), *_by_command(payload, who if for_somebody else ""))
    return Happened(event.number, at_the_laboratory(event.recorded_at), f"{said[0].upper()}{said[1:]}.", event.reason,
                    details)


def _on_paper(payload: dict[str, object], names: dict[str, str]) -> Iterator[str]:
    if payload.get("from_paper"):
        on = f", {payload['titrated_on']}" if payload.get("titrated_on") else ""
        yield f"on paper, by {names.get(str(payload.get('titrated_by')), 'somebody')}{on}"


def _password(payload: dict[str, object], names: dict[str, str]) -> Iterator[str]:
    if told := told_of_password(payload, names):
        yield told
    if payload.get("link_of"):
        maker = str(payload["link_of"])
        yield f"link made by: {names.get(maker, maker)}"


def _by_command(payload: dict[str, object], who: str) -> Iterator[str]:
    if payload.get("by_command"):
        in_whose_name = f"by command, for {who}: no password was asked for" if who else "by command"
        yield f"{in_whose_name}; account of the machine: {payload.get('account_of_machine', 'unknown')}"


def _left_or_replaced(payload: dict[str, object]) -> Iterator[str]:
    """Yield what a worksheet sent to review left at the bench, and which withdrawn certificate a new one replaces."""
    left, replaced = payload.get("left_at_bench"), payload.get("replaces_withdrawn")
    for one in left if isinstance(left, list) else ():
        yield f"typed at the bench and not on record: {one}"
    if isinstance(replaced, dict):
        yield f"replaces {replaced['number']}, withdrawn on {replaced['on']} because: {replaced['because']}"


def _details(payload: dict[str, object]) -> Iterator[str]:
    result = all(payload.get(key) for key in RESULT)
    if result:
        stated, uncertainty = report(float(str(payload["value"])), float(str(payload["expanded_uncertainty"])))
        yield f"result: {written_number(stated)} ± {written_number(uncertainty)} {payload['unit']}"
    for key, words in TOLD.items():
        if payload.get(key) not in (None, "") and not (result and key in RESULT):
            yield f"{words}: {payload[key]}"
    for key in READINGS:
        value = payload.get(key)
        if isinstance(value, dict) and len(value) <= PLAIN:
            told = "; ".join(f"{name.replace('_', ' ')} {shown}" for name, shown in value.items()
                             if isinstance(shown, str))
            if told:
                yield f"{'before' if key == 'before' else 'recorded'}: {told}"
    names = payload.get("characteristics")
    if isinstance(names, list) and names:
        yield f"characteristics: {', '.join(map(str, names))}"
    changes = payload.get("changes")
    for what, before, after in changes if isinstance(changes, list) else ():
        yield f"{what}: {before or 'not stated'} → {after or 'not stated'}"
    if payload.get("same_as"):
        yield f"the same readings as determination {payload['same_as']}, and nobody has confirmed them"
    if payload.get("unchecked"):
        yield UNCHECKED_WORDS
    unanswered = payload.get("unanswered")
    yield from (f"asked, and not answered: {one}" for one in (unanswered if isinstance(unanswered, list) else ()))
    if payload.get("own_readings"):
        yield "the same readings as another determination, confirmed to be readings of their own"
