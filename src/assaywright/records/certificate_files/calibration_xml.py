"""A digital calibration certificate: the one table of errors or corrections that it holds, and whose it is.

Source: dcc.xsd, version 3.3.0 (names of elements read there); the types of quantities as public programs that write
such certificates name them. A quantity is taken for what it is by its type or its name, or not at all.
"""

from dataclasses import replace

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import kind_of
from assaywright.records.certificate_files.dsi import Real, reals
from assaywright.records.certificate_files.stated import CORRECTION, ERROR, TRUE_VOLUME, Point, Stated
from assaywright.records.certificate_files.words import POSITION, STANDARD, UNCERTAINTY, UNSAID, heading
from assaywright.records.certificate_files.xml_tree import Element

SPACE, ROOT = "https://ptb.de/dcc", "digitalCalibrationCertificate"
TYPES = {
    "basic_nominalValue": POSITION, "basic_indicatedValue": POSITION, "basic_measurementError": ERROR,
    "basic_measurementError_error": ERROR, "basic_measurementError_correction": CORRECTION,
}
INDICATED = "basic_measuredValue"  # what a balance or a thermometer showed; of glass it may be the volume itself
FOUND = (CORRECTION, ERROR, TRUE_VOLUME)
UNCERTAINTIES = (UNCERTAINTY, STANDARD, UNSAID)


def read_calibration_xml(root: Element, identity: str) -> Stated:
    """Return what a digital calibration certificate states.

    Arguments:
        identity: number of the instrument on whose page it is read; empty for a new one.

    Raises:
        Refusal: it holds no table of errors or corrections or several, or one that is not unambiguous.
    """
    tables = [(result, stated) for result in root.every("result") if (stated := _table(result)) is not None]
    if len(tables) > 1:
        named = " and ".join(f"'{one.said('name')[:60]}' (line {one.line})" for one, _ in tables)
        raise Refusal(f"it holds several tables of errors or corrections, {named}, and which counts is not said",
                      where="element results", remedy="type in the one that counts")
    if not tables:
        raise Refusal("it holds no table of errors or corrections with their scale positions or nominal values",
                      where=f"element {root.name}, line {root.line}", remedy="type the certificate in")
    core = root.only("administrativeData", "coreData")
    facts = {"id": core.said("uniqueIdentifier") if core else "",
             "issued": (core.said("issueDate") or core.said("endPerformanceDate")) if core else ""}
    numbers, notes = _numbers(root, identity)
    stated = tables[0][1]
    return replace(stated, facts={key: text for key, text in facts.items() if text}, numbers=numbers,
                   notes=(*stated.notes, *notes))


def _numbers(root: Element, identity: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the numbers of the item, and what is to be said where none is the instrument's."""
    items = root.only("administrativeData", "items")
    found = tuple(dict.fromkeys(one.said("value") for one in items.every("identification"))) if items else ()
    if identity and found and identity not in found:
        return found, (f"The file's numbers of the item are {', '.join(found)}; see that it is {identity}.",)
    return found, ()


def _table(result: Element) -> Stated | None:
    """Return the points of a result; None of one in which nothing is an error, a correction or a true volume."""
    roles: dict[str, list[Real]] = {}
    words: dict[str, str] = {}
    unread, indicated = [], []
    for quantity in result.every("quantity"):
        name, role = _role(quantity)
        if role is None and INDICATED in quantity.attributes.get("refType", "").split():
            indicated.append(quantity)
        if role is None:
            unread.append(f"{name[:60] or 'a quantity without a name'} (line {quantity.line})")
            continue
        roles.setdefault(role, []).extend(reals(quantity))
        words.setdefault(role, name)
    found = [one for one in FOUND if one in roles]
    if not found:
        return None
    if len(found) > 1:
        raise Refusal(f"'{words[found[0]]}' and '{words[found[1]]}' state each other's opposite", where=result.where,
                      remedy="type the certificate in")
    if POSITION not in roles and len(indicated) == 1:
        shown = reals(indicated[0])
        if kind_of(shown[0].amount.unit) != "volume":
            roles[POSITION], unread = list(shown), [one for one in unread if f"(line {indicated[0].line})" not in one]
    notes = (f"Not read: {', '.join(unread)}.",) if unread else ()
    return Stated(_points(result, roles, found[0]), found[0], words[found[0]], notes=notes)


def _role(quantity: Element) -> tuple[str, str | None]:
    """Return a quantity's name, and what it is by its type or its name; None where neither says.

    Raises:
        Refusal: type and name say different things.
    """
    name = quantity.said("name")
    by_type = {TYPES[one] for one in quantity.attributes.get("refType", "").split() if one in TYPES}
    head = heading(name) if name else None
    by_name = {UNCERTAINTY if head.column in UNCERTAINTIES else head.column} if head else set()
    said = by_type | (by_name & {POSITION, UNCERTAINTY, *FOUND})
    if len(said) > 1:
        raise Refusal(f"its type and its name '{name[:60]}' say different things", where=quantity.where,
                      remedy="type the certificate in")
    return name or " ".join(sorted(by_type)), next(iter(said), None)


def _points(result: Element, roles: dict[str, list[Real]], found: str) -> tuple[Point, ...]:
    positions, values, apart = roles.get(POSITION, []), roles[found], roles.get(UNCERTAINTY, [])
    if len(positions) != len(values):
        raise Refusal(f"there are {len(values)} values of it and {len(positions)} scale positions or nominal values",
                      where=result.where, remedy="type the certificate in")
    if apart:
        raise Refusal("the uncertainty stands there as a quantity of its own, and not with what it is of",
                      where=result.where, remedy="type the certificate in")
    return tuple(Point(value.where, position.amount, value.amount, value.uncertainty, value.factor)
                 for position, value in zip(positions, values, strict=True))
