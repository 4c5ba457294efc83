"""How an ingredient of a buffer is taken: weighed, or as a volume of a solution where it is a gas or sold dissolved."""

from dataclasses import dataclass

from assaywright.chemistry.buffer_equilibrium import Ingredient
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.refusal import Refusal
from assaywright.reference.substances import substance

STOCKS_MOL_PER_L = (0.1, 1.0, 5.0)
LARGEST_SHARE = 0.25
ML_PER_L = 1000.0


@dataclass(frozen=True, slots=True)
class Stock:
    """A solution from which an ingredient is measured out.

    Fields:
        concentration_mol_per_L: of the solution, standardised [mol/L].
        mL_per_L: of it for a litre of buffer [mL].
    """

    concentration_mol_per_L: float
    mL_per_L: float


def stock_of(one: Ingredient) -> Stock | None:
    """Return the solution to take of an ingredient; none of what is weighed as it is.

    V = c_buffer V_buffer / c_stock, of the weakest of 0.1, 1 and 5 mol/L of which a quarter of the buffer's volume is
    enough; else of the strongest.

    Arguments:
        one: what a litre of the buffer holds.

    Source: conservation of amount; that a gas, or an acid sold dissolved, is not weighed: common practice, no source.

    Example:
        >>> from assaywright.metrology.estimate import exact
        >>> stock_of(Ingredient("hydrochloric acid", exact(0.03, "mol/L"))).mL_per_L
        30.0
    """
    if not _comes_dissolved(one.substance):
        return None
    amount = one.concentration.value
    stock = next((c for c in STOCKS_MOL_PER_L if amount <= LARGEST_SHARE * c), STOCKS_MOL_PER_L[-1])
    return Stock(stock, ML_PER_L * amount / stock)


def _comes_dissolved(name: str) -> bool:
    try:
        held = substance(find_solute(name).name)
    except Refusal:
        return False
    return held.state in ("gas", "solution") or (held.state == "liquid" and held.density is None)
