"""Where the next endpoint is expected, from the determinations before it; and how far one may run freely until then.

A determination before this one says what a portion takes: k = (V − a)/p, with V its titre, p its portion and a what the
titration takes without any: the blank, or in a back titration the whole of the reagent, when k is negative. The next
one is expected at a + k̄ p, within t s √(1 + 1/n), a prediction interval of about 95 %.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import fmean, stdev

from assaywright.assay.blanks import DROP_HALF_WIDTH_ML, READING_HALF_WIDTH_ML
from assaywright.assay.small_titre import SMALL_ML
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.replicates import PooledScatter, compare_scatter
from assaywright.reference.practice import burette_practice

FAR_HALF_WIDTHS = 2.0  # beyond it a titre is asked about: common practice, no source; at 1 every twentieth would be
FAR_DROPS = 2.0  # and never within so many drops, for endpoints overrun by one: common practice, no source
SAME_PORTION = 0.005  # how equal portions are whose law is not known, relative: common practice, no source


@dataclass(frozen=True, slots=True)
class Expectation:
    """Where an endpoint is expected, on the scale of the burette.

    Fields:
        reading: the field it is read into: "final", "first" of two endpoints, or "hydroxide_final".
        titre_mL: expected from the initial reading on, over all fillings [mL].
        final_mL: expected reading in the filling under way [mL]; beyond the scale where one has to fill again.
        half_width_mL: of the interval about it, about 95 % [mL].
        free_running_to_mL: reading up to which one runs freely; from there dropwise [mL].
        basis: what it rests on, in words.
        counted: how many determinations before this one it rests on; none when it rests on the plan.
        conflict: that they do not go with the plan, as a sentence; empty where both may be true.
    """

    reading: str
    titre_mL: float
    final_mL: float
    half_width_mL: float
    free_running_to_mL: float
    basis: str
    counted: int = 0
    conflict: str = ""

    @property
    def low_mL(self) -> float:
        """Lower end, as a reading [mL]."""
        return self.final_mL - self.half_width_mL

    @property
    def high_mL(self) -> float:
        """Upper end, as a reading [mL]."""
        return self.final_mL + self.half_width_mL

    @property
    def far_mL(self) -> float:
        """How far from what is expected a titre is asked about [mL]."""
        return max(FAR_HALF_WIDTHS * self.half_width_mL, drops_mL())

    def is_far(self, titre_mL: float) -> bool:
        """Whether a titre lies far from what is expected.

        Arguments:
            titre_mL: over all fillings [mL].
        """
        return abs(titre_mL - self.titre_mL) > self.far_mL + 1e-9

    def is_doubtful(self, titre_mL: float) -> bool:
        """Whether a titre is worth a look at its digits: outside what is expected, by more than drops make.

        Arguments:
            titre_mL: over all fillings [mL].
        """
        return not self.is_within(titre_mL) and abs(titre_mL - self.titre_mL) > drops_mL() + 1e-9

    def is_within(self, titre_mL: float) -> bool:
        """Whether a titre lies within what is expected.

        Arguments:
            titre_mL: over all fillings [mL].
        """
        return abs(titre_mL - self.titre_mL) <= self.half_width_mL + 1e-9


@dataclass(frozen=True, slots=True)
class Earlier:
    """A determination before this one: its titre up to the reading [mL], and its portion [g, mL or in equal parts]."""

    titre_mL: float
    portion: float


@dataclass(frozen=True, slots=True)
class Spread:
    """How determinations scatter.

    Fields:
        percent: pooled repeatability standard deviation, relative [%]; None where none is stated.
        degrees_of_freedom: of it.
        observed: whether the scatter of these determinations counts instead in any case, once there are two of them.
    """

    percent: float | None
    degrees_of_freedom: float = math.inf
    observed: bool = False


def before_end_mL() -> float:
    """Return how long before the earliest expected end one goes on dropwise [mL]: common practice, no source.

    A millilitre, twenty drops, as on the printed guide: what still runs from the wall after the tap is closed and what
    is misread in passing both stay well below it, and it costs half a minute.
    """
    return burette_practice("dropwise").value or 0.0


def drops_mL() -> float:
    """Return what an endpoint may be overrun by without a word [mL]: common practice, no source."""
    return FAR_DROPS * (burette_practice("drop").value or 0.0)


def from_earlier(reading: str, earlier: Sequence[Earlier], portion: float, without_mL: float | None,
                 spread: Spread) -> Expectation | None:
    """Return what is expected of this portion after earlier determinations, from a start at zero.

    V = a + k̄ p with k̄ the mean of (V_i − a)/p_i, within t s √(1 + 1/n); s is the pooled repeatability of |V − a|, or
    that of these determinations where it is asked for, nothing else is stated, or theirs is significantly larger.

    Arguments:
        reading: the field, see :class:`Expectation`.
        earlier: those that count.
        portion: of this determination, in the unit of theirs.
        without_mL: a, what is taken without any portion [mL]; None where it is not known, and then only portions alike
            tell of one another.
        spread: how determinations scatter.

    Returns: None without earlier ones that tell anything, or without anything said of the scatter.

    Source: prediction interval of one further value of a normal distribution, as on the printed guide; Student's t by
        JCGM 100:2008, G.3.
    """
    if without_mL is None:
        earlier = [one for one in earlier if abs(one.portion - portion) <= SAME_PORTION * abs(portion)]
    if not earlier or not portion > 0:
        return None
    if without_mL is None:
        changes, start, portion = [one.titre_mL for one in earlier], 0.0, 1.0
    else:
        changes, start = [(one.titre_mL - without_mL) / one.portion for one in earlier], without_mL
    change = fmean(changes) * portion
    found = _scatter_mL([one * portion for one in changes], spread)
    if found is None:
        return None
    s_mL, freedom, words = found
    count = len(earlier)
    half = coverage_factor(freedom) * s_mL * math.sqrt(1 + 1 / count)
    counted = "1 determination" if count == 1 else f"{count} determinations"
    return at_titre(reading, start + change, half, f"{counted} before this one, with {words}", count)


def _scatter_mL(changes_mL: Sequence[float], spread: Spread) -> tuple[float, float, str] | None:
    """Return standard deviation of one titre [mL], its degrees of freedom, and which it is; None where none is known.

    A relative one is not believed of a titre below a millilitre, where reading and drop leave more; nor where these
    determinations scatter significantly more, at 95 %, one-sided.
    """
    mean = abs(fmean(changes_mL))
    least = math.sqrt((2 * READING_HALF_WIDTH_ML**2 + DROP_HALF_WIDTH_ML**2) / 3.0)
    if (spread.observed or spread.percent is None) and len(changes_mL) > 1:
        return max(stdev(changes_mL), least), len(changes_mL) - 1.0, "their own scatter"
    if spread.percent is None:
        return None
    s_mL = spread.percent / 100 * mean
    if mean < SMALL_ML and s_mL < least:
        return least, math.inf, "what readings and drop leave of so small a titre"
    pooled = PooledScatter(s_mL, spread.degrees_of_freedom) if s_mL > 0 and len(changes_mL) > 1 else None
    if pooled is not None and not compare_scatter(changes_mL, pooled).consistent:
        words = "their own scatter, which is larger than the pooled repeatability"
        return max(stdev(changes_mL), least), len(changes_mL) - 1.0, words
    return s_mL, spread.degrees_of_freedom, "the pooled repeatability"


def at_titre(reading: str, titre_mL: float, half_width_mL: float, basis: str, counted: int = 0) -> Expectation:
    """Return an expectation whose burette starts at zero.

    Arguments:
        reading: the field.
        titre_mL: expected [mL].
        half_width_mL: of the interval [mL].
        basis: in words.
        counted: determinations it rests on.
    """
    free = max(0.0, titre_mL - half_width_mL - before_end_mL())
    return Expectation(reading, titre_mL, titre_mL, half_width_mL, free, basis, counted)


def started_at(expected: Expectation, initial_mL: float, delivered_mL: float = 0.0) -> Expectation:
    """Return an expectation on the scale of the filling under way.

    Arguments:
        expected: from a start at zero.
        initial_mL: initial reading of that filling [mL].
        delivered_mL: by the fillings before it [mL].
    """
    shift = initial_mL - delivered_mL
    return replace(expected, final_mL=expected.final_mL + shift,
                   free_running_to_mL=max(initial_mL, expected.free_running_to_mL + shift))


def with_plan(seen: Expectation | None, planned: Expectation | None) -> Expectation | None:
    """Return what earlier determinations lead to, else the plan; where they disagree, run freely to the smaller.

    Arguments:
        seen: after earlier determinations.
        planned: from the plan; both from a start at zero.
    """
    if seen is None or planned is None:
        return seen or planned
    if seen.low_mL <= planned.high_mL and planned.low_mL <= seen.high_mL:
        return seen
    told = (f"The determinations before this one lead to {seen.titre_mL:.2f} mL, and {planned.basis} to "
            f"{planned.low_mL:.2f} to {planned.high_mL:.2f} mL: find out why; run freely to the smaller of both.")
    return replace(seen, conflict=told,
                   free_running_to_mL=min(seen.free_running_to_mL, planned.free_running_to_mL))
