"""The working as a document: what was given, every line of the calculation, scatter, budget, remarks and result."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from assaywright import __version__
from assaywright.assay.accepted import AcceptedIrregularity, standing
from assaywright.assay.labelled import Labelled
from assaywright.assay.plain_words import plain_words
from assaywright.assay.result import BudgetLine, DeterminationResult, Outcome
from assaywright.assay.wording import (
    written_coverage,
    written_date,
    written_degrees_of_freedom,
    written_factor,
    written_figures,
    written_number,
)
from assaywright.metrology.remarks import Remark
from assaywright.metrology.rounding import decimal_of_result, plain, round_to_places
from assaywright.metrology.working import Given, Line, Working

FORMAT = "assaywright working 1"
THIN_SPACE = "\u2009"
CHECKING = ("I have recalculated this working from the readings, followed each line, and compared it with the original "
            "record.")


@dataclass(frozen=True, slots=True)
class StatedResult:
    """One result as printed, with the coverage of its expanded uncertainty and, for a titrant, its factor."""

    measurand: str
    value: str
    uncertainty: str
    unit: str
    coverage: str
    factor: str


@dataclass(frozen=True, slots=True)
class Calculation:
    """The calculation of one result, each line as carried on."""

    measurand: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Replicate:
    """One determination as printed; ``excluded`` holds the reason when it does not count."""

    label: str
    titre: str
    value: str
    analyst: str
    excluded: str


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One line of the budget as printed: what it is, what it adds [unit of the result], its share of the variance."""

    influence: str
    standard_uncertainty: str
    sensitivity: str
    contribution: str
    share: str
    degrees_of_freedom: str
    distribution: str


@dataclass(frozen=True, slots=True)
class RemarkRow:
    """One remark as printed."""

    severity: str
    where: str
    what: str
    remedy: str


@dataclass(frozen=True, slots=True)
class WorkingDocument:
    """Everything the written-out working says.

    Fields:
        day: on which the worksheet was performed, as year-month-day.
        results: the first is the worksheet's own.
        released: whether nothing holds the result back.
        given: the inputs of all results.
        calculations: one for each result, in the order of ``results``.
        scatter, simulation, decision: sentences.
        combined: standard uncertainty of the result as printed, the budget's last line.
        checking: what the second person's signature means.
        accepted: irregularities that an authorised person let pass, with who and why.
        signatures: in the records, each with who, when and meaning what.
    """

    format: str
    title: str
    worksheet: str
    day: str
    identification: tuple[Labelled, ...]
    results: tuple[StatedResult, ...]
    released: bool
    given: tuple[Given, ...]
    calculations: tuple[Calculation, ...]
    replicates: tuple[Replicate, ...]
    replicate_unit: str
    scatter: tuple[str, ...]
    budget: tuple[BudgetRow, ...]
    combined: str
    combined_degrees_of_freedom: str
    budget_unit: str
    simulation: str
    decision: str
    remarks: tuple[RemarkRow, ...]
    analyst: str
    reviewer: str
    checking: str
    sha256: str
    software: str
    accepted: tuple[AcceptedIrregularity, ...] = ()
    signatures: tuple[str, ...] = ()


def working_document(outcome: Outcome, accepted: Iterable[AcceptedIrregularity] = (), signatures: Iterable[str] = (),
                     reviewer: str = "") -> WorkingDocument:
    """Return what the written-out working of a worksheet says, releasable or not.

    Arguments:
        accepted: irregularities that an authorised person let pass; those of other worksheets are left out.
        signatures: under the worksheet and what rests on it, each with who, when and meaning what.
        reviewer: who has signed as reviewer, where the records say so; else the worksheet does.
    """
    let_pass = standing(outcome.remarks, accepted)
    worksheet, estimate, workings = outcome.worksheet, outcome.result.estimate, outcome.workings
    day = date(worksheet.performed.year, worksheet.performed.month, worksheet.performed.day)
    return WorkingDocument(
        format=FORMAT, title=worksheet.title or outcome.method_title,
        worksheet=worksheet.identity, day=day.isoformat(),
        identification=_identification(outcome, day, reviewer or worksheet.reviewer),
        results=tuple(_stated(outcome, index) for index in range(len(outcome.results))),
        released=all(any(one.is_of(item) for one in let_pass) for item in outcome.remarks if item.holds),
        given=_all_given(workings), calculations=_calculations(outcome, workings),
        replicates=tuple(_replicate(item, _places(outcome) + 1) for item in outcome.determinations),
        replicate_unit=estimate.unit, scatter=_scatter(outcome),
        budget=tuple(_budget_row(item) for item in outcome.budget),
        combined=written_figures(estimate.standard_uncertainty, 3),
        combined_degrees_of_freedom=written_degrees_of_freedom(estimate.degrees_of_freedom), budget_unit=estimate.unit,
        simulation=_simulation(outcome), decision=_decision(outcome),
        remarks=tuple(_remark(item) for item in outcome.remarks), analyst=worksheet.analyst,
        reviewer=reviewer or worksheet.reviewer, checking=CHECKING, sha256=worksheet.digest,
        software=f"Assaywright {__version__}",
        accepted=tuple(one.on_paper() for one in let_pass), signatures=tuple(signatures))


def _identification(outcome: Outcome, day: date, reviewer: str) -> tuple[Labelled, ...]:
    worksheet = outcome.worksheet
    tested = f"{worksheet.sample.product}, lot {worksheet.sample.lot}" if worksheet.sample else worksheet.titrant.name
    rows = (("Worksheet", worksheet.identity), ("Method", f"{outcome.method_title}, edition {outcome.method_edition}"),
            ("Sample" if worksheet.sample else "Titrant", tested), ("Performed", written_date(day)),
            ("Analyst", worksheet.analysts), ("Reviewer", reviewer), ("Note", worksheet.note),
            *((f"Note on determination {one.label}", one.note) for one in worksheet.determinations))
    return tuple(Labelled(label, text) for label, text in rows if text)


def _stated(outcome: Outcome, index: int) -> StatedResult:
    result = outcome.results[index]
    value, uncertainty = written_factor(result)
    return StatedResult(result.measurand, written_number(result.value_text), written_number(result.uncertainty_text),
                        result.estimate.unit, written_coverage(result), f"f = {value} ± {uncertainty}" if value else "")


def _places(outcome: Outcome) -> int:
    return len(outcome.result.value_text.partition(".")[2])


def _replicate(item: DeterminationResult, places: int) -> Replicate:
    titre = ""
    if item.titre_mL is not None:
        titre = f"{_fixed(item.titre_mL, 3)} mL"
    elif item.titre_g is not None:
        titre = f"{_fixed(item.titre_g, 4)} g"
    return Replicate(item.label, titre, _fixed(item.value, places), item.analyst, item.excluded)


def _fixed(number: float, places: int) -> str:
    return written_number(plain(round_to_places(decimal_of_result(number), places)))


def _scatter(outcome: Outcome) -> tuple[str, ...]:
    found, unit = outcome.statistics, outcome.result.estimate.unit
    counting = "1 determination counts" if found.number == 1 else f"{found.number} determinations count"
    first = f"{counting}; mean {_fixed(found.mean, _places(outcome) + 1)} {unit}"
    if found.standard_deviation is not None:
        first += f", standard deviation {written_figures(found.standard_deviation, 3)} {unit}"
    if found.relative_standard_deviation_percent is not None:
        first += f" ({written_figures(found.relative_standard_deviation_percent, 2)} %)"
    if found.range is not None:
        first += f", range {written_figures(found.range, 3)} {unit}"
    second = (f"Repeatability of the mean {written_figures(found.repeatability_of_mean, 3)} {unit}, "
              f"{written_degrees_of_freedom(found.repeatability_degrees_of_freedom)}: {found.repeatability_source}")
    return (f"{first}.", f"{second.rstrip('.')}.", *found.acceptance, *found.outlier_tests)


def _budget_row(item: BudgetLine) -> BudgetRow:
    known = item.standard_uncertainty
    uncertainty = "" if known is None else f"{written_figures(known, 3)} {item.unit}"
    return BudgetRow(
        item.influence, uncertainty.strip(), "" if item.sensitivity is None else written_figures(item.sensitivity, 4),
        written_figures(item.contribution, 3), _share(item.share),
        written_degrees_of_freedom(item.degrees_of_freedom).removeprefix("ν ").removeprefix("= "), item.distribution)


def _share(share: float) -> str:
    return "< 0.1 %" if 0 < share < 0.001 else f"{_fixed(100 * share, 1)} %"


def _all_given(workings: tuple[Working, ...]) -> tuple[Given, ...]:
    """Return the inputs of every result, each once."""
    return tuple(dict.fromkeys(_given(item) for working in workings for item in working.given))


def _calculations(outcome: Outcome, workings: tuple[Working, ...]) -> tuple[Calculation, ...]:
    """Return each result's lines, without those that stand already further up with the same figures."""
    latest: dict[str, Line] = {}
    calculations = []
    for result, working in zip(outcome.results, workings, strict=True):
        lines = []
        for line in working.lines:
            if latest.get(line.symbol) != line:
                lines.append(line)
            latest[line.symbol] = line
        calculations.append(Calculation(result.measurand, tuple(lines)))
    return tuple(calculations)


def _given(item: Given) -> Given:
    """Return an input as its row prints it: the number without the unit, which has a column of its own."""
    number, _, unit = item.value.partition("±")[0].strip().partition(" ")
    plain_number = unit.strip() in ("", item.unit)
    try:
        uncertainty = written_figures(float(item.uncertainty), 2)
    except ValueError:
        uncertainty = item.uncertainty
    return replace(item, value=number if plain_number else item.value, unit=item.unit if plain_number else "1",
                   uncertainty=uncertainty)


def _simulation(outcome: Outcome) -> str:
    found, unit = outcome.monte_carlo, outcome.result.estimate.unit
    if found is None:
        return ""
    low, high = (written_figures(end, 6) for end in found.interval)
    trials = f"{found.trials:,}".replace(",", THIN_SPACE)
    verdict = "agree within" if found.agrees else "differ by more than"
    return (f"Simulation with {trials} trials, seed {found.seed}: standard uncertainty "
            f"{written_figures(found.standard_uncertainty, 3)} {unit}, coverage interval {low} to {high} {unit}. Law "
            f"of propagation and simulation {verdict} {written_figures(found.numerical_tolerance, 2)} {unit}"
            f"{': ' + found.reason.rstrip('.') if found.reason else ''}.")


def _decision(outcome: Outcome) -> str:
    return outcome.decision.sentence if outcome.decision else ""


def _remark(item: Remark) -> RemarkRow:
    return RemarkRow(item.severity.value, *(plain_words(text) for text in (item.where, item.what, item.remedy)))
