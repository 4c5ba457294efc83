"""Where lots stand: their stages, what they wait for, and what is known of each characteristic."""

import json
from dataclasses import dataclass, replace
from typing import Any

from assaywright.assay.evaluate_lot import CharacteristicOutcome, evaluate_lot
from assaywright.assay.wording import written_coverage, written_decimal, written_factor, written_limits, written_number
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark
from assaywright.records.bridge import accredited, assay_of, known_characteristic, lot_file, open_by_path
from assaywright.records.investigated import authorised_now, begun_under, entry_of, unchecked
from assaywright.records.limits import uninvestigated
from assaywright.records.models import (
    Assay,
    Certificate,
    Determination,
    Event,
    Investigation,
    Lot,
    Person,
    Result,
    Sample,
)
from assaywright.records.models.assays import IN_REVIEW, REVIEWED, VOID
from assaywright.records.models.lots import ON_HOLD, RECALLED, REJECTED, RELEASED
from assaywright.records.parallel import open_of
from assaywright.records.projections.lots import CONCLUDED, RETEST
from assaywright.records.sampled import is_sampled
from assaywright.records.selectors.above import reopened_of
from assaywright.records.selectors.advised import waits_once_released
from assaywright.records.selectors.entries import EntryShown, entries_shown, unchecked_shown
from assaywright.records.selectors.otherwise import TO_AMEND, waits_otherwise
from assaywright.records.selectors.specified import SpecificationShown, specification_shown
from assaywright.records.selectors.stages import NOTHING, RELEASE, Stage, missing_words, stage_states
from assaywright.records.specified import specified_of

CONFORMS = "conforms"
STATED = ("made", "use_before", "maker", "storage", "customer")  # what a certificate states of a lot's heading


@dataclass(frozen=True)
class EarlierResult:
    """A result beside the one that counts: it stays on record, or waits as a retest for the conclusion."""

    worksheet: str
    value: str
    expanded_uncertainty: str
    unit: str
    counts: bool
    waits: bool = False
    void: bool = False


@dataclass(frozen=True)
class CharacteristicShown:
    """What is known of one characteristic.

    Fields:
        accredited: whether the laboratory's accreditation covers it.
        worksheet, stage: of the assay that counts, or empty.
        value, uncertainty, unit: as printed; ``no_uncertainty`` says why there is none.
        decision: "conforms", "does not conform" …, "reported only", or empty while nothing is known.
        trouble: why it cannot be evaluated yet, in one sentence.
        earlier: every result on record, when there is more than one.
        entries: of one that is not titrated, everything entered.
    """

    name: str
    accredited: bool
    method: str
    worksheet: str
    stage: str
    value: str
    uncertainty: str
    unit: str
    no_uncertainty: str
    coverage: str
    limits: str
    required: str
    decision: str
    compared: str
    source: str
    trouble: str
    earlier: tuple[EarlierResult, ...]
    entries: tuple[EntryShown, ...] = ()

    @property
    def good(self) -> bool:
        """Whether it is decided and conforms, or is only reported."""
        return self.decision in (CONFORMS, "reported only")


@dataclass(frozen=True)
class InvestigationShown:
    """An investigation with who concluded it; ``content`` is its reason, checks, plan, verdict and conclusion."""

    stage: str
    content: dict[str, Any]
    concluded_by: str


@dataclass(frozen=True)
class LotShown:
    """Everything that a lot's page says of the lot.

    Fields:
        unchecked: what was entered and nobody else has looked at yet.
        outdated: numbers of certificates in force that state the heading as it was before it was amended.
        specification: the edition that the lot is judged by.
        out_of_sight: worksheets with a result outside the limits that exclusions or a void worksheet hide.
    """

    lot: Lot
    content: dict[str, Any]
    stages: tuple[Stage, ...]
    waits_for: str
    characteristics: tuple[CharacteristicShown, ...]
    remarks: tuple[Remark, ...]
    samples: tuple[Sample, ...]
    investigations: tuple[InvestigationShown, ...]
    certificates: tuple[Certificate, ...]
    unchecked: tuple[EntryShown, ...]
    outdated: tuple[str, ...]
    specification: SpecificationShown
    out_of_sight: tuple[str, ...] = ()


def lot_shown(lot: Lot) -> LotShown:
    """Return what a lot's page says."""
    specified = specified_of(lot)
    outcomes, remarks = _evaluated(lot)
    shown = tuple(_characteristic(lot, one, outcomes.get(one["name"])) for one in specified)
    return LotShown(
        lot, lot.content, stages_of(lot, specified, shown),
        _waits_now(lot, specified), shown, remarks,
        tuple(Sample.objects.filter(lot=lot.identity).order_by("id")),
        _investigations(lot.identity),
        tuple(Certificate.objects.filter(lot=lot.identity, worksheet="").order_by("number")),
        unchecked_shown(lot.identity), outdated_certificates(lot), specification_shown(lot),
        () if lot.state == REJECTED else tuple(uninvestigated(lot)))


def _waits_now(lot: Lot, specified: list[dict[str, Any]]) -> str:
    """Return what a lot waits for, with what its certificate asks for once results have changed."""
    waits = waits_for(lot, specified)
    return (waits_once_released(lot) or waits) if lot.state == RELEASED and waits in (NOTHING, TO_AMEND) else waits


def _investigations(lot: str) -> tuple[InvestigationShown, ...]:
    names = dict(Person.objects.values_list("identity", "name"))
    return tuple(
        InvestigationShown(one.stage, content, names.get(str(content.get("concluded_by", "")), ""))
        for one in Investigation.objects.filter(lot=lot).order_by("id") for content in (one.content,))


def outdated_certificates(lot: Lot) -> tuple[str, ...]:
    """Return the certificates in force that were issued before what they state of the lot's heading was amended."""
    amended = [one.number for one in Event.objects.filter(subject=lot.identity, kind="lot.amended").order_by("number")
               if set(json.loads(one.payload)["heading"]) & set(STATED)]
    in_force = Certificate.objects.filter(lot=lot.identity, worksheet="", superseded_by="").order_by("number")
    issued = {one.number: Event.objects.filter(subject=one.number, kind__startswith="certificate.").first()
              for one in in_force if not one.content.get("withdrawn")}
    return tuple(number for number, event in issued.items() if event and amended and amended[-1] > event.number)


def waits_for(lot: Lot, specified: list[dict[str, Any]]) -> str:
    """Return in words what a lot waits for; "nothing" once it is rejected or certified."""
    if lot.state in (REJECTED, RECALLED):
        return NOTHING
    if lot.state == RELEASED and (reopened := reopened_of(lot)):
        return f"the review of {' and '.join(reopened)}, reopened after release"
    if lot.state == RELEASED and (otherwise := waits_otherwise(lot, outdated=bool(outdated_certificates(lot)))):
        return otherwise
    if lot.state == RELEASED:
        return NOTHING if Certificate.objects.filter(lot=lot.identity, worksheet="").exists() else "its certificate"
    if lot.state == ON_HOLD:
        return _held(lot)
    missing = (_missing(lot, one) for one in specified)
    return next(filter(None, missing), RELEASE)


def _missing(lot: Lot, specified: dict[str, Any]) -> str:
    """Return what a characteristic still lacks, or an empty text."""
    method = specified.get("method")
    assay = assay_of(lot, method) if method else None
    if assay is not None and assay.stage == REVIEWED and (beside := open_of(lot, str(method))):
        return f"{' and '.join(one.identity for one in beside)} to be reviewed or declared void"
    titrated = assay is not None and Determination.objects.filter(assay=assay.identity).exists()
    return missing_words(specified, assay, None if method else entry_of(lot.identity, specified["name"]),
                         titrated=titrated)


def _held(lot: Lot) -> str:
    stage = Investigation.objects.filter(lot=lot.identity).order_by("id").values_list("stage", flat=True).last()
    return "the retest and the conclusion" if stage == RETEST else "the laboratory’s check list" if (
        stage != CONCLUDED) else "the conclusion"


def stages_of(
    lot: Lot, specified: list[dict[str, Any]], shown: tuple[CharacteristicShown, ...] = ()
) -> tuple[Stage, ...]:
    """Return the stages of a lot. Without what is known of its characteristics, "decided" follows its release."""
    titrated = [one["method"] for one in specified if one.get("method")]
    assays = [assay_of(lot, method) for method in titrated]
    released = lot.state in (RELEASED, RECALLED)
    done = {
        "made": True,
        "sampled": is_sampled(lot),
        "assayed": all(one is not None and one.stage in (IN_REVIEW, REVIEWED) for one in assays),
        "reviewed": all(one is not None and one.stage == REVIEWED for one in assays) and not unchecked(lot.identity),
        "decided": released or (bool(shown) and all(one.decision and not one.trouble for one in shown)),
        "released": released,
        "certificate": Certificate.objects.filter(lot=lot.identity, worksheet="").exists(),
    }
    return stage_states(lot, done)


# --- characteristics --------------------------------------------------------------------------------------------------


def _evaluated(lot: Lot) -> tuple[dict[str, CharacteristicOutcome | Refusal], tuple[Remark, ...]]:
    """Return every characteristic that is known with what is concluded, or with why nothing can be; and the remarks."""
    found: dict[str, CharacteristicOutcome | Refusal] = {}
    remarks: list[Remark] = []
    try:
        file = lot_file(lot, whole=False)
    except Refusal as refusal:
        return {one["name"]: refusal for one in specified_of(lot)
                if known_characteristic(lot, one)}, ()
    for one in file.characteristics:
        try:
            outcome = evaluate_lot(replace(file, characteristics=(one,)), open_by_path)
        except Refusal as refusal:
            found[one.specification.characteristic] = refusal
            continue
        found[one.specification.characteristic] = outcome.characteristics[0]
        remarks += outcome.remarks
    return found, tuple(dict.fromkeys(remarks))


def _characteristic(
    lot: Lot, specified: dict[str, Any], found: CharacteristicOutcome | Refusal | None
) -> CharacteristicShown:
    method = str(specified.get("method", ""))
    assay = assay_of(lot, method) if method else None
    value, uncertainty, unit, coverage = _printed(found) if isinstance(found, CharacteristicOutcome) else ("",) * 4
    decision = found.decision if isinstance(found, CharacteristicOutcome) else None
    known = isinstance(found, CharacteristicOutcome)
    return CharacteristicShown(
        name=specified["name"], accredited=accredited(lot, specified), method=method,
        worksheet=assay.identity if assay else "",
        stage=assay.stage if assay else "", value=value, uncertainty=uncertainty, unit=unit,
        no_uncertainty=found.no_uncertainty if isinstance(found, CharacteristicOutcome) else "", coverage=coverage,
        limits=_limits(specified, found), required=str(specified.get("required", "")),
        decision=decision.decision if decision else "reported only" if known else "",
        compared=decision.compared if decision else "",
        source=found.characteristic.source if isinstance(found, CharacteristicOutcome) else "",
        trouble=str(found) if isinstance(found, Refusal) else "", earlier=_earlier(lot, method, assay),
        entries=() if method else entries_shown(lot.identity, specified["name"]))


def _limits(specified: dict[str, Any], found: CharacteristicOutcome | Refusal | None) -> str:
    if isinstance(found, CharacteristicOutcome):
        return written_limits(found.characteristic.specification)
    given = [f"{words} {specified[key]}" for key, words in (("lower", "at least"), ("upper", "at most"))
             if specified.get(key)]
    return ", ".join(given)


def _printed(item: CharacteristicOutcome) -> tuple[str, str, str, str]:
    """Return value, expanded uncertainty, unit and coverage as a certificate prints them."""
    entered, result = item.characteristic, item.result
    if result is not None:
        value, uncertainty = written_factor(result)
        factor = f"; factor f = {value} ± {uncertainty}" if value else ""
        return (written_number(result.value_text), written_number(result.uncertainty_text), result.estimate.unit,
                written_coverage(result, entered=item.outcome is None) + factor)
    if entered.value is not None:
        bound = "less than " if entered.less_than else ""
        return bound + written_decimal(entered.value.value), "", entered.value.unit, ""
    return entered.text, "", "", ""


def _earlier(lot: Lot, method: str, counting: Assay | None) -> tuple[EarlierResult, ...]:
    """Return every result of the assays of one method, where there are several, void ones too."""
    assays = list(Assay.objects.filter(about=lot.identity, method=method)) if method else []
    if len(assays) < 2 and not any(one.stage == VOID for one in assays):
        return ()
    found = []
    event = authorised_now(lot.identity)
    waiting = {one.identity for one in begun_under(event)} if event else set()
    for assay in assays:
        result = Result.objects.filter(assay=assay.identity).order_by("id").last()
        counts = counting is not None and assay.identity == counting.identity
        if result is None:
            found.append(EarlierResult(assay.identity, "", "", "", counts, assay.identity in waiting,
                                       assay.stage == VOID))
        else:
            found.append(EarlierResult(assay.identity, f"{float(result.value):.6g}",
                                       f"{float(result.expanded_uncertainty):.2g}", result.unit, counts,
                                       assay.identity in waiting, assay.stage == VOID))
    return tuple(found)
