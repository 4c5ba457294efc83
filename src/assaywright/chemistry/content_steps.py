"""The conversion of a content as a chain of multiplications and divisions, each with its line in the working."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from assaywright.chemistry.content_units import SCALES, counts, is_by_volume
from assaywright.metrology.model import Equation, Means

SYMBOLS = {
    ("amount", True): ("c", "amount concentration", "mol/L"),
    ("amount", False): ("k_B", "amount content, per kilogram of solution", "mol/kg"),  # b is the molality, of solvent
    ("equivalents", True): ("c_eq", "concentration of equivalents", "eq/L"),
    ("mass", True): ("γ", "mass concentration", "g/L"),
    ("mass", False): ("w", "mass in a kilogram of solution", "g/kg"),
}
GIVEN, MASS, MASS_AS, GIVEN_PER_MOLE, AS_PER_MOLE, PER_MOLE, DENSITY, RATIO = (
    "given", "M", "M_as", "r_given", "r_as", "z", "rho", "ratio")


@dataclass(frozen=True, slots=True)
class Operation:
    """One line: the value so far times or over an input or a power of ten.

    Fields:
        by: name of the input, or the power of ten.
        times: whether it multiplies; else it divides.
        symbol, label, unit: of the outcome.
        source: of the law applied.
    """

    by: str | float
    times: bool
    symbol: str
    label: str
    unit: str
    source: str = ""


def operations(
    from_unit: str, to_unit: str, *, same_species: bool, given_per_mole: float, as_per_mole: float, warmed: bool
) -> tuple[Operation, ...]:
    """Return the lines that lead from one unit to another.

    Arguments:
        from_unit, to_unit: units of content.
        same_species: whether both are expressed as the same species, so that mass needs no molar mass.
        given_per_mole, as_per_mole: moles of the species given and wanted for a mole of the substance [mol/mol].
        warmed: whether both are by volume, at two temperatures.

    Source: definitions; IUPAC Green Book, 3rd edition, 2.10.
    """
    chain = _Chain(from_unit, to_unit)
    through_amount = not (same_species and counts(from_unit) == counts(to_unit))
    chain.scale(from_unit, into_unit=False)
    if through_amount and counts(from_unit) == "mass":
        chain.apply(MASS, "amount", times=False)
    if through_amount and counts(from_unit) == "equivalents":
        chain.apply(PER_MOLE, "amount", times=False)
    if through_amount and counts(from_unit) != "equivalents" and given_per_mole != 1:
        chain.apply(GIVEN_PER_MOLE, "amount", times=False, of=" of the substance")
    if is_by_volume(from_unit) != is_by_volume(to_unit):
        chain.cross()
    if warmed:
        chain.apply(RATIO, chain.counted, times=True, of=" at the other temperature")
    if through_amount and counts(to_unit) != "equivalents" and as_per_mole != 1:
        chain.apply(AS_PER_MOLE, "amount", times=True, of=" as the species wanted")
    if through_amount and counts(to_unit) == "mass":
        chain.apply(MASS_AS, "mass", times=True)
    if through_amount and counts(to_unit) == "equivalents":
        chain.apply(PER_MOLE, "equivalents", times=True)
    chain.scale(to_unit, into_unit=True)
    return tuple(chain.lines)


def equation_of(lines: tuple[Operation, ...]) -> Equation:
    """Return the measurement model of a chain of lines."""

    def equation(x: Mapping[str, Any], m: Means) -> Any:
        value = x[GIVEN]
        for line in lines:
            factor = x[line.by] if isinstance(line.by, str) else line.by
            value = m.step(line.symbol, line.label, value * factor if line.times else value / factor, line.unit,
                           line.source)
        return value

    return equation


class _Chain:
    """Gathers the lines; each symbol is used once."""

    def __init__(self, from_unit: str, to_unit: str) -> None:
        self.lines: list[Operation] = []
        self.by_volume = is_by_volume(from_unit)
        self.counted = counts(from_unit)
        self.to_unit = to_unit
        self.used: dict[str, int] = {}

    def apply(self, by: str, counted: str, *, times: bool, of: str = "") -> None:
        """Add a line that brings the value to what another unit counts."""
        self.counted = counted
        symbol, label, unit = SYMBOLS[counted, self.by_volume]
        self.lines.append(Operation(by, times, self._unique(symbol), label + of, unit))

    def cross(self) -> None:
        """Add the line through the density."""
        times = not self.by_volume
        self.by_volume = not self.by_volume
        self.apply(DENSITY, self.counted, times=times)

    def scale(self, unit: str, *, into_unit: bool) -> None:
        """Add the power of ten between a unit and its base."""
        scale = SCALES[unit]
        if scale == 1.0:
            return
        symbol, label, base = SYMBOLS[self.counted, self.by_volume]
        times = (scale > 1) == into_unit
        factor = round(scale if scale > 1 else 1 / scale, 9)
        self.lines.append(Operation(factor, times, self._unique(symbol), label, unit if into_unit else base))

    def _unique(self, symbol: str) -> str:
        number = self.used.get(symbol, 0)
        self.used[symbol] = number + 1
        return f"{symbol}_{number}" if number else symbol
