"""All constants held that concern one substance: of its acids, its complexes, its solid, its couples."""

from dataclasses import dataclass

from assaywright.chemistry.reaction import parse_reaction
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import (
    AcidConstant,
    Dissolution,
    FormationConstant,
    Potential,
    SolubilityProduct,
    all_acid_constants,
    all_complexes,
    all_potentials,
    all_solubilities,
    couples,
    dissolution,
    ligands_of,
    metals_of,
)
from assaywright.reference.substances import Substance


@dataclass(frozen=True, slots=True)
class SubstanceConstants:
    """What is held about one substance; each may be empty.

    Fields:
        dissolution: what it becomes in water, where held.
        acids: constants of its acids, all sets, by acid and step.
        complexes: constants of its metals with every ligand held; of a ligand, those with every metal.
        solubility: products of the solid, the chosen one first.
        potentials: of every couple in which one of its species, or the element itself, stands.
    """

    dissolution: Dissolution | None
    acids: tuple[AcidConstant, ...]
    complexes: tuple[FormationConstant, ...]
    solubility: tuple[SolubilityProduct, ...]
    potentials: tuple[Potential, ...]


def substance_constants(of: Substance) -> SubstanceConstants:
    """Return all constants held that concern a substance, those not chosen among them.

    Arguments:
        of: the substance.

    Example:
        >>> from assaywright.reference.substances import substance
        >>> [one.acid for one in substance_constants(substance("acetic acid")).acids if one.chosen]
        ['acetic acid']
    """
    dissolved = _dissolution(of.name)
    species = _species(dissolved) or {of.formula}
    acids = tuple(one for acid in (dissolved.acids if dissolved else ()) for one in all_acid_constants(acid))
    complexes = [one for metal in sorted(species) for ligand in ligands_of(metal)
                 for one in all_complexes(metal, ligand)]
    if dissolved is not None and dissolved.acids == ("EDTA",):
        complexes.extend(one for metal in metals_of("EDTA") for one in all_complexes(metal, "EDTA"))
    return SubstanceConstants(dissolved, acids, tuple(complexes), _solubility(of), _potentials(species))


def _dissolution(name: str) -> Dissolution | None:
    try:
        return dissolution(name)
    except Refusal:
        return None


def _species(dissolved: Dissolution | None) -> set[str]:
    """Return what a substance becomes in water, without water and its ions, which every solution has."""
    if dissolved is None:
        return set()
    terms = parse_reaction(dissolved.reaction).right
    return {term.species.text.strip() for term in terms} - {"H2O", "H+", "OH-"}


def _solubility(of: Substance) -> tuple[SolubilityProduct, ...]:
    for name in (of.name, *of.aliases, of.formula):
        try:
            return all_solubilities(name)
        except Refusal:
            continue
    return ()


def _potentials(species: set[str]) -> tuple[Potential, ...]:
    return tuple(one for couple in couples()
                 if species & {part.removesuffix("(s)").removesuffix("(aq)").removesuffix("(l)").removesuffix("(g)")
                               for part in couple.split("/")}
                 for one in all_potentials(couple))
