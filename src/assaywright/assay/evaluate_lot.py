"""Evaluate a lot: every characteristic with its result and its decision, and whether the lot may be certified."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from itertools import pairwise
from typing import TYPE_CHECKING

from assaywright.assay.decide import decide
from assaywright.assay.entered import entered_result, judge_entered, reason_without_uncertainty
from assaywright.assay.moments import day_of
from assaywright.assay.observations import Characteristic, Lot, Worksheet
from assaywright.assay.result import ConformityDecision, Outcome, Result
from assaywright.assay.troubles import remark
from assaywright.assay.upstream import Opener, Upstream
from assaywright.assay.wording import written_date
from assaywright.metrology.conformity import CONFORMS, DOES_NOT_CONFORM, NOT_PROVEN
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark, Severity

if TYPE_CHECKING:
    from assaywright.assay.accepted import AcceptedIrregularity


@dataclass(frozen=True, slots=True)
class CharacteristicOutcome:
    """What was concluded about one characteristic.

    Fields:
        characteristic: with its specification, as the lot file states it.
        outcome: of the worksheet that assays it; None for an entered one.
        result: with its uncertainty; None where the entered value has none.
        no_uncertainty: the reason why there is no uncertainty; empty where there is one.
        decision: None for a characteristic that is only reported.
    """

    characteristic: Characteristic
    outcome: Outcome | None
    result: Result | None
    no_uncertainty: str
    decision: ConformityDecision | None

    @property
    def name(self) -> str:
        """The characteristic's name."""
        return self.characteristic.specification.characteristic


@dataclass(frozen=True, slots=True)
class LotOutcome:
    """Everything concluded about a lot.

    Fields:
        characteristics: in the order of the lot file.
        remarks: of the lot and of every worksheet behind it, each once.
        accepted: what an authorised person has let pass of the remarks, and of the standardisations behind the results.
    """

    lot: Lot
    characteristics: tuple[CharacteristicOutcome, ...]
    remarks: tuple[Remark, ...]
    accepted: "tuple[AcceptedIrregularity, ...]" = ()

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """The worksheets' outcomes, each once, in the order of their first characteristic."""
        found: dict[int, Outcome] = {id(item.outcome): item.outcome for item in self.characteristics if item.outcome}
        return tuple(found.values())

    @property
    def holds(self) -> tuple[Remark, ...]:
        """The remarks that keep the lot from release: those that nobody has accepted."""
        return tuple(one for one in self.remarks
                     if one.holds and not any(accepted.is_of(one) for accepted in self.accepted))

    @property
    def releasable(self) -> bool:
        """Whether nothing holds the lot back from release."""
        return not self.holds


def evaluate_lot(lot: Lot, opener: Opener) -> LotOutcome:
    """Return a lot's characteristics, each evaluated from its worksheet or taken as entered, and decided.

    Each worksheet is evaluated once, however many characteristics rest on it. Nothing is converted: a result and its
    limits stand in one unit.

    Arguments:
        lot: as parsed.
        opener: gives the bytes of a file by its path, resolved from the file that names it.

    Raises:
        Refusal: a worksheet cannot be evaluated, a named result is not among its results, or a characteristic has
            neither a worksheet nor an entered value.
    """
    from assaywright.assay.accepted import let_pass_below

    upstream = Upstream(opener)
    characteristics = tuple(_conclude(lot, characteristic, upstream) for characteristic in lot.characteristics)
    remarks = [*_lot_remarks(lot, characteristics)]
    for outcome in LotOutcome(lot, characteristics, ()).outcomes:
        remarks += [*_provenance_remarks(lot, outcome.worksheet), *outcome.remarks]
    found = LotOutcome(lot, characteristics, tuple(dict.fromkeys(remarks)))
    return replace(found, accepted=let_pass_below(found, [one.worksheet for one in upstream.evaluated.values()]))


def named_result(outcome: Outcome, measurand: str) -> Result:
    """Return a worksheet's result by the name of its measurand; the main result for an empty name.

    Raises:
        Refusal: no result of that name.
    """
    if not measurand:
        return outcome.result
    names = [result.measurand for result in outcome.results]
    if measurand in names:
        return outcome.results[names.index(measurand)]
    near = get_close_matches(measurand, names, 1)
    raise Refusal(f"there is no result '{measurand}' in worksheet {outcome.worksheet.identity}",
                  remedy=f"did you mean '{near[0]}'?" if near else f"name one of {', '.join(names)}")


def _conclude(lot: Lot, characteristic: Characteristic, upstream: Upstream) -> CharacteristicOutcome:
    where = f"characteristic \"{characteristic.specification.characteristic}\""
    try:
        if characteristic.worksheet:
            return _conclude_assayed(characteristic, upstream.outcome(lot.path, characteristic.worksheet, where))
        return _conclude_entered(characteristic)
    except Refusal as refusal:
        raise (refusal if refusal.where else refusal.at(f"{lot.path or lot.identity}: {where}")) from refusal.__cause__


def _conclude_assayed(characteristic: Characteristic, outcome: Outcome) -> CharacteristicOutcome:
    result = named_result(outcome, characteristic.measurand)
    return CharacteristicOutcome(characteristic, outcome, result, "", decide(result, characteristic.specification))


def _conclude_entered(characteristic: Characteristic) -> CharacteristicOutcome:
    result = entered_result(characteristic)
    reason = "" if result else reason_without_uncertainty(characteristic)
    decision = decide(result, characteristic.specification) if result else judge_entered(characteristic)
    return CharacteristicOutcome(characteristic, None, result, reason, decision)


def _lot_remarks(lot: Lot, characteristics: tuple[CharacteristicOutcome, ...]) -> Iterator[Remark]:
    for item in characteristics:
        where = f"lot {lot.identity}, {item.name}"
        if item.decision and item.decision.decision != CONFORMS:
            yield _adverse(item.decision, where)
        if item.outcome is None and not item.characteristic.source.strip():
            yield remark("source-missing", "the entered value names no source", where,
                         "state the instrument or method, the date and the person")
    yield from _date_remarks(lot, characteristics)


def _adverse(decision: ConformityDecision, where: str) -> Remark:
    found = decision.sentence.rstrip(".")
    if decision.decision == DOES_NOT_CONFORM:
        return remark("out-of-specification", found, where, "investigate; the original result stays on record")
    if decision.decision == NOT_PROVEN:
        return remark("characteristic-undecided", found, where,
                      "assay with a smaller uncertainty, or have a qualified person decide by the rule agreed on")
    return remark("characteristic-undecided", found, where, "enter or measure what is missing and have it decided")


def _date_remarks(lot: Lot, characteristics: tuple[CharacteristicOutcome, ...]) -> Iterator[Remark]:
    where = f"lot {lot.identity}"
    sheets = [item.outcome.worksheet for item in characteristics if item.outcome]
    performed = [day_of(moment) for sheet in sheets
                 for moment in (sheet.performed, *(one.at for one in sheet.determinations if one.at is not None))]
    order = [("made", lot.made), ("first assayed", min(performed, default=None)),
             ("last assayed", max(performed, default=None)), ("issued", lot.issued),
             ("to be used before", lot.use_before)]
    stated = [(word, day) for word, day in order if day]
    for (word, day), (later_word, later_day) in pairwise(stated):
        if later_day < day:
            yield Remark("dates-out-of-order", Severity.HOLD,
                         f"it is {later_word} {written_date(later_day)}, earlier than {word}, {written_date(day)}",
                         where, "correct the date that is wrong")


def _provenance_remarks(lot: Lot, worksheet: Worksheet) -> Iterator[Remark]:
    tested = worksheet.sample.lot if worksheet.sample else _sought_lot(worksheet)
    if tested and tested != lot.identity:
        yield Remark("lot-differs", Severity.HOLD, f"the worksheet is of lot {tested}, not of lot {lot.identity}",
                     f"worksheet {worksheet.identity}", "name the worksheet of this lot, or correct the lot number")


def _sought_lot(worksheet: Worksheet) -> str:
    return worksheet.titrant.lot if worksheet.kind == "standardisation" else ""
