"""Where many lots stand at once: for a page of a list a dozen questions to the database, however many lots are on it.

It says of each lot what :mod:`assaywright.records.selectors.lots` says of one. Lots that were investigated are few, and
are asked about one by one there. So are released lots of which something was changed since, up to a number of them:
whether their figures are still what was certified takes an evaluation each, and one standardisation can lie below
hundreds.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from assaywright.records.bridge import rests_on
from assaywright.records.models import (
    Assay,
    Certificate,
    Determination,
    EnteredCharacteristic,
    Event,
    Investigation,
    Lot,
    Sample,
    Signature,
)
from assaywright.records.models.assays import IN_REVIEW, REVIEWED, VOID
from assaywright.records.models.lots import MADE, ON_HOLD, RECALLED, REJECTED, RELEASED
from assaywright.records.sampled import stated_with
from assaywright.records.selectors.lots import stages_of, waits_for
from assaywright.records.selectors.stages import (
    DONE,
    NOTHING,
    RELEASE,
    STOPPED,
    LotLine,
    missing_words,
    stage_states,
)
from assaywright.records.specified import editions_of

BEGUN = ("assay.begun", "assay.imported")
EVALUATED = 8  # released lots of a list that are evaluated to say what they wait for; takes about 0.3 s each
CHANGED_SINCE = "a look at its page: something behind it was changed since its release"


def lot_lines_of(lots: Sequence[Lot]) -> list[LotLine]:
    """Return lots as a list shows them, in their order, each with what it waits for."""
    around = _Around(lots)
    return [around.line(one) for one in lots]


def undecided() -> int:
    """Return how many lots are neither released nor rejected."""
    return Lot.objects.filter(state__in=(MADE, ON_HOLD)).count()


def lot_lines() -> list[LotLine]:
    """Return every lot, those that wait for something first; for a list that may be long take its pages."""
    found = lot_lines_of(list(Lot.objects.order_by("identity")))
    return sorted(found, key=lambda one: (one.waits_for == NOTHING, one.identity))


class _Around:
    """What the records hold around some lots."""

    def __init__(self, lots: Sequence[Lot]) -> None:
        numbers = [one.identity for one in lots]
        self.specified: dict[str, list[dict[str, Any]]] = {
            number: edition.content.get("characteristics", []) for number, edition in editions_of(lots).items()}
        self.investigated = set(Investigation.objects.filter(lot__in=numbers).values_list("lot", flat=True))
        self.sampled = set(Sample.objects.filter(lot__in=numbers).values_list("lot", flat=True))
        self.released = dict(Event.objects.filter(subject__in=numbers, kind="lot.released").values_list(
            "subject", "number"))
        self.certified = set(Certificate.objects.filter(lot__in=numbers, worksheet="").values_list("lot", flat=True))
        self.entries: dict[tuple[str, str], EnteredCharacteristic] = {
            (one.lot, one.name): one for one in EnteredCharacteristic.objects.filter(lot__in=numbers).order_by("id")}
        assays = list(Assay.objects.filter(about__in=numbers).exclude(stage=VOID))
        known = [one.identity for one in assays]
        acts = list(Event.objects.filter(subject__in=known, kind__in=BEGUN).values_list("subject", "kind", "number"))
        begun = {subject: number for subject, _, number in acts}
        brought_in = {subject for subject, kind, _ in acts if kind == "assay.imported"}
        self.imported: dict[str, list[Assay]] = defaultdict(list)
        for one in assays:
            if one.identity in brought_in:
                self.imported[one.about].append(one)
        self.of_lot: dict[tuple[str, str], list[Assay]] = defaultdict(list)
        for one in sorted(assays, key=lambda one: begun.get(one.identity, 0)):
            self.of_lot[one.about, one.method].append(one)
        self.several = {number for (number, _), found in self.of_lot.items() if len(found) > 1}
        self.titrated = set(Determination.objects.filter(assay__in=known).values_list("assay", flat=True))
        self.below = _with_what_they_rest_on(assays)
        self.signed = set(Signature.objects.filter(subject__in=list(self.below)).values_list("subject", flat=True))
        self.evaluated = 0

    def line(self, lot: Lot) -> LotLine:
        """Return one lot as a list shows it."""
        specified = self.specified.get(lot.identity, [])
        moved = self._moved(lot)
        self.evaluated += moved
        if lot.identity in self.investigated or lot.identity in self.several or (moved and self.evaluated <= EVALUATED):
            waits, stages = waits_for(lot, specified), stages_of(lot, specified)
        else:
            waits, stages = self._waits_for(lot, specified), stage_states(lot, self._done(lot, specified))
            waits = CHANGED_SINCE if moved and waits == NOTHING else waits
        stage = next((one.name for one in reversed(stages) if one.state in (DONE, STOPPED)), "made")
        return LotLine(lot.identity, lot.product, lot.state, stage, waits, lot.made, lot.use_before)

    def _moved(self, lot: Lot) -> bool:
        """Return whether anything happened since the lot was released that its records may say otherwise for."""
        if lot.state != RELEASED or lot.identity not in self.released:
            return False
        found: set[str] = set()
        waiting = [one.identity for (number, _), every in self.of_lot.items() if number == lot.identity
                   for one in every]
        while waiting:
            number = waiting.pop()
            if number not in found and number in self.below:
                found.add(number)
                waiting += rests_on(self.below[number])
        entered = [one.id for (number, _), one in self.entries.items() if number == lot.identity]
        return max([lot.version, *entered, *(self.below[one].version for one in found)]) > self.released[lot.identity]

    def _assay(self, lot: Lot, method: str) -> Assay | None:
        found = self.of_lot.get((lot.identity, method), [])
        return next(reversed([one for one in found if one.identity in self.signed] or found), None)

    def _waits_for(self, lot: Lot, specified: list[dict[str, Any]]) -> str:
        if lot.state in (REJECTED, RECALLED):
            return NOTHING
        if lot.state == RELEASED:
            if reopened := self._reopened(lot, specified):
                return f"the review of {' and '.join(reopened)}, reopened after release"
            return NOTHING if lot.identity in self.certified else "its certificate"
        missing = (self._missing(lot, one) for one in specified)
        return next(filter(None, missing), RELEASE)

    def _missing(self, lot: Lot, one: dict[str, Any]) -> str:
        assay = self._assay(lot, str(one.get("method", "")))
        entry = self.entries.get((lot.identity, one["name"]))
        return missing_words(one, assay, entry, titrated=assay is not None and assay.identity in self.titrated)

    def _reopened(self, lot: Lot, specified: list[dict[str, Any]]) -> list[str]:
        found: set[str] = set()
        methods = [one["method"] for one in specified if one.get("method")]
        waiting = [one.identity for method in methods if (one := self._assay(lot, method))]
        while waiting:
            number = waiting.pop()
            if number not in found and number in self.below:
                found.add(number)
                waiting += rests_on(self.below[number])
        return sorted(one for one in found if self.below[one].stage != REVIEWED and one in self.signed)

    def _done(self, lot: Lot, specified: list[dict[str, Any]]) -> dict[str, bool]:
        assays = [self._assay(lot, one["method"]) for one in specified if one.get("method")]
        unchecked = any(not one.content.get("checked_by") for (number, _), one in self.entries.items()
                        if number == lot.identity)
        released = lot.state in (RELEASED, RECALLED)
        return {
            "made": True, "sampled": lot.identity in self.sampled or stated_with(lot, self.imported[lot.identity]),
            "assayed": all(one is not None and one.stage in (IN_REVIEW, REVIEWED) for one in assays),
            "reviewed": all(one is not None and one.stage == REVIEWED for one in assays) and not unchecked,
            "decided": released, "released": released, "certificate": lot.identity in self.certified,
        }


def _with_what_they_rest_on(assays: Iterable[Assay]) -> dict[str, Assay]:
    """Return assays and everything that they rest on, by number."""
    found = {one.identity: one for one in assays}
    waiting = {number for one in found.values() for number in rests_on(one)} - found.keys()
    while waiting:
        layer = {one.identity: one for one in Assay.objects.filter(pk__in=waiting)}
        found |= layer
        waiting = {number for one in layer.values() for number in rests_on(one)} - found.keys()
    return found
