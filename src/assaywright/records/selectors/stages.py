"""The stages of a lot, and in words what each still lacks."""

from dataclasses import dataclass
from typing import Any

from assaywright.records.models import Assay, EnteredCharacteristic, Lot
from assaywright.records.models.assays import IN_REVIEW, RETURNED, REVIEWED
from assaywright.records.models.lots import ON_HOLD, REJECTED

DONE, NOW, TO_COME, STOPPED = "done", "now", "to come", "stopped"
STAGES = ("made", "sampled", "assayed", "reviewed", "decided", "released", "certificate")
NOTHING = "nothing"
RELEASE = "release or rejection by an authorised signatory"
WORDS = {IN_REVIEW: "the review of {}", RETURNED: "the correction of {}"}


@dataclass(frozen=True)
class LotLine:
    """A lot as a list shows it."""

    identity: str
    product: str
    state: str
    stage: str
    waits_for: str
    made: str
    use_before: str


@dataclass(frozen=True)
class Stage:
    """One stage of a lot: its name, and whether it is done, now, to come or stopped."""

    name: str
    state: str


def missing_words(
    specified: dict[str, Any], assay: Assay | None, entry: EnteredCharacteristic | None, *, titrated: bool
) -> str:
    """Return in words what a characteristic still lacks, or an empty text.

    Arguments:
        assay, entry: those that count, or None.
        titrated: whether the assay has a determination.
    """
    name = specified["name"]
    if not specified.get("method"):
        if entry is None:
            return f"{name} to be entered"
        return "" if entry.content.get("checked_by") else f"the check of {name}"
    if assay is None:
        return f"the assay of {name}"
    if assay.stage == REVIEWED:
        return ""
    usual = "{} to be sent to review" if titrated else "the titrations of {}"
    return WORDS.get(assay.stage, usual).format(assay.identity)


def stage_states(lot: Lot, done: dict[str, bool]) -> tuple[Stage, ...]:
    """Return the stages of a lot from which of them are done: the first that is not is its present one."""
    found, now = [], False
    for name in STAGES:
        state = DONE if done[name] and not now else TO_COME
        if not now and not done[name]:
            state, now = (STOPPED if lot.state in (REJECTED, ON_HOLD) else NOW), True
        found.append(Stage(name, state))
    return tuple(found)
