"""What a worksheet's heading tells the bench: burette, portion, blank, scatter, and how long its solutions may be used.

A heading may be half filled in: what it does not tell is none, and nothing is refused.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from statistics import fmean
from typing import Any

from assaywright.assay.asked import ALIQUOT_PIPETTE, BURETTE, DILUTED, PIPETTE, WEIGHED, Asked
from assaywright.assay.bench.expected import Spread
from assaywright.assay.bench.figures import figure, in_unit
from assaywright.assay.bench.taken import Fields, net_g, titre_mL
from assaywright.assay.method import Method
from assaywright.assay.reading.determinations import EXCESS_PIPETTE
from assaywright.assay.reading.materials import (
    AGAINST_FIELDS,
    SAMPLE_FIELDS,
    SOLUTION_FIELDS,
    read_sample,
    read_solution,
)
from assaywright.assay.reading.table import Conventions, Table
from assaywright.assay.solution_remarks import last_day
from assaywright.assay.solutions import law_of
from assaywright.assay.thermal import ThermalLaw, density_ratio, measured
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_spread

BALANCE = "balance"
SOLUTIONS = {"titrant": SOLUTION_FIELDS, "reagent": SOLUTION_FIELDS, "against": AGAINST_FIELDS}


@dataclass(frozen=True, slots=True)
class Burette:
    """A burette as it stands in a heading.

    Fields:
        identity: its number.
        nominal_mL: end of its scale [mL]; None where the heading does not tell it.
        division_mL: smallest division, or step of its display [mL]; None where it is not stated.
        displayed: whether it is a piston burette, which displays the volume.
    """

    identity: str = ""
    nominal_mL: Decimal | None = None
    division_mL: Decimal | None = None
    displayed: bool = False


def mark_of(heading: Mapping[str, Any]) -> str:
    """Return the decimal mark in which a worksheet's texts are written."""
    return "," if heading.get("decimal_mark") == "," else "."


def burette_of(heading: Mapping[str, Any], fields: Fields) -> Burette:
    """Return the burette that a determination is read on.

    Arguments:
        heading: with its vessels.
        fields: of the determination, which may name another role than "burette".
    """
    vessel = _vessel(heading, str(fields.get("burette") or BURETTE))
    mark = mark_of(heading)
    return Burette(str(vessel.get("id", "")), in_unit(vessel.get("nominal"), "mL", mark),
                   in_unit(vessel.get("graduation"), "mL", mark), vessel.get("kind") == "piston burette")


def step_of_balance_g(heading: Mapping[str, Any], fields: Fields) -> Decimal | None:
    """Return the step in which the balance of a determination displays [g]; None where it is not stated.

    Arguments:
        heading: with its balances.
        fields: of the determination, which may name another role than "balance".
    """
    balances = heading.get("balances")
    found = balances.get(str(fields.get("balance") or BALANCE)) if isinstance(balances, Mapping) else None
    step = in_unit(found.get("readability"), "g", mark_of(heading)) if isinstance(found, Mapping) else None
    return step if step is not None and step > 0 else None


def portion_of(heading: Mapping[str, Any], asked: Asked, fields: Fields) -> float | None:
    """Return the portion of a determination [g, or mL where it is pipetted]; None while it is not known.

    Arguments:
        heading: with its vessels.
        asked: what the method asks for.
        fields: of the determination.
    """
    mass = net_g(fields, mark_of(heading))
    if mass is not None:
        return float(mass)
    if asked.handling == WEIGHED:
        return None
    volume = in_unit(_vessel(heading, pipette_role(asked, fields)).get("nominal"), "mL", mark_of(heading))
    return float(volume) if volume is not None else 1.0  # the same pipette each time: one part


def pipette_role(asked: Asked, fields: Fields) -> str:
    """Return the role of the pipette that a portion or an aliquot is taken with.

    Arguments:
        asked: what the method asks for.
        fields: of the determination, which may name it.
    """
    return str(fields.get("pipette") or (ALIQUOT_PIPETTE if asked.handling == DILUTED else PIPETTE))


def without_portion_mL(method: Method, heading: Mapping[str, Any]) -> float | None:
    """Return what a titration takes without any portion [mL]: the blank, in a back titration the whole of the reagent.

    Arguments:
        method: of the worksheet.
        heading: with its blank, or with reagent, titrant and pipette of the excess.

    Returns: zero where no blank is told; None in a back titration of which too little is told
    """
    mark, blank = mark_of(heading), heading.get("blank")
    titrations = blank.get("titrations") if isinstance(blank, Mapping) else None
    found = [titre_mL(one, mark) for one in titrations or () if isinstance(one, Mapping)]
    titrated = [float(one) for one in found if one is not None]
    likewise = isinstance(blank, Mapping) and blank.get("kind") == "titrated likewise"
    if method.scheme == "back" and not likewise:
        return _whole_excess_mL(method, heading)
    if titrated:
        return fmean(titrated)
    if method.scheme == "back":
        return None
    stated = in_unit(blank.get("volume"), "mL", mark) if isinstance(blank, Mapping) else None
    return float(stated) if stated is not None else 0.0


def _whole_excess_mL(method: Method, heading: Mapping[str, Any]) -> float | None:
    """Return the titrant that the whole of the reagent would take [mL]: V = V_r c_r z_r/(c_t z_t)."""
    volume = in_unit(_vessel(heading, EXCESS_PIPETTE).get("nominal"), "mL", mark_of(heading))
    reagent, titrant = (_mol_per_L(heading, role) for role in ("reagent", "titrant"))
    if volume is None or not reagent or not titrant or method.reagent is None:
        return None
    return float(volume) * reagent * method.reagent.equivalents / (titrant * method.titrant.equivalents)


def _mol_per_L(heading: Mapping[str, Any], role: str) -> float | None:
    solution = heading.get(role)
    if not isinstance(solution, Mapping):
        return None
    for key in ("concentration", "nominal"):
        found = figure(solution.get(key), "mol/L", mark_of(heading))
        if found is not None:
            return found.to("mol/L")
    return None


def spread_of(method: Method, heading: Mapping[str, Any]) -> Spread:
    """Return how determinations scatter: the laboratory's own pooled repeatability, else the method's.

    Arguments:
        method: of the worksheet.
        heading: which may state the laboratory's own, or ask for the observed scatter.
    """
    report, own = heading.get("report"), heading.get("repeatability")
    observed = isinstance(report, Mapping) and report.get("repeatability") == "observed"
    text = own.get("pooled") if isinstance(own, Mapping) else None
    if isinstance(text, str):
        try:
            found = read_spread(text, "%", decimal_mark=mark_of(heading), form="standard")
        except Refusal:
            found = None
        if found is not None and found.uncertainty is not None:
            return Spread(found.to("%"), found.uncertainty.degrees_of_freedom, observed)
    pooled = method.repeatability
    return Spread(pooled.pooled.to("%"), pooled.degrees_of_freedom, observed)


def last_days_of(heading: Mapping[str, Any]) -> dict[str, tuple[str, date]]:
    """Return the name and the last day of use of each solution that states one, by its role."""
    found = {}
    for role, fields in SOLUTIONS.items():
        try:
            solution = read_solution(Table(heading[role], role, fields, Conventions(mark_of(heading))))
        except (KeyError, Refusal):
            continue
        last = last_day(solution)
        if last is not None:
            found[role] = (solution.name, last)
    return found


def laws_of(method: Method, heading: Mapping[str, Any]) -> dict[str, ThermalLaw]:
    """Return by which law of expansion each temperature is evaluated; that of water where no law is known.

    Arguments:
        method: of the worksheet.
        heading: with its solutions and its sample.
    """
    found, conventions = {}, Conventions(mark_of(heading))
    liquids = {"temperature": ("titrant", method.titrant), "excess_temperature": ("reagent", method.reagent),
               "sample_temperature": ("against", method.against)}
    for reading, (role, reactant) in liquids.items():
        try:
            if reading == "sample_temperature" and method.kind == "assay":
                sample = read_sample(Table(heading["sample"], "sample", SAMPLE_FIELDS, conventions))
                law = ThermalLaw(sample.thermal, measured(sample.densities))
            elif reactant is None:
                continue
            else:
                law = law_of(read_solution(Table(heading[role], role, SOLUTIONS[role], conventions)), reactant, method,
                             role)
        except (KeyError, Refusal):
            continue
        found[reading] = law if law.known else ThermalLaw("water")
    return found


def refused_of_blank(method: Method, heading: Mapping[str, Any]) -> Iterator[tuple[str, Refusal]]:
    """Yield the temperatures of a titrated blank that the liquid's law of expansion does not reach to: where, and why.

    Arguments:
        method: of the worksheet.
        heading: with its blank.
    """
    blank = heading.get("blank")
    titrations = blank.get("titrations", ()) if isinstance(blank, Mapping) else ()
    laws = laws_of(method, heading) if titrations else {}
    for number, one in enumerate(titrations, 1):
        for name in ("excess_temperature", "temperature"):
            found = in_unit(one.get(name), "°C", mark_of(heading))
            if found is None or name not in laws:
                continue
            try:
                density_ratio(laws[name], float(found), float(found))
            except Refusal as refusal:
                yield f"blank, titration {number}, {name.replace('_', ' ')}", refusal


def tares_of(heading: Mapping[str, Any], determinations: Sequence[Fields]) -> tuple[Decimal, ...]:
    """Return the tares of determinations [g]."""
    found = (in_unit(one.get("tare"), "g", mark_of(heading)) for one in determinations)
    return tuple(one for one in found if one is not None)


def _vessel(heading: Mapping[str, Any], role: str) -> Mapping[str, Any]:
    vessels = heading.get("vessels")
    found = vessels.get(role) if isinstance(vessels, Mapping) else None
    return found if isinstance(found, Mapping) else {}
