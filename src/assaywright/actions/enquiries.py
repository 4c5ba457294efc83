"""Enquiries: a customer does not find our figure; what they found and how is taken down, and somebody answers."""

from collections.abc import Mapping

from django.db import transaction

from assaywright.actions.equipment import IN_CHARGE, WORKERS
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed, past_day
from assaywright.actions.repeated import repeatable
from assaywright.assay.agree.finding import FIELDS, finding
from assaywright.metrology.refusal import Refusal
from assaywright.records import days
from assaywright.records.log import append
from assaywright.records.models import Certificate, Enquiry, Event, Head, Lot, Solution
from assaywright.records.models.enquiries import OPEN, WITHDRAWN
from assaywright.records.specified import specified_of

LOT, SOLUTION = "lot", "solution"
MOST_OF_A_YEAR = 100_000


def enquiry(identity: str) -> Enquiry:
    """Return an enquiry.

    Raises:
        Refusal: there is none of that number.
    """
    return Refusal.unless(Enquiry.objects.filter(pk=identity).first(), f"there is no enquiry {identity}",
                          where="number", remedy="look at the list of enquiries")


@repeatable
def enquiry_open(
    *, about: str, asked_by: str, received: str, fields: Mapping[str, str], by: str, certificate: str = "",
    characteristic: str = "", act: str = "",
) -> Event:
    """Take down what a customer asks who does not find our figure.

    Arguments:
        about: number of the lot, or of the titrant whose certificate it is; the certificate's own where it is empty.
        asked_by: the customer. received: day, year-month-day.
        fields: what they found and how, by the names of FIELDS; what they did not tell is left out.
        characteristic: of the lot, whose figure it is about; its first titrated one where it is empty.

    Raises:
        Refusal: no such lot, certificate or characteristic, no figure, one that cannot be read, or ``by`` may not.
    """
    demand(by, *WORKERS)
    if act and (before := Event.objects.filter(act=act, by=by, kind="enquiry.opened").first()) is not None:
        return before
    certificate, about, of = _concerned(certificate.strip(), about.strip())
    told = {name: " ".join(fields[name].split()) for name in FIELDS if fields.get(name, "").strip()}
    finding(told)
    payload = {
        "about": about, "of": of, "certificate": certificate, "fields": told,
        "asked_by": needed(asked_by, "the customer", "customer"), "received": past_day(received, "received on"),
        "characteristic": _characteristic(about, characteristic.strip()) if of == LOT else ""}
    with transaction.atomic():
        Head.objects.select_for_update().get(pk=Head.ONLY)  # nobody else takes the same number meanwhile
        return append("enquiry.opened", subject=_next(), by=by, act=act, payload=payload)


@repeatable
def enquiry_reply(
    *, identity: str, reply: str, by: str, on: str = "", expected: int | None = None, act: str = "",
) -> Event:
    """Answer an enquiry, or correct an answer by a further one; nothing is overwritten.

    Arguments:
        reply: as it goes out. on: day on which it does, year-month-day; today where it is empty.

    Raises:
        Refusal: no such enquiry, it was withdrawn, an empty reply, a day before it was received, or ``by`` may not.
    """
    demand(by, *IN_CHARGE)
    found = enquiry(identity)
    if found.state == WITHDRAWN:
        raise Refusal(f"the enquiry {identity} was withdrawn", where="enquiry", remedy="take it down anew")
    on = past_day(on, "answered on") if on.strip() else days.today().isoformat()
    if on < found.received:
        raise Refusal(f"{on} lies before the day on which it was received, {found.received}", where="answered on",
                      remedy="check the two days")
    return append("enquiry.replied", subject=identity, by=by, act=act, expected=expected, seen=found.version,
                  payload={"reply": needed(reply, "the reply", "reply"), "on": on})


@repeatable
def enquiry_withdraw(*, identity: str, reason: str, by: str, expected: int | None = None, act: str = "") -> Event:
    """Withdraw an enquiry that was taken down by mistake, or that the customer takes back; it stays on record.

    Raises:
        Refusal: no such enquiry, it is not open, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    found = enquiry(identity)
    if found.state != OPEN:
        raise Refusal(f"the enquiry {identity} is {found.state}", where="enquiry",
                      remedy="an answer is corrected by a further one")
    return append("enquiry.withdrawn", subject=identity, by=by, act=act, expected=expected, seen=found.version,
                  reason=needed(reason, "the reason", "reason"), payload={})


# --- what it is about -------------------------------------------------------------------------------------------------


def _concerned(certificate: str, about: str) -> tuple[str, str, str]:
    """Return the certificate, the number of what it is about, and whether that is a lot or a solution."""
    if certificate:
        found = Refusal.unless(Certificate.objects.filter(pk=certificate).first(),
                               f"there is no certificate {certificate[:60]}", where="certificate",
                               remedy="check its number, or leave it out and name the lot")
        if about and about != found.lot:
            raise Refusal(f"the certificate {certificate} is of {found.lot}, not of {about[:60]}", where="certificate",
                          remedy="check both numbers")
        return certificate, found.lot, SOLUTION if found.worksheet else LOT
    about = needed(about, "the lot", "lot")
    if Lot.objects.filter(pk=about).exists():
        return "", about, LOT
    Refusal.unless(Solution.objects.filter(pk=about).first(), f"there is no lot {about[:60]}", where="lot",
                   remedy="ask the customer for the number on the label")
    return "", about, SOLUTION


def _characteristic(lot: str, name: str) -> str:
    specified = specified_of(Lot.objects.get(pk=lot))
    names = [str(one["name"]) for one in specified]
    if not name:
        titrated = [str(one["name"]) for one in specified if one.get("method")]
        return (titrated or names)[0]
    if name not in names:
        raise Refusal(f"the lot {lot} has no characteristic ‘{name[:60]}’", where="characteristic",
                      remedy=f"choose among {', '.join(names)}")
    return name


def _next() -> str:
    """Return the number of the next enquiry of this year, as E-26-00001."""
    year = f"E-{days.today():%y}-"
    last = Enquiry.objects.filter(pk__startswith=year).order_by("-pk").values_list("pk", flat=True).first()
    place = int(last.removeprefix(year)) + 1 if last else 1
    if place >= MOST_OF_A_YEAR:
        raise Refusal("there are no more numbers for enquiries this year", where="number", remedy="wait for the next")
    return f"{year}{place:05}"
