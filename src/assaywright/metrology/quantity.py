"""A quantity as a person typed it: number, unit, stated uncertainty, and the very text."""

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from assaywright.metrology.units import exact_conversion


@dataclass(frozen=True, slots=True)
class StatedUncertainty:
    """The uncertainty that stands behind the plus-minus sign, with what it means.

    Fields:
        amount: the figure after the sign, in the quantity's own unit; above zero.
        form: "standard", "expanded" (with ``coverage_factor``), "rectangular" or "triangular" (half width).
        coverage_factor: k, for the form "expanded" only.
        degrees_of_freedom: infinite when not stated.
    """

    amount: Decimal
    form: str
    coverage_factor: Decimal | None = None
    degrees_of_freedom: float = float("inf")

    @property
    def standard_uncertainty(self) -> float:
        """Standard uncertainty [unit of the quantity] (JCGM 100:2008, 4.3.3, 4.3.7 and 4.3.9)."""
        if self.form == "standard":
            return float(self.amount)
        if self.form == "expanded" and self.coverage_factor is not None:
            return float(self.amount) / float(self.coverage_factor)
        return float(self.amount) / math.sqrt({"rectangular": 3, "triangular": 6}[self.form])

    @property
    def distribution(self) -> str:
        """Distribution that the form implies."""
        return self.form if self.form in ("rectangular", "triangular") else "normal"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit, kept as typed.

    Fields:
        value: the number, exactly as typed.
        unit: canonical unit symbol, see ``metrology/units.py``.
        text: the text as typed, for the record and for resolution ("24.50" and "24.5" say different things).
        uncertainty: what was stated after the plus-minus sign, if anything.
    """

    value: Decimal
    unit: str
    text: str
    uncertainty: StatedUncertainty | None = None

    @property
    def resolution(self) -> float:
        """Size of one unit in the last typed decimal place [unit]."""
        exponent = self.value.as_tuple().exponent
        return 10.0 ** exponent if isinstance(exponent, int) else float("nan")

    def to(self, unit: str) -> float:
        """Return the number in another unit of the same kind, rounded once to a float.

        Raises:
            Refusal: the units are of different kinds.
        """
        if unit == self.unit:
            return float(self.value)
        factor, offset = exact_conversion(self.unit, unit)
        return float(Fraction(self.value) * factor + offset)

    def uncertainty_in(self, unit: str) -> float:
        """Return the stated standard uncertainty in another unit of the same kind; zero when none was stated.

        Raises:
            Refusal: the units are of different kinds.
        """
        if self.uncertainty is None:
            return 0.0
        factor, _ = exact_conversion(self.unit, unit)
        return self.uncertainty.standard_uncertainty * float(factor)
