"""From a preparation's file to what is to be made: strict, and in one sentence where something cannot be."""

from dataclasses import dataclass, field

from assaywright.assay.prepare.head import HEAD_FIELDS, SheetHead, read_head
from assaywright.assay.prepare.measuring import Measuring
from assaywright.assay.reading.table import Conventions, Table
from assaywright.assay.toml_reader import TomlFile, read_form
from assaywright.chemistry.content_units import SCALES
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity, shown
from assaywright.metrology.units import kind_of

FORMAT = "assaywright preparation 1"
PREPARATION_FIELDS = (
    "format", "decimal_mark", *HEAD_FIELDS, "substance", "content", "volume", "mass", "density", "temperature",
    "reaction", "counting", "vessel", "source",
)
VESSEL_FIELDS = ("id", "kind", "capacity", "tolerance", "readability", "greatest_temperature")
SOURCE_FIELDS = (
    "name", "lot", "substance", "form", "content", "water", "density", "temperature", "readability", "uncertainty",
    "instrument", "available",
)
VESSEL_KINDS = ("flask", "bottle", "tank")
FORMS = ("solid", "solution", "diluent")
CONTENT_UNITS = tuple(SCALES)
MOST_ASSAY_PERCENT = 102  # a titrated assay may come out a little above 100 %: common practice, no source
MOST_WATER_PERCENT = 90
MOST_TOLERANCE_SHARE = 0.05  # of the volume made: coarser is no mark and no gauge, our own allowance
COOLEST_VESSEL_DEGC = 20.0
MOST_AMOUNT = 1e8  # kg or L: the largest tanks hold about as much, our own allowance
MOST_DOUBT_SHARE = 1 / 3  # of an amount: beyond it the amount is not known, our own allowance


@dataclass(frozen=True, slots=True)
class Source:
    """What a solution is made from.

    Fields:
        name: as on its label.
        form: "solid", "solution" or "diluent".
        measuring: how much of it is measured out, and how.
        substance: where it is another form of the substance, such as a hydrate; empty when it is the same.
        content: assay of a solid (of the dried one, where ``water`` is given) or content of a solution; as typed.
        water: of a solid, lost on drying [% w/w].
        density: measured at its temperature [g/mL].
        temperature: [°C]
        lot: of it.
        available: how much there is.
    """

    name: str
    form: str
    measuring: Measuring
    substance: str = ""
    content: Quantity | None = None
    water: Quantity | None = None
    density: Quantity | None = None
    temperature: Quantity | None = None
    lot: str = ""
    available: Quantity | None = None


@dataclass(frozen=True, slots=True)
class MakingVessel:
    """What a solution is made in.

    Fields:
        kind: "flask" (filled to its mark), "bottle" (weighed in) or "tank" (filled to a gauge, or weighed).
        capacity: of it.
        tolerance: of the mark or gauge, a half width.
        readability: of the gauge.
        greatest_temperature: it may take [°C].
    """

    identity: str = ""
    kind: str = "flask"
    capacity: Quantity | None = None
    tolerance: Quantity | None = None
    readability: Quantity | None = None
    greatest_temperature: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Preparation:
    """What is to be made.

    Fields:
        substance: dissolved; the content counts it as named.
        content: wanted, as typed.
        amount: how much is to be made, by volume or by mass.
        sources: one, which is dissolved or diluted with water, or two that are mixed.
        density: measured on a solution of the content wanted at 20 °C [g/mL].
        temperature: at which the solution is made up [°C]; 20 °C when not given.
        reaction: for a content in equivalents.
        counting: the species of the reaction that is counted; empty for the usual one.
        head: number, day, responsible person and file of the sheet.
    """

    substance: str
    content: Quantity
    amount: Quantity
    sources: tuple[Source, ...]
    vessel: MakingVessel = field(default_factory=MakingVessel)
    density: Quantity | None = None
    temperature: Quantity | None = None
    reaction: str = ""
    counting: str = ""
    head: SheetHead = field(default_factory=SheetHead)

    @property
    def by_volume(self) -> bool:
        """Whether a volume is to be made, not a mass."""
        return self.amount.unit in ("mL", "L", "µL")


def read_preparation(data: bytes, path: str) -> Preparation:
    """Return the preparation that a file's bytes hold.

    Arguments:
        data: the file's bytes.
        path: the file, as the person named it.

    Raises:
        Refusal: anything that cannot be; one sentence with file, field and remedy.
    """
    return read_form(data, path, _read)


def top_table(file: TomlFile, form: str, known: tuple[str, ...]) -> Table:
    """Return the top table of a file that has to begin with its format.

    Raises:
        Refusal: another format, or a field that is not known.
    """
    found = file.table.get("format")
    if found != form:
        what = "it does not begin with its format" if found is None else f'its format is "{shown(str(found))}"'
        raise Refusal(what, remedy=f'begin the file with format = "{form}", or name such a file')
    mark = Table({key: file.table[key] for key in ("decimal_mark",) if key in file.table}, "", ("decimal_mark",),
                 Conventions()).choice("decimal_mark", (".", ","), ".")
    return Table(file.table, "", known, Conventions(mark), elsewhere=known)


def read_measuring(table: Table, default: str) -> Measuring:
    """Return how an amount is measured out: by its readability, in a unit of mass or of volume."""
    step = table.quantity("readability", "g", "mL", above="0") or read_quantity(default)
    unit = "mL" if step.unit in ("mL", "L", "µL") else "g"
    return Measuring(step, table.spread("uncertainty", unit), table.text("instrument"))


def _read(file: TomlFile) -> Preparation:
    table = top_table(file, FORMAT, PREPARATION_FIELDS)
    volume = table.quantity("volume", "L", above="0")
    mass = table.quantity("mass", "kg", above="0")
    if (volume is None) == (mass is None):
        raise table.refusal("", "how much is to be made is not said in exactly one way",
                            'give volume = "1 L" or mass = "10 kg"')
    sources = tuple(_source(inner) for inner in table.tables("source", SOURCE_FIELDS, "source"))
    if not 1 <= len(sources) <= 2:
        raise Refusal(f"{len(sources)} sources are named", where="source",
                      remedy="name one, for dissolving or diluting, or two that are mixed; each under [[source]]")
    vessel = table.table("vessel", VESSEL_FIELDS)
    amount = Refusal.unless(volume or mass, "no amount")
    check_amount(amount, table.where("volume" if volume else "mass"))
    return Preparation(
        substance=table.needed_text("substance", "sodium hydroxide"),
        content=table.needed_quantity("content", *CONTENT_UNITS, above="0", example="0.1"),
        amount=amount, sources=sources, vessel=_vessel(vessel, amount) if vessel else MakingVessel(),
        density=table.quantity("density", "g/mL", above="0", most="5"),
        temperature=table.quantity("temperature", "°C", least="0", most="60"), reaction=table.text("reaction"),
        counting=table.text("counting"),
        head=read_head(table, file, "PR-26-031"),
    )


def check_assay(content: Quantity, where: str) -> None:
    """Refuse the assay of a solid that lies above 100 % by more than its uncertainty, or above what an assay may be.

    Arguments:
        content: as typed [%, of the mass].
        where: field or option that holds it.

    Raises:
        Refusal: no solid holds as much.
    """
    percent = float(content.value)
    above = percent - 100
    bound = 0.0
    if content.uncertainty is not None:
        bound = float(content.uncertainty.amount) * (2 if content.uncertainty.form == "standard" else 1)
    if above > bound or percent > MOST_ASSAY_PERCENT:
        raise Refusal(f"{shown(content.text)} is more than all of the solid", where=where,
                      remedy="give its assay, of 100 % at most, or above it only within the stated uncertainty; where "
                             "a hydrate has lost water, name the form that is weighed")


def check_tolerance(tolerance: Quantity, amount: Quantity, where: str) -> None:
    """Refuse a tolerance of a mark or gauge that says nothing of the volume made.

    Arguments:
        tolerance: half width.
        amount: to be made, by volume or by mass.
        where: field or option that holds it.

    Raises:
        Refusal: it is more than a twentieth of the volume.
    """
    if kind_of(amount.unit) == "volume" and tolerance.to("mL") > MOST_TOLERANCE_SHARE * amount.to("mL"):
        raise Refusal(f"a tolerance of {shown(tolerance.text)} is more than a twentieth of {shown(amount.text)}",
                      where=where, remedy="give the tolerance of the mark, such as 0.4 mL for 1 L, and check its unit")


def check_greatest_temperature(degrees: Quantity, where: str) -> None:
    """Refuse a vessel that may not even come to 20 °C.

    Arguments:
        degrees: that it may take [°C].
        where: field or option that holds it.

    Raises:
        Refusal: solutions are made up at a higher temperature.
    """
    if degrees.to("°C") < COOLEST_VESSEL_DEGC:
        raise Refusal(f"a vessel that may take {shown(degrees.text)} at most cannot hold a solution at 20 °C",
                      where=where, remedy="give the greatest temperature of the vessel, or leave it out")


def check_amount(amount: Quantity, where: str) -> None:
    """Refuse an amount that no works holds, or whose uncertainty leaves open whether there is any.

    Arguments:
        amount: by mass or by volume, as typed.
        where: field that holds it.

    Raises:
        Refusal: more than the largest tanks hold, or an uncertainty above a third of the amount.
    """
    if amount.to("kg" if kind_of(amount.unit) == "mass" else "L") > MOST_AMOUNT:
        raise Refusal(f"{shown(amount.text)} is more than any tank holds", where=where,
                      remedy="check the figure and its unit")
    if amount.uncertainty is None:
        return
    bound = float(amount.uncertainty.amount) * (2 if amount.uncertainty.form == "standard" else 1)
    if bound > MOST_DOUBT_SHARE * abs(float(amount.value)):
        raise Refusal(f"the uncertainty of {shown(amount.text)} is more than a third of it", where=where,
                      remedy="state what scale or gauge leave open, like 5000 kg ± 15 kg, k = 2, and check its unit")


def _vessel(table: Table, amount: Quantity) -> MakingVessel:
    vessel = _read_vessel(table)
    for key, bound in (("tolerance", vessel.tolerance), ("readability", vessel.readability)):
        if bound is not None:
            check_tolerance(bound, amount, table.where(key))
    if vessel.greatest_temperature is not None:
        check_greatest_temperature(vessel.greatest_temperature, table.where("greatest_temperature"))
    capacity = vessel.capacity
    if (vessel.kind == "flask" and capacity is not None and kind_of(amount.unit) == "volume"
            and capacity.to("mL") > amount.to("mL") * (1 + 1e-9)):
        raise table.refusal("capacity", f"a flask of {shown(capacity.text)} has one mark, and {shown(amount.text)} are "
                            "to be made", f'make {shown(capacity.text)}, or write kind = "tank" or "bottle"')
    return vessel


def _read_vessel(table: Table) -> MakingVessel:
    return MakingVessel(
        identity=table.text("id"), kind=table.choice("kind", VESSEL_KINDS, "flask"),
        capacity=table.quantity("capacity", "L", above="0"),
        tolerance=table.spread("tolerance", "mL", form="triangular"),
        readability=table.quantity("readability", "L", above="0"),
        greatest_temperature=table.quantity("greatest_temperature", "°C", least="0", most="200"),
    )


def _source(table: Table) -> Source:
    form = table.choice("form", FORMS, "solution")
    content = None
    if form == "solid":
        content = table.quantity("content", "% w/w", "%", above="0", most=str(MOST_ASSAY_PERCENT))
        if content is not None:
            check_assay(content, table.where("content"))
    elif form == "solution":
        content = table.needed_quantity("content", *CONTENT_UNITS, above="0", example="37")
    elif table.has("content"):
        raise table.refusal("content", "a diluent holds nothing of the substance", 'write form = "solution"')
    if table.has("water") and form != "solid":
        raise table.refusal("water", "it belongs to a solid", "leave it out; the content of a solution is as it is")
    return Source(
        name=table.needed_text("name", "hydrochloric acid 37 %"), form=form, measuring=read_measuring(table, "0.01 g"),
        substance=table.text("substance"), content=content,
        water=table.quantity("water", "% w/w", "%", least="0", most=str(MOST_WATER_PERCENT)),
        density=table.quantity("density", "g/mL", above="0", most="5"),
        temperature=table.quantity("temperature", "°C", least="-20", most="100"), lot=table.text("lot"),
        available=table.quantity("available", "kg", "L", above="0"),
    )
