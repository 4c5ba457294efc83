"""Titrimetric equivalents: how much of a substance each millilitre of a titrant answers for."""

from fractions import Fraction

from assaywright.chemistry.formula import Formula, molar_mass
from assaywright.chemistry.reaction import parse_reaction
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.refusal import Refusal
from assaywright.reference.substances import Equivalents, primary_standard


def titrimetric_equivalent(
    formula: Formula | str, titrant_concentration_mol_per_L: float, moles_per_mole: Fraction, edition: str = ""
) -> Estimate:
    """Return the mass of a substance that each millilitre of a titrant is equivalent to.

    E = M c r

    Arguments:
        formula: of what is counted.
        titrant_concentration_mol_per_L: c, exact; of a solution stated in eq/L its concentration of equivalents.
        moles_per_mole: r, moles of the substance per mole (or per equivalent) of the titrant.
        edition: of the atomic weights; the one in force when not given.

    Returns: equivalent [mg/mL] with the uncertainty of the molar mass.

    Raises:
        Refusal: a concentration or a ratio that is not above zero, or see :func:`molar_mass`.

    Source: USP General Notices and <541>: "each mL of ... is equivalent to ... mg of ...".

    Example:
        >>> round(titrimetric_equivalent("Na2CO3", 1.0, Fraction(1, 2)).value, 2)
        52.99
    """
    if not titrant_concentration_mol_per_L > 0 or not moles_per_mole > 0:
        raise Refusal("a titrimetric equivalent for a concentration or a ratio that is not above zero",
                      where="titrimetric equivalent", remedy="give both above zero")
    return molar_mass(formula, edition).scaled(titrant_concentration_mol_per_L * float(moles_per_mole), "mg/mL")


def equivalents(standard: str, basis: str = "") -> Equivalents:
    """Return how many equivalents a mole of a primary standard counts, checked against the reaction.

    Arguments:
        standard: name of the primary standard.
        basis: what it does; may be left out where only one is held.

    Raises:
        Refusal: no such standard or basis, more than one basis, or a table that its own reaction contradicts.

    Example:
        >>> equivalents("potassium iodate", "oxidant to iodine monochloride").number
        4
    """
    held = primary_standard(standard).equivalents
    fitting = [one for one in held if basis in ("", one.basis)]
    if len(fitting) != 1:
        raise Refusal(f"{standard} counts equivalents on {len(fitting) or 'no'} basis '{basis}'", where="equivalents",
                      remedy=f"name one of {'; '.join(one.basis for one in held)}")
    found = fitting[0]
    ratio = parse_reaction(found.reaction).ratio(found.counted, found.species)
    if ratio != found.number:
        raise Refusal(f"{standard} is given {found.number} equivalents, its reaction says {ratio}",
                      where="primary_standard_equivalents.csv", remedy="mend the table")
    return found
