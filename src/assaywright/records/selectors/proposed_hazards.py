"""Hazard statements proposed from a substance and its concentration, for a person in charge to confirm or correct."""

import re
from dataclasses import dataclass

from assaywright.chemistry.classification import classify_solution
from assaywright.chemistry.formula import molar_mass
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import kind_of
from assaywright.reference.substances import substance

_NAMED = re.compile(r"(?P<substance>.+?),?\s+(?P<content>\d+(?:[.,]\d+)?\s*(?:%\s*w/w|mol/L|mmol/L))")


@dataclass(frozen=True)
class ProposedHazards:
    """Codes of hazard statements, by what substance in what strength, and by whose limits."""

    codes: tuple[str, ...]
    basis: str
    sources: tuple[str, ...]

    @property
    def words(self) -> str:
        """The proposal in one sentence, without its end."""
        return f"{', '.join(self.codes) or 'no hazard statement'} for {self.basis}"


def proposed_hazards(name: str) -> ProposedHazards | None:
    """Return what a name like "acetic acid 30 % w/w" or "NaOH 0.5 mol/L" lets one propose; None where it tells nothing.

    A concentration is taken as a mass fraction with 1 g/mL, which puts it rather too high than too low for a solution
    that is denser than water.
    """
    found = _NAMED.fullmatch(" ".join(name.split()))
    if found is None:
        return None
    try:
        held, content = substance(found["substance"]), read_quantity(found["content"].replace(",", "."))
        percent = (float(content.to("% w/w")) if kind_of(content.unit) == kind_of("% w/w")
                   else float(content.to("mol/L")) * molar_mass(held.formula).value / 10)
        classes = classify_solution(held.name, percent)
    except Refusal:
        return None
    return ProposedHazards(tuple(dict.fromkeys(one.code for one in classes if one.code)),
                           f"{held.name}, {percent:.3g} % w/w", tuple(dict.fromkeys(one.source for one in classes)))
