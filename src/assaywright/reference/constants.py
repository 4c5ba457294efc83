"""The typed questions one may put to the tables of constants, and how a system is built from their answers.

Every equilibrium is one line that :func:`assaywright.chemistry.reaction.parse_reaction` reads, and one species is
written with the same letters wherever it stands; the text of a species is therefore its identity.

From the bottle to a system:

1. ``dissolution("sodium carbonate")`` says what a formula unit becomes, ``Na2CO3 = 2 Na+ + CO3 2-``, and that
   ``CO3 2-`` belongs to the acid named "carbonic acid".
2. ``acid_constants("carbonic acid")`` gives the steps in order; the species are ``acid_species`` of the first step and
   ``base_species`` of each. The product is found among them by its text. Products of an acid that is not named take no
   part (``Na+``), except H+ and OH-.
3. ``water`` is an acid of its own: ``acid_constants("water")[0]`` is the ion product at 25 °C.

Constants of one ``data_set`` and ``kind`` belong together: thermodynamic constants with activities, constants at
0.1 mol/L with concentrations at 0.1 mol/L; the two are never mixed.
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

__all__ = [
    "AcidConstant",
    "Dissolution",
    "acid_constants",
    "acid_data_sets",
    "acids",
    "all_acid_constants",
    "dissolution",
]
