"""Whether what is chosen for a worksheet is of the substance that its method works with."""

from assaywright.assay.method import Method, Reactant
from assaywright.assay.solution_remarks import is_of
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Solution

NEEDED = {"titrant": "titrates with {}", "reagent": "takes {} in excess", "against": "compares with {}"}
SET = "standardises {}"


def fits(formula: str, method: Method, role: str) -> bool:
    """Return whether a solution can play a role in a method; one whose formula tells nothing can.

    Arguments:
        formula: of the solution, as the register has it.
        role: "titrant", "reagent" or "against".
    """
    reactant: Reactant | None = getattr(method, role)
    if reactant is None:
        return True
    try:
        return is_of(formula, reactant)
    except Refusal:
        return True


def demand_fitting(solution: Solution, method: Method, role: str) -> None:
    """Refuse a solution of another substance than the method works with.

    Raises:
        Refusal: naming both substances.
    """
    if fits(solution.formula, method, role):
        return
    reactant: Reactant = getattr(method, role)
    is_set = method.kind == "standardisation" and role == "titrant"
    does = (SET if is_set else NEEDED[role]).format(f"{reactant.name} ({reactant.formula})")
    raise Refusal(
        f"{solution.identity} is {solution.name} ({solution.formula}), and the method {does}", where=role,
        remedy=f"choose a method for {solution.formula}" if is_set else
        f"choose a solution of {reactant.name}, or begin by a method for {solution.formula}")
