"""Hydroxide and carbonate by two aliquots, one with barium chloride (Winkler)."""

import re
from importlib.resources import files
from math import isclose

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method, parse_method
from assaywright.assay.result import Outcome
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.refusal import Refusal

METHOD = "caustic-soda-by-barium-chloride"
EXAMPLE = load_method(METHOD).example.worksheet


def no_file(path: str) -> bytes:
    raise AssertionError(f"nothing rests on another file, and {path} was asked for")


def outcome(text: str) -> Outcome:
    return evaluate_worksheet(parse_worksheet(text.encode(), "pair.toml"), no_file)


def pair(total_mL: str, hydroxide_mL: str, report: str = "g/L") -> str:
    """Return the example's worksheet with one pair of aliquots of 25 mL and acid of 0.1000 mol/L, of no error."""
    head = EXAMPLE.partition("[[determination]]")[0].replace("0.1002 mol/L ±", "0.1000 mol/L ±")
    head = head.replace('analyst = ', 'titration_error = "0 mL ± 0.105 mL, rectangular"\nanalyst = ', 1)
    return f"""{head}
[report]
unit = "{report}"

[[determination]]
pipette = "pipette"
sample_temperature = "20.0 °C"
initial = "0.00 mL"
final = "{total_mL} mL"
hydroxide_initial = "0.00 mL"
hydroxide_final = "{hydroxide_mL} mL"
temperature = "20.0 °C"
"""


def test_two_aliquots_find_what_a_question_bank_finds_for_the_same_alkali() -> None:
    """Item W1 of warder_winkler_examples.csv: 25 mL hold NaOH 3.20 g/L and Na2CO3 2.12 g/L.

    The item gives 25 mL to phenolphthalein and 30 mL in all for 0.1 N acid, so hydroxide takes 2 × 25 − 30 = 20 mL, and
    so does an aliquot freed of carbonate.
    """
    total, hydroxide, carbonate = outcome(pair("30.00", "20.00")).results
    assert isclose(total.estimate.value, 4.80, abs_tol=0.005)
    assert isclose(hydroxide.estimate.value, 3.20, abs_tol=0.005)
    assert isclose(carbonate.estimate.value, 2.12, abs_tol=0.005)


def test_carbonate_in_millimoles_is_half_the_difference_of_the_two_titres() -> None:
    """Row S5 of warder_winkler_examples.csv: Na2CO3 = (total − hydroxide)/2 in mmol."""
    carbonate = outcome(pair("24.00", "22.00", "mol/L")).results[2]
    assert isclose(carbonate.estimate.value, (24.00 - 22.00) / 2 * 0.1000 / 25.00, rel_tol=1e-12)


def test_the_parts_make_up_the_whole_alkali() -> None:
    total, hydroxide, carbonate = (one.estimate.value for one in outcome(pair("30.00", "27.50", "mol/L")).results)
    assert isclose(total, hydroxide + 2 * carbonate, rel_tol=1e-12)


def test_little_carbonate_is_surer_by_two_aliquots_than_between_two_endpoints() -> None:
    """A paper's comparison of the two (row S6): an error at either endpoint counts twice between two endpoints."""
    by_aliquots = outcome(pair("30.00", "29.00")).results[2].estimate
    text = pair("30.00", "29.00").replace(METHOD, "caustic-soda-two-endpoints")
    text = re.sub(r'hydroxide_initial = .*\nhydroxide_final = .*\n', 'first = "29.50 mL"\n', text)
    by_endpoints = outcome(text).results[2].estimate
    assert isclose(by_aliquots.value, by_endpoints.value, rel_tol=1e-9)
    assert by_aliquots.standard_uncertainty < by_endpoints.standard_uncertainty


def test_carbonate_too_little_to_tell_is_remarked() -> None:
    found = {one.kind for one in outcome(pair("30.00", "29.99")).remarks}
    assert "hydroxide-not-distinguished" in found


def test_a_pair_without_its_second_aliquot_is_refused() -> None:
    text = re.sub(r"hydroxide_(initial|final) = .*\n", "", pair("30.00", "20.00"))
    with pytest.raises(Refusal, match="the aliquot with barium chloride are missing"):
        outcome(text)


def test_half_a_pair_of_readings_is_refused() -> None:
    text = re.sub(r"hydroxide_initial = .*\n", "", pair("30.00", "20.00"))
    with pytest.raises(Refusal, match="hydroxide_initial"):
        outcome(text)


def test_a_reading_beyond_the_scale_is_refused_under_its_own_name() -> None:
    with pytest.raises(Refusal, match=r"hydroxide_final.*beyond the scale"):
        outcome(pair("30.00", "50.20"))


def test_readings_after_barium_chloride_are_refused_where_the_method_has_no_such_aliquot() -> None:
    text = pair("30.00", "20.00").replace(METHOD, "caustic-soda-by-acid")
    with pytest.raises(Refusal, match="titrates no aliquot with barium chloride"):
        outcome(text)


def test_a_portion_that_is_weighed_out_twice_is_no_pair_of_aliquots() -> None:
    balance = '[balances.balance]\nid = "BAL-2"\nreadability = "0.1 mg"\nlinearity = "0.2 mg, rectangular"\n\n[report]'
    text = pair("30.00", "20.00").replace('pipette = "pipette"\nsample_temperature = "20.0 °C"', 'net = "25.1234 g"')
    with pytest.raises(Refusal, match="two equal aliquots are titrated"):
        outcome(text.replace("[report]", balance).replace('lot = "0690"', 'lot = "0690"\ndensity = "1.01 g/mL"'))


def test_the_equivalent_of_carbonate_counts_both_protons_here() -> None:
    """USP prints 52.99 mg for one milliequivalent in all (EF011), 106.0 mg between two endpoints (EF002)."""
    carbonate = load_method(METHOD).result.measurands[2].titrimetric_equivalent
    assert carbonate is not None
    assert (carbonate.mg_per_mL, carbonate.published_mg_per_mL) == ("52.994", "52.99")


def test_the_equivalent_between_two_endpoints_is_refused_for_two_aliquots() -> None:
    text = (files("assaywright.assay") / "methods" / f"{METHOD}.toml").read_text(encoding="utf-8")
    assert 'mg_per_mL = "52.994"' in text
    with pytest.raises(Refusal, match=r"is not the 52\.99"):
        parse_method(text.replace('mg_per_mL = "52.994"', 'mg_per_mL = "105.99"'))
