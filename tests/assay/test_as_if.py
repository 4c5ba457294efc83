"""An instrument that was wrong: what it would have been, by hand, down to what rests on a standardisation.

The error is what was shown less what was true (JCGM 200:2012, 2.16); the figures by hand use only the equation
c = m w/(M V) and the readings of the small worksheets.
"""

from datetime import date
from decimal import Decimal

import pytest

from assaywright.assay.as_if import (
    AsIf,
    IndicationError,
    demand_shown,
    distance_eaten,
    leaves_blank,
    put_right,
    was_used,
)
from assaywright.assay.decide import decide
from assaywright.assay.specification import Specification
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from tests.assay.laboratory import assay, evaluated, standardisation
from tests.edge.house import certified

DAY = date(2026, 10, 5)


def wrong(identity, kind, amount, unit, first=DAY, last=DAY):
    return IndicationError(identity, kind, Decimal(amount), unit, first, last)


def both(text, error, files=None):
    texts = {name: one.encode() for name, one in (files or {}).items()}
    before, after = AsIf(lambda path: texts[path], error).both(parse_worksheet(text.encode(), "ws.toml"))
    return before.result, after.result


def ratio(text, error, files=None):
    before, after = both(text, error, files)
    return after.estimate.value / before.estimate.value


def test_a_balance_that_shows_a_thousandth_too_much_found_the_titrant_a_thousandth_too_strong():
    assert ratio(standardisation(), wrong("BAL-2", "balance", "0.1", "%")) == pytest.approx(1 / 1.001, rel=1e-12)


def test_a_balance_that_shows_two_milligrams_too_much_on_each_net_mass():
    """The mean of (m - 0.0020 g)/V over the mean of m/V, with 0.7888, 0.7950, 0.7740 g and 38.62, 38.93, 37.90 mL."""
    pairs = ((0.7888, 38.62), (0.7950, 38.93), (0.7740, 37.90))
    by_hand = sum((m - 0.002) / v for m, v in pairs) / sum(m / v for m, v in pairs)
    found = ratio(standardisation(), wrong("BAL-2", "balance", "2", "mg"))
    assert found == pytest.approx(by_hand, rel=1e-9)
    assert found == pytest.approx(ratio(standardisation(), wrong("BAL-2", "balance", "0.002", "g")), rel=1e-12)


def test_a_burette_that_shows_more_than_it_delivers():
    """Class A without corrections, so 38.62 - 0.05 mL and so on stand in the denominator."""
    pairs = ((0.7888, 38.62), (0.7950, 38.93), (0.7740, 37.90))
    by_hand = sum(m / (v - 0.05) for m, v in pairs) / sum(m / v for m, v in pairs)
    assert ratio(standardisation(), wrong("B-07", "burette", "0.05", "mL")) == pytest.approx(by_hand, rel=1e-9)


@pytest.mark.parametrize("blank", [
    'titrations = [{ initial = "0.00 mL", final = "0.02 mL", temperature = "20.0 °C" }]', 'volume = "0.02 mL"'])
def test_a_blank_is_left_as_it_was_by_an_error_in_millilitres_and_put_right_by_one_in_per_cent(blank):
    """The blank's two hundredths are no delivery to take five from: (v - 0.05) - 0.02 mL stands in the denominator."""
    pairs = ((0.7888, 38.62), (0.7950, 38.93), (0.7740, 37.90))
    text = standardisation(extra=f'[blank]\nkind = "reagent blank"\n{blank}\n')
    error = wrong("B-07", "burette", "0.05", "mL")
    by_hand = sum(m / (v - 0.07) for m, v in pairs) / sum(m / (v - 0.02) for m, v in pairs)
    assert ratio(text, error) == pytest.approx(by_hand, rel=1e-9)
    sheet = parse_worksheet(text.encode(), "ws.toml")
    assert leaves_blank(sheet, error)
    assert not leaves_blank(sheet, wrong("B-07", "burette", "1", "%"))
    assert not leaves_blank(sheet, wrong("B-08", "burette", "0.05", "mL")), "not used"
    if "titrations" in blank:
        assert ratio(text, wrong("B-07", "burette", "1", "%")) == pytest.approx(1.01, rel=1e-9)


def test_what_would_be_less_than_nothing_is_told_in_place_of_a_figure():
    with pytest.raises(Refusal, match=r"of 38\.62 mL delivered, −0\.38 mL would be left"):
        both(standardisation(), wrong("B-07", "burette", "39.00", "mL"))
    with pytest.raises(Refusal, match=r"more than half of 37\.90 mL delivered"):
        both(standardisation(), wrong("B-07", "burette", "-18.96", "mL"))
    assert was_used(parse_worksheet(standardisation().encode(), "ws.toml"), wrong("B-07", "burette", "38.00", "mL"))
    with pytest.raises(Refusal, match=r"of 0\.7740 g weighed"):
        both(standardisation(), wrong("BAL-2", "balance", "0.39", "g"))


def test_a_pipette_that_holds_more_than_it_says_found_the_sample_too_strong():
    """25 mL on it, 25.03 mL in it: an error of -0.03 mL, and the content is 25/25.03 of what was found."""
    text = assay(titrant=certified("0.1000"), pipette="25").replace("2026-10-12", "2026-10-05")
    assert ratio(text, wrong("P-02", "pipette", "-0.03", "mL")) == pytest.approx(25 / 25.03, rel=1e-12)


def test_a_thermometer_that_shows_too_much_is_as_if_less_had_been_typed():
    warm, right = standardisation(temperature="25.0 °C"), standardisation(temperature="23.5 °C")
    _, after = both(warm, wrong("T-1", "thermometer", "1.5", "°C"))
    assert after.estimate.value == pytest.approx(evaluated(right).result.estimate.value, rel=1e-12)


def test_only_the_days_on_which_it_was_wrong_and_only_where_it_was_used():
    later = date(2026, 10, 6)
    for error in (wrong("BAL-2", "balance", "0.1", "%", later, later), wrong("BAL-3", "balance", "0.1", "%")):
        before, after = both(standardisation(), error)
        assert before == after


def test_what_rests_on_a_standardisation_moves_with_it():
    """Titrated a week later, when nothing was wrong: c of the titrant is 1/1.001 of what it was, so is the content."""
    files = {"st.toml": standardisation("ST-1")}
    text = assay(titrant='worksheets = ["st.toml"]')
    assert ratio(text, wrong("BAL-2", "balance", "0.1", "%"), files) == pytest.approx(1 / 1.001, rel=1e-9)


def limits(lower, upper):
    return Specification("content", "mol/L", read_quantity(lower), read_quantity(upper))


def test_what_of_the_distance_to_the_limit_is_eaten():
    """0.1000 mol/L found; a thousandth less is 0.0001 of the 0.0004 that were left to 0.0996."""
    before, after = both(standardisation(), wrong("BAL-2", "balance", "0.1", "%"))
    value = before.estimate.value
    at = limits(f"{value - 0.0004:.9f} mol/L", f"{value + 0.0100:.9f} mol/L")
    assert distance_eaten(before, after, at) == pytest.approx(value * (1 - 1 / 1.001) / 0.0004, rel=1e-4)
    assert distance_eaten(after, before, at) < 0
    narrow = limits(f"{value - 0.00005:.9f} mol/L", f"{value + 0.0100:.9f} mol/L")
    assert (decide(before, narrow).decision, decide(after, narrow).decision) == ("conforms", "does not conform")
    assert distance_eaten(before, after, Specification("content", "mol/L")) is None


@pytest.mark.parametrize(("changes", "told"), [
    ({"unit": "mL"}, "not stated in mL"), ({"amount": "0"}, "changes nothing"), ({"amount": "80"}, "is no error"),
    ({"kind": "pH electrode"}, "no result is computed"), ({"last": date(2026, 10, 4)}, "lies before the first"),
    ({"amount": "NaN"}, "changes nothing"),
])
def test_an_error_that_cannot_be_is_refused(changes, told):
    given = {"identity": "BAL-2", "kind": "balance", "amount": "0.1", "unit": "%", "first": DAY, "last": DAY} | changes
    with pytest.raises(Refusal, match=told):
        wrong(**given)


@pytest.mark.parametrize(("kind", "identity", "most", "more", "unit", "told"), [
    ("balance", "BAL-2", "0.3975", "0.3976", "g", "half of what balance BAL-2 weighed on those days, 0.7950 g at most"),
    ("balance", "BAL-2", "-397.5", "-397.6", "mg", "0.7950 g at most"),
    ("burette", "B-07", "19.46", "-19.47", "mL", "half of what burette B-07 delivered on those days, 38.93 mL at most"),
    ("burette", "B-08", "25", "25.1", "mL", "half of the scale of burette B-08, 50 mL"),
    ("pipette", "P-02", "12.5", "-12.6", "mL", "half of the volume of pipette P-02, 25 mL"),
    ("thermometer", "T-1", "60", "60.1", "°C", "no temperature that it showed on those days would lie between −40 °C"),
    ("thermometer", "T-1", "-130", "400", "°C", "since what is titrated lies between −40 °C and 150 °C"),
])
def test_an_error_of_more_than_half_of_all_that_is_shown_is_refused_as_a_whole(kind, identity, most, more, unit, told):
    """The largest portion is of 0.7950 g, the largest titre 38.93 mL; all at 20.0 °C."""
    sheet = parse_worksheet(standardisation().encode(), "ws.toml")
    ends = {"B-07": "50 mL", "B-08": "50 mL", "P-02": "25 mL"}
    scale = read_quantity(ends[identity], "mL") if identity in ends else None
    demand_shown(wrong(identity, kind, most, unit), scale, [sheet])
    demand_shown(wrong(identity, kind, "50", "%") if kind != "thermometer" else wrong(identity, kind, "1", "°C"), scale,
                 [sheet])
    with pytest.raises(Refusal) as refused:
        demand_shown(wrong(identity, kind, more, unit), scale, [sheet])
    assert told in refused.value.what


def test_a_temperature_put_right_stays_that_of_a_liquid():
    with pytest.raises(Refusal, match=r"20\.0 °C put right would be −80\.0 °C"):
        put_right(parse_worksheet(standardisation().encode(), "ws.toml"), wrong("T-1", "thermometer", "100", "°C"))
