"""Whether what is chosen for a worksheet is of the substance that its method works with."""

from assaywright.assay.method import Method, Reactant
from assaywright.assay.solution_remarks import is_of
from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Material, Solution
from assaywright.reference.tables import primary_standard

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


def material_fits(material: Material, method: Method) -> bool:
    """Return whether a reference material is of the standard that a method weighs; one without a formula can be.

    Its formula is the one stated, else the one that its name is known for; water of crystallisation makes no
    difference, since it is computed with and remarked on.
    """
    if method.standard is None:
        return True
    try:
        return is_of(_formula(material), method.standard)
    except Refusal:
        return True


def _formula(material: Material) -> str:
    if stated := str(material.content.get("formula", "")):
        return stated
    try:
        return primary_standard(material.name).formula
    except Refusal:
        return ""


def demand_material(material: Material, method: Method) -> None:
    """Refuse a reference material of another substance than the method weighs.

    Raises:
        Refusal: naming both substances.
    """
    if method.standard is None or material_fits(material, method):
        return
    wanted, formula = method.standard, _formula(material)
    raise Refusal(
        f"{material.identity} is {material.name} ({formula}), and the method weighs {wanted.name} ({wanted.formula})",
        where="standard",
        remedy=f"choose a reference material of {wanted.name}, or begin by a method for {formula}")


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
