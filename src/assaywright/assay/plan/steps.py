"""The steps at the bench and about how long they take."""

from assaywright.assay.plan.result import Step
from assaywright.assay.plan.setup import (
    BARIUM_CHLORIDE,
    BY_MASS,
    IN_A_FLASK,
    TWO_ENDPOINTS,
    WEIGHED_DILUTION,
    Setup,
)
from assaywright.reference.practice import bench_minutes

ONCE = 1


def steps_of(setup: Setup, determinations: int) -> tuple[Step, ...]:
    """Return the steps of a setup with a number of determinations, each with its time.

    Arguments:
        setup: for its method, its way and its blanks.
        determinations: number of them.

    Returns: steps with rough times [min], common practice, no source
    """
    method, way = setup.method, setup.way
    portion = "weigh a portion" if way in BY_MASS else "pipette a portion"
    aliquots = 2 if method.scheme == BARIUM_CHLORIDE else 1
    named = [("rinse and fill the burette", ONCE),
             (portion, ONCE if way in IN_A_FLASK else aliquots * determinations)]
    if way == WEIGHED_DILUTION:
        named += [("make up to the mark", ONCE), ("weigh the whole dilution", ONCE),
                  ("weigh an aliquot", determinations)]
    elif way in IN_A_FLASK:
        named += [("make up to the mark", ONCE), ("pipette an aliquot", aliquots * determinations)]
    if setup.excess is not None:
        named.append(("pipette the reagent in excess", determinations + setup.blanks))
    blanks = setup.blanks or (1 if method.blank.required else 0)
    if blanks:
        named.append(("titrate the blank", blanks))
    if method.scheme == TWO_ENDPOINTS:
        named.append(("titrate to two endpoints", determinations))
    else:
        named.append(("titrate", aliquots * determinations))
    return tuple(Step(_said(name, way), times, times * bench_minutes(name)) for name, times in named)


def minutes_of(setup: Setup, determinations: int) -> float:
    """Return the rough bench time of all determinations [min]."""
    return sum(one.minutes for one in steps_of(setup, determinations))


def _said(name: str, way: str) -> str:
    return "make up to about the mark" if name == "make up to the mark" and way == WEIGHED_DILUTION else name
