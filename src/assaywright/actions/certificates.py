"""Certificates: issued once for a released lot, never altered; an amendment says what changed and takes its place."""

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction

from assaywright.actions.lots import lot as lot_of_number
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.assay.certificate import CertificateDocument, certificate_document
from assaywright.assay.wording import written_date
from assaywright.metrology.refusal import Refusal
from assaywright.records import clock
from assaywright.records.bridge import certifiable
from assaywright.records.check import head_anchor
from assaywright.records.files import keep
from assaywright.records.log import append
from assaywright.records.models import Certificate, Event, Lot, Person, Product, Signature
from assaywright.records.models.lots import RELEASED
from assaywright.records.models.people import SIGNATORY

MEANING = "I have judged what was computed, and answer for this certificate"


@repeatable
def certificate_issue(*, lot: str, by: str, act: str = "") -> Event:
    """Issue the certificate of a released lot, signed by whoever issues it; they have been asked for the password.

    The file is typeset once. Its bytes are kept under their hash; number, hash and the head of the chain at the time
    stand in the event, and the head is printed on the certificate.

    Raises:
        Refusal: the lot is not released, it has a certificate already, something holds it back, or ``by`` may not.
    """
    with transaction.atomic():
        person = demand(by, SIGNATORY)
        found = _released(lot)
        if Certificate.objects.filter(lot=lot).exists():
            raise Refusal(f"the lot {lot} has a certificate already", where=f"lot {lot}",
                          remedy="amend that one, and say what changes")
        return _issued("certificate.issued", found, person, act, {})


@repeatable
def certificate_amend(*, number: str, changed: str, by: str, act: str = "") -> Event:
    """Issue a certificate in place of an earlier one; the earlier one stays readable and is marked.

    Arguments:
        number: of the certificate that is superseded.
        changed: what is different, as the new certificate says it.

    Raises:
        Refusal: no such certificate, one that is superseded already, nothing said of what changed, or ``by`` may not.
    """
    with transaction.atomic():
        person = demand(by, SIGNATORY)
        earlier = certificate_of_number(number)
        if earlier.superseded_by:
            raise Refusal(f"the certificate {number} is superseded by {earlier.superseded_by}", where=number,
                          remedy="amend the later one")
        changed = needed(changed, "what changed", "what changed")
        return _issued("certificate.amended", _released(earlier.lot), person, act,
                       {"supersedes": number, "changed": changed})


def certificate_of_number(number: str) -> Certificate:
    """Return a certificate.

    Raises:
        Refusal: there is none of that number.
    """
    return Refusal.unless(Certificate.objects.filter(pk=number).first(), f"there is no certificate {number}",
                          where="number", remedy="choose one from the list")


# --- what they share --------------------------------------------------------------------------------------------------


def _released(identity: str) -> Lot:
    found = lot_of_number(identity)
    if found.state != RELEASED:
        raise Refusal(f"the lot {identity} is not released", where=f"lot {identity}", remedy="release it first")
    return found


def _issued(kind: str, lot: Lot, person: Person, act: str, more: dict[str, str]) -> Event:
    from assaywright.reports.render import certificate_pdf, renderer

    anchor = head_anchor()
    number, today = _number(lot), clock.now().astimezone(_zone()).date()
    note = f"Head of the records when this was issued: {anchor.number}:{anchor.digest[:32]}."
    if more:
        note = f"This certificate takes the place of {more['supersedes']}. What changed: {more['changed']}. {note}"
    document = _document(lot, person, number, today, note)
    sha256 = keep(certificate_pdf(document))
    return append(kind, subject=number, by=person.identity, act=act, payload={
        "lot": lot.identity, "pdf_sha256": sha256, "meaning": MEANING, "anchor": f"{anchor.number}:{anchor.digest}",
        "renderer": renderer(), "product": lot.product, "signed_by": person.name,
        "product_edition": Product.objects.get(pk=lot.product).edition, "software": document.software, **more})


def _document(lot: Lot, person: Person, number: str, today: date, note: str) -> CertificateDocument:
    """Return what the certificate says: the lot's own words, signed by a person on a day, with who reviewed what."""
    function = str(person.content.get("function", "")) or SIGNATORY
    outcome = certifiable(lot, certificate_number=number, issued=today, responsible=person.name,
                          responsible_function=function, note=note)
    document = certificate_document(outcome)
    standing = f"Signed: in the laboratory’s records, with the password asked for, on {written_date(today)}."
    return replace(document, standing=standing, records=tuple(
        replace(record, reviewer=_reviewer(record.worksheet) or record.reviewer) for record in document.records))


def _reviewer(worksheet: str) -> str:
    """Return the name of whoever signed a worksheet as reviewer."""
    signed = Signature.objects.filter(subject=worksheet).order_by("id").last()
    return Person.objects.get(pk=signed.by).name if signed else ""


def _number(lot: Lot) -> str:
    """Return the next number for a lot: that which its lot file states for the first, then counted on."""
    earlier = Certificate.objects.filter(lot=lot.identity).count()
    stated = str(lot.content.get("certificate_number", ""))
    base = stated.removesuffix("-1") if stated else f"C-{lot.identity}"
    number = f"{base}-{earlier + 1}"
    if Certificate.objects.filter(pk=number).exists():
        raise Refusal(f"there is a certificate {number} already", where=f"lot {lot.identity}",
                      remedy="correct the certificate number that the lot states")
    return number


def _zone() -> ZoneInfo:
    return ZoneInfo(settings.LABORATORY_ZONE)
