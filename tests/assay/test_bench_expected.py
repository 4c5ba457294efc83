"""Where the endpoint is expected: against hand sums, published readings, and Student's t of SciPy."""

import tomllib
from datetime import date
from math import sqrt

import pytest
from scipy.stats import t as students_t

from assaywright.assay.bench.expected import Earlier, Spread, before_end_mL, from_earlier
from assaywright.assay.bench.state import bench_state
from assaywright.assay.method import load_method
from tests.assay.bench_sheets import BACK, BARIUM, DAY, KHP, TWO_ENDPOINTS, sheet, state

POOLED = Spread(0.1, 20.0)
PORTION = {"gross": "60.5450 g", "tare": "60.1562 g"}


def test_the_next_titre_goes_with_its_portion():
    # EURACHEM/CITAC CG 4, example A2: 0.3888 g take 18.64 mL; half as much again takes half as much again.
    found = state(KHP, {"gross": "60.7394", "tare": "60.1562", "initial": "0.00"}, 1).expected["final"]
    assert found.titre_mL == pytest.approx(1.5 * 18.64, abs=1e-9)


def test_the_half_width_is_students_t_with_the_pooled_repeatability():
    found = state(KHP, {**PORTION, "initial": "0.00"}, 1).expected["final"]
    # The method states s_r = 0.05 % with 20 degrees of freedom; one determination before: t s √(1 + 1/1).
    assert found.half_width_mL == pytest.approx(students_t.ppf(0.975, 20) * 0.0005 * 18.64 * sqrt(2), rel=1e-9)
    assert found.counted == 1


def test_a_laboratorys_own_repeatability_takes_the_place_of_the_methods():
    own = {"repeatability": {"pooled": "0.2 %, 8 degrees of freedom"}}
    found = state(KHP, {**PORTION, "initial": "0.00"}, 1, changed=own).expected["final"]
    assert found.half_width_mL == pytest.approx(students_t.ppf(0.975, 8) * 0.002 * 18.64 * sqrt(2), rel=1e-9)


def test_where_the_observed_scatter_counts_the_replicates_own_deviation_has_n_less_one_degrees_of_freedom():
    three = [Earlier(24.0, 10.0), Earlier(24.1, 10.0), Earlier(24.2, 10.0)]  # s = 0.1 mL by hand
    found = from_earlier("final", three, 10.0, 0.0, Spread(0.1, 20.0, observed=True))
    assert found is not None
    assert found.titre_mL == pytest.approx(24.1)
    assert found.half_width_mL == pytest.approx(students_t.ppf(0.975, 2) * 0.1 * sqrt(4 / 3), rel=1e-9)


def test_the_band_narrows_after_each_replicate():
    widths = []
    for count in range(1, 7):
        found = from_earlier("final", [Earlier(25.0, 10.0)] * count, 10.0, 0.0, POOLED)
        assert found is not None
        widths.append(found.half_width_mL)
    assert widths == sorted(widths, reverse=True)
    assert widths[0] / widths[2] == pytest.approx(sqrt(2) / sqrt(4 / 3))


def test_the_plan_is_wider_than_what_one_replicate_leaves():
    planned, seen = (state(KHP, {**PORTION, "initial": "0.00"}, count).expected["final"] for count in (0, 1))
    assert planned.half_width_mL > 10 * seen.half_width_mL
    assert (planned.counted, seen.counted) == (0, 1)


def test_before_the_first_a_standardisation_expects_the_titrant_within_five_per_cent_of_nominal():
    found = state(KHP, {**PORTION, "initial": "0.00"}).expected["final"]
    # c = 1000 m P/(M V) by EURACHEM/CITAC CG 4, example A2, with P = 1 and M = 204.2212 g/mol, solved for V.
    ends = [1000 * 0.3888 / (204.2212 * c) for c in (0.105, 0.095)]
    assert (found.low_mL, found.high_mL) == (pytest.approx(ends[0], abs=0.002), pytest.approx(ends[1], abs=0.002))


def test_a_titrant_of_which_something_was_found_before_is_expected_within_one_per_cent_of_it():
    found = state(KHP, {**PORTION, "initial": "0.00"}, nominal="0.1021 mol/L").expected["final"]
    ends = [1000 * 0.3888 / (204.2212 * 0.1021 * share) for share in (1.01, 0.99)]
    assert (found.low_mL, found.high_mL) == (pytest.approx(ends[0], abs=0.002), pytest.approx(ends[1], abs=0.002))
    assert found.free_running_to_mL == pytest.approx(found.low_mL - 1.0)
    assert found.basis == "the titrant within 1 % of what was found before"
    other = state(KHP, {**PORTION, "initial": "0.00"}, nominal="0.1021 mol/L", unreviewed=True).expected["final"]
    assert other.basis == f"{found.basis}, not reviewed"


def test_before_the_first_an_assay_expects_what_lies_between_the_limits():
    limits = {"specification": {"characteristic": "total alkali", "lower": "4.70 g/L", "upper": "4.90 g/L"}}
    found = state(TWO_ENDPOINTS, {"initial": "0.00"}, changed=limits).expected
    # The published item: 30.00 mL for 4.80 g/L, with molar masses 40 and 106; so 30 × 4.70/4.80 and 30 × 4.90/4.80.
    assert found["final"].low_mL == pytest.approx(29.375, abs=0.01)
    assert found["final"].high_mL == pytest.approx(30.625, abs=0.01)
    assert found["final"].basis == "the limits of the specification"
    assert "carbonate" in found["first"].basis


def test_the_nominal_content_serves_where_no_limits_are_stated():
    found = state(TWO_ENDPOINTS, {"initial": "0.00"}, nominal="4.80 g/L").expected["final"]
    assert found.low_mL == pytest.approx(30 * 0.95, abs=0.01)
    assert found.high_mL == pytest.approx(30 * 1.05, abs=0.01)
    assert not state(TWO_ENDPOINTS, {"initial": "0.00"}).expected


def test_a_titrant_known_only_by_its_name_widens_the_plan():
    heading, _ = sheet(TWO_ENDPOINTS)
    titrant = {key: heading["titrant"][key] for key in ("name", "formula", "nominal")}
    changed = {"titrant": titrant | {"worksheets": ["titrant.toml"]}}
    found = state(TWO_ENDPOINTS, {"initial": "0.00"}, changed=changed, nominal="4.80 g/L").expected["final"]
    assert found.low_mL == pytest.approx(30 * 0.95 * 0.95, abs=0.01)
    assert "within 5 % of its nominal concentration" in found.basis


def test_a_back_titration_takes_less_titrant_for_a_larger_portion():
    # Blanks of 25.08 and 25.10 mL; 0.4934 g leave 15.31 mL. By hand for 0.5232 g: 25.09 - 9.78 × 0.5232/0.4934.
    typed = {"gross": "20.9546", "tare": "20.4314", "initial": "0.05"}
    found = state(BACK, typed, 1).expected["final"]
    assert found.titre_mL == pytest.approx(25.09 - 9.78 * 0.5232 / 0.4934, abs=1e-9)
    assert found.final_mL == pytest.approx(found.titre_mL + 0.05)
    # What repeats within s_r is what the portion takes, not what is left over.
    taken = 9.78 * 0.5232 / 0.4934
    assert found.half_width_mL == pytest.approx(students_t.ppf(0.975, 20) * 0.001 * taken * sqrt(2), rel=1e-9)


def test_a_back_titration_without_a_blank_reckons_with_the_whole_of_the_reagent():
    heading, determinations = sheet(BACK)
    heading.pop("blank")
    heading["reagent"] |= {"concentration": "1.0008 mol/L ± 0.0010 mol/L, k = 2"}
    typed = {"gross": "20.9546", "tare": "20.4314", "initial": "0.00"}
    found = bench_state(load_method(BACK), heading, determinations[:1], typed, DAY).expected["final"]
    whole = 25 * 1.0008 / 0.9972  # mL of titrant that 25 mL of the acid take
    assert found.titre_mL == pytest.approx(whole - (whole - 15.31) * 0.5232 / 0.4934, abs=1e-9)


def test_a_back_titration_of_which_nothing_is_known_expects_only_of_portions_alike():
    alike = from_earlier("final", [Earlier(15.0, 0.500)], 0.501, None, POOLED)
    assert alike is not None
    assert alike.titre_mL == pytest.approx(15.0)
    assert from_earlier("final", [Earlier(15.0, 0.500)], 0.600, None, POOLED) is None


def test_both_endpoints_are_expected_from_the_determination_before():
    found = state(TWO_ENDPOINTS, {"initial": "1.00"}, 1).expected
    assert (found["first"].final_mL, found["final"].final_mL) == (pytest.approx(26.0), pytest.approx(31.0))


def test_the_aliquot_after_barium_chloride_is_expected_on_its_own_filling():
    found = state(BARIUM, {"hydroxide_initial": "0.10", "initial": "0.30"}, 1).expected
    # The first determination of the example: 31.00 - 0.02 and 32.14 - 0.00.
    assert found["hydroxide_final"].final_mL == pytest.approx(30.98 + 0.10)
    assert found["final"].final_mL == pytest.approx(32.14 + 0.30)


def test_several_fillings_count_together():
    typed = {**PORTION, "fillings": [["0.00", "10.00"], ["0.50", ""]]}
    found = state(KHP, typed, 1).expected["final"]
    assert found.titre_mL == pytest.approx(18.64)
    assert found.final_mL == pytest.approx(18.64 - 10.00 + 0.50)  # what is left of it, from the new start on
    earlier = {**PORTION, "fillings": [["0.00 mL", "10.00 mL"], ["0.00 mL", "8.64 mL"]]}
    heading, _ = sheet(KHP)
    again = bench_state(load_method(KHP), heading, [earlier], {**PORTION, "initial": "0.00"}, DAY).expected["final"]
    assert again.titre_mL == pytest.approx(18.64)


def test_one_runs_freely_to_a_millilitre_before_the_lower_end():
    found = state(KHP, {**PORTION, "initial": "0.50"}, 1).expected["final"]
    assert before_end_mL() == 1.0  # common practice, no source
    assert found.free_running_to_mL == pytest.approx(18.64 + 0.50 - found.half_width_mL - 1.0)


def test_where_determinations_and_plan_disagree_the_smaller_is_run_to_and_the_conflict_told():
    heading, determinations = sheet(KHP)
    odd = [determinations[0] | {"final": "19.99 mL"}, determinations[0] | {"final": "20.00 mL"}]
    strict = heading | {"titrant": heading["titrant"] | {"nominal": "0.11 mol/L"}}
    found = bench_state(load_method(KHP), strict, odd, {**PORTION, "initial": "0.00"}, DAY).expected["final"]
    assert found.titre_mL == pytest.approx(19.995)
    # Of a titrant of 0.11 mol/L the earliest end is that at 0.1155 mol/L.
    assert found.free_running_to_mL == pytest.approx(1000 * 0.3888 / (204.2212 * 0.1155) - 1.0, abs=0.002)
    assert "find out why" in found.conflict
    assert not state(KHP, {**PORTION, "initial": "0.00"}, 1).expected["final"].conflict


def test_a_determination_left_out_tells_nothing():
    heading, determinations = sheet(KHP)
    left_out = [determinations[0] | {"final": "12.00 mL", "excluded": "flask tipped over"}, determinations[0]]
    found = bench_state(load_method(KHP), heading, left_out, {**PORTION, "initial": "0.00"}, DAY).expected["final"]
    assert (found.titre_mL, found.counted) == (pytest.approx(18.64), 1)


def test_a_weighed_titrant_has_no_burette_to_be_read():
    found = state(KHP, {**PORTION, "titrant_gross": "120.00", "titrant_tare": "101.20"}, 1)
    assert not found.expected
    assert not found.titre_mL


def test_dates_and_figures_are_read_as_the_records_keep_them():
    heading, determinations = sheet(KHP)
    kept = heading | {"performed": {"date": "2026-03-02"}, "decimal_mark": ","}
    for table, name in (("vessels", "burette"), ("balances", "balance"), ("thermometers", "thermometer")):
        kept[table] = {name: {key: _kept(value) for key, value in heading[table][name].items()}}
    for table in ("standard", "titrant"):
        kept[table] = {key: _kept(value) for key, value in heading[table].items()}
    earlier = [{key: value.replace(".", ",") for key, value in determinations[0].items()}]
    typed = {**PORTION, "initial": "0.00"}
    for count in (0, 1):
        found = bench_state(load_method(KHP), kept, earlier[:count], typed, DAY).expected["final"]
        assert found == state(KHP, typed, count).expected["final"]


def _kept(value):
    if isinstance(value, dict):
        return {key: _kept(one) for key, one in value.items()}
    if isinstance(value, date):
        return {"date": value.isoformat()}
    return value.replace(".", ",") if value[:1].isdigit() and value[:4] != "2027" else value


def test_before_the_portion_is_weighed_the_mass_planned_counts_and_is_named():
    found = state(KHP, {"initial": "0.00"}, planned_portion="0.40 g").expected["final"]
    ends = [1000 * 0.40 / (204.2212 * c) for c in (0.105, 0.095)]  # as above, EURACHEM/CITAC CG 4, example A2
    assert (found.low_mL, found.high_mL) == (pytest.approx(ends[0], abs=0.01), pytest.approx(ends[1], abs=0.01))
    assert "for a portion of 0.4" in found.basis
    assert not state(KHP, {"initial": "0.00"}).expected


@pytest.mark.parametrize("left_out", ["titrant", "vessels", "standard", "balances", "method", "performed", "analyst"])
def test_a_heading_half_filled_in_tells_what_it_can(left_out):
    heading, determinations = sheet(KHP)
    heading.pop(left_out)
    typed = {**PORTION, "initial": "0.00", "final": "18.64"}
    found = bench_state(load_method(KHP), heading, determinations, typed, DAY)
    assert found.titre_mL == "18.64"
    assert found.expected["final"].titre_mL == pytest.approx(18.64)
    assert not bench_state(load_method(KHP), heading, [], typed, DAY).expected
    assert not bench_state(load_method(KHP), {}, [], typed).expected


def test_a_titrant_that_can_be_looked_up_counts_at_its_own_strength():
    heading, _ = sheet(KHP)
    standardisation = load_method(KHP).example.worksheet.encode()  # 0.10214 mol/L, EURACHEM/CITAC CG 4, example A2
    acid = tomllib.loads(load_method("acetic-acid-by-naoh").example.worksheet)
    acid.pop("determination")
    acid["titrant"] = {key: heading["titrant"][key] for key in ("name", "formula", "nominal")} | {
        "worksheets": ["titrant.toml"]}
    typed, method = {"net": "0.2402 g", "initial": "0.00"}, load_method("acetic-acid-by-naoh")
    found = {opener: bench_state(method, acid, [], typed, DAY, nominal="60.0 % w/w", opener=opener).expected["final"]
             for opener in (None, lambda path: {"titrant.toml": standardisation}[path])}
    by_name, looked_up = found.values()
    # By hand: 0.2402 g × 0.60/60.052 g/mol = 2.400 mmol of acetic acid in it, and 5 % less or more.
    ends = [2.400 * share / 0.10214 for share in (0.95, 1.05)]
    assert (looked_up.low_mL, looked_up.high_mL) == (pytest.approx(ends[0], abs=0.06), pytest.approx(ends[1], abs=0.06))
    assert by_name.half_width_mL > 1.5 * looked_up.half_width_mL


def test_replicates_that_scatter_significantly_more_than_the_pooled_repeatability_count_by_their_own_scatter():
    # Chi-squared of one degree of freedom at 95 % is 3.841 (handbook table), so two may have s up to 1.96 s_r:
    # at 20 mL and 0.1 % a difference up to 20.0 × 0.001 × 1.96 × √2 = 0.0554 mL.
    within, beyond = ([Earlier(20.0 - d / 2, 1.0), Earlier(20.0 + d / 2, 1.0)] for d in (0.055, 0.056))
    pooled = from_earlier("final", within, 1.0, 0.0, Spread(0.1))
    own = from_earlier("final", beyond, 1.0, 0.0, Spread(0.1))
    assert pooled.half_width_mL == pytest.approx(1.95996 * 0.02 * sqrt(1.5), rel=1e-4)
    assert own.half_width_mL == pytest.approx(12.706 * 0.056 / sqrt(2) * sqrt(1.5), rel=1e-3)
    assert "larger than the pooled repeatability" in own.basis
