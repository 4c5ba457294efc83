"""Back titration: a reagent is added in excess, and the titrant finds what is left of it."""

from typing import Any

from assaywright.assay.schemes.common import Titrant, per_equivalents, times_equivalents
from assaywright.assay.terms import Scope, Term


def analyte_amount(
    excess: Term,
    reagent_concentration: str,
    reagent_equivalents: int,
    net: Term,
    titrant: Titrant,
    analyte_equivalents: int,
    tag: str,
) -> Term:
    """Return the term for the amount of analyte: n = (c_r z_r V_r - c_t z_t V_t) / z_a.

    Arguments:
        excess: reagent added [mL].
        reagent_concentration: name of the input for c_r [mol/L].
        net: titrant used for what was left, less its own blank and titration error [mL or g].

    Returns: [mmol]

    Source: USP General Chapter <541>, residual titrations.
    """

    def term(scope: Scope) -> Any:
        x, m = scope.x, scope.m
        added = m.step(
            f"n_r{tag}",
            "equivalents of reagent added",
            times_equivalents(x[reagent_concentration] * excess(scope), reagent_equivalents),
            "mmol",
        )
        left = m.step(
            f"n_t{tag}",
            "equivalents of titrant used for what was left",
            times_equivalents(x[titrant.concentration] * net(scope), titrant.equivalents),
            "mmol",
        )
        return m.step(
            f"n{tag}", "amount of analyte in the portion", per_equivalents(added - left, analyte_equivalents), "mmol"
        )

    return term


def analyte_amount_by_blank(blank: Term, delivered: Term, titrant: Titrant, analyte_equivalents: int, tag: str) -> Term:
    """Return the term for the amount of analyte where a blank was titrated likewise: n = c_t z_t (V_B - V_t) / z_a.

    The blank holds the same excess and no sample, so it uses more titrant; the reagent's concentration drops out.

    Returns: [mmol]

    Source: USP General Chapter <541>, residual titrations with a blank.
    """

    def term(scope: Scope) -> Any:
        x, m = scope.x, scope.m
        used = delivered(scope)
        spared = m.step(f"V_s{tag}", "titrant spared by the sample", blank(scope) - used, titrant.unit)
        equivalents = times_equivalents(x[titrant.concentration] * spared, titrant.equivalents)
        return m.step(
            f"n{tag}", "amount of analyte in the portion", per_equivalents(equivalents, analyte_equivalents), "mmol"
        )

    return term
