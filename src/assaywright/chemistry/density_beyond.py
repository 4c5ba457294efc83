"""The density between the last row of a table and the saturated solution: extrapolated, with a doubt that grows."""

from dataclasses import dataclass

from assaywright.chemistry.density_curve import DensityCurve, density_curve
from assaywright.chemistry.solute import Solute, greatest_dissolved_percent
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Contribution, Estimate, combine, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.densities import density_tables

G_PER_L_PER_PERCENT = 10.0
CHORD_FROM = 0.75  # of the last mass per cent: the chord from there does not follow the scatter of the last rows
SHARE_OF_THE_RISE = 0.1


@dataclass(frozen=True, slots=True)
class Beyond:
    """Solutions of one solute beyond its table of densities, up to saturation.

    Fields:
        curve: the table.
        greatest_percent: of the saturated solution, 5 % of itself added; counts the solute as weighed [% w/w].
    """

    curve: DensityCurve
    greatest_percent: float

    @property
    def greatest_g_per_L(self) -> float:
        """What a litre of that solution holds [g/L]."""
        return G_PER_L_PER_PERCENT * self.greatest_percent * self._value(self.greatest_percent)

    def density(self, mass_percent: float) -> Estimate:
        """Return the density beyond the last row.

        1/rho = 1/rho_e + (w - w_e) d(1/rho)/dw: the specific volume goes on along its tangent, for it depends on the
        mass per cent almost linearly.

        Arguments:
            mass_percent: w, from the last row w_e to ``greatest_percent`` [% w/w].

        Returns: density [g/mL]; its doubt is that of the last row, and as rectangular half width the distances from
            what the density's own tangent and the chord over the last quarter give, with a tenth of the rise.

        Source: the form is that of ideal mixing; the bounds are our own, tried on tables cut short.
        """
        end = self.curve.point(self.curve.greatest_percent)
        value = self._value(mass_percent)
        away = mass_percent - self.curve.greatest_percent
        straight = end.estimate.value + end.slope * away
        half_width = (abs(value - straight) + abs(self._by_chord(mass_percent) - value)
                      + SHARE_OF_THE_RISE * abs(value - end.estimate.value))
        key = influence_key("solution density", self.curve.solute.name, self.curve.source, "beyond the table")
        part = Contribution(key, standard_uncertainty_of_half_width(half_width), distribution="rectangular",
                            label="density beyond the last row of the table")
        carried = combine("g/mL", ((value / end.estimate.value, end.estimate),)).contributions
        return Estimate(value, "g/mL", (*carried, part))

    def mass_percent(self, mass_concentration_g_per_L: float) -> float:
        """Return the mass per cent of a solution that holds so much in a litre, beyond the last row [% w/w].

        w = gamma (v_e - s w_e)/(10 - gamma s), from gamma = 10 w/(v_e + s (w - w_e)).
        """
        volume, slope = self._tangent()
        at_none = volume - slope * self.curve.greatest_percent
        return mass_concentration_g_per_L * at_none / (G_PER_L_PER_PERCENT - mass_concentration_g_per_L * slope)

    def _value(self, mass_percent: float) -> float:
        volume, slope = self._tangent()
        return 1 / (volume + slope * (mass_percent - self.curve.greatest_percent))

    def _by_chord(self, mass_percent: float) -> float:
        """Return the density that the chord of the specific volume over the last quarter of the table gives [g/mL]."""
        top = self.curve.greatest_percent
        volume, _ = self._tangent()
        earlier = 1 / self.curve.point(CHORD_FROM * top).estimate.value
        return 1 / (volume + (volume - earlier) / ((1 - CHORD_FROM) * top) * (mass_percent - top))

    def _tangent(self) -> tuple[float, float]:
        """Return specific volume [mL/g] and its slope [mL/g per % w/w] at the last row."""
        end = self.curve.point(self.curve.greatest_percent)
        return 1 / end.estimate.value, -end.slope / end.estimate.value**2


def density_beyond(solute: Solute, temperature_degC: float) -> Beyond | None:
    """Return the solutions beyond a table; none where no table or no solubility is held, or the table reaches it.

    None either where a table at another temperature reaches further: the way to an unknown density is then not short.

    Arguments:
        solute: what is dissolved.
        temperature_degC: of the solution; above 25 °C the solubility held says nothing [°C].

    Source: :func:`assaywright.chemistry.density_curve.density_curve`; the solubilities held.

    Example: the table of caustic soda ends at 50 % w/w, and 52.2 % w/w is saturated

    >>> from assaywright.chemistry.solute import find_solute
    >>> round(density_beyond(find_solute("NaOH"), 20.0).greatest_percent / 1.05, 1)
    52.2
    """
    most = greatest_dissolved_percent(solute, temperature_degC)
    try:
        curve = density_curve(solute, temperature_degC)
    except Refusal:
        return None
    if most is None or curve.law is not None or most <= curve.greatest_percent:
        return None
    held = [one.greatest_percent for one in density_tables() if solute.is_the_one(one.substance, one.formula)]
    if max(held) > curve.greatest_percent * solute.anhydrous_share * (1 + 1e-9):
        return None
    return Beyond(curve, most)
