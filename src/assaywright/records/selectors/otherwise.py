"""What a released lot waits for where its records say otherwise now than at its release.

A lot on whose worksheets and entries nothing has happened since is not evaluated anew: so a list of many lots stays
quick, and says the same of each as its page.
"""

from assaywright.assay.evaluate_lot import evaluate_lot
from assaywright.metrology.conformity import CONFORMS
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import lot_file, open_by_path, rests_on
from assaywright.records.investigated import entries_of
from assaywright.records.models import Assay, Certificate, Event, Lot
from assaywright.records.selectors.above import differing

TO_INVESTIGATE = "investigation, withdrawal or recall"
TO_AMEND = "an amended certificate"


def waits_otherwise(lot: Lot, *, outdated: bool) -> str:
    """Return in words what a released lot waits for since its records changed, or an empty text.

    Arguments:
        outdated: whether a certificate in force states the lot's heading as it was before.
    """
    if outdated_result := _moved(lot):
        if _no_longer_conforms(lot):
            return TO_INVESTIGATE
        in_force = Certificate.objects.filter(lot=lot.identity, worksheet="", superseded_by="").last()
        outdated_result = bool(in_force and not in_force.content.get("withdrawn") and differing(lot))
    return TO_AMEND if outdated or outdated_result else ""


def _moved(lot: Lot) -> bool:
    """Return whether anything happened to the lot, its entries or a worksheet below it since it was released."""
    released = Event.objects.filter(subject=lot.identity, kind="lot.released").order_by("number").last()
    if released is None:
        return False
    found = {one.identity: one for one in Assay.objects.filter(about=lot.identity)}
    waiting = list(found.values())
    while waiting:
        below = {number for one in waiting for number in rests_on(one)} - found.keys()
        waiting = list(Assay.objects.filter(pk__in=below))
        found.update((one.identity, one) for one in waiting)
    latest = [lot.version, *(one.version for one in found.values()), *(one.pk for one in entries_of(lot.identity))]
    return max(latest) > released.number


def _no_longer_conforms(lot: Lot) -> bool:
    try:
        outcome = evaluate_lot(lot_file(lot, whole=False), open_by_path)
    except Refusal:
        return False
    return any(one.decision and one.decision.decision != CONFORMS for one in outcome.characteristics)
