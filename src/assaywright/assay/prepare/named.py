"""Substance and reaction as a file or an option names them; what is not known is refused with the field's own name."""

from assaywright.chemistry.counting import Counting, count_equivalents
from assaywright.chemistry.solute import Solute, find_solute
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown

ARROWS = ("->", "→", "=", "⇌")


def solute_named(name: str) -> Solute:
    """Return the substance of a name or formula.

    Raises:
        Refusal: none is held, and it is no formula; it names the field, substance.
    """
    try:
        return find_solute(name)
    except Refusal as refusal:
        raise Refusal(refusal.what, where="substance", remedy=refusal.remedy) from None


def counting_named(solute: Solute, reaction: str, counted: str = "") -> Counting | None:
    """Return how a substance is counted in a reaction; None where no reaction is named.

    Arguments:
        solute: the substance.
        reaction: balanced, or the basis on which a primary standard is held; empty for none.
        counted: the species that is counted; empty for the usual one.

    Raises:
        Refusal: neither a reaction nor a basis, or one without the substance; it names the field, reaction.
    """
    if not reaction:
        return None
    try:
        return count_equivalents(solute, reaction, counted)
    except Refusal as refusal:
        if any(arrow in reaction for arrow in ARROWS):
            raise refusal.at("reaction") from None
        raise Refusal(f'"{shown(reaction)}" is no reaction, and no basis on which {solute.name} is held as a primary '
                      "standard", where="reaction",
                      remedy='write it balanced, like "NaOH + HCl -> NaCl + H2O"') from refusal
