"""What a lot's own assay found: as stated, or by its worksheet, which has to be of this lot and this substance."""

from dataclasses import dataclass

from assaywright.assay.accepted import AcceptedIrregularity, let_pass
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


@dataclass(frozen=True, slots=True)
class OwnWorksheet:
    """The worksheet that a file names as the assay of a lot.

    Fields:
        named: path of the worksheet, as typed.
        named_in: the file that names it.
        lot: of which it has to be.
        where: field of the file that names it, for the sentences.
        done: what is to be done to the lot, for the sentences.
        accepted: irregularities of worksheet and lot that an authorised person let pass.
    """

    named: str
    named_in: str
    lot: str
    where: str = "assay"
    done: str = "adjusted"
    accepted: tuple[AcceptedIrregularity, ...] = ()


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
    own = OwnWorksheet(assay.worksheet, adjustment.head.path, adjustment.lot, accepted=assay.accepted)
    return by_worksheet(own, solute, opener)


def by_worksheet(own: OwnWorksheet, solute: Solute, opener: Opener) -> Estimate:
    """Return the content that a worksheet found, with all influences that it shares with other results.

    Arguments:
        own: the worksheet, and of what it has to be.
        solute: the substance of the lot.
        opener: returns the bytes of the worksheet.

    Returns: [unit of the worksheet's result]

    Raises:
        Refusal: a worksheet that is not there, is held back, or is of another lot or another substance.
    """
    path = resolve(own.named_in, own.named)
    try:
        data = opener(path)
    except OSError as problem:
        raise Refusal(f"the worksheet '{own.named}' is not there to be read", where=own.where,
                      remedy="correct the name, relative to this file") from problem
    worksheet = parse_worksheet(data, path)
    _check_lot(own, worksheet)
    outcome = evaluate_worksheet(worksheet, opener)
    _check_substance(own, solute, worksheet, outcome.result.estimate.unit, opener)
    if not outcome.releasable and not all(let_pass(one, own.accepted) for one in outcome.remarks if one.holds):
        raise Refusal(f"the result of '{own.named}' is held back, and no lot is {own.done} by it",
                      where=own.where, remedy="clear its remarks first")
    return outcome.result.estimate


def _check_lot(own: OwnWorksheet, worksheet: Worksheet) -> None:
    """Refuse the worksheet of another lot."""
    tested = worksheet.sample.lot if worksheet.sample else ""
    if worksheet.kind == "standardisation":
        tested = worksheet.titrant.lot
    if tested and tested != own.lot:
        raise Refusal(f"the worksheet '{own.named}' is of lot {tested}, and lot {own.lot} is to be {own.done}",
                      where=own.where, remedy="name the worksheet of this lot, or correct the lot number")


def _check_substance(own: OwnWorksheet, solute: Solute, worksheet: Worksheet, unit: str, opener: Opener) -> None:
    """Refuse the assay of another substance, or one expressed as another.

    A hydrate and its anhydrous salt are the same amount of substance, and not the same mass.
    """
    method = method_of(worksheet, Upstream(opener))
    found = worksheet.wanted.species or method.result.species or method.analyte.formula
    species = parse_formula(found)
    if species.is_same_entity(solute.formula) or (
            counts(unit) != "mass" and species.is_same_entity(solute.anhydrous)):
        return
    raise Refusal(f"the worksheet '{own.named}' states its result as {found}, and the lot is of "
                  f"{solute.name}, {solute.formula.text}", where=own.where,
                  remedy="name the worksheet of this substance, or correct substance")
