"""What is irregular about a worksheet: calibrations, weights, titres, exclusions, people. Nothing here is refused."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from assaywright.assay.glass import nominal_mL
from assaywright.assay.materials import net_reading_g
from assaywright.assay.moments import day_of, first_moment, last_day_of_use
from assaywright.assay.observations import Balance, Certificate, Specification, Thermometer, Vessel, Weighing, Worksheet
from assaywright.assay.result import ConformityDecision, Result
from assaywright.assay.troubles import remark
from assaywright.assay.wording import written_date, written_figures
from assaywright.metrology.remarks import Remark, Severity

LEAST_BURETTE_USE, GREATEST_BURETTE_USE = 0.30, 1.00  # USP <541>: 30 to 100 % of the burette's capacity
GREATEST_BLANK_SHARE = 1 / 3
GREATEST_RELATIVE_UNCERTAINTY = 0.20  # of a titration, k = 2: common practice, no source
ABOUT_EXCLUSION = ("determination-excluded", "excluded-without-name")

Instrument = Vessel | Balance | Thermometer


def irregularities(worksheet: Worksheet) -> Iterator[Remark]:
    """Yield a remark for everything irregular that the worksheet itself shows."""
    today = last_day_of_use(worksheet)
    begun = day_of(first_moment(worksheet))
    for kind, instrument in _instruments(worksheet):
        what = f"{kind} {instrument.identity}"
        where = f"{worksheet.path}: {_tables(instrument)}.{instrument.role}"
        yield from _overdue(instrument.certificate, what, today, where)
        yield from _calibrated_afterwards(instrument.certificate, what, begun, where)
        yield from _without_certificate(instrument, what, where)
        if isinstance(instrument, Balance):
            yield from _without_figures(instrument, what, where)
    if not worksheet.thermometers and any(one.delivery.temperature for one in worksheet.determinations):
        yield remark(
            "uncertified-instrument",
            "temperatures are recorded and no thermometer is described; ± 1 °C was assumed",
            f"{worksheet.path}: thermometers",
            "describe the thermometer with its certificate",
        )
    yield from _light_weighings(worksheet)
    yield from _exclusions(worksheet)
    analysts = {worksheet.analyst, *(one.analyst for one in worksheet.determinations),
                worksheet.blank.analyst if worksheet.blank is not None else ""}
    if worksheet.reviewer and worksheet.reviewer.strip().casefold() in {one.strip().casefold() for one in analysts}:
        yield remark(
            "reviewer-is-analyst",
            f"{worksheet.reviewer} reviews their own work",
            f"{worksheet.path}: reviewer",
            "have another person review it",
        )


def _overdue(certificate: Certificate | None, what: str, today: date, where: str) -> Iterator[Remark]:
    if certificate is not None and certificate.due is not None and today > certificate.due:
        yield remark(
            "calibration-overdue",
            f"the calibration of {what} was due by {written_date(certificate.due)} and it was used on "
            f"{written_date(today)}",
            where,
            "have it calibrated, or the use authorised with a reason",
        )


def _calibrated_afterwards(certificate: Certificate | None, what: str, begun: date, where: str) -> Iterator[Remark]:
    if certificate is not None and certificate.issued is not None and certificate.issued > begun:
        yield remark(
            "calibrated-afterwards",
            f"the certificate of {what} is of {written_date(certificate.issued)} and it was used on "
            f"{written_date(begun)}",
            where,
            "name the certificate that was in force on the day",
        )


def _without_certificate(instrument: Instrument, what: str, where: str) -> Iterator[Remark]:
    classed = isinstance(instrument, Vessel) and instrument.vessel_class and not instrument.corrections
    if instrument.certificate is None and not classed:
        yield remark(
            "uncertified-instrument",
            f"{what} has no certificate on record",
            where,
            "record its calibration certificate",
        )


def _without_figures(balance: Balance, what: str, where: str) -> Iterator[Remark]:
    if balance.readability is None and balance.linearity is None and balance.repeatability is None:
        yield remark(
            "balance-without-figures",
            f"nothing is stated of {what}, so that its weighings count as exact",
            where,
            "state readability, linearity and repeatability from its calibration certificate",
        )


def _instruments(worksheet: Worksheet) -> Iterator[tuple[str, Instrument]]:
    for vessel in worksheet.vessels:
        yield vessel.kind, vessel
    for balance in worksheet.balances:
        yield "balance", balance
    for thermometer in worksheet.thermometers:
        yield "thermometer", thermometer


def _tables(instrument: Instrument) -> str:
    return {Vessel: "vessels", Balance: "balances", Thermometer: "thermometers"}[type(instrument)]


def _weighings(worksheet: Worksheet) -> Iterator[tuple[str, Weighing]]:
    for one in worksheet.determinations:
        for weighing in (one.portion.mass, one.delivery.mass):
            if weighing is not None:
                yield f"determination {one.label}", weighing
    for stage in worksheet.dilutions:
        if stage.portion.mass is not None:
            yield "dilution", stage.portion.mass


def _light_weighings(worksheet: Worksheet) -> Iterator[Remark]:
    """Remark on net masses below the balance's minimum weight."""
    balances = {balance.role: balance for balance in worksheet.balances}
    for where, weighing in _weighings(worksheet):
        balance = balances.get(weighing.balance)
        net = net_reading_g(weighing)
        if balance is None or balance.minimum_weight is None:
            continue
        if net < balance.minimum_weight.to("g"):
            yield remark(
                "below-minimum-sample",
                f"{net:.4f} g was weighed on balance {balance.identity}, whose minimum weight "
                f"is {balance.minimum_weight.text}",
                f"{worksheet.path}: {where}",
                "weigh a larger portion",
            )


def _exclusions(worksheet: Worksheet) -> Iterator[Remark]:
    for one in worksheet.determinations:
        if one.excluded:
            where = f"{worksheet.path}: determination {one.label}"
            by = one.excluded_by or "nobody named"
            yield remark(
                "determination-excluded",
                f"left out of the mean by {by}: {one.excluded}",
                where,
                "see that the reason stands on record",
            )
            if not one.excluded_by:
                yield remark(
                    "excluded-without-name",
                    "a determination was left out and nobody is named",
                    where,
                    "give excluded_by",
                )


def not_counting(worksheet: Worksheet, remarks: Iterable[Remark]) -> tuple[Remark, ...]:
    """Return remarks with those that concern an excluded determination alone as notes: it does not count.

    That it was left out, and by whom, stays as it is.
    """
    places = {f"{worksheet.path}: determination {one.label}" for one in worksheet.determinations if one.excluded}
    return tuple(
        replace(one, severity=Severity.NOTE, what=f"{one.what}; the determination does not count")
        if one.where.split(", ")[0] in places and one.kind not in ABOUT_EXCLUSION else one for one in remarks)


def titre_remarks(
    worksheet: Worksheet, titres: Sequence[float], blank: float | None, *, by_mass: bool, back: bool
) -> Iterator[Remark]:
    """Yield remarks on the titres: how much of the burette they use, how large the blank is, whether anything is left.

    Arguments:
        titres: titrant delivered in each determination [mL or g].
        blank: subtracted from each [mL or g], or None.
        back: whether the titration is a back titration, whose blank may be larger than the titre.
    """
    vessels = {vessel.role: vessel for vessel in worksheet.vessels}
    for one, titre in zip(worksheet.determinations, titres, strict=True):
        if one.excluded:
            continue
        where = f"{worksheet.path}: determination {one.label}"
        vessel = vessels.get(one.delivery.burette)
        if not by_mass and vessel is not None and not back:
            use = titre / nominal_mL(vessel)
            if not LEAST_BURETTE_USE <= use <= GREATEST_BURETTE_USE:
                yield remark(
                    "outside-burette-range",
                    f"the titre of {titre:.2f} mL uses {100 * use:.0f} % of the burette",
                    where,
                    "size the portion so that 30 to 100 % of the burette is used (USP <541>)",
                )
        if blank is not None and not back and abs(blank) > GREATEST_BLANK_SHARE * titre:
            yield remark(
                "blank-large",
                f"the blank of {written_figures(blank, 3)} is more than a third of the titre of "
                f"{written_figures(titre, 3)}",
                where,
                "find out why the blank is so large",
            )
        if titre - (blank or 0.0) <= 0:
            yield _nothing_left(titre, blank, where, back=back)


def _nothing_left(titre: float, blank: float | None, where: str, *, back: bool) -> Remark:
    """Return the remark for a titration whose titrant found nothing to react with."""
    less = f" less the blank of {written_figures(blank, 3)}" if blank is not None else ""
    if back:
        what, remedy = "nothing was left of the reagent added", "add more reagent, or take a smaller portion"
    else:
        what, remedy = "that is no titration", "check readings and blank"
    if titre == 0 and blank is None and not back:
        return remark("net-volume-not-positive", "initial and final reading are the same, so nothing was delivered",
                      where, "enter the two readings, or leave it out of the mean with excluded and excluded_by")
    told = f"the titre of {written_figures(titre, 3)}{less} leaves nothing: {what}"
    return remark("net-volume-not-positive", told, where, remedy)


def result_remarks(
    worksheet: Worksheet, result: Result, values: Mapping[str, float], decision: ConformityDecision | None
) -> Iterator[Remark]:
    """Yield remarks on the result: an impossible content, one that is hardly known, a determination outside limits."""
    estimate = result.estimate
    yield from _hardly_known(worksheet, result)
    if estimate.value < 0:
        yield remark(
            "negative-content",
            f"the result is {written_figures(estimate.value)} {estimate.unit}",
            worksheet.path,
            "check readings, blank and the sign of the back titration",
        )
    if estimate.unit == "% w/w" and estimate.value > 100:
        yield remark(
            "content-above-purity",
            f"the result is {written_figures(estimate.value, 5)} % w/w",
            worksheet.path,
            "check the equivalents and the species it is expressed as",
        )
    if worksheet.specification is not None:
        yield from _decision_remarks(worksheet, worksheet.specification, estimate.unit, values, decision)


def _hardly_known(worksheet: Worksheet, result: Result) -> Iterator[Remark]:
    """Yield the remark that the uncertainty is larger than the value, or a large part of it."""
    value, uncertainty = abs(result.estimate.value), result.expanded_uncertainty
    if uncertainty <= GREATEST_RELATIVE_UNCERTAINTY * value:
        return
    what = ("the uncertainty is larger than the value" if uncertainty > value else
            f"the uncertainty is {written_figures(100 * uncertainty / value, 2)} % of the value")
    yield remark("uncertainty-large", f"{what}: ±{written_figures(uncertainty, 2)} {result.estimate.unit} of "
                 f"{written_figures(result.estimate.value, 3)} {result.estimate.unit}", worksheet.path,
                 "check readings and blank")


def _decision_remarks(
    worksheet: Worksheet, specification: Specification, unit: str, values: Mapping[str, float],
    decision: ConformityDecision | None,
) -> Iterator[Remark]:
    """Yield remarks on the decision: none for want of a limit, an adverse one, a determination outside the limits."""
    if decision is None:
        yield remark(
            "specification-without-limit",
            f"{specification.characteristic} has neither a lower nor an upper limit, so it is reported only",
            f"{worksheet.path}: specification",
            "give the limit if one is agreed on",
        )
        return
    if decision.decision != "conforms":
        yield remark(
            "out-of-specification",
            decision.sentence.rstrip("."),
            worksheet.path,
            "hold the lot and investigate; the first result is never averaged away",
        )
        return
    outside = _outside(specification, unit, values)
    if outside:
        yield remark(
            "determination-outside-limits",
            f"the mean lies within the limits, determination {outside} does not",
            worksheet.path,
            "look into it before release",
        )


def _outside(specification: Specification, unit: str, values: Mapping[str, float]) -> str:
    """Return the labels of the determinations that lie outside the limits."""
    lower, upper = (
        limit.to(unit) if limit is not None else None for limit in (specification.lower, specification.upper)
    )
    found = [
        label
        for label, value in values.items()
        if (lower is not None and value < lower) or (upper is not None and value > upper)
    ]
    return ", ".join(found)
