"""What the pages of a lot and of a certificate show of enquiries: those there are, and the form for a new one."""

from dataclasses import dataclass

from assaywright.assay.agree.finding import BLANKS
from assaywright.records.models import Certificate, Enquiry, Lot
from assaywright.records.selectors.enquiries import enquiries_about
from assaywright.records.specified import specified_of


@dataclass(frozen=True)
class Enquiring:
    """Enquiries about a lot or a certificate, and what its form lets one choose.

    Fields:
        names: of the characteristics of the lot; none of a titrant.
    """

    enquiries: tuple[Enquiry, ...] = ()
    names: tuple[str, ...] = ()
    blanks: tuple[str, ...] = BLANKS


def enquiring(about: str, certificate: str = "") -> Enquiring:
    """Return what a page shows of enquiries about a lot, or about a certificate where one is named."""
    return Enquiring(tuple(enquiries_about(certificate or about)), names_of(about, certificate))


def names_of(about: str, certificate: str = "") -> tuple[str, ...]:
    """Return the names of the characteristics of a lot, or of the lot of a certificate; none where it is no lot."""
    row = Certificate.objects.filter(pk=certificate).first() if certificate else None
    lot = Lot.objects.filter(pk=row.lot if row else about).first()
    if lot is None or (row is not None and row.worksheet):
        return ()
    return tuple(str(one["name"]) for one in specified_of(lot))
