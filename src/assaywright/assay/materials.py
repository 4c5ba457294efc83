"""Reference materials and densities: certified content, basis, and what buoyancy needs to know."""

import math
from collections.abc import Iterator

from assaywright.assay.glass import edition, written_edition
from assaywright.assay.method import Reactant
from assaywright.assay.moments import last_day_of_use
from assaywright.assay.observations import ReferenceMaterial, Weighing, Worksheet
from assaywright.assay.result import ChainLink
from assaywright.assay.solution_remarks import incomplete_certificate
from assaywright.assay.solutions import certificate_link
from assaywright.assay.stated import stated_estimate
from assaywright.assay.troubles import remark
from assaywright.assay.wording import written_date
from assaywright.chemistry.formula import molar_mass, parse_formula
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

GREATEST_UNCERTAINTY_PERCENT = 1.0  # standard, of a primary standard's content; common practice, no source


def standard_content(
    standard: ReferenceMaterial, worksheet: Worksheet, remarks: list[Remark]
) -> tuple[Estimate, ChainLink]:
    """Return a reference material's certified content [%] and its node of the chain.

    A content above 100 % is used as certified (it may be a true result of the certification) and remarked on.
    """
    remarks.extend(_standard_remarks(standard, worksheet))
    _check_minimum(standard, worksheet, remarks)
    identity = edition(standard.certificate, "as stated")
    name = f"{standard.name} {standard.lot}".strip()
    key = influence_key("reference material", name, identity, "content")
    certificate = written_edition(standard.certificate, "as stated")
    estimate = stated_estimate(key, standard.content, "%", f"content of {standard.name}, {certificate}")
    valid = f"use before {written_date(standard.use_before)}" if standard.use_before else "no last day of use stated"
    below = certificate_link("certificate", standard.certificate, f"content {standard.content.text}")
    return estimate, ChainLink("reference material", name, standard.content.text, certificate, valid, (below,))


def _content_remarks(standard: ReferenceMaterial, where: str) -> Iterator[Remark]:
    """Yield what is irregular about a certified content: no uncertainty, a large one, more than 100 %."""
    if standard.content.uncertainty is None:
        yield remark(
            "content-without-uncertainty",
            f"no uncertainty is stated of the content of {standard.name}, {standard.content.text}",
            where,
            "copy it from the certificate, with its coverage factor",
        )
    elif standard.content.value and standard.content.uncertainty_in("%") > GREATEST_UNCERTAINTY_PERCENT:
        yield remark(
            "content-uncertainty-large",
            f"the content of {standard.name} is stated as {standard.content.text}, uncertain by more than "
            f"{GREATEST_UNCERTAINTY_PERCENT:g} %",
            where,
            "make sure that it was typed as certified",
        )
    if standard.content.value > 100:
        yield remark(
            "content-above-purity",
            f"the content of {standard.name} is certified as {standard.content.text}",
            where,
            "make sure that it was typed as certified; it is used as it stands",
        )


def _standard_remarks(standard: ReferenceMaterial, worksheet: Worksheet) -> Iterator[Remark]:
    """Yield what is irregular about a reference material: its date, its basis, a content above 100 %."""
    where, used = f"{worksheet.path}: standard", last_day_of_use(worksheet)
    last = min((day for day in (standard.use_before, standard.certificate.due) if day is not None), default=used)
    if used > last:
        yield remark(
            "reference-material-past-its-date",
            f"{standard.name} could be used until {written_date(last)} and was used on {written_date(used)}",
            where,
            "use a material in date, or have the use authorised with a reason",
        )
    certificate = standard.certificate
    if certificate.issued is not None and certificate.issued > used:
        yield remark(
            "calibrated-afterwards",
            f"certificate {certificate.identity} of {standard.name} is of {written_date(certificate.issued)} and it "
            f"was used on {written_date(used)}",
            where,
            "name the certificate that was in force on the day",
        )
    yield from incomplete_certificate(certificate, standard.name, where)
    if standard.basis == "dried" and not standard.dried:
        yield remark(
            "basis-unclear",
            f"the content of {standard.name} holds for dried material and no drying is recorded",
            where,
            "record how it was dried",
        )
    yield from _content_remarks(standard, where)


def standard_formula(
    standard: ReferenceMaterial, reactant: Reactant, worksheet: Worksheet, remarks: list[Remark]
) -> str:
    """Return the formula that a standard's content is expressed as: as stated, else as its name is known for.

    A formula other than the method's, be it only by water of crystallisation, is computed with and remarked on.

    Raises:
        Refusal: no formula is stated and the name is not known, or the formula cannot be read.
    """
    from assaywright.reference.tables import primary_standard

    where, formula = f"{worksheet.path}: standard", standard.formula
    remarks.extend(_named_otherwise(standard, where))
    try:
        formula = formula or primary_standard(standard.name).formula
    except Refusal:
        raise Refusal(
            f"nothing tells the formula of '{standard.name}'",
            where=where,
            remedy='give formula = "...", or a name that the program knows',
        ) from None
    try:
        same = parse_formula(formula).is_same_entity(parse_formula(reactant.formula))
    except Refusal as refusal:
        raise refusal.at(where) from None
    if not same:
        ratio = molar_mass(formula).value / molar_mass(reactant.formula).value
        remarks.append(
            remark(
                "standard-of-another-kind",
                f"{standard.name} counts as {formula}, with {ratio:.4g} times the molar mass of the method's "
                f"{reactant.formula}",
                where,
                "name a method for this standard, or correct name and formula to what the certificate says",
            )
        )
    return formula


def _named_otherwise(standard: ReferenceMaterial, where: str) -> Iterator[Remark]:
    """Yield a remark for a formula that is not the one that the material's name is known for."""
    if known := known_otherwise(standard.name, standard.formula):
        yield remark(
            "standard-of-another-kind",
            f"{standard.name} is {known}, and {standard.formula} is stated",
            where,
            "correct name or formula to what the certificate says",
        )


def known_otherwise(name: str, formula: str) -> str:
    """Return the formula that a material's name is known for, where another is stated; else an empty text.

    Arguments:
        name: of the material; one that no table of primary standards holds is known for nothing.
        formula: as stated; an empty one, and one that cannot be read, contradicts nothing.
    """
    from assaywright.reference.tables import primary_standard

    try:
        known = primary_standard(name).formula
        same = not formula or parse_formula(formula).is_same_entity(parse_formula(known))
    except Refusal:
        return ""
    return "" if same else known


def _check_minimum(standard: ReferenceMaterial, worksheet: Worksheet, remarks: list[Remark]) -> None:
    """Remark on portions smaller than the certificate's smallest."""
    if standard.minimum_sample is None:
        return
    least = standard.minimum_sample.to("g")
    weighed = [("dilution", stage.portion) for stage in worksheet.dilutions[:1]]
    weighed = weighed or [(f"determination {one.label}", one.portion) for one in worksheet.determinations]
    for place, portion in weighed:
        net = net_reading_g(portion.mass) if portion.mass else least
        if net < least:
            remarks.append(
                remark(
                    "below-minimum-sample",
                    f"{net:.4f} g of {standard.name} was taken, the certificate asks for "
                    f"{standard.minimum_sample.text} at least",
                    f"{worksheet.path}: {place}",
                    "take a larger portion",
                )
            )


def net_reading_g(weighing: Weighing) -> float:
    """Return the difference of a weighing's readings, in decimal so that 0.7740 g is not less than 0.7740 g [g]."""
    if weighing.net is not None:
        return weighing.net.to("g")
    gross = Refusal.unless(weighing.gross, "a weighing has neither a gross nor a net reading", remedy="give one")
    tare = Refusal.unless(weighing.tare, "a weighing has a gross reading and no tare", remedy="give the tare")
    if gross.unit == tare.unit:
        return Quantity(gross.value - tare.value, gross.unit, gross.text).to("g")
    return gross.to("g") - tare.to("g")


def standard_density(standard: ReferenceMaterial, worksheet: Worksheet, remarks: list[Remark]) -> Estimate | None:
    """Return the density of a weighed standard [kg/m³], or None where its content refers to the mass in air."""
    if standard.weighed_as == "in air":
        return None
    if standard.density is not None:
        return _density(standard.density, standard.name, 0.01)
    from assaywright.reference.tables import primary_standard

    try:
        known = primary_standard(standard.name).density
    except Refusal:
        known = None
    if known is None:
        remarks.append(
            remark(
                "density-missing",
                f"the density of {standard.name} is not known",
                f"{worksheet.path}: standard",
                'give density = "1.636 g/mL"',
            )
        )
        return None
    return known.estimate


def liquid_density(
    stated: Quantity | tuple[tuple[Quantity, Quantity], ...] | None,
    what: str,
    worksheet: Worksheet,
    remarks: list[Remark],
) -> Estimate | None:
    """Return the density of a liquid [kg/m³], or None with a remark when it is not known."""
    if isinstance(stated, tuple):
        stated = stated[0][1] if stated else None
    if stated is None:
        remarks.append(
            remark(
                "density-missing",
                f"the density of the {what} is not known, its mass is not corrected for the air's buoyancy",
                worksheet.path,
                'give density = "1.219 g/mL ± 0.001 g/mL, k = 2"',
            )
        )
        return None
    return _density(stated, f"{worksheet.identity} {what}", 0.0)


def _density(stated: Quantity, name: str, relative_half_width: float) -> Estimate:
    """Return a typed density [kg/m³].

    Without a stated uncertainty half the last typed digit bounds it, or a relative half width where that is wider.
    """
    value, uncertainty = stated.to("kg/m3"), stated.uncertainty_in("kg/m3")
    distribution = stated.uncertainty.distribution if stated.uncertainty else "rectangular"
    if not uncertainty:
        last_digit = abs(value / float(stated.value)) * stated.resolution / 2
        uncertainty = max(last_digit, value * relative_half_width) / math.sqrt(3.0)
    key = influence_key("density", name, stated.text, "density")
    return influence(
        key,
        value,
        uncertainty,
        "kg/m³",
        distribution=distribution,
        label=f"density of {name}",
        degrees_of_freedom=stated.uncertainty.degrees_of_freedom if stated.uncertainty else math.inf,
    )
