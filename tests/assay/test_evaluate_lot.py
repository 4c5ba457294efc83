"""From a lot file and its worksheets to decisions, and to whether the lot may be certified."""

from dataclasses import replace
from datetime import date

import pytest

from assaywright.assay.certificate import certificate_document
from assaywright.assay.evaluate_lot import evaluate_lot, named_result
from assaywright.assay.method import load_method
from assaywright.assay.worksheet import parse_worksheet, read_bytes
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Severity
from tests.reports import tarn_hollow

ASSAY = load_method("caustic-soda-by-acid").example.worksheet
TWO_ENDPOINTS = load_method("caustic-soda-two-endpoints").further_examples[0].worksheet

LOT = """
format = "assaywright worksheet 1"
kind = "lot"
id = "0417"
product = "Caustic soda solution 20 % w/v"
maker = "Tarn Hollow Reagents"
certificate_number = "TH-26-0417-1"
made = 2026-10-10
issued = 2026-10-14
use_before = "2027-10"
hazards = ["H290", "H314"]
responsible = "Maren Tolliver"
responsible_function = "authorised signatory"

[[characteristic]]
name = "total alkali as NaOH"
worksheet = "assay.toml"
accredited = true
lower = "19.8 % w/v"
upper = "20.2 % w/v"

[[characteristic]]
name = "density at 20 °C"
value = "1.2191 g/mL ± 0.0005 g/mL, k = 2"
source = "oscillating tube densitometer D-2, 12 October 2026, I. Okafor"
lower = "1.2150 g/mL"
upper = "1.2230 g/mL"

[[characteristic]]
name = "chloride"
less_than = "5 mg/L"
upper = "10 mg/L"
source = "turbidity, 12 October 2026, J. Feld"

[[characteristic]]
name = "appearance"
found = "clear, colourless"
required = "clear, colourless, free of particles"
satisfied = true
source = "by eye, 12 October 2026, I. Okafor"
"""


def read(text=LOT):
    return read_bytes(text.encode(), "lots/0417.toml")


class Shelf:
    """The files of a laboratory, and how often each was opened."""

    def __init__(self, **worksheets):
        self.files = {f"lots/{name}.toml": text for name, text in {"assay": ASSAY, **worksheets}.items()}
        self.opened = []

    def __call__(self, path):
        self.opened.append(path)
        if path not in self.files:
            raise FileNotFoundError(2, "no such file", path)
        return self.files[path].encode()


def evaluated(lot=None, **worksheets):
    return evaluate_lot(lot or read(), Shelf(**worksheets))


def kinds(outcome):
    return [remark.kind for remark in outcome.holds]


def test_a_sound_lot_is_releasable_and_gets_its_certificate():
    outcome = evaluated()
    assert outcome.releasable
    assert [item.decision.decision for item in outcome.characteristics] == ["conforms"] * 4
    document = certificate_document(outcome)
    assert [bool(item.uncertainty) for item in document.characteristics] == [True, True, False, False]
    assert document.records[0].method_sha256 == load_method("caustic-soda-by-acid").sha256


def test_a_worksheet_is_named_from_the_lot_files_own_folder():
    shelf = Shelf()
    evaluate_lot(read(), shelf)
    assert shelf.opened == ["lots/assay.toml"]


def test_one_worksheet_behind_several_characteristics_is_evaluated_once():
    text = LOT + '[[characteristic]]\nname = "alkali again"\nworksheet = "assay.toml"\nlower = "19 % w/v"\n'
    shelf = Shelf()
    outcome = evaluate_lot(read(text), shelf)
    assert shelf.opened == ["lots/assay.toml"]
    assert len(outcome.outcomes) == 1


def test_a_missing_worksheet_is_refused_with_the_characteristic_that_names_it():
    with pytest.raises(Refusal, match=r'total alkali as NaOH.*other\.toml'):
        evaluated(read(LOT.replace("assay.toml", "other.toml")))


def test_a_lot_outside_its_limits_is_held_back_and_gets_no_certificate():
    outcome = evaluated(read(LOT.replace('lower = "19.8 % w/v"', 'lower = "20.1 % w/v"')))
    assert kinds(outcome) == ["out-of-specification"]
    with pytest.raises(Refusal, match="does not conform"):
        certificate_document(outcome)


def test_conformity_that_is_not_proven_is_not_decided():
    """The value lies inside its limits by less than its expanded uncertainty, and the rule wants a guard band."""
    text = LOT.replace('lower = "19.8 % w/v"', 'lower = "19.89 % w/v"\nrule = "guard band"\nguard_band_factor = "1"')
    outcome = evaluated(read(text))
    assert kinds(outcome) == ["characteristic-undecided"]


def test_an_observation_that_nobody_judged_holds_the_lot_back():
    outcome = evaluated(read(LOT.replace("satisfied = true\n", "")))
    assert kinds(outcome) == ["characteristic-undecided"]


def test_a_bound_above_the_limit_holds_the_lot_back():
    assert kinds(evaluated(read(LOT.replace('"5 mg/L"', '"15 mg/L"')))) == ["characteristic-undecided"]


def test_an_entered_value_without_a_source_holds_the_lot_back():
    lot = read()
    nameless = tuple(replace(item, source=" ") for item in lot.characteristics)
    assert kinds(evaluated(replace(lot, characteristics=nameless))) == ["source-missing"] * 3


def test_a_worksheet_of_another_lot_holds_this_lot_back():
    outcome = evaluated(read(LOT.replace('id = "0417"', 'id = "0418"')))
    assert kinds(outcome) == ["lot-differs"]
    assert outcome.holds[0].severity is Severity.HOLD


@pytest.mark.parametrize(("changes", "words"), [
    ({"issued": date(2026, 10, 11)}, "issued 11 October 2026, earlier than last assayed"),
    ({"use_before": date(2026, 10, 13)}, "to be used before 13 October 2026, earlier than issued"),
    ({"made": date(2026, 10, 13)}, "first assayed 12 October 2026, earlier than made")])
def test_dates_out_of_their_order_hold_the_lot_back(changes, words):
    outcome = evaluated(replace(read(), **changes))
    assert kinds(outcome) == ["dates-out-of-order"]
    assert words in outcome.holds[0].what


def test_a_determination_of_a_day_of_its_own_is_held_against_the_day_the_lot_was_made():
    early = ASSAY.replace("[[determination]]", "[[determination]]\nat = 2026-10-09", 1)
    (told,) = [one for one in evaluated(read(), assay=early).holds if one.kind == "dates-out-of-order"]
    assert "first assayed 9 October 2026, earlier than made" in told.what


def test_all_on_one_day_is_in_order():
    day = date(2026, 10, 12)
    assert evaluated(replace(read(), made=day, issued=day, use_before=day)).releasable


def test_what_holds_a_worksheet_back_holds_its_lot_back():
    overdue = ASSAY.replace("due = 2027-01-31", "due = 2026-09-30")
    assert overdue != ASSAY
    outcome = evaluated(assay=overdue)
    assert "calibration-overdue" in kinds(outcome)


def test_a_result_is_found_by_the_name_of_its_measurand():
    lot = read()
    asked = replace(lot.characteristics[0], worksheet="both.toml", measurand="sodium carbonate",
                    specification=tarn_hollow.specification("carbonate"))
    outcome = evaluate_lot(replace(lot, characteristics=(asked,)), Shelf(both=TWO_ENDPOINTS))
    (found,) = outcome.characteristics
    assert found.result.measurand == "sodium carbonate"
    assert found.decision is None


def test_a_measurand_that_is_not_there_is_refused_with_the_nearest_that_is():
    worksheet = parse_worksheet(TWO_ENDPOINTS.encode(), "both.toml")
    results = tuple(tarn_hollow.result(name) for name in ("total alkali", "sodium carbonate"))
    outcome = tarn_hollow.outcome(results=results, sheet=worksheet)
    with pytest.raises(Refusal, match="did you mean 'sodium carbonate'"):
        named_result(outcome, "sodium carbonat")
    assert named_result(outcome, "") is results[0]


def test_a_worksheet_with_a_lot_table_of_its_own_can_be_certified():
    text = f'''{ASSAY}
[specification]
characteristic = "total alkali as NaOH"
lower = "19.8 % w/v"
upper = "20.2 % w/v"

[lot]
maker = "Tarn Hollow Reagents"
certificate_number = "TH-26-0417-2"
issued = 2026-10-14
responsible = "Maren Tolliver"
responsible_function = "authorised signatory"
'''
    lot = parse_worksheet(text.encode(), "lots/assay.toml").lot
    document = certificate_document(evaluate_lot(lot, Shelf(assay=text)))
    assert (document.lot, document.number) == ("0417", "TH-26-0417-2")


@pytest.mark.parametrize("value", ["-1.0385 g/mL", "-1.5 mg/kg", "−0.2 mol/L"])
def test_a_quantity_that_cannot_lie_below_zero_is_refused_where_it_is_entered(value):
    with pytest.raises(Refusal, match=r"is below zero, and a"):
        read(LOT + f'\n[[characteristic]]\nname = "another one"\nvalue = "{value}"\nsource = "by hand"\n')


@pytest.mark.parametrize(("name", "value"), [("freezing point", "-16.7 °C"), ("colour index", "-1")])
def test_a_temperature_and_a_pure_number_may_lie_below_zero(name, value):
    lot = read(LOT + f'\n[[characteristic]]\nname = "{name}"\nvalue = "{value}"\nsource = "by hand"\n')
    assert lot.characteristics[-1].value.value < 0
