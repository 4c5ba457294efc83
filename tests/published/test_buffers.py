"""The pH of standard buffers as standards and papers print it: from the table held, and computed from composition."""

from collections.abc import Iterator

import pytest

from assaywright.chemistry.buffer import buffer_state
from assaywright.chemistry.buffer_equilibrium import Ingredient
from assaywright.chemistry.buffer_standard import computed_pH, standard_pH
from assaywright.metrology.estimate import exact
from assaywright.reference.buffers import standard_buffer, standard_buffers
from tests.published.rows import STATUS_OF_REFERENCE_FILES, PublishedRow, as_parameters, assert_agrees, read_reference

FILE = "titrimetry/buffer_ph.csv"
IUPAC = "IUPAC Recommendations 2002, Pure Appl. Chem. 74, 2169; calcium hydroxide: Bates, J. Res. NBS 66A (1962) 179"
BATES = "Bates, Determination of pH, 2nd edition 1973"
COLDEST_DEGC, WARMEST_DEGC = 5.0, 40.0
WITHIN = 0.02
TRIS, ACID = "tris(hydroxymethyl)aminomethane", "hydrochloric acid"
# Of the two tris buffers the hydrochloride stands as tris with hydrochloric acid.
OTHER_BUFFERS = (
    ("0.1 mol/L acetic acid with 0.1 mol/L sodium acetate", 25.0, "4.65",
     (("acetic acid", 0.1), ("sodium acetate", 0.1))),
    ("0.01667 mol/kg tris with 0.05 mol/kg tris hydrochloride", 25.0, "7.699", ((TRIS, 0.0665), (ACID, 0.0499))),
    ("0.01667 mol/kg tris with 0.05 mol/kg tris hydrochloride", 37.0, "7.382", ((TRIS, 0.0663), (ACID, 0.0497))),
)


def published_rows() -> Iterator[PublishedRow]:
    """Yield reference values beside the table held and beside the pH computed from composition."""
    for row in read_reference(FILE):
        degrees = float(row["temperature_C"])
        held = [point.temperature_degC for point in standard_buffer(row["buffer"]).points]
        half_unit = 0.5 * 10.0 ** -len(row["printed"].partition(".")[2])
        status = STATUS_OF_REFERENCE_FILES[row["status"]]
        quantity = f"pH of the {row['buffer']} buffer at {row['temperature_C']} °C"
        if held[0] <= degrees <= held[-1]:
            yield PublishedRow(
                row["source"], row["clause_or_table"], f"{quantity}, from the table", row["printed"],
                standard_pH(row["buffer"], degrees).value, 2 * 0.005 + half_unit, status,
                "the assignments of standards differ by their conventions: expanded uncertainty 0.01 and the rounding")
        if COLDEST_DEGC <= degrees <= WARMEST_DEGC:
            yield PublishedRow(
                row["source"], row["clause_or_table"], f"{quantity}, computed", row["printed"],
                computed_pH(row["buffer"], degrees), WITHIN + half_unit, status,
                "computed: within 0.02 and the rounding")
    yield from _rows_of_the_table()
    for name, degrees, printed, parts in OTHER_BUFFERS:
        ingredients = tuple(Ingredient(substance, exact(amount, "mol/L")) for substance, amount in parts)
        yield PublishedRow(BATES, "reference solutions", f"pH of {name} at {degrees:g} °C, computed", printed,
                           buffer_state(ingredients, degrees).pH.value, WITHIN, "from memory", "computed: within 0.02")


def _rows_of_the_table() -> Iterator[PublishedRow]:
    for name in standard_buffers():
        for point in standard_buffer(name).points:
            if COLDEST_DEGC <= point.temperature_degC <= WARMEST_DEGC:
                yield PublishedRow(
                    IUPAC, "reference values", f"pH of the {name} buffer at {point.temperature_degC:g} °C, computed",
                    f"{point.pH:.3f}", computed_pH(name, point.temperature_degC), WITHIN, "from memory",
                    "computed: within 0.02")


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_value_is_the_published_one(row):
    assert_agrees(row)


def test_without_its_ion_pair_lime_water_would_be_too_alkaline():
    from assaywright.chemistry.buffer_equilibrium import pH_of
    from assaywright.chemistry.equilibrium import StrongIon

    unpaired = pH_of({"Ca2+": (StrongIon("Ca2+", 2), 0.0203 * 0.997)}, 25.0).pH
    assert unpaired - 12.454 > 2 * abs(computed_pH("calcium hydroxide", 25.0) - 12.454)


def test_warmer_than_claimed_the_computed_values_are_still_within_three_hundredths():
    for name in standard_buffers():
        for point in standard_buffer(name).points:
            if point.temperature_degC == 50.0:
                assert abs(computed_pH(name, 50.0) - point.pH) < 0.03, name
