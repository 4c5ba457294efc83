"""Certificates of released lots and of titrants: issued once, never altered; amended by a later one, or withdrawn."""

from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from assaywright.actions.certificate_note import in_place_of, note_on
from assaywright.actions.certified import (
    Certified,
    changed_language,
    changed_since,
    document_of,
    language_of,
    next_number,
    released,
    titrant,
)
from assaywright.actions.passwords import demand_no_link_of_own
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.assay.certificate_changes import CertificateChange
from assaywright.assay.wording import written_date
from assaywright.metrology.refusal import Refusal
from assaywright.records import days
from assaywright.records.check import head_anchor
from assaywright.records.files import keep
from assaywright.records.log import append
from assaywright.records.models import Certificate, Event, Person
from assaywright.records.models.people import SIGNATORY
from assaywright.records.specified import edition_of
from assaywright.records.untouched import demand_untouched
from assaywright.reports.language import ENGLISH, LANGUAGES

MEANING = "I have judged what was computed, and answer for this certificate"
WITHDRAWN_MEANING = "I withdraw this certificate; what it states is no longer to be relied on"
PRINTED_IN = tuple(LANGUAGES.items())
NOT_YET = "not issued yet"
INSTEAD = "amend that one and say what changes, or where it is withdrawn issue a new one on its page"


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
        found = released(lot)
        if Certificate.objects.filter(lot=lot, worksheet="").exists():
            raise Refusal(f"the lot {lot} has a certificate already", where=f"lot {lot}", remedy=INSTEAD)
        return _issued("certificate.issued", replace(found, language=language), person, act)


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
        found = titrant(solution)
        if Certificate.objects.filter(lot=solution).exclude(worksheet="").exists():
            raise Refusal(f"the solution {solution} has a certificate already", where=f"solution {solution}",
                          remedy=INSTEAD)
        return _issued("certificate.issued", replace(found, language=language), person, act)


@repeatable
def certificate_amend(
    *, number: str, changed: str, by: str, language: str = ENGLISH, seen: str | None = None, act: str = ""
) -> Event:
    """Issue a certificate in place of an earlier one; the earlier one stays readable and is marked.

    What is on record now is compared with what the earlier one states, figure by figure; the differences stand in the
    event and on the new certificate beside the person's own words. Where only the language is another, the new one
    says that it takes the other's place in wording only. In place of one that was withdrawn a new one is issued,
    with the next number: event and certificate say which one it replaces, when that was withdrawn and why.

    Arguments:
        number: of the certificate that is superseded.
        changed: what is different and why, in the person's words.
        language: that the new one is printed in, whichever the earlier one was.
        seen: the differences that the person was shown, by :func:`seen_as`; None where they were shown none.

    Raises:
        Refusal: no such certificate, one that is superseded already, nothing differs, something else differs than the
            person was shown, nothing said of what changed, or ``by`` may not.
    """
    with transaction.atomic():
        person = demand(by, SIGNATORY)
        earlier = _in_force(number)
        changed = needed(changed, "what changed", "what changed").rstrip(".")
        what = replace(_of(earlier), language=language)
        figures = changed_since(earlier, document_of(what, person, NOT_YET, ""))
        if seen is not None and seen != seen_as(figures):
            raise Refusal(f"something else differs from {number} now than when this page was opened", where=number,
                          remedy="look at the list of changes once more")
        changes = (*figures, *changed_language(earlier, language))
        if not changes and "withdrawn" not in earlier.content:
            raise Refusal(f"nothing on record differs from {number}, and amending is for a change", where=number,
                          remedy="correct what is wrong on record first, or choose another language")
        withdrawn = _withdrawal(earlier)
        note = note_on(number, changed, person.name, withdrawn, differs=bool(figures))
        return _issued("certificate.issued" if withdrawn else "certificate.amended", what, person, act,
                       _Amended(number, changed, note, changes, withdrawn))


def changes_on_record(number: str, *, by: str) -> tuple[CertificateChange, ...]:
    """Return what a certificate would say otherwise if it were issued now; nothing is issued.

    Raises:
        Refusal: no such certificate, one that is superseded, something holds a new one back, or ``by`` may not.
    """
    person = demand(by, SIGNATORY)
    earlier = _in_force(number)
    return changed_since(earlier, document_of(_of(earlier), person, NOT_YET, ""))


def seen_as(changes: tuple[CertificateChange, ...]) -> str:
    """Return a short mark of a list of changes, by which it is told whether it is still the one that was shown."""
    import hashlib

    return hashlib.sha256("\n".join(f"{one.what}|{one.before}|{one.now}" for one in changes).encode()).hexdigest()[:16]


@repeatable
def certificate_withdraw(*, number: str, by: str, reason: str, act: str = "") -> Event:
    """Withdraw a certificate: it stays readable and says why; whoever calls this has asked for the password.

    Raises:
        Refusal: no such certificate, one that is superseded or withdrawn already, no reason, or ``by`` may not.
    """
    with transaction.atomic():
        demand(by, SIGNATORY)
        found = _in_force(number)
        if "withdrawn" in found.content:
            raise Refusal(f"the certificate {number} is withdrawn already", where=number, remedy="look at its page")
        return append("certificate.withdrawn", subject=number, by=by, act=act,
                      reason=needed(reason, "the reason", "reason"),
                      payload={"lot": found.lot, "pdf_sha256": found.pdf_sha256, "meaning": WITHDRAWN_MEANING})


def certificate_of_number(number: str) -> Certificate:
    """Return a certificate.

    Raises:
        Refusal: there is none of that number.
    """
    return Refusal.unless(Certificate.objects.filter(pk=number).first(), f"there is no certificate {number}",
                          where="number", remedy="choose one from the list")


# --- what they share --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Amended:
    """What an amendment says besides: whose place it takes, the person's words, the note on it, the changes.

    Of one that replaces a withdrawn certificate also its number, when it was withdrawn and why.
    """

    supersedes: str
    changed: str
    note: str
    changes: tuple[CertificateChange, ...]
    replaces_withdrawn: dict[str, str]

    def payload(self) -> dict[str, Any]:
        """What the event says of it."""
        return {"supersedes": self.supersedes, "changed": self.changed,
                "changes": [[one.what, one.before, one.now] for one in self.changes],
                **({"replaces_withdrawn": self.replaces_withdrawn} if self.replaces_withdrawn else {})}


def _withdrawal(certificate: Certificate) -> dict[str, str]:
    """Return number, day in words and reason of a withdrawn certificate; nothing where it was not withdrawn."""
    said = certificate.content.get("withdrawn")
    if not said:
        return {}
    on = written_date(days.local(said["at"]).date())
    return {"number": certificate.number, "on": on, "because": str(said["because"]).strip().rstrip(".")}


def _in_force(number: str) -> Certificate:
    found = certificate_of_number(number)
    if found.superseded_by:
        raise Refusal(f"the certificate {number} is superseded by {found.superseded_by}", where=number,
                      remedy="amend or withdraw the later one")
    return found


def _of(earlier: Certificate) -> Certified:
    """Return what a certificate is of, as it is now, in the language of the certificate."""
    found = titrant(earlier.lot) if earlier.worksheet else released(earlier.lot)
    return replace(found, language=language_of(earlier.content))


def _issued(kind: str, what: Certified, person: Person, act: str, amended: _Amended | None = None) -> Event:
    from assaywright.reports.render import certificate_pdf, renderer

    demand_untouched(what.number, person.identity)
    demand_no_link_of_own(what.number, person.identity)
    anchor = head_anchor()
    number = next_number(what)
    edition = edition_of(what.lot).edition if what.lot else None
    specified = f"Specification of the product: edition {edition}. " if edition else ""
    note = f"{specified}Head of the records when this was issued: {anchor.number}:{anchor.digest[:32]}."
    document = document_of(what, person, number, f"{amended.note}{note}" if amended else note)
    if amended:
        document = replace(document, changes=amended.changes,
                           in_place_of=in_place_of(amended.supersedes, amended.replaces_withdrawn))
    sha256 = keep(certificate_pdf(document, what.language))
    return append(kind, subject=number, by=person.identity, act=act, payload={
        "lot": what.number, "worksheet": what.worksheet, "pdf_sha256": sha256, "meaning": MEANING,
        "anchor": f"{anchor.number}:{anchor.digest}", "renderer": renderer(), "product": what.product,
        "signed_by": person.name, "product_edition": edition, "software": document.software,
        **({} if what.language == ENGLISH else {"language": what.language}),
        **(amended.payload() if amended else {})})
