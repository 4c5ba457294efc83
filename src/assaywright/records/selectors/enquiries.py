"""Enquiries: those that wait for an answer, and our figure that one of them is about, as it is now."""

from dataclasses import dataclass

from assaywright.assay.agree.causes import Causes, causes
from assaywright.assay.agree.discrepancy import Comparison, compared
from assaywright.assay.agree.finding import FIELDS, Finding, finding
from assaywright.assay.agree.ourselves import Ours, ourselves
from assaywright.assay.entered import entered_result
from assaywright.assay.result import Result
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import lot_file, open_by_path, worksheet_bytes
from assaywright.records.models import Assay, Certificate, Enquiry, Lot, Person
from assaywright.records.models.assays import REVIEWED, VOID
from assaywright.records.models.enquiries import OPEN
from assaywright.records.specified import specified_of

SHOWN = 20


@dataclass(frozen=True)
class Reply:
    """One reply: its text, who gave it, and on which day."""

    text: str
    by: str
    on: str


@dataclass(frozen=True)
class Asked:
    """An enquiry as a page tells it.

    Fields:
        told: what they told and how it is called, in the order of FIELDS.
        taken_down_by: name of a person.
        replies: the first one first; a later one corrects those before it.
    """

    enquiry: Enquiry
    characteristic: str
    told: tuple[tuple[str, str], ...]
    taken_down_by: str
    replies: tuple[Reply, ...]


@dataclass(frozen=True)
class Compared:
    """What can be said of an enquiry's figure: ours beside theirs, or the sentence why not.

    Fields:
        ours: where our figure rests on a worksheet; else None.
        worksheet: its number; empty for a figure that was entered.
        result: ours as stated in the customer's unit.
        causes: what would explain a difference, where there is one to explain and ours rests on a worksheet.
    """

    finding: Finding | None = None
    comparison: Comparison | None = None
    result: Result | None = None
    ours: Ours | None = None
    worksheet: str = ""
    causes: Causes | None = None
    trouble: Refusal | None = None


def open_enquiries() -> tuple[list[Enquiry], int]:
    """Return the enquiries that nobody has answered, the oldest first; and how many there are."""
    found = Enquiry.objects.filter(state=OPEN)
    return list(found.order_by("received", "identity")[:SHOWN]), found.count()


def enquiries_about(number: str) -> list[Enquiry]:
    """Return the enquiries about a lot or solution, or of a certificate, the latest first."""
    found = Enquiry.objects.filter(about=number) | Enquiry.objects.filter(certificate=number)
    return list(found.order_by("-received", "-identity")[:SHOWN])


def asked(enquiry: Enquiry) -> Asked:
    """Return an enquiry as a page tells it."""
    content = enquiry.content
    names = dict(Person.objects.values_list("identity", "name"))
    told = tuple((words, str(content[name])) for name, words in FIELDS.items() if content.get(name))
    replies = tuple(Reply(one["text"], names.get(one["by"], one["by"]), one["on"])
                    for one in content.get("replies", ()))
    by = str(content["taken_down_by"])
    return Asked(enquiry, str(content["characteristic"]), told, names.get(by, by), replies)


def compared_now(enquiry: Enquiry) -> Compared:
    """Return our figure, as what is on record gives it now, beside the customer's."""
    worksheet = ""
    try:
        theirs = finding(enquiry.content)
        assay, result, measurand = _our_figure(enquiry)
        ours = None
        if assay is not None:
            worksheet = assay.identity
            sheet = parse_worksheet(worksheet_bytes(assay), assay.path)
            ours = ourselves(sheet, open_by_path, measurand=measurand, unit=theirs.found.unit)
            result = ours.result
        result = Refusal.unless(result, "our figure has no uncertainty on record, so the two cannot be compared",
                                where="our figure", remedy="answer from its source")
        comparison = compared(result, theirs)
        why = causes(ours, theirs, comparison.difference) if ours and comparison.is_discrepancy else None
        return Compared(theirs, comparison, result, ours, worksheet, why)
    except Refusal as refusal:
        return Compared(worksheet=worksheet, trouble=refusal)


def _our_figure(enquiry: Enquiry) -> tuple[Assay | None, Result | None, str]:
    """Return the worksheet of our figure with the name of its result, or the figure as it was entered.

    Raises:
        Refusal: there is none yet.
    """
    if enquiry.content["of"] == "solution":
        return _standardisation(enquiry), None, ""
    lot = Lot.objects.get(pk=enquiry.about)
    name = enquiry.content["characteristic"]
    specified = next((one for one in specified_of(lot) if one["name"] == name), {})
    known = lot_file(lot, whole=False).characteristics
    found = Refusal.unless(next((one for one in known if one.specification.characteristic == name), None),
                           f"{name or 'it'} has not been found yet", where=f"lot {lot.identity}",
                           remedy="answer when it has")
    if not found.worksheet:
        return None, entered_result(found), ""
    assay = Assay.objects.filter(path=found.worksheet).first()
    return assay, None, found.measurand or str(specified.get("measurand", ""))


def _standardisation(enquiry: Enquiry) -> Assay:
    """Return the standardisation that a titrant's certificate states, or the last one that was reviewed."""
    certificate = Certificate.objects.filter(pk=enquiry.certificate).first()
    number = certificate.worksheet if certificate else ""
    rows = Assay.objects.filter(about=enquiry.about, kind="standardisation").exclude(stage=VOID)
    found = rows.filter(pk=number).first() if number else (
        rows.filter(stage=REVIEWED).order_by("performed", "identity").last())
    return Refusal.unless(found, "no standardisation of it has been reviewed", where=f"solution {enquiry.about}",
                          remedy="answer when one has")
