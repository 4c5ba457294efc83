"""Bend published figures by one per cent and see whether the tests notice: what lets them pass checks nothing.

``python scripts/bend_references.py [FILE ...]`` bends each column of figures of each table in tests/reference in turn,
by one per cent, or by two units of the last digit printed where that is more, in a copy of the tests outside this
folder, and runs the test modules that read the table. It prints the columns whose bending a test noticed and those
where none did, and ends with status 1 where no column of a table is noticed. Columns that nobody compares (what
only labels a row, figures of other examples) are named too: whoever reads the list knows them.
"""

import csv
import io
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import partial
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[1]
REFERENCE = Path("tests") / "reference"
BY = Decimal("0.01")
FIGURE = re.compile(r"[-+]?\d+(\.\d+)?([eE][-+]?\d+)?")
BESIDE = ("recalc", "tolerance", "n", "order", "step", "charge")  # of no published figure, by the tables' own READMEs
READ_BY_FOLDER = {"uncertainty_examples": "tests/published/test_uncertainty_examples.py"}


def bent(text: str) -> str:
    """Return a figure larger by one per cent, or by two units of its last digit where that is more."""
    if not FIGURE.fullmatch(text.strip()) or float(text) == 0:
        return text
    figure = Decimal(text.strip())
    exponent = figure.as_tuple().exponent
    return str(figure + max(BY * abs(figure), 2 * Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)))


def columns_of(text: str) -> list[str]:
    """Return the columns of a table that hold a figure other than nought."""
    rows = list(csv.DictReader(io.StringIO(text)))
    names = [name for name in (rows[0] if rows else {}) if not any(name.startswith(one) for one in BESIDE)]
    return [name for name in names if any(bent(row[name] or "") != (row[name] or "") for row in rows)]


def with_column_bent(text: str, column: str) -> str:
    """Return a table with one of its columns bent."""
    rows = list(csv.DictReader(io.StringIO(text)))
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows({**row, column: bent(row[column] or "")} for row in rows)
    return out.getvalue()


def printed_bent(text: str) -> str:
    """Return an example in TOML with what its source prints bent."""
    before, *printed = text.split("[[printed]]")
    return before + "".join("[[printed]]" + re.sub(
        r'^(text\s*=\s*")(\S+)(")$', lambda found: found[1] + bent(found[2]) + found[3], one, flags=re.MULTILINE)
        for one in printed)


def bendings(path: Path) -> Iterator[tuple[str, Callable[[str], str]]]:
    """Yield each way to bend a file, with its name."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".toml":
        yield "figures printed", printed_bent
        return
    for column in columns_of(text):
        yield column, partial(with_column_bent, column=column)


def readers_of(path: Path) -> list[str]:
    """Return the test modules that read a table."""
    if path.parent.name in READ_BY_FOLDER:
        return [READ_BY_FOLDER[path.parent.name]]
    modules = sorted((HOUSE / "tests").rglob("test_*.py"))
    return [str(one.relative_to(HOUSE)) for one in modules if path.stem in one.read_text(encoding="utf-8")]


def is_noticed(copy: Path, modules: list[str]) -> bool:
    """Whether the tests fail in the copy."""
    ended = subprocess.run([sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *modules],
                           cwd=copy, capture_output=True, text=True, check=False,
                           env={**os.environ, "PYTHONPATH": str(HOUSE / "src")})
    return ended.returncode != 0


def main(arguments: list[str]) -> int:
    """Bend every table, or those whose names are given, with or without their folders."""
    passed_over, asked = [], {Path(one).name for one in arguments}
    files = [one for one in sorted((HOUSE / REFERENCE).rglob("*.*")) if one.suffix in (".csv", ".toml")
             and (not asked or one.name in asked)]
    if missing := sorted(asked - {one.name for one in files}):
        print(f"There is no table {', '.join(missing)} in {REFERENCE}; name one that is there.")
        return 2
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        shutil.copytree(HOUSE / "tests", copy / "tests")
        shutil.copy(HOUSE / "pyproject.toml", copy)
        for name in ("docs", "src"):  # that some tests read
            (copy / name).symlink_to(HOUSE / name)
        for path in files:
            modules, there = readers_of(path), copy / path.relative_to(HOUSE)
            whole = path.read_text(encoding="utf-8")
            noticed: list[str] = []
            unnoticed: list[str] = []
            if modules and is_noticed(copy, modules):
                print(f"{path.name}: {' '.join(modules)} fail without anything bent; mend that first.")
                return 2
            for name, bend in bendings(path) if modules else ():
                there.write_text(bend(whole), encoding="utf-8")
                (noticed if is_noticed(copy, modules) else unnoticed).append(name)
            there.write_text(whole, encoding="utf-8")
            print(f"{path.relative_to(HOUSE / REFERENCE)}: noticed {', '.join(noticed) or 'nothing'}"
                  + (f"; not {', '.join(unnoticed)}" if unnoticed else "") + ("" if modules else " (no test reads it)"),
                  flush=True)
            if not noticed:
                passed_over.append(path.name)
    if passed_over:
        print(f"No test noticed anything in: {', '.join(passed_over)}.")
    return 1 if passed_over else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
