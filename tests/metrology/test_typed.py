"""Quantities as typed: what is read, what is asked about, and what is refused."""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_number, read_quantity, read_spread, shown
from assaywright.metrology.units import UNITS
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference

# --- published half widths and expanded uncertainties -----------------------------------------------------------------

CADMIUM = 1000 * 100.28 * 0.9999 / 100
CAUSTIC_SODA = 0.102136159706
ACID = 1000 * 0.3888 * 14.89 / (18.64 * 204.2212 * 15)

# Of each row: what was typed, and the sensitivity of the printed contribution (value over volume), from its own inputs.
CONTRIBUTIONS = {
    ("A1", "contribution of the flask tolerance"): ("0.1 mL, triangular", CADMIUM / 100),
    ("A1", "contribution of temperature"): ("0.084 mL, rectangular", CADMIUM / 100),
    ("A2", "contribution of burette calibration"): ("0.03 mL, triangular", CAUSTIC_SODA / 18.64),
    ("A3", "contribution of V2 calibration"): ("0.03 mL, triangular", ACID / 14.89),
    ("A3", "contribution of V1 calibration"): ("0.03 mL, triangular", ACID / 18.64),
    ("A3", "contribution of pipette calibration"): ("0.02 mL, triangular", ACID / 15),
    ("A3", "contribution of V2 temperature"): ("0.0126 mL, rectangular", ACID / 14.89),
}


def published_rows():
    for row in read_reference("volumetry/volume_uncertainty_examples.csv"):
        key = (row["example"], row["quantity"])
        if key in CONTRIBUTIONS:
            typed, sensitivity = CONTRIBUTIONS[key]
            ours = sensitivity * read_spread(typed).uncertainty.standard_uncertainty
            yield PublishedRow(row["source"], row["clause_or_table"], f"{row['quantity']} [{row['unit']}]",
                               row["value_printed"], ours, status="read")
    gum = "JCGM 100:2008 (GUM 1995 with minor corrections)"
    copper = read_quantity("0.00001652 /K ± 0.00000040 /K, rectangular").uncertainty.standard_uncertainty
    yield PublishedRow(gum, "4.3.7 example 1", "standard uncertainty of the expansion of copper [1e-6 /K]", "0.23",
                       copper * 1e6, status="from memory")
    mass = read_quantity("1000.000325 g ± 240 µg, k = 3").uncertainty.standard_uncertainty
    yield PublishedRow(gum, "4.3.3 example", "standard uncertainty of a calibrated mass [µg]", "80", mass * 1e6,
                       status="from memory")


def test_every_published_contribution_is_found_in_its_file():
    assert len(list(published_rows())) == len(CONTRIBUTIONS) + 2


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_a_stated_half_width_or_expanded_uncertainty_is_the_published_standard_uncertainty(row):
    assert_agrees(row)


# --- what is read -----------------------------------------------------------------------------------------------------


def test_the_number_stays_as_typed_because_its_zeros_say_something():
    """JOB edge case 70: 0.100 as shown and 0.09962 as held are two different statements."""
    typed, short = read_quantity("24.50 mL"), read_quantity("24.5 mL")
    assert typed.value == short.value
    assert (typed.text, str(typed.value), typed.resolution) == ("24.50 mL", "24.50", 0.01)
    assert (short.text, str(short.value), short.resolution) == ("24.5 mL", "24.5", 0.1)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("−0.05 mL", "-0.05", "mL"),
        ("+0.012 mL", "0.012", "mL"),
        ("24.50\u00a0mL", "24.50", "mL"),
        ("24.50\u202fmL", "24.50", "mL"),
        ("24.50mL", "24.50", "mL"),
        ("  24.50   mL ", "24.50", "mL"),
        ("1\u202f013.25 hPa", "1013.25", "hPa"),
        ("0.102\u2009136\u2009160 mol/L", "0.102136160", "mol/L"),
        ("22.0 ℃", "22.0", "°C"),
        ("22.0 degC", "22.0", "°C"),
        ("1.2e-3 mol/L", "0.0012", "mol/L"),
        ("1.2×10⁻³ mol·L⁻¹", "0.0012", "mol/L"),
        ("1.2 x 10^-3 mol/L", "0.0012", "mol/L"),
        ("500 µL", "500", "µL"),
        ("500 μL", "500", "µL"),
        ("20 % w/v", "20", "% w/v"),
        ("1", "1", "1"),
        ("0.1 N", "0.1", "eq/L"),
    ],
)
def test_signs_spaces_and_letters_of_every_keyboard_are_read(text, value, unit):
    """JOB edge cases 63 and 65: thin spaces, −, µ, °, ×, superscript digits."""
    quantity = read_quantity(text)
    assert (quantity.value, quantity.unit) == (Decimal(value), unit)
    assert quantity.text == text


@pytest.mark.parametrize(
    ("text", "form", "standard_uncertainty"),
    [
        ("99.97 % ± 0.07 %, k = 2", "expanded", 0.035),
        ("99.97 % ± 0.07 %, k=2.58", "expanded", 0.07 / 2.58),
        ("99.97 % +/- 0.07 %, k = 2", "expanded", 0.035),
        ("99.97 % ± 0.07, k = 2", "expanded", 0.035),
        ("99.97 % ± 0.07 % (k = 2)", "expanded", 0.035),
        ("99.97 % ± 0.07 %, standard", "standard", 0.07),
        ("99.97 % ± 0.07 %, rectangular", "rectangular", 0.07 / math.sqrt(3)),
        ("99.97 % ± 0.07 %, triangular", "triangular", 0.07 / math.sqrt(6)),
    ],
)
def test_purity_with_its_uncertainty_means_what_its_form_says(text, form, standard_uncertainty):
    """JOB edge case 35: 99.97 ± 0.07 with k = 2 is no standard uncertainty; another has k = 2.58 or an interval."""
    stated = read_quantity(text).uncertainty
    assert stated.form == form
    assert stated.standard_uncertainty == pytest.approx(standard_uncertainty, rel=1e-15)


def test_degrees_of_freedom_are_read_and_infinite_when_not_stated():
    assert read_quantity("20 mL ± 0.02 mL, k = 2, 24 degrees of freedom").uncertainty.degrees_of_freedom == 24
    assert read_quantity("20 mL ± 0.02 mL, k = 2").uncertainty.degrees_of_freedom == math.inf
    pooled = read_spread("0.05 %, 24 degrees of freedom", "%", form="standard")
    assert pooled.value == pooled.uncertainty.amount == Decimal("0.05")
    assert (pooled.uncertainty.form, pooled.uncertainty.degrees_of_freedom) == ("standard", 24)


def test_an_uncertainty_in_another_unit_of_the_kind_is_turned_into_the_quantitys_own():
    assert read_quantity("5 mL ± 8 µL, rectangular").uncertainty.amount == Decimal("0.008")
    assert read_quantity("22.0 °C ± 0.5 K, standard").uncertainty.amount == Decimal("0.5")


def test_a_tolerance_stands_alone_with_its_form():
    tolerance = read_spread("0.05 mL, triangular", "mL")
    assert (tolerance.value, tolerance.uncertainty.amount, tolerance.uncertainty.form) == (
        Decimal("0.05"), Decimal("0.05"), "triangular")
    assert read_spread("± 0.05 mL, triangular", "mL").value == tolerance.value
    with pytest.raises(Refusal, match="value before the ±"):
        read_spread("20 mL ± 0.05 mL, triangular", "mL")


# --- decimal marks ----------------------------------------------------------------------------------------------------


def test_a_decimal_comma_is_read_where_the_worksheet_says_so():
    """JOB edge case 63."""
    quantity = read_quantity("0,1002 mol/L ± 0,0001 mol/L, k = 2", decimal_mark=",")
    assert (quantity.value, quantity.uncertainty.amount) == (Decimal("0.1002"), Decimal("0.0001"))
    assert read_quantity("1,002 mL", decimal_mark=",").value == Decimal("1.002")
    assert read_quantity("1.002 mL").value == Decimal("1.002")


@pytest.mark.parametrize(
    ("text", "mark", "question"),
    [
        ("1,002 mL", ".", '"1,002" may mean 1.002 or 1002'),
        ("1.002 mL", ",", '"1.002" may mean 1,002 or 1002'),
        ("24,50 mL", ".", "write 24.50, or set decimal_mark"),
        ("24.50 mL", ",", "write 24,50, or set decimal_mark"),
        ("1,002.5 mL", ".", "leave the comma out"),
        ("1.002,5 mL", ",", "leave the point out"),
        ("1,002,500 mL", ".", "leave the comma out"),
        ("24.5.0 mL", ".", "more than one decimal point"),
        ("24. mL", ".", "no digit on one side"),
        (".5 mL", ".", "no digit on one side"),
        ("1 002 mL", ".", "has a space in it"),
    ],
)
def test_a_number_that_could_be_two_is_asked_about(text, mark, question):
    """JOB edge case 63: "1.002" as 1,002."""
    with pytest.raises(Refusal) as caught:
        read_quantity(text, decimal_mark=mark)
    assert question in str(caught.value)


# --- what is refused --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "nothing where a number is wanted"),
        ("mL", "does not begin with a number"),
        ("nan mL", "not a finite number"),
        ("NaN", "not a finite number"),
        ("-inf mL", "not a finite number"),
        ("∞ mL", "not a finite number"),
        ("24.50", "no unit"),
        ("24.50 g", "a volume in mL is expected, and g is a unit of mass"),
        ("24.50 mols", "the unit 'mols' is not known"),
        ("24.50 mL ± 0.02 mL", "it is not said what ± 0.02 mL is"),
        ("24.50 mL ± 0 mL, standard", "not above zero"),
        ("24.50 mL ± -0.02 mL, standard", "not above zero"),
        ("24.50 mL ± nan mL, standard", "not a finite number"),
        ("24.50 mL ± 0.02 mL, normal", "does not say what the uncertainty is"),
        ("24.50 mL ± 0.02 mL, k = 0", "not a number above zero"),
        ("24.50 mL ± 0.02 mL, k = 2, rectangular", "says twice"),
        ("24.50 mL ± 0.02 mL, k = 2, 0 degrees of freedom", 'degrees of freedom "0" is not 1 or more'),
        ("24.50 mL ± 0.02 mL, k = 2, 0.5 degrees of freedom", 'degrees of freedom "0.5" is not 1 or more'),
        ("24.50 mL ± 0.1 %, k = 2", "the uncertainty is in % and the value in mL"),
        ("24.50 mL ± 0.02 mL ± 0.01 mL, k = 2", "more than one ±"),
        ("± 0.02 mL, k = 2", "nothing where a number is wanted"),
        ("0.05 mL, triangular", "without a ±"),
        ("1e400 mL", "no measurement gives"),
        ("1e99999 mL", "more digits than any measurement"),
        ("0e9999 mL", "not a usual way to write zero"),
        ("1234567890123456789012345678901 mL", "more digits than any measurement"),
        ("24.50 mL" + " " * 300, "too long"),
        ("²4 mL", "does not begin with a number"),
        ("٣ mL", "does not begin with a number"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(text, sentence):
    with pytest.raises(Refusal) as caught:
        read_quantity(text, "mL")
    told = str(caught.value)
    assert sentence in told
    assert told.isprintable()
    assert told.endswith(".")


def test_several_kinds_may_be_welcome_and_the_sentence_names_them():
    assert read_quantity("0.1 N", "mol/L", "eq/L").unit == "eq/L"
    with pytest.raises(Refusal, match="in mol/L or an equivalent concentration in eq/L is expected, and % w/v"):
        read_quantity("20 % w/v", "mol/L", "eq/L")
    with pytest.raises(Refusal, match="a number without unit is expected"):
        read_quantity("2 mL", "1")


def test_a_number_alone_has_nothing_behind_it():
    assert read_number("0.8") == Decimal("0.8")
    with pytest.raises(Refusal, match="not a number alone"):
        read_number("0.8 mL")


def test_text_in_a_sentence_is_short_and_printable():
    assert shown("a\x1b[31m\nb") == "a [31m b"
    assert len(shown("x" * 1000)) == 40


# --- anything at all --------------------------------------------------------------------------------------------------

SYMBOLS = st.sampled_from([unit.symbol for unit in UNITS])
FIGURES = st.decimals(min_value=Decimal("-1e9"), max_value=Decimal("1e9"), places=5)


@given(FIGURES, SYMBOLS)
def test_every_number_with_its_unit_comes_back_exactly(value, symbol):
    quantity = read_quantity(f"{value:f} {symbol}".removesuffix(" 1"))
    assert (quantity.value, quantity.unit) == (value, symbol)


def answer(read, text, **keywords):
    """Return what is read, or the refusal; anything else that is raised fails the test."""
    try:
        return read(text, **keywords)
    except Refusal as refusal:
        return refusal


@given(st.text())
def test_any_text_gives_a_quantity_or_a_refusal(text):
    for read in (read_quantity, read_spread, read_number):
        found = answer(read, text)
        if isinstance(found, Refusal):
            assert str(found).isprintable()
        else:
            assert math.isfinite(float(getattr(found, "value", found)))


PIECES = st.sampled_from(["24.50", "1,002", "±", "+/-", "mL", "mol/L", "%", " ", "\u202f", "k = 2", "k", "=", ",", ";",
                          "(", ")", "rectangular", "standard", "degrees of freedom", "24", "−", "e", "×10", "⁻³", "^",
                          "N"])


@given(st.lists(PIECES, max_size=12).map("".join), st.sampled_from([".", ","]))
def test_any_heap_of_pieces_gives_a_quantity_or_a_refusal(text, mark):
    found = answer(read_quantity, text, decimal_mark=mark)
    if isinstance(found, Refusal):
        assert str(found).isprintable()
    else:
        assert math.isfinite(float(found.value))
        assert found.uncertainty is None or found.uncertainty.standard_uncertainty > 0
