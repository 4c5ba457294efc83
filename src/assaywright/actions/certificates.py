"""Certificates of released lots and of titrants: issued once, never altered; an amendment takes the place of one."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction

from assaywright.actions.lots import lot as lot_of_number
from assaywright.actions.lots import unreviewed_below
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.actions.solutions import solution_in_use
from assaywright.assay.certificate import CertificateDocument, certificate_document
from assaywright.assay.evaluate_lot import LotOutcome
from assaywright.assay.wording import written_date
from assaywright.metrology.refusal import Refusal
from assaywright.records import clock
from assaywright.records.accreditation import statement_on
from assaywright.records.bridge import certifiable, certifying, evaluate_titrant_lot
from assaywright.records.check import head_anchor
from assaywright.records.files import keep
from assaywright.records.log import append
from assaywright.records.models import Assay, Certificate, Event, Lot, Person, Product, Signature
from assaywright.records.models.lots import RELEASED
from assaywright.records.models.people import SIGNATORY
from assaywright.records.untouched import demand_untouched
from assaywright.reports.language import ENGLISH, LANGUAGES

MEANING = "I have judged what was computed, and answer for this certificate"
PRINTED_IN = tuple(LANGUAGES.items())


@dataclass(frozen=True)
class _Certified:
    """What a certificate is of: a released lot, or a titrant by the standardisation that certifies it; its language."""

    number: str
    stated: str
    product: str
    lot: Lot | None = None
    assay: Assay | None = None
    language: str = ENGLISH

    def outcome(self, **said: Any) -> LotOutcome | None:
        """What is concluded, with what the certificate says besides."""
        if self.lot is not None:
            return certifiable(self.lot, **said)
        return evaluate_titrant_lot(self.assay, **said) if self.assay is not None else None

    @property
    def worksheet(self) -> str:
        """Number of the standardisation; empty for a lot."""
        return self.assay.identity if self.assay is not None else ""


@repeatable
def certificate_issue(*, lot: str, by: str, language: str = ENGLISH, act: str = "") -> Event:
    """Issue the certificate of a released lot, signed by whoever issues it; they have been asked for the password.

    The file is typeset once. Its bytes are kept under their hash; number, hash and the head of the chain at the time
    stand in the event, and the head is printed on the certificate.

    Arguments:
        lot: number of the lot.
        language: that it is printed in: "en" or "de".

    Raises:
        Refusal: the lot is not released, it has a certificate already, something holds it back, it cannot be said in
            that language, or ``by`` may not.
    """
    with transaction.atomic():
        person = demand(by, SIGNATORY)
        found = _released(lot)
        if Certificate.objects.filter(lot=lot, worksheet="").exists():
            raise Refusal(f"the lot {lot} has a certificate already", where=f"lot {lot}",
                          remedy="amend that one, and say what changes")
        return _issued("certificate.issued", replace(found, language=language), person, act, {})


@repeatable
def titrant_certificate_issue(*, solution: str, by: str, language: str = ENGLISH, act: str = "") -> Event:
    """Issue the certificate of a titrant, by the last reviewed standardisation that describes its lot and limits.

    Arguments:
        solution: number of the solution.
        language: as for a lot.

    Raises:
        Refusal: no such solution in use, no reviewed standardisation certifies it, what that rests on is not reviewed,
            it has a certificate already, something holds it back, or ``by`` may not.
    """
    with transaction.atomic():
        person = demand(by, SIGNATORY)
        found = _titrant(solution)
        if Certificate.objects.filter(lot=solution).exclude(worksheet="").exists():
            raise Refusal(f"the solution {solution} has a certificate already", where=f"solution {solution}",
                          remedy="amend that one, and say what changes")
        return _issued("certificate.issued", replace(found, language=language), person, act, {})


@repeatable
def certificate_amend(*, number: str, changed: str, by: str, language: str = ENGLISH, act: str = "") -> Event:
    """Issue a certificate in place of an earlier one; the earlier one stays readable and is marked.

    Arguments:
        number: of the certificate that is superseded.
        changed: what is different, as the new certificate says it.
        language: that the new one is printed in, whichever the earlier one was.

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
        found = _titrant(earlier.lot) if earlier.worksheet else _released(earlier.lot)
        return _issued("certificate.amended", replace(found, language=language), person, act,
                       {"supersedes": number, "changed": changed})


def certificate_of_number(number: str) -> Certificate:
    """Return a certificate.

    Raises:
        Refusal: there is none of that number.
    """
    return Refusal.unless(Certificate.objects.filter(pk=number).first(), f"there is no certificate {number}",
                          where="number", remedy="choose one from the list")


# --- what they share --------------------------------------------------------------------------------------------------


def _released(identity: str) -> _Certified:
    found = lot_of_number(identity)
    if found.state != RELEASED:
        raise Refusal(f"the lot {identity} is not released", where=f"lot {identity}", remedy="release it first")
    return _Certified(identity, str(found.content.get("certificate_number", "")), found.product, lot=found)


def _titrant(identity: str) -> _Certified:
    solution = solution_in_use(identity)
    assay = certifying(solution)
    if assay is None:
        raise Refusal(f"no reviewed standardisation certifies the solution {identity}", where=f"solution {identity}",
                      remedy="review one whose worksheet has [lot] and [specification]")
    if unreviewed := unreviewed_below([assay.identity]):
        raise Refusal(f"{' and '.join(unreviewed)} {'has' if len(unreviewed) == 1 else 'have'} not been reviewed",
                      where=f"solution {identity}", remedy="let a second person look at it first")
    table = assay.content["lot"]
    return _Certified(identity, str(table.get("certificate_number", "")), str(table.get("product", solution.name)),
                      assay=assay)


def _issued(kind: str, what: _Certified, person: Person, act: str, more: dict[str, str]) -> Event:
    from assaywright.reports.render import certificate_pdf, renderer

    demand_untouched(what.number, person.identity)
    anchor = head_anchor()
    number, today = _number(what), clock.now().astimezone(_zone()).date()
    note = f"Head of the records when this was issued: {anchor.number}:{anchor.digest[:32]}."
    if more:
        note = f"This certificate takes the place of {more['supersedes']}. What changed: {more['changed']}. {note}"
    document = _document(what, person, number, today, note)
    sha256 = keep(certificate_pdf(document, what.language))
    edition = Product.objects.filter(pk=what.product).values_list("edition", flat=True).first() if what.lot else None
    return append(kind, subject=number, by=person.identity, act=act, payload={
        "lot": what.number, "worksheet": what.worksheet, "pdf_sha256": sha256, "meaning": MEANING,
        "anchor": f"{anchor.number}:{anchor.digest}", "renderer": renderer(), "product": what.product,
        "signed_by": person.name, "product_edition": edition, "software": document.software,
        **({} if what.language == ENGLISH else {"language": what.language}), **more})


def _document(what: _Certified, person: Person, number: str, today: date, note: str) -> CertificateDocument:
    """Return what the certificate says: the lot's own words, signed by a person on a day, with who reviewed what."""
    function = str(person.content.get("function", "")) or SIGNATORY
    outcome = Refusal.unless(
        what.outcome(certificate_number=number, issued=today, responsible=person.name, responsible_function=function,
                     note=note),
        f"{what.worksheet} describes no lot", where=what.worksheet, remedy="add [lot] and [specification] to it")
    document = certificate_document(outcome)
    standing = f"Signed: in the laboratory’s records, with the password asked for, on {written_date(today)}."
    return replace(document, standing=standing, accreditation_number=_accreditation(document, today), records=tuple(
        replace(record, reviewer=_reviewer(record.worksheet) or record.reviewer) for record in document.records))


def _accreditation(document: CertificateDocument, today: date) -> str:
    """Return the number of the accreditation where it covers anything on the certificate; else an empty text."""
    statement = statement_on(today.isoformat())
    return statement.number if statement and any(one.accredited for one in document.characteristics) else ""


def _reviewer(worksheet: str) -> str:
    """Return the name of whoever signed a worksheet as reviewer."""
    signed = Signature.objects.filter(subject=worksheet).order_by("id").last()
    return Person.objects.get(pk=signed.by).name if signed else ""


def _number(what: _Certified) -> str:
    """Return the next number: that which the lot or the worksheet states for the first, then counted on."""
    others = Certificate.objects.filter(lot=what.number)
    earlier = (others.filter(worksheet="") if what.lot else others.exclude(worksheet="")).count()
    base = what.stated.removesuffix("-1") if what.stated else f"C-{what.number}"
    number = f"{base}-{earlier + 1}"
    if Certificate.objects.filter(pk=number).exists():
        raise Refusal(f"there is a certificate {number} already", where=what.number,
                      remedy="correct the certificate number that the lot states")
    return number


def _zone() -> ZoneInfo:
    return ZoneInfo(settings.LABORATORY_ZONE)
