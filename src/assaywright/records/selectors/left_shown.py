"""What was left at the bench as a reviewer sees it: what it would have given, and what was asked and never answered."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from assaywright.assay.result import Outcome
from assaywright.assay.working_document import StatedResult, working_document
from assaywright.metrology.refusal import Refusal
from assaywright.records import days
from assaywright.records.models import Assay, Determination, KeptReading
from assaywright.records.origins import day_of_work
from assaywright.records.readings import BLANK, asked_of, determination_of
from assaywright.records.selectors.assays import outcome_of, previewed
from assaywright.records.selectors.bench_live import open_questions
from assaywright.records.selectors.left_at_bench import LeftPlace


@dataclass(frozen=True, slots=True)
class LeftShown:
    """What is left of one determination, with what would have come of it.

    Fields:
        left: as typed.
        own: its result alone, with the unit; empty where none can be computed, and ``trouble`` says why.
        mean: the result of the worksheet with it, with its expanded uncertainty; ``number`` determinations count.
        without: the result of the worksheet as it stands.
        holds: what would hold the result back with it and does not now.
        unanswered: questions that its readings ask and nobody has confirmed.
        typed: the reason why it does not count, as it stands in a form.
    """

    left: LeftPlace
    own: str = ""
    mean: str = ""
    number: int = 0
    without: str = ""
    holds: tuple[str, ...] = ()
    unanswered: tuple[str, ...] = ()
    trouble: str = ""
    typed: str = ""

    @property
    def field(self) -> str:
        """Name of the form's field for the reason why it does not count."""
        return f"left-{self.left.place}"


def left_shown(assay: Assay, left: tuple[LeftPlace, ...], typed: Mapping[str, str] | None = None) -> (
        tuple[LeftShown, ...]):
    """Return what was left of a worksheet at the bench, each with what would have come of it.

    Arguments:
        typed: fields of a form with reasons, to be shown again.
    """
    if not left:
        return ()
    now, said = outcome_of(assay)[0], typed or {}
    return tuple(replace(found, typed=said.get(found.field, one.reason))
                 for one in left for found in [_shown(assay, one, now)])


def _shown(assay: Assay, left: LeftPlace, now: Outcome | None) -> LeftShown:
    kept = {one.name: one for one in KeptReading.objects.filter(assay=assay.identity, place=left.place)}
    texts = {name: row.text for name, row in kept.items()} | {one.name: one.typed for one in left.readings}
    texts = {name: text for name, text in texts.items() if text.strip()}
    day = max((days.local(row.at).date() for row in kept.values()), default=days.today())
    asked = _unanswered(assay, texts, left.place, day_of_work(assay, left.place, day))
    if left.place == BLANK:
        return LeftShown(left, unanswered=asked)
    outcome, trouble = previewed(assay, determination_of(asked_of(assay), assay.content, texts), left.place)
    if outcome is None:
        return LeftShown(left, unanswered=asked, trouble=trouble if left.whole else "")
    document = working_document(outcome)
    numbers = [*Determination.objects.filter(assay=assay.identity).order_by("place").values_list("place", flat=True)]
    at = sum(1 for one in numbers if one < left.place)  # determinations stand in the order of their numbers
    held = {one.what for one in now.remarks if one.holds} if now else set()
    return LeftShown(
        left, f"{document.replicates[at].value} {document.results[0].unit}", _printed(document.results[0]),
        outcome.statistics.number, _printed(working_document(now).results[0]) if now else "",
        tuple(one.what for one in outcome.remarks if one.holds and one.what not in held), asked)


def _printed(one: StatedResult) -> str:
    return f"({one.value} ± {one.uncertainty}) {one.unit}" if one.uncertainty else f"{one.value} {one.unit}"


def _unanswered(assay: Assay, texts: dict[str, str], place: int, day: date | None) -> tuple[str, ...]:
    try:
        return tuple(f"{one.name.replace('_', ' ')} {one.text}: {one.sentence}"
                     for one in open_questions(assay, texts, place, day))
    except Refusal as refusal:
        return (str(refusal),)
