"""From a blend's file to its lots and what they are to become: strict, in one sentence where something cannot be."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from assaywright.assay.accepted import AcceptedIrregularity
from assaywright.assay.observations import Specification
from assaywright.assay.prepare.form import CONTENT_UNITS, check_amount, read_measuring, top_table
from assaywright.assay.prepare.head import HEAD_FIELDS, SheetHead, read_head
from assaywright.assay.prepare.measuring import Measuring
from assaywright.assay.reading.report import check_content_limits, read_specification
from assaywright.assay.reading.table import Table
from assaywright.assay.toml_reader import TomlFile, read_form
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown

FORMAT = "assaywright blend 1"
BLEND_FIELDS = (
    "format", "decimal_mark", *HEAD_FIELDS, "product", "substance", "nominal", "density", "reaction", "mass", "aim",
    "probability", "readability", "uncertainty", "instrument", "capacity", "characteristic", "lot",
)
CHARACTERISTIC_FIELDS = ("name", "lower", "upper")
LOT_FIELDS = ("id", "stock", "least", "cost", "density", "contents", "worksheet")
NOMINAL, MOST, CHEAPEST = "nominal", "most", "cheapest"
AIMS = (NOMINAL, MOST, CHEAPEST)


@dataclass(frozen=True, slots=True)
class BlendLot:
    """One lot that may go into a blend.

    Fields:
        stock: how much there is, by mass.
        least: that has to go in; none for nothing.
        cost: of a kilogram, in any currency; none where no cost counts.
        density: measured at 20 °C [g/mL].
        contents: characteristic by its name, to what was found; without the first where a worksheet says it.
        worksheet: path of the worksheet that assayed the first characteristic, as typed; empty without one.
        accepted: irregularities of worksheet and lot that an authorised person let pass; a file cannot say so.
    """

    identity: str
    stock: Quantity
    contents: Mapping[str, Quantity]
    least: Quantity | None = None
    cost: Decimal | None = None
    density: Quantity | None = None
    worksheet: str = ""
    accepted: tuple[AcceptedIrregularity, ...] = ()


@dataclass(frozen=True, slots=True)
class Blend:
    """Lots, and what they are to become.

    Fields:
        substance: dissolved; the first characteristic is its content.
        nominal: content of the substance, as typed.
        characteristics: each with its limits; the first is the content of the substance.
        lots: two or more.
        measuring: in which steps the lots are measured out, by mass.
        mass: wanted altogether; none for as much as can be made.
        aim: "nominal" (the content hits its nominal value), "most" (of the stock) or "cheapest" (by cost).
        probability: of conforming in all characteristics together, wanted [1].
        capacity: of the vessel, by mass; none for no bound.
        density: of the product at its nominal content and 20 °C [g/mL].
        head: number, day, responsible person and file of the sheet.
    """

    product: str
    substance: str
    nominal: Quantity
    characteristics: tuple[Specification, ...]
    lots: tuple[BlendLot, ...]
    measuring: Measuring
    mass: Quantity | None = None
    aim: str = NOMINAL
    probability: float = 0.95
    capacity: Quantity | None = None
    density: Quantity | None = None
    reaction: str = ""
    head: SheetHead = field(default_factory=SheetHead)


def read_blend(data: bytes, path: str) -> Blend:
    """Return the blend that a file's bytes describe.

    Arguments:
        data: the file's bytes.
        path: the file, as the person named it.

    Raises:
        Refusal: anything that cannot be; one sentence with file, field and remedy.
    """
    return read_form(data, path, _read)


def _read(file: TomlFile) -> Blend:
    table = top_table(file, FORMAT, BLEND_FIELDS)
    nominal = table.needed_quantity("nominal", *CONTENT_UNITS, above="0", example="30.00")
    characteristics = tuple(_characteristic(one) for one in
                            table.tables("characteristic", CHARACTERISTIC_FIELDS, "characteristic"))
    if not characteristics:
        raise Refusal("the blend has no characteristic", remedy="write the content's limits under [[characteristic]]")
    names = tuple(one.characteristic for one in characteristics)
    if len(set(names)) < len(names):
        raise Refusal("a characteristic stands twice", remedy="give each its own name")
    lots = tuple(_lot(one, names) for one in table.tables("lot", LOT_FIELDS, "lot"))
    if len(lots) < 2:
        raise Refusal(f"a blend has two or more lots, and {len(lots)} is named", remedy="write each under [[lot]]")
    if len({one.identity for one in lots}) < len(lots):
        raise Refusal("a lot stands twice", remedy="name each lot once")
    if table.has("readability"):
        table.needed_quantity("readability", "kg", above="0")
    probability = table.quantity("probability", "%", above="0", most="99.99")
    mass, capacity = table.quantity("mass", "kg", above="0"), table.quantity("capacity", "kg", above="0")
    if mass is not None and capacity is not None and mass.to("kg") > capacity.to("kg"):
        raise table.refusal("mass", f"{shown(mass.text)} are wanted, and the vessel holds {shown(capacity.text)}; the "
                            f"nearest that can be made in it is {shown(capacity.text)}",
                            "ask for that, or name a larger vessel")
    return Blend(
        product=table.needed_text("product", "caustic soda solution 30 % w/w"),
        substance=table.needed_text("substance", "sodium hydroxide"), nominal=nominal,
        characteristics=characteristics, lots=lots, measuring=read_measuring(table, "1 kg"),
        mass=mass, aim=table.choice("aim", AIMS, NOMINAL),
        probability=probability.to("1") if probability else 0.95, capacity=capacity,
        density=table.quantity("density", "g/mL", above="0", most="5"), reaction=table.text("reaction"),
        head=read_head(table, file, "BL-26-003"),
    )


def _characteristic(table: Table) -> Specification:
    found = read_specification(table, table.needed_text("name", "sodium hydroxide"))
    check_content_limits(found, table)
    if found.lower is None and found.upper is None:
        raise table.refusal("", "it has no limit", "give lower or upper")
    return found


def _lot(table: Table, names: tuple[str, ...]) -> BlendLot:
    identity = table.needed_text("id", "0951")
    worksheet = table.text("worksheet")
    stated = names[1:] if worksheet else names
    contents = _contents(table, names, stated, identity)
    cost = table.number("cost", least="0")
    stock = table.needed_quantity("stock", "kg", above="0", example="5000")
    check_amount(stock, table.where("stock"))
    least = table.quantity("least", "kg", least="0")
    if least is not None and least.to("kg") > stock.to("kg"):
        raise table.refusal("least", f"{shown(least.text)} have to go in and {shown(stock.text)} are there",
                            f"ask for {shown(stock.text)} at most")
    return BlendLot(
        identity, stock,
        {} if contents is None else
        {name: contents.needed_quantity(name, *CONTENT_UNITS, least="0") for name in stated},
        least, cost.value if cost else None,
        table.quantity("density", "g/mL", above="0", most="5"), worksheet,
    )


def _contents(table: Table, names: tuple[str, ...], stated: tuple[str, ...], identity: str) -> Table | None:
    """Return the table of a lot's contents; none where its worksheet says all there is to say."""
    found = table.table("contents", names)
    if found is None and not stated:
        return None
    first = (stated or names)[0]
    contents = Refusal.unless(found, f'lot "{shown(identity)}" has no contents',
                              remedy=f'add contents = {{ "{first}" = "30.4 % w/w ± 0.06 % w/w, k = 2" }}')
    missing = [name for name in stated if not contents.has(name)]
    if missing:
        raise table.refusal("contents", f'"{missing[0]}" of lot "{shown(identity)}" is not given',
                            "give each characteristic of each lot")
    if len(stated) < len(names) and contents.has(names[0]):
        raise table.refusal("contents", f'"{names[0]}" of lot "{shown(identity)}" is given, and a worksheet as well',
                            "leave one of the two out")
    return contents
