"""How warm it gets while one liquid is added to another: the hottest moment is seldom the last one.

The first portion stands in the vessel, the others are added one after the other. Where part of the water comes last,
the mixture before it is stronger and hotter than the finished solution; where water meets strong acid, the layer in
which they meet passes through every proportion.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from assaywright.chemistry.heat import HeatPortion, Warming, warming
from assaywright.chemistry.solute import Solute

PARTS = 20  # of each portion as it is added; the curve of temperature against what is added is smooth
PROPORTIONS = 99  # per cent by mass, from 1 to 99


def warmest_while_adding(solute: Solute, portions: Sequence[HeatPortion]) -> Warming | None:
    """Return how warm it gets at the hottest moment, each portion added to all before it; the coldest where it cools.

    Arguments:
        solute: the substance.
        portions: in the order in which they are put together [g, % w/w, °C].

    Returns: the estimate at that moment; none where it cannot be made at the end or on the way

    Source: heat balance of :func:`assaywright.chemistry.heat.warming` at each moment.

    Example: 510 g of sulfuric acid of 96 % into 500 g of water, and 290 g of water afterwards

    >>> from assaywright.chemistry.solute import find_solute
    >>> acid, water = HeatPortion(510.0, 96.0), HeatPortion(1.0, 0.0)
    >>> poured = [replace(water, mass_g=500.0), acid, replace(water, mass_g=290.0)]
    >>> warmest_while_adding(find_solute("H2SO4"), poured).rise_K > warming(find_solute("H2SO4"), poured).rise_K + 20
    True
    """
    last = warming(solute, portions)
    if last is None:
        return None
    found = [one for one in (warming(solute, moment) for moment in _moments(portions)) if one is not None]
    if last.heat_kJ < 0:
        return min((*found, last), key=lambda one: one.final_degC)
    return max((*found, last), key=lambda one: one.final_degC)


def warmest_where_they_meet(solute: Solute, first: HeatPortion, second: HeatPortion) -> Warming | None:
    """Return how warm two liquids get in the hottest proportion, whatever their masses.

    So warm grows the layer in which a diluent meets a strong acid before the stirrer has parted it.

    Arguments:
        solute: the substance.
        first, second: the two; their masses do not count [% w/w, °C].

    Returns: the estimate in that proportion, for 100 g; none where no heat of dilution is held

    Source: heat balance of :func:`assaywright.chemistry.heat.warming` in each proportion.

    Example: water on sulfuric acid of 96 % boils, whatever the amount

    >>> from assaywright.chemistry.solute import find_solute
    >>> warmest_where_they_meet(find_solute("H2SO4"), HeatPortion(5e6, 96.0), HeatPortion(1.0, 0.0)).boils
    True
    """
    found = [warming(solute, (replace(first, mass_g=float(share)), replace(second, mass_g=100.0 - share)))
             for share in range(1, PROPORTIONS + 1)]
    return max((one for one in found if one is not None), key=lambda one: one.final_degC, default=None)


def _moments(portions: Sequence[HeatPortion]) -> Iterator[list[HeatPortion]]:
    for number in range(1, len(portions)):
        for part in range(1, PARTS + 1):
            yield [*portions[:number], replace(portions[number], mass_g=portions[number].mass_g * part / PARTS)]
