"""Barium chloride assembled: hydroxide, carbonate and total alkali from two equal aliquots."""

from typing import Any

from assaywright.assay.assemble_two_endpoints import TwoEndpointParts
from assaywright.assay.observations import Determination
from assaywright.assay.schemes import barium_chloride
from assaywright.assay.solutions import SolutionInForce
from assaywright.assay.terms import Term
from assaywright.metrology.refusal import Refusal


class BariumChlorideParts(TwoEndpointParts):
    """The assay of alkali with carbonate, by two aliquots of which barium chloride frees one of carbonate.

    The aliquots are of one pipette, whose error they share; a blank is taken off the total, which alone has it.
    """

    def _delivered_first(self, one: Determination, found: SolutionInForce, tag: str) -> Term:
        """Return the term for the titrant delivered to the aliquot with barium chloride [mL]."""
        where = f"{self.worksheet.path}: determination {one.label}"
        if one.hydroxide is None:
            raise Refusal(
                "the readings for the aliquot with barium chloride are missing",
                where=f"{where}, hydroxide_final",
                remedy="give hydroxide_initial and hydroxide_final",
            )
        if not one.portion.pipette:
            raise Refusal(
                "two equal aliquots are titrated, and here a portion is weighed",
                where=where,
                remedy="make the sample up to a volume in [dilution] and pipette both aliquots of it",
            )
        name = f"{self.worksheet.titrant.name}, after barium chloride,"
        return self.delivered(one.hydroxide, found.law, found.reference_degC, f"_H{tag}", name)

    def _hydroxide_present(self, pairs: list[tuple[Term, Term]]) -> bool:
        """Return that there is hydroxide: without it the indicator stays colourless after barium chloride."""
        return True

    def _carbon(self, first: Any, total: Any) -> Any:
        """Return the acid that turned hydrogen carbonate into carbon dioxide, half of what carbonate took [mL]."""
        return (total - first) / 2

    def _part_volume(self, first: Term, total: Term, part: str, tag: str) -> Term:
        """Return the term for the acid that one part of the alkali takes [mL]."""
        return barium_chloride.part_volume(first, total, part, tag)
