"""A second person compares an entered calibration, or a reference material's certificate, with the paper."""

from assaywright.actions.equipment import IN_CHARGE
from assaywright.actions.permission import demand
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.records.log import append
from assaywright.records.models import Event
from assaywright.records.unchecked import unchecked

CHECK_MEANING = "I have compared what was entered with the certificate itself, and it agrees"


@repeatable
def instrument_check(*, identity: str, entry: int, by: str, act: str = "") -> Event:
    """Record that somebody in charge compared a calibration as it was entered with its certificate.

    Arguments:
        identity: number of the instrument.
        entry: number of the event that entered the calibration.

    Raises:
        Refusal: nothing of that number waits, ``by`` entered it, or may not.
    """
    return _checked("instrument.checked", identity, entry, by, act, is_material=False)


@repeatable
def material_check(*, identity: str, entry: int, by: str, act: str = "") -> Event:
    """Record that somebody in charge compared a reference material as it was entered with its certificate.

    Arguments:
        identity: number of the reference material.
        entry: number of the event that received it.

    Raises:
        Refusal: nothing of that number waits, ``by`` entered it, or may not.
    """
    return _checked("material.checked", identity, entry, by, act, is_material=True)


def _checked(kind: str, identity: str, entry: int, by: str, act: str, *, is_material: bool) -> Event:
    person = demand(by, *IN_CHARGE)
    waiting = {one.number: one for one in unchecked(identity) if one.is_material == is_material}
    found = Refusal.unless(waiting.get(entry), f"nothing of {identity} that was entered so waits to be compared",
                           where="certificate", remedy="reload the page and look at its history")
    if found.by == by:
        raise Refusal(f"{person.name} entered it", where="certificate",
                      remedy="let somebody else in charge compare it: nobody checks their own entry")
    return append(kind, subject=identity, by=by, act=act, payload={
        "entry": entry, "certificate": found.certificate, "meaning": CHECK_MEANING})
