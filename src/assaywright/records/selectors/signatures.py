"""Every signature about a lot: what was stated by it, by whom, when, and what it is bound to."""

import json
from dataclasses import dataclass
from typing import Any

from assaywright.records.catalogue import sentence
from assaywright.records.models import Assay, Certificate, Event, Lot, Person
from assaywright.records.selectors.history import at_the_laboratory

SIGNED = ("assay.reviewed", "remark.accepted", "investigation.concluded", "lot.released", "lot.recalled",
          "certificate.issued", "certificate.amended", "certificate.withdrawn")
BOUND_TO = {"worksheet_sha256": "worksheet", "lot_file_sha256": "lot file", "pdf_sha256": "certificate file"}


@dataclass(frozen=True)
class SignatureShown:
    """A signature as the page of a lot tells it.

    Fields:
        number: of the event.
        what: what was signed, in a sentence.
        meaning: what the signature states.
        bound_to: what file, with its SHA-256, or which edition and decisions; each in words.
    """

    number: int
    what: str
    by: str
    at: str
    meaning: str
    bound_to: tuple[str, ...]


def signatures_about(lot: Lot) -> tuple[SignatureShown, ...]:
    """Return the signatures on a lot, its worksheets and its certificates, in the order in which they were made."""
    subjects = [lot.identity, *Assay.objects.filter(about=lot.identity).values_list("identity", flat=True),
                *Certificate.objects.filter(lot=lot.identity).values_list("number", flat=True)]
    names = dict(Person.objects.values_list("identity", "name"))
    events = Event.objects.filter(subject__in=subjects, kind__in=SIGNED).order_by("number")
    return tuple(_shown(one, json.loads(one.payload), names.get(one.by, one.by)) for one in events)


def _shown(event: Event, payload: dict[str, Any], name: str) -> SignatureShown:
    said = sentence(event.kind, subject=event.subject, by=name)
    bound = [f"{words}, SHA-256 {payload[key]}" for key, words in BOUND_TO.items() if payload.get(key)]
    if payload.get("product_edition"):
        bound.append(f"edition {payload['product_edition']} of the specification")
    bound += [f"{one['name']}: {one['found']}, {one['decision']}" for one in payload.get("decided", ())]
    return SignatureShown(event.number, said, name, at_the_laboratory(event.recorded_at),
                          str(payload.get("meaning", "")), tuple(bound))
