"""Making a solution: what the records know of a product fills the form, and the sheet is worked out of the form.

Nothing is recorded. What stands in the form is written out as the file of a preparation and read as any other, so that
page and command say the same to the last digit.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from assaywright.assay.labelled import Labelled
from assaywright.assay.prepare.form import FORMAT, read_preparation
from assaywright.assay.prepare.prepare import prepare
from assaywright.assay.prepare.sheet import ProductionSheet, preparation_sheet
from assaywright.chemistry.content_units import SCALES
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import kind_of
from assaywright.records.models import ProductEdition
from assaywright.records.selectors.plans import nominal_in
from assaywright.records.selectors.production import (
    FieldOfForm,
    as_typed_else,
    checked_length,
    of_the_form,
    on_record,
    responsible_for_a_sheet,
    substance_of,
    taken_as_typed,
    unit_of,
)
from assaywright.records.toml_text import DATE, toml_text

WATER = "purified water"
TO_THE_MARK, DILUENT, SOLUTION = "", "diluent", "solution"
FIRST, SECOND = "source 1", "source 2"
AMOUNT = "how much is made"
GROUPS = {"source": "what it is made from", FIRST: "what it is made from", SECOND: "the second",
          "vessel": "the vessel"}
FORM = {
    "substance": FieldOfForm("", "substance", "substance"), "content": FieldOfForm("", "content", "content wanted"),
    "reaction": FieldOfForm("", "reaction", "reaction"),
    "product_density": FieldOfForm("", "density", "density of the solution made"),
    "temperature": FieldOfForm("", "temperature", "temperature at which it is made up"),
    "number": FieldOfForm("", "id", "number of the sheet"),
    "responsible": FieldOfForm("", "responsible", "responsible"),
    "function": FieldOfForm("", "responsible_function", "function"), "note": FieldOfForm("", "note", "note"),
    "vessel": FieldOfForm("vessel", "id", "vessel"), "vessel_kind": FieldOfForm("vessel", "kind", "kind of vessel"),
    "capacity": FieldOfForm("vessel", "capacity", "the vessel holds"),
    "tolerance": FieldOfForm("vessel", "tolerance", "tolerance of its mark"),
    "gauge": FieldOfForm("vessel", "readability", "smallest step of its gauge"),
    "greatest_temperature": FieldOfForm("vessel", "greatest_temperature", "greatest temperature of the vessel"),
    "source": FieldOfForm(FIRST, "name", "name of what it is made from"),
    "form": FieldOfForm(FIRST, "form", "solid or solution"), "source_lot": FieldOfForm(FIRST, "lot", "its lot"),
    "hydrate": FieldOfForm(FIRST, "substance", "the form weighed"),
    "source_content": FieldOfForm(FIRST, "content", "its content"), "water": FieldOfForm(FIRST, "water", "its water"),
    "source_density": FieldOfForm(FIRST, "density", "its density"),
    "readability": FieldOfForm(FIRST, "readability", "smallest step"),
    "measuring": FieldOfForm(FIRST, "uncertainty", "how far an amount may be off"),
    "instrument": FieldOfForm(FIRST, "instrument", "instrument"),
    "available": FieldOfForm(FIRST, "available", "how much there is"),
    "second": FieldOfForm(SECOND, "name", "name of the second"),
    "second_content": FieldOfForm(SECOND, "content", "content of the second"),
    "second_density": FieldOfForm(SECOND, "density", "density of the second"),
    "second_readability": FieldOfForm(SECOND, "readability", "smallest step for the second"),
    "second_measuring": FieldOfForm(SECOND, "uncertainty", "how far an amount of the second may be off"),
    "second_instrument": FieldOfForm(SECOND, "instrument", "instrument for the second"),
}
OF_AMOUNT = {"volume": FieldOfForm("", "volume", AMOUNT), "mass": FieldOfForm("", "mass", AMOUNT),
             "second_form": FieldOfForm(SECOND, "form", "what fills it up")}
OTHERS = ("amount", "second_form")


def prepare_asked(product: str, typed: Mapping[str, str], day: date) -> dict[str, str]:
    """Return the fields of the form: as typed, else as the records have them of a product.

    Arguments:
        product: by its name; empty for none.
        typed: the fields of the form; empty before it was sent.
        day: of the work, at the laboratory.
    """
    before = {
        **_of_product(product), "vessel_kind": "flask", "form": SOLUTION, "readability": "0.01 g",
        "second": WATER, "number": f"PR-{day:%y}-{day:%m%d}", **responsible_for_a_sheet()}
    return as_typed_else(typed, before, (*FORM, *OTHERS))


def prepare_sheet(asked: Mapping[str, str], day: date) -> ProductionSheet:
    """Return the sheet for what is asked; the person named in it decides.

    Arguments:
        asked: see :func:`prepare_asked`.
        day: of the work.

    Raises:
        Refusal: what cannot be, in the words of the form; the sentence names the nearest that can be made.
    """
    checked_length(asked, FORM)
    try:
        found, told = _of_records(asked)
        table = _table({**asked, **found}, day)
        sheet = preparation_sheet(prepare(read_preparation(toml_text(table).encode(), "")))
    except Refusal as refusal:
        raise of_the_form(refusal, {**FORM, **OF_AMOUNT}, GROUPS) from None
    return replace(sheet, sha256="", answers=(*(Labelled("Check first", one) for one in told), *sheet.answers))


def _of_product(name: str) -> dict[str, str]:
    """Return substance and nominal content of a product by its newest edition; nothing where none is assayed."""
    edition = ProductEdition.objects.filter(product=name).order_by("id").last()
    every = edition.content.get("characteristics", []) if edition is not None else []
    known = [one for one in every if one.get("method") and unit_of(one) in SCALES]
    if edition is None or not known:
        return {}
    return {"substance": substance_of(known[0]), "content": nominal_in(edition.content, known[0])}


def _table(fields: Mapping[str, str], day: date) -> dict[str, Any]:
    """Return the preparation as the table of a file."""
    groups: dict[str, dict[str, str]] = {"": {}, "vessel": {}, FIRST: {}, SECOND: {}}
    for name, one in FORM.items():
        if fields[name]:
            groups[one.group][one.key] = fields[name]
    table: dict[str, Any] = {"format": FORMAT, "date": {DATE: day.isoformat()}, **groups[""],
                             **_amount(fields["amount"]), "vessel": groups["vessel"]}
    sources = [groups[FIRST]]
    if fields["second_form"] != TO_THE_MARK:
        if fields["second_form"] not in (DILUENT, SOLUTION):
            raise Refusal("it is neither a diluent nor a solution", where="what fills it up",
                          remedy="choose one of the list")
        sources.append({**groups[SECOND], "form": fields["second_form"]})
    return {**table, "source": sources}


def _of_records(asked: Mapping[str, str]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return name, content and density of a source that is a lot or solution on record, and what is to be checked.

    The name is that of the records, whatever was typed; a content typed goes before the one on record, and is told.
    """
    number, typed = asked["source_lot"], asked["source_content"]
    if not number:
        return {}, ()
    solid = asked["form"] != SOLUTION
    try:
        substance = find_solute((solid and asked["hydrate"]) or asked["substance"]).formula.text
    except Refusal:
        return {}, ()  # told when the substance itself is read
    name, content, density = on_record(number, substance, "its lot")
    if not name or solid:
        return {}, ()
    found = {"source_content": typed or content, "source": name.removesuffix(f", lot {number}"),
             "source_density": asked["source_density"] or ("" if typed else density)}
    return {key: text for key, text in found.items() if text}, taken_as_typed(number, substance, typed, content)


def _amount(text: str) -> dict[str, str]:
    """Return how much is to be made, by volume or by mass."""
    if not text:
        raise Refusal("it is missing", where=AMOUNT, remedy="write it with its unit, like “1 L” or “200 kg”")
    try:
        unit = read_quantity(text, "L", "kg").unit
    except Refusal as refusal:
        raise refusal.at(AMOUNT) from None
    return {"volume" if kind_of(unit) == "volume" else "mass": text}
