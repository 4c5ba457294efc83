"""What a method asks to be stated: the roles of vessels, the solutions, and the readings of a determination."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assaywright.assay.method import Method
from assaywright.assay.reading.determinations import EXCESS_PIPETTE

WEIGHED, PIPETTED, DILUTED = "weighed", "pipetted", "diluted"
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
        handling: how the portion is taken, of the method's ways.
        vessels: roles, the burette first.
        weighs: whether a balance is used.
        solutions: roles of solutions of known concentration ("titrant", "reagent", "against").
        standard: name of the weighed primary standard, or empty.
        blank: kind of blank that the method titrates, or empty.
        readings: of one determination.
    """

    handling: str
    vessels: tuple[AskedVessel, ...]
    weighs: bool
    solutions: tuple[str, ...]
    standard: str
    blank: str
    blank_needed: bool
    readings: tuple[AskedReading, ...]


def asked(method: Method, handling: str = "") -> Asked:
    """Return what a worksheet has to state.

    Arguments:
        method: as loaded.
        handling: how the portion is taken; the method's usual way when empty or not one of the method's.
    """
    handling = handling if handling in method.sample.handling else method.sample.handling[0]
    solutions: tuple[str, ...] = ("titrant",) if method.kind == "assay" else ()
    solutions += tuple(role for role in ("reagent", "against") if getattr(method, role) is not None)
    blank = method.blank.kind if method.blank.kind not in ("none", "titrated likewise") else ""
    return Asked(handling, tuple(_vessels(method, handling)), handling == WEIGHED, solutions,
                 method.standard.name if method.standard else "", blank, method.blank.required,
                 tuple(_readings(method, handling)))


def handling_of(method: Method, heading: Mapping[str, Any], determinations: Sequence[Mapping[str, Any]]) -> str:
    """Return how the portions of a worksheet are taken, from what stands in it already."""
    if heading.get("dilution"):
        return DILUTED
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
    if handling == DILUTED:
        found += [AskedVessel(FLASK, ("flask",), "volumetric flask of the dilution"),
                  AskedVessel(ALIQUOT_PIPETTE, ("pipette", "piston pipette"), "pipette of the aliquot")]
    if method.scheme == "back":
        found.append(AskedVessel(EXCESS_PIPETTE, ("pipette", "piston pipette"), "pipette of the reagent in excess"))
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
