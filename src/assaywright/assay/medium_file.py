"""Read the ``[medium]`` of a method file."""

from assaywright.assay.method_medium import CARBON_DIOXIDE, Couple, FreeLigand, Medium, Titrated
from assaywright.assay.method_table import MethodTable
from assaywright.metrology.quantity import Quantity

HIGHEST_PH = 16
LARGEST_CHARGE = 8
PLAIN = ("", "1")


def read_medium(given: MethodTable) -> Medium:
    """Return what a method file says of its flask.

    Raises:
        Refusal: a key unknown or missing, or a value that cannot be.
    """
    with given as table:
        return Medium(
            flask=_amount(table, "flask", "mL"),
            pH=_number(table, "pH"),
            ionic_strength=_amount(table, "ionic_strength", "mol/L"),
            carbon_dioxide=table.choice("carbon_dioxide", CARBON_DIOXIDE, CARBON_DIOXIDE[0]),
            matched=table.texts("matched"),
            ligands=tuple(map(_ligand, table.tables("ligands"))),
            titrated=tuple(map(_titrated, table.tables("titrated"))),
            burette=table.text("burette", ""),
            followed=table.text("followed", ""),
            potentials=table.text("potentials", ""),
            couples=tuple(map(_couple, table.tables("couples"))),
            source=table.text("source"),
        )


def _amount(table: MethodTable, key: str, unit: str) -> Quantity | None:
    if not table.has(key):
        return None
    return _above_zero(table, key, table.quantity(key, unit))


def _above_zero(table: MethodTable, key: str, value: Quantity) -> Quantity:
    if value.value <= 0:
        raise table.refusal(key, f"is {value.text}", "give more than zero")
    return value


def _number(table: MethodTable, key: str) -> Quantity | None:
    if not table.has(key):
        return None
    value = table.quantity(key)
    if value.unit not in PLAIN or not 0 <= value.value <= HIGHEST_PH:
        raise table.refusal(key, f"is {value.text}", f"give a pH from 0 to {HIGHEST_PH}, in quotes")
    return value


def _ligand(given: MethodTable) -> FreeLigand:
    with given as table:
        amount = _above_zero(table, "concentration", table.quantity("concentration", "mol/L"))
        return FreeLigand(table.text("name"), amount)


def _titrated(given: MethodTable) -> Titrated:
    with given as table:
        moles = table.quantity("moles")
        if moles.unit not in PLAIN:
            raise table.refusal("moles", f"is {moles.text}", "give a plain number, in quotes")
        return Titrated(
            table.text("substance"), _above_zero(table, "moles", moles), _pKa(table), _whole(table, "charge"),
            _whole(table, "protons_lost"),
        )


def _pKa(table: MethodTable) -> tuple[Quantity, ...]:
    values = table.quantities("pKa") if table.has("pKa") else ()
    for one in values:
        if one.unit not in PLAIN:
            raise table.refusal("pKa", f"holds {one.text}", "give plain numbers, in quotes")
    return values


def _whole(table: MethodTable, key: str) -> int:
    if not table.has(key):
        return 0
    value = table.content[key]
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > LARGEST_CHARGE:
        raise table.refusal(key, "is not a small whole number", f"write {key} = 1, without quotation marks")
    return value


def _couple(given: MethodTable) -> Couple:
    with given as table:
        return Couple(table.text("name"), table.text("medium"))
