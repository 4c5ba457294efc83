"""Densities of solutions as handbooks print them, and the contents they print beside them."""

from collections.abc import Iterator

import pytest

from assaywright.chemistry.density import solution_density
from assaywright.chemistry.density_curve import density_curve
from assaywright.chemistry.density_law import solution_density_laliberte_cooper2004
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.model import PlainMeans
from assaywright.reference.densities import density_laws
from tests.published.rows import STATUS_OF_REFERENCE_FILES, PublishedRow, as_parameters, assert_agrees, read_reference

FILE = "volumetry/solution_densities.csv"
NAMES = {"disodium EDTA dihydrate": "disodium edetate", "oxalic acid": "oxalic acid, anhydrous"}
AT_18_DEGC = "Cracow University of Technology physics tables"
# At 18 °C "HCl 25 %: 1.01248" and "H2SO4 20 %: 1.4060" are misprints; only HCl is measured at other temperatures here.
MISPRINTED_AT_18_DEGC = ("1.01248", "1.4060")
OTHER_SOURCES = ("encyclopedia table", "Perry's", AT_18_DEGC)
# Not potassium hydroxide: this handbook's own table lies 0.4 to 0.7 % below the others.
OF_THE_LAW = ("hydrochloric acid", "sodium hydroxide", "sodium chloride", "potassium chloride", "potassium iodide",
              "sodium thiosulfate", "sodium carbonate", "nitric acid", "phosphoric acid")


def rows_held() -> Iterator[dict[str, str]]:
    """Yield the rows of other sources than our tables, at temperatures and contents of which densities are held."""
    for row in read_reference(FILE):
        if not row["source"].startswith(OTHER_SOURCES) or row["density_g_per_mL"] in MISPRINTED_AT_18_DEGC:
            continue
        solute = find_solute(NAMES.get(row["solute"], row["solute"]))
        degrees, percent = float(row["temperature_C"]), float(row["mass_pct"])
        measured = degrees == 20 or (solute.name in ("hydrochloric acid", "sodium chloride") and percent < 18)
        if measured and percent <= density_curve(solute, degrees).greatest_percent:
            yield row


def published_rows() -> Iterator[PublishedRow]:
    """Yield densities of other sources beside ours: within our expanded uncertainty and their rounding."""
    for row in rows_held():
        solute = find_solute(row["solute"])
        ours = solution_density(solute, float(row["mass_pct"]), float(row["temperature_C"]))
        half_unit = 0.5 * 10.0 ** -len(row["density_g_per_mL"].partition(".")[2])
        own = 0.0002 if row["source"] == AT_18_DEGC else 0.0
        yield PublishedRow(
            row["source"], row["clause_or_table"],
            f"density of {row['mass_pct']} % w/w {row['solute']} at {row['temperature_C']} °C, g/mL",
            row["density_g_per_mL"], ours.value, 2 * ours.standard_uncertainty + half_unit + own,
            STATUS_OF_REFERENCE_FILES[row["status"]],
            "within our stated uncertainty (k = 2) and the rounding"
            + (", and 0.0002 for a school table whose neighbouring rows scatter by as much" if own else ""),
        )
    yield from _rows_of_the_law()


def _rows_of_the_law() -> Iterator[PublishedRow]:
    """Yield the law of Laliberté and Cooper beside the handbook, within the uncertainty that we state for it."""
    for row in read_reference(FILE):
        solute = find_solute(NAMES.get(row["solute"], row["solute"]))
        law = density_laws().get(solute.anhydrous.text)
        if law is None or row["solute"] not in OF_THE_LAW or not row["source"].startswith("CRC"):
            continue
        percent = float(row["mass_pct"])
        if percent > law.greatest_mass_percent or percent % 4:
            continue
        ours = float(solution_density_laliberte_cooper2004(law, percent, 20.0, PlainMeans()))
        yield PublishedRow(
            row["source"], row["clause_or_table"],
            f"density of {row['mass_pct']} % w/w {row['solute']} at 20 °C by the law of Laliberté and Cooper, g/mL",
            row["density_g_per_mL"], ours, 2 * (0.01 * abs(ours - 0.9982) + 0.0001), "read",
            "within the uncertainty that we state for the law: 1 % of the difference from water (k = 2)",
        )


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_value_is_the_published_one(row):
    assert_agrees(row)


def test_every_table_in_use_is_the_print_row_by_row():
    printed = {(NAMES.get(row["solute"], row["solute"]), row["temperature_C"], row["mass_pct"]): row
               for row in read_reference(FILE) if row["source"].startswith(("CRC", "advancedthermo"))}
    assert len(printed) == 555
    for (substance, degrees, percent), row in printed.items():
        ours = solution_density(substance, float(percent), float(degrees))
        assert ours.value == pytest.approx(float(row["density_g_per_mL"]), abs=1e-9), (substance, degrees, percent)


def test_the_misprints_at_18_degC_are_told_from_the_table():
    for row in read_reference(FILE):
        if row["density_g_per_mL"] == "1.01248":
            ours = solution_density("HCl", float(row["mass_pct"]))
            assert abs(float(row["density_g_per_mL"]) - ours.value) > 0.1
            assert ours.value == pytest.approx(1.1248, abs=0.0015)


def test_the_column_headed_15_degC_is_one_at_10_degC():
    # Poradnik fizykochemiczny, WNT 1974: seven densities of sodium chloride under the heading 15 °C.
    column = [row for row in read_reference(FILE)
              if row["source"].startswith("Poradnik") and row["temperature_C"] == "15"]
    assert len(column) == 7
    for row in column:
        percent, printed = float(row["mass_pct"]), float(row["density_g_per_mL"])
        assert solution_density("NaCl", percent, 10.0).value == pytest.approx(printed, abs=0.00006)
        assert abs(solution_density("NaCl", percent, 15.0).value - printed) > 0.0007
