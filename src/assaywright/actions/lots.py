"""Lots: made, amended, sampled, held, released, rejected, recalled; bottles opened."""

from typing import Any

from assaywright.actions.equipment import WORKERS
from assaywright.actions.lot_heading import FROM_PRODUCT, after_made, changed, checked_heading, nothing_before
from assaywright.actions.names import number
from assaywright.actions.passwords import demand_no_link_of_own
from assaywright.actions.permission import demand
from assaywright.actions.reasons import day, needed, past_day
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import evaluate_lot_record, unreviewed_below
from assaywright.records.investigated import entry_of, unchecked
from assaywright.records.limits import uninvestigated
from assaywright.records.log import append
from assaywright.records.models import Bottle, Certificate, Event, Lot, Product
from assaywright.records.models.lots import MADE, ON_HOLD, RECALLED, REJECTED, RELEASED
from assaywright.records.models.people import SIGNATORY
from assaywright.records.parallel import open_of
from assaywright.records.sampled import is_sampled
from assaywright.records.signed_content import content_signed
from assaywright.records.specified import specified_of
from assaywright.records.toml_text import day_text
from assaywright.records.untouched import demand_untouched

RELEASED_MEANING = "Every characteristic is decided and every assay reviewed; I release this lot"
RECALLED_MEANING = "This lot is not to be used; I recall it and withdraw its certificates"
OVER = (RELEASED, REJECTED, RECALLED)
NOT_TO_BE_USED = (REJECTED, RECALLED)


@repeatable
def lot_make(*, identity: str, table: dict[str, Any], by: str, quantity: str = "", act: str = "") -> Event:
    """Enter a lot of a product; it is judged by the edition of the specification that is in force now.

    Arguments:
        table: product, maker, made, use_before, storage, hazards … as a lot file states them; the product's own maker,
            storage, hazards and cautions stand where it says nothing.
        quantity: "200 L", "25 kg" or "200 × 1 L".

    Raises:
        Refusal: the number is taken, no such product, the heading cannot be, or ``by`` may not.
    """
    demand(by, *WORKERS)
    identity = number(identity, "the lot number", "number", among=Lot)
    if Lot.objects.filter(pk=identity).exists():
        raise Refusal(f"there is a lot {identity} already", where="number", remedy="check the number on the label")
    name = str(table.get("product", ""))
    product = Refusal.unless(Product.objects.filter(pk=name).first(), f"there is no product '{name}'", where="product",
                             remedy="define it first")
    known = {key: value for key, value in product.content.items() if key in FROM_PRODUCT}
    table = {**known, **{key: value for key, value in table.items() if value not in ("", [])}}
    checked_heading(table, quantity)
    return append("lot.made", subject=identity, by=by, act=act, payload={
        "table": table, "quantity": quantity, "edition": product.edition})


@repeatable
def lot_amend(
    *, identity: str, fields: dict[str, str], by: str, reason: str, expected: int | None = None, act: str = "",
) -> Event:
    """Amend the heading of a lot; the old one stays on record. After its release, an authorised signatory does.

    Arguments:
        fields: of made, use_before, quantity, maker, storage and customer, what they are to say; the others stay.

    Raises:
        Refusal: no such lot, nothing changes, the heading cannot be, no reason, or ``by`` may not.
    """
    found = lot(identity)
    demand(by, *(SIGNATORY,) if found.state in OVER else WORKERS)
    before = found.content
    heading = changed(before, fields)
    after = {**before, **heading}
    checked_heading(after, str(after.get("quantity", "")))
    nothing_before(identity, day_text(after.get("made")))
    reason = needed(reason, "the reason", "reason")
    if not heading:
        raise Refusal("nothing of the heading changes", where=f"lot {identity}", remedy="correct what is wrong in it")
    changes = [[key.replace("_", " "), day_text(before.get(key)), day_text(value)] for key, value in heading.items()]
    return append("lot.amended", subject=identity, by=by, act=act, reason=reason, expected=expected,
                  seen=found.version, payload={"heading": heading, "changes": changes})


@repeatable
def lot_sample(
    *, identity: str, taken: str, where: str, by: str, retained_until: str = "", expected: int | None = None,
    act: str = "",
) -> Event:
    """Record that a sample was taken, where, and until when what is left is kept.

    Raises:
        Refusal: no such lot, it was made later, or ``by`` may not.
    """
    demand(by, *WORKERS)
    found = lot(identity)
    taken = past_day(taken, "taken")
    after_made(found.made, taken, "sampled", "taken")
    return append("lot.sampled", subject=identity, by=by, act=act, expected=expected, seen=found.version, payload={
        "taken": taken, "where": needed(where, "the place", "where"),
        "retained_until": _kept_until(retained_until, taken)})


def _kept_until(text: str, taken: str) -> str:
    """Return until when the rest of a sample is kept, or nothing; refuse a day before it was taken."""
    kept = day(text, "retained until") if text.strip() else ""
    if kept and kept < taken:
        raise Refusal(f"{kept} is before the sample was taken, {taken}", where="retained until",
                      remedy="check the two dates")
    return kept


@repeatable
def bottle_open(*, identity: str, of: str, opened: str, by: str, act: str = "") -> Event:
    """Record that a bottle was opened: its in-use life begins.

    Raises:
        Refusal: it is open already, its lot was made later, is rejected or recalled, or ``by`` may not.
    """
    demand(by, *WORKERS)
    identity = number(identity, "the number", "bottle", among=Bottle)
    if Bottle.objects.filter(pk=identity).exists():
        raise Refusal(f"the bottle {identity} is open already", where="bottle", remedy="check the number on the label")
    opened = past_day(opened, "opened")
    if (found := Lot.objects.filter(pk=of).first()) is not None:
        if found.state in NOT_TO_BE_USED:
            raise Refusal(f"the lot {of} is {found.state}, and no bottle of it is to be used", where="bottle",
                          remedy="put the bottle aside, and take one of another lot")
        after_made(found.made, opened, "opened", "opened")
    return append("bottle.opened", subject=identity, by=by, act=act, payload={"lot": of, "opened": opened})


# --- out of specification ---------------------------------------------------------------------------------------------


@repeatable
def lot_hold(*, identity: str, by: str, reason: str, expected: int | None = None, act: str = "") -> Event:
    """Put a lot on hold and open an investigation.

    Raises:
        Refusal: no such lot, it is held, released or rejected already, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    found = open_lot(identity)
    return append("lot.held", subject=identity, by=by, act=act, reason=needed(reason, "the reason", "reason"),
                  payload={}, expected=expected, seen=found.version)


@repeatable
def lot_release(*, identity: str, by: str, act: str = "", expected: int | None = None) -> Event:
    """Release a lot: every characteristic decided and conforming, every assay reviewed, nothing holding it back.

    What was found in other words than those required, and judged to satisfy them, is confirmed by it and told so.

    Raises:
        Refusal: something is undecided, unreviewed, unchecked, irregular or outside its limits, another worksheet of
            it lies open, no sample is on record, the lot is held, or ``by`` may not.
    """
    demand(by, SIGNATORY)
    demand_untouched(identity, by)
    demand_no_link_of_own(identity, by)
    found = open_lot(identity)
    outcome = evaluate_lot_record(found)
    numbers = [one.worksheet.identity for one in outcome.outcomes]
    if unreviewed := unreviewed_below(numbers):
        raise Refusal(f"{' and '.join(unreviewed)} {'has' if len(unreviewed) == 1 else 'have'} not been reviewed",
                      where=f"lot {identity}", remedy="let a second person look at it first")
    _demand_checked(identity, by)
    _demand_investigated(found)
    _demand_one_result(found)
    if not is_sampled(found):
        raise Refusal("no sample of it is on record", where=f"lot {identity}",
                      remedy="record where and when the sample was taken that was assayed")
    if not outcome.releasable:
        first = outcome.holds[0]
        raise Refusal(first.what, where=f"lot {identity}", remedy=first.remedy)
    return append("lot.released", subject=identity, by=by, act=act, expected=expected, seen=found.version, payload={
        "characteristics": [one.name for one in outcome.characteristics], "worksheets": numbers,
        "meaning": RELEASED_MEANING, **content_signed(found, outcome),
        **({"confirmed": confirmed} if (confirmed := in_other_words(found)) else {})})


def _demand_one_result(found: Lot) -> None:
    """Refuse while another worksheet of the lot by one of its methods lies open: its result is waited for."""
    if numbers := [one.identity for one in open_of(found)]:
        lie = "lies" if len(numbers) == 1 else "lie"
        raise Refusal(f"{' and '.join(numbers)}, of the same lot and method, {lie} open",
                      where=f"lot {found.identity}",
                      remedy="have it reviewed, or declared void with the reason; no result is left aside unread")


def _demand_checked(identity: str, by: str) -> None:
    """Refuse while an entry is seen by nobody but whoever entered it: it is raw data like any other."""
    waiting = unchecked(identity)
    if not waiting:
        return
    own = [one.name for one in waiting if one.by == by]
    what = (f"{' and '.join(own)} was entered by whoever would release it, and nobody else has checked it" if own else
            f"{' and '.join(one.name for one in waiting)} was entered, and nobody else has checked it")
    raise Refusal(what, where=f"lot {identity}",
                  remedy="let a person in charge who did not enter it compare it with its source")


def _demand_investigated(found: Lot) -> None:
    """Refuse while a result outside the limits was put out of sight by exclusions or a void worksheet."""
    if hidden := uninvestigated(found):
        raise Refusal(f"{' and '.join(hidden)} had a result outside the limits before determinations were left out or "
                      "it was declared void, and nobody has investigated it", where=f"lot {found.identity}",
                      remedy="put the lot on hold and investigate")


def in_other_words(found: Lot) -> list[dict[str, str]]:
    """Return what was found in other words than those required, and was judged to satisfy them."""
    told = []
    for one in specified_of(found):
        entry = entry_of(found.identity, one["name"]) if one.get("required") else None
        said = str(entry.content.get("found", "")) if entry else ""
        if entry and entry.content.get("satisfied") and _alike(said) != _alike(str(one["required"])):
            told.append({"name": str(one["name"]), "required": str(one["required"]), "found": said})
    return told


def _alike(words: str) -> list[str]:
    """Return words without what makes no difference: capitals, blanks, the order between commas."""
    return sorted(" ".join(part.split()).casefold() for part in words.split(","))


@repeatable
def lot_reject(*, identity: str, by: str, reason: str, expected: int | None = None, act: str = "") -> Event:
    """Reject a lot.

    Raises:
        Refusal: no such lot, released, rejected or recalled already, no reason, or ``by`` may not.
    """
    demand(by, SIGNATORY)
    found = lot(identity)
    if found.state in OVER:
        raise Refusal(f"the lot {identity} is {found.state} already", where=f"lot {identity}",
                      remedy="look at its history")
    return append("lot.rejected", subject=identity, by=by, act=act, payload={}, expected=expected, seen=found.version,
                  reason=needed(reason, "the reason", "reason"))


@repeatable
def lot_recall(*, identity: str, by: str, reason: str, expected: int | None = None, act: str = "") -> Event:
    """Recall a released lot: it is not to be used any more, and its certificates are withdrawn; they stay readable.

    Raises:
        Refusal: no such lot, it is not released, no reason, or ``by`` may not.
    """
    demand(by, SIGNATORY)
    found = lot(identity)
    if found.state != RELEASED:
        raise Refusal(f"the lot {identity} is {found.state}, and not released", where=f"lot {identity}",
                      remedy="reject it" if found.state in (MADE, ON_HOLD) else "look at its history")
    numbers = Certificate.objects.filter(lot=identity, worksheet="").order_by("number").values_list("number", flat=True)
    return append("lot.recalled", subject=identity, by=by, act=act, reason=needed(reason, "the reason", "reason"),
                  payload={"certificates": list(numbers), "meaning": RECALLED_MEANING}, expected=expected,
                  seen=found.version)


def lot(identity: str) -> Lot:
    """Return a lot.

    Raises:
        Refusal: there is none of that number.
    """
    return Refusal.unless(Lot.objects.filter(pk=identity).first(), f"there is no lot {identity}", where="number",
                          remedy="choose one from the list")


def open_lot(identity: str) -> Lot:
    """Return a lot that nothing has been decided about and that is not held.

    Raises:
        Refusal: there is none of that number, it is on hold, or something has been decided.
    """
    found = lot(identity)
    if found.state in OVER:
        raise Refusal(f"the lot {identity} is {found.state} already", where=f"lot {identity}",
                      remedy="look at its history")
    if found.state == ON_HOLD:
        raise Refusal(f"the lot {identity} is on hold", where=f"lot {identity}",
                      remedy="conclude the investigation first")
    return found
