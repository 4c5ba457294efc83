"""One published value beside ours: the form in which every published check is written.

A test module exposes ``published_rows()``, which yields :class:`PublishedRow`, and asserts them all with one test::

    @pytest.mark.parametrize("row", as_parameters(published_rows()))
    def test_our_value_is_the_published_one(row):
        assert_agrees(row)

The generated page ``docs/validation.md`` collects the same rows with :func:`collect`.
"""

import csv
import importlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

STATUSES = ("read", "from memory", "common practice, no source")
STATUS_OF_REFERENCE_FILES = {"read": "read", "memory": "from memory"}


@dataclass(frozen=True, slots=True)
class PublishedRow:
    """A value as printed, ours, and how far apart they may lie.

    Fields:
        source: title of the publication, with its edition.
        clause: clause, table or data set within it.
        quantity: what is compared, with its unit.
        printed: the digits as printed; trailing zeros count.
        ours: what the product computes.
        tolerance: greatest allowed difference; half a unit of the last printed digit when not given. A wider one needs
            its reason in ``note``.
        status: one of :data:`STATUSES`.
        note: why the tolerance is wider, or what the print rounds.
    """

    source: str
    clause: str
    quantity: str
    printed: str
    ours: float
    tolerance: float | None = None
    status: str = "read"
    note: str = ""

    def __post_init__(self) -> None:
        if self.status not in STATUSES:
            raise ValueError(f"status '{self.status}' is not one of {STATUSES}")
        Decimal(self.printed)

    @property
    def half_unit(self) -> Decimal:
        """Half a unit of the last printed digit."""
        exponent = Decimal(self.printed).as_tuple().exponent
        return Decimal(5).scaleb(int(exponent) - 1)

    @property
    def allowed(self) -> Decimal:
        """Greatest allowed difference."""
        return self.half_unit if self.tolerance is None else Decimal(repr(float(self.tolerance)))

    @property
    def difference(self) -> Decimal:
        """Ours minus printed."""
        return Decimal(repr(float(self.ours))) - Decimal(self.printed)

    @property
    def agrees(self) -> bool:
        """Whether ours lies within the allowed difference of the printed value; never so for a NaN."""
        return abs(self.difference) <= self.allowed if self.difference.is_finite() else False

    @property
    def printed_digits(self) -> int:
        """Number of significant digits printed."""
        return len(Decimal(self.printed).as_tuple().digits)

    @property
    def agreeing_digits(self) -> int:
        """Number of printed significant digits that ours confirms, each to half a unit of its place."""
        if not self.difference.is_finite():
            return 0
        last = int(Decimal(self.printed).as_tuple().exponent)
        for digits in range(self.printed_digits, 0, -1):
            place = last + self.printed_digits - digits
            if abs(self.difference) <= Decimal(5).scaleb(place - 1):
                return digits
        return 0

    def __str__(self) -> str:
        return (
            f"{self.source}, {self.clause}: {self.quantity}: printed {self.printed}, ours {self.ours!r}, "
            f"{self.agreeing_digits} of {self.printed_digits} digits agree, allowed difference {self.allowed} "
            f"({self.status})"
        )


def assert_agrees(row: PublishedRow) -> None:
    """Fail with the whole row when ours does not agree with the printed value."""
    assert row.agrees, str(row)


def as_parameters(rows: Iterable[PublishedRow]) -> list[Any]:
    """Return the rows as test parameters, each with a name a person can find in the source."""
    return [
        pytest.param(row, id=f"{number}: {row.source[:40]}, {row.clause[:30]}: {row.quantity}")
        for number, row in enumerate(rows, start=1)
    ]


def collect(modules: Iterable[str]) -> Iterator[tuple[str, PublishedRow]]:
    """Yield module name and row for every row that the named test modules publish."""
    for name in modules:
        for row in importlib.import_module(name).published_rows():
            yield name, row


REFERENCE = Path(__file__).resolve().parents[1] / "reference"


def read_reference(name: str) -> list[dict[str, str]]:
    """Return the rows of a reference file of the tests, such as ``metrology/rounding_examples.csv``."""
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def row_of(
    reference: dict[str, str], ours: float, *, quantity: str, tolerance: float | None = None, note: str = ""
) -> PublishedRow:
    """Return the published row of one line of a reference file, with our value beside it."""
    return PublishedRow(
        source=reference["source"],
        clause=reference["clause_or_table"],
        quantity=quantity,
        printed=reference["printed"],
        ours=ours,
        tolerance=tolerance,
        status=STATUS_OF_REFERENCE_FILES[reference["status"]],
        note=note,
    )
