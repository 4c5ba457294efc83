"""By how much acid the two endpoints of alkali with carbonate miss: the proton balance of the flask, term by term.

Beside carbon dioxide, acid beyond the equivalence point is [H+] − [HCO3−] in the whole flask. With a the activity of
hydrogen ions at the colour, f the activity coefficient of a single charge, K1 the first constant of carbonic acid, r
the share of its carbon dioxide that the flask has kept, C the acid that turned hydrogen carbonate into it and V0 the
flask before the first drop:

    δV = g [a (V0 + T)/c − r C K1/a] / f

The colour is taken at no one pH, and both powers of ten have a larger mean over what it may be than at its middle: g.

At hydrogen carbonate, matched with a flask of hydrogen carbonate, acid beyond is [H2CO3] − [CO3 2−], which a shift d of
the pH from that flask's changes by

    δP = 2 ln 10 (K2/K1)^½ / f · C d

Source: proton balance at a given pH, as in the textbooks of the theory of titration; lg f by Davies.
"""

from dataclasses import dataclass
from typing import Any

from assaywright.assay.terms import Scope, Term, shared

LN_10 = 2.302585093  # as a calculator has it, so that the working can be keyed in
SLOPE, DAVIES = 0.509, 0.3  # lg f = −0.509 (√I/(1 + √I) − 0.3 I)
BALANCE = "proton balance [H+] − [HCO3−] at the colour"
MATCH = "proton balance [H2CO3] − [CO3 2−] near the match"


@dataclass(frozen=True, slots=True)
class TurnInputs:
    """Names of the inputs that a turn needs.

    Fields:
        concentration: of the acid [mol/L].
        flask: what it holds before the first drop [mL].
        activity: open error of the activity coefficient [1].
        pK1, pK2: of carbonic acid; the second for a match only.
        pH: at the colour; of a match, the shift from the flask beside it.
        kept: share of the carbon dioxide that is still dissolved; of no use to a match.
        mean: by how much the mean of 10^±pH over what the colour may be exceeds that at its middle [1]; likewise.
    """

    concentration: str
    flask: str
    activity: str
    pK1: str
    pH: str
    kept: str = ""
    mean: str = ""
    pK2: str = ""


def late_beside_carbon_dioxide(total: Term, carbon: Term, names: TurnInputs, tag: str) -> Term:
    """Return the term for the acid beyond the equivalence point at the second endpoint: δV [mL], negative when early.

    Arguments:
        total: acid delivered to the endpoint [mL].
        carbon: acid that turned hydrogen carbonate into carbon dioxide [mL].
    """

    def term(scope: Scope) -> Any:
        x = scope.x
        hydrogen = scope.once("a_H", lambda s: s.m.step(
            "a_H", "activity of hydrogen ions at the colour",
            s.m.second_order(s.x[names.mean]) * s.m.exp(-LN_10 * s.x[names.pH]), "mol/L"))
        share = scope.once("q_CO₂", lambda s: s.m.step(
            "q_CO₂", "hydrogen carbonate beside carbon dioxide there",
            s.m.second_order(s.x[names.mean]) * s.m.exp(LN_10 * (s.x[names.pH] - s.x[names.pK1])), "1"))
        acid = hydrogen * (x[names.flask] + total(scope)) / x[names.concentration]
        late = (acid - x[names.kept] * share * carbon(scope)) / _activity(total, names, tag)(scope)
        return scope.m.step(f"δV_e{tag}", "titration error of the second endpoint, from its curve", late, "mL", BALANCE)

    return shared(f"δV_e{tag}", term)


def off_hydrogen_carbonate(total: Term, carbon: Term, names: TurnInputs, tag: str) -> Term:
    """Return the term for the acid by which the first endpoint misses: δP [mL].

    Arguments:
        total: acid delivered to the second endpoint [mL].
        carbon: acid that turns hydrogen carbonate into carbon dioxide [mL].
    """

    def term(scope: Scope) -> Any:
        x = scope.x
        slope = 2 * LN_10 * scope.m.exp(LN_10 / 2 * (x[names.pK1] - x[names.pK2])) / _activity(total, names, tag)(scope)
        missed = slope * carbon(scope) * x[names.pH]
        return scope.m.step(f"δP_e{tag}", "titration error of the first endpoint, from its curve", missed, "mL", MATCH)

    return shared(f"δP_e{tag}", term)


def _activity(total: Term, names: TurnInputs, tag: str) -> Term:
    """Return the term for the activity coefficient of a single charge beside the salt that the acid has made."""

    def term(scope: Scope) -> Any:
        x, m = scope.x, scope.m
        acid = total(scope)
        ionic = m.step(f"I{tag}", "ionic strength at the end", x[names.concentration] * acid / (x[names.flask] + acid),
                       "mol/L")
        root = m.sqrt(ionic)
        screening = root / (1 + root) - DAVIES * ionic
        return m.step(f"f{tag}", "activity coefficient of a single charge",
                      m.exp(-LN_10 * SLOPE * screening) + x[names.activity], "1", "equation of Davies at 25 °C")

    return shared(f"f{tag}", term)
