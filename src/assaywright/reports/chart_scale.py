"""The scale of an axis: from values to places, with ticks at round figures."""

import math
from dataclasses import dataclass

ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)
MINUS = "−"


@dataclass(frozen=True, slots=True)
class Scale:
    """A linear scale.

    Fields:
        low, high: values at its ends.
        start_px, end_px: places of its ends [px]; a vertical scale starts below, at the greater place.
    """

    low: float
    high: float
    start_px: float
    end_px: float

    def place(self, value: float) -> float:
        """Return the place of a value [px]; one beyond the scale is held at its end."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return self.start_px + share * (self.end_px - self.start_px)

    def ticks(self, about: int = 8) -> tuple[float, ...]:
        """Return about so many round values within the scale."""
        step = round_step((self.high - self.low) / about)
        first = math.ceil(self.low / step - 1e-9)
        last = math.floor(self.high / step + 1e-9)
        return tuple(step * index for index in range(first, last + 1))


def round_step(step: float) -> float:
    """Return the least round figure (1, 2, 2.5 or 5 times a power of ten) that is no smaller than a step."""
    power = 10.0 ** math.floor(math.log10(step))
    return next(power * figure for figure in ROUND if power * figure >= step * (1 - 1e-9))


def widened(low: float, high: float, about: int = 8) -> tuple[float, float]:
    """Return the round values that enclose a range."""
    if not high > low:
        low, high = low - 0.5, high + 0.5
    step = round_step((high - low) / about)
    return step * math.floor(low / step + 1e-9), step * math.ceil(high / step - 1e-9)


def tick_labels(ticks: tuple[float, ...]) -> tuple[str, ...]:
    """Return the ticks in figures, all with the same number of decimals and with a true minus sign."""
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    places = next(places for places in range(12) if abs(round(step, places) - step) <= 1e-6 * step)
    return tuple(f"{tick + 0.0:.{places}f}".replace("-", MINUS) for tick in ticks)
