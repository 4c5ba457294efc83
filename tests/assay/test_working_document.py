"""The working as a document."""

from dataclasses import replace
from decimal import Decimal

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method
from assaywright.assay.working_document import working_document
from assaywright.assay.worksheet import parse_worksheet
from tests.reports import tarn_hollow


def example(name):
    return evaluate_worksheet(parse_worksheet(load_method(name).example.worksheet.encode(), f"{name}.toml"), bytes)


def test_the_last_line_of_the_calculation_rounds_to_the_printed_result():
    outcome = example("caustic-soda-by-acid")
    document = working_document(outcome)
    printed = Decimal(document.results[0].value)
    carried = Decimal(document.calculations[0].lines[-1].value)
    assert abs(carried - printed) <= Decimal(5).scaleb(printed.as_tuple().exponent - 1)


def test_a_given_number_stands_without_its_unit_and_with_the_digits_it_was_typed_with():
    given = {item.label: item for item in working_document(example("naoh-by-khp")).given}
    assert (given["final reading"].value, given["final reading"].unit) == ("18.64", "mL")
    content = given["certified content of potassium hydrogen phthalate"]
    assert (content.value, content.unit) == ("100.0", "%")


def test_an_input_of_several_results_is_listed_once():
    document = working_document(example("caustic-soda-two-endpoints"))
    assert len(document.calculations) == len(document.results) > 1
    assert len(set(document.given)) == len(document.given)


def test_a_line_is_written_once_but_again_after_its_symbol_has_meant_something_else():
    outcome = example("caustic-soda-two-endpoints")
    latest = {}
    for calculation, working in zip(working_document(outcome).calculations, outcome.workings, strict=True):
        latest |= {line.symbol: line for line in calculation.lines}
        assert all(latest[line.symbol] == line for line in working.lines)


def test_the_shares_of_the_budget_are_in_per_cent_and_none_is_rounded_away_to_nothing():
    budget = working_document(tarn_hollow.outcome()).budget
    assert [row.share for row in budget] == ["74.8 %", "25.2 %", "< 0.1 %"]
    assert [row.degrees_of_freedom for row in budget] == ["∞", "24", "∞"]


def test_an_excluded_determination_stays_on_record_with_its_reason():
    rows = working_document(tarn_hollow.outcome()).replicates
    assert [bool(row.excluded) for row in rows] == [False, False, False, True]
    assert rows[3].value == "20.6120"


@pytest.mark.parametrize(("remarks", "released"), [((), True), ((tarn_hollow.hold(),), False)])
def test_the_working_says_whether_the_result_may_be_released(remarks, released):
    document = working_document(tarn_hollow.outcome(remarks))
    assert document.released is released
    assert len(document.remarks) == len(remarks)


def test_simulation_and_law_of_propagation_are_told_to_agree_or_to_differ_and_why():
    outcome = tarn_hollow.outcome()
    assert "agree within" in working_document(outcome).simulation
    apart = replace(outcome.monte_carlo, agrees=False, reason="few degrees of freedom")
    told = working_document(replace(outcome, monte_carlo=apart)).simulation
    assert "differ within" not in told
    assert "few degrees of freedom" in told
    assert working_document(replace(outcome, monte_carlo=None)).simulation == ""
