"""Irregularities that an authorised person has accepted: the result goes, and says with what and why it went.

A remark that holds a result back says that somebody has to judge, not that the result is wrong. Some remarks are no
matter of judgement, though, and no reason lets them pass: see :data:`NEVER_ACCEPTED`.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from assaywright.assay.evaluate_lot import LotOutcome
from assaywright.assay.observations import Worksheet
from assaywright.assay.plain_words import plain_words
from assaywright.assay.result import ChainLink
from assaywright.metrology.remarks import Remark

NEVER_ACCEPTED = {
    "out-of-specification": "a result outside its limits",
    "characteristic-undecided": "a characteristic that is not shown to conform",
    "lot-differs": "a worksheet of another lot",
    "one-identity-twice": "two worksheets of one number",
    "titrant-to-be-restandardised": "a titrant that is to be restandardised first",
    "reviewer-is-analyst": "a review of one’s own work",
}
"""Kinds of remarks that are never accepted, each with what it is of."""


@dataclass(frozen=True, slots=True)
class AcceptedIrregularity:
    """A remark that held something back, and why an authorised person let it pass.

    Fields:
        kind, where, what: of the remark; one that reads otherwise is another one, and holds again.
        reason: as given.
        by, function: name of the person, and as what they accepted it.
        day: as year-month-day.
    """

    kind: str
    where: str
    what: str
    reason: str
    by: str
    function: str
    day: str

    def on_paper(self) -> "AcceptedIrregularity":
        """Return the same as a certificate prints it, which speaks of no file."""
        return replace(self, where=plain_words(self.where), what=plain_words(self.what))

    def is_of(self, remark: Remark) -> bool:
        """Return whether this very remark was accepted."""
        return (self.kind, self.where, self.what) == (remark.kind, remark.where, remark.what)


def standing(remarks: Iterable[Remark], accepted: Iterable[AcceptedIrregularity]) -> tuple[AcceptedIrregularity, ...]:
    """Return those acceptances that concern remarks which hold something back and may be accepted at all."""
    held = [one for one in remarks if one.holds and one.kind not in NEVER_ACCEPTED]
    return tuple(dict.fromkeys(one for one in accepted if any(one.is_of(remark) for remark in held)))


def let_pass(remark: Remark, accepted: Iterable[AcceptedIrregularity]) -> AcceptedIrregularity | None:
    """Return how a remark that holds a worksheet back was let pass for it or its lot; None where it was not.

    Arguments:
        remark: that holds.
        accepted: for that worksheet and that lot, wherever the remark was told.
    """
    if remark.kind in NEVER_ACCEPTED:
        return None
    return next((one for one in accepted if (one.kind, one.what) == (remark.kind, remark.what)), None)


def with_accepted(outcome: LotOutcome, accepted: Iterable[AcceptedIrregularity]) -> LotOutcome:
    """Return a lot's outcome with what was accepted of its remarks, which then no longer holds it back."""
    return replace(outcome, accepted=standing(outcome.remarks, accepted))


def let_pass_below(outcome: LotOutcome, worksheets: Iterable[Worksheet]) -> tuple[AcceptedIrregularity, ...]:
    """Return what was let pass of standardisations, as far as their values enter the lot's results.

    Arguments:
        outcome: of the lot.
        worksheets: every one that was evaluated for it, whose solutions state what was let pass.
    """
    entering = {name for one in outcome.outcomes for name in _results_of(one.chain)}
    return tuple(dict.fromkeys(
        AcceptedIrregularity(one.kind, f"worksheet {one.worksheet}", one.what, one.reason, one.by, one.function,
                             one.day.isoformat())
        for sheet in sorted(worksheets, key=lambda one: one.identity) if sheet.identity in entering
        for solution in (sheet.titrant, sheet.reagent, sheet.against) if solution is not None
        for one in solution.accepted if one.worksheet in entering))


def _results_of(link: ChainLink) -> Iterator[str]:
    if link.kind == "result":
        yield link.identity
    for below in link.rests_on:
        yield from _results_of(below)
