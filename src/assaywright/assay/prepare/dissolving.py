"""Whether what is weighed dissolves: said at the top of the sheet where no solubility is held that could be checked."""

from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.chemistry.density_curve import density_curve
from assaywright.chemistry.solute import DISSOLVED_WITH_HELP, Solute, solubility
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import all_solubilities

IODIDE = ("Bring the iodine into solution with potassium iodide, about twice its mass, in a little of the water, "
          "before the rest of the water comes (common practice, no source).")


def needs_iodide(solute: Solute) -> bool:
    """Whether the substance dissolves in a solution of iodide and hardly in water."""
    return solute.name in DISSOLVED_WITH_HELP


def unchecked_solubility(solute: Solute, mass_percent: float | None) -> tuple[str, ...]:
    """Return a sentence where nothing tells whether so much of a solid dissolves in water; none where it was checked.

    A content up to which densities were measured has been dissolved by those who measured them.

    Arguments:
        solute: of the solution.
        mass_percent: wanted; none where it is not known [% w/w].
    """
    if needs_iodide(solute):
        held = solubility(solute)
        little = f", {held.mass_percent:.2g} % w/w" if held is not None else ""
        return ((f"{solute.name} hardly dissolves in water alone{little}: potassium iodide has to be added, which this "
                 "sheet does not count."),)
    if solubility(solute) is not None or _product_held(solute) or _measured(solute, mass_percent):
        return ()
    return ((f"The solubility of {solute.name} in water is not held and was not checked: make sure that so much "
             "dissolves before it is weighed."),)


def _product_held(solute: Solute) -> bool:
    for name in (solute.name, solute.anhydrous.text):
        try:
            all_solubilities(name)
        except Refusal:
            continue
        return True
    return False


def _measured(solute: Solute, mass_percent: float | None) -> bool:
    if mass_percent is None:
        return False
    try:
        return mass_percent <= density_curve(solute, REFERENCE_DEGC).greatest_percent
    except Refusal:
        return False
