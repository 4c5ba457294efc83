"""A later edition of the specification applied to a lot that was entered before it: asked for, answered for, shown."""

from assaywright.actions.assays import has_worked_on
from assaywright.actions.characteristics import entries_by
from assaywright.actions.equipment import IN_CHARGE
from assaywright.actions.lots import open_lot
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.records.investigated import entries_of
from assaywright.records.limits import lot_ever_outside
from assaywright.records.log import append
from assaywright.records.models import Assay, Event, Investigation, Lot, Person, ProductEdition
from assaywright.records.projections.lots import CONCLUDED
from assaywright.records.specified import edition_of, newest_of


@repeatable
def lot_respecify(*, identity: str, by: str, reason: str, expected: int | None = None, act: str = "") -> Event:
    """Judge a lot by the newest edition of its product's specification from now on.

    Raises:
        Refusal: no such lot, something has been decided about it, it is on hold, it is judged by the newest edition
            already, ``by`` made an edition that would be applied, or has worked on a result of the lot, a result of it
            lay outside its limits and no investigation was concluded, no reason, or ``by`` may not.
    """
    person = demand(by, *IN_CHARGE)
    found = open_lot(identity)
    before, newest = edition_of(found), newest_of(found)
    reason = needed(reason, "the reason", "reason")
    if before.edition == newest.edition:
        raise Refusal(f"the lot {identity} is judged by edition {newest.edition} already, the newest one",
                      where=f"lot {identity}", remedy="revise the product first, if its specification is to change")
    _check_others(person, found, before, newest)
    outside = lot_ever_outside(found)
    if outside and not Investigation.objects.filter(lot=identity, stage=CONCLUDED).exists():
        raise Refusal(f"a result of the lot lies or lay outside its limits ({' and '.join(outside)}), and limits are "
                      "not changed in answer to a result", where=f"lot {identity}",
                      remedy="put the lot on hold and investigate first")
    return append("lot.respecified", subject=identity, by=by, act=act, reason=reason, expected=expected,
                  seen=found.version, payload={"before": before.edition, "edition": newest.edition})


def _check_others(person: Person, found: Lot, before: ProductEdition, newest: ProductEdition) -> None:
    """Refuse whoever made an edition that would be applied, and whoever has worked on a result of the lot."""
    between = ProductEdition.objects.filter(product=found.product, id__gt=before.pk, id__lte=newest.pk).values("id")
    if Event.objects.filter(number__in=between, by=person.identity).exists():
        raise Refusal(f"{person.name} has revised the product {found.product}", where=f"lot {found.identity}",
                      remedy="let another person in charge apply it: nobody changes the limits that a lot is judged by "
                             "alone")
    own = [one.identity for one in Assay.objects.filter(about=found.identity) if has_worked_on(person, one)]
    own += [one.name for one in entries_by(
        found.identity, {entry.name for entry in entries_of(found.identity)}, person.identity)]
    if own:
        raise Refusal(f"{person.name} has worked on {' and '.join(own)}", where=f"lot {found.identity}",
                      remedy="let another person in charge apply it: nobody changes the limits of their own result")
