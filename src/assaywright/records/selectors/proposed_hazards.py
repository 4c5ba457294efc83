"""Hazard statements proposed from a substance and its concentration, for a person in charge to confirm or correct."""

import re
from dataclasses import dataclass

from assaywright.chemistry.solution_hazards import is_in_water, mass_percent_of, solution_hazards
from assaywright.metrology.refusal import Refusal

_NAMED = re.compile(r"(?P<substance>.+?),?\s+(?P<content>\d+(?:[.,]\d+)?\s*(?:%\s*w/[wv]|mol/L|mmol/L|g/L|%$))")


@dataclass(frozen=True)
class ProposedHazards:
    """Codes of hazard statements, by what substance in what strength, and by whose limits."""

    codes: tuple[str, ...]
    basis: str
    sources: tuple[str, ...]
    substance: str = ""

    @property
    def words(self) -> str:
        """The proposal in one sentence, without its end."""
        return f"{', '.join(self.codes) or 'none (below the limits of classification)'} for {self.basis}"


def proposed_hazards(name: str, known_as: str = "") -> ProposedHazards | None:
    """Return what a name like "acetic acid 30 % w/w" or "NaOH 0.5 mol/L" lets one propose; None where it tells nothing.

    The bench page cautions about a solution by the same function.

    Arguments:
        known_as: what a solution is called, which may tell that it is not in water.
    """
    found = _NAMED.fullmatch(" ".join(name.split()))
    if found is None or not is_in_water(f"{name} {known_as}"):
        return None
    percent = mass_percent_of(found["substance"], found["content"])
    if percent is None:
        return None
    try:
        label = solution_hazards(found["substance"], percent)
    except Refusal:
        return None
    return ProposedHazards(label.codes, "; ".join((f"{label.substance}, {percent:.3g} % w/w", *label.near)),
                           label.sources, label.substance)
