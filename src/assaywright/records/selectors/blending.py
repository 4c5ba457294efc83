"""What lots of a product give together: their contents from the records, their amounts from the form, and the sheet.

Nothing is recorded. What is asked is written out as the file of a blend and read as any other, so that page and command
say the same to the last digit. A content is that of the lot's own worksheet, so that what assays share is shared.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from assaywright.assay.adjust.blend import blend_lots
from assaywright.assay.adjust.blend_form import FORMAT, MOST, NOMINAL, Blend, read_blend
from assaywright.assay.adjust.sheets import blend_sheet
from assaywright.assay.labelled import Labelled
from assaywright.assay.prepare.sheet import ProductionSheet
from assaywright.chemistry.content_units import AS_EQUIVALENTS
from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import kind_of
from assaywright.records.accepted import accepted_of
from assaywright.records.bridge import assay_of, open_by_path
from assaywright.records.methods import method_of
from assaywright.records.models import Lot
from assaywright.records.models.lots import RECALLED, RELEASED
from assaywright.records.selectors.adjusting import read_percent
from assaywright.records.selectors.plans import nominal_of
from assaywright.records.selectors.production import (
    FieldOfForm,
    as_typed_else,
    checked_length,
    chosen_content,
    contents_of,
    density_of,
    held_by,
    let_pass_told,
    limits_in_words,
    lot_named,
    of_the_form,
    responsible_for_a_sheet,
    standing_of,
    stated_found,
    substance_of,
    unit_of,
)
from assaywright.records.specified import newest_of
from assaywright.records.toml_text import DATE, toml_text

MOST_LOTS = 20
BY_MASS = "mass fraction"
BARE = re.compile(r"[0-9][0-9.,]*")
SEPARATED = re.compile(r"[,;\s]+")
GROUPS = {"lots": "the lots", "lot": "the lots", "characteristic": "the limits", "aim": "the aim"}
FORM = {
    "nominal": FieldOfForm("", "nominal", "nominal content"),
    "number": FieldOfForm("", "id", "number of the sheet"),
    "responsible": FieldOfForm("", "responsible", "responsible"),
    "function": FieldOfForm("", "responsible_function", "function"),
    "note": FieldOfForm("", "note", "note"),
    "aim": FieldOfForm("", "aim", "aim"),
    "wanted": FieldOfForm("", "mass", "mass wanted"),
    "capacity": FieldOfForm("", "capacity", "the vessel holds"),
    "readability": FieldOfForm("", "readability", "smallest step"),
    "measuring": FieldOfForm("", "uncertainty", "how far a mass may be off"),
    "instrument": FieldOfForm("", "instrument", "scale"),
    "product_density": FieldOfForm("", "density", "density of the product at its nominal content"),
}
OF_A_LOT = {"stock": "how much there is of lot {}", "least": "at least of lot {}", "contents": "content of lot {}"}
OTHERS = ("failing", "others")
FAILING = {"failing": FieldOfForm("", "probability", "chance of failing")}


@dataclass(frozen=True)
class LotToBlend:
    """A lot that may go into a blend.

    Fields:
        found: its content with its uncertainty, as its certificate would print it; empty while unknown.
        stock, least: how much there is and has to go in, as typed; empty where it does not go in.
    """

    lot: Lot
    found: str
    stock: str
    least: str


@dataclass(frozen=True)
class BlendAsked:
    """What a blend is asked for.

    Fields:
        lots: of the product, the last ones made first, and those that were named besides.
        content: the characteristic that is blended; ``limits`` are those of its specification, in words.
        fields: of the form by their names.
        asked: whether the form was sent.
    """

    product: str
    lots: tuple[LotToBlend, ...]
    content: str
    limits: str
    unit: str
    fields: Mapping[str, str]
    asked: bool


def blend_asked(product: str, typed: Mapping[str, str], day: date) -> BlendAsked:
    """Return what is asked: as typed, else as the records have it.

    Arguments:
        product: by its name; it has a lot at least.
        typed: the fields of the form; empty before it was sent.
        day: of the work, at the laboratory.

    Raises:
        Refusal: the product has no lot, or no content that a method assays.
    """
    lots = _lots(product, typed.get("others", ""))
    specified = _specified(lots[0])[0]
    before = {
        "nominal": nominal_of(lots[0], specified), "aim": NOMINAL, "failing": "5 %", "readability": "1 kg",
        "number": f"BL-{day:%y}-{lots[0].identity}", **responsible_for_a_sheet()}
    fields = as_typed_else(typed, before, (*FORM, *OTHERS))
    limits = limits_in_words(specified)
    rows = tuple(_row(one, specified, typed) for one in lots)
    return BlendAsked(product, rows, str(specified["name"]), limits, unit_of(specified), fields, "aim" in typed)


def blend_shown(asked: BlendAsked, day: date) -> ProductionSheet:
    """Return the sheet for what is asked; the person named in it decides.

    Arguments:
        asked: see :func:`blend_asked`.
        day: of the work.

    Raises:
        Refusal: what cannot be, in the words of the form; the sentence names the nearest that can be done.
    """
    checked_length(asked.fields, FORM)
    _check_others(asked.fields["others"])
    chosen = [one for one in asked.lots if one.stock]
    try:
        blend, left_out = blend_of(asked, day)
        sheet = blend_sheet(blend_lots(blend, open_by_path))
    except Refusal as refusal:
        rows = {f"lot {number}, {key}": words.format(one.lot.identity) for number, one in enumerate(chosen, 1)
                for key, words in OF_A_LOT.items()}
        raise of_the_form(refusal, {**FORM, **FAILING}, GROUPS | rows) from None
    checks = [one for lot in chosen for one in _against(lot.lot, asked.content)]
    return replace(sheet, sha256="", notes=(*sheet.notes, *left_out),
                   answers=(*(Labelled("Check first", one) for one in checks), *sheet.answers))


def blend_of(asked: BlendAsked, day: date) -> tuple[Blend, tuple[str, ...]]:
    """Return the blend that the form describes, and what cannot be predicted of it, in sentences.

    Raises:
        Refusal: in the words of the file's fields, see :func:`of_the_form`.
    """
    chosen = [one for one in asked.lots if one.stock]
    if len(chosen) < 2:
        raise Refusal(f"a blend has two or more lots, and an amount is given of {'one' if chosen else 'none'}",
                      where="lots", remedy="give the amount of each lot that may go in")
    main, *others = _specified(asked.lots[0].lot)
    _check_held(chosen, main)
    known, left_out = _further(chosen, others)
    failing = read_percent(asked.fields["failing"] or "5 %", "chance of failing")
    table: dict[str, Any] = {"format": FORMAT, "date": {DATE: day.isoformat()}, "product": asked.product,
                             "substance": substance_of(main), "probability": f"{(100 - failing).normalize():f} %"}
    if unit_of(main) in AS_EQUIVALENTS:
        table["reaction"] = method_of(str(main["method"])).reaction
    if asked.fields["aim"] not in (NOMINAL, MOST):
        raise Refusal(f"“{asked.fields['aim'][:40]}” is no aim", where="aim", remedy="choose one of the list")
    table |= {one.key: asked.fields[name] for name, one in FORM.items() if asked.fields[name]}
    table["characteristic"] = [
        {"name": one["name"], **{key: one[key] for key in ("lower", "upper") if one.get(key)}}
        for one in (main, *(one for one, _ in known))]
    table["lot"] = [_lot_table(one, main, [(each["name"], found[one.lot.identity]) for each, found in known])
                    for one in chosen]
    blend = read_blend(toml_text(table).encode(), "")
    lots = tuple(replace(made, accepted=accepted_of(one.lot.identity, *_assays(one.lot, main)))
                 for made, one in zip(blend.lots, chosen, strict=True))
    return replace(blend, lots=lots), left_out


# --- what is known ----------------------------------------------------------------------------------------------------


def _lots(product: str, others: str) -> list[Lot]:
    """Return the lots that may go in, the last ones made first, then those named besides."""
    found = list(Lot.objects.filter(product=product).exclude(state=RECALLED).order_by("-made", "-identity")[:MOST_LOTS])
    if not found:
        raise Refusal(f"no lot of {product[:60]} is there to be blended", where="lots", remedy="enter its lots first")
    for number in _numbers(others):
        lot = lot_named(number)
        if lot is not None and lot.identity not in {one.identity for one in found}:
            found.append(lot)
    return found


def _numbers(others: str) -> list[str]:
    return [one for one in SEPARATED.split(others.strip())[:MOST_LOTS] if one]


def _check_others(others: str) -> None:
    """Refuse a lot named besides that is not on record."""
    for number in _numbers(others):
        Refusal.unless(lot_named(number), f"there is no lot “{number[:60]}”", where="further lots",
                       remedy="write numbers of lots on record, with a space between them")


def _specified(lot: Lot) -> list[dict[str, Any]]:
    """Return what the newest edition of a lot's product specifies: the content first, then the others with limits."""
    main = chosen_content(lot, "")
    every = newest_of(lot).content.get("characteristics", [])
    first = next((one for one in every if one["name"] == main["name"]), main)
    return [first, *(one for one in every if one["name"] != first["name"])]


def _content_of(lot: Lot, specified: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the content of a lot that is of the same substance; one of the same name before others."""
    wanted = parse_formula(substance_of(specified))
    known = [one for one in contents_of(lot) if parse_formula(substance_of(one)).is_same_entity(wanted)]
    return next((one for one in known if one["name"] == specified["name"]), known[0] if known else None)


def _row(lot: Lot, specified: Mapping[str, Any], typed: Mapping[str, str]) -> LotToBlend:
    content = _content_of(lot, specified)
    found = stated_found(lot, str(content["name"])) if content else ""
    return LotToBlend(lot, found, typed.get(f"stock {lot.identity}", "").strip(),
                      typed.get(f"least {lot.identity}", "").strip())


def _in_kg(text: str) -> str:
    """Return a mass that was typed under a heading that says kg, with its unit."""
    return f"{text} kg" if BARE.fullmatch(text) else text


def _against(lot: Lot, content: str) -> tuple[str, ...]:
    """Return what the records say against blending a lot; a released one may go in, since the blend is a new lot."""
    specified = next((one for one in contents_of(lot) if one["name"] == content), None)
    assay = assay_of(lot, str(specified["method"])) if specified else None
    told = standing_of(lot, assay.identity if assay else "", assay.stage if assay else "")
    told = told[1:] if lot.state == RELEASED else told
    return told if assay is None else (
        *told, *let_pass_told(assay.identity, accepted_of(lot.identity, assay.identity)))


def _assays(lot: Lot, main: Mapping[str, Any]) -> list[str]:
    """Return the number of the worksheet that the content of a lot is by, if any."""
    content = _content_of(lot, main)
    assay = assay_of(lot, str(content["method"])) if content else None
    return [assay.identity] if assay else []


def _further(
    chosen: Sequence[LotToBlend], others: Sequence[Mapping[str, Any]]
) -> tuple[list[tuple[Mapping[str, Any], dict[str, str]]], tuple[str, ...]]:
    """Return the further characteristics that mix by mass and are known of every lot, and the others in a sentence."""
    known, missing = [], []
    for one in others:
        found = {each.lot.identity: stated_found(each.lot, one["name"]) for each in chosen}
        by_mass = kind_of(unit_of(one) or "1") == BY_MASS
        if by_mass and all(text and kind_of(read_quantity(text).unit) == BY_MASS for text in found.values()):
            known.append((one, found))
        else:
            missing.append(str(one["name"]))
    told = (f"Not predicted, and found anew on the blend: {', '.join(missing)}.",) if missing else ()
    return known, told


def _lot_table(one: LotToBlend, main: Mapping[str, Any], further: Sequence[tuple[str, str]]) -> dict[str, Any]:
    """Return a lot as the file of a blend has it: its content by its worksheet, else as it was found."""
    content = _content_of(one.lot, main)
    if not one.found or content is None:
        raise Refusal(f"nothing is known of {main['name']} of lot {one.lot.identity}, or it is of another substance",
                      where="lots", remedy="assay it first, or leave its amount empty")
    own = None if content.get("measurand") else assay_of(one.lot, str(content["method"]))
    contents = dict(further)
    if own is None:
        contents = {str(main["name"]): one.found, **contents}
    density = density_of(one.lot, content)
    return {"id": one.lot.identity, "stock": _in_kg(one.stock), **({"least": _in_kg(one.least)} if one.least else {}),
            **({"density": density} if density else {}), **({"contents": contents} if contents else {}),
            **({"worksheet": own.path} if own else {})}


def _check_held(chosen: Sequence[LotToBlend], main: Mapping[str, Any]) -> None:
    """Refuse a lot whose assay something on record holds back."""
    for one in chosen:
        content = _content_of(one.lot, main)
        assay = assay_of(one.lot, str(content["method"])) if content else None
        if assay is not None and (held := held_by(assay.identity, one.lot.identity)):
            raise Refusal(f"the result of {assay.identity} is held back: {held[0].what}",
                          where=f"lot {one.lot.identity}", remedy=held[0].remedy)
