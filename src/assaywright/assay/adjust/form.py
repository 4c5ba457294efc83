"""From an adjustment's file to what is known of the lot: strict, and in one sentence where something cannot be."""

from dataclasses import dataclass, field

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
from assaywright.metrology.units import kind_of

FORMAT = "assaywright adjustment 1"
ADJUSTMENT_FIELDS = (
    "format", "decimal_mark", *HEAD_FIELDS, "product", "lot", "substance", "nominal", "density", "reaction",
    "specification", "assay", "tank", "addition", "aim", "shelf",
)
LIMIT_FIELDS = ("lower", "upper")
ASSAY_FIELDS = ("content", "worksheet", "density", "repeatability", "prior_mean", "prior_standard_deviation",
                "prior_source")
TANK_FIELDS = ("id", "mass", "volume", "density", "dead_leg", "temperature", "capacity", "greatest_temperature",
               "mixing")
ADDITION_FIELDS = ("name", "lot", "content", "density", "temperature", "readability", "uncertainty", "instrument",
                   "available")
AIM_FIELDS = ("land", "probability", "greatest_overshoot")
NOMINAL, CHEAPEST = "nominal", "cheapest"
LANDINGS = (NOMINAL, CHEAPEST)


@dataclass(frozen=True, slots=True)
class LotAssay:
    """What the assay of the lot found.

    Fields:
        content: with its uncertainty; none where a worksheet says it.
        worksheet: path of the worksheet, as typed.
        density: of the lot at 20 °C, measured [g/mL].
        repeatability: of one determination, for judging samples from top, middle and bottom.
        prior: mean and standard deviation of the product's lots before adjustment; none for a flat prior.
        prior_source: where the prior is from.
        accepted: irregularities of worksheet and lot that an authorised person let pass; a file cannot say so.
    """

    content: Quantity | None
    worksheet: str = ""
    density: Quantity | None = None
    repeatability: Quantity | None = None
    prior: tuple[Quantity, Quantity] | None = None
    prior_source: str = ""
    accepted: tuple[AcceptedIrregularity, ...] = ()


@dataclass(frozen=True, slots=True)
class Tank:
    """The tank and what is in it.

    Fields:
        amount: its content by load cell (mass) or level gauge (volume), with its uncertainty.
        density: of the lot at the tank's temperature, measured [g/mL].
        dead_leg: counted in the reading, but not taking part in the mixing [kg].
        temperature: of the lot [°C].
        capacity: greatest filling [L].
        greatest_temperature: it may take [°C].
        mixing: how it is mixed and how long, in words.
    """

    amount: Quantity
    identity: str = ""
    density: Quantity | None = None
    dead_leg: Quantity | None = None
    temperature: Quantity | None = None
    capacity: Quantity | None = None
    greatest_temperature: Quantity | None = None
    mixing: str = ""


@dataclass(frozen=True, slots=True)
class Addition:
    """What may be added: a diluent, or a concentrate of known content.

    Fields:
        content: none for a diluent that holds nothing of the substance.
        measuring: by balance, pump or meter.
        density: at its temperature [g/mL].
        available: how much there is.
    """

    name: str
    measuring: Measuring
    content: Quantity | None = None
    density: Quantity | None = None
    temperature: Quantity | None = None
    lot: str = ""
    available: Quantity | None = None

    @property
    def with_lot(self) -> str:
        """Its name with its lot, as the sheet calls it; the name alone where no lot is stated, or it says it."""
        return f"{self.name}, lot {self.lot}" if self.lot and f"lot {self.lot}" not in self.name else self.name


@dataclass(frozen=True, slots=True)
class Aim:
    """Where the lot is to land.

    Fields:
        land: "nominal", "cheapest" (the lowest content that keeps the wanted probability), or empty for ``content``.
        content: to land at.
        probability: of conforming, wanted [1].
        greatest_overshoot: probability of landing beyond the far limit above which two steps are advised [1].
    """

    land: str = NOMINAL
    content: Quantity | None = None
    probability: float = 0.95
    greatest_overshoot: float = 0.01


@dataclass(frozen=True, slots=True)
class Adjustment:
    """A lot that missed, and what may be done about it.

    Fields:
        nominal: content, as typed; its unit is that of limits and result.
        limits: the specification of the content.
        density: measured on the product at its nominal content and 20 °C [g/mL].
        shelf: path of the shelf that the new assay is planned with, as typed; empty when not named.
        head: number, day, responsible person and file of the sheet.
    """

    product: str
    lot: str
    substance: str
    nominal: Quantity
    limits: Specification
    assay: LotAssay
    tank: Tank
    addition: Addition
    aim: Aim
    density: Quantity | None = None
    reaction: str = ""
    shelf: str = ""
    head: SheetHead = field(default_factory=SheetHead)


def read_adjustment(data: bytes, path: str) -> Adjustment:
    """Return the adjustment that a file's bytes describe.

    Arguments:
        data: the file's bytes.
        path: the file, as the person named it.

    Raises:
        Refusal: anything that cannot be; one sentence with file, field and remedy.
    """
    return read_form(data, path, _read)


def needed_table(table: Table, key: str, known: tuple[str, ...]) -> Table:
    """Return a table that has to be there.

    Raises:
        Refusal: it is missing, or holds a field that is not known.
    """
    found = table.table(key, known)
    return Refusal.unless(found, f"the table [{key}] is missing", remedy=f"add [{key}] with its fields")


def _read(file: TomlFile) -> Adjustment:
    table = top_table(file, FORMAT, ADJUSTMENT_FIELDS)
    nominal = table.needed_quantity("nominal", *CONTENT_UNITS, above="0", example="30.00")
    limits = limits_of(needed_table(table, "specification", LIMIT_FIELDS), nominal)
    return Adjustment(
        product=table.needed_text("product", "caustic soda solution 30 % w/w"),
        lot=table.needed_text("lot", "0951"), substance=table.needed_text("substance", "sodium hydroxide"),
        nominal=nominal, limits=limits,
        assay=_assay(needed_table(table, "assay", ASSAY_FIELDS)),
        tank=_tank(needed_table(table, "tank", TANK_FIELDS)),
        addition=_addition(needed_table(table, "addition", ADDITION_FIELDS)),
        aim=_aim(table.table("aim", AIM_FIELDS), nominal, limits),
        density=table.quantity("density", "g/mL", above="0", most="5"), reaction=table.text("reaction"),
        shelf=table.text("shelf"),
        head=read_head(table, file, "AD-26-014"),
    )


def limits_of(table: Table, nominal: Quantity) -> Specification:
    """Return limits of a content in the unit of its nominal value.

    Raises:
        Refusal: no limit, one in another unit, or a nominal content outside them.
    """
    found = read_specification(table, "content")
    check_content_limits(found, table)
    if found.lower is None and found.upper is None:
        raise table.refusal("", "there is no limit to conform to", f'give lower = "… {nominal.unit}" or upper')
    for key, limit in (("lower", found.lower), ("upper", found.upper)):
        if limit is not None and limit.unit != nominal.unit:
            raise table.refusal(key, f"the limit is in {limit.unit} and the nominal content in {nominal.unit}",
                                "give both in one unit")
    below = found.lower is not None and nominal.value < found.lower.value
    if below or (found.upper is not None and nominal.value > found.upper.value):
        raise table.refusal("", f"the nominal content {nominal.text} lies outside its own limits", "check the three")
    return found


def _assay(table: Table) -> LotAssay:
    content = table.quantity("content", *CONTENT_UNITS, above="0")
    worksheet = table.text("worksheet")
    if (content is None) == (not worksheet):
        raise table.refusal("", "what the assay found is not said in exactly one way",
                            'give content = "30.45 % w/w ± 0.06 % w/w, k = 2" or worksheet = "…toml"')
    if content is not None and content.uncertainty is None:
        raise table.refusal("content", f"{content.text} has no uncertainty, and without it no probability can be given",
                            'write it like "30.45 % w/w ± 0.06 % w/w, k = 2"')
    mean = table.quantity("prior_mean", *CONTENT_UNITS, above="0")
    deviation = table.quantity("prior_standard_deviation", *CONTENT_UNITS, above="0")
    if (mean is None) != (deviation is None):
        raise table.refusal("", "a prior has a mean and a standard deviation, and one of them is missing",
                            "give both, or neither for a flat prior")
    prior = None if mean is None or deviation is None else (mean, deviation)
    return LotAssay(content, worksheet, table.quantity("density", "g/mL", above="0", most="5"),
                    table.spread("repeatability", *CONTENT_UNITS, form="standard"), prior, table.text("prior_source"))


def _tank(table: Table) -> Tank:
    mass = table.quantity("mass", "kg", above="0")
    volume = table.quantity("volume", "L", above="0")
    amount = mass or volume
    if amount is None or (mass is not None and volume is not None):
        raise table.refusal("", "how much is in the tank is not said in exactly one way",
                            'give mass = "5000 kg ± 15 kg, k = 2" or volume = "3760 L ± 10 L, rectangular"')
    if amount.uncertainty is None:
        raise table.refusal("mass" if mass else "volume", f"{amount.text} has no uncertainty",
                            "state what load cell or gauge leave open, like ± 15 kg, k = 2")
    check_amount(amount, table.where("mass" if mass else "volume"))
    capacity = table.quantity("capacity", "L", above="0")
    if capacity is not None and volume is not None and volume.to("L") > capacity.to("L"):
        raise table.refusal("volume", f"{volume.text} are read, and the tank holds {capacity.text}",
                            "check the reading and the capacity, or draw off first what is too much")
    degrees = table.quantity("temperature", "°C", least="-20", most="120")
    greatest = table.quantity("greatest_temperature", "°C", least="0", most="200")
    if degrees is not None and greatest is not None and degrees.to("°C") > greatest.to("°C"):
        raise table.refusal("temperature", f"the lot is at {degrees.text}, and the tank may take {greatest.text}",
                            "let it cool before anything is added, and check both figures")
    return Tank(
        amount=amount, identity=table.text("id"), density=table.quantity("density", "g/mL", above="0", most="5"),
        dead_leg=table.quantity("dead_leg", "kg", least="0"),
        temperature=degrees, capacity=capacity, greatest_temperature=greatest,
        mixing=table.text("mixing"),
    )


def _addition(table: Table) -> Addition:
    return Addition(
        name=table.needed_text("name", "purified water"), measuring=read_measuring(table, "1 kg"),
        content=table.quantity("content", *CONTENT_UNITS, least="0"),
        density=table.quantity("density", "g/mL", above="0", most="5"),
        temperature=table.quantity("temperature", "°C", least="-20", most="100"), lot=table.text("lot"),
        available=table.quantity("available", "kg", "L", above="0"),
    )


def _aim(table: Table | None, nominal: Quantity, limits: Specification) -> Aim:
    if table is None:
        return Aim()
    land, content = table.text("land", NOMINAL), None
    if land not in LANDINGS:
        if not land[:1].isdigit():
            table.choice_of(land, "land", LANDINGS)
        content = table.needed_quantity("land", *CONTENT_UNITS, above="0")
        if kind_of(content.unit) != kind_of(nominal.unit):
            raise table.refusal("land", f"{content.text} is not in the unit of the nominal content",
                                f"give it in {nominal.unit}")
        value = content.to(nominal.unit)
        for limit, outside in ((limits.lower, "below"), (limits.upper, "above")):
            if limit is not None and (value < float(limit.value) if outside == "below" else value > float(limit.value)):
                raise table.refusal("land", f"{content.text} lies {outside} the limit {limit.text}, so that the lot "
                                    "would not conform", f'land within the limits, such as land = "{NOMINAL}"')
        land = ""
    return Aim(land, content, _share(table, "probability", 0.95), _share(table, "greatest_overshoot", 0.01))


def _share(table: Table, key: str, default: float) -> float:
    found = table.quantity(key, "%", above="0", most="99.99")
    return default if found is None else found.to("1")
