"""Blanks: what a titration without analyte uses, and how sure that is."""

import math
from collections.abc import Sequence

from assaywright.assay import glass
from assaywright.assay.bench_terms import Bench
from assaywright.assay.method import Method
from assaywright.assay.observations import Blank, Delivery, Worksheet
from assaywright.assay.solutions import SolutionInForce
from assaywright.assay.stated import stated_estimate
from assaywright.assay.terms import InputList, Scope, Term, numbered, shared
from assaywright.assay.troubles import remark
from assaywright.assay.wording import written_figures
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark
from assaywright.metrology.replicates import describe

# Two readings to 0.02 mL and the drop in which the blank's endpoint falls, all rectangular: common practice, no source.
READING_HALF_WIDTH_ML, DROP_HALF_WIDTH_ML = 0.01, 0.025


def blank_term(
    worksheet: Worksheet, method: Method, inputs: InputList, bench: Bench, remarks: list[Remark], *, by_mass: bool
) -> Term | None:
    """Return the term for the blank that is subtracted from every titre alike, or None when there is none.

    Its uncertainty is one and the same for all determinations.
    """
    blank = worksheet.blank
    where = f"{worksheet.path}: blank"
    if blank is None:
        if method.blank.required:
            remarks.append(
                remark(
                    "blank-missing",
                    f"the method asks for a {method.blank.kind} and there is none",
                    where,
                    "titrate one, or have its absence authorised with a reason",
                )
            )
        return None
    if method.blank.kind not in ("none", "", blank.kind):
        remarks.append(
            remark(
                "blank-not-of-the-method",
                f"the kind of blank is '{blank.kind}', the method's is '{method.blank.kind}'",
                where,
                "make sure that the right blank was titrated",
            )
        )
    unit = "g" if by_mass else "mL"
    estimate, source = blank_estimate(worksheet, blank, bench, unit, remarks)
    name = inputs.add("V_0", blank.kind, estimate, text=blank.volume.text if blank.volume else "", source=source)
    return lambda scope: scope.x[name]


def blank_estimate(
    worksheet: Worksheet, blank: Blank, bench: Bench, unit: str, remarks: list[Remark]
) -> tuple[Estimate, str]:
    """Return a blank [mL or g] and its source: a stated volume, or the mean of the day's titrations."""
    key = influence_key("worksheet", worksheet.identity, blank.kind, "blank")
    label = f"{blank.kind}, worksheet {worksheet.identity}"
    if blank.volume is not None:
        stated = blank.volume
        if unit != "mL":
            raise Refusal(
                f"the blank {stated.text} is a volume and the titrant is delivered by mass",
                where=f"{worksheet.path}: blank, volume",
                remedy='weigh the blank\'s titrant too, as titrations = [{ titrant_net = "0.05 g" }]',
            )
        return stated_estimate(key, stated, unit, label), "stated"
    volumes = [net_volume(delivery, bench, unit) for delivery in blank.deliveries]
    if not volumes:
        raise Refusal(
            "the blank has neither a volume nor titrations",
            where=f"{worksheet.path}: blank",
            remedy='give volume = "0.05 mL ± 0.02 mL, rectangular", or titrations',
        )
    value, uncertainty, freedom = mean_of_blanks(volumes)
    if len(volumes) == 1:
        remarks.append(_from_one_titration(uncertainty, worksheet))
    return influence(key, value, uncertainty, unit, degrees_of_freedom=freedom, label=label), "titrated"


def mean_of_blanks(volumes: Sequence[float]) -> tuple[float, float, float]:
    """Return mean, its standard uncertainty and degrees of freedom; never below what reading and drop allow.

    Returns: [mL], [mL], [1]
    """
    floor = math.sqrt((2 * READING_HALF_WIDTH_ML**2 + DROP_HALF_WIDTH_ML**2) / 3.0)
    statistics = describe(volumes)
    if statistics.standard_deviation is None:
        return statistics.mean, floor, math.inf
    observed = statistics.standard_deviation / math.sqrt(statistics.n)
    if observed < floor / math.sqrt(statistics.n):
        return statistics.mean, floor / math.sqrt(statistics.n), math.inf
    return statistics.mean, observed, statistics.n - 1


def net_volume(delivery: Delivery, bench: Bench, unit: str) -> float:
    """Return what was delivered by the readings, corrected by the scale's calibration [mL], or weighed out [g]."""
    if delivery.mass is not None:
        from assaywright.assay.materials import net_reading_g

        return net_reading_g(delivery.mass)
    if unit != "mL":
        raise Refusal(
            "the blank is read by volume and the titrant is delivered by mass",
            where=f"{bench.worksheet.path}: blank",
            remedy="weigh the blank's titrant too",
        )
    vessel = bench.vessel(delivery.burette)
    total = 0.0
    for filling in delivery.fillings:
        initial, final = filling.initial.to("mL"), filling.final.to("mL")
        total += (final + glass.scale_correction(vessel, final)) - (initial + glass.scale_correction(vessel, initial))
    return total


def likewise_term(
    worksheet: Worksheet, inputs: InputList, bench: Bench, titrant: SolutionInForce, remarks: list[Remark]
) -> Term:
    """Return the term for the mean of blanks titrated likewise, in a back titration [mL].

    Each is a delivery like any other, with the burette's own errors; what is random about them enters once, for their
    mean.
    """
    blank = Refusal.unless(worksheet.blank, "there is no blank", where=worksheet.path, remedy="titrate one")
    if not blank.deliveries or any(delivery.mass for delivery in blank.deliveries):
        raise Refusal(
            "a blank titrated likewise needs its burette readings",
            where=f"{worksheet.path}: blank",
            remedy="give titrations with initial and final",
        )
    terms = [
        _one_blank(delivery, bench, titrant, numbered(number)) for number, delivery in enumerate(blank.deliveries, 1)
    ]
    volumes = [net_volume(delivery, bench, "mL") for delivery in blank.deliveries]
    _, uncertainty, freedom = mean_of_blanks(volumes)
    if len(volumes) == 1:
        remarks.append(_from_one_titration(uncertainty, worksheet))
    key = influence_key("worksheet", worksheet.identity, blank.kind, "blank")
    name = inputs.add(
        "δV_B",
        "open effect of repeatability on the blank",
        influence(key, 0.0, uncertainty, "mL", degrees_of_freedom=freedom, label="repeatability of the blank"),
    )

    def term(scope: Scope) -> object:
        total: object = None
        for one in terms:
            value = one(scope)
            total = value if total is None else total + value
        mean = total / len(terms) if len(terms) > 1 else total  # type: ignore[operator]
        return scope.m.step("V_B", "titrant for the blank", mean + scope.x[name], "mL")

    return shared("V_B", term)


def _one_blank(delivery: Delivery, bench: Bench, titrant: SolutionInForce, mark: str) -> Term:
    """Return the term for one blank titrated likewise [mL]."""
    term = bench.delivered(delivery, titrant.law, titrant.reference_degC, f"_B{mark}", "titrant for the blank")
    return shared(f"V_B{mark}", term)


def _from_one_titration(uncertainty_mL: float, worksheet: Worksheet) -> Remark:
    """Return the remark that a single blank has no scatter of its own."""
    return remark(
        "blank-from-one-titration",
        f"one blank titration, u = {written_figures(uncertainty_mL, 2)} mL from reading and drop",
        f"{worksheet.path}: blank",
        "titrate two or more blanks",
    )
