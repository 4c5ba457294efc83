"""Standardisation: the titrant's concentration is what is sought."""

from typing import Any

from assaywright.assay.schemes.common import Titrant, per_equivalents, times_equivalents
from assaywright.assay.terms import Scope, Term


def by_weighing(
    mass: Term, content: str, molar_mass: str, standard_equivalents: int, net: Term, titrant: Titrant, tag: str
) -> Term:
    """Return the term for the concentration found by one weighed portion: c = 1000 m w z_s / (100 M V z_t).

    Arguments:
        mass: of the primary standard [g].
        content: name of the input for its mass fraction w [%].
        molar_mass: name of the input for M [g/mol].
        net: titrant that reacted with it [mL or g].

    Returns: [mol/L], or [mol/kg] for a titrant delivered by mass

    Source: EURACHEM/CITAC Guide CG 4, A2, equation for c_NaOH; GB/T 601, 4.
    """

    def term(scope: Scope) -> Any:
        x, m = scope.x, scope.m
        amount = m.step(
            f"n{tag}", "amount of the primary standard", 1000 * mass(scope) * (x[content] / 100) / x[molar_mass], "mmol"
        )
        equivalents = times_equivalents(amount, standard_equivalents)
        return m.step(
            f"w{tag}",
            "concentration of the titrant",
            per_equivalents(equivalents, titrant.equivalents) / net(scope),
            "mol/kg" if titrant.by_mass else "mol/L",
        )

    return term


def by_solution(
    known: Term,
    known_concentration: str,
    known_equivalents: int,
    unknown: Term,
    unknown_equivalents: int,
    tag: str,
    *,
    by_mass: bool,
) -> Term:
    """Return the term for the concentration found against another solution: c = c_k z_k V_k / (z_x V_x).

    Arguments:
        known: volume of the known solution that reacted [mL].
        unknown: volume, or mass, of the solution sought that reacted with it [mL or g].

    Returns: [mol/L], or [mol/kg] when the unknown is measured out by mass

    Source: EURACHEM/CITAC Guide CG 4, A3; USP <541>.
    """

    def term(scope: Scope) -> Any:
        amount = times_equivalents(scope.x[known_concentration] * known(scope), known_equivalents)
        amount = scope.m.step(f"n{tag}", "equivalents of the known solution", amount, "mmol")
        return scope.m.step(
            f"w{tag}",
            "concentration of the solution sought",
            per_equivalents(amount, unknown_equivalents) / unknown(scope),
            "mol/kg" if by_mass else "mol/L",
        )

    return term
