"""What can be done about a certificate that states other figures than the records have now, as things stand."""

from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import evaluate_lot_record
from assaywright.records.limits import uninvestigated
from assaywright.records.models import Assay, Certificate, Lot, Solution
from assaywright.records.selectors.above import differing
from assaywright.records.titrants import titrant_lot

AMEND = "issue an amended certificate"


def advised(certificate: Certificate) -> str:
    """Return what is to be done about a certificate in force whose figures are no longer those on record."""
    held = _held_back(certificate)
    return f"an amended one is held back by {held}: judge it, or withdraw the certificate" if held else AMEND


def waits_once_released(lot: Lot) -> str:
    """Return what a released lot with a certificate waits for: an amended one, a judgement, or nothing: empty."""
    certificate = Certificate.objects.filter(lot=lot.identity, worksheet="", superseded_by="").last()
    if certificate is None or not differing(lot):
        return ""
    held = _held_back(certificate)
    return f"the judgement of {held}, or the withdrawal of its certificate" if held else "an amended certificate"


def _held_back(certificate: Certificate) -> str:
    """Return what holds back another certificate of the same, in words; an empty text where nothing does."""
    try:
        if certificate.worksheet:
            solution = Solution.objects.filter(pk=certificate.lot).first()
            assay = Assay.objects.filter(pk=certificate.worksheet).first()
            outcome = titrant_lot(solution, assay) if solution and assay else None
        else:
            lot = Lot.objects.filter(pk=certificate.lot).first()
            if lot is not None and (hidden := uninvestigated(lot)):
                return f"a result outside the limits that nobody has investigated ({', '.join(hidden)})"
            outcome = evaluate_lot_record(lot) if lot else None
    except Refusal as refusal:
        return refusal.what
    return f"“{outcome.holds[0].what}”" if outcome and outcome.holds else ""
