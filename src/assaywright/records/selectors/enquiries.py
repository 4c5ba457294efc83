"""Enquiries: those that wait for an answer, and our figure that one of them is about, as it is now."""

from dataclasses import dataclass

from assaywright.assay.agree.causes import Causes, causes
from assaywright.assay.agree.discrepancy import Comparison, compared
from assaywright.assay.agree.finding import FIELDS, Finding, finding
from assaywright.assay.agree.limits import AgainstLimits, against_limits
from assaywright.assay.agree.ourselves import Ours, ourselves
from assaywright.assay.entered import entered_result
from assaywright.assay.result import Result
from assaywright.assay.specification import Specification
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import lot_file, open_by_path, unreviewed_below, worksheet_bytes
from assaywright.records.investigated import unchecked
from assaywright.records.models import Assay, Certificate, Enquiry, Lot, Person, Solution
from assaywright.records.models.assays import REVIEWED, VOID
from assaywright.records.models.enquiries import OPEN
from assaywright.records.specified import specified_of
from assaywright.records.titrants import LIMITS, certified_facts, lot_file_of

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
        limits: both held against the limits of what was sold, where it has some.
        unreviewed: the worksheets of our figure, and of what it rests on, that nobody has reviewed; the
            characteristic's name where it was entered and nobody else has looked at it.
    """

    finding: Finding | None = None
    comparison: Comparison | None = None
    result: Result | None = None
    ours: Ours | None = None
    worksheet: str = ""
    causes: Causes | None = None
    trouble: Refusal | None = None
    limits: AgainstLimits | None = None
    unreviewed: tuple[str, ...] = ()


@dataclass(frozen=True)
class _OurFigure:
    """Our figure on record: by a worksheet, or as it was entered; and what it has to satisfy."""

    assay: Assay | None = None
    entered: Result | None = None
    measurand: str = ""
    specification: Specification | None = None
    unreviewed: tuple[str, ...] = ()


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
        known = _our_figure(enquiry)
        ours, result = None, known.entered
        if known.assay is not None:
            worksheet = known.assay.identity
            sheet = parse_worksheet(worksheet_bytes(known.assay), known.assay.path)
            ours = ourselves(sheet, open_by_path, measurand=known.measurand, unit=theirs.found.unit)
            result = ours.result
        result = Refusal.unless(result, "our figure has no uncertainty on record, so the two cannot be compared",
                                where="our figure", remedy="answer from its source")
        comparison = compared(result, theirs)
        why = causes(ours, theirs, comparison.difference) if ours and comparison.is_discrepancy else None
        limits = against_limits(ours.as_on_record if ours else result, known.specification, theirs) \
            if known.specification else None
        return Compared(theirs, comparison, result, ours, worksheet, why, limits=limits, unreviewed=known.unreviewed)
    except Refusal as refusal:
        return Compared(worksheet=worksheet, trouble=refusal)


def _our_figure(enquiry: Enquiry) -> _OurFigure:
    """Return the worksheet of our figure with the name of its result, or the figure as it was entered.

    Raises:
        Refusal: there is none yet.
    """
    if enquiry.content["of"] == "solution":
        standardised = _standardisation(enquiry)
        return _OurFigure(standardised, specification=_limits_of(enquiry.about, standardised.path),
                          unreviewed=tuple(unreviewed_below([standardised.identity])))
    lot = Lot.objects.get(pk=enquiry.about)
    name = enquiry.content["characteristic"]
    specified = next((one for one in specified_of(lot) if one["name"] == name), {})
    known = lot_file(lot, whole=False).characteristics
    found = Refusal.unless(next((one for one in known if one.specification.characteristic == name), None),
                           f"{name or 'it'} has not been found yet", where=f"lot {lot.identity}",
                           remedy="answer when it has")
    if not found.worksheet:
        waiting = tuple(one.name for one in unchecked(lot.identity) if one.name == name)
        return _OurFigure(entered=entered_result(found), specification=found.specification, unreviewed=waiting)
    assay = Assay.objects.filter(path=found.worksheet).first()
    return _OurFigure(assay, None, found.measurand or str(specified.get("measurand", "")), found.specification,
                      tuple(unreviewed_below([assay.identity])) if assay else ())


def _limits_of(solution: str, worksheet: str) -> Specification | None:
    """Return the limits that the records state of a titrant; None where they state none."""
    facts = certified_facts(Solution.objects.get(pk=solution))
    if not facts.get(LIMITS):
        return None
    return lot_file_of(solution, {"product": solution, **facts}, worksheet=worksheet).characteristics[0].specification


def _standardisation(enquiry: Enquiry) -> Assay:
    """Return the standardisation that a titrant's certificate states, or the last one that was reviewed."""
    certificate = Certificate.objects.filter(pk=enquiry.certificate).first()
    number = certificate.worksheet if certificate else ""
    rows = Assay.objects.filter(about=enquiry.about, kind="standardisation").exclude(stage=VOID)
    found = rows.filter(pk=number).first() if number else (
        rows.filter(stage=REVIEWED).order_by("performed", "identity").last())
    return Refusal.unless(found, "no standardisation of it has been reviewed", where=f"solution {enquiry.about}",
                          remedy="answer when one has")
