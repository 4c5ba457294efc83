"""Worksheets and lots as typed: what is read, and every refusal with its file, field and remedy."""

import hashlib
import tomllib
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from assaywright.assay.observations import Lot, Worksheet
from assaywright.assay.worksheet import parse_worksheet, read_bytes
from assaywright.metrology.refusal import Refusal
from tests.assay.sheets import ASSAY, LOT, STANDARDISATION, back_titration, changed, read, refusal_of

# --- what is read -----------------------------------------------------------------------------------------------------


def test_an_assay_is_read_with_every_text_as_typed():
    sheet = read(ASSAY, "runs/ws.toml")
    assert isinstance(sheet, Worksheet)
    assert (sheet.identity, sheet.kind, sheet.method) == ("WS-26-0412", "assay", "caustic-soda-by-acid")
    assert (sheet.path, sheet.digest) == ("runs/ws.toml", hashlib.sha256(ASSAY.encode()).hexdigest())
    first = sheet.determinations[0]
    assert first.delivery.fillings[0].final.text == "40.12 mL"
    assert (first.delivery.burette, first.portion.pipette) == ("burette", "pipette")
    assert [one.label for one in sheet.determinations] == ["1", "2"]
    assert sheet.specification.upper.value == Decimal("20.2")
    assert sheet.specification.rule == "simple acceptance"


def test_a_standardisation_by_weighing_is_read():
    sheet = read(STANDARDISATION)
    assert sheet.standard.content.uncertainty.standard_uncertainty == 0.035
    assert sheet.standard.certificate.due == date(2028, 1, 31)
    assert sheet.determinations[0].portion.mass.gross.value == Decimal("60.5450")
    assert sheet.vessels[0].tolerance.uncertainty.form == "triangular"


def test_a_lot_is_read_with_its_four_ways_of_knowing():
    lot = read(LOT, "0417.toml")
    assert isinstance(lot, Lot)
    assayed, entered, bound, seen = lot.characteristics
    assert (assayed.worksheet, assayed.value) == ("ws.toml", None)
    assert entered.value.uncertainty.standard_uncertainty == 0.00025
    assert (bound.less_than, bound.value.text) == (True, "5 mg/L")
    assert (seen.text, seen.satisfied, seen.specification.text) == (
        "clear, colourless", True, "clear, colourless, free of particles")
    assert lot.use_before == date(2027, 10, 31)


def test_a_worksheet_with_a_lot_table_is_its_own_one_characteristic():
    lot = read(ASSAY + '[lot]\nmaker = "Tarn Hollow Reagents"\n', "runs/ws.toml").lot
    assert (lot.identity, lot.product) == ("0417", "caustic soda solution 20 % w/v")
    assert [one.worksheet for one in lot.characteristics] == ["ws.toml"]
    assert "titrations are of lot" in refusal_of(ASSAY + '[lot]\nmaker = "Tarn Hollow Reagents"\nid = "0418"\n')
    without = ASSAY[:ASSAY.index("[specification]")] + ASSAY[ASSAY.index("[[determination]]"):]
    assert "no [specification] table" in refusal_of(without + '[lot]\nmaker = "Tarn Hollow Reagents"\n')


def test_lot_numbers_keep_leading_zeros_and_are_never_numbers():
    """JOB edge case 66: lot numbers with leading zeros or like 3E5."""
    assert read(ASSAY).sample.lot == "0417"
    assert read(changed(ASSAY, '"0417"', '"3E5"')).sample.lot == "3E5"
    assert read(changed(ASSAY, '"0417"', '"007"')).sample.lot == "007"
    for bare in ("417", "3E5", "4.17"):
        sentence = refusal_of(changed(ASSAY, 'lot = "0417"', f"lot = {bare}"))
        assert sentence.startswith("ws.toml: sample, lot: ")
        assert 'in quotation marks, like lot = "…"' in sentence
    assert "line 10 (lot = 0417)" in refusal_of(changed(ASSAY, 'lot = "0417"', "lot = 0417"))


def test_subscript_digits_in_a_formula_are_digits():
    """JOB edge case 65."""
    assert read(changed(ASSAY, '"HCl"', '"H₂SO₄"')).titrant.formula == "H2SO4"


def test_a_byte_order_mark_and_windows_line_ends_are_read():
    data = b"\xef\xbb\xbf" + ASSAY.replace("\n", "\r\n").encode()
    sheet = read_bytes(data, "ws.toml")
    assert sheet.identity == "WS-26-0412"
    assert sheet.digest == hashlib.sha256(data).hexdigest()


def test_a_decimal_comma_holds_for_the_whole_worksheet():
    """JOB edge case 63."""
    text = 'decimal_mark = ","\n' + ASSAY.replace("40.12", "40,12").replace("40.16", "40,16")
    for number in ("1.219", "0.001", "1.0012", "0.0010", "19.8", "20.2", "0.00", "22.0"):
        comma = number.replace(".", ",")
        text = text.replace(f'"{number}', f'"{comma}').replace(f"± {number}", f"± {comma}")
    sheet = read(text)
    assert sheet.determinations[0].delivery.fillings[0].final.value == Decimal("40.12")
    assert "may mean 1.219 or 1219" in refusal_of(changed(ASSAY, "1.219", "1,219"))
    assert 'write 40.12, or set decimal_mark = ","' in refusal_of(changed(ASSAY, "40.12", "40,12"))


def test_a_bare_number_is_refused_with_the_reason():
    """JOB edge case 70: what a cell shows and what it holds are different; only the text as typed counts."""
    sentence = refusal_of(changed(ASSAY, '"40.12 mL"', "40.12"))
    assert sentence == ("ws.toml: determination 1, final: 40.12 is a bare number, and 24.5 and 24.50 say different "
                        'things; write it as read, in quotation marks, like final = "40.12 mL".')
    assert "40 is a bare number" in refusal_of(changed(ASSAY, '"40.12 mL"', "40"))
    assert "nan is a bare number" in refusal_of(changed(ASSAY, '"40.12 mL"', "nan"))


# --- dates and times --------------------------------------------------------------------------------------------------


def test_an_expiry_lasts_through_its_last_day_and_a_month_through_its_last():
    """JOB edge case 59: expiry on the last day, and month-only dates."""
    for typed, last in (('"2026-11"', date(2026, 11, 30)), ('"2028-02"', date(2028, 2, 29)),
                        ("2026-11-02", date(2026, 11, 2))):
        text = changed(ASSAY, 'use_before = "2026-11"', f"use_before = {typed}")
        assert read(text).titrant.use_before == last
    sentence = refusal_of(changed(ASSAY, 'use_before = "2026-11"', 'use_before = "11/2026"'))
    assert 'write "2026-11", which lasts through its last day' in sentence


@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        ('"03/04/2026"', '"03/04/2026" may be 2026-04-03 or 2026-03-04'),
        ('"3.4.2026"', "may be 2026-04-03 or 2026-03-04"),
        ('"30/11/2026"', 'write "2026-11-30"'),
        ('"11/30/2026"', 'write "2026-11-30"'),
        ('"2026-11"', "names a month, and a day is wanted"),
        ('"2026-02-30"', "the day 2026-02-30 does not exist"),
        ('"yesterday"', "is not a date"),
        ("20261012", "is not a date"),
        ("1026-10-12", "the year 1026 cannot be meant"),
        ("09:30:00", "a time without a day"),
        ('"2026-10-12 25:00"', "does not exist"),
    ],
)
def test_a_date_that_could_be_two_is_asked_about(typed, asked):
    """JOB edge case 64: dates 03/04."""
    sentence = refusal_of(changed(ASSAY, "performed = 2026-10-12", f"performed = {typed}"))
    assert sentence.startswith("ws.toml: performed: ")
    assert asked in sentence


def test_local_times_carry_the_zone_through_summer_time_and_midnight():
    """JOB edge case 60: time zones, summer time, midnight runs. Offsets of London: from memory."""
    summer, winter = read(STANDARDISATION), read(changed(STANDARDISATION, "2026-10-05T09:30:00", '"2026-11-05 09:30"'))
    assert summer.performed.utcoffset() == timedelta(hours=1)
    assert winter.performed.utcoffset() == timedelta(0)
    assert summer.performed.astimezone(UTC) == datetime(2026, 10, 5, 8, 30, tzinfo=UTC)
    offset = read(changed(STANDARDISATION, "2026-10-05T09:30:00", "2026-10-05T09:30:00+02:00"))
    assert offset.performed.astimezone(UTC) == datetime(2026, 10, 5, 7, 30, tzinfo=UTC)
    night = read(changed(STANDARDISATION, 'final = "18.64 mL"', 'final = "18.64 mL"\nat = 2026-10-06T00:10:00'))
    assert night.determinations[0].at.astimezone(UTC) == datetime(2026, 10, 5, 23, 10, tzinfo=UTC)


def test_a_local_time_that_summer_time_skips_or_repeats_is_asked_about():
    """JOB edge case 60."""
    skipped = refusal_of(changed(STANDARDISATION, "2026-10-05T09:30:00", "2026-03-29T01:30:00"))
    assert "2026-03-29 01:30 does not exist" in skipped
    twice = refusal_of(changed(STANDARDISATION, "2026-10-05T09:30:00", "2026-10-25T01:30:00"))
    assert "2026-10-25 01:30 comes twice" in twice
    # Of each the two moments that are real: the hour before and after is what the clock showed (tz database).
    assert "2026-03-29T00:30:00+00:00 or 2026-03-29T02:30:00+01:00" in skipped
    assert "2026-10-25T01:30:00+00:00 or 2026-10-25T01:30:00+01:00" in twice
    assert read(changed(STANDARDISATION, "2026-10-05T09:30:00", "2026-10-25T01:30:00+01:00")).performed.hour == 1
    unknown = refusal_of(changed(STANDARDISATION, "Europe/London", "Europe/Londn"))
    assert "write Europe/London if that is meant" in unknown


def test_a_local_time_without_a_zone_is_utc():
    sheet = read(changed(STANDARDISATION, 'zone = "Europe/London"\n', ""))
    assert sheet.performed == datetime(2026, 10, 5, 9, 30, tzinfo=UTC)


# --- weighing ---------------------------------------------------------------------------------------------------------


def test_a_tare_taken_as_the_portion_is_refused():
    """JOB edge case 38: tare taken as portion in weighing by difference."""
    crossed = refusal_of(changed(changed(STANDARDISATION, '"60.5450 g"', '"60.1562 g"'), 'tare = "60.1562 g"',
                                 'tare = "60.5450 g"'))
    assert crossed == ("ws.toml: determination 1, tare: the tare 60.5450 g is above the gross mass 60.1562 g; "
                       "check the two weighings, or exchange them if they are crossed.")
    assert "as large as the gross" in refusal_of(changed(STANDARDISATION, '"60.5450 g"', '"60.1562 g"'))
    assert 'the weighing lacks "tare"' in refusal_of(changed(STANDARDISATION, 'tare = "60.1562 g"\n', ""))
    assert "both by difference and as a net mass" in refusal_of(
        changed(STANDARDISATION, 'tare = "60.1562 g"', 'tare = "60.1562 g"\nnet = "0.3888 g"'))


@pytest.mark.parametrize(
    ("before", "after", "sentence"),
    [
        ('gross = "60.5450 g"\ntare = "60.1562 g"', 'net = "-0.3888 g"', "the mass -0.3888 g is not above zero"),
        ('gross = "60.5450 g"\ntare = "60.1562 g"', 'net = "0.0000 g"', "the mass 0.0000 g is not above zero"),
        ('tare = "60.1562 g"', 'tare = "-1 g"', "the tare -1 g is below zero"),
        ('gross = "60.5450 g"', 'gross = "60.5450 mL"', "a mass in g is expected, and mL is a unit of volume"),
        ('tare = "60.1562 g"', 'tare = "60.1562 g"\nbalance = "analytical"', 'no table [balances.analytical] defines'),
        ("[balances.balance]", "[balances.analytical]", 'no table [balances.balance] defines "balance"'),
        ('content = "99.97 %', 'content = "199.97 %', "is not a content of a standard"),
        ('content = "99.97 % ± 0.07 %, k = 2"', 'content = "99.97 g/L"', "a ratio in % or a mass fraction in % w/w"),
        ('content = "99.97 % ± 0.07 %, k = 2"', 'content = "99.97 % ± 0.07 %"', "it is not said what ± 0.07 % is"),
    ],
)
def test_a_mass_or_content_that_cannot_be_is_refused(before, after, sentence):
    """JOB edge cases 35 and 36 for the content."""
    assert sentence in refusal_of(changed(STANDARDISATION, before, after))


def test_a_purity_above_one_hundred_per_cent_is_irregular_and_not_impossible():
    """JOB edge case 36."""
    assert read(changed(STANDARDISATION, "99.97 %", "100.02 %")).standard.content.value == Decimal("100.02")


@pytest.mark.parametrize(
    "typed", ["99.97 % w/w ± 0.07 % w/w, k = 2", "0.9997 ± 0.0007, k = 2", "999.7 g/kg ± 0.7 g/kg, k = 2"])
def test_a_content_as_mass_fraction_is_the_same_content_in_per_cent(typed):
    content = read(changed(STANDARDISATION, "99.97 % ± 0.07 %, k = 2", typed)).standard.content
    assert (content.unit, content.value, content.text) == ("%", Decimal("99.97"), typed)
    assert content.uncertainty.standard_uncertainty == pytest.approx(0.035, rel=1e-12)


# --- burettes ---------------------------------------------------------------------------------------------------------


def test_a_final_reading_before_the_initial_is_refused_in_one_sentence():
    text = changed(ASSAY, '"0.00 mL"\nfinal = "40.16 mL"', '"24.50 mL"\nfinal = "12.30 mL"')
    assert refusal_of(text) == (
        "ws.toml: determination 2, final: the final reading 12.30 mL is before the initial reading 24.50 mL; "
        "check the two readings, or enter a refilled burette as two fillings.")


def test_a_refilled_burette_is_two_fillings_each_with_its_own_readings():
    """JOB edge case 45: two fills, two start errors."""
    refilled = 'fillings = [["0.00 mL", "50.00 mL"], ["0.02 mL", "3.12 mL"]]'
    text = changed(ASSAY, 'initial = "0.00 mL"\nfinal = "40.12 mL"', refilled)
    fillings = read(text).determinations[0].delivery.fillings
    assert [(one.initial.text, one.final.text) for one in fillings] == [("0.00 mL", "50.00 mL"), ("0.02 mL", "3.12 mL")]
    assert "the final reading 3.12 mL is before the initial reading 4.00 mL" in refusal_of(
        changed(text, '"0.02 mL"', '"4.00 mL"'))
    assert "fillings and by initial and final" in refusal_of(changed(text, "fillings", 'initial = "0.00 mL"\nfillings'))
    assert "not a list of pairs" in refusal_of(changed(text, refilled, 'fillings = ["0.00 mL", "50.00 mL"]'))
    assert "the list is empty" in refusal_of(changed(text, refilled, "fillings = []"))


@pytest.mark.parametrize(
    ("initial", "final", "sentence"),
    [
        ("0.00 mL", "50.01 mL", 'beyond the scale of "burette", which ends at 50 mL; check the reading, or enter a'),
        ("0.00 mL", "401.2 mL", "beyond the scale"),
        ("-0.10 mL", "40.12 mL", "above the zero mark; give the reading on the scale, at the same edge of the"),
        ("0.00 mL", "40.12 g", "a volume in mL is expected, and g is a unit of mass"),
        ("0.00", "40.12 mL", 'the number 0.00 has no unit; write for instance "0.00 mL"'),
        ("nan mL", "40.12 mL", "not a finite number"),
    ],
)
def test_a_reading_that_is_not_on_the_scale_is_refused(initial, final, sentence):
    """JOB edge case 46: a reading at the top of the meniscus may stand above the zero mark; the remedy says so."""
    text = changed(ASSAY, 'initial = "0.00 mL"\nfinal = "40.12 mL"', f'initial = "{initial}"\nfinal = "{final}"')
    assert sentence in refusal_of(text)


def test_a_reading_at_the_very_end_of_the_scale_is_on_it():
    for typed in ("50.00 mL", "0.05 L"):
        delivery = read(changed(ASSAY, '"40.12 mL"', f'"{typed}"')).determinations[0].delivery
        assert delivery.fillings[0].final.text == typed


def test_who_left_a_determination_out_is_asked_later_but_why_is_asked_at_once():
    """JOB edge case 55: what is left out is still data; a missing name is irregular, an empty reason is none."""
    out = 'temperature = "22.0 °C"\nexcluded = "bubble in the tip"'
    sheet = read(changed(ASSAY, 'temperature = "22.0 °C"', out))
    assert (sheet.determinations[0].excluded, sheet.determinations[0].excluded_by) == ("bubble in the tip", "")
    assert "the reason is empty" in refusal_of(changed(ASSAY, 'temperature = "22.0 °C"', 'excluded = ""'))
    assert "without the reason" in refusal_of(changed(ASSAY, 'temperature = "22.0 °C"', 'excluded_by = "M. Anand"'))


def test_a_first_endpoint_is_a_burette_reading_and_not_a_volume_from_there():
    """JOB edge case 26: total and separate burette readings confused."""
    text = changed(ASSAY, 'final = "40.12 mL"', 'final = "40.12 mL"\nfirst = "38.50 mL"')
    assert read(text).determinations[0].delivery.first.text == "38.50 mL"
    beyond = refusal_of(changed(text, "38.50", "41.00"))
    assert beyond == ("ws.toml: determination 1, first: the reading at the first endpoint 41.00 mL is not between the "
                      "readings 0.00 mL and 40.12 mL; give the burette's reading at the first endpoint, not the volume "
                      "from one to the other.")
    separate = changed(changed(text, 'initial = "0.00 mL"', 'initial = "2.00 mL"'), "38.50", "1.62")
    assert "is not between the readings 2.00 mL and 40.12 mL" in refusal_of(separate)


def test_titrant_by_mass_is_read_and_not_mixed_with_readings():
    weighed = 'titrant_gross = "141.210 g"\ntitrant_tare = "100.050 g"'
    balance = '[balances.balance]\nid = "W-3"\n\n[specification]'
    text = changed(changed(ASSAY, 'initial = "0.00 mL"\nfinal = "40.12 mL"', weighed), "[specification]", balance)
    assert read(text).determinations[0].delivery.mass.tare.text == "100.050 g"
    assert "by mass and by initial and final" in refusal_of(changed(text, weighed, weighed + '\ninitial = "0.00 mL"'))
    assert "belongs to a burette" in refusal_of(changed(text, weighed, weighed + '\nfirst = "1.00 mL"'))


# --- keys, kinds and roles --------------------------------------------------------------------------------------------


REFUSALS = tomllib.loads((Path(__file__).parent / "refusals.toml").read_text(encoding="utf-8"))["refusal"]


@pytest.mark.parametrize("refusal", REFUSALS, ids=lambda refusal: refusal["sentence"])
def test_a_refusal_names_file_field_and_remedy(refusal):
    assert refusal_of(changed(ASSAY, refusal["before"], refusal["after"])) == refusal["sentence"]


def test_what_belongs_to_the_other_kind_of_worksheet_is_refused():
    assert "an assay has no [against] table" in refusal_of(
        changed(ASSAY, "[vessels.burette]", '[against]\nname = "x"\nformula = "NaOH"\n\n[vessels.burette]'))
    sample = '[sample]\nproduct = "x"\nlot = "1"\n'
    assert "a standardisation has no [sample] table" in refusal_of(STANDARDISATION + sample)
    assert "a standardisation seeks the titrant's concentration" in refusal_of(
        changed(STANDARDISATION, 'nominal = "0.1 mol/L"', 'concentration = "0.1 mol/L"'))
    nothing = changed(ASSAY, 'concentration = "1.0012 mol/L ± 0.0010 mol/L, k = 2"\n', "")
    assert "the concentration that it belongs to" in refusal_of(nothing)
    assert "there is no determination" in refusal_of(ASSAY[:ASSAY.index("[[determination]]")])


def test_a_titrant_set_against_a_solution_says_which_of_the_two_is_in_the_burette():
    known = ('[against]\nname = "hydrochloric acid 0.1 mol/L"\nformula = "HCl"\nworksheets = ["acid.toml"]\n\n'
             '[vessels.pipette]\nkind = "pipette"\nid = "P-1"\nnominal = "25 mL"\n'
             'tolerance = "0.03 mL, rectangular"\n\n')
    start, end = STANDARDISATION.index("[standard]"), STANDARDISATION.index("[vessels.burette]")
    text = STANDARDISATION[:start] + known + STANDARDISATION[end:]
    text = changed(text, 'gross = "60.5450 g"\ntare = "60.1562 g"\n', 'pipette = "pipette"\n')
    assert read(text).unknown_in_burette
    assert not read(changed(text, '"HCl"', '"HCl"\nin_burette = true')).unknown_in_burette
    assert "nothing says what its concentration is" in refusal_of(changed(text, 'worksheets = ["acid.toml"]\n', ""))
    assert "neither true nor false" in refusal_of(changed(text, '"HCl"', '"HCl"\nin_burette = "yes"'))


def test_a_back_titration_names_its_excess_and_its_blank_is_titrated_likewise():
    sheet = read(back_titration())
    assert sheet.determinations[0].excess.pipette == "excess pipette"
    assert sheet.blank.excess.pipette == "excess pipette"
    assert sheet.blank.deliveries[0].fillings[0].final.text == "45.10 mL"
    without = changed(back_titration(), 'kind = "titrated likewise"', 'kind = "indicator blank"')
    assert "nothing says what its concentration is" in refusal_of(without)
    assert "there is no [reagent] table" in refusal_of(
        changed(ASSAY, 'temperature = "22.0 °C"', 'excess_pipette = "pipette"'))


def test_a_stated_blank_may_have_either_sign_and_may_be_nothing():
    """JOB edge case 15: blanks of mixed indicators and of starch with iodide differ by sign."""
    for typed in ("0.05 mL ± 0.02 mL, rectangular", "−0.05 mL ± 0.02 mL, rectangular", "0 mL ± 0.02 mL, rectangular"):
        blank = f'[blank]\nkind = "indicator blank"\nvolume = "{typed}"\n\n[specification]'
        assert read(changed(ASSAY, "[specification]", blank)).blank.volume.text == typed
    zero = ('[blank]\nkind = "indicator blank"\ntitrations = [{ initial = "1.00 mL", final = "1.00 mL" }]\n\n'
            "[specification]")
    assert len(read(changed(ASSAY, "[specification]", zero)).blank.deliveries) == 1
    both = zero.replace("titrations", 'volume = "0.05 mL"\ntitrations')
    assert "both by titrations and as a volume" in refusal_of(changed(ASSAY, "[specification]", both))


def test_corrections_follow_the_scale_and_come_with_their_uncertainty():
    """JOB edge case 44: the burette's correction differs at start and end."""
    own = ('corrections = [["0 mL", "0.000 mL"], ["25 mL", "+0.012 mL"], ["50 mL", "−0.008 mL"]]\n'
           'calibration_uncertainty = "0.010 mL, k = 2"\nscale_correlation = "0.8"')
    text = changed(ASSAY, 'class = "A"\nstandard = "ISO 385"', own)
    vessel = read(text).vessels[0]
    assert [pair[1].value for pair in vessel.corrections] == [Decimal("0.000"), Decimal("0.012"), Decimal("-0.008")]
    assert (vessel.calibration_uncertainty.uncertainty.standard_uncertainty, vessel.scale_correlation) == (0.005, 0.8)
    assert "follows 25 mL" in refusal_of(changed(text, '["50 mL"', '["20 mL"'))
    assert "not on the scale" in refusal_of(changed(text, '["50 mL"', '["60 mL"'))
    assert "more than a tenth of the vessel" in refusal_of(changed(text, '"+0.012 mL"', '"25.012 mL"'))
    assert "stand without their uncertainty" in refusal_of(
        changed(text, 'calibration_uncertainty = "0.010 mL, k = 2"\n', ""))
    assert "is above 1, which cannot be" in refusal_of(changed(text, '"0.8"', '"1.8"'))


def test_a_piston_burette_has_its_limits_from_its_standard_without_a_class():
    piston = changed(changed(ASSAY, 'kind = "burette"', 'kind = "piston burette"'), 'class = "A"\nstandard = "ISO 385"',
                     'standard = "ISO 8655-3"')
    assert read(piston).vessels[0].standard == "ISO 8655-3"
    glass = changed(ASSAY, 'class = "A"\nstandard = "ISO 385"', 'standard = "ISO 385"')
    assert "nothing says how far its volume may be off" in refusal_of(glass)


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ('rule = "guard band"', 'the field "guard_band_factor" is missing; add guard_band_factor = "1"'),
        ('rule = "guarded"', '"guarded" is not one of the choices; write "guard band" if that is meant'),
        ('guard_band_factor = "1"', 'belongs to the rule "guard band", and the rule is "simple acceptance"'),
        ('rule = "conformance probability"\nconformance_probability = "195 %"', "195 % is not below 100 %"),
        ('rule = "rounding method"', 'the field "rounding_step" is missing'),
        ('rounding = "half odd"', '"half odd" is not one of the choices'),
        ('prior_mean = "20.0 % w/v"', 'the field "prior_standard_deviation" is missing'),
        ('prior_mean = "20.0 % w/v"\nprior_standard_deviation = "0 % w/v"', "0 % w/v is not above zero"),
        ('lower_limit = "19 % w/v"', 'the field "lower_limit" is not known'),
    ],
)
def test_a_decision_rule_comes_with_what_it_needs(lines, sentence):
    assert sentence in refusal_of(changed(ASSAY, "[specification]\n", f"[specification]\n{lines}\n"))


def test_limits_are_exact():
    """JOB edge case 50: limits are exact, never rounded."""
    assert read(ASSAY).specification.lower.text == "19.8 % w/v"
    uncertain = changed(ASSAY, '"20.2 % w/v"', '"20.2 % w/v ± 0.1 % w/v, k = 2"')
    assert "a limit is exact" in refusal_of(uncertain)


# --- lots -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after", "sentence"),
    [
        ('less_than = "5 mg/L"', 'less_than = "5 mg/L"\nvalue = "4 mg/L"', "given by value and by less_than"),
        ('less_than = "5 mg/L"\n', "", "characteristic 3 (chloride): nothing says what was found"),
        ('less_than = "5 mg/L"', 'less_than = "5 mg/kg"', "mg/L is expected, and mg/kg is a unit of mass fraction"),
        ('name = "chloride"', 'name = "appearance"', 'the characteristic "appearance" stands twice'),
        ('"H290"', '"H2900"', '"H2900" is not the code of a hazard statement'),
        ('use_before = "2027-10"', 'use_before = "2025-10"', "2025-10-31 is before the lot was made, 2026-10-09"),
        ("satisfied = true", 'satisfied = "yes"', "neither true nor false"),
        ("satisfied = true", 'upper = "10 mg/L"', "the characteristic is found in words"),
        ('worksheet = "ws.toml"', 'worksheet = "ws.toml"\nsource = "x"', "belongs to value or less_than or found"),
        ('lower = "19.8 % w/v"\nupper = "20.2 % w/v"', 'lower = "19.8"', "lower: 19.8 has no unit, and the limit of a"),
        ('"H314"', '"H999"', "0417.toml: hazards: there is no hazard statement 'H999'"),
        ('id = "0417"', "id = 417", "in quotation marks"),
    ],
)
def test_a_lot_that_cannot_be_is_refused(before, after, sentence):
    assert sentence in refusal_of(changed(LOT, before, after), "0417.toml")


def test_a_lot_is_no_worksheet_where_a_worksheet_is_wanted():
    with pytest.raises(Refusal, match="it describes a lot, and a worksheet is wanted here"):
        parse_worksheet(LOT.encode(), "0417.toml")
