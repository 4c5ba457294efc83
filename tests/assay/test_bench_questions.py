"""Odd readings: of each kind one that is asked about, and one beside it that is not."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assaywright.assay.bench.figures import figure
from assaywright.assay.bench.those_before import told_apart
from assaywright.assay.bench.transposed import exchanged
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.worksheet import worksheet_of
from assaywright.metrology.refusal import Refusal
from tests.assay.bench_sheets import BACK, BARIUM, KHP, TWO_ENDPOINTS, sheet, state

PORTION = {"gross": "60.5450", "tare": "60.1562"}
FRESH = {"titrant": {"name": "sodium hydroxide 0.1 mol/L", "formula": "NaOH", "nominal": "0.1 mol/L"}}
READ_TO_A_TENTH = {"burette": {"kind": "burette", "id": "B-07", "nominal": "50 mL", "graduation": "0.1 mL",
                               "tolerance": "0.05 mL, triangular"}}
DISPLAYED = {"burette": {"kind": "piston burette", "id": "B-21", "nominal": "20 mL", "graduation": "0.01 mL",
                         "tolerance": "0.02 mL, rectangular"}}


def asked_about(typed, earlier=1, name=KHP, **said):
    return {(one.name, one.code) for one in state(name, typed, earlier, **said).questions}


@pytest.mark.parametrize(
    ("typed", "question"),
    [
        # EURACHEM/CITAC CG 4, example A2: 18.64 mL for this portion.
        ({**PORTION, "initial": "0.00", "final": "16.84"}, ("final", "digits-exchanged")),
        ({**PORTION, "initial": "0.00", "final": "18.46"}, ("final", "digits-exchanged")),
        ({**PORTION, "initial": "0.10", "final": "19.64"}, ("initial", "digits-exchanged")),
        ({**PORTION, "initial": "0.00", "final": "17.00"}, ("final", "far-from-expected")),
        ({"initial": "4.00", "final": "4.00"}, ("final", "final-is-initial")),
        ({"initial": "18.64", "final": "0.00"}, ("final", "final-before-initial")),
        ({"initial": "-0.02"}, ("initial", "above-the-zero-mark")),
        ({"final": "20.50"}, ("final", "beyond-the-scale")),
        ({"temperature": "71"}, ("temperature", "other-temperature-scale")),
        ({"temperature": "71 °F"}, ("temperature", "other-temperature-scale")),
        ({"temperature": "36.0"}, ("temperature", "unusual-temperature")),
        ({"temperature": "8.0"}, ("temperature", "unusual-temperature")),
        ({"temperature": "2.1"}, ("temperature", "temperature-not-taken")),
        ({"temperature": "210"}, ("temperature", "temperature-not-taken")),
        ({"initial": "0.0"}, ("initial", "fewer-decimals")),
        ({"final": "18"}, ("final", "fewer-decimals")),
        ({"final": "18.6402"}, ("final", "more-decimals")),
        ({"gross": "60.1562", "tare": "60.5450"}, ("tare", "tare-above-gross")),
        ({"gross": "60.1562", "tare": "60.1562"}, ("tare", "gross-is-tare")),
        ({"net": "60.1562"}, ("net", "net-is-tare")),
        ({"net": "0.0000"}, ("net", "mass-not-above-zero")),
        ({"net": "0.6000"}, ("net", "mass-far-from-plan")),
        ({"net": "388.8"}, ("net", "mass-in-milligrams")),  # 0.3888 g, as a balance that displays mg shows it
        ({"gross": "60545.0", "tare": "60156.2"}, ("gross", "mass-in-milligrams")),
        ({"tare": "-0.5000"}, ("tare", "tare-below-zero")),
        ({"gross": "60.5450 kg"}, ("gross", "mass-beyond-the-balance")),
        ({"gross": "60.5450", "net": "0.3888"}, ("net", "weighed-both-ways")),
        ({"gross": "60.7562", "tare": "60.1562"}, ("gross", "mass-far-from-plan")),
    ],
)
def test_an_odd_reading_is_asked_about(typed, question):
    assert question in asked_about(typed)


@pytest.mark.parametrize(("typed", "only"), [
    ({"final": "1001"}, ("final", "beyond-the-scale")), ({"gross": "100000"}, ("gross", "mass-beyond-the-balance"))])
def test_of_a_reading_that_cannot_be_nothing_more_is_asked(typed, only):
    assert asked_about(typed, changed=FRESH) == {only}


@pytest.mark.parametrize(
    "typed",
    [
        {**PORTION, "initial": "0.00", "final": "18.64", "temperature": "21.0"},
        {**PORTION, "initial": "0.00", "final": "18.67"},  # outside the band, not far from it, and allowed
        {**PORTION, "initial": "1.20", "final": "19.84"},
        {"initial": "0.00", "final": "20.00"},  # the end of the scale is on it, and without a portion nothing is far
        {"temperature": "18"}, {"temperature": "22.0"}, {"temperature": "21.5 °C"},
        {"initial": "0.000", "final": "18.645"},  # a tenth of 0.05 mL
        {"net": "0.3888"}, {"net": "0.4500"}, {"gross": "60.5450"},
        {"initial": "0.", "final": "18.", "temperature": "2x", "gross": "60,"},  # not numbers yet
        {"initial": "", "final": None},
    ],
)
def test_an_ordinary_reading_is_not_asked_about(typed):
    assert asked_about(typed, changed=FRESH) == set()


@pytest.mark.parametrize("text", ["10", "35"])
def test_both_ends_of_a_room_are_ordinary_temperatures(text):
    assert not asked_about({"temperature": text}, 0)


@pytest.mark.parametrize(("text", "moved"), [("17.9", True), ("18.0", False), ("22.0", False), ("22.1", True)])
def test_a_temperature_is_held_against_the_one_before(text, moved):
    # The published example was titrated at 20.0 °C.
    assert asked_about({"temperature": text}) == ({("temperature", "temperature-moved")} if moved else set())


@pytest.mark.parametrize("text", ["70", "70 °F", "4.9", "36.5", "210"])
def test_a_temperature_that_no_evaluation_takes_cannot_be_confirmed(text):
    # Corrections for 0.1 mol/L are tabulated from 5 to 36 °C (GB/T 601, Table A.1).
    (one,) = state(KHP, {"temperature": text}).questions
    assert one.impossible
    heading, determinations = sheet(KHP)
    with pytest.raises(Refusal):
        evaluate_worksheet(worksheet_of({**heading, "determination": [
            determinations[0] | {"temperature": text if "F" in text else f"{text} °C"}]}, "sheet"), opened)


def opened(path):
    raise FileNotFoundError(path)


def test_a_titre_overrun_by_a_drop_is_asked_about_once_the_method_would_not_accept_it():
    # ISO 5725-6, 5.2.2: with s of 0.05 %, three determinations may span 3.31 × 0.05 % = 0.17 %, of 18.64 mL 0.03 mL.
    typed = {**PORTION, "initial": "0.00"}
    assert asked_about({**typed, "final": "18.72"}) == {("final", "beyond-the-range")}
    assert not asked_about({**typed, "final": "18.66"})


@pytest.mark.parametrize(("masses", "asked"), [
    (("60.1562", "59.7674"), False), (("60.1570", "59.7674"), False), (("60.1450", "59.7674"), True),
    (("60.5450", "60.1562"), False),  # another portion in the same dish
])
def test_a_bottle_weighed_by_difference_weighs_what_it_weighed_before(masses, asked):
    found = asked_about(dict(zip(("gross", "tare"), masses, strict=True)))
    assert (("gross", "bottle-not-as-before") in found) == asked


def test_the_difference_between_two_endpoints_is_held_against_the_one_before():
    # The published item: 25.00 mL and 30.00 mL. Each of both is near enough, but one lies early and the other late.
    typed = {"initial": "0.00", "first": "24.88", "final": "30.14"}
    assert asked_about(typed, name=TWO_ENDPOINTS) == {("first", "difference-of-endpoints")}
    assert not asked_about({**typed, "first": "25.06"}, name=TWO_ENDPOINTS)


def test_the_digits_that_would_fit_are_told():
    one = state(KHP, {**PORTION, "initial": "0.00", "final": "16.84"}, 1).questions[-1]
    assert "two digits of the final reading exchanged, 18.64 mL, it would be within" in one.sentence
    assert "18.64 ± 0.03 mL" in one.sentence


def test_digits_exchanged_are_asked_about_in_a_titrant_found_before_though_the_titre_is_not_far():
    """By EURACHEM/CITAC CG 4, A2: 18.66 mL of 0.1020 mol/L, 18.48 to 18.85 mL within 1 %."""
    def codes(final):
        found = state(KHP, {**PORTION, "initial": "0.00", "final": final}, 0, nominal="0.1020 mol/L").questions
        return [(one.code, one.sentence) for one in found]

    ((code, sentence),) = codes("18.46")
    assert code == "digits-exchanged"
    assert sentence.startswith("The titre of 18.46 mL is outside what is expected, 18.67 ± 0.19 mL (the titrant within")
    assert not codes("18.44"), "nothing exchanged leads within"
    assert not codes("18.64")


def test_a_figure_and_its_limit_are_told_apart():
    assert told_apart(0.2041, 0.2) == ("0.204", "0.200")
    assert told_apart(0.25, 0.2) == ("0.25", "0.20")
    assert told_apart(0.200000001, 0.2) == ("0.200000001", "0.200000000")


def test_the_full_figure_is_offered():
    (one,) = state(KHP, {"final": "18.6"}, 0).questions
    assert "18.60?" in one.sentence
    assert not one.impossible


@pytest.mark.parametrize(("typed", "code"), [("24.5", "fewer-decimals"), ("24.503", "more-decimals")])
def test_a_burette_divided_to_a_tenth_is_read_to_a_hundredth(typed, code):
    assert asked_about({"final": typed}, 0, changed={"vessels": READ_TO_A_TENTH}) == {("final", code)}
    assert not asked_about({"final": "24.50"}, 0, changed={"vessels": READ_TO_A_TENTH})


def test_a_display_is_copied_as_it_stands():
    assert asked_about({"final": "12.505"}, 0, changed={"vessels": DISPLAYED}) == {("final", "more-decimals")}
    assert not asked_about({"final": "12.50"}, 0, changed={"vessels": DISPLAYED})


def test_without_a_division_the_readings_before_say_how_many_decimals_there_are():
    burette = {"burette": {key: value for key, value in READ_TO_A_TENTH["burette"].items() if key != "graduation"}}
    assert asked_about({"final": "18.6"}, 1, changed={"vessels": burette}) == {("final", "fewer-decimals")}
    assert not asked_about({"final": "18.6"}, 0, changed={"vessels": burette})


@pytest.mark.parametrize(("text", "code"), [
    ("0.38", "fewer-decimals"), ("0.3888", None), ("0.38885", "more-decimals"), ("388.8 mg", None), ("0.", None)])
def test_a_mass_is_copied_from_the_display_of_its_balance(text, code):
    # A balance that reads to 0.1 mg displays four decimals of a gram.
    balances = {"balance": {"id": "W-2", "readability": "0.1 mg", "linearity": "0.15 mg, rectangular"}}
    found = asked_about({"net": text}, changed={**FRESH, "balances": balances})
    assert found == ({("net", code)} if code else set())
    assert not asked_about({"net": text}, changed={**FRESH, "balances": {"balance": {"id": "W-2"}}})


def test_a_mass_is_held_against_the_plan_more_closely_than_against_those_before():
    typed = {"net": "0.4400"}
    assert asked_about(typed, planned_portion="0.39 g") == {("net", "mass-far-from-plan")}
    assert not asked_about({"net": "0.4200"}, planned_portion="0.39 g")
    assert not asked_about(typed)


def test_a_titrant_past_its_date_on_the_day_is_asked_about():
    past = {"titrant": FRESH["titrant"] | {"use_before": "2026-10"}}
    assert asked_about({}, changed=past) == {("titrant", "past-its-date")}
    through = {"titrant": FRESH["titrant"] | {"use_before": "2026-11"}}  # a month lasts through its last day
    assert not asked_about({}, changed=through)
    opened = {"titrant": FRESH["titrant"] | {"opened": "2026-10-01", "in_use_days": 30}}
    assert asked_about({}, changed=opened) == {("titrant", "past-its-date")}


@pytest.mark.parametrize(
    ("typed", "question"),
    [
        ({"initial": "1.00", "first": "0.50"}, ("first", "first-not-between")),
        ({"initial": "0.00", "first": "30.10", "final": "30.00"}, ("first", "first-not-between")),
        ({"initial": "0.00", "first": "52.00"}, ("first", "digits-exchanged")),
        ({"initial": "0.00", "first": "23.00"}, ("first", "far-from-expected")),
        # The volume from one endpoint to the other, 5.00 mL, in place of the reading.
        ({"initial": "0.00", "first": "25.00", "final": "5.00"}, ("first", "first-not-between")),
    ],
)
def test_the_first_of_two_endpoints_is_asked_about(typed, question):
    # The published item: 25.00 mL to the first endpoint, 30.00 mL in all.
    assert question in asked_about(typed, name=TWO_ENDPOINTS, changed={"vessels": long_burette()})


def long_burette():
    heading, _ = sheet(TWO_ENDPOINTS)
    return heading["vessels"] | {"burette": heading["vessels"]["burette"] | {"nominal": "100 mL"}}


def test_an_ordinary_titration_to_two_endpoints_is_not_asked_about():
    assert not asked_about({"initial": "0.00", "first": "25.00", "final": "30.00"}, name=TWO_ENDPOINTS)


def test_a_back_titration_is_held_against_its_own_expectation():
    typed = {"gross": "20.9546", "tare": "20.4314", "initial": "0.05"}
    assert not asked_about({**typed, "final": "14.77"}, name=BACK)
    assert asked_about({**typed, "final": "16.50"}, name=BACK) == {("final", "far-from-expected")}
    assert asked_about({**typed, "final": "41.77"}, name=BACK) == {("final", "digits-exchanged")}


def test_the_aliquot_after_barium_chloride_is_asked_about_on_its_own():
    ordinary = {"hydroxide_initial": "0.02", "hydroxide_final": "31.03", "initial": "0.05", "final": "32.23"}
    assert not asked_about(ordinary, name=BARIUM)
    assert asked_about(ordinary | {"hydroxide_final": "0.01"}, name=BARIUM) == {
        ("hydroxide_final", "final-before-initial")}
    assert asked_about(ordinary | {"hydroxide_final": "13.03"}, name=BARIUM) == {
        ("hydroxide_final", "digits-exchanged")}


def test_each_filling_is_asked_about_by_its_own_readings():
    typed = {**PORTION, "fillings": [["0.00", "10.00"], ["9.00", "8.64"]]}
    assert ("fillings.2.final", "final-before-initial") in asked_about(typed)
    assert not asked_about({**PORTION, "fillings": [["0.00", "10.00"], ["0.00", "8.64"]]})
    assert asked_about({**PORTION, "fillings": [["0.00", "10.0"], ["0.00", "8.64"]]}) == {
        ("fillings.1.final", "fewer-decimals")}
    # One filling done, the next in the fields of a single one.
    assert not asked_about({**PORTION, "fillings": [["0.00", "10.00"]], "initial": "0.00", "final": "8.64"})


@pytest.mark.parametrize(
    "typed",
    [{"initial": "18.64 mL", "final": "0.00 mL"}, {"initial": "-0.02 mL", "final": "18.64 mL"},
     {"initial": "0.00 mL", "final": "20.50 mL"}, {"gross": "60.1562 g", "tare": "60.5450 g"},
     {"gross": "60.1562 g", "tare": "60.1562 g"}],
)
def test_what_is_told_to_be_impossible_is_refused_by_the_worksheet(typed):
    assert any(one.impossible for one in state(KHP, typed).questions)
    heading, determinations = sheet(KHP)
    with pytest.raises(Refusal):
        worksheet_of({**heading, "determination": [determinations[0] | typed]}, "sheet")


@pytest.mark.parametrize("typed", [{"initial": "4.00 mL", "final": "4.00 mL"}, {"final": "18.6 mL"},
                                   {"temperature": "36 °C"}, {"final": "17.00 mL"}])
def test_what_is_merely_odd_is_taken_by_the_worksheet(typed):
    heading, determinations = sheet(KHP)
    fields = determinations[0] | typed
    questions = state(KHP, fields, 1).questions
    assert questions
    assert not any(one.impossible for one in questions)
    assert worksheet_of({**heading, "determination": [fields]}, "sheet").determinations


def test_exchanged_digits_are_all_the_neighbours_there_are():
    assert {str(one) for one in exchanged(Decimal("25.43"))} == {"52.43", "24.53", "25.34"}
    assert {str(one) for one in exchanged(Decimal("0.05"))} == {"0.50"}
    assert not list(exchanged(Decimal("22.22")))


@given(st.decimals(min_value=0, max_value=99, places=2))
def test_an_exchange_keeps_the_digits_and_undoes_itself(number):
    for other in exchanged(number):
        assert number in exchanged(other)
        assert sorted(f"{other:05.2f}") == sorted(f"{number:05.2f}")


@pytest.mark.parametrize(("text", "value"), [("24.50", "24.50"), ("24.50 mL", "24.50"), (" 24.5 ", "24.5")])
def test_a_figure_is_read_with_its_unit_or_without(text, value):
    found = figure(text, "mL")
    assert found is not None
    assert str(found.value) == value


@pytest.mark.parametrize("text", ["", " ", "24.", ".", "abc", "nan", "inf", "24.50 g", "1e999", None, 24.5, "24 50"])
def test_what_is_half_typed_is_not_a_number_yet(text):
    assert figure(text, "mL") is None


FIELDS = ("gross", "tare", "net", "initial", "final", "first", "temperature", "hydroxide_initial", "hydroxide_final",
          "pipette", "burette", "fillings")
TEXTS = st.one_of(st.none(), st.text(max_size=8), st.from_regex(r"[-+]?[0-9]{0,4}[.,]?[0-9]{0,4}( (mL|g|°C))?",
                                                                fullmatch=True))


@settings(max_examples=150, deadline=None)
@given(st.sampled_from((KHP, TWO_ENDPOINTS, BACK, BARIUM)), st.dictionaries(st.sampled_from(FIELDS), TEXTS),
       st.integers(0, 1))
def test_nothing_typed_is_refused(name, typed, earlier):
    found = state(name, typed, earlier)
    assert all(one.sentence.endswith(".") or one.sentence.endswith("?") for one in found.questions)
    assert all(one.remedy and not one.remedy.endswith(".") for one in found.questions)


REFILLED = {"fillings": [["10.00", "30.00"], ["0.00", "10.00"]], "first": "5.00", "first_filling": 2}


def test_the_first_endpoint_is_read_on_the_scale_of_its_own_filling():
    # The published item's 25.00 mL and 30.00 mL, with the burette filled again before the first endpoint.
    found = state(TWO_ENDPOINTS, REFILLED, 1)
    assert (found.first_titre_mL, found.titre_mL) == ("25.00", "30.00")
    assert not found.questions
    assert found.expected["first"].final_mL == pytest.approx(5.00)
    before = state(TWO_ENDPOINTS, {"fillings": [["10.00", "30.00"], ["0.00", ""]]}, 1)
    assert before.expected["first"].final_mL == pytest.approx(5.00)  # on the scale of the filling under way
    assert ("first", "first-not-between") in asked_about(REFILLED | {"first": "10.50"}, name=TWO_ENDPOINTS)


def test_a_worksheet_refilled_before_the_first_endpoint_gives_the_printed_answer():
    # The published item's printed answer: 3.20 g/L of sodium hydroxide, 2.12 g/L of sodium carbonate.
    heading, (one,) = sheet(TWO_ENDPOINTS)
    kept = {key: text for key, text in one.items() if key not in ("initial", "final")}
    fields = kept | {"fillings": [["10.00 mL", "30.00 mL"], ["0.00 mL", "10.00 mL"]], "first": "5.00 mL"}
    outcome = evaluate_worksheet(worksheet_of({**heading, "determination": [fields | {"first_filling": 2}]}, "sheet"),
                                 opened)
    assert [result.estimate.value for result in outcome.results[1:]] == pytest.approx([3.20, 2.12], abs=0.005)
    for wrong in ({}, {"first_filling": 3}):  # 5.00 mL is not in the first filling, and there is no third
        with pytest.raises(Refusal):
            worksheet_of({**heading, "determination": [fields | wrong]}, "sheet")
