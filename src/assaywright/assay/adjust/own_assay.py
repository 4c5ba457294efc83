"""What the lot's own assay found: as stated, or by its worksheet, which has to be of this lot and this substance."""

from assaywright.assay.adjust.form import Adjustment
from assaywright.assay.evaluate import evaluate_worksheet, method_of
from assaywright.assay.observations import Worksheet
from assaywright.assay.prepare.contents import content_estimate
from assaywright.assay.upstream import Opener, Upstream, resolve
from assaywright.assay.worksheet import parse_worksheet
from assaywright.chemistry.content_units import counts
from assaywright.chemistry.formula import parse_formula
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate, influence_key
from assaywright.metrology.refusal import Refusal


def assayed(adjustment: Adjustment, solute: Solute, opener: Opener) -> Estimate:
    """Return the content that the assay of the lot found.

    Arguments:
        adjustment: as read.
        solute: the substance that the adjustment names.
        opener: returns the bytes of the worksheet that the assay names.

    Returns: [unit of the assay]

    Raises:
        Refusal: a worksheet that is not there, is held back, or is of another lot or another substance.
    """
    assay = adjustment.assay
    if assay.content is not None:
        key = influence_key("lot", adjustment.lot, "assay as stated", "content")
        return content_estimate(assay.content, key, f"assay of lot {adjustment.lot}")
    path = resolve(adjustment.head.path, assay.worksheet)
    try:
        data = opener(path)
    except OSError as problem:
        raise Refusal(f"the worksheet '{assay.worksheet}' is not there to be read", where="assay",
                      remedy="correct the name, relative to this file") from problem
    worksheet = parse_worksheet(data, path)
    _check_lot(adjustment, worksheet)
    outcome = evaluate_worksheet(worksheet, opener)
    _check_substance(adjustment, solute, worksheet, outcome.result.estimate.unit, opener)
    if not outcome.releasable:
        raise Refusal(f"the result of '{assay.worksheet}' is held back, and no lot is adjusted by it", where="assay",
                      remedy="clear its remarks first")
    return outcome.result.estimate


def _check_lot(adjustment: Adjustment, worksheet: Worksheet) -> None:
    """Refuse the worksheet of another lot."""
    tested = worksheet.sample.lot if worksheet.sample else ""
    if worksheet.kind == "standardisation":
        tested = worksheet.titrant.lot
    if tested and tested != adjustment.lot:
        raise Refusal(f"the worksheet '{adjustment.assay.worksheet}' is of lot {tested}, and lot {adjustment.lot} is "
                      "to be adjusted", where="assay",
                      remedy="name the worksheet of this lot, or correct the lot number")


def _check_substance(
    adjustment: Adjustment, solute: Solute, worksheet: Worksheet, unit: str, opener: Opener
) -> None:
    """Refuse the assay of another substance, or one expressed as another.

    A hydrate and its anhydrous salt are the same amount of substance, and not the same mass.
    """
    method = method_of(worksheet, Upstream(opener))
    found = worksheet.wanted.species or method.result.species or method.analyte.formula
    species = parse_formula(found)
    if species.is_same_entity(solute.formula) or (
            counts(unit) != "mass" and species.is_same_entity(solute.anhydrous)):
        return
    raise Refusal(f"the worksheet '{adjustment.assay.worksheet}' states its result as {found}, and the lot is of "
                  f"{solute.name}, {solute.formula.text}", where="assay",
                  remedy="name the worksheet of this substance, or correct substance")
