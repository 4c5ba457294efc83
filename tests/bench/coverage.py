"""How often the stated interval holds the true value: many chains played on the simulated bench and evaluated.

    python -m tests.bench.coverage --chains 2000 --seeds 3 --write

plays every scheme that many times for each seed, prints how often value ± expanded uncertainty holds the truth, and
with ``--write`` puts the tables into docs/coverage.md.
"""

import argparse
import math
import multiprocessing
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from zlib import crc32

from scipy.stats import binom

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.result import Result
from assaywright.assay.worksheet import parse_worksheet
from tests.bench.chains import SCHEMES, Chain, play
from tests.bench.chance import Chance
from tests.bench.equipment import ALIKE_mL
from tests.bench.repeatability import true_repeatability

PAGE = Path(__file__).resolve().parents[2] / "docs" / "coverage.md"
POOLED_DEGREES_OF_FREEDOM = 30
EXPECTED = 0.955  # 95 %, and half a percent for inputs with bounded distributions, whose tails are short
LOWEST, HIGHEST = 0.94, 0.97
STRETCHES = (1.0, 0.8, 2.0)  # the interval as stated, and as a wrong program would state it
CHUNK = 50


@dataclass(frozen=True)
class Setting:
    """What a study varies.

    Fields:
        scheme: a key of the chains' schemes.
        repeatability: "pooled" or "observed".
        determinations: in each worksheet.
        calibrated_burette, alike_mL: of the laboratory's burette.
        trials: when not zero, the interval is the one simulated with so many trials, and of the main measurand only.
    """

    scheme: str
    repeatability: str
    determinations: int = 3
    calibrated_burette: bool = False
    alike_mL: tuple[float, float] = ALIKE_mL
    trials: int = 0


@dataclass
class Tally:
    """What became of a measurand's intervals.

    Fields:
        covered: for each of :data:`STRETCHES`, how many intervals held the truth.
        errors, squares: sum of (value - truth)/u, and of its square.
        relative: sum of the relative standard uncertainties [1].
    """

    chains: int = 0
    covered: list[int] = field(default_factory=lambda: [0] * len(STRETCHES))
    errors: float = 0.0
    squares: float = 0.0
    relative: float = 0.0

    def count(self, value: float, truth: float, standard_uncertainty: float, interval: tuple[float, float]) -> None:
        """Count one interval, from its lower to its upper end."""
        self.chains += 1
        low, high = interval
        for number, stretch in enumerate(STRETCHES):
            self.covered[number] += value + stretch * (low - value) <= truth <= value + stretch * (high - value)
        self.errors += (value - truth) / standard_uncertainty
        self.squares += ((value - truth) / standard_uncertainty) ** 2
        self.relative += standard_uncertainty / value

    def add(self, other: "Tally") -> None:
        """Add what another tally counted."""
        self.chains += other.chains
        self.covered = [one + another for one, another in zip(self.covered, other.covered, strict=True)]
        self.errors += other.errors
        self.squares += other.squares
        self.relative += other.relative

    @property
    def coverage(self) -> float:
        """Share of intervals, as stated, that held the truth."""
        return self.covered[0] / self.chains

    @property
    def mean_error(self) -> float:
        """Mean of (value - truth)/u."""
        return self.errors / self.chains

    @property
    def spread(self) -> float:
        """Standard deviation of (value - truth)/u: 1 when the uncertainty is neither too small nor too large."""
        return math.sqrt(self.squares / self.chains - self.mean_error**2)


Tallies = dict[str, Tally]


def written(chain: Chain, chance: Chance, setting: Setting, scatter: Mapping[str, float]) -> dict[str, bytes]:
    """Return the worksheets of a chain as files, each with the repeatability its laboratory found for itself.

    A pooled repeatability is an estimate: it is drawn from the true one with its degrees of freedom.
    """
    files = {}
    for sheet in chain:
        found = chance.estimated_standard_deviation(100 * scatter[sheet.repeatability], POOLED_DEGREES_OF_FREEDOM)
        stated = f"{found:.4f} %, {POOLED_DEGREES_OF_FREEDOM} degrees of freedom"
        files[sheet.path] = sheet.text(stated if setting.repeatability == "pooled" else "").encode()
    return files


def played(setting: Setting, chance: Chance) -> Chain:
    """Play one chain of a setting."""
    return play(
        setting.scheme,
        chance,
        number_n=setting.determinations,
        calibrated_burette=setting.calibrated_burette,
        alike_mL=setting.alike_mL,
    )


def tally_chains(setting: Setting, seed: int, numbers: Iterable[int], scatter: Mapping[str, float]) -> Tallies:
    """Play and evaluate chains, and tally each measurand of the last worksheet by its name; "" is the main one."""
    tallies: Tallies = {}
    for number in numbers:
        chance = Chance((seed, crc32(setting.scheme.encode()), number))
        chain = played(setting, chance)
        files = written(chain, chance, setting, scatter)
        last = chain[-1]
        outcome = evaluate_worksheet(
            parse_worksheet(files[last.path], last.path), files.__getitem__, monte_carlo=setting.trials, seed=number
        )
        for place, result in enumerate(outcome.results[: 1 if setting.trials else None]):
            measurand = "" if place == 0 else result.measurand
            tallies.setdefault(measurand, Tally()).count(
                result.estimate.value,
                last.truths[measurand],
                result.estimate.standard_uncertainty,
                outcome.monte_carlo.interval if outcome.monte_carlo else _interval(result),
            )
    return tallies


def _interval(result: Result) -> tuple[float, float]:
    """Return value less and plus the expanded uncertainty."""
    value = result.estimate.value
    return value - result.expanded_uncertainty, value + result.expanded_uncertainty


def _job(job: tuple[Setting, int, range, Mapping[str, float]]) -> tuple[Setting, int, Tallies]:
    setting, seed, numbers, scatter = job
    return setting, seed, tally_chains(setting, seed, numbers, scatter)


def study(
    settings: Sequence[Setting], seeds: Sequence[int], chains: int, processes: int = 1
) -> dict[tuple[Setting, str], dict[int, Tally]]:
    """Return the tallies by setting and measurand, and within them by seed."""
    measured: dict[tuple[str, bool], Mapping[str, float]] = {}
    for setting in settings:
        key = (setting.scheme, setting.calibrated_burette)
        measured[key] = measured.get(key) or true_repeatability(setting.scheme, calibrated_burette=key[1])
    jobs = [
        (setting, seed, range(start, min(start + CHUNK, chains)), measured[setting.scheme, setting.calibrated_burette])
        for setting in settings
        for seed in seeds
        for start in range(0, chains, CHUNK)
    ]
    found: dict[tuple[Setting, str], dict[int, Tally]] = {}
    with multiprocessing.Pool(processes) as pool:
        for setting, seed, tallies in pool.imap(_job, jobs):
            for measurand, tally in tallies.items():
                found.setdefault((setting, measurand), {}).setdefault(seed, Tally()).add(tally)
    return found


def acceptance_band(number: int, confidence: float = 0.999) -> tuple[int, int]:
    """Return the least and the largest number of intervals out of ``number`` that may hold the truth.

    Outside it lies what an interval that covers 95.5 % would give once in a thousand studies.
    """
    return (
        int(binom.ppf((1 - confidence) / 2, number, EXPECTED)),
        int(binom.ppf((1 + confidence) / 2, number, EXPECTED)),
    )


def both(setting: Setting) -> tuple[Setting, Setting]:
    """Return a setting with the pooled and with the observed repeatability."""
    return replace(setting, repeatability="pooled"), replace(setting, repeatability="observed")


def together(by_seed: Mapping[int, Tally]) -> Tally:
    """Return the tallies of all seeds in one."""
    total = Tally()
    for tally in by_seed.values():
        total.add(tally)
    return total


def row(name: str, repeatability: str, by_seed: Mapping[int, Tally]) -> str:
    """Return a line of the table."""
    total = together(by_seed)
    each = " · ".join(f"{100 * tally.coverage:.1f}" for tally in by_seed.values())
    inside = "yes" if LOWEST <= total.coverage <= HIGHEST else "**no**"
    return (
        f"| {name} | {repeatability} | {total.chains} | {100 * total.coverage:.1f} | {each} | {inside} | "
        f"{total.mean_error:+.2f} | {total.spread:.2f} | {100 * total.relative / total.chains:.3f} |"
    )


HEAD = (
    "| what | repeatability | intervals | covered, % | by seed, % | 94 to 97 % | mean error/u | spread/u | u, % |\n"
    "| --- | --- | --- | --- | --- | --- | --- | --- | --- |"
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the study, print it, and write its page when asked."""
    from tests.bench.page import page

    parser = argparse.ArgumentParser(prog="python -m tests.bench.coverage", description=__doc__)
    parser.add_argument("--chains", type=int, default=2000, help="chains per scheme and seed")
    parser.add_argument("--seeds", type=int, default=3, help="number of seeds: 1, 2, 3 ...")
    parser.add_argument("--processes", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument("--schemes", nargs="*", default=list(SCHEMES), help="by default all")
    parser.add_argument("--write", action="store_true", help=f"write {PAGE.name}")
    asked = parser.parse_args(arguments)
    text = page(asked.schemes, list(range(1, asked.seeds + 1)), asked.chains, asked.processes)
    sys.stdout.write(text)
    if asked.write:
        PAGE.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
