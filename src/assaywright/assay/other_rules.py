"""The determinations of a worksheet held against every named rule of acceptance, side by side; it decides nothing.

What decides is the method's own rule and what the worksheet asks for besides (:mod:`assaywright.assay.statistics`).
One lot may be sold where other rules hold; here each rule says what it compares, its limit, and what it still lacks.
"""

from dataclasses import dataclass, replace

from assaywright.assay.method import AcceptanceRule, Method
from assaywright.assay.observations import Worksheet
from assaywright.assay.result import Outcome
from assaywright.assay.statistics import parameters_of, pooled_percent
from assaywright.assay.wording import written_figures, written_number
from assaywright.metrology.acceptance import ACCEPTANCE_RULES, MEDIAN, AcceptanceOutcome, accept
from assaywright.metrology.refusal import Refusal

RANGE, CRITICAL_RANGE, TWO_PERSONS = "range", "ISO 5725-6 critical range", "GB/T 601 two persons by four"
PHARMACOPOEIA = "Ph. Eur. RSD"
OF_TITRANTS = (TWO_PERSONS, PHARMACOPOEIA)  # GB/T 601-2016, 3.6, and Ph. Eur. 4.2.2 (both from memory)
DECIDES, ASKED, COMPARED = "the method's own rule: it decides", "asked for by the worksheet: it decides", ""
MET, NOT_MET, INCOMPLETE, NOT_APPLIED = "met", "not met", "incomplete", "cannot be applied"
SOURCES = {
    RANGE: "common practice, no source; the method states the limit",
    CRITICAL_RANGE: "ISO 5725-6:1994, 5.2 (from memory)",
    TWO_PERSONS: "GB/T 601-2016, 3.6 (from memory)",
    PHARMACOPOEIA: "Ph. Eur. 4.2.2, volumetric solutions (from memory)",
}


@dataclass(frozen=True, slots=True)
class Held:
    """The determinations held against one rule.

    Fields:
        rule: its name.
        standing: why it decides, in words; empty for a rule that is only compared.
        compares: the statistic in words.
        figure, limit: with their unit; empty where there is none.
        outcome: "met", "not met", "incomplete" or "cannot be applied".
        further: how many further determinations it asks for.
        note: what is missing, or what is to be known of its figures; may be empty.
        source: of the rule.
    """

    rule: str
    standing: str
    compares: str
    figure: str
    limit: str
    outcome: str
    further: int
    note: str
    source: str


def held_against(outcome: Outcome, method: Method) -> tuple[Held, ...]:
    """Return the determinations that count, of the main result, held against every rule: those that decide first.

    Arguments:
        outcome: of the worksheet.
        method: by which it was titrated; its repeatability and the number of its replicates serve every rule.
    """
    worksheet = outcome.worksheet
    deciding = [_held(one, DECIDES, outcome, method) for one in method.acceptance]
    asked = [_held(AcceptanceRule(one.rule, one.limit, ""), ASKED, outcome, method)
             for one in worksheet.wanted.acceptance]
    deciding += [one for one in asked if replace(one, standing=DECIDES) not in deciding]
    named = {one.rule for one in deciding}
    return (*deciding, *(_held(AcceptanceRule(name, None, ""), COMPARED, outcome, method)
                         for name in ACCEPTANCE_RULES if name not in named))


def _held(rule: AcceptanceRule, standing: str, outcome: Outcome, method: Method) -> Held:
    if rule.rule == RANGE and rule.limit is None:
        return _not_applied(rule, standing, "relative range",
                            "the rule has no limit of its own, and neither the method nor the worksheet states one")
    worksheet, counted = outcome.worksheet, [one for one in outcome.determinations if not one.excluded]
    try:
        found = accept(
            rule.rule, [one.value for one in counted], unit=outcome.result.estimate.unit,
            analysts=[one.analyst or worksheet.analyst for one in counted],
            parameters=parameters_of(rule, worksheet, method))
    except Refusal as refusal:
        return _not_applied(rule, standing, "", f"{refusal.what}; {refusal.remedy}" if refusal.remedy else refusal.what)
    unit = found.unit
    figure = "" if found.value is None else f"{written_figures(found.value, 3)} {unit}"
    return Held(rule.rule, standing, found.statistic, figure, f"{_plain(found.limit)} {unit}", _word(found),
                found.needs_more, _note(found, worksheet, method), rule.source or SOURCES[rule.rule])


def _not_applied(rule: AcceptanceRule, standing: str, compares: str, note: str) -> Held:
    return Held(rule.rule, standing, compares, "", "", NOT_APPLIED, 0, f"{note[:1].upper()}{note[1:]}.",
                rule.source or SOURCES[rule.rule])


def _word(found: AcceptanceOutcome) -> str:
    if found.accepted:
        return MET
    within = found.value is None or found.value <= found.limit
    return INCOMPLETE if found.needs_more and within else NOT_MET


def _note(found: AcceptanceOutcome, worksheet: Worksheet, method: Method) -> str:
    """Return what the figures alone do not say: every range of two persons, whose repeatability, what a rule is for."""
    notes = []
    if found.rule == TWO_PERSONS or found.value is None or found.quote == MEDIAN:
        notes.append(found.sentence)
    if found.rule == CRITICAL_RANGE:
        whose = "the laboratory's own" if worksheet.repeatability else ("the method file's starting figure; the "
                                                                        "laboratory's own is missing")
        notes.append(f"With s(r) = {_plain(pooled_percent(worksheet, method)[0])} %, {whose}.")
    if found.rule in OF_TITRANTS and worksheet.kind != "standardisation":
        notes.append("The rule is written for volumetric solutions, when they are standardised.")
    return " ".join(notes)


def _plain(number: float) -> str:
    return written_number(f"{number:.3g}")
