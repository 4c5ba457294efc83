"""What would explain the difference: ranked causes, each with its size, and the one experiment that tells.

Each size is what our own worksheet would give with one thing done as the customer may have done it, by the very same
equation, less what it gives. What the customer told stands apart from what is guessed, and is worked out together as
well, by that equation once. No cause is claimed.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from assaywright.assay.agree import as_they_did
from assaywright.assay.agree.finding import NO_BLANK, SUBTRACTED, Finding
from assaywright.assay.agree.ourselves import Ours
from assaywright.assay.agree.reading import COUNTED_OTHERWISE, otherwise_counted, read_otherwise
from assaywright.assay.agree.size import Cause, cause
from assaywright.assay.evaluate import method_of
from assaywright.assay.glass import nominal_mL
from assaywright.assay.observations import Worksheet
from assaywright.assay.upstream import Upstream
from assaywright.assay.wording import refers_to_volume, written_figures
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

WARM_DEGC = Decimal(25)  # taken where the customer told no temperature; common practice, no source
DROP_ML = Decimal("0.05")  # of a burette; common practice, no source
CLASS_B = "ISO 385"
LEAST = 1e-9  # relative; below that a size is what rounding leaves


@dataclass(frozen=True, slots=True)
class Causes:
    """What would explain a difference.

    Fields:
        ranked: those guessed; whose size, with its sign, comes nearest to what is left of the difference first.
        left_out: what could not be computed, each in a sentence.
        told: those that the customer told, the largest first; one that moves nothing has the size 0.
        together: what all of these move theirs by, worked out together [unit of our result]; 0 where none was told.
        left: of the difference, what those told leave unexplained [unit of our result].
    """

    ranked: tuple[Cause, ...]
    left_out: tuple[str, ...]
    told: tuple[Cause, ...]
    together: float
    left: float

    @property
    def nearest(self) -> Cause | None:
        """The first one guessed that acts the way what is left lies; None where none does."""
        return next((one for one in self.ranked if one.size * self.left > 0), None)


def causes(ours: Ours, finding: Finding, difference: float) -> Causes:
    """Return what would explain a difference, theirs less ours [unit of our result].

    Of a cause that acts either way the sign of the difference is taken.
    """
    found, left_out = [], []
    for kind in KINDS:
        try:
            found += list(kind(ours, finding))
        except Refusal as refusal:
            left_out.append(refusal.what)
    told = sorted((one for one in found if one.told), key=lambda one: (-abs(one.size), one.words))
    together = 0.0
    try:
        together = _together(ours, finding, {one.code for one in told}) if told else 0.0
    except Refusal as refusal:
        left_out.append(f"what they told, together: {refusal.what}")
    left = difference - together
    sized = [one.directed(left) for one in found if not one.told and abs(one.size) > LEAST * abs(ours.value)]
    ranked = sorted(sized, key=lambda one: (abs(one.size - left), one.words))
    return Causes(tuple(ranked), tuple(dict.fromkeys(left_out)), tuple(told), together, left)


def _together(ours: Ours, finding: Finding, codes: set[str]) -> float:
    """Return what causes that they told move theirs by, done together on one worksheet [unit of our result]."""
    value = ours.as_if(_as_told(ours.worksheet, finding, codes))
    if finding.temperature is None or "temperature" not in codes:
        return value - ours.value
    sheet = _as_told(_expanding(ours)[0], finding, codes)
    at_reference, there = (ours.as_if(as_they_did.at_temperature(sheet, one))
                           for one in (_reference_of(ours), finding.temperature))
    return value * at_reference / there - ours.value


def _as_told(worksheet: Worksheet, finding: Finding, codes: set[str]) -> Worksheet:
    """Return a worksheet with the titrant, the blank and the reference temperature as they told."""
    sheet = (as_they_did.by_nominal(worksheet) if "factor" in codes else None) or worksheet
    sheet = (as_they_did.without_blank(sheet) if "blank" in codes else None) or sheet
    if finding.reference_temperature is not None and "reference" in codes:
        sheet = replace(sheet, wanted=replace(sheet.wanted, temperature=finding.reference_temperature))
    return sheet


# --- how it was titrated ----------------------------------------------------------------------------------------------


def _temperature(ours: Ours, finding: Finding) -> Iterator[Cause]:
    """Volumes read at another temperature than that of reference and not corrected: x/F, with F as we correct by."""
    reference, told = _reference_of(ours), finding.temperature is not None
    there = finding.temperature or _degrees(WARM_DEGC)
    sheet, expanding = _expanding(ours)
    at_reference, warm = (ours.as_if(as_they_did.at_temperature(sheet, one)) for one in (reference, there))
    words = f"their solutions at {there.to('°C'):g} °C, {'as they tell, if' if told else 'say, and'} the volumes"
    size = ours.value * (at_reference / warm - 1)
    yield cause("temperature", f"{words} were not corrected to {reference.to('°C'):g} °C{expanding}",
                size if abs(size) > LEAST * abs(ours.value) else 0.0, told=told)


def _expanding(ours: Ours) -> tuple[Worksheet, str]:
    """Return our worksheet with a law by which its pipetted sample expands, and that it is water's where it is."""
    sheet, sample = ours.worksheet, ours.worksheet.sample
    portions = [one.portion for one in sheet.determinations] + [one.portion for one in sheet.dilutions]
    pipetted = any(one.pipette for one in portions)
    if sample is None or not pipetted or sample.thermal or sample.densities:
        return sheet, ""
    if method_of(sheet, Upstream(ours.opener)).sample.thermal:
        return sheet, ""
    return replace(sheet, sample=replace(sample, thermal="water")), "; the sample taken to expand as water does"


def _reference(ours: Ours, finding: Finding) -> Iterator[Cause]:
    """A content by volume that refers to another temperature."""
    wanted = finding.reference_temperature
    if wanted is None or not refers_to_volume(ours.result.estimate.unit):
        return
    here = ours.result.reference_temperature_degC
    if wanted.to("°C") != here:
        yield cause("reference", f"their figure refers to {wanted.to('°C'):g} °C, as they tell, ours to {here:g} °C",
                    ours.as_if(ours.referred_to(wanted)) - ours.value, told=True)


def _buoyancy(ours: Ours, finding: Finding) -> Iterator[Cause]:
    taken_by_volume = finding.taken is not None and finding.taken.unit != "g"
    sheet = None if taken_by_volume else as_they_did.weighed_in_air(ours.as_worked)
    if sheet is not None:  # as it was worked, since another unit may need the density that is left out
        yield cause("buoyancy", "their sample weighed without correction for the air's buoyancy",
                    ours.value * (ours.as_if(sheet) / ours.as_if(ours.as_worked) - 1))
    other = as_they_did.standard_weighed_in_air(ours.worksheet)
    size = ours.as_if(other, Upstream(ours.opener, as_they_did.standard_weighed_in_air)) - ours.value
    which = "their standard" if ours.worksheet.standard else "the standard behind their titrant"
    yield cause("standard", f"{which} weighed without correction for the air's buoyancy", size)


def _blank(ours: Ours, finding: Finding) -> Iterator[Cause]:
    sheet, none = as_they_did.without_blank(ours.worksheet), finding.blank == NO_BLANK
    if sheet is not None and finding.blank != SUBTRACTED:
        words = "their blank left out, as they tell" if none else "their blank left out"
        yield cause("blank", words, ours.as_if(sheet) - ours.value, told=none)
    elif ours.worksheet.blank is None and none:
        yield cause("blank", "no blank, as they tell; ours has none either", 0.0, told=True)
    elif ours.worksheet.blank is None and finding.blank == SUBTRACTED:
        raise Refusal("a blank, which they subtract, and ours has none: they have to tell its volume")
    elif none:
        raise Refusal("no blank, as they tell, where our equation cannot do without one")


def _factor(ours: Ours, finding: Finding) -> Iterator[Cause]:
    sheet, told = as_they_did.by_nominal(ours.worksheet), finding.by_label
    if sheet is not None:
        words = f"the titrant taken at its nominal concentration{', as they tell' if told else ''}"
        yield cause("factor", f"{words}, its factor being like that of ours", ours.as_if(sheet) - ours.value, told=told)


def _burette(ours: Ours, _: Finding) -> Iterator[Cause]:
    drop = _delivered(ours, DROP_ML)
    if drop is None:
        return
    yield cause("drop", f"a whole drop beyond the endpoint, {DROP_ML} mL, on a titre like ours", drop)
    limit = _class_b(ours)
    if limit is not None:
        size = drop * limit / float(DROP_ML)
        yield cause("burette", f"their burette of class B at its limit, ±{written_figures(limit, 2)} mL", size,
                    either=True)


def _delivered(ours: Ours, volume_mL: Decimal) -> float | None:
    """Return what so much more titrant adds: near enough what so much less takes away, which stays on the scale."""
    sheet = as_they_did.delivered_less(ours.worksheet, volume_mL)
    return None if sheet is None else ours.value - ours.as_if(sheet)


def _class_b(ours: Ours) -> float | None:
    """Return the limit of error of a burette of class B of the size of ours [mL]; the wider where there are two."""
    from assaywright.reference.tables import tolerance

    role = ours.worksheet.determinations[0].delivery.burette
    vessel = next((one for one in ours.worksheet.vessels if one.role == role and "burette" in one.kind), None)
    if vessel is None:
        return None
    for division in (0.1, None):
        try:
            return float(tolerance(CLASS_B, "burette", "B", nominal_mL(vessel), graduation_mL=division).half_width_mL)
        except Refusal:
            continue
    return None


# --- how it was counted and stated ------------------------------------------------------------------------------------


def _stated(ours: Ours, _: Finding) -> Iterator[Cause]:
    yield from read_otherwise(ours)


def _counted(ours: Ours, _: Finding) -> Iterator[Cause]:
    if ours.result.estimate.unit in COUNTED_OTHERWISE:
        yield from otherwise_counted(ours)


def _reference_of(ours: Ours) -> Quantity:
    return _degrees(Decimal(str(ours.result.reference_temperature_degC)))


def _degrees(value: Decimal) -> Quantity:
    return Quantity(value, "°C", f"{value:f} °C")


KINDS: tuple[Callable[[Ours, Finding], Iterator[Cause]], ...] = (
    _temperature, _reference, _buoyancy, _blank, _factor, _burette, _stated, _counted)
