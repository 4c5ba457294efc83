"""The page of the coverage study: what was run, and the tables it gave."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tests.bench.coverage import (
    EXPECTED,
    HEAD,
    HIGHEST,
    LOWEST,
    STRETCHES,
    Setting,
    Tally,
    acceptance_band,
    both,
    row,
    study,
    together,
)

INTRODUCTION = """# How often the stated interval holds the truth

Written by `python -m tests.bench.coverage --chains {chains} --seeds {seeds} --write` (with `src` on the Python
path); don't edit it by hand.

A simulated bench (`tests/bench`) plays chains of worksheets: a titrant is standardised in triplicate, then a sample
is assayed in triplicate with it, with one burette, balance and thermometer for both. It works forward, from true
amounts and volumes to what a chemist would write down; it shares no equation with the program and uses other laws
for water and air. The program evaluates the worksheets as any user's, and its interval, value ± expanded
uncertainty for 95 %, either holds the truth or does not. A 95 % interval from a realistic mix of influences should
hold it in 94 to 97 %: bounded distributions have short tails, so a little more than 95 % is no fault.

What the bench draws once for a chain: atomic weights within their intervals, content of the reference material from
its certificate, the error of burette, pipettes and flasks (triangular within class A), the balance's deviation at
each load, the thermometer's bias, endpoint errors within what the method states, expansion of glass and solutions.
What it draws at every act: reading of the meniscus (0.008 mL, written to 0.01 mL), part of a drop (0.03 mL),
setting of a pipette or flask, weighings (0.08 mg, written to 0.1 mg), temperatures that drift through the day. The
pooled repeatability stated in a worksheet is an estimate with 30 degrees of freedom, drawn anew for each chain from
the bench's true one.

Columns: intervals played; how many of them held the truth, altogether and by seed; whether that lies in 94 to 97 %;
mean and standard deviation of (value - truth)/u, which a faultless budget would put at 0 and 1; mean relative
standard uncertainty.
"""

BURETTES = """How a burette's errors hang together along its scale is published nowhere, and cannot be told from
its class. The bench gives each burette a length of its own, 5 to 15 mL, over which its errors stay alike. Here all
burettes have the same length, down to one that wanders quickly and up to one whose whole scale errs alike, while
the worksheets say nothing of it.
"""

SIMULATED = """Value ± k u with k from Student's t is exact for a normal distribution. Where one influence with a
rectangular distribution makes up most of the variance (an endpoint judged within stated limits), the tails are
shorter, and value ± k u holds the truth more often than 95 %: for a rectangular share of four fifths about 97 %. The
program says so in a remark, and `--monte-carlo` gives the interval simulated with the same equation, which is the
shorter one ({trials} trials here, pooled repeatability, main measurand):
"""

TRIALS = 20_000

ALIKE_TRIED = ((5.0, 5.0), (10.0, 10.0), (20.0, 20.0), (500.0, 500.0))

SHOWS = """The same values with the expanded uncertainty multiplied. The test that runs with all others
(`tests/test_coverage.py`) plays 200 chains a scheme and accepts {least} to {most} of 200 intervals that hold the
truth: outside lies what an interval that covers 95.5 % gives once in a thousand. It holds all schemes together to
the same confidence.
"""

LIMITS = """## What this study cannot show

- The bench's random errors are normal or rectangular, its people make no blunders, and its laboratory keeps its
  methods. It tests the arithmetic of uncertainty, not the chemistry of a method: carbonate, carbon dioxide and
  fading indicators are no part of it beyond the endpoint error that the method states.
- Where the program must assume something that no document states, bench and program may share the assumption in
  words (class tolerances are triangular, linearity bounds each load), though not in code.
- A line of {intervals} intervals tells the coverage to about ±{resolution:.1f} % (one standard deviation), a line of a
  lesser study, with an eighth of them, to ±{coarse:.1f} %: there a "no" by a percent may be chance.
"""


def main_table(found: Mapping[tuple[Setting, str], Mapping[int, Tally]]) -> list[str]:
    """Return a table with a line for each setting and measurand."""
    return [
        HEAD,
        *(
            row(named(setting, measurand), setting.repeatability, by_seed)
            for (setting, measurand), by_seed in found.items()
        ),
    ]


def named(setting: Setting, measurand: str) -> str:
    """Return a line's name: the scheme, and the measurand when it is a further one."""
    return f"{setting.scheme}: {measurand}" if measurand else setting.scheme


def stretched_table(found: Mapping[tuple[Setting, str], Mapping[int, Tally]]) -> list[str]:
    """Return what would be covered if the intervals were stretched: a wrong uncertainty must show."""
    lines = ["| what | repeatability | as stated | 0.8 u | 2 u |", "| --- | --- | --- | --- | --- |"]
    for (setting, measurand), by_seed in found.items():
        total = together(by_seed)
        shares = [f"{100 * covered / total.chains:.1f}" for covered in total.covered]
        lines.append(f"| {named(setting, measurand)} | {setting.repeatability} | {' | '.join(shares)} |")
    assert STRETCHES == (1.0, 0.8, 2.0)
    return lines


def verdict(found: Mapping[tuple[Setting, str], Mapping[int, Tally]]) -> str:
    """Return in one sentence whether every line lies in 94 to 97 %."""
    outside = [
        f"{named(setting, measurand)} ({setting.repeatability}, {100 * together(by_seed).coverage:.1f} %)"
        for (setting, measurand), by_seed in found.items()
        if not LOWEST <= together(by_seed).coverage <= HIGHEST
    ]
    if not outside:
        return "Every line lies between 94 and 97 %."
    return f"{len(outside)} of {len(found)} lines lie outside 94 to 97 %: {'; '.join(outside)}."


def known_to(intervals: int) -> float:
    """Return the standard deviation [%] of a share near 95.5 % found from so many intervals."""
    return 100 * (EXPECTED * (1 - EXPECTED) / intervals) ** 0.5


def page(schemes: Sequence[str], seeds: Sequence[int], chains: int, processes: int) -> str:
    """Run the studies and return the page.

    Arguments:
        chains: per scheme and seed in the main study; the others take an eighth of them.
    """
    main = study([one for scheme in schemes for one in both(Setting(scheme, "pooled"))], seeds, chains, processes)
    lesser = max(1, chains // 8)
    least, most = acceptance_band(200)
    number = len(seeds) * chains
    lines = [
        INTRODUCTION.format(chains=chains, seeds=len(seeds)),
        "## Class A burette, triplicates\n",
        verdict(main) + "\n",
        *main_table(main),
        "\n## The simulated interval of the same worksheets\n",
        SIMULATED.format(trials=TRIALS),
        *main_table(study([Setting(scheme, "pooled", trials=TRIALS) for scheme in schemes], seeds, chains, processes)),
        *variations(schemes, seeds, lesser, processes),
        "\n## That a wrong uncertainty would show\n",
        SHOWS.format(least=least, most=most),
        *stretched_table(main),
        "",
        LIMITS.format(intervals=number, resolution=known_to(number), coarse=known_to(len(seeds) * lesser)),
    ]
    return "\n".join(lines).rstrip() + "\n"


def variations(schemes: Sequence[str], seeds: Sequence[int], chains: int, processes: int) -> list[str]:
    """Run the lesser studies and return their parts of the page."""
    five = [Setting(scheme, "observed", determinations=5) for scheme in schemes]
    calibrated = [one for scheme in schemes for one in both(Setting(scheme, "pooled", calibrated_burette=True))]
    lines = [
        "\n## Five determinations, observed repeatability\n",
        *main_table(study(five, seeds, chains, processes)),
        "\n## Calibrated burette, triplicates\n",
        "Corrections every 5 mL, U = 0.010 mL (k = 2), correlation 0.8 along the scale as the certificate states.\n",
        *main_table(study(calibrated, seeds, chains, processes)),
        "\n## Other burettes than the program reckons with\n",
        BURETTES,
    ]
    for alike in ALIKE_TRIED:
        settings = [replace(Setting(scheme, "pooled"), alike_mL=alike) for scheme in schemes]
        lines.append(f"Errors alike over {alike[0]:g} mL:\n")
        lines += [*main_table(study(settings, seeds, chains, processes)), ""]
    return lines[:-1]
