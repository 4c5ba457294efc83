"""A product as the plan sees it: what it nominally holds, what it must satisfy, and how its lots scatter."""

from dataclasses import dataclass, field, replace

from assaywright.assay.observations import Specification
from assaywright.assay.prepare.form import top_table
from assaywright.assay.reading.materials import read_densities
from assaywright.assay.reading.report import LIMIT_FIELDS, check_content_limits, read_specification
from assaywright.assay.reading.table import Table
from assaywright.assay.toml_reader import TomlFile, read_form
from assaywright.chemistry.content_units import PER_MASS, PER_VOLUME
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.reference.substances import substance

FORMAT = "assaywright product 1"
PRODUCT_FIELDS = ("format", "decimal_mark", "name", "substance", "nominal", "state", "density", "thermal", "densities",
                  "methods", "shelf", "note", "characteristic", "lots", "repeatability", "carbonate", "equivalents")
CHARACTERISTIC_FIELDS = ("name", "required", *LIMIT_FIELDS)
LOTS_FIELDS = ("mean", "standard_deviation", "source")
STATES = ("solution", "solid")


@dataclass(frozen=True, slots=True)
class Product:
    """Something sold at a nominal content.

    Fields:
        name: as on its label.
        formula: of the substance that its content is expressed as.
        nominal: content, in the unit the result is to be stated in.
        state: "solution" or "solid"; a solid is weighed and never pipetted.
        density: at the content's reference temperature, with its uncertainty.
        thermal, densities: how it expands, as in a worksheet's sample.
        methods: names of the only methods to plan with; empty for every method of the library that suits.
        specification: of the content; without limits where the product has none.
        lots_source: where mean and standard deviation of its lots are from; they are the specification's prior.
        repeatability: the laboratory's own pooled repeatability, in place of the methods'.
        shelf: path of the shelf, as typed; empty when not named.
        carbonate: content of carbonate in an alkali, expected, in the unit of ``nominal``; None where not stated.
        equivalents: of one mole of the substance in the methods' reaction, where it is not their own analyte.
    """

    name: str
    formula: str
    nominal: Quantity
    state: str = "solution"
    density: Quantity | None = None
    thermal: str = ""
    densities: tuple[tuple[Quantity, Quantity], ...] = ()
    methods: tuple[str, ...] = ()
    specification: Specification = field(default_factory=lambda: Specification("content"))
    lots_source: str = ""
    repeatability: Quantity | None = None
    shelf: str = ""
    carbonate: Quantity | None = None
    equivalents: int | None = None
    path: str = ""
    digest: str = ""

    @property
    def width(self) -> float | None:
        """Width of the specification [unit of the nominal content]; None where it is not two-sided."""
        lower, upper = self.specification.lower, self.specification.upper
        return None if lower is None or upper is None else float(upper.value - lower.value)


def read_product(data: bytes, path: str) -> Product:
    """Return the product that a file's bytes describe.

    Arguments:
        data: the file's bytes.
        path: as the person named it.

    Raises:
        Refusal: anything that cannot be; one sentence with file, field and remedy.
    """
    return read_form(data, path, _read)


def _read(file: TomlFile) -> Product:
    table = top_table(file, FORMAT, PRODUCT_FIELDS)
    nominal = table.needed_quantity("nominal", *PER_VOLUME, *PER_MASS, above="0", example="20")
    if nominal.unit not in PER_VOLUME and nominal.unit not in PER_MASS:
        raise table.refusal("nominal", f"{nominal.unit} is no unit that a titration's result is stated in",
                            f"give it in one of {', '.join((*PER_VOLUME, *PER_MASS))}")
    product = Product(
        name=table.needed_text("name", "caustic soda solution 20 % w/v"),
        formula=_formula(table),
        nominal=nominal,
        state=table.choice("state", STATES, "solution"),
        density=table.quantity("density", "g/mL", above="0", most="25"),
        thermal=table.text("thermal"),
        densities=read_densities(table),
        methods=table.texts("methods"),
        repeatability=_repeatability(table),
        shelf=table.text("shelf"),
        carbonate=_carbonate(table, nominal),
        equivalents=table.count("equivalents"),
        path=file.path,
        digest=file.digest,
    )
    if product.state == "solid" and nominal.unit in PER_VOLUME:
        raise table.refusal("nominal", f"{shown(nominal.text)} is per volume, and the product is a solid",
                            'give it per mass, such as "99.8 % w/w"')
    return _with_specification(product, table)


def _carbonate(table: Table, nominal: Quantity) -> Quantity | None:
    """Return the carbonate expected, in the unit of the nominal content and below it."""
    found = table.quantity("carbonate", *PER_VOLUME, *PER_MASS, least="0")
    if found is None:
        return None
    if found.unit != nominal.unit or found.value >= nominal.value:
        raise table.refusal("carbonate", f"{shown(found.text)} is no part of {shown(nominal.text)}",
                            f"give it in {nominal.unit}, less than the nominal content")
    return found


def _formula(table: Table) -> str:
    """Return the formula of the substance named; one that the tables do not hold is taken as a formula."""
    from assaywright.chemistry.formula import molar_mass

    named = table.needed_text("substance", "sodium hydroxide")
    try:
        return substance(named).formula
    except Refusal as unknown:
        try:
            molar_mass(table.formula("substance"))
        except Refusal:
            raise table.refusal("substance", unknown.what, unknown.remedy) from None
        return table.formula("substance")


def _repeatability(table: Table) -> Quantity | None:
    inner = table.table("repeatability", ("pooled",))
    if inner is None:
        return None
    found = inner.spread("pooled", "%", form="standard")
    if found is None:
        raise inner.missing("pooled", '"0.05 %, 24 degrees of freedom"')
    return found


def _check_nominal_within(found: Specification, product: Product, table: Table) -> None:
    """Refuse limits of the content between which the nominal content does not lie."""
    nominal, lower, upper = product.nominal, found.lower, found.upper
    for key, limit, beyond in (("lower", lower, lower is not None and nominal.value < lower.value),
                               ("upper", upper, upper is not None and nominal.value > upper.value)):
        if limit is not None and beyond:
            side = "below the lower" if key == "lower" else "above the upper"
            raise table.refusal(key, f"the nominal content {shown(nominal.text)} is {side} limit {shown(limit.text)}",
                                "check nominal and both limits")


def _with_specification(product: Product, table: Table) -> Product:
    """Return the product with what its content must satisfy, and with the scatter of its lots as the prior."""
    unit, chosen = product.nominal.unit, Specification("content", product.nominal.unit)
    for inner in table.tables("characteristic", CHARACTERISTIC_FIELDS, "characteristic"):
        name = inner.needed_text("name", "total alkali as NaOH")
        found = read_specification(inner, name, text=inner.text("required"))
        if found.unit == unit and (found.lower or found.upper):
            check_content_limits(found, inner)
            _check_nominal_within(found, product, inner)
            chosen = found
            break
        if found.unit and found.lower and found.upper and found.lower.unit != found.upper.unit:
            raise inner.refusal("", "its limits are in two units", "give both in one unit")
    lots = table.table("lots", LOTS_FIELDS)
    if lots is None:
        return replace(product, specification=chosen)
    mean = lots.needed_quantity("mean", unit, example=str(product.nominal.value))
    deviation = lots.needed_quantity("standard_deviation", unit, above="0", example="0.1")
    for key, given in (("mean", mean), ("standard_deviation", deviation)):
        if given.unit != unit:
            raise lots.refusal(key, f"it is in {given.unit} and the nominal content in {unit}", f"give it in {unit}")
    return replace(product, specification=replace(chosen, prior=(mean, deviation)),
                   lots_source=lots.needed_text("source", "the last 40 lots"))
