"""The density of one solute's solutions at one temperature as a function of the mass per cent, with its doubts."""

from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise

from assaywright.chemistry.density_law import (
    FARTHEST_DEGC,
    NEAREST_DEGC,
    solution_density_laliberte_cooper2004,
)
from assaywright.chemistry.formula import parse_formula
from assaywright.chemistry.local_cubic import lagrange_weights, local_cubic
from assaywright.chemistry.solute import Solute
from assaywright.chemistry.water import water_density_tanaka2001
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Contribution, Estimate, combine, influence_key
from assaywright.metrology.model import PlainMeans
from assaywright.metrology.refusal import Refusal
from assaywright.reference.densities import DensityLaw, DensityTable, density_laws, density_tables

FEWEST_TEMPERATURES = 3
LAW_RELATIVE = 0.01  # share of the difference from water: what the law misses measured tables of salts by
LAW_LEAST_G_PER_ML = 0.0001
SHARE_OF_CURVATURE = 0.25  # of the quadratic's distance from a straight line, as bound of what it misses itself
STEP_PERCENT = 1e-4


@dataclass(frozen=True, slots=True)
class DensityPoint:
    """The density at one mass per cent.

    Fields:
        estimate: density with everything that is doubtful about it at that mass per cent [g/mL].
        slope: its derivative by the mass per cent [g/mL per % w/w].
    """

    estimate: Estimate
    slope: float


@dataclass(frozen=True, slots=True)
class DensityCurve:
    """Density against mass per cent, from measured tables or from a law.

    Fields:
        solute: what is dissolved; the mass per cent counts it as weighed.
        temperature_degC: of the solution [°C].
        tables: measured, of one source: the one at that temperature, or those to interpolate between.
        law: coefficients, where no table is held.
    """

    solute: Solute
    temperature_degC: float
    tables: tuple[DensityTable, ...]
    law: DensityLaw | None = None

    @property
    def greatest_percent(self) -> float:
        """The greatest mass per cent of the solute as weighed that is covered."""
        if self.law is not None:
            return self.law.greatest_mass_percent / self.solute.anhydrous_share
        return min(one.greatest_percent for one in self.tables) / self.solute.anhydrous_share

    @property
    def source(self) -> str:
        """Who measured or published."""
        if self.law is not None:
            return self.law.source
        return "; ".join(dict.fromkeys(one.source for one in self.tables))

    @property
    def note(self) -> str:
        """What to know about its trueness."""
        return "" if self.law is not None else "; ".join(dict.fromkeys(one.note for one in self.tables))

    @property
    def method(self) -> str:
        """How a value comes about, in words."""
        if self.law is not None:
            return "law of Laliberté and Cooper 2004"
        across = "cubic through the four nearest rows of the table"
        if len(self.tables) == 1:
            return f"{across} at {self.temperature_degC:g} °C"
        degrees = ", ".join(f"{one.temperature_degC:g}" for one in self.tables)
        return f"{across}; difference from water quadratic between {degrees} °C"

    @property
    def status(self) -> str:
        """Read, or recalled where some of the rows are."""
        recalled = any(row.status != "read" for one in self.tables for row in one.rows)
        return "some rows recalled" if recalled else "read"

    def point(self, mass_percent: float) -> DensityPoint:
        """Return the density at a mass per cent of the solute as weighed.

        Raises:
            Refusal: outside the table, or outside the range of the law: nothing is extrapolated.
        """
        if not 0 <= mass_percent <= self.greatest_percent * (1 + 1e-12):
            asked = f"{mass_percent:.5g} % w/w of {self.solute.name} at {self.temperature_degC:g} °C"
            raise Refusal(f"{asked} lies beyond the {self.greatest_percent:.4g} % w/w up to which densities are held",
                          where="density", remedy="give the density measured on the solution")
        share = self.solute.anhydrous_share
        counted = mass_percent * share
        point = self._by_law(counted) if self.law is not None else self._by_tables(counted)
        return DensityPoint(point.estimate, point.slope * share)

    def _by_tables(self, percent: float) -> DensityPoint:
        degrees = [one.temperature_degC for one in self.tables]
        weights = lagrange_weights(degrees, self.temperature_degC)
        points = [_in_table(one, min(percent, one.greatest_percent)) for one in self.tables]
        density = combine("g/mL", zip(weights, (one.estimate for one in points), strict=True))
        water = [water_density_tanaka2001(degree) / 1000 for degree in degrees]
        at_rest = water_density_tanaka2001(self.temperature_degC) / 1000
        value = density.value + at_rest - sum(w * rho for w, rho in zip(weights, water, strict=True))
        parts = density.contributions + self._between_temperatures(degrees, points, water, value - at_rest)
        slope = sum(weight * one.slope for weight, one in zip(weights, points, strict=True))
        return DensityPoint(Estimate(value, "g/mL", tuple(part for part in parts if part.amount)), slope)

    def _between_temperatures(
        self, degrees: list[float], points: list[DensityPoint], water: list[float], above_water: float
    ) -> tuple[Contribution, ...]:
        """Return what interpolation between the temperatures leaves open."""
        excess = [one.estimate.value - rho for one, rho in zip(points, water, strict=True)]
        for (low, first), (high, second) in pairwise(zip(degrees, excess, strict=True)):
            if low < self.temperature_degC < high:
                straight = first + (second - first) * (self.temperature_degC - low) / (high - low)
                half_width = SHARE_OF_CURVATURE * abs(above_water - straight)
                return (_part(self.solute.name, f"{low:g} to {high:g} °C", "interpolation by temperature", half_width),)
        return ()

    def _by_law(self, percent: float) -> DensityPoint:
        law = Refusal.unless(self.law, "there is no law", where="density")

        def at(w: float) -> float:
            return float(solution_density_laliberte_cooper2004(law, w, self.temperature_degC, PlainMeans()))

        value = at(percent)
        slope = (at(percent + STEP_PERCENT) - at(percent - STEP_PERCENT)) / (2 * STEP_PERCENT)
        above_water = abs(value - water_density_tanaka2001(self.temperature_degC) / 1000)
        key = influence_key("solution density", law.formula, "Laliberté and Cooper 2004", "trueness")
        amount = LAW_RELATIVE * above_water + LAW_LEAST_G_PER_ML
        part = Contribution(key, amount, label="trueness of the law of density")
        return DensityPoint(Estimate(value, "g/mL", (part,)), slope)


def density_curve(solute: Solute, temperature_degC: float) -> DensityCurve:
    """Return the densities held for a solute at a temperature.

    A table measured at that very temperature is preferred; else three or more tables of one source enclose it; else,
    near 20 °C only, the law of Laliberté and Cooper.

    Arguments:
        solute: what is dissolved.
        temperature_degC: of the solution [°C].

    Raises:
        Refusal: nothing is held; the sentence says what is.
    """
    groups = _groups(solute)
    for tables in groups.values():
        for one in tables:
            if one.temperature_degC == temperature_degC:
                return DensityCurve(solute, temperature_degC, (one,))
    for tables in groups.values():
        if covers(tables, temperature_degC):
            return DensityCurve(solute, temperature_degC, tables)
    law = None if groups else _law(solute)
    if law is not None and NEAREST_DEGC <= temperature_degC <= FARTHEST_DEGC:
        return DensityCurve(solute, temperature_degC, (), law)
    raise _nothing_held(solute, temperature_degC, groups, law)


def curves_of_one_source(solute: Solute, first_degC: float, second_degC: float) -> tuple[DensityCurve, DensityCurve]:
    """Return the curves at two temperatures from the same source, so that its trueness cancels.

    Arguments:
        solute: what is dissolved.
        first_degC, second_degC: the temperatures [°C].

    Raises:
        Refusal: no source measured at both; a law is never used for that.
    """
    groups = _groups(solute)
    for tables in groups.values():
        if covers(tables, first_degC) and covers(tables, second_degC):
            first, second = (
                tuple(one for one in tables if one.temperature_degC == degree) or tables
                for degree in (first_degC, second_degC)
            )
            return DensityCurve(solute, first_degC, first), DensityCurve(solute, second_degC, second)
    away = second_degC if first_degC == 20 else first_degC
    raise _nothing_held(solute, away, groups, None)


def covers(tables: tuple[DensityTable, ...], temperature_degC: float) -> bool:
    """Whether tables of one source hold a temperature or enclose it closely enough [°C]."""
    degrees = [one.temperature_degC for one in tables]
    within = len(degrees) >= FEWEST_TEMPERATURES and degrees[0] <= temperature_degC <= degrees[-1]
    return within or temperature_degC in degrees


def _groups(solute: Solute) -> dict[str, tuple[DensityTable, ...]]:
    """Return the tables of a solute by their source, each in the order of temperature."""
    found = defaultdict(list)
    for one in density_tables():
        if solute.is_the_one(one.substance, one.formula):
            found[one.source].append(one)
    return {source: tuple(sorted(tables, key=lambda one: one.temperature_degC)) for source, tables in found.items()}


def _law(solute: Solute) -> DensityLaw | None:
    return next((law for formula, law in density_laws().items()
                 if solute.anhydrous.is_same_entity(parse_formula(formula))), None)


def _nothing_held(
    solute: Solute, temperature_degC: float, groups: dict[str, tuple[DensityTable, ...]], law: DensityLaw | None
) -> Refusal:
    held = sorted({one.temperature_degC for tables in groups.values() for one in tables})
    if held:
        known = f"measured ones are held at {', '.join(f'{degree:g}' for degree in held)} °C"
    elif law is not None:
        known = f"only the law of Laliberté and Cooper 2004 near 20 °C, {NEAREST_DEGC:g} to {FARTHEST_DEGC:g} °C"
    else:
        known = f"tables are held of {', '.join(dict.fromkeys(one.substance for one in density_tables()))}"
    return Refusal(f"no densities of solutions of {solute.name} at {temperature_degC:g} °C are held; {known}",
                   where="density", remedy="give the density measured on the solution")


def _in_table(table: DensityTable, percent: float) -> DensityPoint:
    """Return the density in one table, water being its first row."""
    water = water_density_tanaka2001(table.temperature_degC) / 1000
    abscissae = (0.0, *(row.mass_percent for row in table.rows))
    densities = (water, *(row.density_g_per_mL for row in table.rows))
    made = local_cubic(abscissae, percent)
    value = sum(weight * densities[k] for k, weight in zip(made.rows, made.weights, strict=True))
    slope = sum(weight * densities[k] for k, weight in zip(made.rows, made.slopes, strict=True))
    parabola = sum(weight * densities[k] for k, weight in zip(made.rows, made.parabola, strict=True))
    parts = []
    trueness = 0.0
    for k, weight in zip(made.rows, made.weights, strict=True):
        if k == 0 or not weight:
            continue
        row = table.rows[k - 1]
        trueness += weight * row.allowance_g_per_mL
        parts.append(_part(table.key, f"{row.mass_percent:g} %", "rounding of the print",
                           weight * row.half_width_g_per_mL))
    parts.append(_part(table.substance, table.source, "trueness of the table of densities", trueness))
    span = f"{abscissae[made.rows[0]]:g} to {abscissae[made.rows[-1]]:g} %"
    parts.append(_part(table.key, span, "interpolation in the table of densities", abs(value - parabola)))
    return DensityPoint(Estimate(value, "g/mL", tuple(part for part in parts if part.amount)), slope)


def _part(identity: str, edition: str, effect: str, half_width: float) -> Contribution:
    amount = standard_uncertainty_of_half_width(abs(half_width))
    key = influence_key("solution density", identity, edition, effect)
    return Contribution(key, amount if half_width >= 0 else -amount, distribution="rectangular",
                        label=f"{effect}: {identity}, {edition}" if "rounding" in effect else effect)
