"""The units of the trade against the SI's own definitions."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import UNITS, canonical, conversion, exact_conversion, kind_of, units_of, with_article
from tests.published.rows import PublishedRow, as_parameters, assert_agrees

SI = "The International System of Units, SI Brochure, 9th edition"

# Typed in one unit, asked for in another, and the figure that the definition gives. All from memory.
DEFINITIONS = [
    ("Table 8", "1 L", "mL", "1000"),
    ("Table 8 with table 7", "1 µL", "mL", "0.001"),
    ("Table 7", "1 kg", "mg", "1000000"),
    ("Table 7", "1 µg", "mg", "0.001"),
    ("clause 2.3.1, degree Celsius", "0 °C", "K", "273.15"),
    ("clause 2.3.1, degree Celsius", "20 °C", "K", "293.15"),
    ("clause 2.3.1, degree Celsius", "300 K", "°C", "26.85"),
    ("Table 8, litre", "1 g/mL", "kg/m3", "1000"),
    ("Table 8, litre", "1 g/mL", "kg/L", "1"),
    ("Table 7", "1013.25 hPa", "Pa", "101325"),
    ("Table 7", "1 kPa", "hPa", "10"),
    ("Table 8", "1 day", "h", "24"),
    ("Table 8", "1 h", "min", "60"),
    ("Table 8", "1 h", "s", "3600"),
    ("Table 7", "1 mol/L", "mmol/L", "1000"),
    ("Table 7", "1 mg/mL", "g/L", "1"),
    ("Table 7", "1 mmol/kg", "mol/kg", "0.001"),
    ("clause 5.4.7, per cent", "1 %", "1", "0.01"),
]


def published_rows():
    for clause, typed, unit, printed in DEFINITIONS:
        ours = read_quantity(typed).to(canonical(unit))
        yield PublishedRow(SI, clause, f"{typed} in {unit}", printed, ours, tolerance=1e-12, status="from memory")
    yield PublishedRow(
        "Per cent weight in volume", "definition: grams in 100 mL", "20 % w/v in g/L", "200",
        read_quantity("20 % w/v").to("g/L"), status="common practice, no source",
    )
    yield PublishedRow(
        "Normality", "1 meq in 1 mL is 1 eq in 1 L", "0.1 N in meq/L", "100", read_quantity("0.1 N").to("meq/L"),
        status="common practice, no source",
    )


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_a_conversion_gives_what_the_definition_of_the_units_says(row):
    assert_agrees(row)


@pytest.mark.parametrize(
    ("typed", "symbol"),
    [
        ("ml", "mL"), ("cm³", "mL"), ("µl", "µL"), ("μL", "µL"), ("uL", "µL"), ("℃", "°C"), ("degC", "°C"),
        ("° C", "°C"), ("g/cm3", "g/mL"), ("g·cm⁻³", "g/mL"), ("g cm⁻³", "g/mL"), ("mol·L⁻¹", "mol/L"),
        ("mol L⁻¹", "mol/L"),
        ("mol/dm³", "mol/L"), ("kg·m⁻³", "kg/m3"), ("N", "eq/L"), ("M", "mol/L"), ("%w/v", "% w/v"),
        ("% (m/m)", "% w/w"), ("K⁻¹", "/K"), ("1/K", "/K"), ("g·mol⁻¹", "g/mol"), ("", "1"),
        ("mol\u00a0L⁻¹", "mol/L"), ("mmol\u2009/L", None),
    ],
)
def test_the_usual_spellings_of_a_unit_are_read(typed, symbol):
    if symbol is None:
        with pytest.raises(Refusal, match="not known"):
            canonical(typed)
    else:
        assert canonical(typed) == symbol


@pytest.mark.parametrize("typed", ["ML", "gm", "mols", "ppm", "Mg", "n", "mol"])
def test_an_unknown_unit_is_refused_by_name(typed):
    with pytest.raises(Refusal, match=f"the unit '{typed}' is not known"):
        canonical(typed)


@pytest.mark.parametrize(
    ("source", "target", "kind"),
    [
        ("g", "mL", "a volume"), ("mol/kg", "mol/L", "an amount concentration"),
        ("% w/w", "% w/v", "a mass concentration"),
        ("% w/v", "% w/w", "a mass fraction"), ("%", "% w/w", "a mass fraction"), ("% w/w", "%", "a ratio"),
        ("g/mL", "g/L", "a mass concentration"), ("mol/L", "g/L", "a mass concentration"),
        ("K", "/K", "an expansion coefficient"),
    ],
)
def test_units_of_different_kinds_are_never_turned_into_one_another(source, target, kind):
    with pytest.raises(Refusal, match=f"{kind} in {target} is expected"):
        conversion(source, target)


@pytest.mark.parametrize(("source", "target"), [("eq/L", "mol/L"), ("mol/L", "eq/L"), ("meq/L", "mmol/L")])
def test_equivalents_per_litre_are_not_moles_per_litre_because_the_reaction_decides(source, target):
    """JOB edge case 1: 1 N depends on the reaction."""
    with pytest.raises(Refusal, match="name the reaction"):
        conversion(source, target)


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.symbol)
def test_every_unit_is_its_own_spelling_and_converts_to_each_of_its_kind_and_back(unit):
    assert canonical(unit.symbol) == unit.symbol
    assert kind_of(unit.symbol) == unit.kind
    assert with_article(unit.kind).endswith(unit.kind)
    for other in units_of(unit.kind):
        there, back = exact_conversion(unit.symbol, other), exact_conversion(other, unit.symbol)
        assert there[0] * back[0] == 1
        assert back[0] * there[1] + back[1] == 0


def test_no_spelling_names_two_units():
    spellings = [spelling for unit in UNITS for spelling in (unit.symbol, *unit.spellings)]
    assert len(spellings) == len(set(spellings))


@given(st.decimals(min_value=-10**6, max_value=10**6, places=4))
def test_a_conversion_is_rounded_once_and_no_more(value):
    quantity = Quantity(value, "°C", str(value))
    assert quantity.to("K") == float(Fraction(value) + Fraction("273.15"))


def test_the_stated_uncertainty_of_a_temperature_has_no_offset():
    assert read_quantity("22.0 °C ± 0.5 °C, standard").uncertainty_in("K") == 0.5
    assert read_quantity("22.0 °C").uncertainty_in("K") == 0.0
    with pytest.raises(Refusal):
        read_quantity("22.0 °C ± 0.5 °C, standard").uncertainty_in("mL")
