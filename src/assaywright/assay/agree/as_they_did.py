"""Our worksheet as a customer may have worked it: one thing done otherwise, all else as it is."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

from assaywright.assay.observations import Delivery, Determination, Dilution, Filling, Portion, Solution, Worksheet
from assaywright.metrology.quantity import Quantity, StatedUncertainty

NO_UNCERTAINTY = StatedUncertainty(Decimal("1e-12"), "standard")  # a concentration as named, taken for exact


def at_temperature(worksheet: Worksheet, degrees: Quantity) -> Worksheet:
    """Return a worksheet whose volumes were all read at one temperature [°C]: the titrant's and the portions'."""
    dilution = worksheet.dilution
    return replace(worksheet, dilution=None if dilution is None else _diluted(dilution, degrees), determinations=tuple(
        replace(one, delivery=replace(one.delivery, temperature=degrees), portion=_pipetted(one.portion, degrees),
                excess=None if one.excess is None else _pipetted(one.excess, degrees),
                hydroxide=None if one.hydroxide is None else replace(one.hydroxide, temperature=degrees))
        for one in worksheet.determinations))


def _pipetted(portion: Portion, degrees: Quantity) -> Portion:
    return replace(portion, temperature=degrees) if portion.pipette else portion


def _diluted(dilution: Dilution, degrees: Quantity) -> Dilution:
    further = None if dilution.further is None else _diluted(dilution.further, degrees)
    return replace(dilution, portion=_pipetted(dilution.portion, degrees), temperature=degrees, further=further)


def delivered_less(worksheet: Worksheet, volume_mL: Decimal) -> Worksheet | None:
    """Return a worksheet each of whose determinations took so much less titrant [mL]; None where it is weighed out."""
    if any(not one.delivery.fillings for one in worksheet.determinations):
        return None
    return replace(worksheet, determinations=tuple(_less(one, volume_mL) for one in worksheet.determinations))


def _less(one: Determination, volume_mL: Decimal) -> Determination:
    hydroxide = None if one.hydroxide is None else _delivered(one.hydroxide, volume_mL)
    return replace(one, delivery=_delivered(one.delivery, volume_mL), hydroxide=hydroxide)


def _delivered(delivery: Delivery, volume_mL: Decimal) -> Delivery:
    *before, last = delivery.fillings
    final = last.final.value - (volume_mL if last.final.unit == "mL" else Decimal(0))
    lowered = Filling(last.initial, Quantity(final, last.final.unit, f"{final:f} {last.final.unit}"))
    return replace(delivery, fillings=(*before, lowered))


def weighed_in_air(worksheet: Worksheet) -> Worksheet | None:
    """Return a worksheet whose sample's weighings are not corrected for buoyancy; None where none is."""
    sample = worksheet.sample
    weighed = any(one.portion.mass for one in worksheet.determinations) or any(
        one.portion.mass for one in worksheet.dilutions)
    if sample is None or sample.density is None or not weighed:
        return None
    return replace(worksheet, sample=replace(sample, density=None))


def standard_weighed_in_air(worksheet: Worksheet) -> Worksheet:
    """Return a worksheet whose weighed standard is not corrected for buoyancy."""
    standard = worksheet.standard
    return worksheet if standard is None else replace(worksheet, standard=replace(standard, weighed_as="in air"))


def without_blank(worksheet: Worksheet) -> Worksheet | None:
    """Return a worksheet without its blank; None where it has none, or cannot do without."""
    if worksheet.blank is None or worksheet.blank.kind == "titrated likewise":
        return None
    return replace(worksheet, blank=None)


def by_nominal(worksheet: Worksheet) -> Worksheet | None:
    """Return a worksheet with its known solution at its nominal concentration; None where none is stated."""
    known = worksheet.against or (worksheet.titrant if worksheet.kind == "assay" else None)
    if known is None or known.nominal is None:
        return None
    nominal = replace(known.nominal, uncertainty=NO_UNCERTAINTY)
    told: Callable[[Solution], Solution] = lambda one: replace(  # noqa: E731
        one, worksheets=(), stored="", concentration=nominal)
    if worksheet.against is not None:
        return replace(worksheet, against=told(worksheet.against))
    return replace(worksheet, titrant=told(worksheet.titrant))
