"""What a certificate says, and when there is none."""

import json
import math
from dataclasses import asdict, fields, replace
from datetime import date

import pytest

from assaywright import __version__
from assaywright.assay.certificate import certificate_document
from assaywright.assay.evaluate_lot import CharacteristicOutcome
from assaywright.assay.observations import Characteristic
from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark, Severity
from assaywright.reference.tables import hazard_statement
from tests.reports import tarn_hollow


def document(characteristics=None, remarks=(), **changes):
    return certificate_document(tarn_hollow.lot_outcome(characteristics, remarks, **changes))


def by_name(found, name):
    return next(item for item in found.characteristics if item.name == name)


# --- no certificate ---------------------------------------------------------------------------------------------------


def test_a_lot_that_is_held_back_gets_no_certificate_but_its_remark():
    with pytest.raises(Refusal, match="the titrant was past its last day of use") as refused:
        document(remarks=[tarn_hollow.hold()])
    assert "restandardise it" in str(refused.value)


def test_every_remark_that_holds_the_lot_back_is_told():
    with pytest.raises(Refusal) as refused:
        document(remarks=[tarn_hollow.hold("the blank is large"), tarn_hollow.hold("the scale was overdue")])
    assert "the blank is large" in str(refused.value)
    assert "the scale was overdue" in str(refused.value)


@pytest.mark.parametrize("severity", [Severity.NOTE, Severity.QUESTION])
def test_a_remark_that_holds_nothing_back_does_not_stop_the_certificate(severity):
    assert document(remarks=[Remark("basis-unclear", severity, "x", "y", "z")]).number == "TH-26-0417-1"


@pytest.mark.parametrize(("field", "words"), [
    ("certificate_number", "certificate number"), ("maker", "maker"), ("product", "product"),
    ("responsible", "responsible person"), ("responsible_function", "function")])
def test_a_certificate_without_what_it_must_name_is_refused(field, words):
    with pytest.raises(Refusal, match=words):
        document(**{field: ""})


def test_a_certificate_without_a_date_of_issue_is_refused():
    with pytest.raises(Refusal, match="date of issue"):
        document(issued=None)


def test_what_a_certificate_lacks_is_named_with_its_file_and_fields():
    with pytest.raises(Refusal) as caught:
        document(certificate_number="", responsible="", path="lots/0417.toml")
    assert str(caught.value) == (
        "lots/0417.toml: lot 0417: a certificate needs a certificate number and a responsible person; state "
        "certificate_number and responsible there.")


def test_a_certificate_of_nothing_is_refused():
    with pytest.raises(Refusal, match="without a characteristic"):
        document(())


# --- figures and their uncertainty ------------------------------------------------------------------------------------


def test_every_figure_has_either_its_uncertainty_or_the_reason_for_lacking_one():
    for item in document().characteristics:
        assert item.value
        assert bool(item.uncertainty) != bool(item.no_uncertainty)
        assert bool(item.uncertainty) == bool(item.coverage) == (item.numbers.expanded_uncertainty is not None)


def test_a_characteristic_that_was_not_titrated_says_where_its_value_comes_from_and_no_method():
    for item in document().characteristics:
        assert bool(item.method) != bool(item.source)


def test_the_printed_digits_are_those_of_the_result_and_the_numbers_are_unrounded():
    item = by_name(document(), "total alkali as NaOH")
    assert (item.value, item.uncertainty, item.unit) == ("19.987", "0.023", "% w/v")
    assert item.numbers.value == 19.98712
    assert item.numbers.standard_uncertainty == pytest.approx(math.hypot(0.0100, 0.0058), rel=1e-12)
    assert item.numbers.expanded_uncertainty == pytest.approx(1.97 * math.hypot(0.0100, 0.0058), rel=1e-12)
    assert (item.numbers.lower_limit, item.numbers.upper_limit) == (19.8, 20.2)


def test_a_value_below_a_bound_is_no_number_of_its_own():
    item = by_name(document(), "chloride")
    assert (item.value, item.unit, item.numbers.less_than, item.numbers.value) == ("less than 5", "mg/L", True, 5.0)


def test_infinite_degrees_of_freedom_are_none_in_the_data_since_json_has_no_infinity():
    item = by_name(document(), "density at 20 °C")
    assert item.numbers.degrees_of_freedom is None
    assert json.loads(json.dumps(asdict(item), allow_nan=False))["numbers"]["coverage_factor"] == 2.0


def titrant(unit="mol/L"):
    estimate = Estimate(0.100123, unit, (Contribution("all", 0.00005, 23.0),))
    result = tarn_hollow.result("concentration", estimate=estimate, coverage_factor=2.07, nominal=0.1,
                                value_text="0.10012", uncertainty_text="0.00010", reference_temperature_degC=25.0)
    return tarn_hollow.assayed("concentration", tarn_hollow.outcome(results=(result,)))


def test_a_titrant_states_its_factor_as_actual_over_nominal():
    item = by_name(document([titrant()]), "concentration")
    assert "f = 1.0012 ± 0.0010" in item.factor
    assert (item.numbers.factor, item.numbers.factor_expanded_uncertainty) == (1.0012, 0.0010)
    assert by_name(document(), "total alkali as NaOH").factor == ""


def test_a_content_by_volume_names_its_reference_temperature_and_a_content_by_mass_none():
    assert document([titrant("mol/L")]).characteristics[0].temperature == "25 °C"
    assert document([titrant("mol/kg")]).characteristics[0].temperature == ""


def test_a_negative_value_is_printed_with_a_true_minus_sign():
    result = tarn_hollow.result(value_text="-0.0021", uncertainty_text="0.0030")
    item = document([tarn_hollow.assayed(evaluated=tarn_hollow.outcome(results=(result,)))]).characteristics[0]
    assert item.value == "−0.0021"


# --- conformity, accreditation ----------------------------------------------------------------------------------------


def test_the_decision_rule_is_named_and_the_probability_states_its_prior():
    item = by_name(document(), "total alkali as NaOH")
    assert item.rule == "simple acceptance"
    assert item.probability == "> 99.99 %, flat prior"
    assert item.statement == "Found (19.987 ± 0.023) % w/v; specified 19.8 to 20.2 % w/v: conforms."


def test_global_risks_are_stated_only_where_a_prior_of_the_product_is():
    item = tarn_hollow.assayed()
    risky = replace(item, decision=replace(item.decision, global_consumer_risk=0.0123, global_producer_risk=0.0004))
    assert document().characteristics[0].risks == ""
    assert document([risky]).characteristics[0].risks == (
        "global consumer’s risk 1.23 %, global producer’s risk 0.04 %")


def test_what_is_only_reported_claims_no_conformity():
    density = next(item for item in tarn_hollow.entered() if item.name.startswith("density"))
    found = document([density])
    assert found.characteristics[0].decision == "reported only"
    assert "no conformity is claimed" in found.conformity
    assert "All 3 specified characteristics" in document().conformity


def test_what_accreditation_covers_is_marked_characteristic_by_characteristic():
    found = document()
    assert [item.accredited for item in found.characteristics] == [True, False, False, False]
    assert "the others are not reported" in found.accreditation
    assert "No result" in document([tarn_hollow.assayed(accredited=False)]).accreditation
    assert "Every result" in document([tarn_hollow.assayed()]).accreditation


# --- chain, hazards, record -------------------------------------------------------------------------------------------


def links(chain):
    yield chain
    for below in chain.rests_on:
        yield from links(below)


def test_the_chain_goes_down_to_the_reference_material():
    (chain,) = document().chains
    assert chain.characteristics == ("total alkali as NaOH",)
    assert any(link.kind == "reference material" for link in links(chain.chain))


def test_a_branch_drawn_once_is_only_pointed_at_the_second_time():
    one, two = (tarn_hollow.outcome(sheet=tarn_hollow.worksheet(name)) for name in ("WS-1", "WS-2"))
    two = replace(two, chain=replace(two.chain, identity="another result"))
    first, second = document([tarn_hollow.assayed("a", one), tarn_hollow.assayed("b", two)]).chains
    assert sum(link.kind == "reference material" for link in links(first.chain)) == 1
    assert not any(link.kind == "reference material" for link in links(second.chain))
    assert any("drawn above" in link.valid for link in links(second.chain))


def test_characteristics_of_one_worksheet_share_one_chain_and_one_record():
    shared = tarn_hollow.outcome()
    found = document([tarn_hollow.assayed("a", shared), tarn_hollow.assayed("b", shared)])
    assert [chain.characteristics for chain in found.chains] == [("a", "b")]
    assert len(found.records) == 1


def test_hazard_statements_carry_the_words_of_their_codes():
    found = document(hazards=("H290", "H314"))
    assert [(item.code, item.statement) for item in found.hazards] == [
        (code, hazard_statement(code)) for code in ("H290", "H314")]
    assert "safety data sheet" in found.safety


def test_the_record_names_worksheet_method_and_program_by_content():
    found = document()
    (record,) = found.records
    assert record.sha256 == tarn_hollow.worksheet().digest
    assert record.method_sha256 == tarn_hollow.METHOD_SHA256
    assert found.lot_sha256 == tarn_hollow.lot().digest
    assert found.software == f"Assaywright {__version__}"


def test_a_person_and_not_the_program_is_responsible():
    found = document()
    assert (found.responsible, found.responsible_function) == ("Maren Tolliver", "authorised signatory")
    assert "The program computes" in found.responsibility


def test_the_dates_are_told_in_order_and_only_where_they_are_known():
    found = document(made=None)
    assert [item.label for item in found.identification] == [
        "Customer", "Sample taken", "Assayed", "Issued", "Use before the end of"]
    assert found.made == ""
    assert found.assayed == ("2026-10-12", "2026-10-12")


def test_assays_on_several_days_are_dated_from_the_first_to_the_last():
    later = replace(tarn_hollow.worksheet("WS-2"), performed=date(2026, 10, 13))
    found = document([tarn_hollow.assayed("a"), tarn_hollow.assayed("b", tarn_hollow.outcome(sheet=later))])
    assert next(item.text for item in found.identification if item.label == "Assayed") == (
        "12 October 2026 to 13 October 2026")


def test_a_lot_of_entered_values_alone_has_no_chain_and_says_so():
    found = document(tarn_hollow.entered())
    assert (found.chains, found.records, found.assayed) == ((), (), ())
    assert "No value on this certificate was titrated" in found.traceability


def test_the_document_is_frozen():
    found = document()
    with pytest.raises(AttributeError):
        found.number = "another"
    assert not [field.name for field in fields(found) if isinstance(getattr(found, field.name), list | dict)]


def test_an_entered_value_without_uncertainty_states_its_reason_on_the_certificate():
    entry = Characteristic(tarn_hollow.specification("iron"), value=tarn_hollow.quantity("0.4", "mg/L"), source="D-3")
    found = document([CharacteristicOutcome(entry, None, None, "its source states none", None)])
    assert found.characteristics[0].no_uncertainty == "its source states none"
