"""Titrimetric equivalents as pharmacopoeias and textbooks print them: molar mass times concentration times ratio."""

import csv
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from assaywright.chemistry.equivalent import titrimetric_equivalent
from tests.published.rows import STATUS_OF_REFERENCE_FILES, PublishedRow, as_parameters, assert_agrees

FILE = Path(__file__).parents[1] / "reference" / "titrimetry" / "equivalence_factors.csv"
# Prints that do not follow from the atomic weights of today to half a unit of their last digit.
PRINT_OFF = {
    "EF008": (0.006, "rests on the abridged atomic weight of boron, 10.81"),
    "EF054": (0.001, "the print cuts off: 214.0/60 is 3.567"),
    "EF072": (0.006, "the print halves the rounded 106.0; others print 52.99"),
    "EF077": (0.0002, "printed as the divisor 100.09 g/mol, here times 0.05"),
    "EF111": (0.006, "rests on the abridged atomic weight of sulfur, 32.06"),
    "EF142": (0.0007, "rests on the abridged atomic weight of sulfur, 32.06"),
}


def rows_of_the_file() -> list[dict[str, str]]:
    with FILE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def published_rows() -> Iterator[PublishedRow]:
    for row in rows_of_the_file():
        allowed, note = PRINT_OFF.get(row["id"], (None, ""))
        ours = titrimetric_equivalent(row["formula_counted"], float(row["titrant_conc"]),
                                      Fraction(row["mol_analyte_per_titrant_unit"]))
        yield PublishedRow(
            row["source"], row["clause_or_table"],
            f"{row['analyte']} by {row['titrant_conc']} {row['conc_unit']} {row['titrant']}, mg/mL",
            row["factor_mg_per_mL"], ours.value, allowed, STATUS_OF_REFERENCE_FILES[row["status"]], note)


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_value_is_the_published_one(row):
    assert_agrees(row)


def test_all_but_the_listed_prints_are_reproduced_to_their_last_digit():
    exact = [row for row in published_rows() if row.tolerance is None]
    assert len(exact) == len(rows_of_the_file()) - len(PRINT_OFF) == 101
    for row in published_rows():
        assert (row.tolerance is None) == (abs(row.difference) <= row.half_unit), str(row)


def test_no_print_is_further_off_than_one_part_in_two_thousand_beside_its_rounding():
    for row in published_rows():
        assert abs(float(row.difference)) <= 0.0005 * row.ours + float(row.half_unit), str(row)
