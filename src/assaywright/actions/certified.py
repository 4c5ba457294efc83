"""What a certificate is of and what it would say now: a released lot, or a titrant with its standardisation."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from assaywright.actions.certificate_note import address_of
from assaywright.actions.lots import lot as lot_of_number
from assaywright.actions.solutions import solution_in_use
from assaywright.assay.certificate import CertificateDocument, certificate_document
from assaywright.assay.certificate_changes import PRINTED_IN, CertificateChange, certificate_changes
from assaywright.assay.evaluate_lot import LotOutcome
from assaywright.assay.labelled import Labelled
from assaywright.assay.wording import written_date
from assaywright.metrology.refusal import Refusal
from assaywright.records import days
from assaywright.records.accreditation import statement_on
from assaywright.records.bridge import certifiable, unreviewed_below
from assaywright.records.demonstration import mark
from assaywright.records.files import read
from assaywright.records.models import Assay, Certificate, Event, Lot, Person, Signature, Solution
from assaywright.records.models.lots import RELEASED
from assaywright.records.models.people import SIGNATORY
from assaywright.records.recorded_late import recorded_late
from assaywright.records.specified import edition_of
from assaywright.records.titrants import certified_by, certified_facts, titrant_lot
from assaywright.reports.attached import attached_document
from assaywright.reports.language import ENGLISH, LANGUAGES

ASSAYED = "Assayed"


@dataclass(frozen=True)
class Certified:
    """What a certificate is of: a released lot, or a titrant by the standardisation that certifies it; its language."""

    number: str
    stated: str
    product: str
    lot: Lot | None = None
    solution: Solution | None = None
    assay: Assay | None = None
    language: str = ENGLISH

    def outcome(self, **said: Any) -> LotOutcome | None:
        """Return what is concluded, with what the certificate says besides."""
        if self.lot is not None:
            return certifiable(self.lot, **said)
        return titrant_lot(self.solution, self.assay, **said) if self.solution and self.assay else None

    @property
    def labelled(self) -> dict[str, Any]:
        """What is stated for its label: of the product and of the lot, or of the solution."""
        if self.lot is not None:
            return {**edition_of(self.lot).content, **self.lot.content}
        return {**self.solution.content, **certified_facts(self.solution)} if self.solution else {}

    @property
    def worksheet(self) -> str:
        """Number of the standardisation; empty for a lot."""
        return self.assay.identity if self.assay is not None else ""


def released(identity: str) -> Certified:
    """Return a released lot whose every worksheet is reviewed.

    Raises:
        Refusal: no such lot, it is not released, or a worksheet that it rests on is not, or not again, reviewed.
    """
    found = lot_of_number(identity)
    if found.state != RELEASED:
        raise Refusal(f"the lot {identity} is not released", where=f"lot {identity}", remedy="release it first")
    certified = Certified(identity, str(found.content.get("certificate_number", "")), found.product, lot=found)
    outcome = certified.outcome()
    demand_reviewed(f"lot {identity}", [one.worksheet.identity for one in outcome.outcomes] if outcome else [])
    return certified


def titrant(identity: str) -> Certified:
    """Return a titrant with the standardisation that certifies it.

    Raises:
        Refusal: no such solution in use, none certifies it, or what that rests on is not reviewed.
    """
    solution = solution_in_use(identity)
    assay = certified_by(solution)
    if assay is None:
        raise Refusal(f"no reviewed standardisation certifies the solution {identity}", where=f"solution {identity}",
                      remedy="have one reviewed, and state on the solution's page what its certificate says and its "
                             "limits")
    demand_reviewed(f"solution {identity}", [assay.identity])
    table = certified_facts(solution) or assay.content["lot"]
    return Certified(identity, str(table.get("certificate_number", "")), str(table.get("product", "") or solution.name),
                     solution=solution, assay=assay)


def demand_reviewed(where: str, numbers: list[str]) -> None:
    """Refuse what rests on a worksheet that nobody has reviewed, or that was reopened since.

    Raises:
        Refusal: one of them, or of those that they rest on, is not reviewed.
    """
    if unreviewed := unreviewed_below(numbers):
        raise Refusal(f"{' and '.join(unreviewed)} {'has' if len(unreviewed) == 1 else 'have'} not been reviewed",
                      where=where, remedy="let a second person look at it first")


def document_of(what: Certified, person: Person, number: str, note: str) -> CertificateDocument:
    """Return what the certificate says: the lot's own words, signed by a person today, with who reviewed what.

    Raises:
        Refusal: something holds it back, or something that a certificate must say is not stated.
    """
    today = days.today()
    function = str(person.content.get("function", "")) or SIGNATORY
    outcome = Refusal.unless(
        what.outcome(certificate_number=number, issued=today, responsible=person.name, responsible_function=function,
                     note=note),
        f"nothing is stated of the solution {what.number}", where=what.worksheet,
        remedy="state on its page what its certificate says")
    document = certificate_document(outcome, _judge(what.number) if what.lot else "")
    standing = f"Signed: in the laboratory’s records, with the password asked for, on {written_date(today)}."
    records = tuple(replace(record, reviewer=_reviewer(record.worksheet) or record.reviewer)
                    for record in document.records)
    return replace(document, standing=standing, demonstration=mark(), records=records,
                   identification=_with_days_of_recording(document, outcome),
                   accreditation_number=_accreditation(document, today),
                   address=address_of(what.labelled, document.maker))


def _with_days_of_recording(document: CertificateDocument, outcome: LotOutcome) -> tuple[Labelled, ...]:
    """Return a certificate's identification; beside the day of the work that of its recording, where it was later."""
    assays = Assay.objects.filter(pk__in=[one.worksheet.identity for one in outcome.outcomes])
    recorded = max((found[1] for one in assays if (found := recorded_late(one))), default=None)
    if recorded is None:
        return document.identification
    return tuple(replace(one, text=f"{one.text}, recorded on {written_date(recorded)}") if one.label == ASSAYED else one
                 for one in document.identification)


def changed_since(certificate: Certificate, document: CertificateDocument) -> tuple[CertificateChange, ...]:
    """Return what a document says otherwise than an issued certificate, whose own file is read for it.

    Raises:
        Refusal: the file is not there, or was changed.
    """
    return certificate_changes(attached_document(read(certificate.pdf_sha256)), document)


def changed_language(certificate: Certificate, language: str) -> tuple[CertificateChange, ...]:
    """Return the change of language, or nothing."""
    before = language_of(certificate.content)
    if before == language:
        return ()
    was, is_now = (LANGUAGES.get(code, code) for code in (before, language))
    return (CertificateChange(PRINTED_IN, was, is_now, "language"),)


def language_of(said: Mapping[str, Any]) -> str:
    """Return the language that a certificate is printed in, by what its event says."""
    return str(said.get("language", ENGLISH))


def next_number(what: Certified) -> str:
    """Return the next number: that which the lot or the worksheet states for the first, then counted on.

    Raises:
        Refusal: another certificate has it.
    """
    others = Certificate.objects.filter(lot=what.number)
    earlier = (others.filter(worksheet="") if what.lot else others.exclude(worksheet="")).count()
    base = what.stated.removesuffix("-1") if what.stated else f"C-{what.number}"
    number = f"{base}-{earlier + 1}"
    if Certificate.objects.filter(pk=number).exists():
        raise Refusal(f"there is a certificate {number} already", where=what.number,
                      remedy="correct the certificate number that the lot states")
    return number


def _accreditation(document: CertificateDocument, today: date) -> str:
    """Return the number of the accreditation where it covers anything on the certificate; else an empty text."""
    statement = statement_on(today.isoformat())
    return statement.number if statement and any(one.accredited for one in document.characteristics) else ""


def _judge(lot: str) -> str:
    """Return name and function of whoever released a lot, and by it confirmed what was found in words."""
    event = Event.objects.filter(subject=lot, kind="lot.released").order_by("number").last()
    if event is None:
        return ""
    person = Person.objects.get(pk=event.by)
    return f"{person.name}, {person.content.get('function', '') or SIGNATORY}"


def _reviewer(worksheet: str) -> str:
    """Return the name of whoever signed a worksheet as reviewer."""
    signed = Signature.objects.filter(subject=worksheet).order_by("id").last()
    return Person.objects.get(pk=signed.by).name if signed else ""
