"""Whether the solutions of a system can be made: none may hold more than dissolves, where that is held."""

from collections.abc import Iterable

from assaywright.chemistry.content_state import check_room
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.solute import find_solute
from assaywright.chemistry.system.description import Portion
from assaywright.metrology.refusal import Refusal


def check_dissolving(portions: Iterable[Portion], temperature_degC: float) -> None:
    """Refuse a solution that holds more than dissolves in water.

    Arguments:
        portions: of the solution; ions, and substances with constants of their own, are not looked at.
        temperature_degC: of the solution [°C].

    Raises:
        Refusal: more of a substance than a litre can hold, or than is known to dissolve; one sentence names it.
    """
    for portion in portions:
        if portion.own is not None:
            continue
        try:
            solute = find_solute(portion.substance)
        except Refusal:
            continue  # an ion, or a name that the equilibria will refuse themselves
        grams_per_L = portion.concentration_mol_per_L * molar_mass(solute.formula).value
        check_room(solute, grams_per_L, temperature_degC)
