"""Nominal concentrations: what a solution is called, and how far from it the solution may be."""

from collections.abc import Iterator
from decimal import Decimal

from assaywright.assay.method import Method, Reactant
from assaywright.assay.observations import Solution
from assaywright.assay.troubles import remark
from assaywright.chemistry.reaction import parse_reaction
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

FAR_FROM_NOMINAL = 0.05  # GB/T 601: within 5 % of nominal
ENDLESS_DIGITS = 5
ANOTHER_STRENGTH = 1.5  # common practice, no source: halfway to the least mistake in counting equivalents, which is two


def reaction_of(method: Method, role: str) -> str:
    """Return the reaction in which a solution is used up; in a back titration the titrant finds the reagent."""
    return method.reagent_reaction if method.scheme == "back" and role == "titrant" else method.reaction


def same_reaction(one: str, other: str) -> bool:
    """Whether two texts write one and the same reaction, in whatever order they name what reacts and what forms."""
    if "".join(one.split()) == "".join(other.split()):
        return True
    try:
        first, second = parse_reaction(one), parse_reaction(other)
    except Refusal:
        return False
    return set(first.left) == set(second.left) and set(first.right) == set(second.right)


def equivalents_counted(solution: Solution, reactant: Reactant, method: Method, role: str, stated: Quantity) -> int:
    """Return how many equivalents one mole counts for in a concentration in eq/L (N).

    Raises:
        Refusal: no reaction is named, or another than the one in which the method uses the solution, or the titration
            is complexometric, where one mole of EDTA is called one equivalent by some and two by others.
    """
    if not solution.reaction:
        raise Refusal(
            f"the concentration {stated.text} is in equivalents and names no reaction",
            remedy='name it with reaction = "...", or give the concentration in mol/L',
        )
    if method.type == "complexometric":
        raise Refusal(
            f"the concentration {stated.text} is in equivalents, and a mole of {solution.formula}, which binds metals "
            "one to one, is called one equivalent by some and two by others",
            remedy="give the concentration in mol/L",
        )
    if not same_reaction(solution.reaction, reaction_of(method, role)):
        raise Refusal(
            "the concentration in equivalents refers to another reaction than the method's",
            remedy="give the concentration in mol/L",
        )
    return reactant.equivalents


def nominal_concentration(
    solution: Solution, reactant: Reactant, method: Method, role: str, unit: str
) -> float | None:
    """Return a solution's nominal concentration in a unit of amount, or None when it has none of that kind.

    Arguments:
        unit: "mol/L" or "mol/kg".

    Raises:
        Refusal: a nominal concentration in equivalents whose reaction is not the method's.
    """
    nominal = solution.nominal
    if nominal is None or (nominal.unit in ("mol/kg", "mmol/kg")) != (unit == "mol/kg"):
        return None
    if nominal.unit in ("eq/L", "meq/L"):
        return nominal.to("eq/L") / equivalents_counted(solution, reactant, method, role, nominal)
    return nominal.to(unit)


def nominal_in_moles(solution: Solution, reactant: Reactant, method: Method, role: str) -> Quantity | None:
    """Return a solution's nominal concentration in moles, as tables and methods name it.

    One in equivalents is converted by the reaction it refers to: 1 eq/L of sulfuric acid for alkali is 0.5 mol/L. A
    quotient without an end has five significant digits, as in 0.016667 mol/L of dichromate.

    Returns: [mol/L], or as stated where it is by mass; None where there is none

    Raises:
        Refusal: see :func:`equivalents_counted`.
    """
    nominal = solution.nominal
    if nominal is None or nominal.unit in ("mol/L", "mol/kg", "mmol/kg"):
        return nominal
    moles = nominal.value
    if nominal.unit in ("eq/L", "meq/L"):
        moles /= equivalents_counted(solution, reactant, method, role, nominal)
    if nominal.unit in ("meq/L", "mmol/L"):
        moles /= 1000
    rounded = Decimal(f"{moles:.{ENDLESS_DIGITS}g}")
    exact = moles if len(moles.as_tuple().digits) <= ENDLESS_DIGITS else rounded
    return Quantity(exact, "mol/L", f"{exact:f} mol/L")


def nominal_remarks(solution: Solution, nominal: float | None, estimate: Estimate, where: str) -> Iterator[Remark]:
    """Yield a remark when a solution is far from its nominal concentration.

    A little means a solution made up badly, or a factor inverted. Half as much again or more is no factor: equivalents
    were counted as moles, a dilution was forgotten, or a tare taken for a portion.

    Arguments:
        nominal: in the unit of the estimate.
    """
    if nominal is None:
        return
    factor = estimate.value / nominal
    within = solution.nominal_within.to("1") if solution.nominal_within else FAR_FROM_NOMINAL
    if not 1 / ANOTHER_STRENGTH < factor < ANOTHER_STRENGTH:
        yield remark(
            "titrant-of-another-strength",
            f"{solution.name} is {factor:.4g} times its nominal concentration",
            where,
            "find out what was mistaken: moles or equivalents, a dilution, or another solution",
        )
    elif abs(factor - 1) > within:
        yield remark(
            "titrant-far-from-nominal",
            f"the factor of {solution.name} is {factor:.4f}, further from one than {100 * within:g} %",
            where,
            "make sure that this is the solution meant, and that the factor was not inverted",
        )
