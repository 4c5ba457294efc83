"""What the laboratory has: vessels, balances, titrants, reference materials. Nothing else is ever offered."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from assaywright.assay.glass import open_error
from assaywright.assay.observations import Balance, ReferenceMaterial, Solution, Thermometer, Vessel
from assaywright.assay.prepare.form import top_table
from assaywright.assay.reading.equipment import (
    BALANCE_FIELDS,
    THERMOMETER_FIELDS,
    VESSEL_FIELDS,
    read_balance,
    read_thermometer,
    read_vessel,
    temperature,
)
from assaywright.assay.reading.materials import SOLUTION_FIELDS, STANDARD_FIELDS, read_solution, read_standard
from assaywright.assay.reading.table import Table
from assaywright.assay.toml_reader import read_toml
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown

FORMAT = "assaywright shelf 1"
SHELF_FIELDS = ("format", "decimal_mark", "laboratory", "temperature", "note", "burette", "pipette", "flask", "balance",
                "thermometer", "titrant", "reference_material")
BURETTES, PIPETTES, FLASKS = ("burette", "piston burette"), ("pipette", "piston pipette"), ("flask",)

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Shelf:
    """What stands on the shelf; each list in the order of the file.

    Fields:
        laboratory: whose it is, in words.
        temperature: that solutions are used at [°C]; 20 °C when not given.
        capacities: identity of a balance to the greatest load it takes [g]; absent where none is stated.
    """

    laboratory: str = ""
    temperature: Quantity | None = None
    burettes: tuple[Vessel, ...] = ()
    pipettes: tuple[Vessel, ...] = ()
    flasks: tuple[Vessel, ...] = ()
    balances: tuple[Balance, ...] = ()
    thermometers: tuple[Thermometer, ...] = ()
    titrants: tuple[Solution, ...] = ()
    reference_materials: tuple[ReferenceMaterial, ...] = ()
    capacities: tuple[tuple[str, float], ...] = ()
    path: str = ""
    digest: str = ""

    def capacity_g(self, balance: Balance) -> float | None:
        """Return the greatest load of a balance [g]; None where none is stated."""
        return dict(self.capacities).get(balance.identity)


def read_shelf(data: bytes, path: str) -> Shelf:
    """Return the shelf that a file's bytes describe.

    Arguments:
        data: the file's bytes.
        path: as the person named it.

    Raises:
        Refusal: anything that cannot be; one sentence with file, field and remedy.
    """
    file = read_toml(data, path)
    try:
        table = top_table(file, FORMAT, SHELF_FIELDS)
        balances = tuple((read_balance("balance", inner), inner.quantity("capacity", "g", above="0"))
                         for inner in _tables(table, "balance", (*BALANCE_FIELDS, "capacity")))
        shelf = Shelf(
            laboratory=table.text("laboratory"),
            temperature=temperature(table, "temperature"),
            burettes=_vessels(table, "burette", BURETTES),
            pipettes=_vessels(table, "pipette", PIPETTES),
            flasks=_vessels(table, "flask", FLASKS),
            balances=tuple(balance for balance, _ in balances),
            thermometers=_each(table, "thermometer", THERMOMETER_FIELDS,
                               lambda inner: read_thermometer("thermometer", inner)),
            titrants=_each(table, "titrant", SOLUTION_FIELDS, read_solution),
            reference_materials=_each(table, "reference_material", STANDARD_FIELDS, read_standard),
            capacities=tuple((balance.identity, load.to("g")) for balance, load in balances if load is not None),
            path=path,
            digest=file.digest,
        )
        _check_identities(shelf)
    except Refusal as refusal:
        raise refusal.at(path) from None
    return shelf


def _tables(table: Table, key: str, fields: tuple[str, ...]) -> tuple[Table, ...]:
    return table.tables(key, fields, key.replace("_", " "))


def _each(table: Table, key: str, fields: tuple[str, ...], read: Callable[[Table], T]) -> tuple[T, ...]:
    return tuple(read(inner) for inner in _tables(table, key, fields))


def _vessels(table: Table, key: str, kinds: tuple[str, ...]) -> tuple[Vessel, ...]:
    """Return the vessels of one list, each of one of its kinds."""
    found = []
    for inner in _tables(table, key, VESSEL_FIELDS):
        vessel = read_vessel(key, inner)
        if vessel.kind not in kinds:
            raise inner.refusal("kind", f'a {vessel.kind} stands among the {key}s', f"write it under [[{vessel.kind}]]")
        _check_held(vessel, inner)
        found.append(vessel)
    return tuple(found)


def _check_held(vessel: Vessel, table: Table) -> None:
    """Refuse a vessel whose standard or size no table of tolerances holds."""
    try:
        open_error(vessel)
    except Refusal as refusal:
        key = "nominal" if refusal.what.startswith("the size") else "standard"
        raise table.refusal(key, refusal.what, refusal.remedy) from None


def _check_identities(shelf: Shelf) -> None:
    """Refuse two vessels, or two balances, of one number: their errors would be taken for one and the same."""
    vessels = [(one.kind, one.identity) for one in (*shelf.burettes, *shelf.pipettes, *shelf.flasks)]
    for kind, identity in (*vessels, *(("balance", one.identity) for one in shelf.balances)):
        if (*vessels, *(("balance", one.identity) for one in shelf.balances)).count((kind, identity)) > 1:
            raise Refusal(f'the {kind} "{shown(identity)}" stands twice', where=kind,
                          remedy="give each its own number, or list it once")
