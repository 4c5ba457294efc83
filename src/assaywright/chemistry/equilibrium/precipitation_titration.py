"""Titration by precipitation: curve by mass balance, halides one after another."""

from dataclasses import dataclass, field

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array, Number
from assaywright.chemistry.equilibrium.components import Conditions, Solution, mix
from assaywright.chemistry.equilibrium.precipitation import Ion, PrecipitationState, Salt, solve_precipitation
from assaywright.chemistry.equilibrium.titration import EquivalencePoint, Points, in_order
from assaywright.metrology.refusal import Refusal


@dataclass(frozen=True, slots=True)
class PrecipitationTitration:
    """Ions titrated with an ion that precipitates them.

    Fields:
        analyte: its ions; those without a salt bring ionic strength only.
        analyte_volume_mL: its volume before titrating [mL].
        titrant: its ions.
        salts: that may form.
        common: name of the ion that is in all salts ("Ag+").
        ion: name of the ion whose p-value is followed.
        conditions: temperature and activities.
    """

    analyte: Solution[Ion]
    analyte_volume_mL: Number
    titrant: Solution[Ion]
    salts: tuple[Salt, ...]
    common: str
    ion: str
    conditions: Conditions = field(default_factory=Conditions)

    def __post_init__(self) -> None:
        named = {one.name for one in self.analyte.components + self.titrant.components}
        taking_part = {self.common} | {salt.counter_ion for salt in self.salts}
        if self.ion not in named & taking_part:
            raise Refusal(f"the ion '{self.ion}' takes no part", where="precipitation titration",
                          remedy=f"follow one of {', '.join(sorted(named & taking_part))}")

    @property
    def quantity(self) -> str:
        """The pX, or the pM of the metal."""
        return "pX"

    @property
    def followed(self) -> str:
        """The ion followed."""
        return self.ion

    @property
    def temperature_degC(self) -> float:
        """Temperature of the titrated solution [°C]."""
        return self.conditions.temperature_degC

    def state(self, volume_mL: Array) -> PrecipitationState:
        """Return the whole equilibrium after adding these volumes of titrant.

        Arguments:
            volume_mL: of titrant [mL].
        """
        mixture = mix((self.analyte, self.analyte_volume_mL), (self.titrant, volume_mL))
        return solve_precipitation(tuple(mixture), self.salts, self.common, self.conditions)

    def points(self, volume_mL: Array) -> Points:
        """Return the p-value, and of each counter-ion the fractions dissolved and precipitated.

        Arguments:
            volume_mL: of titrant [mL].
        """
        mixture = mix((self.analyte, self.analyte_volume_mL), (self.titrant, volume_mL))
        state = solve_precipitation(tuple(mixture), self.salts, self.common, self.conditions)
        fractions = {}
        for name, dissolved in state.dissolved.items():
            with np.errstate(divide="ignore", invalid="ignore"):
                left = np.where(mixture.total(name) > 0, dissolved / mixture.total(name), np.nan)
            fractions[name] = (left, 1.0 - left)
        with np.errstate(divide="ignore"):
            values = -np.log10(state.free[self.ion])
        return Points(values, fractions, state.ionic_strength_mol_per_L, state.beyond_limit, state.relative_residual)

    def equivalence_points(self) -> tuple[EquivalencePoint, ...]:
        """Return every volume at which the common ion equals the counter-ions that precipitate first, one by one.

        C_M,a V0 + C_M,t V = sum( a/b (c_a V0 + c_t V) ) over the first k salts, in the order in which they form
        """
        found = []
        above, below = -self.analyte.total(self.common), self.titrant.total(self.common)
        for salt in sorted(self.salts, key=self._begins):
            ratio = salt.common_count / salt.counter_count
            above = above + ratio * self.analyte.total(salt.counter_ion)
            below = below - ratio * self.titrant.total(salt.counter_ion)
            with np.errstate(divide="ignore", invalid="ignore"):
                found.append(EquivalencePoint(np.asarray(above * self.analyte_volume_mL / below), salt.counter_ion))
        return in_order(found)

    def _begins(self, salt: Salt) -> float:
        """Return lg of the common ion at which a salt begins to form, activities left aside."""
        there = np.maximum(self.analyte.total(salt.counter_ion), self.titrant.total(salt.counter_ion))
        lg_counter = np.log10(np.maximum(there, 1e-300))
        return float(np.mean((-np.asarray(salt.pKsp) - salt.counter_count * lg_counter) / salt.common_count))
