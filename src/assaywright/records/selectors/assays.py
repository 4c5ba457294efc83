"""An assay with its determinations, its result as it is now, its working, and what a reviewer looks at."""

import json
from dataclasses import dataclass, replace
from typing import Any

from assaywright.assay.asked import Asked, asked, handling_of
from assaywright.assay.bench.cautioned import hazard_words, of_strength
from assaywright.assay.method import Method
from assaywright.assay.other_rules import Held, held_against
from assaywright.assay.result import DeterminationResult, Outcome
from assaywright.assay.wording import written_number
from assaywright.assay.working_document import WorkingDocument, working_document
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import report
from assaywright.records.beginnings import early_remarks
from assaywright.records.behind import assay_with_remarks_behind
from assaywright.records.bridge import evaluate_assay, evaluate_with, rests_on
from assaywright.records.checks_left_out import UNCHECKED_WORDS, unchecked_remark
from assaywright.records.methods import method_by
from assaywright.records.models import Assay, Determination, Event, Person, Result, Signature
from assaywright.records.models.assays import VOID
from assaywright.records.projections.assays import imported_by_place
from assaywright.records.recorded_late import late_remark
from assaywright.records.selectors.history import at_the_laboratory
from assaywright.records.selectors.left_at_bench import LeftPlace, left_at_bench, left_remarks
from assaywright.records.selectors.stated import Stated, in_words, stated
from assaywright.records.signature_told import said_by_signatures
from assaywright.records.toml_text import day_text

MINUTE = len("2026-11-30 14:47")
ASKED = (("confirmed", "asked, and it is so"), ("unanswered", "asked, and not answered"))  # of a corrected reading
WORTH_A_BAR = 0.005  # share of the variance below which a line of the budget is folded away


@dataclass(frozen=True)
class Reading:
    """One field of a determination as a table shows it."""

    words: str
    value: str


@dataclass(frozen=True)
class DeterminationShown:
    """A determination: its readings as typed, its own result, and why it does not count, if so.

    Fields:
        recorded: by whom, and when; the corrections likewise.
        own: whether equal readings were confirmed to be readings of their own.
    """

    place: int
    version: int
    fields: dict[str, Any]
    readings: tuple[Reading, ...]
    excluded: str
    titre: str
    value: str
    recorded: str
    corrections: tuple[str, ...]
    own: bool

    @property
    def prefix(self) -> str:
        """What the names of its form's fields begin with on a page."""
        return f"d{self.place}-"

    @property
    def further(self) -> str:
        """Fillings after the first, as the form shows them."""
        return "; ".join(" to ".join(map(str, one)) for one in self.fields.get("fillings", [])[1:])


@dataclass(frozen=True)
class ResultOnRecord:
    """A result as it was when the worksheet was sent to review: it stays, whatever is corrected later."""

    sent: str
    printed: str
    software: str


@dataclass(frozen=True)
class Bar:
    """One line of the budget with the width of its bar, 0 to 100; a small one is folded away."""

    influence: str
    standard_uncertainty: str
    contribution: str
    share: str
    degrees_of_freedom: str
    width: str
    small: bool


@dataclass(frozen=True)
class AssayShown:
    """What an assay's page says.

    Fields:
        asked: what the method asks for.
        outcome: as it is now; None while it cannot be evaluated, then ``trouble`` says why.
        document: the written-out working.
        signed: by whom and when it was reviewed.
        on_record: results stored when it was sent to review, the first one first.
        held: its determinations held against every rule of acceptance.
    """

    assay: Assay
    heading: dict[str, Any]
    method_title: str
    procedure: tuple[str, ...]
    cautions: tuple[str, ...]
    asked: Asked
    determinations: tuple[DeterminationShown, ...]
    outcome: Outcome | None
    trouble: str
    document: WorkingDocument | None
    bars: tuple[Bar, ...]
    signed: tuple[str, ...]
    on_record: tuple[ResultOnRecord, ...]
    rests_on: tuple[Assay, ...]
    serves: tuple[Assay, ...]
    left: tuple[LeftPlace, ...] = ()
    held: tuple[Held, ...] = ()

    @property
    def groups(self) -> tuple[Stated, ...]:
        """The heading as it was stated: instruments, solutions, standard, sample, air."""
        return stated(self.heading)

    @property
    def performed(self) -> str:
        """The day in words."""
        return in_words(self.assay.performed)

    @property
    def analysts(self) -> str:
        """Everybody who has titrated, by name."""
        named = (str(one.get("analyst", "")) for one in (*(row.fields for row in self.determinations),
                                                         self.heading.get("blank", {})))
        return " and ".join(dict.fromkeys([self.assay.analyst, *(one for one in named if one)]))


def assay_shown(assay: Assay) -> AssayShown:
    """Return what an assay's page says."""
    method = method_by(assay)
    rows = list(Determination.objects.filter(assay=assay.identity).order_by("place"))
    wanted = asked(method, handling_of(method, assay.content, [row.content for row in rows]))
    outcome, trouble = outcome_of(assay) if rows else (None, "")
    document = working_document(outcome) if outcome else None
    return AssayShown(
        assay, assay.content, method.title, method.procedure, cautions_by_strength(assay, method), wanted,
        tuple(_determinations(rows, wanted, outcome, document)), outcome, trouble, document, bars_of(document, outcome),
        signed_by(assay.identity), _on_record(assay.identity),
        tuple(Assay.objects.filter(pk__in=rests_on(assay)).order_by("identity")),
        tuple(Assay.objects.filter(rests_on__contains=f'"{assay.identity}"').exclude(stage=VOID).order_by("identity")),
        left_at_bench(assay), held_against(outcome, method) if outcome else ())


def cautions_of(cautions: Any) -> tuple[str, ...]:
    """Return a method's cautions in sentences: what to wear, the hazards, and who has the last word."""
    found = [f"Wear {', '.join(cautions.protective_equipment)}."] if cautions.protective_equipment else []
    found += [hazard_words(one) for one in cautions.hazards]
    found += [f"{text[0].upper()}{text[1:].rstrip('.')}." for text in
              (*cautions.incompatibilities, *cautions.notes, cautions.text) if text]
    return (*found, "The safety data sheet, local rules and licensed practice go before anything said here.")


def cautions_by_strength(assay: Assay, method: Method) -> tuple[str, ...]:
    """Return the cautions for the strengths on the bench, and in one line those of other strengths."""
    from assaywright.records.selectors.bench_live import nominal_content

    cautions, left_out = of_strength(method, assay.content, nominal_content(assay))
    *told, deferral = cautions_of(cautions)
    others = f"Not on this worksheet, by its solutions and their concentrations: {'; '.join(left_out)}."
    return (*told, others, deferral) if left_out else (*told, deferral)


def outcome_of(assay: Assay) -> tuple[Outcome | None, str]:
    """Return the outcome of an assay as it is now, or why there is none."""
    try:
        found = assay_with_remarks_behind(assay, evaluate_assay(assay))
        return replace(found, remarks=(*found.remarks, *early_remarks(assay), *late_remark(assay),
                                        *unchecked_remark(assay), *left_remarks(assay))), ""
    except Refusal as refusal:
        return None, str(refusal)


def previewed(assay: Assay, fields: dict[str, Any], place: int = 0) -> tuple[Outcome | None, str]:
    """Return what the outcome would be with one determination more, or another in its place; nothing is recorded."""
    try:
        return evaluate_with(assay, fields, place), ""
    except Refusal as refusal:
        return None, str(refusal)


def signed_by(subject: str) -> tuple[str, ...]:
    """Return the signatures under something: by whom, when, meaning what, of which figures, by which password."""
    names = dict(Person.objects.values_list("identity", "name"))
    signed = list(Signature.objects.filter(subject=subject).order_by("id"))
    said = said_by_signatures(subject, [one.pk for one in signed], names)
    return tuple(f"{names.get(one.by, one.by)}, {at_the_laboratory(one.at)}: {one.meaning}{said[one.pk]}"
                 for one in signed)


def free_number(start: str) -> str:
    """Return the number after the highest of a run, such as that of the year; others that begin alike are no matter."""
    taken = (one.removeprefix(start) for one in
             Assay.objects.filter(pk__startswith=start).values_list("identity", flat=True))
    return f"{start}{max((int(one) for one in taken if one.isascii() and one.isdigit()), default=0) + 1:04d}"


def in_review() -> list[Assay]:
    """Return the assays that wait for a reviewer."""
    from assaywright.records.models.assays import IN_REVIEW

    return list(Assay.objects.filter(stage=IN_REVIEW).order_by("identity"))


# --- parts ------------------------------------------------------------------------------------------------------------


def _determinations(
    rows: list[Determination], wanted: Asked, outcome: Outcome | None, document: WorkingDocument | None
) -> list[DeterminationShown]:
    words = {**{one.name: one.words for one in wanted.readings}, "at": "titrated on"}
    results: list[DeterminationResult | None] = list(outcome.determinations) if outcome else [None] * len(rows)
    replicates = list(document.replicates) if document else [None] * len(rows)
    acts = _acts_on(rows[0].assay) if rows else {}
    found = []
    for row, result, printed in zip(rows, results, replicates, strict=False):
        fields = row.content
        order = [*(key for key in words if key in fields), *(key for key in fields if key not in words)]
        readings = tuple(Reading(words.get(key, key.replace("_", " ")), _typed(fields[key])) for key in order
                         if key != "pipette")
        found.append(DeterminationShown(
            row.place, row.version, fields, readings, row.excluded, printed.titre if printed else "",
            printed.value if printed and result else "", *acts.get(row.place, ("", (), False))))
    return found


def _acts_on(assay: str) -> dict[int, tuple[str, tuple[str, ...], bool]]:
    """Return by number of the determination: who recorded it when, who corrected it when, and whether it was asked."""
    names = dict(Person.objects.values_list("identity", "name"))
    found: dict[int, tuple[str, tuple[str, ...], bool]] = {}
    events = Event.objects.filter(subject=assay, kind__in=(
        "determination.recorded", "determination.corrected", "assay.imported")).order_by("number")
    for event in events:
        said = f"{names.get(event.by, event.by)}, {at_the_laboratory(event.recorded_at)[:MINUTE]}"
        payload = json.loads(event.payload)
        if event.kind == "assay.imported":
            found |= dict.fromkeys(imported_by_place(payload), (f"imported by {said}", (), False))
        elif event.kind == "determination.recorded":
            if same := payload.get("same_as"):
                said += f"; it has the same readings as determination {same}, and nobody has confirmed them"
            if payload.get("unchecked"):
                said += f"; {UNCHECKED_WORDS}"
            found[payload["place"]] = (said, (), bool(payload.get("own_readings")))
        else:
            recorded, before, own = found.get(payload["place"], ("", (), False))
            said += "".join(f"; {words}: {one}" for key, words in ASKED for one in payload.get(key, ()))
            found[payload["place"]] = (recorded, (*before, said), own)
    return found


def _on_record(assay: str) -> tuple[ResultOnRecord, ...]:
    found = []
    for one in Result.objects.filter(assay=assay).order_by("id"):
        sent = Event.objects.get(pk=one.pk)
        value, uncertainty = report(float(one.value), float(one.expanded_uncertainty))
        found.append(ResultOnRecord(
            at_the_laboratory(sent.recorded_at)[:MINUTE],
            f"{written_number(value)} ± {written_number(uncertainty)} {one.unit}", one.software))
    return tuple(found)


def _typed(value: Any) -> str:
    if isinstance(value, dict):
        return day_text(value)
    if isinstance(value, list):
        return "; ".join(" to ".join(map(str, one)) if isinstance(one, list) else str(one) for one in value)
    return str(value)


def bars_of(document: WorkingDocument | None, outcome: Outcome | None) -> tuple[Bar, ...]:
    """Return the lines of a budget with their bars, the widest as wide as its share of the variance."""
    if document is None or outcome is None:
        return ()
    return tuple(
        Bar(row.influence, row.standard_uncertainty, row.contribution, row.share, row.degrees_of_freedom,
            f"{100 * line.share:.1f}", line.share < WORTH_A_BAR)
        for row, line in zip(document.budget, outcome.budget, strict=True))
