"""Where chance enters the simulated world: what is drawn once and kept, and what is drawn afresh at every act."""

from decimal import ROUND_HALF_EVEN, Decimal

import numpy as np


class Chance:
    """A source of errors, each kind of which can be turned down to nothing.

    Arguments:
        seed: integer or sequence of integers; the same seed gives the same world.
        systematic: 1 for the stated systematic errors, 0 for a world in which every object is what it claims to be.
        random: 1 for the bench's scatter, 0 for hands that never shake.
        rounded: whether readings are rounded to the instrument's grid, or written with all their digits.
    """

    def __init__(
        self, seed: int | tuple[int, ...], *, systematic: float = 1.0, random: float = 1.0, rounded: bool = True
    ) -> None:
        self._generator = np.random.default_rng(seed)
        self.systematic = systematic
        self.random = random
        self.rounded = rounded

    def uniform(self, low: float, high: float) -> float:
        """Return a circumstance of the day, such as room temperature or air pressure; not an error."""
        return float(self._generator.uniform(low, high))

    def bias_normal(self, standard_deviation: float) -> float:
        """Return a systematic error from a normal distribution."""
        return self.systematic * float(self._generator.normal(0.0, standard_deviation))

    def bias_rectangular(self, half_width: float) -> float:
        """Return a systematic error from a rectangular distribution."""
        return self.systematic * float(self._generator.uniform(-half_width, half_width))

    def bias_triangular(self, half_width: float) -> float:
        """Return a systematic error from a symmetric triangular distribution."""
        return self.systematic * float(self._generator.triangular(-half_width, 0.0, half_width))

    def scatter(self, standard_deviation: float) -> float:
        """Return a random error from a normal distribution."""
        return self.random * float(self._generator.normal(0.0, standard_deviation))

    def scatter_rectangular(self, half_width: float) -> float:
        """Return a random error from a rectangular distribution."""
        return self.random * float(self._generator.uniform(-half_width, half_width))

    def estimated_standard_deviation(self, true_value: float, degrees_of_freedom: int) -> float:
        """Return what a laboratory would find for a standard deviation, from that many degrees of freedom."""
        chi_squared = float(self._generator.chisquare(degrees_of_freedom))
        return float(true_value * np.sqrt(chi_squared / degrees_of_freedom))

    def write(self, value: float, grid: str, unit: str) -> str:
        """Return a reading as the chemist writes it: rounded to the grid ("0.02"), with its unit."""
        if not self.rounded:
            return f"{value:.9f} {unit}"
        step = Decimal(grid)
        counts = (Decimal(value) / step).quantize(Decimal(1), rounding=ROUND_HALF_EVEN)
        return f"{(counts + 0) * step:f} {unit}"
