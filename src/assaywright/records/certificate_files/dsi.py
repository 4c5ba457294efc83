"""Numbers with units and uncertainties as D-SI writes them in digital certificates: single ones and lists.

Source: SI_Format.xsd, version 2.2.1 (names of elements read there; doi:10.5281/zenodo.3366901).
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import TypeVar

from assaywright.metrology.refusal import Refusal
from assaywright.records.certificate_files.stated import Amount
from assaywright.records.certificate_files.xml_tree import Element

SPACE = "https://ptb.de/si"
UNITS = {
    r"\litre": "L", r"\milli\litre": "mL", r"\micro\litre": "µL", r"\centi\metre\tothe{3}": "mL",
    r"\deci\metre\tothe{3}": "L", r"\gram": "g", r"\milli\gram": "mg", r"\micro\gram": "µg", r"\kilogram": "kg",
    r"\kilo\gram": "kg", r"\degreecelsius": "°C", r"\kelvin": "K", r"\one": "1", r"\percent": "%",
    r"\gram\kilogram\tothe{-1}": "g/kg", r"\gram\per\kilogram": "g/kg", r"\milli\gram\kilogram\tothe{-1}": "mg/kg",
    r"\kilogram\metre\tothe{-3}": "kg/m3", r"\gram\centi\metre\tothe{-3}": "g/mL",
    r"\gram\milli\litre\tothe{-1}": "g/mL",
}
NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
EXPANDED = (  # of a single number: the element, and in it the uncertainty and its factor; then of a list
    (("measurementUncertaintyUnivariate", "expandedMU"), "valueExpandedMU", "coverageFactor"),
    (("expandedUnc",), "uncertainty", "coverageFactor"),
    (("measurementUncertaintyUnivariateXMLList", "expandedMUXMLList"), "valueExpandedMUXMLList",
     "coverageFactorXMLList"),
    (("expandedUncXMLList",), "uncertaintyXMLList", "coverageFactorXMLList"),
)
STANDARD = (
    (("measurementUncertaintyUnivariate", "standardMU"), "valueStandardMU"),
    (("measurementUncertaintyUnivariateXMLList", "standardMUXMLList"), "valueStandardMUXMLList"),
)
OTHERWISE_STATED = ("measurementUncertaintyUnivariate", "measurementUncertaintyUnivariateXMLList", "coverageInterval",
                    "coverageIntervalXMLList")
LISTS = "realListXMLList"
Item = TypeVar("Item")


@dataclass(frozen=True, slots=True)
class Real:
    """A number with its unit, and with its uncertainty and factor where they are stated; ``where`` it stands."""

    where: str
    amount: Amount
    uncertainty: Amount | None
    factor: Decimal | None


def reals(quantity: Element) -> tuple[Real, ...]:
    """Return the numbers that a quantity holds.

    Of a hybrid, which states one number in several units, the first in a unit that is known here.

    Raises:
        Refusal: it holds another kind of number, an unknown unit, or lists that do not match.
    """
    for one in quantity.children:
        if one.space == SPACE and one.name == "real":
            return _read(one, ("value", "unit"))
        if one.space == SPACE and one.name == LISTS:
            return _read(one, ("valueXMLList", "unitXMLList"))
        if one.space == SPACE and one.name == "hybrid":
            return _of_hybrid(one)
        if one.space == SPACE:
            raise Refusal(f"a number written as si:{one.name} is not read here", where=one.where,
                          remedy="type that value in")
    raise Refusal("it holds no number", where=quantity.where, remedy="type that value in")


def _of_hybrid(hybrid: Element) -> tuple[Real, ...]:
    for one in hybrid.children:
        named = one.said("unit") or one.said("unitXMLList")
        if named and all(unit in UNITS for unit in named.split()):
            return _read(one, ("value", "unit") if one.name == "real" else ("valueXMLList", "unitXMLList"))
    raise Refusal("none of its units is known here", where=hybrid.where, remedy="type that value in")


def _read(real: Element, names: tuple[str, str]) -> tuple[Real, ...]:
    values = _numbers(real, names[0])
    units = _as_many([unit_of(one, real) for one in real.said(names[1]).split()], values, real, names[1])
    uncertainties, factors = _uncertainties(real, values)
    return tuple(
        Real(real.where, Amount(value, unit), None if uncertainty is None else Amount(uncertainty, unit), factor)
        for value, unit, uncertainty, factor in zip(values, units, uncertainties, factors, strict=True))


def _uncertainties(
    real: Element, values: list[Decimal]
) -> tuple[Sequence[Decimal | None], Sequence[Decimal | None]]:
    """Return the uncertainties of the values and their factors; None of those that state none."""
    for path, amount, factor in EXPANDED:
        if (found := real.only(*path)) is not None:
            return (_as_many(_numbers(found, amount), values, found, amount),
                    _as_many(_numbers(found, factor), values, found, factor))
    for path, amount in STANDARD:
        if (found := real.only(*path)) is not None:
            return _as_many(_numbers(found, amount), values, found, amount), [Decimal(1)] * len(values)
    for name in OTHERWISE_STATED:
        if (other := real.only(name)) is not None:
            inner = other.children[0] if other.children else other
            raise Refusal("an uncertainty is read only as a standard or an expanded one", where=inner.where,
                          remedy="type that value in")
    return [None] * len(values), [None] * len(values)


def _as_many(found: list[Item], values: list[Decimal], at: Element, name: str) -> list[Item]:
    """Return one for each value: as many as stand there, or the one that stands for all."""
    if len(found) not in (1, len(values)):
        raise Refusal(f"there are {len(values)} values, and {len(found)} in {name}", where=at.where,
                      remedy="ask for the file anew, or type the certificate in")
    return list(found) if len(found) == len(values) else list(found) * len(values)


def _numbers(at: Element, name: str) -> list[Decimal]:
    found = at.only(name)
    texts = found.text.split() if found else []
    if found is None or not texts:
        raise Refusal(f"there is no {name}", where=at.where, remedy="ask for the file anew, or type it in")
    for text in texts:
        if not NUMBER.fullmatch(text) or len(text) > 40:
            raise Refusal(f"'{text[:40]}' is no number", where=found.where,
                          remedy="ask for the file anew, or type it in")
    try:
        return [Decimal(text) for text in texts]
    except InvalidOperation:
        raise Refusal("a number is too long", where=found.where, remedy="type it in") from None


def unit_of(text: str, at: Element) -> str:
    """Return a unit as it is written here.

    Raises:
        Refusal: it is not known.
    """
    return Refusal.unless(UNITS.get(text), f"the unit '{text[:60]}' is not known here", where=at.where,
                          remedy="type that value in")
