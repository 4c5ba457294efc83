"""From a lot's table to the lot: its characteristics, assayed or entered, and what its certificate must say."""

import re
from pathlib import PurePath

from assaywright.assay.observations import Characteristic, Lot, Specification, Worksheet
from assaywright.assay.reading.report import LIMIT_FIELDS, read_specification
from assaywright.assay.reading.table import Table
from assaywright.assay.toml_reader import TomlFile
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.metrology.units import kind_of, with_article
from assaywright.reference.labelling import precaution_of, precautionary_statement
from assaywright.reference.safety import hazard_statement

LOT_FIELDS = (
    "id", "product", "maker", "certificate_number", "made", "issued", "use_before", "storage", "hazards", "cautions",
    "responsible", "responsible_function", "customer", "note", "sampled", "place", "precautions", "unclassified",
)
CHARACTERISTIC_FIELDS = (
    "name", "worksheet", "measurand", "value", "less_than", "found", "required", "satisfied", "source", "accredited",
    *LIMIT_FIELDS,
)
WAYS = ("worksheet", "value", "less_than", "found")
MAY_BE_NEGATIVE = ("temperature", "ratio")  # a pure number or a deviation in % may be

_HAZARD = re.compile(r"(?:EUH|H)[0-9]{3}[A-Za-z]{0,2}(?:\+H[0-9]{3}[A-Za-z]{0,2})*")


def read_lot(table: Table, file: TomlFile) -> Lot:
    """Return the lot of a lot file."""
    characteristics = tuple(
        _characteristic(inner) for inner in table.tables("characteristic", CHARACTERISTIC_FIELDS, "characteristic")
    )
    if not characteristics:
        raise Refusal("the lot has no characteristic", remedy="write one under [[characteristic]]")
    names = [one.specification.characteristic for one in characteristics]
    for name in names:
        if names.count(name) > 1:
            raise Refusal(f'the characteristic "{shown(name)}" stands twice', remedy="give each its own name")
    return _lot(table, characteristics, table.needed_text("id", "0417"),
                table.needed_text("product", "caustic soda solution 20 % w/v"), file.path, file.digest)


def lot_of_worksheet(table: Table, worksheet: Worksheet) -> Lot | None:
    """Return the lot that a worksheet's own [lot] table describes, with the worksheet as its one characteristic."""
    inner = table.table("lot", LOT_FIELDS)
    if inner is None:
        return None
    if worksheet.specification is None:
        raise inner.refusal("", "there is no [specification] table for the certificate to decide by",
                            "add [specification], or leave [lot] out")
    if worksheet.sample is not None:
        product, identity = worksheet.sample.product, worksheet.sample.lot
    else:
        product, identity = worksheet.titrant.name, worksheet.titrant.lot
    stated = inner.text("id", identity)
    if not stated:
        raise inner.missing("id", '"0417"')
    if identity and stated != identity:
        raise inner.refusal("id", f'the certificate is for lot "{shown(stated)}" and the titrations are of lot '
                            f'"{shown(identity)}"', "check the two lots")
    own = Characteristic(worksheet.specification, worksheet=PurePath(worksheet.path).name)
    return _lot(inner, (own,), stated, inner.text("product", product), worksheet.path, worksheet.digest)


def _lot(table: Table, characteristics: tuple[Characteristic, ...], identity: str, product: str, path: str,
         digest: str) -> Lot:
    """Return the lot with what its certificate must say."""
    lot = Lot(
        identity=identity,
        product=product,
        maker=table.needed_text("maker", "Tarn Hollow Reagents"),
        characteristics=characteristics,
        certificate_number=table.text("certificate_number"),
        made=table.day("made"),
        issued=table.day("issued"),
        use_before=table.last_day("use_before"),
        storage=table.text("storage"),
        hazards=_hazards(table),
        cautions=table.texts("cautions"),
        responsible=table.text("responsible"),
        responsible_function=table.text("responsible_function"),
        customer=table.text("customer"),
        note=table.text("note"),
        path=path,
        digest=digest,
        sampled=table.text("sampled"),
    )
    for key, day in (("issued", lot.issued), ("use_before", lot.use_before)):
        if lot.made and day and day < lot.made:
            raise table.refusal(key, f"{day} is before the lot was made, {lot.made}", "check the two dates")
    _check_label(table, lot)
    if lot.responsible_function and not lot.responsible:
        raise table.refusal("responsible_function", "the function stands without the person", 'add responsible = "…"')
    return lot


def _check_label(table: Table, lot: Lot) -> None:
    """Refuse what no label can carry: a precaution of no code, hazard statements of what is stated as unclassified."""
    table.text("place")
    for line in table.texts("precautions"):
        code, stated = precaution_of(line)
        try:
            precautionary_statement(code, stated)
        except Refusal as refusal:
            raise table.refusal("precautions", refusal.what, refusal.remedy) from None
    if table.flag("unclassified", default=False) and lot.hazards:
        raise table.refusal("unclassified", "hazard statements are stated beside it", "leave one of the two out")


def _hazards(table: Table) -> tuple[str, ...]:
    """Return the hazard statements by their codes."""
    codes = table.texts("hazards")
    for code in codes:
        if not _HAZARD.fullmatch(code):
            raise table.refusal("hazards", f'"{shown(code)}" is not the code of a hazard statement',
                                "write codes like H314, from the safety data sheet")
        try:
            hazard_statement(code)
        except Refusal as refusal:
            raise table.refusal("hazards", refusal.what, refusal.remedy) from None
    return codes


# --- characteristics --------------------------------------------------------------------------------------------------


def _characteristic(table: Table) -> Characteristic:
    """Return one characteristic, which is known in exactly one way."""
    name = table.needed_text("name", "total alkali as NaOH")
    table.place = f"{table.place} ({shown(name)})"
    given = [way for way in WAYS if table.has(way)]
    if len(given) != 1:
        what = f"it is given by {' and by '.join(given)}" if given else "nothing says what was found"
        raise table.refusal("", what, f"give exactly one of {', '.join(WAYS)}")
    specification = read_specification(table, name, text=table.text("required"), content=given == ["worksheet"])
    way = given[0]
    _check_fellows(table, way)
    if way == "worksheet":
        return Characteristic(specification, worksheet=table.needed_text("worksheet", "ws.toml"),
                              measurand=table.text("measurand"), accredited=table.flag("accredited", default=False))
    source = table.text("source")
    accredited = table.flag("accredited", default=False)
    if way == "found":
        satisfied = table.flag("satisfied", default=False) if table.has("satisfied") else None
        return Characteristic(specification, text=table.needed_text("found", "clear, colourless"), satisfied=satisfied,
                              source=source, accredited=accredited)
    value = _value(table, way, specification)
    return Characteristic(specification, value=value, less_than=way == "less_than", source=source,
                          accredited=accredited)


def _check_fellows(table: Table, way: str) -> None:
    """Refuse fields that belong to another way of knowing."""
    owners = {"measurand": ("worksheet",), "required": ("found",), "satisfied": ("found",),
              "source": ("value", "less_than", "found")}
    for key, ways in owners.items():
        if table.has(key) and way not in ways:
            raise table.refusal(key, f"it belongs to {' or '.join(ways)}, and the characteristic has {way}",
                                "leave it out")
    if way == "found":
        for key in LIMIT_FIELDS:
            if table.has(key):
                raise table.refusal(key, "it belongs to a number, and the characteristic is found in words",
                                    'write what is required in words, required = "…"')


def _value(table: Table, way: str, specification: Specification) -> Quantity:
    """Return the entered number, of the kind of its limits."""
    value = table.needed_quantity(way, *((specification.unit,) if specification.unit else ()))
    if way == "less_than" and value.uncertainty is not None:
        raise table.refusal(way, f"a bound is exact, and {shown(value.text)} has an uncertainty", "leave the ± out")
    if way == "less_than" and not value.value > 0:
        raise table.refusal(way, f"{shown(value.text)} is not above zero", "give the limit of quantification")
    if value.value < 0 and kind_of(value.unit) not in MAY_BE_NEGATIVE:
        raise table.refusal(way, f"{shown(value.text)} is below zero, and {with_article(kind_of(value.unit))} can't be",
                            "check sign and number")
    for key, limit in (("lower", specification.lower), ("upper", specification.upper)):
        if limit is not None and kind_of(limit.unit) != kind_of(value.unit):
            raise table.refusal(key, f"the limit is in {limit.unit} and the value in {value.unit}",
                                "give both in one unit")
    return value
