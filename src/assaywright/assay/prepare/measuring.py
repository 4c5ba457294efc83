"""What a balance, pump, gauge or flask can do: its step, and how far the measured amount may be off."""

import math
from dataclasses import dataclass

from assaywright.assay.wording import written_figures
from assaywright.metrology.estimate import Estimate, influence
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.rounding import decimal_of_result, plain
from assaywright.metrology.units import conversion, kind_of

MINIMUM_STEPS = 820  # 2 × 0.41 d / 0.10 %: USP <41>, the least weight when rounding alone makes the scatter


@dataclass(frozen=True, slots=True)
class Measuring:
    """How an amount is measured out.

    Fields:
        readability: smallest step; its unit says whether mass or volume is measured, and in what it is written.
        uncertainty: of one amount, as stated; without it the amount is taken as good to one step either way
            (common practice, no source).
        instrument: identity of balance, pump or gauge; empty when not named.
    """

    readability: Quantity
    uncertainty: Quantity | None = None
    instrument: str = ""

    @property
    def by_volume(self) -> bool:
        """Whether volume is measured, not mass."""
        return kind_of(self.readability.unit) == "volume"

    @property
    def base(self) -> str:
        """Unit of the amounts: g or mL."""
        return "mL" if self.by_volume else "g"

    @property
    def step(self) -> float:
        """The step [g or mL]."""
        return self.readability.to(self.base)

    def rounded(self, amount: float, *, down: bool = False) -> float:
        """Return an amount [g or mL] in whole steps: the nearest, or the next below."""
        steps = amount / self.step
        return (math.floor(steps + 1e-9) if down else math.floor(steps + 0.5)) * self.step

    def error(self, key: str, label: str) -> Estimate:
        """Return what the measuring leaves open, estimate zero [g or mL]."""
        stated = self.uncertainty
        if stated is None or stated.uncertainty is None:
            return influence(key, 0.0, self.step / math.sqrt(3.0), self.base, distribution="rectangular", label=label)
        return influence(key, 0.0, stated.uncertainty_in(self.base), self.base,
                         degrees_of_freedom=stated.uncertainty.degrees_of_freedom,
                         distribution=stated.uncertainty.distribution, label=label)

    def written(self, amount: float) -> str:
        """Return an amount [g or mL] in the unit and with the places of the readability."""
        unit = self.readability.unit
        factor, _ = conversion(self.base, unit)
        places = max(0, -int(self.readability.value.normalize().as_tuple().exponent))
        return f"{plain(round(decimal_of_result(amount * factor), places))} {unit}"


def amount_text(measuring: Measuring, amount: float, figures: int = 3) -> str:
    """Return an amount before rounding to whole steps, in the unit of the readability and in plain figures.

    Arguments:
        measuring: whose unit it is written in.
        amount: [g or mL]
        figures: significant ones.

    Example:
        >>> from assaywright.metrology.typed import read_quantity
        >>> amount_text(Measuring(read_quantity("100 kg")), 49403.1)
        '49.4 kg'
    """
    unit = measuring.readability.unit
    factor, _ = conversion(measuring.base, unit)
    return f"{short_figures(amount * factor, figures)} {unit}"


def short_figures(number: float, figures: int = 4) -> str:
    """Return a number in plain figures, without zeros behind its decimal point that say nothing.

    Arguments:
        number: any.
        figures: significant ones.

    Example:
        >>> short_figures(5000.0, 5), short_figures(0.5)
        ('5000', '0.5')
    """
    written = written_figures(number, figures)
    return written.rstrip("0").rstrip(".") if "." in written and "×" not in written else written
