"""What a label states of one substance in water at one strength: the same for bottle, bench page and proposal.

An aid: the supplier's safety data sheet, local rules and a qualified person have the last word.
"""

import re
from dataclasses import dataclass

from assaywright.chemistry.cautions import limits_near, signal_word, solution_of_gas, spared
from assaywright.chemistry.classification import HazardClass, added_by_suppliers, classify_solution
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.strength import strength_of_concentration
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import kind_of
from assaywright.reference.labelling import label_element
from assaywright.reference.safety import hazards
from assaywright.reference.substances import Substance, substance

SOLID_PERCENT = 90.0  # no solution of a solid is as strong
LIQUID_PERCENT = 99.0  # a liquid that holds as much is the liquid as supplied: common practice, no source
CLOSE = 0.05  # of a limit, within which density and rounding may decide
# Never in water alone: potassium iodide, which keeps it dissolved, adds to its classes.
_NEVER_ALONE = ("iodine",)
_ANOTHER_SOLVENT = re.compile(
    r"\bin\s+(?:\w+[\s-])*(?:acid|propanol|isopropanol|ethanol|methanol|alcohol|glycol|dioxane|toluene)\b"
    r"|\b(?:ethanolic|methanolic|alcoholic|Karl Fischer)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class SolutionHazards:
    """What a label states of a substance in water.

    Fields:
        substance: its name.
        mass_percent: of the substance as named [% w/w].
        codes: of the hazard statements, without those that another covers; empty below all limits.
        signal_word: "Danger", "Warning" or empty.
        sources: who sets the limits, each once.
        near: what lies close to a limit, in sentences without their ends.
    """

    substance: str
    mass_percent: float
    codes: tuple[str, ...]
    signal_word: str
    sources: tuple[str, ...]
    near: tuple[str, ...]


def solution_hazards(name: str, mass_percent: float) -> SolutionHazards:
    """Return what a label states of a substance in water at a strength.

    Limits of concentration decide it, and what suppliers add where no limit does (corrosion of metals); a liquid that
    burns as supplied burns from the strength of its entry on.

    Arguments:
        name: of the substance or its formula, see :func:`assaywright.reference.substances.substance`.
        mass_percent: of the substance as named [% w/w].

    Raises:
        Refusal: no such substance, no classification of it is held, a solid as such, or one that water alone does not
            dissolve.

    Source: Regulation (EC) 1272/2008, Annexes I and VI, as the tables say; H410 goes before H400 (Annex IV, from
        memory).

    Example:
        >>> solution_hazards("NaOH", 1.96).codes
        ('H315', 'H319')
    """
    held = solution_of_gas(substance(name))
    if held.name in _NEVER_ALONE or (held.state == "solid" and mass_percent >= SOLID_PERCENT):
        raise Refusal(f"{held.name} of {mass_percent:.4g} % is no solution in water alone", where="hazards",
                      remedy="read its safety data sheet")
    classes = (*_burning(held, mass_percent), *classify_solution(held.name, mass_percent),
               *added_by_suppliers(held.name, mass_percent))
    codes = tuple(dict.fromkeys(one.code for one in classes))
    less = spared(codes)
    return SolutionHazards(
        held.name, mass_percent, tuple(sorted((one for one in codes if one not in less), key=_by_kind)),
        signal_word(classes), tuple(dict.fromkeys(f"{one.source} ({one.status})" for one in classes)),
        limits_near(held.name, mass_percent, within=CLOSE))


def is_in_water(words: str) -> bool:
    """Return whether nothing in the name of a solution speaks of another solvent than water.

    Example:
        >>> is_in_water("potassium hydroxide 1 mol/L"), is_in_water("perchloric acid in glacial acetic acid")
        (True, False)
    """
    return _ANOTHER_SOLVENT.search(words) is None


def mass_percent_of(name: str, content: str) -> float | None:
    """Return the mass fraction of a content as written; none where it does not tell it.

    Arguments:
        name: of the substance or its formula.
        content: "0.5 mol/L", "30 % w/w", "98.2 g/L"; what follows ± is passed over.

    Returns: the mass fraction [% w/w]; a content per volume of a solution without a density held is none
    """
    text = content.partition("±")[0].strip().replace(",", ".")
    try:
        if text.endswith("%"):
            return float(text.removesuffix("%"))
        found, held = read_quantity(text), solution_of_gas(substance(name))
        if kind_of(found.unit) == kind_of("% w/w"):
            return float(found.to("% w/w"))
        if kind_of(found.unit) == kind_of("g/L"):
            return strength_of_concentration(held, float(found.to("g/L")) / molar_mass(held.formula).value).mass_percent
        return strength_of_concentration(held, float(found.to("mol/L"))).mass_percent
    except (Refusal, ValueError):
        return None


def _burning(held: Substance, mass_percent: float) -> tuple[HazardClass, ...]:
    """Return the flammability of a liquid from the strength of its entry on, below which tests decide it."""
    return tuple(
        HazardClass(name, label_element(name).code, f"as supplied, {one.form}", one.source, one.status)
        for one in hazards(held.name) if one.chosen for name in one.hazard_classes
        if name.startswith("Flam. Liq.") and mass_percent >= (one.from_percent or LIQUID_PERCENT))


def _by_kind(code: str) -> tuple[bool, bool, str]:
    """Sort by kind as on a label, corrosion of metals behind harm to people, supplementary statements last."""
    return code.startswith("EUH"), code == "H290", code
