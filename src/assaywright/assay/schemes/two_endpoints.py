"""Two endpoints in one titration: alkali with carbonate, by acid to phenolphthalein and on to methyl orange.

With P mL of acid to the first endpoint and T mL in all, from one and the same initial reading:
2P > T: hydroxide 2P − T with carbonate 2(T − P); 2P < T: carbonate 2P with hydrogencarbonate T − 2P.
Each in millilitres of acid for equivalents; a carbonate ion takes two.
"""

from typing import Any

from assaywright.assay.schemes.common import Titrant, per_equivalents, times_equivalents
from assaywright.assay.terms import Scope, Term

TOTAL, HYDROXIDE, CARBONATE, HYDROGENCARBONATE = "total", "hydroxide", "carbonate", "hydrogencarbonate"


def part_volume(first: Term, total: Term, part: str, tag: str, *, hydroxide_present: bool) -> Term:
    """Return the term for the acid that one part of the alkali takes.

    Arguments:
        first, total: P and T, net [mL].
        part: "total", "hydroxide", "carbonate" or "hydrogencarbonate".
        hydroxide_present: whether 2P exceeds T, as found from the readings before the equation is put together.

    Returns: [mL]

    Source: Warder's method as in the teaching texts named in tests/reference/titrimetry/warder_winkler_examples.csv.
    """
    words = {
        TOTAL: "acid for the total alkali",
        HYDROXIDE: "acid for the hydroxide",
        CARBONATE: "acid for the carbonate",
        HYDROGENCARBONATE: "acid for the hydrogencarbonate",
    }

    def term(scope: Scope) -> Any:
        p = scope.once(f"P{tag}", lambda s: s.m.step(f"P{tag}", "acid to the first endpoint", first(s), "mL"))
        t = scope.once(f"T{tag}", lambda s: s.m.step(f"T{tag}", "acid to the second endpoint", total(s), "mL"))
        if part == TOTAL:
            return t
        if hydroxide_present:
            volume = 2 * p - t if part == HYDROXIDE else 2 * (t - p)
        else:
            volume = 2 * p if part == CARBONATE else t - 2 * p
        return scope.m.step(f"V_{part}{tag}", words[part], volume, "mL")

    return term


def part_amount(volume: Term, titrant: Titrant, part: str, equivalents: int, tag: str) -> Term:
    """Return the term for the amount of the substance that a part is expressed as: n = c_t z_t V / z.

    Arguments:
        equivalents: z of the substance in the whole of its part: 2 for carbonate, 1 for hydroxide.

    Returns: [mmol]
    """

    def term(scope: Scope) -> Any:
        amount = times_equivalents(scope.x[titrant.concentration] * volume(scope), titrant.equivalents)
        return scope.m.step(
            f"n{tag}",
            f"amount of {part}" if part != TOTAL else "amount for the total alkali",
            per_equivalents(amount, equivalents),
            "mmol",
        )

    return term
