"""What the standardisations of a titrant tell in words, and when they tell nothing."""

from datetime import date, timedelta

import pytest
from scipy import stats

from assaywright.assay.drift import CHANGE, LIMITS, Allowed, Standardised, drift_of, written_change, written_fit
from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.stability import line_through

FIRST = date(2026, 3, 2)
STANDARD = Contribution("standard", 3e-5)


def standardised(*values, days=(0, 28, 63, 98), own=3e-5, unit="mol/L", degrees=30):
    """Standardisations of one titrant from portions of their own, with one reference material."""
    return [Standardised(f"WS-{place}", FIRST + timedelta(days=day), Estimate(value, unit, (
        STANDARD, Contribution(f"portions {place}", own, degrees))))
        for place, (value, day) in enumerate(zip(values, days, strict=False))]


STEADY = (0.10012, 0.10013, 0.10011, 0.10012)
FALLING = (0.10012, 0.10004, 0.09994, 0.09985)


@pytest.mark.parametrize(("found", "sentence"), [
    ([], "None of its standardisations counts yet"),
    (standardised(0.1), "One standardisation tells no drift: it takes three, on different days. Standardise it twice"),
    (standardised(0.1, 0.1), "Two standardisations tell no drift: it takes three, on different days. Standardise it o"),
    (standardised(*STEADY, days=(0, 0, 0, 0)), "All its standardisations were performed on one day"),
    ([*standardised(*STEADY[:3]), standardised(0.1, unit="mol/kg")[0]], "differ in their unit"),
    (standardised(0.1, -0.1, 0.1), "found no concentration above zero"),
    (standardised(0.1, 0.1, 0.1, own=0.0), "have no uncertainty of their own"),
    (standardised(*STEADY, own=4e-4, degrees=1e9), "too uncertain to tell a change of 0.2 % from none"),
    # Thiosulfate may rise at first, while sulfite forms, and fall afterwards.
    (standardised(0.1000, 0.1006, 0.1004, 0.0997), "They rose until 30 March 2026 and fell since. Go by the last one"),
    (standardised(0.1006, 0.1000, 0.1002, 0.1009), "They fell until 30 March 2026 and rose since."),
])
def test_nothing_is_foretold_without_a_line_that_fits_and_it_is_said_why_and_what_to_do(found, sentence):
    drift = drift_of(found, Allowed(0.2))
    assert sentence in drift.why_not
    assert (drift.until, drift.meets) == (None, "")


def test_a_titrant_that_falls_is_told_when_it_has_changed_by_as_much_as_allowed():
    drift = drift_of(standardised(*FALLING), Allowed(0.2))
    assert (drift.meets, drift.why_not, drift.shown) == (CHANGE, "", True)
    # By hand: 0.27 % in 98 days, 0.2 % of it in 73 days, less the time that 95 % take off.
    assert date(2026, 7, 1) < drift.until < FIRST + timedelta(days=98 + 73)
    assert drift_of(standardised(*FALLING), Allowed(0.1)).until < drift.until
    within = 0.998 * FALLING[-1], 1.002 * FALLING[-1]
    assert (drift.bounds.lower, drift.bounds.upper) == pytest.approx(within, rel=1e-12)
    value, uncertainty = written_change(drift.line, drift.per_month)
    assert value.startswith("−0.08")
    assert float(uncertainty) < 0.03


def test_drift_in_per_cent_is_that_of_the_plain_formulas():
    drift = drift_of(standardised(*FALLING), Allowed(0.2))
    plainly = stats.linregress((0, 28, 63, 98), FALLING)  # of one weight
    assert drift.per_month.value == pytest.approx(100 * plainly.slope * 365.25 / 12 / FALLING[0], rel=1e-9)
    assert drift.since_first.value == pytest.approx(100 * (FALLING[-1] / FALLING[0] - 1), rel=1e-9)
    same = drift_of(standardised(0.1, 0.1, 0.1, own=3.003e-5), Allowed(0.2)).since_first
    # By hand: √2 · 0.03003 % with 60 degrees of freedom; t of 95 % is 2.000 (JCGM 100:2008, Table G.2).
    assert f"{stats.t.ppf(0.975, 60) * 2**0.5 * 0.03003:.5f}" == "0.08495"
    assert written_change(None, same) == ("+0.000", "0.085")


def test_how_well_a_line_fits_is_told_with_how_little_a_few_values_test_it():
    """Values of one own uncertainty: chi-squared is the sum of squared residuals over its square (by scipy)."""
    days, plainly = (0, 28, 63, 98), stats.linregress((0, 28, 63, 98), FALLING)
    residuals = [value - plainly.intercept - plainly.slope * day for day, value in zip(days, FALLING, strict=True)]
    chi_squared = sum(one**2 for one in residuals) / 3e-5**2
    told = written_fit(drift_of(standardised(*FALLING), Allowed(0.2)).line)
    assert f"A straight line fits: chi-squared {chi_squared:.2f} with 2 degrees of freedom" in told
    assert f"p = {100 * stats.chi2.sf(chi_squared, 2):.2f} %" in told
    assert "Four points test it little" in told
    five = standardised(*FALLING, 0.0998, days=(0, 28, 63, 98, 120))
    assert "test it little" not in written_fit(drift_of(five, Allowed(0.2)).line)
    bare = line_through([0, 28, 63], [Estimate(value, "mol/L", ()) for value in FALLING[:3]])
    # t of 95 % with one degree of freedom is 12.7 (JCGM 100:2008, Table G.2)
    assert "so k = 12.7 (Student's t with n − 2 = 1 degree of freedom)" in written_fit(bare)
    assert "Three points test it little" in written_fit(bare)


def test_limits_count_where_they_are_met_first():
    drift = drift_of(standardised(*FALLING), Allowed(0.2, lower=0.0997))
    assert (drift.meets, drift.bounds.lower, drift.bounds.upper) == (LIMITS, 0.0997, None)
    met = drift_of(standardised(*FALLING), Allowed(0.2, lower=0.0999))
    assert (met.until, met.met_already, drift.met_already) == (FIRST + timedelta(days=98), True, False)


def test_a_steady_titrant_holds_as_far_as_its_standardisations_carry_and_no_day_is_made_up():
    drift = drift_of(standardised(*STEADY), Allowed(0.2))
    assert (drift.meets, drift.shown) == ("", False)
    assert drift.until == drift.carried_until == FIRST + timedelta(days=2 * 98)


def test_a_standard_that_all_share_changes_no_day():
    alone = [Standardised(one.worksheet, one.day, Estimate(one.found.value, "mol/L", one.found.contributions[1:]))
             for one in standardised(*FALLING)]
    assert drift_of(alone, Allowed(0.2)).until == drift_of(standardised(*FALLING), Allowed(0.2)).until


@pytest.mark.parametrize("percent", [0.0, -0.2, float("nan")])
def test_a_largest_change_that_allows_none_is_refused(percent):
    with pytest.raises(Refusal, match="allows none"):
        drift_of([], Allowed(percent))
