"""Whether the rows that a decision rests on are what their events say: of one lot, in a moment, before it is signed.

Whoever has the database in hand can change a row and leave the events alone. A check of all records finds it; but a
release or a certificate must not wait for that. So the events of the lot, of its product, of its assays, of what these
rest on, and of the people who signed are gone through anew, and compared with the tables; and each worksheet that is
reviewed is held against the hash that was signed.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db.models import Q, QuerySet

from assaywright.metrology.refusal import Refusal
from assaywright.records.chain import digest_of_row
from assaywright.records.models import Accreditation, Assay, Certificate, Event, Lot, Signature
from assaywright.records.projections import projected_models
from assaywright.records.projections.tables import Model, Table
from assaywright.records.rebuild import changes, lost, not_made
from assaywright.records.replay import EventRow, Replay
from assaywright.records.signed import other_than_signed

TIES = {
    "AcceptedRemark": "subject", "Assay": "identity", "Attachment": "subject", "Certificate": "number",
    "Determination": "assay", "EnteredCharacteristic": "lot", "Investigation": "lot", "Lot": "identity",
    "MethodEdition": "name", "Person": "identity", "Product": "name", "ProductEdition": "product", "Result": "assay",
    "Sample": "lot", "Signature": "subject", "Solution": "identity",
}  # which column says whose the row is
BEGUN = ("assay.begun", "assay.imported")
ISSUED = ("certificate.issued", "certificate.amended")
COMPARING = "tables-being-compared.txt"
REMEDY = ("nothing is released or certified until an administrator has had the records checked and put right on the "
          "machine where they are kept")
MOST_ROUNDS = 8


def demand_untouched(number: str, *people: str) -> None:
    """See that a lot or a solution, and all that a decision about it rests on, is what the events say.

    Arguments:
        number: of the lot or the solution.
        people: who decide, by their names to sign in with; those who signed before are found.

    Raises:
        Refusal: a row was changed, removed or put in by hand, an event was, or all tables are still being compared.
    """
    waiting = Path(settings.DATA_FOLDER) / COMPARING
    if waiting.exists():
        raise Refusal(waiting.read_text(encoding="utf-8").strip() or "the records are being compared with their events",
                      where=number, remedy="wait until that is done")
    if found := touched(number, *people):
        more = f", and {len(found) - 1} more" if len(found) > 1 else ""
        raise Refusal(f"the records are not what their events say ({found[0]}{more})", where=number, remedy=REMEDY)


def touched(number: str, *people: str) -> list[str]:
    """Return in sentences where the rows that a decision about a lot or a solution rests on were changed by hand."""
    subjects = subjects_of(number, *people)
    for _ in range(MOST_ROUNDS):
        rows = [EventRow._make(row) for row in Event.objects.filter(
            Q(subject__in=subjects) | Q(kind="accreditation.stated")).order_by("number").values_list(*EventRow._fields)]
        replay = Replay()
        replay.feed(rows)
        further = _further(replay.tables, subjects, {row.number for row in rows})
        if not further:
            break
        subjects |= further
    changed = [f"event {row.number} ({row.kind}, {row.subject}) was changed after it was made" for row in rows
               if digest_of_row(row.previous, row[:9]) != row.digest]
    found = [*changed, *replay.faults, *_compared(replay.tables, subjects)]
    return found or other_than_signed(subjects)


def subjects_of(number: str, *people: str) -> set[str]:
    """Return whose events are to be gone through, by the tables and by the events."""
    found = {number, *people}
    found.update(Lot.objects.filter(pk=number).values_list("product", flat=True))
    found.update(_told(("lot.made",), "product", {number}))
    told = _telling(number)
    assays = set(Assay.objects.filter(about=number).values_list("identity", flat=True)) | told
    while assays - found:
        found |= assays
        assays |= _below(assays)
    found.update(Certificate.objects.filter(lot=number).values_list("number", flat=True))
    found.update(Signature.objects.filter(subject__in=found).values_list("by", flat=True))
    found.update(Event.objects.filter(subject__in=found, kind__in=("assay.reviewed", *ISSUED)).values_list(
        "by", flat=True))
    return found


def _below(assays: set[str]) -> set[str]:
    """Return what assays rest on, with the solutions and the methods: their standardisations, and those of these."""
    found: set[str] = set()
    for assay in Assay.objects.filter(pk__in=assays):
        found |= {*_list(assay.rests_on), assay.about, assay.method, assay.method.removesuffix(".toml")}
    for payload in Event.objects.filter(subject__in=assays, kind__in=(*BEGUN, "assay.amended")).values_list(
            "payload", flat=True):
        found.update(map(str, _table(payload).get("rests_on", ())))
    return found


def _telling(number: str) -> set[str]:
    """Return the subjects of events by which a worksheet or a certificate is of a lot or a solution."""
    wanted = json.dumps(number, ensure_ascii=False)
    of_it = Q(payload__contains=f'"about":{wanted}') | Q(payload__contains=f'"lot":{wanted}')
    found = Event.objects.filter(of_it, kind__in=(*BEGUN, *ISSUED)).values_list("subject", "kind", "payload")
    return {subject for subject, kind, payload in found
            if _table(payload).get("about" if kind in BEGUN else "lot") == number}


def _told(kinds: tuple[str, ...], key: str, subjects: set[str]) -> set[str]:
    """Return what events of some kinds say in their table."""
    return {str(_table(payload).get("table", {}).get(key, ""))
            for payload in Event.objects.filter(kind__in=kinds, subject__in=subjects).values_list("payload", flat=True)}


def _further(tables: dict[Model, Table], subjects: set[str], known: set[int]) -> set[str]:
    """Return other subjects whose events concerned one of these rows last."""
    found: set[str] = set()
    for model in _models():
        table = tables.get(model) or Table(model)
        at = table.place["version"]
        versions = {values[at] for values in _there(model, table, subjects)} - known
        found.update(Event.objects.filter(number__in=versions).values_list("subject", flat=True))
    return found - subjects


def _compared(tables: dict[Model, Table], subjects: set[str]) -> Iterator[str]:
    for model in _models():
        table = tables.get(model) or Table(model)
        expected = dict(table.rows)
        for values in _there(model, table, subjects):
            ought = expected.pop(values[table.place[table.key]], None)
            if ought is None:
                yield not_made(model, table.names, values)
            else:
                yield from changes(model, table.names, values, ought)
        yield from (lost(model, table.names, values) for values in expected.values())


def _there(model: Model, table: Table, subjects: set[str]) -> list[Any]:
    """Return the rows of a table that are of these subjects, or that their events made."""
    rows: QuerySet[Any] = QuerySet(model)
    if model is not Accreditation:
        rows = rows.filter(Q(pk__in=list(table.rows)) | Q(**{f"{TIES[model.__name__]}__in": subjects}))
    return list(rows.values_list(*table.names))


def _models() -> list[Model]:
    return [one for one in projected_models() if one is Accreditation or one.__name__ in TIES]


def _list(text: str) -> list[str]:
    try:
        found = json.loads(text)
    except ValueError:
        return []
    return [str(one) for one in found] if isinstance(found, list) else []


def _table(payload: str) -> dict[str, Any]:
    try:
        found = json.loads(payload)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}
