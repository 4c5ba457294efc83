"""Determinations, the dilution and the blank: what was weighed, pipetted and delivered, and by which vessel."""

from collections.abc import Mapping
from dataclasses import dataclass

from assaywright.assay.observations import (
    Balance,
    Blank,
    Delivery,
    Determination,
    Dilution,
    Filling,
    Portion,
    Vessel,
    Weighing,
)
from assaywright.assay.reading.equipment import temperature
from assaywright.assay.reading.table import Table
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.typed import shown

DELIVERY_FIELDS = (
    "initial", "final", "fillings", "first", "first_filling", "temperature", "burette", "titrant_gross", "titrant_tare",
    "titrant_net",
)
PORTION_FIELDS = ("pipette", "sample_temperature", "gross", "tare", "net", "balance")
EXCESS_FIELDS = ("excess_pipette", "excess_temperature")
HYDROXIDE_FIELDS = ("hydroxide_initial", "hydroxide_final")
DETERMINATION_FIELDS = (
    "label", *DELIVERY_FIELDS, *HYDROXIDE_FIELDS, *PORTION_FIELDS, *EXCESS_FIELDS, "analyst", "at", "excluded",
    "excluded_by", "note",
)
DILUTION_FIELDS = (
    "pipette", "sample_temperature", "gross", "tare", "net", "balance", "flask", "total_gross", "total_tare",
    "total_net", "temperature", "further",
)
BLANK_FIELDS = ("kind", "volume", "titrations", "analyst", "at", "note")
TITRATION_FIELDS = (*DELIVERY_FIELDS, *EXCESS_FIELDS, "balance")

BLANK_KINDS = ("reagent blank", "indicator blank", "neutralised solvent", "titrated likewise")
EXCESS_PIPETTE = "excess pipette"


@dataclass(frozen=True, slots=True)
class Equipment:
    """The vessels and balances that a worksheet's tables define, by role."""

    vessels: Mapping[str, Vessel]
    balances: Mapping[str, Balance]

    def vessel(self, role: str, table: Table, key: str) -> Vessel:
        """Return the vessel of a role; refuse a role that no table defines."""
        if role not in self.vessels:
            raise _undefined(role, "vessels", tuple(self.vessels), table, key)
        return self.vessels[role]

    def check_balance(self, role: str, table: Table, key: str) -> None:
        """Refuse a balance that no table defines."""
        if role not in self.balances:
            raise _undefined(role, "balances", tuple(self.balances), table, key)


def _undefined(role: str, kind: str, roles: tuple[str, ...], table: Table, key: str) -> Exception:
    name = f'"{role}"' if " " in role else role
    others = f", or name one of {', '.join(roles)}" if roles else ""
    return table.refusal(key, f'no table [{kind}.{name}] defines "{shown(role)}"', f"add that table{others}")


# --- weighings --------------------------------------------------------------------------------------------------------


def read_weighing(table: Table, equipment: Equipment, prefix: str = "") -> Weighing | None:
    """Return a weighing by difference or on a tared balance; None when nothing was weighed.

    Arguments:
        prefix: of the fields' names ("titrant_", "total_").
    """
    gross, tare, net = (table.quantity(f"{prefix}{key}", "g") for key in ("gross", "tare", "net"))
    if gross is None and tare is None and net is None:
        return None
    if net is not None and (gross or tare):
        raise table.refusal(f"{prefix}net", "the portion is given both by difference and as a net mass",
                            f"keep {prefix}gross with {prefix}tare, or {prefix}net")
    if net is None and (gross is None or tare is None):
        lacking = "tare" if tare is None else "gross"
        raise table.refusal("", f'the weighing lacks "{prefix}{lacking}"',
                            f"give {prefix}gross with {prefix}tare, or {prefix}net from a tared balance")
    role = table.text("balance", "balance")
    equipment.check_balance(role, table, "balance" if table.has("balance") else f"{prefix}{'net' if net else 'gross'}")
    weighing = Weighing(gross, tare, net, role)
    _check_mass(weighing, table, prefix)
    return weighing


def _check_mass(weighing: Weighing, table: Table, prefix: str) -> None:
    """Refuse a mass that is not above zero."""
    gross, tare, net = weighing.gross, weighing.tare, weighing.net
    if net is not None and not net.value > 0:
        raise table.refusal(f"{prefix}net", f"the mass {shown(net.text)} is not above zero", "give the figure as read")
    if gross is None or tare is None:
        return
    if tare.value < 0:
        raise table.refusal(f"{prefix}tare", f"the tare {shown(tare.text)} is below zero", "give the figure as read")
    if not gross.to("g") > tare.to("g"):
        relation = "above" if tare.to("g") > gross.to("g") else "as large as"
        raise table.refusal(f"{prefix}tare", f"the tare {shown(tare.text)} is {relation} the gross mass "
                            f"{shown(gross.text)}", "check the two weighings, or exchange them if they are crossed")


# --- portions ---------------------------------------------------------------------------------------------------------


def read_portion(table: Table, equipment: Equipment) -> Portion:
    """Return the portion taken, by pipette or by mass; the pipette of the role "pipette" when nothing else is said."""
    mass = read_weighing(table, equipment)
    if mass is not None:
        if table.has("pipette"):
            raise table.refusal("pipette", "the portion is given both by pipette and by mass",
                                "keep the one that is meant")
        return Portion(mass=mass, temperature=temperature(table, "sample_temperature"))
    if not table.has("pipette") and "pipette" not in equipment.vessels:
        raise table.refusal("", "nothing says how much was taken", "give gross with tare, or net, or pipette")
    role = table.text("pipette", "pipette")
    vessel = equipment.vessel(role, table, "pipette")
    if vessel.kind in ("burette", "piston burette"):
        raise table.refusal("pipette", f'"{shown(role)}" is a {vessel.kind}', "name the pipette that took the portion")
    return Portion(pipette=role, temperature=temperature(table, "sample_temperature"))


def read_excess(table: Table, equipment: Equipment, *, wanted: bool) -> Portion | None:
    """Return the reagent added in excess, for a back titration."""
    if not wanted:
        for key in EXCESS_FIELDS:
            if table.has(key):
                raise table.refusal(key, "a reagent in excess is added, and there is no [reagent] table",
                                    "add [reagent] for a back titration, or leave the field out")
        return None
    role = table.text("excess_pipette", EXCESS_PIPETTE)
    equipment.vessel(role, table, "excess_pipette")
    return Portion(pipette=role, temperature=temperature(table, "excess_temperature"))


def read_dilution(table: Table | None, equipment: Equipment) -> Dilution | None:
    """Return the dilution of the sample, made up in a flask or by mass, with what is made of it in turn."""
    if table is None:
        return None
    portion = read_portion(table, equipment)
    total = read_weighing(table, equipment, "total_")
    if total is not None and table.has("flask"):
        raise table.refusal("flask", "the dilution is made up both to a volume and to a mass",
                            "keep the one that is meant")
    role = "" if total is not None else table.text("flask", "flask")
    if role:
        equipment.vessel(role, table, "flask")
    further = read_dilution(table.table("further", DILUTION_FIELDS), equipment)
    dilution = Dilution(portion, role, total, temperature(table, "temperature"), further)
    taken, whole = _grams(portion.mass), _grams(total)
    if taken is not None and whole is not None and not whole > taken:
        raise table.refusal("", f"the whole dilution ({whole:g} g) is not more than the portion in it ({taken:g} g)",
                            "check the weighings")
    return dilution


def _grams(weighing: Weighing | None) -> float | None:
    """Return the apparent mass [g]."""
    if weighing is None:
        return None
    if weighing.net is not None:
        return weighing.net.to("g")
    return weighing.gross.to("g") - weighing.tare.to("g") if weighing.gross and weighing.tare else None


# --- deliveries -------------------------------------------------------------------------------------------------------


def read_delivery(table: Table, equipment: Equipment) -> Delivery:
    """Return the titrant delivered: by one filling, by several, or by mass."""
    mass = read_weighing(table, equipment, "titrant_")
    ways = [way for way, given in (("fillings", table.has("fillings")), ("mass", mass is not None),
                                   ("initial and final", table.has("initial") or table.has("final"))) if given]
    if len(ways) > 1:
        raise table.refusal("", f"the titrant delivered is given by {' and by '.join(ways)}",
                            "keep the one that is meant")
    if mass is not None:
        for key in ("first", "first_filling", "burette"):
            if table.has(key):
                raise table.refusal(key, "it belongs to a burette, and the titrant is weighed", "leave it out")
        return Delivery(mass=mass, temperature=temperature(table, "temperature"))
    role = table.text("burette", "burette")
    vessel = equipment.vessel(role, table, "burette" if table.has("burette") else "")
    if vessel.kind not in ("burette", "piston burette"):
        raise table.refusal("burette", f'"{shown(role)}" is a {vessel.kind}',
                            "name the burette that delivered the titrant")
    fillings = _fillings(table, vessel)
    number = table.count("first_filling") or 1
    return Delivery(fillings, _first(table, fillings, number), None, role, temperature(table, "temperature"), number)


def _fillings(table: Table, vessel: Vessel) -> tuple[Filling, ...]:
    """Return the pairs of readings, each on the scale and in its order."""
    if not table.has("fillings"):
        if not table.has("initial") and not table.has("final"):
            raise table.refusal("", "nothing says how much titrant was delivered",
                                "give initial and final, or fillings, or titrant_net")
        initial = table.needed_quantity("initial", "mL", example="0.00")
        final = table.needed_quantity("final", "mL", example="24.50")
        _check_filling(initial, final, vessel, table, ("initial", "final"))
        return (Filling(initial, final),)
    pairs = table.pairs("fillings", "mL", "mL")
    if not pairs:
        raise table.refusal("fillings", "the list is empty", 'write fillings = [["0.00 mL", "50.00 mL"], …]')
    for initial, final in pairs:
        _check_filling(initial, final, vessel, table, ("fillings", "fillings"))
    return tuple(Filling(initial, final) for initial, final in pairs)


def _check_filling(initial: Quantity, final: Quantity, vessel: Vessel, table: Table,
                   keys: tuple[str, str]) -> None:
    """Refuse readings off the scale, or out of order within one filling."""
    for name, key, reading in (("initial", keys[0], initial), ("final", keys[1], final)):
        if reading.value < 0:
            raise table.refusal(key, f"the {name} reading {shown(reading.text)} is above the zero mark",
                                "give the reading on the scale, at the same edge of the meniscus both times")
        if reading.to("mL") > vessel.nominal.to("mL"):
            raise table.refusal(key, f"the {name} reading {shown(reading.text)} is beyond the scale of "
                                f'"{shown(vessel.role)}", which ends at {shown(vessel.nominal.text)}',
                                "check the reading, or enter a refilled burette as two fillings")
    if final.to("mL") < initial.to("mL"):
        raise table.refusal(keys[1], f"the final reading {shown(final.text)} is before the initial reading "
                            f"{shown(initial.text)}",
                            "check the two readings, or enter a refilled burette as two fillings")


def _first(table: Table, fillings: tuple[Filling, ...], number: int) -> Quantity | None:
    """Return the reading at the first of two endpoints, which falls within the filling of that number."""
    if number > len(fillings):
        raise table.refusal("first_filling", f"there is no filling {number}", "give its two readings in fillings too")
    first = table.quantity("first", "mL")
    if first is None:
        return None
    initial, final = fillings[number - 1].initial, fillings[number - 1].final
    if not initial.to("mL") <= first.to("mL") <= final.to("mL"):
        within = f"the readings of filling {number}," if len(fillings) > 1 else "the readings"
        raise table.refusal("first", f"the reading at the first endpoint {shown(first.text)} is not between {within} "
                            f"{shown(initial.text)} and {shown(final.text)}",
                            "give the burette's reading at the first endpoint, not the volume from one to the other")
    return first


def read_hydroxide(table: Table, equipment: Equipment, total: Delivery) -> Delivery | None:
    """Return the titrant delivered to the aliquot with barium chloride, from the burette that delivers the total."""
    if not any(table.has(key) for key in HYDROXIDE_FIELDS):
        return None
    if total.mass is not None:
        raise table.refusal(HYDROXIDE_FIELDS[0], "it belongs to a burette, and the titrant is weighed", "leave it out")
    initial = table.needed_quantity("hydroxide_initial", "mL", example="0.00")
    final = table.needed_quantity("hydroxide_final", "mL", example="22.10")
    vessel = equipment.vessel(total.burette, table, "burette")
    _check_filling(initial, final, vessel, table, HYDROXIDE_FIELDS)
    return Delivery((Filling(initial, final),), None, None, total.burette, total.temperature)


# --- determinations and the blank -------------------------------------------------------------------------------------


def read_determination(table: Table, equipment: Equipment, label: str, *, back: bool) -> Determination:
    """Return one determination."""
    excluded, excluded_by = table.text("excluded"), table.text("excluded_by")
    if table.has("excluded") and not excluded:
        raise table.refusal("excluded", "the reason is empty", "write why it is left out, or leave the field out")
    if excluded_by and not excluded:
        raise table.refusal("excluded_by", "it stands without the reason", 'add excluded = "…", or leave it out')
    delivery = read_delivery(table, equipment)
    return Determination(
        label=label,
        portion=read_portion(table, equipment),
        delivery=delivery,
        excess=read_excess(table, equipment, wanted=back),
        hydroxide=read_hydroxide(table, equipment, delivery),
        analyst=table.text("analyst"),
        at=table.moment("at"),
        excluded=excluded,
        excluded_by=excluded_by,
        note=table.text("note"),
    )


def read_blank(table: Table | None, equipment: Equipment, *, back: bool) -> Blank | None:
    """Return the blank: titrated, or a stated volume."""
    if table is None:
        return None
    kind = table.choice("kind", BLANK_KINDS, "")
    if not kind:
        raise table.missing("kind", '"indicator blank"')
    if kind == "titrated likewise" and not back:
        raise table.refusal("kind", '"titrated likewise" is the blank of a back titration, and there is no [reagent] '
                            "table", "add [reagent], or name the blank a reagent blank or an indicator blank")
    likewise = kind == "titrated likewise"
    tables = table.tables("titrations", TITRATION_FIELDS, "titration")
    volume = table.quantity("volume", "mL")
    if tables and volume is not None:
        raise table.refusal("", "the blank is given both by titrations and as a volume", "keep the one that is meant")
    if not tables and volume is None and kind != "neutralised solvent":
        raise table.refusal("", "nothing says how large the blank was", "give titrations, or volume")
    if likewise and volume is not None:
        raise table.refusal("volume", "a blank titrated likewise is given by its titrations",
                            "give titrations = [{ initial = …, final = … }]")
    deliveries = tuple(read_delivery(inner, equipment) for inner in tables)
    return Blank(kind, deliveries, volume, _common_excess(tables, equipment, likewise=likewise),
                 analyst=table.text("analyst"), at=table.moment("at"), note=table.text("note"))


def _common_excess(tables: tuple[Table, ...], equipment: Equipment, *, likewise: bool) -> Portion | None:
    """Return the reagent that every titration of the blank had alike."""
    found = [read_excess(inner, equipment, wanted=likewise) for inner in tables]
    for inner, excess in zip(tables, found, strict=True):
        if excess and found[0] and excess.pipette != found[0].pipette:
            raise inner.refusal("excess_pipette", "the titrations of the blank had different pipettes",
                                "use one pipette for all of them")
    return found[0] if found else None
