"""What the bench page shows while a reading is typed: titre, result, range, questions, and the burette drawn."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q

from assaywright.assay.bench.aimed import aimed_at
from assaywright.assay.bench.asking import Question
from assaywright.assay.bench.blank_questions import blank_questions
from assaywright.assay.bench.figures import in_other_words
from assaywright.assay.bench.foreseen import with_mark
from assaywright.assay.bench.heading import mark_of
from assaywright.assay.bench.questions import PAST_ITS_DATE
from assaywright.assay.bench.state import BenchState, bench_state
from assaywright.assay.bench.unread import unread
from assaywright.assay.result import Outcome
from assaywright.assay.wording import written_number
from assaywright.assay.working_document import StatedResult, working_document
from assaywright.metrology.remarks import Remark
from assaywright.metrology.rounding import decimal_of_result, plain, round_to_places
from assaywright.records.bridge import open_by_path
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Confirmed, Determination, Instrument, Lot
from assaywright.records.origins import MIXED_ORIGIN, PAPER_DAY, origin_questions
from assaywright.records.readings import BLANK, SAME_READINGS, asked_of, blank_titrations, determination_of, page_name
from assaywright.records.same_readings import place_of_same
from assaywright.records.selectors.assays import outcome_of, previewed
from assaywright.records.selectors.bench_known import found_before, with_limits
from assaywright.records.selectors.plans import nominal_of
from assaywright.records.selectors.scanned import found_by_code
from assaywright.records.specified import specified_of
from assaywright.reports.chart_burette import burette_chart

LAST_READINGS = ("final", "titrant_gross", "titrant_net", "volume")  # that are typed last, as the pages name them
FEWER_DECIMALS = "fewer-decimals"
TOO_FEW = "too-few-replicates"  # told as "2 of 3" while one titrates


@dataclass(frozen=True, slots=True)
class Asked:
    """A question about a reading as the page shows it.

    Fields:
        name: of the reading on the page.
        text: the reading asked about, as typed; of a solution past its date the day of the work.
        code, sentence, remedy: see :class:`Question`.
        confirmed: somebody answered that it is so.
        impossible: no confirming helps.
    """

    name: str
    text: str
    code: str
    sentence: str
    remedy: str
    confirmed: bool
    impossible: bool

    @property
    def of_origin(self) -> bool:
        """Whether it is about where the readings come from, which typing one of them again does not mend."""
        return self.code in (MIXED_ORIGIN, PAPER_DAY)

    @property
    def of_reading(self) -> bool:
        """Whether it is about a reading, which can be typed again."""
        return self.code != PAST_ITS_DATE and not self.of_origin


@dataclass(frozen=True, slots=True)
class FurtherResult:
    """A further result of the same titrations as printed, and what this determination alone gave; empty for none."""

    name: str
    value: str
    uncertainty: str
    unit: str
    own: str


@dataclass(frozen=True, slots=True)
class Live:
    """What is known while a determination is typed.

    Fields:
        place: the determination; 0 where none is being typed.
        titre_mL, first_titre_mL: exactly, as text; empty while a reading is missing.
        own: result of this determination alone, with its unit.
        value, uncertainty, unit: of the mean with it, as printed; ``trouble`` says why there is none.
        number, planned: how many determinations count, and how many the method asks for.
        holds, remarks: what would hold the result back, and what asks to look again.
        accepted: the acceptance rules of the method, each with what was found.
        questions: about the readings.
        expected: where the endpoint is expected, in words.
        chart: the burette, drawn.
        name: of the main result, where there are others; ``further`` are those.
        converted: what figures typed with another unit are in their field's, in words.
        worksheet, verifies: number of the worksheet, and the solution whose control titration it can be.
    """

    place: int
    titre_mL: str
    first_titre_mL: str
    own: str
    value: str
    uncertainty: str
    unit: str
    number: int
    planned: int
    trouble: str
    holds: tuple[str, ...]
    remarks: tuple[str, ...]
    questions: tuple[Asked, ...]
    expected: str
    chart: str
    worksheet: str = ""
    verifies: str = ""
    name: str = ""
    further: tuple[FurtherResult, ...] = ()
    converted: tuple[str, ...] = ()


def live(assay: Assay, typed: Mapping[str, str], place: int, day: date | None,
         left: Collection[str] | None = None) -> Live:
    """Return what is known of a worksheet while one of its determinations is typed.

    Arguments:
        assay: the worksheet.
        typed: readings of the determination, by the names of the page.
        place: number of the determination; 0 for the blank, whose readings make no result of their own.
        day: of the work; see :func:`~assaywright.records.origins.day_of_work`.
        left: names of the readings that are typed out: what is no figure in another, or has too few decimals, is half
            typed. None where that is not known: then nothing is said of texts that are no figures.
    """
    rows = list(Determination.objects.filter(assay=assay.identity).order_by("place"))
    fields = determination_of(asked_of(assay), assay.content, typed) if place > BLANK else {}
    state = _state(assay, fields, rows, place, day)
    expected = state.expected.get("final")
    return Live(
        place, state.titre_mL, state.first_titre_mL, **_result(assay, fields, place, rows, state),
        planned=method_of(assay.method).replicates, questions=tuple(_asked(assay, state, typed, place, left, day)),
        expected=_expected_words(expected), chart=burette_chart(state), worksheet=assay.identity,
        verifies=assay.about if assay.kind == "standardisation" else "", converted=_converted(assay, state, typed))


def _converted(assay: Assay, state: BenchState, typed: Mapping[str, str]) -> tuple[str, ...]:
    """Return what figures typed with another unit than their field's are in that."""
    units = {one.name: one.unit for one in state.asked.readings if one.unit}
    told = (in_other_words(text, units[name.split(" ")[0]], mark_of(assay.content)) for name, text in typed.items()
            if name.split(" ")[0] in units)
    return tuple(filter(None, told))


def open_questions(assay: Assay, typed: Mapping[str, str], place: int, day: date | None) -> tuple[Asked, ...]:
    """Return the questions about readings typed out that nobody has answered for them as they stand.

    Arguments:
        assay, typed, place, day: as for :func:`live`.
    """
    rows = list(Determination.objects.filter(assay=assay.identity).order_by("place"))
    fields = determination_of(asked_of(assay), assay.content, typed) if place > BLANK else {}
    asked = _asked(assay, _state(assay, fields, rows, place, day), typed, place, typed.keys(), day)
    return tuple(one for one in asked if not one.confirmed)


def _state(assay: Assay, fields: dict[str, Any], rows: list[Determination], place: int,
           day: date | None) -> BenchState:
    """Return the state of the bench for what is typed of one determination, the others being as on record."""
    before = [{**row.content, **({"excluded": row.excluded} if row.excluded else {})}
              for row in rows if row.place != place]
    method, heading = method_of(assay.method), with_limits(with_readability(assay.content), assay)
    earlier = found_before(assay)
    nominal = nominal_content(assay) or earlier.text
    aimed = aimed_at(method, heading, before, nominal=nominal, opener=open_by_path) if place > BLANK else None
    planned = "" if aimed is None or aimed.before else with_mark(Decimal(f"{aimed.grams:.6f}"), "g", mark_of(heading))
    return bench_state(method, heading, before, fields, day, nominal=nominal, unreviewed=earlier.unreviewed,
                       planned_portion=planned, opener=open_by_path)


def with_readability(heading: dict[str, Any]) -> dict[str, Any]:
    """Return a heading with the step of each balance, from the register where the worksheet does not state it."""
    balances = heading.get("balances", {})
    lacking = {role: str(one.get("id", "")) for role, one in balances.items() if not one.get("readability")}
    rows = Instrument.objects.in_bulk(list(lacking.values())) if lacking else {}
    known = {role: {**balances[role], "readability": step} for role, number in lacking.items()
             if number in rows and (step := rows[number].content.get("readability"))}
    return {**heading, "balances": {**balances, **known}} if known else heading


def _result(assay: Assay, fields: dict[str, Any], place: int, rows: list[Determination],
            state: BenchState) -> dict[str, Any]:
    """Return the result with what is typed, or of what is on record while a reading is missing."""
    is_whole = bool(state.titre_mL) or any(name.startswith("titrant_") for name in fields)
    if is_whole:
        outcome, trouble = previewed(assay, fields, place)
    else:
        outcome, trouble = outcome_of(assay) if rows else (None, "")
    if outcome is None:
        return {"own": "", "value": "", "uncertainty": "", "unit": "", "number": 0, "trouble": trouble, "holds": (),
                "remarks": ()}
    document = working_document(outcome)
    stated = document.results[0]
    at = sum(row.place < place for row in rows)  # where it stands among the determinations
    own = f"{document.replicates[at].value} {stated.unit}" if is_whole else ""
    return {
        "own": own, "value": stated.value, "uncertainty": stated.uncertainty, "unit": stated.unit,
        "number": outcome.statistics.number, "trouble": "",
        "name": stated.measurand if document.results[1:] else "",
        "further": tuple(_further(outcome, index, stated, at if is_whole else None)
                         for index, stated in enumerate(document.results[1:])),
        "holds": tuple(_told(one, assay) for one in outcome.remarks if one.holds and one.kind != TOO_FEW),
        "remarks": tuple(_told(one, assay) for one in outcome.remarks if one.severity.value == "question")}


def _further(outcome: Outcome, index: int, stated: StatedResult, at: int | None) -> FurtherResult:
    own = ""
    if at is not None:
        places = len(stated.value.partition(".")[2]) + 1
        number = round_to_places(decimal_of_result(outcome.further_values[index][at]), places)
        own = f"{written_number(plain(number))} {stated.unit}"
    return FurtherResult(stated.measurand, stated.value, stated.uncertainty, stated.unit, own)


def _told(one: Remark, assay: Assay) -> str:
    """Return a remark with where it belongs, as far as that is not the worksheet that lies open anyway."""
    where = one.where.removeprefix(assay.path).removeprefix(assay.identity).removeprefix(": ")
    return f"{where}: {one.what}" if where else one.what


def _asked(assay: Assay, state: BenchState, typed: Mapping[str, str], place: int,
           left: Collection[str] | None, day: date | None) -> list[Asked]:
    """Return the questions, each with whether it was answered for the reading as it is typed now.

    That a solution is past its date is answered for the day of the work, whichever determination it was asked at.
    """
    answers = Confirmed.objects.filter(Q(place=place) | Q(code=PAST_ITS_DATE), assay=assay.identity)
    answered = set(answers.values_list("name", "text", "code"))
    typed_out = {name: text for name, text in typed.items() if left is not None and name in left}
    no_figures = unread(state.asked, typed_out, mark_of(assay.content))
    asked = (*no_figures, *origin_questions(assay, place), *_other_sample(assay, typed),
             *_same_readings(assay, typed, place), *state.questions,
             *(_of_blank(assay, typed) if place == BLANK else ()))
    shown = [_shown(one, typed, answered, day) for one in asked]
    return [one for one in shown if left is None or one.code != FEWER_DECIMALS or one.name in left]


def _same_readings(assay: Assay, typed: Mapping[str, str], place: int) -> list[Question]:
    """Return the question about readings that another determination has as well, beside the last of them."""
    fields = determination_of(asked_of(assay), assay.content, typed) if place > BLANK else {}
    same = place_of_same(assay, fields, place) if fields else None
    named = [name for name in typed if typed[name].strip() and name.split(" ")[0] in LAST_READINGS]
    if same is None or not named:
        return []
    sentence = f"Determination {same} has the same readings; it may have been typed twice."
    return [Question(named[-1], SAME_READINGS, sentence,
                     "correct what is typed, or confirm that these are readings of their own")]


def _of_blank(assay: Assay, typed: Mapping[str, str]) -> tuple[Question, ...]:
    """Return the questions about the readings of the blank."""
    return blank_questions(method_of(assay.method), assay.content, asked_of(assay), blank_titrations(typed))


def _other_sample(assay: Assay, typed: Mapping[str, str]) -> list[Question]:
    """Return the question about a sample whose label is not of what this worksheet is about."""
    scanned = typed.get("identity", "").strip()
    if not scanned or any(one.identity in (assay.about, assay.identity) for one in found_by_code(scanned)):
        return []
    return [Question("identity", "other-sample", f"“{scanned[:60]}” is not {assay.about}, which this worksheet is of.",
                     "take the sample that the worksheet is of, or confirm that it is so")]


def _shown(one: Question, typed: Mapping[str, str], answered: set[tuple[str, str, str]],
           day: date | None) -> Asked:
    name = page_name(one.name)
    if name == "first" and not typed.get(name, "").strip():
        name = next((other for other in typed if other.startswith("first ") and typed[other].strip()), name)
    text = str(day) if one.code == PAST_ITS_DATE else typed.get(name, "").strip()
    return Asked(name, text, one.code, one.sentence, one.remedy, (name, text, one.code) in answered, one.impossible)


def _expected_words(expected: Any) -> str:
    if expected is None:
        return ""
    return f"Expected from {expected.basis}." + (f" {expected.conflict}" if expected.conflict else "")


def nominal_content(assay: Assay) -> str:
    """Return the nominal content that the product's specification has for what this method assays."""
    lot = Lot.objects.filter(pk=assay.about).first()
    if lot is None:
        return ""
    specified = [one for one in specified_of(lot) if one.get("method") == assay.method]
    return nominal_of(lot, specified[0]) if specified else ""
