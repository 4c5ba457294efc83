"""A worksheet's heading made from what is on record: instruments, solutions, reference materials, and what is typed."""

from dataclasses import dataclass, field
from typing import Any

from assaywright.actions.fitting import demand_fitting, demand_material
from assaywright.actions.names import number
from assaywright.actions.reasons import day
from assaywright.actions.temperatures import demand_taken
from assaywright.assay.asked import (
    ALIQUOT_PIPETTE,
    DILUTED,
    DILUTED_BY_MASS,
    DILUTED_WAYS,
    FLASK,
    PIPETTE,
    WEIGHED,
    Asked,
    asked,
)
from assaywright.assay.method import Method
from assaywright.assay.reading.materials import SOLUTION_FIELDS, STANDARD_FIELDS
from assaywright.metrology.refusal import Refusal
from assaywright.records.methods import method_of
from assaywright.records.models import Instrument, Lot, Material, Person, Solution
from assaywright.records.models.equipment import IN_USE
from assaywright.records.readings import with_unit
from assaywright.records.specified import specified_of
from assaywright.records.standardisations import let_pass_of, standardisations_of
from assaywright.records.toml_text import DATE

PORTION_OF_DILUTION, WHOLE_DILUTION = "portion for the dilution", "whole dilution"
UNITS_OF_AIR = {"temperature": "°C", "pressure": "hPa", "humidity": "%"}


@dataclass(frozen=True)
class Chosen:
    """What somebody chose and typed on the form that begins a worksheet, by the form's names."""

    method: str
    about: str
    typed: dict[str, str] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """Return what was typed under a name, without blanks around it."""
        return self.typed.get(name, "").strip()


def heading_of(chosen: Chosen, *, by: str) -> tuple[dict[str, Any], list[str]]:
    """Return a worksheet's heading and the numbers of the standardisations that it rests on.

    Raises:
        Refusal: something needed is not chosen, is not on record, or a worksheet would refuse it.
    """
    method = method_of(chosen.method)
    wanted = asked(method, chosen.text("handling"))
    rests_on: list[str] = []
    heading: dict[str, Any] = {
        "kind": method.kind, "id": number(chosen.text("number"), "the worksheet's number", "number"),
        "method": chosen.method, "performed": {DATE: day(chosen.text("performed"), "performed")},
        "analyst": Person.objects.get(pk=by).name,
    }
    heading.update({key: chosen.text(key) for key in ("title", "note") if chosen.text(key)})
    heading.update(_tested(chosen, method))
    for role in wanted.solutions:
        heading[role], further = known_solution(chosen, role)
        rests_on += further
    if "against" in wanted.solutions and chosen.text("against_in_burette") == "yes":
        heading["against"]["in_burette"] = True
    if wanted.standard:
        heading["standard"] = standard_of(chosen)
    heading.update(_equipment(chosen, wanted))
    heading.update(_circumstances(chosen, wanted, method))
    check_heading(heading, wanted, method)
    return heading, list(dict.fromkeys(rests_on))


# --- the parts --------------------------------------------------------------------------------------------------------


def _tested(chosen: Chosen, method: Method) -> dict[str, Any]:
    """Return the table of what is assayed, or of the solution that is standardised."""
    if method.kind == "assay":
        lot = Refusal.unless(Lot.objects.filter(pk=chosen.about).first(), f"there is no lot {chosen.about}",
                             where="lot", remedy="choose one from the list")
        _demand_specified(lot, chosen.method)
        typed = {key: chosen.text(key) for key in ("density", "taken", "thermal") if chosen.text(key)}
        if "density" in typed:
            typed["density"] = with_unit(typed["density"], "g/mL") if "±" not in typed["density"] else typed["density"]
        return {"sample": {"product": lot.product, "lot": lot.identity, **typed}}
    solution = _solution(chosen.about, "solution")
    demand_fitting(solution, method, "titrant")
    return {"titrant": _table(solution, without=("concentration", "certificate", "at_temperature", "worksheets",
                                                 "stored", "in_force"))}


def _demand_specified(lot: Lot, method: str) -> None:
    """Raise a refusal where a lot's specification has methods, and this is none of them."""
    methods = sorted({one["method"] for one in specified_of(lot) if one.get("method")})
    if methods and method not in methods:
        raise Refusal(f"lot {lot.identity} is {lot.product}, which is specified by {' and '.join(methods)}, not by "
                      f"{method}", where="method", remedy="assay it by one of these, or revise the specification first")


def _table(solution: Solution, without: tuple[str, ...] = ()) -> dict[str, Any]:
    kept = {key: value for key, value in solution.content.items()
            if key in SOLUTION_FIELDS and key not in without and value not in ("", [])}
    return {**kept, "lot": solution.identity}


def _solution(identity: str, where: str) -> Solution:
    found = Solution.objects.filter(pk=identity, state=IN_USE).first()
    return Refusal.unless(found, f"there is no solution '{identity}' in use", where=where,
                          remedy="choose one from the list")


def known_solution(chosen: Chosen, role: str) -> tuple[dict[str, Any], list[str]]:
    """Return the table of a solution with what tells its concentration, and the standardisations that do.

    Raises:
        Refusal: it is not in use, is of another substance than the method works with, or nothing tells its
            concentration.
    """
    solution = _solution(chosen.text(role), role)
    demand_fitting(solution, method_of(chosen.method), role)
    table = _table(solution)
    if table.get("concentration"):
        return table, []
    found = standardisations_of(solution.identity)
    if not found:
        raise Refusal(f"nothing tells what the solution {solution.identity} is worth", where=role,
                      remedy="standardise it and have the standardisation reviewed")
    table["worksheets"] = [one.path for one in found]
    if len(found) > 1:
        table["in_force"] = chosen.text(f"{role}_in_force") or "last accepted"
    if let_pass := let_pass_of(found):
        table["accepted"] = let_pass
    return table, [one.identity for one in found]


def standard_of(chosen: Chosen) -> dict[str, Any]:
    """Return the table of the reference material that was chosen.

    Raises:
        Refusal: it is not in use, or of another substance than the method weighs.
    """
    found = Material.objects.filter(pk=chosen.text("standard"), state=IN_USE).first()
    material = Refusal.unless(found, f"there is no reference material '{chosen.text('standard')}' in use",
                              where="standard", remedy="choose one from the list")
    demand_material(material, method_of(chosen.method))
    table = {key: value for key, value in material.content.items() if key in STANDARD_FIELDS and value not in ("", [])}
    if chosen.text("dried"):
        table |= {"basis": "dried", "dried": chosen.text("dried")}
    return table


def _equipment(chosen: Chosen, wanted: Asked) -> dict[str, Any]:
    vessels = {one.role: instrument_of(chosen.text(f"vessel {one.role}"), one.words, one.kinds)
               for one in wanted.vessels}
    found: dict[str, Any] = {"vessels": vessels}
    if wanted.weighs:
        found["balances"] = {"balance": instrument_of(chosen.text("balance"), "balance", ("balance",))}
    if chosen.text("thermometer"):
        found["thermometers"] = {
            "thermometer": instrument_of(chosen.text("thermometer"), "thermometer", ("thermometer",))}
    return found


def instrument_of(identity: str, words: str, kinds: tuple[str, ...]) -> dict[str, Any]:
    """Return the table of an instrument, as its last calibration states it.

    Raises:
        Refusal: it is not in use, or is of another kind.
    """
    found = Instrument.objects.filter(pk=identity, state=IN_USE).first()
    if found is None or found.kind not in kinds:
        raise Refusal(f"no {words} is chosen" if not identity else f"{identity} cannot serve as {words}", where=words,
                      remedy="choose one from the list, or register it under Equipment first")
    return found.content


def _circumstances(chosen: Chosen, wanted: Asked, method: Method) -> dict[str, Any]:
    """Return dilution, air, blank, repeatability and report, as far as they are typed."""
    found: dict[str, Any] = {}
    if wanted.way in DILUTED_WAYS:
        found["dilution"] = _dilution(chosen, wanted)
    air = {key: with_unit(chosen.text(f"air_{key}"), unit) for key, unit in UNITS_OF_AIR.items()
           if chosen.text(f"air_{key}")}
    if air:
        found["air"] = air
    if wanted.blank and chosen.text("blank_volume"):
        found["blank"] = {"kind": wanted.blank, "volume": with_unit(chosen.text("blank_volume"), "mL")}
    if chosen.text("pooled"):
        found["repeatability"] = {"pooled": chosen.text("pooled")}
    if method.kind == "standardisation":
        found["report"] = {"factor": True}
    return found


def _dilution(chosen: Chosen, wanted: Asked) -> dict[str, Any]:
    """Return the table of the dilution: its portion pipetted or weighed, made up in a flask or by mass."""
    temperature = with_unit(chosen.text("dilution_temperature"), "°C")
    if wanted.way == DILUTED:
        warm = {"sample_temperature": temperature, "temperature": temperature} if temperature else {}
        return {"pipette": PIPETTE, "flask": FLASK, **warm}
    weighed = {one.name: with_unit(chosen.text(f"dilution_{one.name}"), one.unit) for one in wanted.dilution
               if chosen.text(f"dilution_{one.name}")}
    for named, group in ((PORTION_OF_DILUTION, ("gross", "net")), (WHOLE_DILUTION, ("total_gross", "total_net"))):
        if group[0] in (one.name for one in wanted.dilution) and not any(key in weighed for key in group):
            raise Refusal(f"nothing says what the {named} weighs", where="dilution",
                          remedy="weigh it first, and give gross mass with tare, or the net mass")
    if wanted.way == DILUTED_BY_MASS:
        return weighed
    return {**weighed, "flask": FLASK, **({"temperature": temperature} if temperature else {})}


def invented(wanted: Asked, method: Method) -> dict[str, Any]:
    """Return a determination that nobody made, to try a heading with."""
    tried: dict[str, Any] = {"initial": "0.00 mL", "final": "20.00 mL"}
    if wanted.handling == WEIGHED:
        tried |= {"gross": "2.0000 g", "tare": "1.0000 g"}
    elif wanted.handling == DILUTED:
        tried |= {"pipette": ALIQUOT_PIPETTE}
    if method.scheme == "two endpoints":
        tried["first"] = "15.00 mL"
    if method.scheme == "barium chloride":
        tried |= {"hydroxide_initial": "0.00 mL", "hydroxide_final": "15.00 mL"}
    return tried


def check_heading(heading: dict[str, Any], wanted: Asked, method: Method) -> None:
    """Try a heading with one determination that nobody made.

    Raises:
        Refusal: a worksheet would refuse it, or no evaluation takes one of its temperatures.
    """
    from assaywright.assay.worksheet import FORMAT, parse_worksheet
    from assaywright.records.toml_text import toml_text

    tried = invented(wanted, method)
    path = f"{heading['id']}.toml"
    try:
        parse_worksheet(toml_text({"format": FORMAT, **heading, "determination": [tried]}).encode(), path)
    except Refusal as refusal:
        raise Refusal(refusal.what, where=refusal.where.removeprefix(f"{path}: "),
                      remedy=refusal.remedy) from refusal
    demand_taken(heading, [tried], path)
