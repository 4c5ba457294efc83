"""A result that rests mainly on one influence with a rectangular distribution: how much its interval then holds."""

from collections.abc import Iterator, Sequence

from assaywright.assay.result import Result
from assaywright.assay.troubles import remark
from assaywright.metrology.gum import coverage_with_one_rectangular
from assaywright.metrology.remarks import Remark

HOLDS_MORE = 0.015  # more than the stated coverage: worth a word only where it would show in the last digit of U


def dominated_remarks(results: Sequence[Result], where: str) -> Iterator[Remark]:
    """Remark on every result whose interval is longer than its coverage asks, for want of tails.

    The rest of the influences together count as normal, which JCGM 100:2008, G.2.2 grounds.
    """
    for result in results:
        estimate = result.estimate
        flat = [part for part in estimate.contributions if part.distribution == "rectangular"]
        if not flat or not estimate.variance:
            continue
        largest = max(flat, key=lambda part: abs(part.amount))
        share = largest.amount**2 / estimate.variance
        stated = result.coverage_probability or coverage_with_one_rectangular(0.0, result.coverage_factor)
        covered = coverage_with_one_rectangular(share, result.coverage_factor)
        if covered - stated > HOLDS_MORE:
            yield remark(
                "one-rectangular-influence",
                f"{100 * share:.0f} % of the variance of the {result.measurand} is one rectangular influence, "
                f"{largest.label}; the interval holds the truth in about {100 * covered:.0f} % of cases, "
                f"not {100 * stated:.0f} %",
                where,
                "nothing needs doing; --monte-carlo gives the shorter interval",
            )
