"""What a method asks to be stated: the roles of vessels, the solutions, and the readings of a determination."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assaywright.assay.method import Method
from assaywright.assay.reading.determinations import EXCESS_PIPETTE

WEIGHED, PIPETTED, DILUTED = "weighed", "pipetted", "diluted"
WEIGHED_INTO_FLASK, DILUTED_BY_MASS = "weighed into a flask", "diluted by mass"
DILUTED_WAYS = (DILUTED, WEIGHED_INTO_FLASK, DILUTED_BY_MASS)
PIPETTE, ALIQUOT_PIPETTE, FLASK, BURETTE = "pipette", "aliquot pipette", "flask", "burette"


@dataclass(frozen=True, slots=True)
class AskedVessel:
    """A role that a vessel plays in the worksheet, the kinds of vessel that can play it, and its name in words."""

    role: str
    kinds: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True)
class AskedReading:
    """A reading of a determination: the worksheet's field, its name in words, its unit, whether it is needed."""

    name: str
    words: str
    unit: str
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Asked:
    """What a worksheet of a method has to state, with the portion taken in one way.

    Fields:
        handling: how what is titrated is taken: weighed, pipetted, or as an aliquot of a dilution in a flask.
        way: the same with how a dilution is made, one of :func:`ways_of` the method.
        vessels: roles, the burette first.
        weighs: whether a balance is used.
        solutions: roles of solutions of known concentration ("titrant", "reagent", "against").
        standard: name of the weighed primary standard, or empty.
        blank: kind of blank that the method titrates, or empty.
        readings: of one determination.
        dilution: what is weighed once, for a dilution: of the portion, and of the whole where it is made up by mass.
    """

    handling: str
    vessels: tuple[AskedVessel, ...]
    weighs: bool
    solutions: tuple[str, ...]
    standard: str
    blank: str
    blank_needed: bool
    readings: tuple[AskedReading, ...]
    way: str = ""
    dilution: tuple[AskedReading, ...] = ()


def ways_of(method: Method) -> tuple[str, ...]:
    """Return how a portion can be taken; for a dilution pipetted, weighed into a flask, or weighed like the whole."""
    further = (WEIGHED_INTO_FLASK, DILUTED_BY_MASS) if DILUTED in method.sample.handling else ()
    return (*method.sample.handling, *further)


def asked(method: Method, handling: str = "") -> Asked:
    """Return what a worksheet has to state.

    Arguments:
        method: as loaded.
        handling: how the portion is taken, of :func:`ways_of`; the method's usual way when it is none of them.
    """
    way = handling if handling in ways_of(method) else method.sample.handling[0]
    handling = {WEIGHED_INTO_FLASK: DILUTED, DILUTED_BY_MASS: WEIGHED}.get(way, way)
    solutions: tuple[str, ...] = ("titrant",) if method.kind == "assay" else ()
    solutions += tuple(role for role in ("reagent", "against") if getattr(method, role) is not None)
    blank = method.blank.kind if method.blank.kind not in ("none", "titrated likewise") else ""
    weighs = way in (WEIGHED, WEIGHED_INTO_FLASK, DILUTED_BY_MASS)
    return Asked(handling, tuple(_vessels(method, way)), weighs, solutions,
                 method.standard.name if method.standard else "", blank, method.blank.required,
                 tuple(_readings(method, handling)), way, tuple(_dilution(way)))


def handling_of(method: Method, heading: Mapping[str, Any], determinations: Sequence[Mapping[str, Any]]) -> str:
    """Return how the portions of a worksheet are taken, from what stands in it already."""
    if dilution := heading.get("dilution"):
        by_mass = any(key.startswith("total_") for key in dilution)
        weighed = any(key in dilution for key in ("gross", "net"))
        return DILUTED_BY_MASS if by_mass else WEIGHED_INTO_FLASK if weighed else DILUTED
    if any("gross" in one or "net" in one for one in determinations):
        return WEIGHED
    if any("pipette" in one for one in determinations):
        return PIPETTED
    return WEIGHED if heading.get("balances") else PIPETTED if PIPETTE in heading.get("vessels", {}) else (
        method.sample.handling[0])


def _vessels(method: Method, handling: str) -> list[AskedVessel]:
    found = [AskedVessel(BURETTE, ("burette", "piston burette"), "burette")]
    if handling in (PIPETTED, DILUTED):
        found.append(AskedVessel(PIPETTE, ("pipette", "piston pipette"), "pipette of the sample"))
    if handling in (DILUTED, WEIGHED_INTO_FLASK):
        found += [AskedVessel(FLASK, ("flask",), "volumetric flask of the dilution"),
                  AskedVessel(ALIQUOT_PIPETTE, ("pipette", "piston pipette"), "pipette of the aliquot")]
    if method.scheme == "back":
        found.append(AskedVessel(EXCESS_PIPETTE, ("pipette", "piston pipette"), "pipette of the reagent in excess"))
    return found


def _dilution(way: str) -> list[AskedReading]:
    """Return what is weighed of a dilution: its portion, and the whole of it where no flask tells the volume."""
    if way not in (WEIGHED_INTO_FLASK, DILUTED_BY_MASS):
        return []
    found = [AskedReading("gross", "portion for the dilution: gross mass", "g", needed=False),
             AskedReading("tare", "portion for the dilution: tare", "g", needed=False),
             AskedReading("net", "or its net mass, on a tared balance", "g", needed=False)]
    if way == DILUTED_BY_MASS:
        found += [AskedReading("total_gross", "whole dilution: gross mass", "g", needed=False),
                  AskedReading("total_tare", "whole dilution: tare of the flask", "g", needed=False),
                  AskedReading("total_net", "or its net mass, on a tared balance", "g", needed=False)]
    return found


def _readings(method: Method, handling: str) -> list[AskedReading]:
    if handling == WEIGHED:
        found = [AskedReading("gross", "gross mass", "g", needed=False),
                 AskedReading("tare", "tare", "g", needed=False),
                 AskedReading("net", "or net mass, on a tared balance", "g", needed=False)]
    else:
        found = [AskedReading("sample_temperature", "temperature of the portion", "°C", needed=False)]
    if method.scheme == "back":
        found.append(AskedReading("excess_temperature", "temperature of the reagent in excess", "°C", needed=False))
    if method.scheme == "barium chloride":
        found += [AskedReading("hydroxide_initial", "with barium chloride: initial reading", "mL"),
                  AskedReading("hydroxide_final", "with barium chloride: final reading", "mL")]
    found.append(AskedReading("initial", "burette, initial reading", "mL"))
    if method.scheme == "two endpoints":
        found.append(AskedReading("first", "burette at the first endpoint", "mL"))
    return [*found, AskedReading("final", "burette, final reading", "mL"),
            AskedReading("temperature", "temperature of the titrant", "°C", needed=False)]
