"""Which law of thermal expansion a solution follows, and the ratio of its densities at two temperatures."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from assaywright.chemistry.solution import thermal_ratio
from assaywright.metrology.estimate import Estimate, combine, influence, influence_key
from assaywright.metrology.quantity import Quantity


@dataclass(frozen=True, slots=True)
class ThermalLaw:
    """A law of thermal expansion as named, or densities measured on the very solution.

    Fields:
        law: a column of the correction table, "water", or a coefficient per kelvin ("0.0011 /K"); empty when unknown.
        densities: pairs (temperature [°C], density [g/mL]), taking the place of ``law``.
    """

    law: str
    densities: tuple[tuple[float, float], ...] = ()

    @property
    def known(self) -> bool:
        """Whether there is any law."""
        return bool(self.law or self.densities)


@dataclass(frozen=True, slots=True)
class DensityRatio:
    """rho(t)/rho(t_c): its value [1], its slope [1/K], what the law leaves open, its source, and any doubt about it.

    ``error`` is an estimate of zero [1] with the contributions of the law under their permanent keys.
    """

    ratio: float
    slope_per_K: float
    error: Estimate
    source: str
    doubt: str = ""


UNKNOWN_OF_WATER = 2.0  # what an aqueous solution may expand, in terms of water: common practice, no source


def without_law(temperature_degC: float, reference_degC: float, of: str) -> DensityRatio:
    """Return a ratio of one for a liquid of unknown expansion, open by twice what water expands to that temperature.

    Whoever leaves the temperature out knows less than who states it: then the end of the assumed range is asked about.

    Arguments:
        temperature_degC: of use, or the end of the range that is assumed for it [°C].
        reference_degC: of the content [°C].
        of: the worksheet and the liquid, by which the influence is known.

    Raises:
        Refusal: a temperature at which water is no liquid that its law describes.
    """
    water = density_ratio(ThermalLaw("water"), temperature_degC, reference_degC).ratio
    half_width = UNKNOWN_OF_WATER * abs(water - 1.0)
    if half_width == 0.0:
        return DensityRatio(1.0, 0.0, Estimate(0.0, "1"), "no law known")
    key = influence_key("expansion", of, "no law", "ratio")
    error = influence(key, 0.0, half_width / math.sqrt(3.0), "1", distribution="rectangular",
                      label="thermal expansion not known")
    return DensityRatio(1.0, 0.0, error, "no law known")


def measured(densities: Sequence[tuple[Quantity, Quantity]]) -> tuple[tuple[float, float], ...]:
    """Return measured densities in °C and g/mL, by rising temperature."""
    return tuple(sorted((t.to("°C"), d.to("g/mL")) for t, d in densities))


def density_ratio(law: ThermalLaw, temperature_degC: float, reference_degC: float) -> DensityRatio:
    """Return the ratio of a solution's densities at the temperature of use and at the content's reference temperature.

    The ratio is referred to 20 °C at both ends, as the tables are.

    Arguments:
        temperature_degC: of use [°C].
        reference_degC: of the content [°C].

    Raises:
        Refusal: a temperature outside the law's range.

    Source: as the law names it.
    """
    name = law.densities or law.law
    here, there = thermal_ratio(name, temperature_degC), thermal_ratio(name, reference_degC)
    ratio = here.ratio / there.ratio
    open_part = combine("1", ((1.0 / there.ratio, here.estimate), (-ratio / there.ratio, there.estimate)))
    parts = tuple(part for part in open_part.contributions if part.amount != 0)
    return DensityRatio(ratio, here.slope_per_K / there.ratio, Estimate(0.0, "1", parts), here.source, here.doubt)
