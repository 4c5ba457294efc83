"""What if a balance was wrong: every result found with it, put right by the equation it was found by; figures by hand.

The demonstration: T-0917 is set by weighed standards on W-4 (28 and 29 September 2026), T-0918 against T-0917; acetic
acid (WS-26-0903, 5 October) is weighed on W-4 and titrated with T-0918, soda (WS-26-0906) pipetted and titrated with
T-0917. So m stands below the line in the acid's content, and above it in the titrants'.
"""

import csv
import io

import pytest

from tests.web.test_line import plain

pytestmark = pytest.mark.usefixtures("laboratory")
PAGE = "/equipment/what-if/W-4"


def asked(browser, first, last, error="0.1", unit="%", page=PAGE, **more):
    return browser("ines").get(page, {"from": first, "to": last, "error": error, "unit": unit, **more})


def rows(browser, *days, **more):
    text = asked(browser, *days, **more, **{"as": "csv"}).content.decode("utf-8-sig")
    return {one["worksheet"]: one for one in csv.DictReader(io.StringIO(text))}


def shift(row):
    return float(row["shift, relative / %"])


def test_one_day_moves_what_was_weighed_on_it(browser):
    found = rows(browser, "2026-10-05", "2026-10-05")
    assert set(found) == {"WS-26-0903"}
    assert shift(found["WS-26-0903"]) == pytest.approx(0.1, abs=1e-9), "the portion was a thousandth smaller"
    assert found["WS-26-0903"]["how"] == "used it"
    assert found["WS-26-0903"]["lot or solution"] == "0941"


def test_a_standardisation_moves_what_rests_on_it_and_the_same_error_in_both_cancels(browser):
    titrants = rows(browser, "2026-09-20", "2026-09-30")
    assert shift(titrants["WS-26-0871"]) == pytest.approx(100 / 1.001 - 100, abs=1e-6)
    for number in ("WS-26-0903", "WS-26-0906"):
        assert titrants[number]["how"] == "rests on such a standardisation"
        assert shift(titrants[number]) == pytest.approx(100 / 1.001 - 100, abs=1e-6)
    whole = rows(browser, "2026-09-20", "2026-10-31")
    assert shift(whole["WS-26-0903"]) == pytest.approx(0, abs=1e-6), "the titrant and the portion by the same factor"
    assert shift(whole["WS-26-0906"]) == pytest.approx(100 / 1.001 - 100, abs=1e-6)


def test_decisions_that_become_others_come_first_and_nothing_is_changed(browser):
    from assaywright.records.models import Event

    before = Event.objects.count()
    answer = asked(browser, "2026-10-05", "2026-10-05", "5")
    shown = plain(answer)
    assert "1 decision becomes another one." in shown
    assert "conforms → does not conform" in shown
    assert shown.index("WS-26-0903") < shown.index("Take it along")
    assert "showed 5 % more than was true" in shown
    assert Event.objects.count() == before
    assert "No decision becomes another one." in plain(asked(browser, "2026-10-05", "2026-10-05"))
    assert answer.content.decode().count('<th scope="col"') == 5, "five columns fit a tablet"
    # 30.043 % w/w of 29.5 to 30.5: a thousandth of it is 0.03004 of the 0.457 that were left
    eaten = rows(browser, "2026-10-05", "2026-10-05")["WS-26-0903"]["distance to the limit used up / %"]
    assert float(eaten) == pytest.approx(100 * 0.03004 / 0.457, abs=0.02)


BURETTE = "/equipment/what-if/B-11"


def test_a_burette_that_shows_more_on_each_delivery_leaves_the_blank_as_it_was(browser):
    """By hand, of the readings alone: T-0917 by m/(V - 0.02 mL) and by m/V, 0.125 % more by either.

    T-0918 takes 0.125 % from it, and 0.05 of its own 20.1 mL; acetic acid those 0.375 % less 0.05 of 40.2 mL; soda
    0.125 % less 0.05 of 40 mL.
    """
    error = {"error": "0.05", "unit": "mL", "page": BURETTE}
    found = rows(browser, "2026-09-01", "2026-11-30", **error)
    pairs = ((1.0612, 39.92), (1.0548, 39.66), (1.0703, 40.28))
    by_hand = sum(m / (v - 0.07) for m, v in pairs) / sum(m / (v - 0.02) for m, v in pairs) - 1
    assert shift(found["WS-26-0871"]) == pytest.approx(100 * by_hand, abs=2e-4)
    pairs = ((2.4187, 39.77), (2.4402, 40.18), (2.4065, 39.61))
    by_hand = sum(m / (v - 0.05) for m, v in pairs) / sum(m / v for m, v in pairs) - 1
    assert shift(found["WS-26-0874"]) == pytest.approx(100 * by_hand, abs=3e-4)
    for number, expected in (("WS-26-0878", 0.375), ("WS-26-0903", 0.250), ("WS-26-0906", 0.0)):
        assert shift(found[number]) == pytest.approx(expected, abs=2e-3)
    assert found["WS-26-0871"]["remark"] == "blank left as it was"
    assert not found["WS-26-0874"]["remark"], "it has none"
    shown = plain(asked(browser, "2026-09-01", "2026-11-30", **error))
    for told in ("a blank is left as it was", "2026-09-28 blank left as it was", "+0.13 %", "+0.37 %",
                 "less than can be told"):
        assert told in shown
    none_left = plain(asked(browser, "2026-09-28", "2026-09-28", "19.99", "mL", BURETTE))
    assert "It cannot be computed: the error is more than half of 39.92 mL delivered." in none_left


@pytest.mark.parametrize(("given", "told"), [
    (("2026-13-45", "2026-10-05"), "“2026-13-45” is no day"), (("", "2026-10-05"), "the day is missing"),
    (("2026-10-06", "2026-10-05"), "lies before the first"), (("2026-10-05", "2026-10-05", "abc"), "abc"),
    (("2026-10-05", "2026-10-05", "0"), "changes nothing"), (("2026-10-05", "2026-10-05", "1", "mL"), "not stated in"),
    (("2026-10-05", "2026-10-05", "5000", "g"), "an error of 5000 g is more than half of what balance W-4"),
    (("2026-09-01", "2026-11-30", "3000", "mL", BURETTE),
     "half of what burette B-11 delivered on those days, 40.77 mL at most"),
    (("2026-09-01", "2026-11-30", "400", "°C", "/equipment/what-if/T-6"), "between −40 °C and 150 °C"),
    (("2026-09-01", "2026-11-30", "150", "°C", "/equipment/what-if/T-6"),
     "no temperature that it showed on those days"),
    (("", "", "", ""), "the error is missing"),
])
def test_what_cannot_be_is_told_with_what_was_typed(browser, given, told):
    answer = asked(browser, *given)
    assert answer.status_code == 422
    assert told in plain(answer)
    assert f'value="{given[1]}"' in answer.content.decode()


def test_days_on_which_nothing_was_done_and_an_instrument_that_is_not_there(browser):
    assert "No worksheet of those days used it." in plain(asked(browser, "2025-01-01", "2025-02-01"))
    assert asked(browser, "2025-01-01", "2025-02-01", page="/equipment/what-if/none").status_code == 404
    assert "What if it was wrong?" in plain(browser("ines").get("/equipment/instrument/W-4"))
