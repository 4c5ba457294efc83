"""The steps at the bench and about how long they take."""

from assaywright.assay.method import Method
from assaywright.assay.plan.result import Step
from assaywright.assay.plan.setup import BY_MASS, IN_A_FLASK, WEIGHED_DILUTION
from assaywright.reference.practice import bench_minutes

ONCE, EACH = False, True


def steps_of(method: Method, way: str, determinations: int) -> tuple[Step, ...]:
    """Return the steps of a way with a number of determinations, each with its time.

    Arguments:
        method: for its blank.
        way: of taking the portion.
        determinations: number of them.

    Returns: steps with rough times [min], common practice, no source
    """
    portion = "weigh a portion" if way in BY_MASS else "pipette a portion"
    named = [("rinse and fill the burette", ONCE), (portion, way not in IN_A_FLASK)]
    if way == WEIGHED_DILUTION:
        named += [("make up to the mark", ONCE), ("weigh the whole dilution", ONCE), ("weigh an aliquot", EACH)]
    elif way in IN_A_FLASK:
        named += [("make up to the mark", ONCE), ("pipette an aliquot", EACH)]
    if method.blank.required:
        named.append(("titrate the blank", ONCE))
    named.append(("titrate", EACH))
    times = {ONCE: 1, EACH: determinations}
    return tuple(Step(_said(name, way), times[each], times[each] * bench_minutes(name)) for name, each in named)


def minutes_of(method: Method, way: str, determinations: int) -> float:
    """Return the rough bench time of all determinations [min]."""
    return sum(one.minutes for one in steps_of(method, way, determinations))


def _said(name: str, way: str) -> str:
    return "make up to about the mark" if name == "make up to the mark" and way == WEIGHED_DILUTION else name
