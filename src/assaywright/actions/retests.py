"""A second result of a lot: only as a retest that was authorised by plan, which it names; the first result stays."""

import json

from assaywright.metrology.refusal import Refusal
from assaywright.records.investigated import authorised_now, begun_under, entered_under, standing
from assaywright.records.models import Assay, Determination, Event, Lot, Person
from assaywright.records.models.assays import VOID
from assaywright.records.specified import specified_of


def concluded_before(about: str, method: str, kind: str) -> Assay | None:
    """Return the assay of a lot by the same method that is on record and not void, or None; a titrated one first.

    A standardisation may always be repeated: several values of a titrant are compared before one is used.
    """
    if kind != "assay" or not about:
        return None
    found = Assay.objects.filter(about=about, method=method, kind=kind).exclude(stage=VOID).order_by("version")
    titrated = Determination.objects.values("assay")
    return found.filter(pk__in=titrated).first() or found.first()


def demand_beginning(about: str, method: str) -> None:
    """Refuse a lot's assay that could not be begun now, as beginning it would.

    Raises:
        Refusal: it is assayed by the method already, and no retest is authorised or it has been begun.
    """
    if (before := concluded_before(about, method, "assay")) is not None:
        authorisation(about, method, before)


def authorisation(about: str, method: str, before: Assay) -> Event:
    """Return the event that authorised a retest which nobody has begun yet.

    Raises:
        Refusal: no retest of the lot is authorised, its worksheet has been begun, or an investigation has let the
            first result stand.
    """
    _not_standing(about, _titrated_by(about, method))
    event = authorised_now(about)
    if event is None:
        raise Refusal(f"the lot {about} is assayed by this method in {before.identity}, and no retest is authorised",
                      where=f"lot {about}",
                      remedy="go on there, or have it declared void if it was begun by mistake; a result outside its "
                             "limits asks for a hold, the check list and an authorised retest")
    if begun := _begun_under(event, method):
        raise Refusal(f"the retest that was authorised is {begun}", where=f"lot {about}", remedy="go on there")
    return event


def retest_of_entry(entered_in: Lot, name: str) -> Event:
    """Return the event that authorised a retest of an entered characteristic which nobody has entered yet.

    Raises:
        Refusal: no retest of the lot is authorised, it is entered, or an investigation has let the first result stand.
    """
    identity = entered_in.identity
    _not_standing(identity, {name})
    event = authorised_now(identity)
    if event is None:
        raise Refusal(f"the lot {identity} is on hold, and no retest is authorised", where=f"lot {identity}",
                      remedy="go through the check list and have a retest authorised first")
    if any(one.name == name for one in entered_under(event)):
        raise Refusal(f"the retest of {name} that was authorised is entered already", where=f"lot {identity}",
                      remedy="have it checked, and conclude the investigation")
    return event


def _begun_under(event: Event, method: str) -> str:
    """Return the worksheet that was begun by a method under an authorisation, or an empty text."""
    return next((one.identity for one in begun_under(event) if one.method == method), "")


def _titrated_by(about: str, method: str) -> set[str]:
    """Return the names of the characteristics of a lot that a method assays."""
    lot = Lot.objects.filter(pk=about).first()
    return {str(one["name"]) for one in (specified_of(lot) if lot else ()) if one.get("method") == method}


def _not_standing(about: str, names: set[str]) -> None:
    if decided := names & standing(about):
        raise Refusal(f"an investigation has let the first result of {' and '.join(sorted(decided))} stand",
                      where=f"lot {about}", remedy="have the lot rejected; once it is adjusted it is a lot of its own")


def said_of_retest(before: Assay, authorised: Event) -> str:
    """Return what a retest's worksheet says of itself."""
    person = Person.objects.filter(pk=authorised.by).first()
    plan = json.loads(authorised.payload)["plan"]
    return (f"retest of {before.identity}, authorised by {person.name if person else authorised.by} "
            f"(event {authorised.number}): {plan}")
