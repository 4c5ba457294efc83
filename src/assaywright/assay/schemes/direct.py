"""Direct titration: the titrant reacts with the analyte itself."""

from typing import Any

from assaywright.assay.schemes.common import Titrant, per_equivalents, times_equivalents
from assaywright.assay.terms import Scope, Term


def analyte_amount(net: Term, titrant: Titrant, analyte_equivalents: int, tag: str) -> Term:
    """Return the term for the amount of analyte titrated directly: n = c_t z_t V / z_a.

    Arguments:
        net: titrant that reacted with the analyte [mL or g].
        analyte_equivalents: z_a.

    Returns: [mmol]

    Source: USP General Chapter <541>, direct titrations.
    """

    def term(scope: Scope) -> Any:
        equivalents = times_equivalents(scope.x[titrant.concentration] * net(scope), titrant.equivalents)
        return scope.m.step(
            f"n{tag}", "amount of analyte in the portion", per_equivalents(equivalents, analyte_equivalents), "mmol"
        )

    return term
