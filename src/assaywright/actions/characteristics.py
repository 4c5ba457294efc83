"""Characteristics that are not titrated: entered with their source, checked by a second person, entered again."""

from typing import Any

from assaywright.actions.equipment import IN_CHARGE, WORKERS
from assaywright.actions.lots import lot, open_lot
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.actions.retests import retest_of_entry
from assaywright.assay.evaluate_lot import evaluate_lot
from assaywright.assay.observations import Lot as LotFile
from assaywright.assay.worksheet import FORMAT, read_bytes
from assaywright.metrology.conformity import DOES_NOT_CONFORM, NOT_PROVEN
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import canonical, kind_of
from assaywright.records.bridge import FOUND, open_by_path
from assaywright.records.investigated import entries_of, entry_of, unchecked
from assaywright.records.log import append
from assaywright.records.models import EnteredCharacteristic, Event, Lot
from assaywright.records.models.lots import ON_HOLD
from assaywright.records.specified import specified_of
from assaywright.records.toml_text import toml_text

CHECKED_MEANING = "I have compared what was entered with its source, and agree with it"
OUTSIDE = (DOES_NOT_CONFORM, NOT_PROVEN)
NUMBERS = ("value", "less_than")
ABOVE_NOUGHT = ("density", "molar mass", "amount concentration", "equivalent concentration", "mass concentration",
                "mass fraction", "amount content")


@repeatable
def characteristic_enter(
    *, identity: str, table: dict[str, Any], by: str, reason: str = "", expected: int | None = None, act: str = "",
) -> Event:
    """Enter a characteristic that was not titrated, with its source.

    A second entry needs a reason, and the first stays. Where the first lies outside its limits, the second is a retest:
    it needs the hold, the check list and the authorisation that a titrated one needs.

    Arguments:
        table: name, and value, less_than or found with satisfied, and source.

    Raises:
        Refusal: the product's specification has no such characteristic, no source, a lot file would refuse the entry,
            a unit of another kind, words without whether they satisfy, a second entry without a reason or a retest
            that nobody authorised, or ``by`` may not.
    """
    demand(by, *WORKERS)
    found = lot(identity)
    table = {key: value for key, value in table.items() if key in ("name", *FOUND)}
    name = str(table.get("name", ""))
    before = entry_of(identity, name)
    if before is None or found.state != ON_HOLD:
        open_lot(identity)
    specified = _specified(found, name)
    _check_words(specified, table)
    needed(str(table.get("source", "")), "the source", "source")
    _decision(found, specified, table)
    _check_unit(found, specified, table)
    _check_above_nought(table)
    payload: dict[str, Any] = {"table": table}
    if before is not None and found.state == ON_HOLD:
        authorised = retest_of_entry(found, name)
        reason = reason.strip() or f"the retest that was authorised (event {authorised.number})"
        payload |= {"authorised": authorised.number, "retest_of_entry": before.pk}
    elif before is not None:
        _check_within(found, specified, before)
        reason = needed(reason, "the reason for entering it again", "reason")
    return append("characteristic.entered", subject=identity, by=by, act=act, payload=payload, reason=reason,
                  expected=expected, seen=found.version)


@repeatable
def characteristic_check(*, identity: str, by: str, expected: int | None = None, act: str = "") -> Event:
    """Record that a person in charge has compared what others entered of a lot with its sources.

    Raises:
        Refusal: nothing waits for it but what ``by`` has entered, or ``by`` may not.
    """
    person = demand(by, *IN_CHARGE)
    found = lot(identity)
    waiting = unchecked(identity)
    others = [one for one in waiting if one.by != by]
    if not others:
        what = f"{person.name} has entered {_listed(waiting)}" if waiting else "everything entered is checked already"
        raise Refusal(what, where=f"lot {identity}",
                      remedy="let another person in charge check it" if waiting else "look at its history")
    return append("characteristic.checked", subject=identity, by=by, act=act, expected=expected, seen=found.version,
                  payload={"entries": [one.pk for one in others], "characteristics": [one.name for one in others],
                           "meaning": CHECKED_MEANING})


def _specified(entered_in: Lot, name: str) -> dict[str, Any]:
    specified = {one["name"]: one for one in specified_of(entered_in)}
    if name not in specified:
        raise Refusal(f"the specification has no characteristic '{name}'", where="characteristic",
                      remedy=f"choose among {', '.join(specified)}")
    if specified[name].get("method"):
        raise Refusal(f"'{name}' is titrated", where="characteristic", remedy="begin its assay")
    found: dict[str, Any] = specified[name]
    return found


def _check_words(specified: dict[str, Any], table: dict[str, Any]) -> None:
    """Refuse a number where words are required, and words without whether they satisfy."""
    required = specified.get("required")
    if required and any(key in table for key in NUMBERS):
        raise Refusal(f"what is required is in words: {required}", where="found",
                      remedy="choose “in words” and say what was found")
    if required and not isinstance(table.get("satisfied"), bool):
        raise Refusal(f"nobody has said whether it satisfies what is required: {required}", where="satisfied",
                      remedy="choose yes or no")
    if "found" in table and (specified.get("lower") or specified.get("upper")):
        raise Refusal("it has limits, and words cannot be compared with them", where="found",
                      remedy="enter a value with its unit, or that it is less than one")


def _decision(entered_in: Lot, specified: dict[str, Any], table: dict[str, Any]) -> str:
    """Return the decision on an entry; refuse what a lot file would refuse."""
    limits = {key: value for key, value in specified.items() if key not in ("unit", "measurand", *FOUND)}
    kept = {key: value for key, value in table.items() if key in FOUND}
    whole = {"format": FORMAT, "kind": "lot", "id": entered_in.identity, "product": entered_in.product,
             "maker": "none", "characteristic": [{**limits, **kept}]}
    file = read_bytes(toml_text(whole).encode(), "entry")
    if not isinstance(file, LotFile):
        raise TypeError(entered_in.identity)
    decided = evaluate_lot(file, open_by_path).characteristics[0].decision
    return decided.decision if decided else ""


def _check_unit(entered_in: Lot, specified: dict[str, Any], table: dict[str, Any]) -> None:
    """Refuse a unit of another kind, where no limit has one to compare with.

    It is then that of the specification, or that of the first value of this characteristic of the product.
    """
    text = next((str(table[key]) for key in NUMBERS if key in table), "")
    wanted = canonical(str(specified["unit"])) if specified.get("unit") else _unit_so_far(entered_in, specified["name"])
    if not text or not wanted or specified.get("lower") or specified.get("upper"):
        return
    given = read_quantity(text).unit
    if kind_of(given) != kind_of(wanted):
        said = "no unit" if given == "1" else f"{given}, a unit of {kind_of(given)}"
        raise Refusal(f"the value is in {said}, and {specified['name']} is told in {wanted}", where="found",
                      remedy=f"enter it in {wanted}")


def _check_above_nought(table: dict[str, Any]) -> None:
    """Refuse a density or a content of nought or below: what was not found is less than what could be found."""
    text = next((str(table[key]) for key in NUMBERS if table.get(key)), "")
    quantity = read_quantity(text) if text else None
    kind = kind_of(quantity.unit) if quantity else ""
    if quantity is None or kind not in ABOVE_NOUGHT or quantity.value > 0:
        return
    raise Refusal(f"a {kind} of {text} cannot be", where="found",
                  remedy="look at it once more" if kind == "density" or quantity.value < 0
                  else "enter that it is less than the smallest that could have been found")


def _unit_so_far(entered_in: Lot, name: str) -> str:
    lots = Lot.objects.filter(product=entered_in.product).values_list("identity", flat=True)
    for one in EnteredCharacteristic.objects.filter(lot__in=list(lots), name=name).order_by("id"):
        text = next((str(one.content[key]) for key in NUMBERS if key in one.content), "")
        if text:
            return read_quantity(text).unit
    return ""


def _check_within(entered_in: Lot, specified: dict[str, Any], before: EnteredCharacteristic) -> None:
    """Refuse to enter once more, just so, what lies outside its limits."""
    if _decision(entered_in, specified, before.content) in OUTSIDE:
        raise Refusal(f"{before.name} as entered lies outside its limits, and stays on record",
                      where=f"lot {entered_in.identity}",
                      remedy="put the lot on hold; after the check list a retest can be authorised, and entered here")


def _listed(entries: list[EnteredCharacteristic]) -> str:
    return " and ".join(one.name for one in entries)


def entries_by(identity: str, names: set[str], by: str) -> list[EnteredCharacteristic]:
    """Return what somebody has entered of some characteristics of a lot, or brought in with it."""
    return [one for one in entries_of(identity) if one.name in names and one.by == by
            and (one.content.get("to_check") or not one.content.get("imported"))]
