"""From a worksheet's text to its observations: strict, and in one sentence where something cannot be."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from assaywright.assay.lot import LOT_FIELDS, lot_of_worksheet, read_lot
from assaywright.assay.observations import (
    Blank,
    Determination,
    Dilution,
    Lot,
    ReferenceMaterial,
    Sample,
    Solution,
    Specification,
    Thermometer,
    Wanted,
    Worksheet,
)
from assaywright.assay.reading.dates import read_zone
from assaywright.assay.reading.determinations import (
    BLANK_FIELDS,
    DETERMINATION_FIELDS,
    DILUTION_FIELDS,
    Equipment,
    read_blank,
    read_determination,
    read_dilution,
)
from assaywright.assay.reading.equipment import (
    AIR_FIELDS,
    BALANCE_FIELDS,
    THERMOMETER_FIELDS,
    VESSEL_FIELDS,
    read_air,
    read_balance,
    read_thermometer,
    read_vessel,
)
from assaywright.assay.reading.materials import (
    AGAINST_FIELDS,
    SAMPLE_FIELDS,
    SOLUTION_FIELDS,
    SOURCES,
    STANDARD_FIELDS,
    read_sample,
    read_solution,
    read_standard,
    sources_of,
)
from assaywright.assay.reading.report import (
    REPORT_FIELDS,
    SPECIFICATION_FIELDS,
    read_specification,
    read_wanted,
)
from assaywright.assay.reading.table import Conventions, Table
from assaywright.assay.toml_reader import TomlFile, read_form
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.metrology.units import kind_of

FORMAT = "assaywright worksheet 1"
KINDS = ("assay", "standardisation", "lot")
HEADING_FIELDS = (
    "format", "kind", "id", "title", "method", "performed", "analyst", "reviewer", "note", "zone", "decimal_mark",
    "titration_error", "method_edition",
)
TABLE_FIELDS = (
    "sample", "titrant", "against", "reagent", "standard", "vessels", "balances", "thermometers", "air", "dilution",
    "blank", "repeatability", "report", "specification", "lot", "determination",
)
LOT_FILE_FIELDS = ("format", "kind", "zone", "decimal_mark", *LOT_FIELDS, "characteristic")


def read_bytes(data: bytes, path: str) -> Worksheet | Lot:
    """Return the worksheet or lot that a file's bytes hold.

    Arguments:
        data: the file's bytes.
        path: the file, as the person named it; it stands in every sentence of refusal.

    Raises:
        Refusal: anything that cannot be; one sentence with file, field and remedy.
    """
    return read_form(data, path, _read)


def parse_worksheet(data: bytes, path: str) -> Worksheet:
    """Return the worksheet that a file's bytes hold; as :func:`read_bytes`, and a lot is refused."""
    return _no_lot(read_bytes(data, path), path)


def worksheet_of(table: dict[str, object], path: str) -> Worksheet:
    """Return the worksheet that a table holds, without a file it was read from; as :func:`parse_worksheet`.

    Arguments:
        table: as TOML would give it, its format and kind among it.
        path: what to call it in a refusal.

    Raises:
        Refusal: as for :func:`parse_worksheet`.
    """
    return _no_lot(_read(TomlFile(path, "", table)), path)


def _no_lot(found: Worksheet | Lot, path: str) -> Worksheet:
    """Return a worksheet; refuse a lot."""
    if isinstance(found, Lot):
        raise Refusal("it describes a lot, and a worksheet is wanted here", where=path,
                      remedy="name one of the lot's worksheets")
    return found


def _read(file: TomlFile) -> Worksheet | Lot:
    """Return what the table holds, after its first two lines have said what it is."""
    form = file.table.get("format")
    if form != FORMAT:
        what = "it does not begin with its format" if form is None else f'its format is "{shown(str(form))}"'
        raise Refusal(what, remedy=f'begin the file with format = "{FORMAT}", or name a worksheet')
    kind = file.table.get("kind")
    if kind not in KINDS:
        what = "it does not say its kind" if kind is None else f'"{shown(str(kind))}" is not a kind of worksheet'
        raise Refusal(what, where="kind", remedy='write kind = "assay", "standardisation" or "lot"')
    conventions = _conventions(file.table)
    if kind == "lot":
        return read_lot(Table(file.table, "", LOT_FILE_FIELDS, conventions), file)
    table = Table(file.table, "", (*HEADING_FIELDS, *TABLE_FIELDS), conventions, elsewhere=HEADING_FIELDS)
    return _read_worksheet(table, file)


def _conventions(data: dict[str, object]) -> Conventions:
    """Return how the file writes numbers and local times."""
    table = Table({key: data[key] for key in ("zone", "decimal_mark") if key in data}, "", ("zone", "decimal_mark"),
                  Conventions())
    mark = table.choice("decimal_mark", (".", ","), ".")
    try:
        zone = read_zone(table.text("zone"))
    except Refusal as refusal:
        raise refusal.at("zone") from None
    return Conventions(mark, zone)


def _read_worksheet(table: Table, file: TomlFile) -> Worksheet:
    """Return the worksheet of a table."""
    kind = table.text("kind")
    materials = _materials(table, kind)
    equipment = _equipment(table)
    back = materials.reagent is not None
    dilution = read_dilution(table.table("dilution", DILUTION_FIELDS), equipment)
    blank = read_blank(table.table("blank", BLANK_FIELDS), equipment, back=back)
    _check_reagent(materials.reagent, blank, table)
    wanted = read_wanted(table.table("report", REPORT_FIELDS))
    specification = _specification(table, wanted)
    worksheet = Worksheet(
        identity=table.needed_text("id", "WS-26-0412"),
        kind=kind,
        method=table.needed_text("method", "caustic-soda-by-acid"),
        method_edition=table.text("method_edition"),
        performed=_performed(table),
        analyst=table.needed_text("analyst", "Ines Okafor"),
        titrant=materials.titrant,
        determinations=_determinations(table, equipment, materials, dilution),
        vessels=tuple(equipment.vessels.values()),
        balances=tuple(equipment.balances.values()),
        thermometers=_thermometers(table),
        standard=materials.standard,
        against=materials.against,
        unknown_in_burette=not materials.against_in_burette,
        reagent=materials.reagent,
        sample=materials.sample,
        dilution=dilution,
        blank=blank,
        titration_error=table.quantity("titration_error", "mL"),
        air=read_air(table.table("air", AIR_FIELDS)),
        wanted=wanted,
        specification=specification,
        repeatability=_pooled(table),
        reviewer=table.text("reviewer"),
        title=table.text("title"),
        note=table.text("note"),
        path=file.path, digest=file.digest,
    )
    return replace(worksheet, lot=lot_of_worksheet(table, worksheet))


def _performed(table: Table) -> date | datetime:
    """Return when the determinations were made."""
    performed = table.moment("performed")
    if performed is None:
        raise table.missing("performed", "2026-10-12")
    return performed


def _thermometers(table: Table) -> tuple[Thermometer, ...]:
    """Return the thermometers."""
    found = table.named_tables("thermometers", THERMOMETER_FIELDS, "thermometer")
    return tuple(read_thermometer(role, inner) for role, inner in found.items())


@dataclass(frozen=True, slots=True)
class _Materials:
    """The solutions, the standard and the sample of one worksheet."""

    titrant: Solution
    standard: ReferenceMaterial | None
    against: Solution | None
    against_in_burette: bool
    reagent: Solution | None
    sample: Sample | None


def _materials(table: Table, kind: str) -> _Materials:
    """Return what reacts with what, after checking that the tables suit the kind of worksheet."""
    _check_tables(table, kind)
    inner = {key: table.table(key, fields) for key, fields in (
        ("titrant", SOLUTION_FIELDS), ("against", AGAINST_FIELDS), ("reagent", SOLUTION_FIELDS),
        ("standard", STANDARD_FIELDS), ("sample", SAMPLE_FIELDS))}
    titrant, against, reagent = (read_solution(found) if (found := inner[key]) else None
                                 for key in ("titrant", "against", "reagent"))
    if titrant is None or inner["titrant"] is None:
        raise Refusal("there is no [titrant] table", remedy="describe the solution in the burette in one")
    if kind == "assay":
        _check_known(titrant, inner["titrant"])
    elif sources_of(titrant):
        raise inner["titrant"].refusal(sources_of(titrant)[0],
                                       "a standardisation seeks the titrant's concentration, and here it is given",
                                       "leave it out, or describe the known solution in [against]")
    if against is not None and inner["against"] is not None:
        _check_known(against, inner["against"])
    return _Materials(
        titrant=titrant,
        standard=read_standard(inner["standard"]) if inner["standard"] else None,
        against=against,
        against_in_burette=inner["against"].flag("in_burette", default=False) if inner["against"] else False,
        reagent=reagent,
        sample=read_sample(inner["sample"]) if inner["sample"] else None,
    )


def _check_tables(table: Table, kind: str) -> None:
    """Refuse tables that belong to the other kind of worksheet, and miss those that this kind needs."""
    if kind == "assay":
        for key in ("standard", "against"):
            if table.has(key):
                raise Refusal(f"an assay has no [{key}] table",
                              remedy="put it into the worksheet of the standardisation that titrant.worksheets names")
        if not table.has("sample"):
            raise Refusal("there is no [sample] table", remedy="say in one what was assayed: product and lot")
        return
    if table.has("sample"):
        raise Refusal("a standardisation has no [sample] table", remedy="its titrant is what is sought; leave it out")
    if table.has("standard") and table.has("against"):
        raise Refusal("the titrant is set both against a weighed [standard] and against a solution, [against]",
                      remedy="keep the one that is meant")
    if not table.has("standard") and not table.has("against"):
        raise Refusal("nothing says what the titrant is set against",
                      remedy="describe the weighed primary standard in [standard], or the known solution in [against]")


def _check_known(solution: Solution, table: Table) -> None:
    """Refuse a solution in use of which no concentration is known."""
    if not sources_of(solution):
        raise table.refusal("", "nothing says what its concentration is", f"give one of {', '.join(SOURCES)}")


def _check_reagent(reagent: Solution | None, blank: Blank | None, table: Table) -> None:
    """Refuse a reagent whose concentration neither is known nor cancels against the blank."""
    if reagent is None or sources_of(reagent) or (blank is not None and blank.kind == "titrated likewise"):
        return
    raise table.refusal("reagent", "nothing says what its concentration is",
                        f"titrate the blank likewise, or state its concentration by one of {', '.join(SOURCES)}")


def _equipment(table: Table) -> Equipment:
    """Return vessels and balances by role."""
    vessels = table.named_tables("vessels", VESSEL_FIELDS, "burette")
    balances = table.named_tables("balances", BALANCE_FIELDS, "balance")
    return Equipment({role: read_vessel(role, inner) for role, inner in vessels.items()},
                     {role: read_balance(role, inner) for role, inner in balances.items()})


def _determinations(table: Table, equipment: Equipment, materials: _Materials,
                    dilution: Dilution | None) -> tuple[Determination, ...]:
    """Return the determinations in order, each under its own label."""
    found: list[Determination] = []
    for number, inner in enumerate(table.tables("determination", DETERMINATION_FIELDS, "determination"), start=1):
        label = inner.text("label") or str(number)
        if any(label == other.label for other in found):
            raise inner.refusal("label", f'"{shown(label)}" is the label of an earlier determination',
                                "give each its own")
        if inner.has("label"):
            inner.place = f"determination {shown(label)}"
        one = read_determination(inner, equipment, label, back=materials.reagent is not None)
        if materials.standard and dilution is None and one.portion.mass is None:
            raise inner.refusal("pipette", "the standard is weighed, and here a portion is pipetted",
                                "give gross with tare, or net; or describe the standard's solution in [dilution]")
        found.append(one)
    if not found:
        raise Refusal("there is no determination", remedy="write one under [[determination]]")
    return tuple(found)


def _pooled(table: Table) -> Quantity | None:
    """Return the laboratory's own repeatability, relative, with its degrees of freedom."""
    inner = table.table("repeatability", ("pooled",))
    if inner is None:
        return None
    found = _typed_pooled(inner)
    if found is None:
        raise inner.missing("pooled", '"0.05 %, 24 degrees of freedom"')
    if found.uncertainty is None or found.uncertainty.form != "standard":
        raise inner.refusal("pooled", f"{shown(found.text)} is not a standard deviation",
                            'write it like "0.05 %, 24 degrees of freedom"')
    return found


def _typed_pooled(inner: Table) -> Quantity | None:
    """Return the field as typed; a scatter of nothing is refused in the words of the bench."""
    try:
        return inner.spread("pooled", "%", form="standard")
    except Refusal as refusal:
        if "is not above zero" not in refusal.what or "degrees" in refusal.what:
            raise
        raise inner.refusal("pooled", f'"{shown(inner.text("pooled"))}" is not above zero, and no titration repeats '
                            "without scatter", 'write what was found, like "0.05 %, 24 degrees of freedom"') from None


def _specification(table: Table, wanted: Wanted) -> Specification | None:
    """Return the specification, whose limits are of the kind that is reported."""
    inner = table.table("specification", SPECIFICATION_FIELDS)
    if inner is None:
        return None
    found = read_specification(inner, inner.needed_text("characteristic", "total alkali as NaOH"), content=True)
    if found.unit and wanted.unit and kind_of(found.unit) != kind_of(wanted.unit):
        key = "lower" if found.lower is not None else "upper"
        raise inner.refusal(key, f"the limits are in {found.unit} and the result is reported in {wanted.unit}, "
                            "which are of different kinds", "give both in one unit")
    return found
