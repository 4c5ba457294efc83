"""Replicates: their scatter, whether they may be averaged, and what repeatability adds to the mean's uncertainty."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assaywright.assay.method import AcceptanceRule, Method
from assaywright.assay.observations import Determination, Worksheet
from assaywright.assay.result import ReplicateStatistics
from assaywright.assay.troubles import remark
from assaywright.assay.wording import written_figures
from assaywright.metrology.acceptance import AcceptanceOutcome, accept
from assaywright.metrology.outliers import grubbs
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark
from assaywright.metrology.replicates import (
    PooledScatter,
    RepeatabilityTerm,
    compare_scatter,
    describe,
    repeatability_of_mean,
)

READING_AND_DROP = "reading and drop"


@dataclass(frozen=True, slots=True)
class Scatter:
    """The scatter of one measurand's determinations, with its part in the uncertainty of the mean.

    Fields:
        statistics: for the record.
        term: standard uncertainty of the mean from repeatability [unit of the result], its degrees of freedom, its
            basis.
        relative_percent: pooled relative standard deviation, when that was used [%]; else None.
    """

    statistics: ReplicateStatistics
    term: RepeatabilityTerm
    relative_percent: float | None


def pooled_percent(worksheet: Worksheet, method: Method) -> tuple[float, float, str]:
    """Return the pooled relative repeatability [%], its degrees of freedom and who states it."""
    own = worksheet.repeatability
    if own is not None:
        freedom = own.uncertainty.degrees_of_freedom if own.uncertainty else float("inf")
        return own.to("%"), freedom, "the laboratory's pooled repeatability"
    return (
        method.repeatability.pooled.to("%"),
        method.repeatability.degrees_of_freedom,
        f"the method's pooled repeatability ({method.repeatability.source})",
    )


def scatter(
    values: Sequence[float], unit: str, worksheet: Worksheet, method: Method, resolution: float,
    remarks: list[Remark], *, least: float = 0.0,
) -> Scatter:
    """Return the scatter of the determinations that count, with remarks on what is irregular about it.

    Arguments:
        values: of the determinations that count [unit].
        resolution: step in which the values move because of the readings [unit].
        least: standard uncertainty of one determination that reading and drop leave, where the titre is too small for
            a relative repeatability; zero elsewhere [unit].
    """
    described = describe(values)
    percent, freedom, source = pooled_percent(worksheet, method)
    pooled = PooledScatter(percent / 100 * abs(described.mean), freedom) if described.mean else None
    observed = worksheet.wanted.repeatability == "observed"
    if observed and described.n < 2:
        raise Refusal(
            "one determination shows no scatter of its own",
            where=f"{worksheet.path}: report, repeatability",
            remedy='ask for repeatability = "pooled", or titrate again',
        )
    if pooled is None and not observed:
        term = RepeatabilityTerm(0.0, freedom, "pooled repeatability")  # relative to nothing it is nothing
    else:
        term = repeatability_of_mean(values, None if observed else pooled, resolution=resolution)
    if not observed and least / math.sqrt(described.n) > term.standard_uncertainty:
        term = RepeatabilityTerm(least / math.sqrt(described.n), math.inf, READING_AND_DROP)
    remarks.extend(_scatter_remarks(values, unit, worksheet, method, pooled, term.basis))
    counted = [one for one in worksheet.determinations if not one.excluded]
    remarks.extend(_borrowed_repeatability(worksheet, method, observed=observed))
    acceptance = _acceptance(values, unit, counted, worksheet, method, remarks)
    outliers = _outliers(values, counted, worksheet, remarks)
    statistics = ReplicateStatistics(
        described.n,
        described.mean,
        described.standard_deviation,
        described.relative_standard_deviation_percent,
        described.range,
        source if not observed and term.basis != READING_AND_DROP else term.basis,
        term.standard_uncertainty,
        term.degrees_of_freedom,
        all(one.accepted for one in acceptance) if acceptance else None,
        tuple(f"{one.rule}: {one.sentence}" for one in acceptance),
        outliers,
    )
    return Scatter(statistics, term, None if observed else percent)


def _borrowed_repeatability(worksheet: Worksheet, method: Method, *, observed: bool) -> Iterator[Remark]:
    """Yield a remark when the uncertainty rests on a repeatability that the laboratory did not find itself."""
    if not observed and worksheet.repeatability is None:
        yield remark(
            "repeatability-not-your-own",
            f"the pooled repeatability of {method.repeatability.pooled.text} is the method file's starting figure "
            f"({method.repeatability.source})",
            worksheet.path,
            "put your laboratory's own in its place, with its degrees of freedom",
        )


def _scatter_remarks(
    values: Sequence[float], unit: str, worksheet: Worksheet, method: Method, pooled: PooledScatter | None, basis: str
) -> Iterator[Remark]:
    """Yield what is irregular about the scatter: hidden by coarse readings, above the pooled one, of too few values."""
    described = describe(values)
    if basis == "resolution":
        found = written_figures(described.standard_deviation or 0.0, 2)
        yield remark(
            "scatter-below-resolution",
            f"the determinations agree to the reading, s = {found} {unit}",
            worksheet.path,
            "read finer, or use the pooled repeatability",
        )
    compared = compare_scatter(values, pooled) if pooled is not None and described.n > 1 else None
    if compared is not None and not compared.consistent:
        yield remark(
            "scatter-above-pooled",
            f"s is {compared.ratio:.2f} times the pooled repeatability, at most {compared.limit:.2f} times is expected",
            worksheet.path,
            "look for the cause before the result is used",
        )
    if described.n < method.replicates:
        yield remark(
            "too-few-replicates",
            f"{_counting(described.n)} and the method asks for {method.replicates}",
            worksheet.path,
            "titrate the rest, or have it authorised with a reason",
        )


def _acceptance(
    values: Sequence[float],
    unit: str,
    counted: Sequence[Determination],
    worksheet: Worksheet,
    method: Method,
    remarks: list[Remark],
) -> list[AcceptanceOutcome]:
    """Return what the rules of acceptance found, the method's own first, then those that the worksheet asks for."""
    outcomes: list[AcceptanceOutcome] = []
    asked = (AcceptanceRule(one.rule, one.limit, "the worksheet") for one in worksheet.wanted.acceptance)
    for rule in (*method.acceptance, *asked):
        try:
            outcome = accept(
                rule.rule,
                values,
                unit=unit,
                analysts=[one.analyst or worksheet.analyst for one in counted],
                parameters=parameters_of(rule, worksheet, method),
            )
        except Refusal as refusal:
            remarks.append(
                remark(
                    "replicates-not-accepted",
                    f"the rule '{rule.rule}' cannot be applied: {refusal.what}",
                    worksheet.path,
                    refusal.remedy or "add determinations",
                )
            )
            continue
        if outcome in outcomes:
            continue
        outcomes.append(outcome)
        if not outcome.accepted and not _only_wants_more(outcome, len(values), method):
            remarks.append(_not_accepted(outcome, worksheet))
    return outcomes


def _only_wants_more(outcome: AcceptanceOutcome, n: int, method: Method) -> bool:
    """Whether nothing speaks against the determinations but their number, of which "too-few-replicates" tells."""
    return n < method.replicates and (outcome.value is None or outcome.value <= outcome.limit)


def _counting(n: int) -> str:
    return "1 determination counts" if n == 1 else f"{n} determinations count"


def _not_accepted(outcome: AcceptanceOutcome, worksheet: Worksheet) -> Remark:
    """Return the remark that a rule does not accept the determinations."""
    sentence = outcome.sentence.rstrip(".")
    told_already = not outcome.needs_more or "further needed" in sentence
    more = "" if told_already else f"; it asks for {outcome.needs_more} more"
    return remark(
        "replicates-not-accepted",
        f"{outcome.rule}: {sentence}{more}",
        worksheet.path,
        "titrate again, or look for the cause; no determination is left out by itself",
    )


def parameters_of(rule: AcceptanceRule, worksheet: Worksheet, method: Method) -> dict[str, float | int | str]:
    """Return a rule's parameters: its limit, the number of determinations, the repeatability it rests on."""
    limit = rule.limit.to("%") if rule.limit is not None else None
    if rule.rule == "range":
        parameters: dict[str, float | int | str] = {"determinations": max(2, method.replicates)}
        return parameters if limit is None else {**parameters, "limit_percent": limit}
    if rule.rule == "ISO 5725-6 critical range":
        return {
            "repeatability_percent": pooled_percent(worksheet, method)[0],
            "determinations": max(2, method.replicates),
        }
    if rule.rule == "Ph. Eur. RSD":
        parameters = {"determinations": max(2, method.replicates)}
        return parameters if limit is None else {**parameters, "limit_percent": limit}
    return {}


def _outliers(
    values: Sequence[float], counted: Sequence[Determination], worksheet: Worksheet, remarks: list[Remark]
) -> tuple[str, ...]:
    """Test for one outlier; it is told about and never removed."""
    if len(values) < 3 or max(values) == min(values):
        return ()
    outcome = grubbs(values)
    if outcome.flagged:
        label = counted[outcome.position].label
        remarks.append(
            remark(
                "possible-outlier",
                "Grubbs' test flags it",
                f"{worksheet.path}: determination {label}",
                "investigate; a flag is no reason to leave it out",
            )
        )
    return (outcome.sentence,)
