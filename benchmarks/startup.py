"""How quickly the command line starts, as ratios to what no program in Python can avoid.

Ratios, so that one machine compares with another: each pair is run in turn in one sitting, and the medians divided.
Exit status 1 when an aim is missed.
"""

import shutil
import statistics
import subprocess
import sys
import sysconfig
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

RUNS = 9
METHOD = "naoh-by-khp"


@dataclass(frozen=True, slots=True)
class Comparison:
    """A command, what it is measured against, and the ratio aimed at."""

    name: str
    command: list[str]
    against_name: str
    against: list[str]
    aim: float


def main() -> int:
    """Measure every comparison, print a table, and return 1 when an aim is missed."""
    program = shutil.which("assaywright", path=sysconfig.get_path("scripts"))
    if program is None:
        print("startup.py: the command assaywright is not installed beside this Python.", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as folder:
        missed = [one.name for one in comparisons(program, worked_example(Path(folder))) if not keeps_its_aim(one)]
    return 1 if missed else 0


def worked_example(folder: Path) -> Path:
    """Write the worksheet of a method's worked example into a folder and return its path."""
    from assaywright.assay.method import load_method

    worksheet = folder / "worksheet.toml"
    worksheet.write_text(load_method(METHOD).example.worksheet, encoding="utf-8")
    return worksheet


def keeps_its_aim(comparison: Comparison) -> bool:
    """Measure one comparison, print it, and return whether the ratio lies under the aim."""
    ours, theirs = medians(comparison)
    kept = ours / theirs < comparison.aim
    print(
        f"{comparison.name} against {comparison.against_name}: {ours / theirs:.2f}, aim under {comparison.aim:g}"
        f"{'' if kept else ', MISSED'}   ({ours * 1000:.0f} ms against {theirs * 1000:.0f} ms, median of {RUNS})"
    )
    return kept


def comparisons(program: str, worksheet: Path) -> list[Comparison]:
    """Return what is compared, with the aims."""
    python = sys.executable
    return [
        Comparison("assaywright --help", [program, "--help"], "python -c pass", [python, "-c", "pass"], 3.0),
        Comparison(
            f"assaywright evaluate {worksheet.name}",
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
    raise SystemExit(main())
