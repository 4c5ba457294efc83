"""A content in other units on a page: the form filled from a lot where one is named, and what is found, as printed."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from assaywright.assay.conversion import Conversion, ConversionAsked, conversion_of
from assaywright.assay.conversion_told import (
    each_mL_line,
    elsewhere_line,
    equivalents_line,
    expressed_as,
    factor_line,
    figures_of,
    given_line,
    of_solution,
    result_line,
    solution_lines,
    uncertain_rows,
)
from assaywright.assay.plain_words import plain_words
from assaywright.chemistry.content_units import SCALES
from assaywright.chemistry.counting import count_equivalents
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.model import Model
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.working import Working, write_working
from assaywright.records.methods import method_of
from assaywright.records.models import Lot
from assaywright.records.selectors.production import (
    LONGEST,
    chosen_content,
    density_of,
    stated_found,
    substance_of,
)

UNITS = tuple(SCALES)
TEMPERATURE = "20 °C"
WORDS = {
    "content": "content", "substance": "substance", "to": "unit wanted", "expressed": "expressed as",
    "given_as": "the content is stated as", "density": "density", "reaction": "reaction",
    "counting": "species that counts", "temperature": "temperature of the content",
    "to_temperature": "temperature wanted", "nominal": "nominal content", "titrates": "substance to titrate",
}
NEEDS = {"content": "needs a reaction", "density": "needs the density"}


@dataclass(frozen=True)
class InUnitShown:
    """A content in one unit, as printed; ``needs`` says what is lacking where there is none."""

    unit: str
    value: str
    uncertainty: str
    needs: str


@dataclass(frozen=True)
class ConversionShown:
    """What was found, in the words of the command.

    Fields:
        given: what was asked of.
        result: in the unit wanted; empty where all are listed in ``units``, expressed ``as_what``.
        solution: density and content by mass, with what is to be known about them.
        lines: equivalents, factor, what each mL answers for and another temperature, each under its title.
        workings: of the result and of what each mL answers for, with their titles.
        uncertain: influence, size and share of what makes the result uncertain; ``unit`` is that of the sizes.
    """

    given: str
    result: str
    as_what: str
    units: tuple[InUnitShown, ...]
    solution: tuple[str, ...]
    remarks: tuple[str, ...]
    lines: tuple[tuple[str, str], ...]
    workings: tuple[tuple[str, Working], ...]
    uncertain: tuple[tuple[str, str, str], ...]
    unit: str


def conversion_asked(typed: Mapping[str, str], lot: Lot | None) -> dict[str, str]:
    """Return the fields of the form: as typed, else as the records have them of a lot.

    Arguments:
        typed: the fields of the form; those that were never sent are missing.
        lot: whose content is asked about, or None.
    """
    before = {"temperature": TEMPERATURE, "to_temperature": "", **(_of_lot(lot) if lot is not None else {})}
    return {one.name: typed[one.name].strip() if one.name in typed else before.get(one.name, "")
            for one in fields(ConversionAsked)}


def conversion_shown(asked: Mapping[str, str]) -> ConversionShown:
    """Return what is found.

    Raises:
        Refusal: something asked cannot be; the sentence names the field of the form.
    """
    for name, text in asked.items():
        if len(text) > LONGEST:
            raise Refusal(f"the text has {len(text)} characters, and {LONGEST} fit into the field", where=WORDS[name],
                          remedy="shorten it")
    for name in ("content", "substance"):
        if not asked[name]:
            raise Refusal(f"the {name} is missing", where=WORDS[name],
                          remedy="write it, like “0.1002 mol/L” of “silver nitrate”")
    try:
        return _shown(conversion_of(ConversionAsked(**asked), _at))
    except Refusal as refusal:
        raise _in_plain_words(refusal) from None


def _at(refusal: Refusal, field: str) -> Refusal:
    return Refusal(refusal.what, where=WORDS[field], remedy=refusal.remedy)


def _in_plain_words(refusal: Refusal) -> Refusal:
    remedy = refusal.remedy.replace("state formula and density with their source", "write its formula")
    return Refusal(plain_words(refusal.what), where=plain_words(refusal.where), remedy=plain_words(remedy))


def _of_lot(lot: Lot) -> dict[str, str]:
    """Return what the records know of a lot's content; nothing where none is assayed."""
    try:
        specified = chosen_content(lot, "")
    except Refusal:
        return {}
    substance, method = substance_of(specified), method_of(str(specified["method"]))
    return {"content": stated_found(lot, str(specified["name"])), "substance": substance,
            "density": density_of(lot, specified), "reaction": _counting(substance, method.reaction)}


def _counting(substance: str, reaction: str) -> str:
    """Return a method's reaction where it counts equivalents of the substance; empty otherwise."""
    try:
        count_equivalents(find_solute(substance), reaction)
    except Refusal:
        return ""
    return reaction


def _shown(found: Conversion) -> ConversionShown:
    one = found.one
    titles = (("Equivalents", equivalents_line(found)), ("Factor", factor_line(found)),
              ("What each mL answers for", each_mL_line(found)), ("At another temperature", elsewhere_line(found)))
    models: list[tuple[str, Model]] = [] if one is None else [("", one.model)]
    if found.equivalent is not None:
        models.append(("What each mL answers for", found.equivalent.model))
    return ConversionShown(
        given_line(found), result_line(found, one.estimate) if one else "", expressed_as(found),
        tuple(_in_unit(each) for each in found.contents), tuple(solution_lines(found)),
        tuple(f"{each.what}; {each.remedy}." if each.remedy else f"{each.what}." for each in found.basis.remarks),
        tuple(each for each in titles if each[1]),
        tuple((title, write_working(model)) for title, model in models),
        tuple(uncertain_rows(one.estimate)) if one else (), one.estimate.unit if one else "")


def _in_unit(each: Any) -> InUnitShown:
    if each.estimate is None:
        return InUnitShown(each.unit, "", "", NEEDS.get(each.refusal.where, plain_words(str(each.refusal))))
    value, uncertainty, _ = figures_of(each.estimate)
    return InUnitShown(f"{each.unit}{of_solution(each.unit)}", value, uncertainty, "")
