"""Every kind of event there is: what it is called, and what it says in one sentence.

A kind is never renamed and never taken away: old events must tell themselves for ever. A payload of another shape is a
new schema number of the kind.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EventKind:
    """One kind of event.

    Fields:
        sentence: what happened, with {subject} and {by} to be filled in.
        schema: number of the payload's present shape.
    """

    sentence: str
    schema: int = 1


EVENTS: dict[str, EventKind] = {
    # people
    "person.added": EventKind("{by} added {subject} to the laboratory's people"),
    "person.roles.changed": EventKind("{by} changed the roles of {subject}"),
    "person.link.made": EventKind("{by} made a link by which {subject} chooses a password"),
    "person.password.chosen": EventKind("{subject} has a new password"),
    "person.left": EventKind("{by} recorded that {subject} has left"),
    "signature.refused": EventKind("a signature in the name of {by} under {subject} was refused"),
    # what the laboratory works with
    "instrument.registered": EventKind("{by} registered {subject}"),
    "instrument.calibrated": EventKind("{by} entered a calibration of {subject}"),
    "instrument.checked": EventKind("{by} compared a calibration of {subject} with its certificate"),
    "instrument.withdrawn": EventKind("{by} withdrew {subject} from use"),
    "material.received": EventKind("{by} received the reference material {subject}"),
    "material.checked": EventKind("{by} compared what was entered of {subject} with its certificate"),
    "material.withdrawn": EventKind("{by} withdrew the reference material {subject}"),
    "method.adopted": EventKind("{by} adopted the method {subject}"),
    "solution.prepared": EventKind("{by} prepared the solution {subject}"),
    "solution.specified": EventKind("{by} stated what the certificate of the solution {subject} says"),
    "solution.verified": EventKind("{by} verified the solution {subject}"),
    "solution.discarded": EventKind("{by} discarded the solution {subject}"),
    # what it makes
    "product.defined": EventKind("{by} defined the product {subject}"),
    "product.revised": EventKind("{by} revised the product {subject}"),
    "lot.made": EventKind("{by} entered the lot {subject}", schema=2),
    "lot.amended": EventKind("{by} amended the heading of the lot {subject}"),
    "lot.respecified": EventKind("{by} applied another edition of the specification to the lot {subject}"),
    "lot.sampled": EventKind("{by} took a sample of the lot {subject}"),
    "bottle.opened": EventKind("{by} opened the bottle {subject}"),
    "characteristic.entered": EventKind("{by} entered a characteristic of the lot {subject}"),
    "characteristic.checked": EventKind("{by} checked what was entered of the lot {subject}"),
    "lot.held": EventKind("{by} put the lot {subject} on hold"),
    "investigation.concluded": EventKind("{by} concluded the investigation of the lot {subject}", schema=3),
    "retest.authorised": EventKind("{by} authorised a retest of the lot {subject}", schema=2),
    "remark.accepted": EventKind("{by} accepted an irregularity of {subject}"),
    "lot.released": EventKind("{by} released the lot {subject}", schema=2),
    "lot.rejected": EventKind("{by} rejected the lot {subject}"),
    "lot.recalled": EventKind("{by} recalled the lot {subject}"),
    # at the burette
    "assay.begun": EventKind("{by} began {subject}"),
    "assay.amended": EventKind("{by} amended the heading of {subject}"),
    "bench.checked": EventKind("{by} went through the checks before the titrations of {subject}"),
    "reading.kept": EventKind("{by} typed a reading of {subject}"),
    "question.confirmed": EventKind("{by} confirmed a reading of {subject} that was asked about"),
    "determination.recorded": EventKind("{by} recorded a determination of {subject}"),
    "determination.corrected": EventKind("{by} corrected a determination of {subject}"),
    "determination.excluded": EventKind("{by} excluded a determination of {subject} from the mean"),
    "determination.readmitted": EventKind("{by} took a determination of {subject} back into the mean"),
    "assay.sent": EventKind("{by} sent {subject} to review"),
    "assay.returned": EventKind("{by} sent {subject} back"),
    "assay.reviewed": EventKind("{by} reviewed and signed {subject}", schema=2),
    "assay.unsettled": EventKind("{subject} came back to be reviewed anew after a review by {by}"),
    "assay.reopened": EventKind("{by} reopened {subject}"),
    "assay.voided": EventKind("{by} declared {subject} void"),
    "assay.imported": EventKind("{by} imported {subject} from a worksheet file"),
    # what goes out
    "certificate.issued": EventKind("{by} issued the certificate {subject}", schema=2),
    "certificate.amended": EventKind("{by} issued the certificate {subject} in place of an earlier one", schema=3),
    "certificate.withdrawn": EventKind("{by} withdrew the certificate {subject}"),
    "accreditation.stated": EventKind("{by} stated what the accreditation {subject} covers"),
    # what customers ask
    "enquiry.opened": EventKind("{by} took down the enquiry {subject}"),
    "enquiry.replied": EventKind("{by} answered the enquiry {subject}"),
    "enquiry.withdrawn": EventKind("{by} withdrew the enquiry {subject}"),
    # what came from elsewhere
    "history.imported": EventKind("{by} imported unverified results from {subject}"),
    "file.attached": EventKind("{by} attached a file to {subject}"),
}


def sentence(kind: str, *, subject: str, by: str) -> str:
    """Return an event in one sentence."""
    return EVENTS[kind].sentence.format(subject=subject, by=by)
