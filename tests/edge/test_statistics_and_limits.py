"""Edge cases 49 to 58: rounding, limits, replicates, outliers, degrees of freedom; figures by hand."""

import math
import re

import pytest

from assaywright.assay.decide import decide
from assaywright.assay.observations import Specification
from assaywright.assay.result import Result
from assaywright.metrology.estimate import exact
from assaywright.metrology.rounding import report
from assaywright.metrology.typed import read_quantity
from tests.assay.laboratory import CERTIFIED, assay, evaluated, kinds, standardisation
from tests.edge.house import blank, mean, remarks_of, share

TITRES = (39.81, 39.84, 39.80)
OBSERVED = '[report]\nrepeatability = "observed"\n'


def decided(value, *, lower="", upper="", step="0.1", rule="rounding method", rounding="half up"):
    """Return the decision on an exact value, in % w/w."""
    limits = [read_quantity(f"{limit} % w/w") if limit else None for limit in (lower, upper)]
    specification = Specification("content", "% w/w", *limits, rule=rule, rounding=rounding,
                                  rounding_step=step if rule == "rounding method" else "")
    result = Result("content", exact(value, "% w/w"), 2.0, 0.95, f"{value}", "0.01")
    return decide(result, specification)


@pytest.mark.parametrize(("value", "rounding", "compared", "decision"), [
    (97.96, "half up", "98.0", "conforms"), (97.94, "half up", "97.9", "does not conform"),
    (97.92, "half up", "97.9", "does not conform"), (97.95, "half up", "98.0", "conforms"),
    (97.95, "half even", "98.0", "conforms"), (97.85, "half even", "97.8", "does not conform"),
])
def test_a_value_is_rounded_to_the_limits_place_and_then_compared(value, rounding, compared, decision):
    """Edge case 49: USP General Notices 7.20: not less than 98.0: 97.96 → 98.0 passes, 97.92 → 97.9 fails, 97.95 → 98.0
    passes. ASTM E29 and ISO 80000-1 rule A round a half to the even digit."""
    found = decided(value, lower="98.0", rounding=rounding)
    assert (found.compared, found.decision) == (f"{compared} % w/w", decision)


@pytest.mark.parametrize(("value", "compared", "decision"), [
    (101.55, "101.6", "does not conform"), (101.46, "101.5", "conforms"), (101.45, "101.5", "conforms")])
def test_the_upper_limit_rounds_upward_too(value, compared, decision):
    """Edge case 49: USP General Notices 7.20: not more than 101.5: 101.55 → 101.6 fails, 101.46 and 101.45 → 101.5."""
    found = decided(value, upper="101.5")
    assert (found.compared, found.decision) == (f"{compared} % w/w", decision)


def test_a_half_that_binary_numbers_lose_is_still_a_half():
    """Edge case 49: 2.675 is held as 2.67499999999999982; by decimal it is 2.68, half up and half even alike."""
    assert f"{2.675:.2f}" == "2.67"
    for rounding in ("half up", "half even"):
        assert decided(2.675, upper="2.67", step="0.01", rounding=rounding).compared == "2.68 % w/w"


@pytest.mark.parametrize(("value", "decision"), [
    (97.95, "does not conform"), (97.999999, "does not conform"), (98.0, "conforms")])
def test_a_limit_is_exact_and_is_never_rounded_itself(value, decision):
    """Edge case 50: the absolute method of ASTM E29: 98.0 means 98.000…"""
    assert decided(value, lower="98.0", rule="absolute method").decision == decision


def test_limits_of_another_number_of_digits_are_the_same_limits():
    """Edge case 50: "98" and "98.00" are one limit; the step alone says to what place a value is rounded."""
    assert [decided(97.96, lower=limit).decision for limit in ("98", "98.0", "98.00")] == ["conforms"] * 3


def test_digits_are_counted_after_the_point_and_not_from_the_front():
    """Edge case 51: 98.29 and 100.3 have four figures each; with U = 0.12 both are stated to 0.01."""
    assert report(98.294, 0.12) == ("98.29", "0.12")
    assert report(100.294, 0.12) == ("100.29", "0.12")
    assert decided(98.294, upper="101.5", step="0.01").compared == "98.29 % w/w"
    assert decided(100.294, upper="101.5", step="0.01").compared == "100.29 % w/w"


def two_persons(titres):
    """Return a standardisation by two persons, four determinations each, by an extra rule."""
    text = standardisation(masses=(0.8169,) * 8, titres=titres,
                           top='[report]\nacceptance = ["GB/T 601 two persons by four"]\n')
    second = text.split("[[determination]]")
    return "[[determination]]".join(
        part + ('analyst = "Jonas Feld"\n' if number > 4 else "") for number, part in enumerate(second))


@pytest.mark.parametrize(("titres", "accepted"), [
    ((40.00, 40.02, 40.04, 40.05, 40.01, 40.02, 40.03, 40.06), True),
    ((40.00, 40.02, 40.04, 40.05, 40.03, 40.05, 40.07, 40.08), False),
    ((40.00, 40.02, 40.04, 40.07, 40.02, 40.02, 40.03, 40.04), False),
])
def test_a_range_of_four_and_a_range_of_eight_have_each_their_limit(titres, accepted):
    """Edge case 52: GB/T 601-2016, 3.6 (from memory): 0.15 % for each person's four, 0.18 % for the eight.

    Of 40.04 mL a range of 0.06 mL is 0.150 %, of 0.07 mL 0.175 %, of 0.08 mL 0.200 %. Row by row: 0.05, 0.05 and
    0.06 mL pass; 0.05, 0.05 and 0.08 mL fail by the eight alone; 0.07 mL fails by the four, though the eight pass.
    """
    outcome = evaluated(two_persons(titres))
    by_rule = [one for one in outcome.statistics.acceptance if one.startswith("GB/T 601 two persons by four")]
    assert len(by_rule) == 1
    assert ("beyond" not in by_rule[0]) is accepted
    told = [one for one in remarks_of(outcome, "replicates-not-accepted") if "GB/T 601" in one.what]
    assert bool(told) is not accepted


def test_two_coarse_readings_that_agree_have_the_uncertainty_of_the_reading():
    """Edge case 53: n = 2, s = 0: u = d/√12 of 0.1 mL, not zero (JCGM 100:2008, F.2.2.1)."""
    text = assay(titrant=CERTIFIED, titres=(39.8, 39.8), top=OBSERVED).replace("39.80 mL", "39.8 mL")
    outcome = evaluated(text)
    assert outcome.statistics.standard_deviation == 0
    assert outcome.statistics.repeatability_of_mean == pytest.approx(
        0.1 / math.sqrt(12) / 39.8 * outcome.result.estimate.value, rel=1e-9)
    assert "scatter-below-resolution" in kinds(outcome)


def test_replicates_of_one_titrant_do_not_make_the_titrant_surer():
    """Edge case 54: u(c)/c = 0.05 % in the mean of three as in that of six, while the scatter's part shrinks by √2."""
    few, many = (evaluated(assay(titrant=CERTIFIED, titres=TITRES * times)) for times in (1, 2))
    assert share(few, "certified concentration") == pytest.approx(0.0005, rel=1e-9)
    assert share(many, "certified concentration") == pytest.approx(0.0005, rel=1e-9)
    assert share(few, "repeatability") / share(many, "repeatability") == pytest.approx(math.sqrt(2), rel=1e-3)


def test_a_flagged_outlier_still_counts():
    """Edge case 55: the mean is of all six, (5 × 39.80 + 40.60)/6 mL, whatever Grubbs' test says of the last."""
    titres = (39.80, 39.81, 39.79, 39.80, 39.80, 40.60)
    outcome = evaluated(assay(titrant=CERTIFIED, titres=titres))
    told = remarks_of(outcome, "possible-outlier")
    assert told[0].where.endswith("determination 6")
    assert outcome.statistics.number == 6
    assert outcome.result.estimate.value == pytest.approx(0.1 * mean(titres) / 10, rel=1e-9)
    assert not any(one.excluded for one in outcome.determinations)


def test_a_determination_left_out_by_a_person_is_shown_with_its_own_value():
    """Edge case 55: left out of the mean, kept on record; and without a name it holds the result."""
    out = 'excluded = "drop lost beside the flask"\nexcluded_by = "Jonas Feld"\n'
    text = assay(titrant=CERTIFIED, titres=(*TITRES, 38.00)) + out
    outcome = evaluated(text)
    assert outcome.result.estimate.value == pytest.approx(0.1 * mean(TITRES) / 10, rel=1e-9)
    assert outcome.determinations[3].value == pytest.approx(0.38, rel=1e-9)
    assert outcome.determinations[3].excluded == "drop lost beside the flask"
    assert outcome.releasable
    unnamed = evaluated(text.replace('excluded_by = "Jonas Feld"\n', ""))
    assert "excluded-without-name" in kinds(unnamed)
    assert not unnamed.releasable


def test_a_blank_near_zero_has_a_spread_in_millilitres_and_no_relative_one():
    """Edge case 56: −0.01 is not typed as a titration; 0.00, 0.04 and 0.01 mL have s = 0.0208 mL, 125 % of their mean.

    It counts as u = s/√3 = 0.0120 mL, in 39.8 mL; nothing is asked about 125 %.
    """
    titrations = ", ".join(f'{{ initial = "0.00 mL", final = "{volume} mL" }}' for volume in ("0.00", "0.04", "0.01"))
    extra = f'[blank]\nkind = "neutralised solvent"\ntitrations = [{titrations}]\n'
    outcome = evaluated(assay(titrant=CERTIFIED, extra=extra))
    s = math.sqrt(((0 - 0.05 / 3) ** 2 + (0.04 - 0.05 / 3) ** 2 + (0.01 - 0.05 / 3) ** 2) / 2)
    assert s == pytest.approx(0.0208, abs=5e-5)
    floor = math.sqrt((2 * 0.01**2 + 0.025**2) / 3) / math.sqrt(3)  # two readings and a drop, in the mean of three
    assert share(outcome, "neutralised solvent") == pytest.approx(
        max(s / math.sqrt(3), floor) / (mean(TITRES) - 0.05 / 3), rel=1e-6)
    assert outcome.releasable


def test_a_content_near_zero_has_no_relative_scatter_and_is_held_and_not_divided_by():
    """Edge case 56: titres of 0.05 mL with a blank of 0.05 mL: nothing relative to that mean means anything."""
    outcome = evaluated(assay(titrant=CERTIFIED, titres=(0.03, 0.05, 0.07), extra=blank("0.05")))
    assert outcome.statistics.relative_standard_deviation_percent is None
    assert outcome.result.estimate.value == pytest.approx(0, abs=1e-12)
    assert any("cannot be applied" in one.what for one in remarks_of(outcome, "replicates-not-accepted"))
    assert not outcome.releasable


def test_one_degree_of_freedom_widens_the_interval_as_student_says():
    """Edge case 57: t(1) = 12.71 at 95 % (JCGM 100:2008, Table G.2), here nearly alone: 0.80 mL of 39.80 is 2 %."""
    outcome = evaluated(assay(titrant=CERTIFIED, titres=(39.00, 40.60), top=OBSERVED))
    assert outcome.statistics.repeatability_degrees_of_freedom == 1
    assert 1 < outcome.result.estimate.degrees_of_freedom < 1.02
    assert 12.2 < outcome.result.coverage_factor < 12.71


def test_infinite_degrees_of_freedom_have_the_normal_factor():
    """Edge case 57: 1.960 at 95 % (JCGM 100:2008, Table G.1)."""
    text = assay(titrant=CERTIFIED, titres=(39.8, 39.8), top=OBSERVED).replace("39.80 mL", "39.8 mL")
    outcome = evaluated(text)
    assert math.isinf(outcome.result.estimate.degrees_of_freedom)
    assert outcome.result.coverage_factor == pytest.approx(1.960, abs=5e-4)


def test_a_fixed_coverage_factor_on_few_degrees_of_freedom_is_told_about():
    """Edge case 57: k = 2 on one degree of freedom covers 70 %, not 95 % (JCGM 100:2008, Table G.2)."""
    outcome = evaluated(assay(titrant=CERTIFIED, titres=(39.60, 40.00),
                              top=OBSERVED + 'coverage_factor = "2"\n'))
    assert outcome.result.coverage_factor == 2
    assert "fixed-coverage-factor" in kinds(outcome)


LIMITS = '[specification]\ncharacteristic = "hydrogen chloride"\nlower = "{}"\nupper = "{}"\n'


@pytest.mark.parametrize(("lower", "upper", "label"), [
    ("0.3980 mol/L", "0.5000 mol/L", "3"), ("398.0 mmol/L", "500.0 mmol/L", "3"),
    ("0.3000 mol/L", "0.3989 mol/L", "1")])
def test_a_mean_that_passes_does_not_hide_a_determination_that_fails(lower, upper, label):
    """Edge case 58: 0.3990, 0.3985 and 0.3975 mol/L, mean 0.39833; asked about by its own label, in any unit."""
    outcome = evaluated(assay(titrant=CERTIFIED, titres=(39.90, 39.85, 39.75), extra=LIMITS.format(lower, upper)))
    assert outcome.decision.decision == "conforms"
    told = remarks_of(outcome, "determination-outside-limits")
    assert [re.search(r"determination (\S+) does not", one.what)[1] for one in told] == [label]


def test_a_failing_determination_is_named_as_the_worksheet_names_it():
    """Edge case 58: with the first one left out the third stays the third."""
    out = '{}excluded = "bubble in the tip"\nexcluded_by = "Jonas Feld"\n'
    text = assay(titrant=CERTIFIED, titres=(39.90, 39.90, 39.75, 39.90),
                 extra=LIMITS.format("0.3980 mol/L", "0.5000 mol/L"))
    first = 'final = "39.90 mL"\ntemperature = "20.0 °C"\n'
    outcome = evaluated(text.replace(first, out.format(first), 1))
    assert ["determination 3 does not" in one.what for one in remarks_of(outcome, "determination-outside-limits")] == [
        True]
