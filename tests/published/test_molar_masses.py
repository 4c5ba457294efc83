"""Molar masses as certificates, monographs and a guide print them, and the atomic weights they rest on."""

import csv
import tomllib
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from assaywright.chemistry.formula import molar_mass
from assaywright.reference.tables import atomic_weight
from tests.published.rows import STATUS_OF_REFERENCE_FILES, PublishedRow, as_parameters, assert_agrees

FOLDER = Path(__file__).parents[1] / "reference"
# A certificate rests on the atomic weights of its day.
EDITION = {"Na2C2O4": "CIAAW 2007"}
WIDER = {"H3BO3": (0.01, "rests on the abridged atomic weight of boron, 10.81; the interval's midpoint is 10.8135")}
ELEMENTS = {"C8": ("C", 8), "H5": ("H", 5), "O4": ("O", 4), "K1": ("K", 1)}


def rows_of(name: str) -> list[dict[str, str]]:
    with (FOLDER / "titrimetry" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def published_rows() -> Iterator[PublishedRow]:
    for row in rows_of("molar_mass_checks"):
        allowed, note = WIDER.get(row["formula"], (None, f"atomic weights of {EDITION.get(row['formula'], 'today')}"))
        ours = molar_mass(row["formula"], EDITION.get(row["formula"], "")).value
        yield PublishedRow(row["source"], row["clause_or_table"], f"molar mass of {row['formula']}, g/mol",
                           row["molar_mass_printed"], ours, allowed, STATUS_OF_REFERENCE_FILES[row["status"]], note)
    yield PublishedRow("BAM certificate U2-0113", "molar mass used", "molar mass of C8H5KO4, g/mol", "204.2212",
                       molar_mass("C8H5KO4", "CIAAW 2007").value, note="atomic weights of CIAAW 2007")
    guide = FOLDER / "metrology" / "uncertainty_examples" / "quam_a2_element_table.toml"
    example = tomllib.loads(guide.read_text(encoding="utf-8"))
    for printed in example["printed"]:
        if printed["quantity"] in ELEMENTS:
            symbol, count = ELEMENTS[printed["quantity"]]
            ours = atomic_weight(symbol, "QUAM 2012 A2").estimate.scaled(count, "g/mol")
        else:
            ours = molar_mass("C8H5KO4", "QUAM 2012 A2")
        yield PublishedRow(example["source"], example["clause_or_table"],
                           f"{printed['quantity']}, {printed['kind']}, g/mol", printed["text"],
                           ours.value if printed["kind"] == "value" else ours.standard_uncertainty,
                           printed["tolerance"] if printed["text"] == "0.00068" else None,
                           STATUS_OF_REFERENCE_FILES[printed["status"]],
                           "the guide multiplies the rounded 0.00017 by 4" if printed["text"] == "0.00068" else "")
    for row in rows_of("atomic_weights"):
        weight = atomic_weight(row["symbol"], "CIAAW 2021")
        yield PublishedRow(row["source"], row["clause_or_table"], f"atomic weight of {row['symbol']}",
                           row["midpoint"], weight.value, 1e-12, STATUS_OF_REFERENCE_FILES[row["status"]],
                           f"printed {row['standard_atomic_weight_2021']}")


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_value_is_the_published_one(row):
    assert_agrees(row)


def test_the_bracket_and_the_interval_are_bounds_of_a_rectangular_distribution():
    for row in rows_of("atomic_weights"):
        half_width = atomic_weight(row["symbol"], "CIAAW 2021").half_width
        if row["lower"]:
            assert half_width == pytest.approx((float(row["upper"]) - float(row["lower"])) / 2, rel=1e-9)
        else:
            bracket = float(row["notes"].split("printed uncertainty ")[1].split(";")[0])
            assert half_width == pytest.approx(bracket, rel=1e-9), row["symbol"]


def test_every_printed_molar_mass_lies_within_the_spread_of_the_atomic_weights_of_today():
    for row in rows_of("molar_mass_checks"):
        ours = molar_mass(row["formula"])
        digits = len(row["molar_mass_printed"].partition(".")[2])
        spread = 2 * ours.standard_uncertainty + float(Fraction(1, 2) / 10**digits)
        assert ours.value == pytest.approx(float(row["molar_mass_printed"]), abs=spread), row["formula"]
