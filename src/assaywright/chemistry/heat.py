"""How warm a solution gets when it is made: heat of solution and dilution, taken up by the solution alone.

An estimate for caution, no measurement: nothing is lost to vessel and air, so that a real vessel stays cooler; where
no heat capacity is held only the water counts, which makes it warmer still.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.solute import Solute
from assaywright.metrology.refusal import Refusal
from assaywright.reference.enthalpies import HeatCapacity, HeatOfDilution, heat_capacities, heats_of_dilution
from assaywright.reference.substances import substance

WATER_G_PER_MOL = 18.015
WATER_J_PER_G_K = 4.184
BOILING_DEGC = 100.0
DRY_MOL_PER_MOL = 1e-3  # less water than this is a pure substance
WARM_K = 10.0  # a rise from which slow addition and cooling are advised: common practice, no source
LITTLE_WATER_MOL = 20.0  # per mole; a lye with less still gives off heat when diluted: common practice, no source


@dataclass(frozen=True, slots=True)
class HeatPortion:
    """One of the liquids or solids that are put together.

    Fields:
        mass_g: of it [g].
        mass_percent: of the anhydrous substance in it [% w/w].
        temperature_degC: before [°C].
    """

    mass_g: float
    mass_percent: float
    temperature_degC: float = 20.0


@dataclass(frozen=True, slots=True)
class Warming:
    """How warm it gets, at most.

    Fields:
        heat_kJ: given off; negative when it grows cold [kJ].
        rise_K: over the mean temperature of the portions [K].
        final_degC: of the solution [°C].
        sources: of the figures that it rests on.
        recalled: whether any of these was recalled, not read in its source.
        water_only: whether the heat capacity is that of the water alone.
        beyond_table: whether a heat of dilution was carried beyond the strongest solution of its table.
    """

    heat_kJ: float
    rise_K: float
    final_degC: float
    sources: tuple[str, ...]
    recalled: bool
    water_only: bool
    beyond_table: bool = False

    @property
    def at_most_degC(self) -> int:
        """The temperature in whole degrees, never rounded towards the one it had before [°C]."""
        return math.ceil(self.final_degC - 1e-6) if self.rise_K >= 0 else math.floor(self.final_degC + 1e-6)

    @property
    def boils(self) -> bool:
        """Whether the solution would reach the boiling point of water."""
        return self.final_degC >= BOILING_DEGC

    @property
    def notable(self) -> bool:
        """Whether it warms so much that slow addition with cooling is advised."""
        return self.rise_K >= WARM_K


def warming(solute: Solute, portions: Sequence[HeatPortion]) -> Warming | None:
    """Return how warm portions of one substance and water get when put together.

    Q = sum(n_i L_i) - n L(mixture), rise = Q/(m c_p), with L the heat of dilution without end. Beyond the strongest
    solution of a table L follows the slope of its last two rows, against moles of water and against their logarithm:
    the hotter of the two is returned.

    Arguments:
        solute: the substance; a hydrate's own heat of solution is not held.
        portions: all that is put together, water included [g, % w/w, °C].

    Returns: the estimate; none where no heat of dilution is held, or the substance is a hydrate

    Source: heats after Parker and NBS Circular 500, heat capacities after Perry; see the tables.

    Example: a mole of caustic soda in a litre of water

    >>> from assaywright.chemistry.solute import find_solute
    >>> round(warming(find_solute("NaOH"), [HeatPortion(40.0, 100.0), HeatPortion(1000.0, 0.0)]).rise_K, 1)
    10.6
    """
    held = heats_of_dilution(solute.name)
    amount_g = sum(one.mass_g * one.mass_percent / 100 for one in portions)
    if not held or solute.is_hydrate or not amount_g > 0:
        return None
    found = [one for along in (float, math.log) if (one := _warming(solute, held, portions, along)) is not None]
    return max(found, key=lambda one: one.heat_kJ, default=None)


def _warming(
    solute: Solute, held: Sequence[HeatOfDilution], portions: Sequence[HeatPortion], along: Callable[[float], float]
) -> Warming | None:
    """Return how warm it gets with heats carried beyond the table against a function of the moles of water."""
    molar_g = molar_mass(solute.formula).value
    mass_g = sum(one.mass_g for one in portions)
    amount_g = sum(one.mass_g * one.mass_percent / 100 for one in portions)
    final_percent = 100 * amount_g / mass_g
    if any(_unknown_lye(solute.name, held, one.mass_percent, molar_g) for one in portions if one.mass_percent > 0):
        return None
    before = [(one.mass_g * one.mass_percent / 100 / molar_g, _heat(held, one.mass_percent, molar_g, along))
              for one in portions if one.mass_percent > 0]
    after = _heat(held, final_percent, molar_g, along)
    found = [heat for _, heat in before if heat is not None]
    if after is None or len(found) < len(before):
        return None
    heat_kJ = sum(n_mol * heat.kJ_per_mol for n_mol, heat in before if heat) - amount_g / molar_g * after.kJ_per_mol
    rows = [row for heat in (*found, after) for row in heat.rows]
    capacity, source, recalled = _capacity(solute.name, final_percent)
    rise_K = 1000 * heat_kJ / (mass_g * capacity)
    start = _mean_temperature(solute.name, portions)
    used = tuple(dict.fromkeys([*(one.source for one in rows), *([source] if source else [])]))
    return Warming(heat_kJ, rise_K, start + rise_K, used,
                   recalled or any(one.status != "read" for one in rows), not source,
                   any(heat.beyond for heat in (*found, after)))


def _water_mol(mass_percent: float, molar_g: float) -> float:
    """Return the moles of water for a mole of the substance."""
    return (100 - mass_percent) / WATER_G_PER_MOL / (mass_percent / molar_g)


def _unknown_lye(name: str, held: Sequence[HeatOfDilution], mass_percent: float, molar_g: float) -> bool:
    """Return whether a portion is a strong lye whose solutions have no heat of dilution in the table."""
    if any(one.moles_of_water > 0 for one in held):
        return False
    try:
        groups = substance(name).groups
    except Refusal:
        return False
    return "strong alkali" in groups and DRY_MOL_PER_MOL <= _water_mol(mass_percent, molar_g) < LITTLE_WATER_MOL


def _mean_temperature(name: str, portions: Sequence[HeatPortion]) -> float:
    weights = [one.mass_g * _capacity(name, one.mass_percent)[0] for one in portions]
    return sum(w * one.temperature_degC for w, one in zip(weights, portions, strict=True)) / (sum(weights) or 1.0)


@dataclass(frozen=True, slots=True)
class _Heat:
    """A heat of dilution [kJ/mol], the rows it rests on, and whether it lies beyond them."""

    kJ_per_mol: float
    rows: tuple[HeatOfDilution, ...] = ()
    beyond: bool = False


def _of(row: HeatOfDilution, share: float = 1.0) -> _Heat:
    return _Heat(share * row.heat_kJ_per_mol, (row,))


def _heat(
    held: Sequence[HeatOfDilution], mass_percent: float, molar_g: float, along: Callable[[float], float]
) -> _Heat | None:
    """Return the heat of dilution at a mass per cent, straight between rows against moles of water per mole.

    Beyond the last row it falls off as one over the moles of water. Between a pure solid and the first solution nothing
    is interpolated; between a pure liquid and the first solution, up to one mole of water, it is. Before the first
    solution, down to half its water, the slope of the first two goes on, against a function of the moles of water.
    """
    water = _water_mol(mass_percent, molar_g)
    rows = [one for one in held if one.moles_of_water > 0]
    pure = [one for one in held if one.moles_of_water == 0]
    if water < DRY_MOL_PER_MOL:
        return _of(pure[0]) if pure else None
    if not rows:
        return _Heat(0.0)
    first, last = rows[0], rows[-1]
    if water < first.moles_of_water and first.moles_of_water > 1:
        return _beyond(rows, water, along) if water > first.moles_of_water / 2 else None
    if water < first.moles_of_water:
        if not pure:
            return None
        rows = [*pure, *rows]
    if water >= last.moles_of_water:
        return _of(last, last.moles_of_water / water)
    return _between(rows, water)


def _beyond(rows: Sequence[HeatOfDilution], water: float, along: Callable[[float], float]) -> _Heat | None:
    """Return the heat of dilution of a solution stronger than the first row, on the slope of the first two."""
    if len(rows) < 2:
        return None
    first, second = rows[:2]
    steps = (along(first.moles_of_water) - along(water)) / (along(second.moles_of_water) - along(first.moles_of_water))
    more = steps * (first.heat_kJ_per_mol - second.heat_kJ_per_mol)
    return _Heat(first.heat_kJ_per_mol + more, (first, second), beyond=True)


def _between(rows: Sequence[HeatOfDilution], water: float) -> _Heat:
    """Return the heat of dilution straight between the two rows around so many moles of water per mole."""
    low, high = next(pair for pair in pairwise(rows) if water <= pair[1].moles_of_water)
    share = (water - low.moles_of_water) / (high.moles_of_water - low.moles_of_water)
    return _Heat(low.heat_kJ_per_mol + share * (high.heat_kJ_per_mol - low.heat_kJ_per_mol), (low, high))


def _capacity(name: str, mass_percent: float) -> tuple[float, str, bool]:
    """Return heat capacity [J/(g K)], its source (empty for water alone) and whether a row it rests on was recalled.

    Straight between rows; beyond the last row its value is held.
    """
    rows = heat_capacities(name)
    if not rows:
        return max(WATER_J_PER_G_K * (1 - mass_percent / 100), 1.0), "", False
    water = HeatCapacity(0.0, WATER_J_PER_G_K, rows[0].source, "read")
    for low, high in pairwise((water, *rows)):
        if low.mass_percent <= mass_percent <= high.mass_percent:
            share = (mass_percent - low.mass_percent) / (high.mass_percent - low.mass_percent)
            value = low.value_J_per_g_K + share * (high.value_J_per_g_K - low.value_J_per_g_K)
            return value, high.source, "recalled" in (low.status, high.status)
    return rows[-1].value_J_per_g_K, rows[-1].source, rows[-1].status == "recalled"
