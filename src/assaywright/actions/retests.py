"""A second assay of a lot: only as a retest that was authorised by plan, which it names; the first result stays."""

import json

from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Assay, Determination, Event, Investigation, Person
from assaywright.records.projections.lots import RETEST


def concluded_before(about: str, method: str, kind: str) -> Assay | None:
    """Return the assay of a lot by the same method in which something was titrated already, or None.

    A standardisation may always be repeated: several values of a titrant are compared before one is used.
    """
    if kind != "assay" or not about:
        return None
    titrated = Determination.objects.values("assay")
    return Assay.objects.filter(about=about, method=method, kind=kind, pk__in=titrated).order_by("version").first()


def authorisation(about: str, method: str, before: Assay) -> Event:
    """Return the event that authorised a retest which nobody has begun yet.

    Raises:
        Refusal: no retest of the lot is authorised, or its worksheet has been begun.
    """
    investigation = Investigation.objects.filter(lot=about).order_by("id").last()
    event = Event.objects.filter(subject=about, kind="retest.authorised").order_by("number").last()
    if investigation is None or investigation.stage != RETEST or event is None:
        raise Refusal(f"the lot {about} is assayed by this method in {before.identity}, and no retest is authorised",
                      where=f"lot {about}",
                      remedy="go on there; a result outside its limits asks for a hold, the check list and an "
                             "authorised retest")
    if begun := _begun_under(event, about, method):
        raise Refusal(f"the retest that was authorised is {begun}", where=f"lot {about}", remedy="go on there")
    return event


def _begun_under(event: Event, about: str, method: str) -> str:
    """Return the worksheet that was begun under an authorisation, or an empty text."""
    for assay in Assay.objects.filter(about=about, method=method):
        begun = Event.objects.filter(subject=assay.identity, kind="assay.begun").first()
        if begun is not None and json.loads(begun.payload).get("authorised") == event.number:
            return assay.identity
    return ""


def said_of_retest(before: Assay, authorised: Event) -> str:
    """Return what a retest's worksheet says of itself."""
    person = Person.objects.filter(pk=authorised.by).first()
    plan = json.loads(authorised.payload)["plan"]
    return (f"retest of {before.identity}, authorised by {person.name if person else authorised.by} "
            f"(event {authorised.number}): {plan}")
