"""A system file: a titration that is no method, written in a few lines of TOML."""

from dataclasses import dataclass
from itertools import pairwise

from assaywright.assay.reading.table import Conventions, Table
from assaywright.assay.toml_reader import read_toml
from assaywright.chemistry.system import ACTIVITIES, KINDS, OwnAcid, OwnCouple, Portion, System
from assaywright.metrology.refusal import Refusal

FORMAT = "assaywright system 1"
SYSTEM_FIELDS = ("format", "title", "type", "temperature", "activity", "carbon_dioxide", "pH", "ionic_strength",
                 "constants", "followed", "medium", "indicator", "flask", "analyte", "titrant", "impurity", "ligand",
                 "couple")
FLASK_FIELDS = ("volume", "water")
PORTION_FIELDS = ("substance", "concentration", "pKa", "charge", "protons_lost")
LIGAND_FIELDS = ("name", "concentration")
COUPLE_FIELDS = ("name", "medium", "potential_V")
NONE, AIR = "none", "air"
LONGEST_TITLE = 90


@dataclass(frozen=True, slots=True)
class SystemFile:
    """A system file as read.

    Fields:
        title: of the titration.
        system: the titration.
        indicator: that the file names; empty where it names none.
    """

    title: str
    system: System
    indicator: str


def is_system(data: bytes, path: str) -> bool:
    """Whether a TOML file calls itself a system.

    Raises:
        Refusal: it is not TOML.
    """
    return str(read_toml(data, path).table.get("format", "")).startswith("assaywright system")


def read_system(data: bytes, path: str) -> SystemFile:
    """Return the titration that a file describes.

    Arguments:
        data: its bytes.
        path: the file, for the sentences of refusal.

    Raises:
        Refusal: a field that is not known, is missing, or cannot be.
    """
    try:
        return _system(Table(read_toml(data, path).table, "", SYSTEM_FIELDS, Conventions()))
    except Refusal as refusal:
        raise refusal if path in refusal.where else refusal.at(path) from None


def _system(top: Table) -> SystemFile:
    if top.text("format") != FORMAT:
        raise top.refusal("format", f'it is "{top.text("format")}"', f'write format = "{FORMAT}"')
    title = top.needed_text("title", "acetic acid by sodium hydroxide")
    if len(title) > LONGEST_TITLE:
        raise top.refusal("title", f"it has {len(title)} characters", f"write {LONGEST_TITLE} at most")
    flask = top.table("flask", FLASK_FIELDS)
    titrant = top.table("titrant", PORTION_FIELDS)
    if flask is None or titrant is None:
        raise top.missing("flask" if flask is None else "titrant", "{ … }")
    carbon_dioxide = top.text("carbon_dioxide", NONE)
    system = System(
        kind=top.choice_of(top.needed_text("type", KINDS[0]), "type", KINDS),
        analyte=tuple(map(_portion, top.tables("analyte", PORTION_FIELDS, "analyte"))),
        volume_mL=flask.needed_quantity("volume", "mL", above="0").to("mL"),
        water_mL=_amount(flask, "water", "mL", 0.0),
        titrant=(_portion(titrant), *map(_portion, top.tables("impurity", PORTION_FIELDS, "impurity"))),
        temperature_degC=_amount(top, "temperature", "°C", 25.0),
        activity=top.choice("activity", ACTIVITIES, ACTIVITIES[0]),
        carbon_dioxide_mol_per_L=0.0 if carbon_dioxide in (NONE, AIR) else _amount(top, "carbon_dioxide", "mol/L", 0.0),
        open_to_air=carbon_dioxide == AIR,
        pH=_number(top, "pH"),
        free_ligands=tuple((one.needed_text("name", "ammonia"), _needed_mol_per_L(one))
                           for one in top.tables("ligand", LIGAND_FIELDS, "ligand")),
        ionic_strength_mol_per_L=_amount(top, "ionic_strength", "mol/L", 0.1),
        data_set=top.text("constants"), followed=top.text("followed"), medium=top.text("medium"),
        couples=tuple(OwnCouple(one.needed_text("name", "Fe3+/Fe2+"), one.text("medium"), _number(one, "potential_V"))
                      for one in top.tables("couple", COUPLE_FIELDS, "couple")),
    )
    return SystemFile(title, system, top.text("indicator"))


def _portion(table: Table) -> Portion:
    own = None
    if table.has("pKa"):
        pKa = tuple(float(table.quantity_of(one, "pKa", "1").value) for one in table.texts("pKa"))
        if any(later < earlier for earlier, later in pairwise(pKa)):
            raise table.refusal("pKa", f"{' and '.join(table.texts('pKa'))} do not rise from one proton to the next",
                                "write that of the fully protonated form first")
        own = OwnAcid(pKa, _whole(table, "charge"), _whole(table, "protons_lost"))
    return Portion(table.needed_text("substance", "acetic acid"), _needed_mol_per_L(table), own)


def _needed_mol_per_L(table: Table) -> float:
    return table.needed_quantity("concentration", "mol/L", above="0", example="0.1").to("mol/L")


def _amount(table: Table, key: str, unit: str, absent: float) -> float:
    least = "" if unit == "°C" else "0"
    found = table.quantity(key, unit, least=least)
    return absent if found is None else found.to(unit)


def _number(table: Table, key: str) -> float | None:
    found = table.number(key)
    return None if found is None else float(found.value)


def _whole(table: Table, key: str) -> int:
    value = table.data.get(key, 0)
    if not isinstance(value, int) or isinstance(value, bool) or not -8 <= value <= 8:
        raise table.refusal(key, "that is not a small whole number", f"write {key} = 1, without quotation marks")
    return value
