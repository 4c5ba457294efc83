"""The evaluation of a worksheet as a person reads it: result, determinations, budget, remarks, decision, chain."""

from collections.abc import Iterator

from assaywright.assay.result import BudgetLine, ChainLink, ConformityDecision, DeterminationResult, Outcome, Result
from assaywright.assay.wording import (
    refers_to_volume,
    written_coverage,
    written_date,
    written_factor,
    written_number,
    written_probability,
)
from assaywright.cli.figures import degrees_of_freedom, figures, fixed, per_cent, signed
from assaywright.cli.tables import Column, bar, drawn, heading, paragraph
from assaywright.metrology.refusal import placed
from assaywright.metrology.remarks import Remark

SMALL_SHARE = 0.0005
SEVERITIES = {"hold": 0, "question": 1, "note": 2}


def outcome_lines(outcome: Outcome, width: int) -> Iterator[str]:
    """Yield the lines that tell an outcome.

    Arguments:
        outcome: of a worksheet.
        width: of the terminal, in characters.
    """
    yield from title_lines(outcome, width)
    yield from heading("result")
    for result in outcome.results:
        yield from result_lines(result, width)
    yield from _determinations(outcome, width)
    yield from _budget(outcome, width)
    yield from remark_lines(outcome.remarks, width)
    if outcome.decision is not None:
        yield from heading("decision")
        yield from decision_lines(outcome.decision, width)
    elif outcome.worksheet.specification is not None:
        yield from heading("decision")
        name = outcome.worksheet.specification.characteristic
        yield from paragraph(f"none: {name} has no limit and is reported only", width)
    yield from _simulation(outcome, width)
    yield from heading("chain")
    yield from chain_lines(outcome.chain, width)
    yield ""
    yield from release_lines(outcome.remarks, width)


def title_lines(outcome: Outcome, width: int) -> list[str]:
    """Return what was evaluated."""
    sheet = outcome.worksheet
    what = f"{sheet.sample.product}, lot {sheet.sample.lot}" if sheet.sample else sheet.titrant.name
    parts = [f"worksheet {sheet.identity}", f"method {sheet.method}, edition {outcome.method_edition}",
             f"performed {written_date(sheet.performed)}", sheet.analyst]
    title = paragraph(sheet.title or outcome.method_title, width, first="")
    return [*title, *paragraph(what, width), *paragraph("; ".join(parts), width)]


def result_lines(result: Result, width: int) -> list[str]:
    """Return a result with its expanded uncertainty, what that means, and a titrant's factor."""
    unit = result.estimate.unit
    stated = f"{written_number(result.value_text)} {unit} ± {result.uncertainty_text} {unit}"
    lines = [*paragraph(f"{result.measurand}: {stated}", width)]
    at = f"; at {result.reference_temperature_degC:g} °C" if refers_to_volume(unit) else ""
    meaning = f"{written_coverage(result)}{at}"
    lines += paragraph(meaning, width, first="    ")
    factor, uncertainty = written_factor(result)
    if factor:
        lines += paragraph(f"factor {factor} ± {uncertainty}, actual over nominal concentration", width, first="    ")
    return lines


# --- determinations ---------------------------------------------------------------------------------------------------


def _determinations(outcome: Outcome, width: int) -> Iterator[str]:
    """Yield the table of determinations and what their scatter says."""
    yield from heading("determinations")
    found, result = outcome.statistics, outcome.result
    by_mass = any(one.titre_g is not None for one in outcome.determinations)
    several = len({one.analyst for one in outcome.determinations}) > 1
    columns = [Column("no."), Column("titre / g" if by_mass else "titre / mL", right=True),
               Column(f"value / {result.estimate.unit}", right=True), Column("deviation / %", right=True),
               *([Column("analyst", flexible=True)] if several else []), Column("left out because", flexible=True)]
    if not any(one.excluded for one in outcome.determinations):
        columns.pop()
    places = len(result.value_text.partition(".")[2]) + 1
    rows = [_determination(one, found.mean, places, several=several)[:len(columns)] for one in outcome.determinations]
    yield from drawn(columns, rows, width)
    yield from paragraph(_scatter(outcome, places), width)
    counted = f"repeatability of the mean {figures(found.repeatability_of_mean)} {result.estimate.unit}"
    yield from paragraph(f"{counted}, ν = {degrees_of_freedom(found.repeatability_degrees_of_freedom)}: "
                         f"{found.repeatability_source}", width)
    for sentence in (*found.acceptance, *found.outlier_tests):
        yield from paragraph(sentence, width)


def _determination(one: DeterminationResult, mean: float, places: int, *, several: bool) -> list[str]:
    titre = fixed(one.titre_g, 4) if one.titre_g is not None else fixed(one.titre_mL or 0.0, 3)
    deviation = signed(100 * (one.value - mean) / mean, 3) if mean else ""
    return [one.label, titre, fixed(one.value, places), deviation, *([one.analyst] if several else []), one.excluded]


def _scatter(outcome: Outcome, places: int) -> str:
    """Return mean and scatter in one sentence."""
    found, unit = outcome.statistics, outcome.result.estimate.unit
    parts = [f"n = {found.number}", f"mean {fixed(found.mean, places)} {unit}"]
    if found.standard_deviation is not None:
        parts.append(f"s = {figures(found.standard_deviation)} {unit}")
    if found.standard_deviation is not None and found.mean:
        parts.append(f"relative {figures(100 * found.standard_deviation / abs(found.mean), 2)} %")
    if found.range is not None:
        parts.append(f"range {figures(found.range)} {unit}")
    return ", ".join(parts)


# --- budget -----------------------------------------------------------------------------------------------------------


def _budget(outcome: Outcome, width: int) -> Iterator[str]:
    """Yield the budget, largest share first; what is very small is told together."""
    unit = outcome.result.estimate.unit
    yield from heading("budget")
    columns = [Column("influence", flexible=True), Column("u", right=True), Column("sensitivity", right=True),
               Column(f"contribution / {unit}", right=True), Column("ν", right=True), Column("share", right=True),
               Column("", spare=True)]
    large = [one for one in outcome.budget if one.share >= SMALL_SHARE]
    small = [one for one in outcome.budget if one.share < SMALL_SHARE]
    rows = [_budget_row(one) for one in large]
    if small:
        together = sum(one.contribution**2 for one in small) ** 0.5
        name = "1 smaller influence" if len(small) == 1 else f"{len(small)} smaller influences together"
        rows.append([name, "", "", figures(together), "", per_cent(sum(one.share for one in small)), ""])
    yield from drawn(columns, rows, width)
    estimate = outcome.result.estimate
    yield from paragraph(f"standard uncertainty {figures(estimate.standard_uncertainty)} {unit}, effective degrees of "
                         f"freedom {degrees_of_freedom(estimate.degrees_of_freedom)}", width)


def _budget_row(one: BudgetLine) -> list[str]:
    uncertainty = "" if one.standard_uncertainty is None else f"{figures(one.standard_uncertainty)} {one.unit}"
    return [one.influence, uncertainty.removesuffix(" 1"), figures(one.sensitivity), figures(one.contribution),
            degrees_of_freedom(one.degrees_of_freedom), per_cent(one.share), bar(one.share)]


# --- remarks, decision, simulation ------------------------------------------------------------------------------------


def remark_lines(remarks: tuple[Remark, ...], width: int) -> Iterator[str]:
    """Yield the remarks in the order of their severity, holds first, each with its severity as a word."""
    yield from heading("remarks")
    if not remarks:
        yield "  nothing irregular was found"
    for one in sorted(remarks, key=lambda remark: SEVERITIES[remark.severity.value]):
        text = f"{placed(one.where, one.what.rstrip('.'))}; {one.remedy.rstrip('.')}."
        yield from paragraph(text, width, first=f"  {one.severity.value.upper():<8}  ")


def release_lines(remarks: tuple[Remark, ...], width: int) -> list[str]:
    """Return whether a result may be released."""
    holds = sum(remark.holds for remark in remarks)
    if not holds:
        free = "Nothing holds this back from release; releasing it is for a person with that authority."
        return paragraph(free, width, first="", rest="  ")
    plural = "1 remark holds" if holds == 1 else f"{holds} remarks hold"
    return paragraph(f"Not releasable: {plural} it back until an authorised person has recorded why it may go.", width,
                     first="", rest="  ")


def decision_lines(decision: ConformityDecision, width: int) -> list[str]:
    """Return the decision with its rule and the risk it leaves."""
    lines = [*paragraph(decision.sentence, width), *paragraph(f"rule: {decision.rule}", width)]
    if decision.compared:
        lines += paragraph(f"compared: {decision.compared} with {decision.limits}", width)
    if decision.conformance_probability is not None:
        stated = written_probability(decision.conformance_probability)
        prior = f" ({decision.prior})" if decision.prior else ""
        lines += paragraph(f"probability of conformity: {stated}{prior}", width)
    for name, risk in (("consumer's", decision.global_consumer_risk), ("producer's", decision.global_producer_risk)):
        if risk is not None:
            lines += paragraph(f"global {name} risk: {written_probability(risk)}", width)
    return lines


def _simulation(outcome: Outcome, width: int) -> Iterator[str]:
    """Yield the simulated distribution beside the law of propagation."""
    found, unit = outcome.monte_carlo, outcome.result.estimate.unit
    if found is None:
        return
    yield from heading("simulation")
    low, high = (figures(end, 6) for end in found.interval)
    yield from paragraph(f"{found.trials} trials, seed {found.seed}: mean {figures(found.mean, 6)} {unit}, standard "
                         f"uncertainty {figures(found.standard_uncertainty)} {unit}, interval {low} to {high} {unit}",
                         width)
    verdict = "agrees" if found.agrees else "does not agree"
    reason = f": {found.reason.rstrip('.')}" if found.reason else ""
    tolerance = f"{figures(found.numerical_tolerance, 2)} {unit}"
    yield from paragraph(f"the law of propagation {verdict} with it within {tolerance}{reason}", width)


# --- chain ------------------------------------------------------------------------------------------------------------


def chain_lines(link: ChainLink, width: int) -> Iterator[str]:
    """Yield the traceability chain as an indented tree; what was drawn already is not drawn twice."""
    yield from _chain(link, width, "  ", "  ", set())


def _chain(link: ChainLink, width: int, first: str, rest: str, seen: set[ChainLink]) -> Iterator[str]:
    repeated = bool(link.rests_on) and link in seen
    seen.add(link)
    text = _link(link) + (" (as above)" if repeated else "")
    below = () if repeated else link.rests_on
    yield from paragraph(text, width, first=first, rest=rest + ("│  " if below else "   "))
    for number, one in enumerate(below, start=1):
        last = number == len(below)
        yield from _chain(one, width, rest + ("└─ " if last else "├─ "), rest + ("   " if last else "│  "), seen)


def _link(link: ChainLink) -> str:
    """Return one node in words."""
    text = f"{link.kind} {link.identity}"
    if link.statement:
        text += f": {link.statement}"
    if link.certificate:
        text += f" [{link.certificate}]"
    return text + (f" ({link.valid})" if link.valid else "")
