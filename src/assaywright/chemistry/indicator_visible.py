"""Endpoints at which an amount must be seen: starch with iodine, permanganate by itself, chromate, iron(III)."""

import math
from dataclasses import dataclass

import numpy as np

from assaywright.chemistry.curve import Curve
from assaywright.chemistry.equilibrium.constants import at_ionic_strength
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.indicator_scale import Flask
from assaywright.chemistry.indicator_volume import volumes_at
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.reference.constants import complexes, solubility
from assaywright.reference.indicators import Indicator

VISIBLE = ("visible amount", "precipitate", "complex")
PERMANGANATE = ("KMnO4",)
IODINE = ("I2",)
THIOSULFATE = ("Na2S2O3", "Na2S2O3·5H2O")
SILVER = ("AgNO3",)
THIOCYANATE = ("KSCN", "NH4SCN", "NaSCN")
TOO_FIRMLY_HELD = ("KI", "NaI", "HI", *THIOCYANATE)
SILVER_ION = "Ag+"
NOT_REACHED = "the curve does not reach its colour"


@dataclass(frozen=True, slots=True)
class Seen:
    """Where an amount is just seen.

    Fields:
        volume_mL: of titrant [mL].
        spread_mL: standard uncertainty from the amount that must be there [mL].
        vanishes: whether a colour goes out rather than comes.
    """

    volume_mL: float
    spread_mL: float
    vanishes: bool = False


def seen(one: Indicator, curve: Curve, flask: Flask, equivalence_mL: float) -> Seen | str:
    """Return the endpoint at which an amount of titrant, or of what it removes or forms, is just seen.

    V = V(onset) + n / c, with n the amount that must be there to be seen in the volume then in the flask. The onset is
    the equivalence point for starch and permanganate, the beginning of silver chromate for chromate, and the
    thiocyanate that holds the red complex with iron(III). The sign is minus where a colour goes out.

    Arguments:
        one: an indicator of one of the scales :data:`VISIBLE`.
        curve: of the titration; for silver one that follows its ion.
        flask: with the formulas of titrant and analyte.
        equivalence_mL: the exact equivalence volume [mL].

    Returns: where it is seen; or why that is not known, nothing where the indicator has no part in this titration.
    """
    if not _takes_part(one, curve, flask):
        return ""
    if one.visible_umol_per_100_mL is None or one.visible_half_width is None:
        return "how much of it must be there to be seen is not held"
    total_mL = flask.volume_mL + equivalence_mL
    portion = total_mL / 100 / flask.titrant_mol_per_L / 1000
    excess = one.visible_umol_per_100_mL * portion
    spread = standard_uncertainty_of_half_width(one.visible_half_width * portion)
    if one.scale == "visible amount":
        vanishes = flask.titrant in THIOSULFATE
        return Seen(equivalence_mL + (-excess if vanishes else excess), spread, vanishes)
    if curve.followed != SILVER_ION:
        return "follow the silver ion to see where it turns"
    if one.working_pH is not None and flask.pH is not None and not one.working_pH[0] <= flask.pH <= one.working_pH[1]:
        return f"it is used between pH {one.working_pH[0]:g} and {one.working_pH[1]:g}"
    strength = float(np.interp(equivalence_mL, curve.volume_mL, curve.ionic_strength_mol_per_L))
    pAg = (_pAg_of_chromate if one.scale == "precipitate" else _pAg_of_thiocyanate)(one, flask, total_mL, strength)
    onset = math.nan if pAg is None else float(volumes_at(curve, np.array([pAg]))[0])
    return NOT_REACHED if math.isnan(onset) else Seen(onset + excess, spread)


def _takes_part(one: Indicator, curve: Curve, flask: Flask) -> bool:
    if one.kind == "starch":
        return curve.quantity == "potential_V" and flask.titrant in IODINE + THIOSULFATE
    if one.kind == "self":
        return curve.quantity == "potential_V" and flask.titrant in PERMANGANATE
    if one.kind == "chromate":
        return curve.quantity == "pX" and flask.titrant in SILVER and flask.analyte not in TOO_FIRMLY_HELD
    return curve.quantity == "pX" and flask.titrant in THIOCYANATE


def _concentration(one: Indicator, total_mL: float) -> float | None:
    """Return the indicator's concentration in the flask in its usual dose [mol/L]; None where it is not known."""
    made = one.preparation
    if made is None or made.strength_g_per_L is None or made.dose_unit != "mL":
        return None
    dose_mL = (made.dose_low + made.dose_high) / 2 * total_mL / made.flask_mL
    return made.strength_g_per_L / molar_mass(one.formula).value * dose_mL / total_mL


def _pAg_of_chromate(one: Indicator, flask: Flask, total_mL: float, strength: float) -> float | None:
    """Return pAg at which silver chromate begins: [Ag+]² [CrO4 2-] = Ksp at the ionic strength there."""
    amount = _concentration(one, total_mL)
    if amount is None:
        return None
    product = solubility("silver chromate")
    lg_Ksp = at_ionic_strength(-product.pKsp, 6, flask.conditions, product.ionic_strength_mol_per_L, strength)
    return (math.log10(amount) - float(lg_Ksp)) / 2


def _pAg_of_thiocyanate(one: Indicator, flask: Flask, total_mL: float, strength: float) -> float | None:
    """Return pAg at the thiocyanate that holds as much red complex with iron(III) as must be seen."""
    amount = _concentration(one, total_mL)
    if amount is None or one.visible_umol_per_100_mL is None:
        return None
    complex_one, product = complexes("Fe3+", "thiocyanate")[0], solubility("silver thiocyanate")
    lg_K = float(at_ionic_strength(complex_one.log_beta, -6, flask.conditions,
                                   complex_one.ionic_strength_mol_per_L or 0.0, strength))
    lg_Ksp = float(at_ionic_strength(-product.pKsp, 2, flask.conditions, product.ionic_strength_mol_per_L, strength))
    lg_thiocyanate = math.log10(one.visible_umol_per_100_mL * 1e-5) - lg_K - math.log10(amount)
    return lg_thiocyanate - lg_Ksp
