"""Issued certificates: which is in force, which was superseded and by what, which was withdrawn and why."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from assaywright.assay.certificate_changes import PRINTED_IN, CertificateChange
from assaywright.records.models import Assay, Certificate, Event, Lot, Person, Signature
from assaywright.records.selectors.history import at_the_laboratory
from assaywright.reports.language import ENGLISH, LANGUAGES

ISSUED = ("certificate.issued", "certificate.amended")


@dataclass(frozen=True)
class Withdrawn:
    """That a certificate was withdrawn: why, by whom and when."""

    because: str
    by: str
    at: str


@dataclass(frozen=True)
class Replaced:
    """A withdrawn certificate in whose place another one was issued: its number, the day in words, the reason."""

    number: str
    on: str
    because: str


@dataclass(frozen=True)
class CertificateShown:
    """An issued certificate with what its event says.

    Fields:
        supersedes, changed: number of the one before and what is different; empty for the first.
        anchor: head of the chain when it was issued.
        language: code of the one that it is printed in.
        worksheets: numbers of those that the lot's release rests on, or of the titrant's standardisation.
        changes: of an amendment, what it says otherwise: what, before and now.
        replaces: of one issued in place of a withdrawn one, which, when that was withdrawn and why.
        same: whether no figure, date or statement of it differs from the one whose place it takes, as was compared.
    """

    certificate: Certificate
    product: str
    issued: str
    signed_by: str
    supersedes: str
    changed: str
    anchor: str
    renderer: str
    software: str
    worksheets: tuple[str, ...]
    language: str
    withdrawn: Withdrawn | None = None
    changes: tuple[CertificateChange, ...] = ()
    replaces: Replaced | None = None
    same: bool = False

    @property
    def printed_in(self) -> str:
        """The language in words."""
        return LANGUAGES.get(self.language, self.language)

    @property
    def in_force(self) -> bool:
        """Whether none has taken its place, and it is not withdrawn."""
        return not self.certificate.superseded_by and self.withdrawn is None

    @property
    def file_name(self) -> str:
        """Name of the file to be kept, which says what has become of the certificate."""
        standing = "-withdrawn" if self.withdrawn else "-superseded" if self.certificate.superseded_by else ""
        return f"{self.certificate.number}{standing}.pdf"


def certificate_lines(rows: Iterable[Certificate] | None = None) -> list[CertificateShown]:
    """Return certificates as a list shows them, without the worksheets that they rest on.

    Arguments:
        rows: in their order; every one, the latest first, when not given.
    """
    every = Certificate.objects.order_by("-issued", "-number") if rows is None else rows
    return [_shown(one, one.content, ()) for one in every]


def of_product(product: str) -> Q:
    """Return the condition that a certificate is one of a lot of a product."""
    return Q(worksheet="", lot__in=Lot.objects.filter(product=product).values("pk"))


def standing_of(certificate: Certificate) -> str:
    """Return in words whether a certificate is in force, without a question to the database."""
    if certificate.content.get("withdrawn"):
        return "withdrawn"
    return f"superseded by {certificate.superseded_by}" if certificate.superseded_by else "in force"


def certificate_shown(certificate: Certificate) -> CertificateShown:
    """Return a certificate with what its event says."""
    event = Event.objects.filter(subject=certificate.number, kind__in=ISSUED).first()
    said: dict[str, Any] = json.loads(event.payload) if event else {}
    worksheets = (certificate.worksheet,) if certificate.worksheet else _released_by(certificate.lot)
    if "product" not in said:
        lot = Lot.objects.filter(pk=certificate.lot).first()
        said = {**said, "product": lot.product if lot else ""}
    return _shown(certificate, said, worksheets)


def _shown(certificate: Certificate, said: dict[str, Any], worksheets: tuple[str, ...]) -> CertificateShown:
    return CertificateShown(
        certificate, said.get("product", ""), at_the_laboratory(certificate.issued), said.get("signed_by", ""),
        said.get("supersedes", ""), said.get("changed", ""), said.get("anchor", ""), said.get("renderer", ""),
        said.get("software", ""), worksheets, said.get("language", ENGLISH), withdrawn(certificate),
        tuple(CertificateChange(*one) for one in said.get("changes", ())),
        Replaced(**said["replaces_withdrawn"]) if said.get("replaces_withdrawn") else None,
        "changes" in said and all(what == PRINTED_IN for what, *_ in said["changes"]))


def signatures_over(assay: Assay) -> tuple[str, ...]:
    """Return the signatures under a worksheet, the release of its lot and its certificates: who, when, meaning what."""
    names = dict(Person.objects.values_list("identity", "name"))
    numbers = [assay.identity, *Certificate.objects.filter(lot=assay.about).order_by("issued", "number").values_list(
        "number", flat=True)]
    found = [(one.id, f"{one.subject}: {names.get(one.by, one.by)}, {at_the_laboratory(one.at)}: {one.meaning}")
             for one in Signature.objects.filter(subject__in=numbers)]
    for event in Event.objects.filter(subject=assay.about, kind="lot.released"):
        meaning = json.loads(event.payload).get("meaning", "released")
        who, when = names.get(event.by, event.by), at_the_laboratory(event.recorded_at)
        found.append((event.number, f"lot {assay.about}: {who}, {when}: {meaning}"))
    return tuple(text for _, text in sorted(found))


def reviewer_of(worksheet: str) -> str:
    """Return the name of whoever signed a worksheet last as its reviewer; empty while nobody has."""
    signed = Signature.objects.filter(subject=worksheet).order_by("id").last()
    person = Person.objects.filter(pk=signed.by).first() if signed else None
    return person.name if person else ""


def withdrawn(certificate: Certificate) -> Withdrawn | None:
    """Return how a certificate was withdrawn, by itself or with its lot; None where it was not."""
    said = certificate.content.get("withdrawn")
    if not said:
        return None
    person = Person.objects.filter(pk=said["by"]).first()
    return Withdrawn(said["because"], person.name if person else said["by"], at_the_laboratory(said["at"]))


def _released_by(lot: str) -> tuple[str, ...]:
    event = Event.objects.filter(subject=lot, kind="lot.released").order_by("number").last()
    return tuple(json.loads(event.payload).get("worksheets", ())) if event else ()
