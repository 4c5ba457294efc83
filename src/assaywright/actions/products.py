"""Products with their specifications, by edition."""

import json
from typing import Any

from assaywright.actions.equipment import IN_CHARGE
from assaywright.actions.names import product_name
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import canonical, kind_of
from assaywright.records.log import append
from assaywright.records.methods import method_of
from assaywright.records.models import Event, Product
from assaywright.reference.labelling import precaution_of, precautionary_statement


@repeatable
def product_define(*, name: str, definition: dict[str, Any], by: str, act: str = "") -> Event:
    """Define a product.

    Arguments:
        definition: nominal, storage, hazards, cautions, and ``characteristics``, a list of tables with name, limits and
            rule; a titrated one names its method.

    Raises:
        Refusal: the name is taken, a characteristic is refused, or ``by`` may not.
    """
    demand(by, *IN_CHARGE)
    name = product_name(name, among=Product)
    if Product.objects.filter(pk=name).exists():
        raise Refusal(f"there is a product '{name}' already", where="name", remedy="revise it, or choose another name")
    check_definition(definition)
    return append("product.defined", subject=name, by=by, act=act, payload={"definition": definition, "edition": 1})


@repeatable
def product_revise(
    *, name: str, definition: dict[str, Any], by: str, reason: str, expected: int | None = None, act: str = ""
) -> Event:
    """Revise a product: a new edition, and why.

    Raises:
        Refusal: no such product, a characteristic is refused, no reason, or ``by`` may not.
    """
    demand(by, *IN_CHARGE)
    product = Product.objects.filter(pk=name).first()
    product = Refusal.unless(product, f"there is no product '{name}'", where="name", remedy="choose one from the list")
    check_definition(definition)
    sent_before = Event.objects.filter(act=act, subject=name, kind="product.revised").first()
    edition = int(json.loads(sent_before.payload)["edition"]) if sent_before else product.edition + 1
    return append("product.revised", subject=name, by=by, act=act, reason=needed(reason, "the reason", "reason"),
                  payload={"definition": definition, "edition": edition},
                  expected=expected, seen=product.version)


def check_definition(definition: dict[str, Any]) -> None:
    """Refuse a specification that a lot file would refuse.

    Raises:
        Refusal: no characteristic, one twice, or limits that cannot be.
    """
    from assaywright.assay.worksheet import FORMAT, read_bytes
    from assaywright.records.toml_text import toml_text

    characteristics = definition.get("characteristics", [])
    for line in definition.get("precautions", []):
        precautionary_statement(precaution_of(line)[0])
    if not characteristics:
        raise Refusal("the specification has no characteristic", where="specification", remedy="enter at least one")
    tried = [{**{key: value for key, value in one.items() if key not in ("method", "measurand", "unit")}, **_as_if(one)}
             for one in characteristics]
    for one in characteristics:
        _check_unit(one)
        _check_method(one)
    table = {"format": FORMAT, "kind": "lot", "id": "none", "product": "none", "maker": "none",
             "hazards": definition.get("hazards", []), "characteristic": tried}
    try:
        read_bytes(toml_text(table).encode(), "specification")
    except Refusal as refusal:
        raise Refusal(refusal.what, where=refusal.where.removeprefix("specification: "),
                      remedy=refusal.remedy) from refusal


def _check_unit(one: dict[str, Any]) -> None:
    """Refuse a unit that is none, and one beside limits, words or a method, which say themselves what is told."""
    if not one.get("unit"):
        return
    if any(one.get(key) for key in ("lower", "upper", "required", "method")):
        raise Refusal(f"{one.get('name', '')} has a unit of its own beside limits, words or a method", where="unit",
                      remedy="leave it out: it is for what is only reported")
    try:
        canonical(str(one["unit"]))
    except Refusal as refusal:
        raise refusal.at("unit") from None


def _check_method(one: dict[str, Any]) -> None:
    """Refuse a method that gives no such result as the characteristic has, or gives it in a unit of another kind."""
    if not one.get("method"):
        if one.get("measurand"):
            raise Refusal(f"{one.get('name', '')} names the result of a method, and no method", where="measurand",
                          remedy="choose the method, or leave it out")
        return
    method = method_of(str(one["method"]))
    if method.kind != "assay":
        raise Refusal(f"the method {method.name} is for standardising a solution", where="method",
                      remedy="choose the method of an assay")
    units = {part.name: part.unit for part in method.result.measurands}
    name = str(one.get("measurand", ""))
    if name and name not in units:
        raise Refusal(f"the method {method.name} gives no result '{name}'", where="measurand",
                      remedy=f"name one of {', '.join(units)}" if units else "leave it out, there is one result")
    unit = units.get(name) or method.result.unit
    for key in ("lower", "upper"):
        if one.get(key) and kind_of(stated := read_quantity(str(one[key])).unit) != kind_of(unit):
            raise Refusal(f"the limit of {one.get('name', '')} is in {stated}, and the method {method.name} gives its "
                          f"result in {unit}", where=key, remedy=f"state the limit in {unit}")


def _as_if(one: dict[str, Any]) -> dict[str, Any]:
    """Return something found, of the kind that the limits are for, so that the specification alone is tried."""
    if one.get("method"):
        return {"worksheet": "none.toml"}
    if one.get("required"):
        return {"found": "none", "satisfied": True}
    limit = str(one.get("lower") or one.get("upper") or "")
    return {"value": limit} if limit else {"found": "none", "satisfied": True}
