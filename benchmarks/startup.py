"""How quickly the command line starts, as ratios to what no program in Python can avoid.

Ratios, so that one machine compares with another: each pair is run in turn in one sitting, and the medians divided.
Exit status 1 when an aim is missed.
"""

import shutil
import statistics
import subprocess
import sys
import sysconfig
import time
from dataclasses import dataclass
from pathlib import Path

HOUSE = Path(__file__).resolve().parent.parent
RUNS = 9


@dataclass(frozen=True, slots=True)
class Comparison:
    """A command, what it is measured against, and the ratio aimed at."""

    name: str
    command: list[str]
    against_name: str
    against: list[str]
    aim: float


def main(arguments: list[str]) -> int:
    """Measure every comparison, print a table, and return 1 when an aim is missed."""
    program = shutil.which("assaywright", path=sysconfig.get_path("scripts"))
    if program is None:
        print("startup.py: the command assaywright is not installed beside this Python.", file=sys.stderr)
        return 2
    worksheet = Path(arguments[0]) if arguments else first_worksheet()
    missed = 0
    print(f"{'command':<34}{'against':<34}{'ratio':>7}{'aim':>7}   milliseconds")
    for comparison in comparisons(program, worksheet):
        ours, theirs = medians(comparison)
        ratio = ours / theirs
        missed += ratio >= comparison.aim
        verdict = "" if ratio < comparison.aim else "   MISSED"
        print(
            f"{comparison.name:<34}{comparison.against_name:<34}{ratio:>7.2f}{f'< {comparison.aim:g}':>7}"
            f"   {ours * 1000:.0f} against {theirs * 1000:.0f}{verdict}"
        )
    return 1 if missed else 0


def first_worksheet() -> Path:
    """Return a worksheet of the demonstration."""
    found = sorted((HOUSE / "tarn-hollow").rglob("*.toml"))
    if not found:
        print("startup.py: no worksheet; run the demonstration first, or name one.", file=sys.stderr)
        raise SystemExit(2)
    return found[0]


def comparisons(program: str, worksheet: Path) -> list[Comparison]:
    """Return what is compared, with the aims."""
    python = sys.executable
    return [
        Comparison("assaywright --help", [program, "--help"], "python -c pass", [python, "-c", "pass"], 3.0),
        Comparison(
            f"assaywright evaluate {worksheet.name}"[:33],
            [program, "evaluate", str(worksheet)],
            "python -c 'import numpy, GTC'",
            [python, "-c", "import numpy, GTC"],
            2.0,
        ),
    ]


def medians(comparison: Comparison) -> tuple[float, float]:
    """Return the median times [s] of the two commands, run in turn after one round that fills the caches."""
    timed = [(seconds(comparison.command), seconds(comparison.against)) for _round in range(RUNS + 1)][1:]
    ours, theirs = zip(*timed, strict=True)
    return statistics.median(ours), statistics.median(theirs)


def seconds(command: list[str]) -> float:
    """Return how long a command takes [s]; it must succeed."""
    begun = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, stdin=subprocess.DEVNULL)
    return time.perf_counter() - begun


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
