"""Bringing a lot to strength: what the records know of it fills the form, and the sheet is worked out of the form.

Nothing is recorded. What stands in the form is written out as the file of an adjustment and read as any other, with the
lot's own worksheet behind it, so that page and command say the same to the last digit.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from assaywright.assay.adjust.adjust import adjust
from assaywright.assay.adjust.form import CHEAPEST, FORMAT, NOMINAL, Adjustment, read_adjustment
from assaywright.assay.adjust.sheets import adjustment_sheet
from assaywright.assay.labelled import Labelled
from assaywright.assay.plain_words import plain_words
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.prepare.sheet import NewAssay, ProductionSheet
from assaywright.assay.reading.report import LIMIT_FIELDS
from assaywright.chemistry.content_units import AS_EQUIVALENTS
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import kind_of
from assaywright.records.accepted import accepted_of
from assaywright.records.bridge import assay_of, open_by_path
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Lot
from assaywright.records.models.assays import VOID
from assaywright.records.selectors.plans import nominal_of
from assaywright.records.selectors.production import (
    FieldOfForm,
    as_typed_else,
    check_lot_of_diluent,
    checked_length,
    chosen_content,
    contents_of,
    density_of,
    held_by,
    let_pass_told,
    limits_in_words,
    number_not_on_record,
    of_the_form,
    on_record,
    responsible_for_a_sheet,
    standing_of,
    stated_found,
    substance_of,
    taken_as_typed,
    unit_of,
)
from assaywright.records.shelf import shelf_on_record
from assaywright.records.toml_text import DATE, toml_text

WATER, CONCENTRATE = "diluent", "concentrate"
NAME_OF_WATER = "purified water"
AT_CONTENT = "content"
HUNDRED, LEAST_FAILING = Decimal(100), Decimal("0.01")
GROUPS = {"tank": "the tank", "addition": "what is added", "aim": "where the lot is to land", "assay": "the assay",
          "specification": "the limits", "specification, lower": "the limits", "specification, upper": "the limits",
          "addition, readability": "the smallest step"}
FORM = {
    "nominal": FieldOfForm("", "nominal", "nominal content"),
    "number": FieldOfForm("", "id", "number of the sheet"),
    "responsible": FieldOfForm("", "responsible", "responsible"),
    "function": FieldOfForm("", "responsible_function", "function"),
    "note": FieldOfForm("", "note", "note"),
    "product_density": FieldOfForm("", "density", "density of the product at its nominal content"),
    "content": FieldOfForm("assay", "content", "content found"),
    "density": FieldOfForm("assay", "density", "density of the lot at 20 °C"),
    "repeatability": FieldOfForm("assay", "repeatability", "repeatability of one determination"),
    "prior_mean": FieldOfForm("assay", "prior_mean", "mean of the product’s lots before adjustment"),
    "prior_deviation": FieldOfForm("assay", "prior_standard_deviation", "their standard deviation"),
    "tank": FieldOfForm("tank", "id", "tank"),
    "dead_leg": FieldOfForm("tank", "dead_leg", "dead leg"),
    "tank_density": FieldOfForm("tank", "density", "density at the tank’s temperature"),
    "tank_temperature": FieldOfForm("tank", "temperature", "temperature in the tank"),
    "capacity": FieldOfForm("tank", "capacity", "the tank holds"),
    "greatest_temperature": FieldOfForm("tank", "greatest_temperature", "greatest temperature of the tank"),
    "mixing": FieldOfForm("tank", "mixing", "how it is mixed"),
    "addition": FieldOfForm("addition", "name", "what is added"),
    "addition_lot": FieldOfForm("addition", "lot", "its lot or solution"),
    "addition_content": FieldOfForm("addition", "content", "its content"),
    "addition_density": FieldOfForm("addition", "density", "its density"),
    "addition_temperature": FieldOfForm("addition", "temperature", "its temperature"),
    "readability": FieldOfForm("addition", "readability", "smallest step"),
    "measuring": FieldOfForm("addition", "uncertainty", "how far an amount may be off"),
    "instrument": FieldOfForm("addition", "instrument", "instrument"),
    "available": FieldOfForm("addition", "available", "how much there is"),
    "overshoot": FieldOfForm("aim", "greatest_overshoot", "greatest chance of passing the far limit"),
}
AMOUNT = "in the tank"
OF_AMOUNT = {"amount": FieldOfForm("tank", "mass", AMOUNT), "amount in litres": FieldOfForm("tank", "volume", AMOUNT),
             "land_at": FieldOfForm("aim", "land", "content to land at"),
             "failing": FieldOfForm("aim", "probability", "chance of failing")}
OF_THE_CONTENT = ("worksheet", "content", "nominal", "density", "repeatability", "prior_mean", "prior_deviation")
OTHERS = ("characteristic", "worksheet", "amount", "kind", "land", "land_at", "failing")


@dataclass(frozen=True)
class AdjustAsked:
    """What an adjustment is asked for: the fields of its form by their names, and what there is to choose from.

    Fields:
        characteristics: the contents of the lot that a method assays.
        worksheets: assays of the one chosen.
        limits: of its specification, in words; ``unit`` is that of all contents.
        asked: whether the form was sent.
    """

    lot: Lot
    characteristics: tuple[str, ...]
    worksheets: tuple[str, ...]
    limits: str
    unit: str
    fields: Mapping[str, str]
    asked: bool


def adjust_asked(lot: Lot, typed: Mapping[str, str], day: date) -> AdjustAsked:
    """Return what is asked: as typed, else as the records have it.

    Arguments:
        typed: the fields of the form; empty before it was sent.
        day: of the work, at the laboratory.

    Raises:
        Refusal: no content of the lot is assayed by a method, or none of that name.
    """
    specified = chosen_content(lot, typed.get("characteristic", "").strip())
    if typed.get("filled_for", specified["name"]) != specified["name"]:
        typed = {name: text for name, text in typed.items() if name not in OF_THE_CONTENT}
    assay = assay_of(lot, str(specified["method"]))
    own = assay is not None and not specified.get("measurand")
    before = {
        "characteristic": str(specified["name"]), "worksheet": assay.identity if own and assay else "",
        "content": "" if own else stated_found(lot, str(specified["name"])), "nominal": nominal_of(lot, specified),
        "density": density_of(lot, specified), "amount": _quantity_of(lot), "kind": WATER, "addition": NAME_OF_WATER,
        "readability": "1 kg", "land": NOMINAL, "failing": "5 %", "overshoot": "1 %",
        "number": f"AD-{day:%y}-{lot.identity}", **responsible_for_a_sheet()}
    fields = as_typed_else(typed, before, (*FORM, *OTHERS))
    limits = limits_in_words(specified)
    return AdjustAsked(lot, tuple(str(one["name"]) for one in contents_of(lot)), _worksheets(lot, specified), limits,
                       unit_of(specified), fields, "amount" in typed)


def adjust_sheet(asked: AdjustAsked, day: date) -> ProductionSheet:
    """Return the sheet for what is asked; the person named in it decides.

    Arguments:
        asked: see :func:`adjust_asked`.
        day: of the work.

    Raises:
        Refusal: what cannot be, in the words of the form; the sentence names the nearest that can be done.
    """
    checked_length(asked.fields, FORM)
    try:
        adjustment, checks = adjustment_of(asked, day)
        sheet = adjustment_sheet(adjust(adjustment, open_by_path, shelf=_shelf(day), day=day))
    except Refusal as refusal:
        raise of_the_form(refusal, {**FORM, **OF_AMOUNT}, GROUPS) from None
    told = tuple(plain_words(one) for one in sheet.new_assay.told)
    return replace(sheet, sha256="", new_assay=NewAssay(sheet.new_assay.cautions, told, sheet.new_assay.steps),
                   answers=(*(Labelled("Check first", one) for one in checks), *sheet.answers))


def adjustment_of(asked: AdjustAsked, day: date) -> tuple[Adjustment, tuple[str, ...]]:
    """Return the adjustment that the form describes, and what the records say against it, in sentences.

    Raises:
        Refusal: in the words of the file's fields, see :func:`of_the_form`.
    """
    lot, fields = asked.lot, dict(asked.fields)
    specified = chosen_content(lot, fields["characteristic"])
    own = _own_worksheet(asked, specified)
    found, told = _added(fields, specified)
    fields |= found
    table: dict[str, Any] = {"format": FORMAT, "date": {DATE: day.isoformat()}, "product": lot.product,
                             "lot": lot.identity, "substance": substance_of(specified)}
    if unit_of(specified) in AS_EQUIVALENTS:
        table["reaction"] = method_of(str(specified["method"])).reaction
    groups: dict[str, dict[str, str]] = {
        "specification": {key: str(specified[key]) for key in LIMIT_FIELDS if key in ("lower", "upper")
                          and specified.get(key)},
        "assay": {}, "tank": _amount(fields["amount"]), "addition": {}, "aim": _aim(fields)}
    for name, one in FORM.items():
        if fields[name]:
            (groups[one.group] if one.group else table)[one.key] = fields[name]
    if own is not None:
        groups["assay"]["worksheet"] = own.path
    checks = (*standing_of(lot, own.identity if own else "", own.stage if own else ""), *told)
    adjustment = read_adjustment(toml_text({**table, **groups}).encode(), "")
    if own is None:
        return adjustment, checks
    accepted = accepted_of(lot.identity, own.identity)
    assay = replace(adjustment.assay, accepted=accepted)
    return replace(adjustment, assay=assay), (*checks, *let_pass_told(own.identity, accepted))


# --- what is known ----------------------------------------------------------------------------------------------------


def _worksheets(lot: Lot, specified: Mapping[str, Any]) -> tuple[str, ...]:
    if specified.get("measurand"):
        return ()
    found = Assay.objects.filter(about=lot.identity, method=specified["method"]).exclude(stage=VOID)
    return tuple(found.order_by("performed", "identity").values_list("identity", flat=True))


def _quantity_of(lot: Lot) -> str:
    """Return how much of the lot was made, where it was stated by mass or volume; empty otherwise."""
    text = str(lot.content.get("quantity", ""))
    try:
        read_quantity(text, "kg", "L")
    except Refusal:
        return ""
    return text


def _shelf(day: date) -> Shelf | None:
    """Return what the new assay can be planned with; none where what is registered cannot be read as a whole."""
    try:
        return shelf_on_record(day).shelf
    except Refusal:
        return None


# --- from the form to the file ----------------------------------------------------------------------------------------


def _own_worksheet(asked: AdjustAsked, specified: Mapping[str, Any]) -> Assay | None:
    """Return the assay of the lot that its content is taken from; none where it is typed.

    Raises:
        Refusal: neither is there, or the worksheet is none of the lot's, or something on record holds it back.
    """
    if asked.fields["content"]:
        return None
    number = asked.fields["worksheet"]
    if not number:
        raise Refusal("what was found of the lot is not known yet", where="content found",
                      remedy="assay the lot first, or type the content with its uncertainty, like "
                             f"“30.45 {unit_of(specified)} ± 0.06 {unit_of(specified)}, k = 2”")
    if number not in asked.worksheets:
        raise Refusal(f"“{number[:60]}” is no worksheet that assays this of lot {asked.lot.identity}",
                      where="worksheet", remedy="choose one of the list")
    if held := held_by(number, asked.lot.identity):
        raise Refusal(f"the result of {number} is held back: {held[0].what}", where="worksheet",
                      remedy=held[0].remedy)
    return Assay.objects.get(pk=number)


def _amount(text: str) -> dict[str, str]:
    """Return how much is in the tank, by mass or by volume."""
    if not text:
        raise Refusal("how much is in the tank is missing", where=AMOUNT,
                      remedy="write it with its uncertainty, like “5000 kg ± 15 kg, k = 2”")
    try:
        unit = read_quantity(text, "kg", "L").unit
    except Refusal as refusal:
        raise refusal.at(AMOUNT) from None
    return {"volume" if kind_of(unit) == "volume" else "mass": text}


def _aim(fields: Mapping[str, str]) -> dict[str, str]:
    """Return where the lot is to land; the chance of failing is what the chance of conforming leaves."""
    land = fields["land"]
    if land not in (NOMINAL, CHEAPEST, AT_CONTENT):
        raise Refusal(f"“{land[:40]}” is no aim", where=GROUPS["aim"], remedy="choose one of the list")
    if land == AT_CONTENT:
        land = fields["land_at"]
        if not land[:1].isdigit():
            raise Refusal("the content to land at is missing" if not land else f"“{land[:40]}” is no content",
                          where="content to land at", remedy="write it with its unit, or choose another aim")
    text = fields["failing"] or "5 %"
    failing = read_percent(text, "chance of failing")
    return {"land": land, "probability": f"{(HUNDRED - failing).normalize():f} %"}


def read_percent(text: str, where: str) -> Decimal:
    """Return a per cent that was typed with its sign or without.

    Raises:
        Refusal: it is none, or less than simulations tell apart.
    """
    try:
        found = read_quantity(text if "%" in text else f"{text} %", "%")
    except Refusal as refusal:
        raise refusal.at(where) from None
    if found.unit != "%" or found.uncertainty is not None or not LEAST_FAILING <= found.value < HUNDRED:
        raise Refusal(f"“{text[:40]}” is no chance from {LEAST_FAILING} % up to 100 %", where=where,
                      remedy="write it like “5 %”")
    return found.value


def _added(fields: Mapping[str, str], specified: Mapping[str, Any]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return what the records have of what is added, as fields, and what is to be checked of it, in sentences.

    A content that is typed goes before the one on record, and the sentence says both.
    """
    lot = fields["addition_lot"]
    if fields["kind"] == WATER:
        if fields["addition_content"]:
            raise Refusal(f"“{fields['addition_content'][:40]}” is given, and a diluent holds nothing of the substance",
                          where="its content", remedy="leave it empty, or choose a concentrate")
        check_lot_of_diluent(lot, fields["addition"])
        return {}, number_not_on_record(lot)
    if fields["kind"] != CONCENTRATE:
        raise Refusal("it is neither a diluent nor a concentrate", where=GROUPS["addition"],
                      remedy="choose one of the two")
    name, content, density = on_record(lot, substance_of(specified), "its lot or solution")
    typed = fields["addition_content"]
    if not typed and not content:
        raise Refusal("the content of the concentrate is missing", where="its content",
                      remedy="write it with its uncertainty, like “48.6 % w/w ± 0.2 % w/w, k = 2”, or name a lot or "
                             "solution on record whose content is known")
    told = taken_as_typed(lot, substance_of(specified), typed, content) if name else number_not_on_record(lot)
    density = fields["addition_density"] or ("" if typed else density)
    return {"addition_content": typed or content, "addition_density": density,
            "addition": name or fields["addition"]}, told
