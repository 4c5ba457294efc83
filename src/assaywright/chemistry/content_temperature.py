"""How a content by volume changes when the solution is warmed or cooled, its mass staying what it is."""

from dataclasses import dataclass

from assaywright.chemistry.density import density_ratio
from assaywright.chemistry.density_curve import curves_of_one_source
from assaywright.chemistry.solute import Solute
from assaywright.chemistry.solution import thermal_ratio
from assaywright.metrology.estimate import Estimate, combine
from assaywright.metrology.refusal import Refusal

AS_WATER_MOL_PER_L, DILUTE_MOL_PER_L = 0.05, 0.2
DILUTE_COLUMN = "aq_0.1_0.2"


@dataclass(frozen=True, slots=True)
class Warmed:
    """What a content by volume becomes at another temperature.

    Fields:
        ratio: content there over content here [1].
        source: who measured it.
    """

    ratio: Estimate
    source: str


def by_volume_at(
    solute: Solute, mass_percent: Estimate | None, concentration_mol_per_L: float, from_degC: float, to_degC: float
) -> Warmed:
    """Return what a content by volume is multiplied by when the temperature changes.

    c(to)/c(from) = rho(to)/rho(from)

    Arguments:
        solute: what is dissolved in water.
        mass_percent: where it could be found [% w/w].
        concentration_mol_per_L: of the solution [mol/L].
        from_degC, to_degC: the temperatures [°C].

    Raises:
        Refusal: no densities of the solute were measured at both, and the solution is not dilute enough for the
            standard table of volumetric solutions.

    Source: measured tables of the solute; up to 0.05 mol/L the density of water, up to 0.2 mol/L GB/T 601, Table A.1.
    """
    try:
        percent = Refusal.unless(mass_percent, "the mass per cent is not known", where="temperature").value
        first, _ = curves_of_one_source(solute, from_degC, to_degC)
        return Warmed(density_ratio(solute, percent, from_degC, to_degC), first.source)
    except Refusal:
        if concentration_mol_per_L > DILUTE_MOL_PER_L:
            raise
    law = "water" if concentration_mol_per_L <= AS_WATER_MOL_PER_L else DILUTE_COLUMN
    first_ratio, second_ratio = thermal_ratio(law, from_degC), thermal_ratio(law, to_degC)
    value = second_ratio.ratio / first_ratio.ratio
    parts = combine("1", ((1 / first_ratio.ratio, second_ratio.estimate),
                          (-value / first_ratio.ratio, first_ratio.estimate))).contributions
    return Warmed(Estimate(value, "1", parts), f"as {'water' if law == 'water' else 'dilute aqueous solutions'}: "
                                              f"{second_ratio.source}")
