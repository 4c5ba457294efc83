"""The typed questions one may put to the tables of constants, and how a system is built from their answers.

Every equilibrium is one line that :func:`assaywright.chemistry.reaction.parse_reaction` reads, and one species is
written with the same letters wherever it stands; the text of a species is therefore its identity. Solids are marked
``(s)`` and are no species of the solution: ``AgCl`` without the mark is the dissolved molecule.

From the bottle to a system:

1. ``dissolution("sodium carbonate")`` says what a formula unit becomes, ``Na2CO3 = 2 Na+ + CO3 2-``, and that
   ``CO3 2-`` belongs to the acid named "carbonic acid".
2. ``acid_constants("carbonic acid")`` gives the steps in order; the species are ``acid_species`` of the first step and
   ``base_species`` of each. The product is found among them by its text. Products of an acid that is not named take no
   part (``Na+``), except H+ and OH-. ``acid_constants("water")[0]`` is the ion product.
3. ``edta_formation("Ca2+")``, ``edta_mixed_complexes("Ca2+")`` and ``complexes("Zn2+", "ammonia")`` give overall
   constants; their ligand is the last ``base_species`` of ``acid_constants("EDTA")``, ``NH3`` of "ammonium", ``OH-``.
4. ``solubility("AgCl")`` gives the product of the ions; ``potentials("Fe3+/Fe2+", medium)`` the half-reaction with its
   formal potential in that medium, or the standard one when no medium is named.

Constants of one ``data_set`` and ``kind`` belong together: thermodynamic constants with activities, constants at
0.1 mol/L with concentrations at 0.1 mol/L; standard potentials with activities, formal ones with concentrations in
their medium. They are never mixed.
"""

from assaywright.reference.acids import (
    AcidConstant,
    Dissolution,
    acid_constants,
    acid_data_sets,
    acids,
    all_acid_constants,
    dissolution,
)
from assaywright.reference.complexes import (
    FormationConstant,
    all_complexes,
    complexes,
    edta_formation,
    edta_mixed_complexes,
    ligands_of,
    metals_of,
)
from assaywright.reference.potentials import (
    Potential,
    all_potentials,
    couples,
    potentials,
    reference_electrode,
)
from assaywright.reference.solubility import SolubilityProduct, all_solubilities, solids, solubility

__all__ = [
    "AcidConstant",
    "Dissolution",
    "FormationConstant",
    "Potential",
    "SolubilityProduct",
    "acid_constants",
    "acid_data_sets",
    "acids",
    "all_acid_constants",
    "all_complexes",
    "all_potentials",
    "all_solubilities",
    "complexes",
    "couples",
    "dissolution",
    "edta_formation",
    "edta_mixed_complexes",
    "ligands_of",
    "metals_of",
    "potentials",
    "reference_electrode",
    "solids",
    "solubility",
]
