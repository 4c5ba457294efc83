"""What production asks of lots on record: what was found of a lot, its density, and fields of forms in sentences."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assaywright.assay.accepted import AcceptedIrregularity, let_pass
from assaywright.assay.evaluate_lot import evaluate_lot
from assaywright.assay.plain_words import plain_words
from assaywright.assay.result import Result
from assaywright.chemistry.content import Content, Wanted, convert
from assaywright.chemistry.content_units import SCALES
from assaywright.chemistry.formula import parse_formula
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.estimate import exact
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark
from assaywright.metrology.typed import read_quantity
from assaywright.records.accepted import accepted_of
from assaywright.records.bridge import assay_of, evaluate_assay, lot_file, open_by_path
from assaywright.records.investigated import entry_of
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Lot, Person, Solution
from assaywright.records.models.assays import REVIEWED
from assaywright.records.models.lots import ON_HOLD, RECALLED, REJECTED, RELEASED
from assaywright.records.models.people import SIGNATORY
from assaywright.records.set_aside import set_aside_remarks
from assaywright.records.specified import specified_of
from assaywright.records.standardisations import standardisations_of
from assaywright.records.unchecked import unchecked_remarks

LONGEST = 300
OVER = (RELEASED, REJECTED, RECALLED)
MISSING = re.compile(r'the field "(?P<key>\w+)" is missing')
EXAMPLE = re.compile(r'add \w+ = "([^"]*)"')
SAID_OTHERWISE = (
    (" (assaywright prepare writes that sheet)", ""),
    ('at the nominal content, land = "nominal"', "at the nominal content"),
    ('such as land = "nominal"', "such as at the nominal content"),
    ('aim at the limits instead, aim = "most"', "take as much of the lots as stays within the limits instead"),
    ("clear its remarks first", "clear its remarks first, or type what was found under “More of the lot”"),
    ("state formula and density with their source", "write its formula"),
    ('write form = "solution"', "leave it empty, or choose a second solution"),
    ("under [tank], ", ""), ("in this file", "here"),
)


@dataclass(frozen=True)
class FieldOfForm:
    """A field of a form as it stands in the file that the floors below read.

    Fields:
        group: the table that it stands in; empty at the top of the file.
        key: of it there.
        words: how the form calls it.
    """

    group: str
    key: str
    words: str


def lot_named(identity: str) -> Lot | None:
    """Return a lot of the records, or None."""
    return Lot.objects.filter(pk=identity.replace("\0", "")).first()


def contents_of(lot: Lot) -> list[dict[str, Any]]:
    """Return the characteristics that a method assays and whose limits are those of a content."""
    return [one for one in specified_of(lot) if one.get("method") and unit_of(one) in SCALES]


def unit_of(specified: Mapping[str, Any]) -> str:
    """Return the unit of a characteristic's limits; empty where it has none."""
    for key in ("lower", "upper"):
        if specified.get(key):
            return read_quantity(str(specified[key])).unit
    return ""


def chosen_content(lot: Lot, name: str) -> dict[str, Any]:
    """Return a content of a lot by its name; the first where none is named.

    Raises:
        Refusal: no content of it is assayed, or none of that name.
    """
    known = contents_of(lot)
    if not known:
        raise Refusal(f"no content of {lot.product} with limits is assayed by a method", where=f"lot {lot.identity}",
                      remedy="state one with its limits and its method in the product's specification")
    found = next((one for one in known if one["name"] == name), None if name else known[0])
    return Refusal.unless(found, f"{lot.product} has no content “{name[:60]}”", where="characteristic",
                          remedy=f"choose {' or '.join(str(one['name']) for one in known)}")


def substance_of(specified: Mapping[str, Any]) -> str:
    """Return the formula that a method states a content as."""
    method = method_of(str(specified["method"]))
    return method.result.species or method.analyte.formula


def stated_found(lot: Lot, name: str) -> str:
    """Return what was found of a characteristic as one would write it, with its uncertainty; empty while unknown."""
    try:
        file = lot_file(lot, whole=False)
        wanted = tuple(one for one in file.characteristics if one.specification.characteristic == name)
        found = evaluate_lot(_only(file, wanted), open_by_path).characteristics[0] if wanted else None
    except Refusal:
        return ""
    if found is None:
        return ""
    if found.result is not None:
        return stated_result(found.result)
    entered = found.characteristic
    return entered.value.text if entered.value is not None and not entered.less_than else ""


def _only(file: Any, characteristics: tuple[Any, ...]) -> Any:
    from dataclasses import replace

    return replace(file, characteristics=characteristics)


def stated_result(result: Result) -> str:
    """Return a result as one would write it, as its certificate prints it, with its uncertainty and k."""
    unit, value = result.estimate.unit, result.value_text
    if not result.uncertainty_text:
        return f"{value} {unit}"
    return f"{value} {unit} ± {result.uncertainty_text} {unit}, k = {result.coverage_factor:.2f}"


def density_of(lot: Lot, specified: Mapping[str, Any]) -> str:
    """Return the density of a lot at 20 °C: as its worksheet has it, else as it was entered; empty for neither."""
    assay = assay_of(lot, str(specified["method"]))
    stated = str(assay.content.get("sample", {}).get("density", "")) if assay else ""
    if stated:
        return stated
    for one in specified_of(lot):
        entry = None if one.get("method") else entry_of(lot.identity, one["name"])
        value = str(entry.content.get("value", "")) if entry else ""
        if value.partition("±")[0].strip().endswith(" g/mL"):
            return value
    return ""


def on_record(number: str, substance: str, where: str) -> tuple[str, str, str]:
    """Return name, content and density of a lot or solution on record; empty texts where there is none of that number.

    Arguments:
        number: of the lot or solution.
        substance: formula of what it has to hold.
        where: field of the form that names it.

    Raises:
        Refusal: it is of another substance.
    """
    wanted = parse_formula(substance)
    if (lot := lot_named(number)) is not None:
        known = [one for one in contents_of(lot) if parse_formula(substance_of(one)).is_same_entity(wanted)]
        if not known:
            raise Refusal(f"lot {number} is {lot.product}, and holds no {wanted.text} that was assayed", where=where,
                          remedy="name one of the same substance")
        return f"{lot.product}, lot {number}", stated_found(lot, str(known[0]["name"])), density_of(lot, known[0])
    solution = Solution.objects.filter(pk=number.replace("\0", "")).first()
    if solution is None:
        return "", "", ""
    formula = str(solution.content.get("formula", ""))
    if not formula or not parse_formula(formula).is_same_entity(wanted):
        raise Refusal(f"{solution.name} {number} is a solution of {formula or 'another substance'}, and {wanted.text} "
                      "is wanted", where=where, remedy="name one of the same substance")
    stated, found = str(solution.content.get("concentration", "")), standardisations_of(number)
    if found and not stated:
        stated = stated_result(evaluate_assay(found[-1]).result)
    return f"{solution.name}, lot {number}", stated, ""


def check_lot_of_diluent(number: str, name: str) -> None:
    """Refuse as the lot of a diluent one on record that is of something else.

    Arguments:
        number: as typed; empty for none.
        name: of the diluent, as typed.

    Raises:
        Refusal: it is a lot or solution of another name.
    """
    lot = lot_named(number)
    solution = None if lot else Solution.objects.filter(pk=number.replace("\0", "")).first()
    called = lot.product if lot else solution.name if solution else name
    if called.casefold() != name.casefold():
        raise Refusal(f"{number} is on record as {called}, and {name[:60]} is to be added",
                      where="its lot or solution", remedy="write the lot of what is added, or leave it empty")


def number_not_on_record(number: str) -> tuple[str, ...]:
    """Return that a lot is as typed where these records do not hold it, in a sentence; nothing for none or one held."""
    held = not number or lot_named(number) or Solution.objects.filter(pk=number.replace("\0", "")).exists()
    return () if held else (f"Lot {number} is not in these records: compare it with the label of what is added.",)


def taken_as_typed(number: str, substance: str, typed: str, recorded: str) -> tuple[str, ...]:
    """Return that a content typed is taken and not the one on record, with both; nothing where only one is known.

    Arguments:
        number: of the lot or solution.
        substance: formula of what it holds.
        typed, recorded: its content; empty where there is none.
    """
    if not typed or not recorded or typed == recorded:
        return ()
    apart = _apart(substance, typed, recorded)
    told = (f"The content typed is taken, {typed}; on record {number} has {recorded}{apart}. Leave the content empty "
            "to take the one on record.")
    return (told,)


def _apart(substance: str, typed: str, recorded: str) -> str:
    """Return by how much a content typed differs from the one on record; nothing where no density leads across."""
    try:
        one, other = read_quantity(typed), read_quantity(recorded)
        content = Content(exact(float(one.value), one.unit), find_solute(substance))
        value = convert(content, Wanted(other.unit)).estimate.value
    except Refusal:
        return ""
    if not other.value:
        return ""
    apart = 100 * (value / float(other.value) - 1)
    return f", and what was typed is {abs(apart):.3g} % {'less' if apart < 0 else 'more'}"


def responsible_for_a_sheet() -> dict[str, str]:
    """Return who is proposed to answer for a sheet, as fields of a form: the first by name who may sign."""
    for one in Person.objects.filter(present=True).order_by("name"):
        if one.has(SIGNATORY):
            return {"responsible": one.name, "function": str(one.content.get("function", "") or SIGNATORY)}
    return {}


def as_typed_else(typed: Mapping[str, str], before: Mapping[str, str], names: Iterable[str]) -> dict[str, str]:
    """Return the fields of a form by name: as typed, else as the records have it, else empty."""
    return {name: typed[name].strip() if name in typed else before.get(name, "") for name in names}


def limits_in_words(specified: Mapping[str, Any]) -> str:
    """Return the limits of a characteristic in words."""
    return ", ".join(f"{words} {specified[key]}" for key, words in (("lower", "at least"), ("upper", "at most"))
                     if specified.get(key))


def standing_of(lot: Lot, worksheet: str = "", stage: str = "") -> tuple[str, ...]:
    """Return what the records say against touching a lot, in sentences.

    Arguments:
        worksheet, stage: of the assay that its content is taken from; empty where it is not.
    """
    told = []
    if lot.state == ON_HOLD:
        told.append(f"Lot {lot.identity} is on hold: nothing is done to it before its investigation is concluded and "
                    "says that it may be.")
    if lot.state in OVER:
        told.append(f"Lot {lot.identity} is {lot.state}: what is made of it is a new lot with a number of its own, and "
                    "its certificate does not hold for that.")
    if worksheet and stage != REVIEWED:
        told.append(f"Worksheet {worksheet} is not reviewed yet (it is {stage}): have it reviewed before anything is "
                    "added.")
    return tuple(told)


def held_by(worksheet: str, lot: str) -> tuple[Remark, ...]:
    """Return what the records say of a worksheet by which its result is held back, besides its own remarks.

    What an authorised person let pass, for it or for its lot, holds nothing back.
    """
    held = (*unchecked_remarks([worksheet]), *set_aside_remarks([worksheet]))
    accepted = accepted_of(lot, worksheet) if held else ()
    return tuple(one for one in held if not let_pass(one, accepted))


def let_pass_told(worksheet: str, accepted: Sequence[AcceptedIrregularity]) -> tuple[str, ...]:
    """Return what was let pass of a worksheet and still stands, in sentences.

    Arguments:
        worksheet: by its number.
        accepted: for it and its lot.
    """
    if not accepted:
        return ()
    standing = (*evaluate_assay(Assay.objects.get(pk=worksheet)).remarks, *unchecked_remarks([worksheet]),
                *set_aside_remarks([worksheet]))
    found = [let_pass(one, accepted) for one in standing if one.holds]
    return tuple(dict.fromkeys(
        f"Worksheet {worksheet} goes in with an irregularity that {one.by} let pass on {one.day}, because: "
        f"{one.reason.rstrip('.')}. It was: {plain_words(one.what)}." for one in found if one))


def checked_length(typed: Mapping[str, str], words: Mapping[str, FieldOfForm]) -> None:
    """Refuse a text that is longer than any figure or name.

    Raises:
        Refusal: with the field and both lengths.
    """
    for name, text in typed.items():
        if len(text) > LONGEST:
            raise Refusal(f"the text has {len(text)} characters, and {LONGEST} fit into the field",
                          where=words[name].words if name in words else name, remedy="shorten it")


def of_the_form(refusal: Refusal, form: Mapping[str, FieldOfForm], groups: Mapping[str, str]) -> Refusal:
    """Return a refusal of the floors below with fields by the words of a form.

    Arguments:
        form: its fields by their names.
        groups: what the form calls each group of fields.
    """
    where, what, remedy = refusal.where.strip(": "), refusal.what, refusal.remedy
    if (lacking := MISSING.fullmatch(what)) is not None:
        where, what = ", ".join(filter(None, (where, lacking["key"]))), "it is missing"
        remedy = EXAMPLE.sub(r"write it, like “\1”", remedy)
    known = {", ".join(filter(None, (one.group, one.key))): one.words for one in form.values()}
    for said, otherwise in SAID_OTHERWISE:
        remedy = remedy.replace(said, otherwise)
    return Refusal(plain_words(what), where=known.get(where) or groups.get(where) or plain_words(where),
                   remedy=plain_words(remedy))
