"""A lot of caustic soda on the simulated bench: hydrochloric acid 1 mol/L set against sodium carbonate, then the lot.

Of this strength the method states its titration error, so that bench and worksheet mean the same one.
"""

import math
from collections import defaultdict
from collections.abc import Mapping
from functools import cache

from tests.bench.chains import CARBONATE, NAOH, Chain
from tests.bench.chance import Chance
from tests.bench.laboratory import Laboratory
from tests.bench.materials import Sample, Titrant
from tests.bench.sheets import assay_weighed, standardise_by_weighing

NUMBER = 3
ACID = 1.0  # nominal [mol/L]
PORTION_G = 7.6  # of the lot, for a titre of about 32 mL
CHAINS = 1500


def assayed(chance: Chance, *, at_20: bool = False) -> Chain:
    """Standardise the acid, and assay a lot of about 17 % w/w by weighed portions."""
    lab = Laboratory(chance, at_20=at_20)
    acid = Titrant("hydrochloric acid", "HCl", f"{ACID:g} mol/L",
                   lab.solution("HCl", ACID * (1 + chance.uniform(-0.03, 0.03))))
    portion = ACID * 38 / 1000 * 105.988 / 2
    first, acid = standardise_by_weighing(lab, "first.toml", "hcl-by-sodium-carbonate", acid, CARBONATE, portion,
                                          NUMBER)
    solution = lab.solution("strong NaOH", 5.0 * (1 + chance.uniform(-0.03, 0.03)))
    sample = Sample("caustic soda", "NaOH", NAOH, solution, "strong NaOH", "")
    return first, assay_weighed(lab, "assay.toml", "caustic-soda-by-acid", sample, acid, PORTION_G, NUMBER)


@cache
def true_repeatability() -> Mapping[str, float]:
    """Return the relative standard deviation [1] of one determination, by source of scatter: no other error is on."""
    squares: defaultdict[str, float] = defaultdict(float)
    freedom: defaultdict[str, int] = defaultdict(int)
    for number in range(CHAINS):
        for sheet in assayed(Chance((number, 21), systematic=0.0), at_20=True):
            values = sheet.textbook[""]
            mean = sum(values) / len(values)
            squares[sheet.repeatability] += sum((value / mean - 1) ** 2 for value in values)
            freedom[sheet.repeatability] += len(values) - 1
    return {source: math.sqrt(squares[source] / freedom[source]) for source in squares}
