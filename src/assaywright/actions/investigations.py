"""After a result outside its limits: the check list, a retest by plan, and a conclusion that somebody signs."""

from typing import Any

from assaywright.actions.assays import has_worked_on
from assaywright.actions.characteristics import entries_by
from assaywright.actions.equipment import IN_CHARGE
from assaywright.actions.lots import lot
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.assay.evaluate_lot import evaluate_lot
from assaywright.metrology.conformity import DOES_NOT_CONFORM, NOT_PROVEN
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import lot_file, open_by_path
from assaywright.records.investigated import authorised_now, begun_under, entered_under, entry_of, unchecked
from assaywright.records.log import append
from assaywright.records.models import Assay, EnteredCharacteristic, Event, Investigation, Lot, Person
from assaywright.records.models.assays import REVIEWED, VOID
from assaywright.records.projections.lots import CONCLUDED, OPEN, RETEST
from assaywright.records.signed_content import content_signed
from assaywright.records.specified import specified_of

CONCLUDED_MEANING = "I have looked at the check list and at every result on record, and answer for this conclusion"
RETEST_COUNTS = "laboratory error found: the retest counts"
CORRECTED = "laboratory error found: the first result has been corrected"
FIRST_STANDS = "no laboratory error: the first result stands"
VERDICTS = (FIRST_STANDS, RETEST_COUNTS, CORRECTED)
CORRECTIONS = ("determination.corrected", "determination.excluded", "determination.readmitted", "assay.amended")


@repeatable
def retest_authorise(
    *, identity: str, checks: dict[str, str], plan: str, by: str, expected: int | None = None, act: str = "",
) -> Event:
    """Authorise a retest by plan, once the laboratory's own check list has been gone through.

    Arguments:
        checks: question of the check list to what was found.
        plan: how many determinations of what sample by whom, decided before anything is titrated.

    Raises:
        Refusal: no investigation is open, a check is unanswered, there is no plan, ``by`` has worked on a result that
            is to be tested again, or may not.
    """
    person = demand(by, *IN_CHARGE)
    found = lot(identity)
    _investigation(identity, OPEN)
    _check_answered(checks)
    _check_own_work(found, person, _concerned(found, [], []), [], "authorise the retest")
    return append("retest.authorised", subject=identity, by=by, act=act, expected=expected, seen=found.version,
                  payload={"checks": checks, "plan": needed(plan, "the plan", "plan"), **content_signed(found)})


@repeatable
def investigation_conclude(
    *, identity: str, verdict: str, conclusion: str, by: str, checks: dict[str, str] | None = None,
    expected: int | None = None, act: str = "",
) -> Event:
    """Conclude an investigation; every result stays on record, and the verdict says which of them counts.

    Arguments:
        verdict: one of VERDICTS.
        conclusion: what was found and what follows, in words.
        checks: question of the check list to what was found, where no retest was authorised by it.

    Raises:
        Refusal: no investigation is open, the check list is unanswered, the verdict has nothing to rest on, a retest is
            not reviewed, no conclusion, ``by`` has worked on a result concerned, or may not.
    """
    person = demand(by, *IN_CHARGE)
    found, investigation = lot(identity), _investigation(identity, OPEN, RETEST)
    if verdict not in VERDICTS:
        raise Refusal("no verdict is chosen", where="verdict", remedy=f"choose one: {'; '.join(VERDICTS)}")
    answered = {} if investigation.stage == RETEST else {"checks": _check_answered(checks or {})}
    event = authorised_now(identity)
    worksheets = begun_under(event) if event else []
    entries = entered_under(event) if event else []
    _check_retests(identity, verdict, worksheets, entries)
    if verdict == CORRECTED:
        _check_corrected(investigation)
    concerned = _concerned(found, worksheets, entries)
    _check_own_work(found, person, concerned, worksheets, "conclude")
    payload = {
        "conclusion": needed(conclusion, "the conclusion", "conclusion"), "verdict": verdict,
        "meaning": CONCLUDED_MEANING, "set_aside": _set_aside(found, verdict, worksheets, entries),
        "stands": sorted(concerned) if verdict == FIRST_STANDS else [], **answered, **content_signed(found)}
    return append("investigation.concluded", subject=identity, by=by, act=act, payload=payload, expected=expected,
                  seen=found.version)


# --- what a conclusion rests on ---------------------------------------------------------------------------------------


def _check_answered(checks: dict[str, str]) -> dict[str, str]:
    if not checks:
        raise Refusal("the check list is empty", where="check list", remedy="go through it first")
    for question, answer in checks.items():
        needed(answer, f"the answer to “{question}”", "check list")
    return checks


def _check_retests(
    identity: str, verdict: str, worksheets: list[Assay], entries: list[EnteredCharacteristic],
) -> None:
    """Refuse a conclusion over a retest that nobody has reviewed, and one on a retest that there is not."""
    if verdict == RETEST_COUNTS and not worksheets and not entries:
        raise Refusal("no retest is on record that could count", where="verdict",
                      remedy="have a retest authorised and reviewed first, or choose another verdict")
    waiting = [one.identity for one in worksheets if one.stage != REVIEWED]
    keys = {one.pk for one in entries}
    waiting += [one.name for one in unchecked(identity) if one.pk in keys]
    if waiting:
        raise Refusal(f"the retest {' and '.join(waiting)} has not been reviewed", where=f"lot {identity}",
                      remedy="let a second person look at it first")


def _check_corrected(investigation: Investigation) -> None:
    about = Assay.objects.filter(about=investigation.lot).values("identity")
    if not Event.objects.filter(subject__in=about, kind__in=CORRECTIONS, number__gt=investigation.pk).exists():
        raise Refusal("nothing of the lot has been corrected since it was put on hold", where="verdict",
                      remedy="correct the worksheet first, with the reason, or choose another verdict")


def _concerned(found: Lot, worksheets: list[Assay], entries: list[EnteredCharacteristic]) -> set[str]:
    """Return the names of the characteristics that were tested again or do not conform."""
    specified = specified_of(found)
    methods = {one.method for one in worksheets}
    names = {str(one["name"]) for one in specified if one.get("method") in methods} | {one.name for one in entries}
    try:
        outcome = evaluate_lot(lot_file(found, whole=False), open_by_path)
    except Refusal:
        return names | {str(one["name"]) for one in specified if one.get("method")}
    return names | {one.name for one in outcome.characteristics
                    if one.decision and one.decision.decision in (DOES_NOT_CONFORM, NOT_PROVEN)}


def _check_own_work(found: Lot, person: Person, concerned: set[str], worksheets: list[Assay], do: str) -> None:
    """Refuse whoever has titrated, corrected, excluded or entered a result that an investigation is about."""
    specified = specified_of(found)
    methods = {str(one["method"]) for one in specified if one.get("method") and one["name"] in concerned}
    assays = Assay.objects.filter(about=found.identity, method__in=methods).exclude(stage=VOID)
    own = [one.identity for one in (*assays, *worksheets) if has_worked_on(person, one)]
    own += [one.name for one in entries_by(found.identity, concerned, person.identity)]
    if own:
        raise Refusal(f"{person.name} has worked on {' and '.join(dict.fromkeys(own))}", where=f"lot {found.identity}",
                      remedy=f"let another person in charge {do}: nobody judges their own result")


def _set_aside(
    found: Lot, verdict: str, worksheets: list[Assay], entries: list[EnteredCharacteristic],
) -> dict[str, list[Any]]:
    """Return what does not count from now on: the first results where the retest does, else the retest."""
    if verdict != RETEST_COUNTS:
        return {"worksheets": [one.identity for one in worksheets], "entries": [one.pk for one in entries]}
    methods, retests = {one.method for one in worksheets}, [one.identity for one in worksheets]
    first = Assay.objects.filter(about=found.identity, method__in=methods).exclude(pk__in=retests).order_by("identity")
    return {"worksheets": [one.identity for one in first],
            "entries": [int(one.content["retest_of_entry"]) for one in entries if one.content.get("retest_of_entry")]}


def _investigation(identity: str, *stages: str) -> Investigation:
    lot(identity)
    found = Investigation.objects.filter(lot=identity).order_by("id").last()
    if found is None or found.stage == CONCLUDED or found.stage not in stages:
        raise Refusal(f"no investigation of the lot {identity} waits for this", where=f"lot {identity}",
                      remedy="put the lot on hold first" if found is None or found.stage == CONCLUDED
                      else "the retest is authorised already")
    return found


def waits_for_retest(found: Lot) -> list[str]:
    """Return the names of the entered characteristics of a lot that can be entered again as a retest now."""
    event = authorised_now(found.identity)
    if event is None:
        return []
    done = {one.name for one in entered_under(event)}
    specified = specified_of(found)
    return [str(one["name"]) for one in specified if not one.get("method") and one["name"] not in done
            and entry_of(found.identity, one["name"])]
