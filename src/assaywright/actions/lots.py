"""Lots: made, sampled, held, retested by plan, released or rejected; bottles opened; characteristics entered."""

from typing import Any

from assaywright.actions.equipment import IN_CHARGE, WORKERS
from assaywright.actions.permission import demand
from assaywright.actions.reasons import day, last_day, needed, number, past_day
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import evaluate_lot_record, rests_on
from assaywright.records.log import append
from assaywright.records.models import Assay, Bottle, Event, Investigation, Lot, Product
from assaywright.records.models.assays import REVIEWED
from assaywright.records.models.lots import ON_HOLD, REJECTED, RELEASED
from assaywright.records.models.people import SIGNATORY
from assaywright.records.projections.lots import CONCLUDED, OPEN, RETEST
from assaywright.records.untouched import demand_untouched

RELEASED_MEANING = "Every characteristic is decided and every assay reviewed; I release this lot"


@repeatable
def lot_make(*, identity: str, table: dict[str, Any], by: str, quantity: str = "", act: str = "") -> Event:
    """Enter a lot of a product.

    Arguments:
        table: product, maker, made, use_before, storage, hazards … as a lot file states them.

    Raises:
        Refusal: the number is taken, no such product, or ``by`` may not.
    """
    demand(by, *WORKERS)
    identity = number(identity, "the lot number", "number")
    if Lot.objects.filter(pk=identity).exists():
        raise Refusal(f"there is a lot {identity} already", where="number", remedy="check the number on the label")
    table = {**table, **{key: last_day(str(table[key]), key) for key in ("made", "use_before")
                         if isinstance(table.get(key), str)}}
    product = str(table.get("product", ""))
    if not Product.objects.filter(pk=product).exists():
        raise Refusal(f"there is no product '{product}'", where="product", remedy="define it first")
    return append("lot.made", subject=identity, by=by, act=act, payload={"table": table, "quantity": quantity})


@repeatable
def lot_sample(*, identity: str, taken: str, where: str, by: str, retained_until: str = "", act: str = "") -> Event:
    """Record that a sample was taken, where, and until when what is left is kept.

    Raises:
        Refusal: no such lot, or ``by`` may not.
    """
    demand(by, *WORKERS)
    lot(identity)
    return append("lot.sampled", subject=identity, by=by, act=act, payload={
        "taken": past_day(taken, "taken"), "where": needed(where, "the place", "where"),
        "retained_until": day(retained_until, "retained until") if retained_until.strip() else ""})


@repeatable
def bottle_open(*, identity: str, of: str, opened: str, by: str, act: str = "") -> Event:
    """Record that a bottle was opened: its in-use life begins.

    Raises:
        Refusal: it is open already, or ``by`` may not.
    """
    demand(by, *WORKERS)
    identity = number(identity, "the number", "bottle")
    if Bottle.objects.filter(pk=identity).exists():
        raise Refusal(f"the bottle {identity} is open already", where="bottle", remedy="check the number on the label")
    return append("bottle.opened", subject=identity, by=by, act=act,
                  payload={"lot": of, "opened": past_day(opened, "opened")})


@repeatable
def characteristic_enter(*, identity: str, table: dict[str, Any], by: str, reason: str = "", act: str = "") -> Event:
    """Enter a characteristic that was not titrated, with its source. A second entry needs a reason; the first stays.

    Arguments:
        table: name, and value, less_than or found with satisfied, and source.

    Raises:
        Refusal: the product's specification has no such characteristic, no source, a lot file would refuse the entry,
            a second entry without a reason, or ``by`` may not.
    """
    from assaywright.assay.worksheet import FORMAT, read_bytes
    from assaywright.records.models import EnteredCharacteristic
    from assaywright.records.toml_text import toml_text

    demand(by, *WORKERS)
    entered_in = _undecided_lot(identity)
    name = str(table.get("name", ""))
    specified = {one["name"]: one for one in Product.objects.get(pk=entered_in.product).content["characteristics"]}
    if name not in specified:
        raise Refusal(f"the specification has no characteristic '{name}'", where="characteristic",
                      remedy=f"choose among {', '.join(specified)}")
    if specified[name].get("method"):
        raise Refusal(f"'{name}' is titrated", where="characteristic", remedy="begin its assay")
    needed(str(table.get("source", "")), "the source", "source")
    whole = {"format": FORMAT, "kind": "lot", "id": identity, "product": entered_in.product, "maker": "none",
             "characteristic": [{**specified[name], **table}]}
    read_bytes(toml_text(whole).encode(), "entry")
    if EnteredCharacteristic.objects.filter(lot=identity, name=name).exists():
        reason = needed(reason, "the reason for entering it again", "reason")
    return append("characteristic.entered", subject=identity, by=by, act=act, payload={"table": table}, reason=reason)


# --- out of specification ---------------------------------------------------------------------------------------------


@repeatable
def lot_hold(*, identity: str, by: str, reason: str, act: str = "") -> Event:
    """Put a lot on hold and open an investigation.

    Raises:
        Refusal: no such lot, it is held, released or rejected already, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    _undecided_lot(identity)
    return append("lot.held", subject=identity, by=by, act=act, reason=needed(reason, "the reason", "reason"),
                  payload={})


@repeatable
def retest_authorise(*, identity: str, checks: dict[str, str], plan: str, by: str, act: str = "") -> Event:
    """Authorise a retest by plan, once the laboratory's own check list has been gone through.

    Arguments:
        checks: question of the check list to what was found.
        plan: how many determinations of what sample by whom, decided before anything is titrated.

    Raises:
        Refusal: no investigation is open, a check is unanswered, there is no plan, or ``by`` may not.
    """
    demand(by, *IN_CHARGE)
    _investigation(identity, OPEN)
    for question, found in checks.items():
        needed(found, f"the answer to “{question}”", "check list")
    if not checks:
        raise Refusal("the check list is empty", where="check list", remedy="go through it first")
    return append("retest.authorised", subject=identity, by=by, act=act,
                  payload={"checks": checks, "plan": needed(plan, "the plan", "plan")})


@repeatable
def investigation_conclude(*, identity: str, conclusion: str, by: str, act: str = "") -> Event:
    """Conclude an investigation; the first result stays on record, whatever was found.

    Raises:
        Refusal: no investigation is open, no conclusion, or ``by`` may not.
    """
    demand(by, *IN_CHARGE)
    _investigation(identity, OPEN, RETEST)
    return append("investigation.concluded", subject=identity, by=by, act=act,
                  payload={"conclusion": needed(conclusion, "the conclusion", "conclusion")})


@repeatable
def lot_release(*, identity: str, by: str, act: str = "", expected: int | None = None) -> Event:
    """Release a lot: every characteristic decided and conforming, every assay reviewed, nothing holding it back.

    Raises:
        Refusal: something is undecided, unreviewed, irregular or outside its limits, the lot is held, or ``by`` may
            not.
    """
    demand(by, SIGNATORY)
    demand_untouched(identity, by)
    found = _undecided_lot(identity)
    outcome = evaluate_lot_record(found)
    numbers = [one.worksheet.identity for one in outcome.outcomes]
    if unreviewed := unreviewed_below(numbers):
        raise Refusal(f"{' and '.join(unreviewed)} {'has' if len(unreviewed) == 1 else 'have'} not been reviewed",
                      where=f"lot {identity}", remedy="let a second person look at it first")
    if not outcome.releasable:
        first = outcome.holds[0]
        raise Refusal(first.what, where=f"lot {identity}", remedy=first.remedy)
    return append("lot.released", subject=identity, by=by, act=act, expected=expected, seen=found.version, payload={
        "characteristics": [one.name for one in outcome.characteristics], "worksheets": numbers,
        "meaning": RELEASED_MEANING})


def unreviewed_below(numbers: list[str]) -> list[str]:
    """Return which of some assays, and of the standardisations that they rest on, nobody has signed as reviewer."""
    found: dict[str, Assay] = {}
    waiting = list(numbers)
    while waiting:
        for assay in Assay.objects.filter(pk__in=waiting):
            found[assay.identity] = assay
        waiting = [one for assay in list(found.values()) for one in rests_on(assay) if one not in found]
    return sorted(one.identity for one in found.values() if one.stage != REVIEWED)


@repeatable
def lot_reject(*, identity: str, by: str, reason: str, act: str = "") -> Event:
    """Reject a lot.

    Raises:
        Refusal: no such lot, released or rejected already, no reason, or ``by`` may not.
    """
    demand(by, SIGNATORY)
    found = lot(identity)
    if found.state in (RELEASED, REJECTED):
        raise Refusal(f"the lot {identity} is {found.state} already", where=f"lot {identity}",
                      remedy="look at its history")
    return append("lot.rejected", subject=identity, by=by, act=act, payload={},
                  reason=needed(reason, "the reason", "reason"))


def lot(identity: str) -> Lot:
    """Return a lot.

    Raises:
        Refusal: there is none of that number.
    """
    return Refusal.unless(Lot.objects.filter(pk=identity).first(), f"there is no lot {identity}", where="number",
                          remedy="choose one from the list")


def _undecided_lot(identity: str) -> Lot:
    found = lot(identity)
    if found.state in (RELEASED, REJECTED):
        raise Refusal(f"the lot {identity} is {found.state} already", where=f"lot {identity}",
                      remedy="look at its history")
    if found.state == ON_HOLD:
        raise Refusal(f"the lot {identity} is on hold", where=f"lot {identity}",
                      remedy="conclude the investigation first")
    return found


def _investigation(identity: str, *stages: str) -> Investigation:
    lot(identity)
    found = Investigation.objects.filter(lot=identity).order_by("id").last()
    if found is None or found.stage == CONCLUDED or found.stage not in stages:
        raise Refusal(f"no investigation of the lot {identity} waits for this", where=f"lot {identity}",
                      remedy="put the lot on hold first" if found is None or found.stage == CONCLUDED
                      else "the retest is authorised already")
    return found
