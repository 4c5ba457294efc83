"""The page of the coverage study: one table, and what it was made with."""

from collections.abc import Sequence

from tests.bench.coverage import HEAD, POOLED_DEGREES_OF_FREEDOM, Setting, both, row, study

OPENING = """\
# How often the interval holds the truth

A simulated bench ({bench}) plays a standardisation and the assay that rests on it from true amounts to the readings a
chemist would write down: reading grid, drops, errors of vessels and balance, temperatures, buoyancy. It shares no
equation with the program. The program evaluates the worksheets; counted is how often value ± expanded uncertainty
(k from Student's t, 95 %) holds the true value. Pooled repeatability is itself an estimate with {freedom} degrees of
freedom; observed repeatability is that of three determinations. Where a scheme has several results, each is a line.

Written by `python -m tests.bench.coverage --chains {chains} --seeds {seeds} --write`. Aim: 94 to 97 %.

"""


def page(schemes: Sequence[str], seeds: Sequence[int], chains: int, processes: int) -> str:
    """Return the page for these schemes, each with the pooled and with the observed repeatability."""
    settings = [setting for scheme in schemes for setting in both(Setting(scheme, "pooled"))]
    found = study(settings, seeds, chains, processes)
    opening = OPENING.format(bench="`tests/bench`", freedom=POOLED_DEGREES_OF_FREEDOM, chains=chains, seeds=len(seeds))
    lines = [HEAD]
    for setting in settings:
        for (one, measurand), by_seed in found.items():
            if one == setting:
                name = f"{setting.scheme}: {measurand}" if measurand else setting.scheme
                lines.append(row(name, setting.repeatability, by_seed))
    return opening + "\n".join(lines) + "\n"
