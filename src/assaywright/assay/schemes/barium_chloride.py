"""Barium chloride: alkali with carbonate, by acid to two equal aliquots, one of them freed of carbonate.

With T mL of acid to methyl orange for one aliquot, and H mL to phenolphthalein for the other after barium chloride has
thrown the carbonate down: hydroxide H, carbonate T − H, each in millilitres of acid for equivalents.
"""

from typing import Any

from assaywright.assay.schemes.two_endpoints import CARBONATE, HYDROXIDE
from assaywright.assay.terms import Scope, Term


def part_volume(hydroxide: Term, total: Term, part: str, tag: str) -> Term:
    """Return the term for the acid that one part of the alkali takes.

    Arguments:
        hydroxide, total: H and T, net [mL].
        part: "total", "hydroxide" or "carbonate".

    Returns: [mL]

    Source: Winkler's method as in the University of the West Indies' laboratory manual named in
        tests/reference/titrimetry/warder_winkler_examples.csv, row S5: carbonate is the difference of the two.
    """

    def term(scope: Scope) -> Any:
        words = "acid to the aliquot with barium chloride, for the hydroxide"
        h = scope.once(f"H{tag}", lambda s: s.m.step(f"H{tag}", words, hydroxide(s), "mL"))
        if part == HYDROXIDE:
            return h
        t = scope.once(f"T{tag}", lambda s: s.m.step(f"T{tag}", "acid for the total alkali", total(s), "mL"))
        if part == CARBONATE:
            return scope.m.step(f"V_{part}{tag}", "acid for the carbonate", t - h, "mL")
        return t

    return term
