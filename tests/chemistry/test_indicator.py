"""Indicators on curves: titration errors against closed forms, what cancels, what is said where nothing will do."""

import math
import time

import numpy as np
import pytest

from assaywright.chemistry.activity import IDEAL
from assaywright.chemistry.curve import titration_curve, volume_at
from assaywright.chemistry.equilibrium import Acid, AcidBaseTitration, Conditions, Solution, StrongIon
from assaywright.chemistry.indicator import Criterion, rank_indicators, signed
from assaywright.chemistry.indicator_advice import jump
from assaywright.chemistry.indicator_colour import colours_along, flask_swatches, turned
from assaywright.chemistry.indicator_dose import amount_per_unit_umol, dose_umol, titrant_per_unit_uL
from assaywright.chemistry.indicator_pair import cancellation
from assaywright.chemistry.indicator_scale import Flask, turn
from assaywright.chemistry.indicator_volume import volumes_at
from assaywright.chemistry.system import Portion, System, prepared
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import solubility
from assaywright.reference.indicators import indicator, indicators

TEXTBOOK = Conditions(activity=IDEAL, pKw=14.0)
SODIUM, CHLORIDE, POTASSIUM = StrongIon("Na+", 1), StrongIon("Cl-", -1), StrongIon("K+", 1)
EDTA = "disodium edetate dihydrate"


def strong_acid(concentration, volume_mL=25.0):
    return AcidBaseTitration(Solution(((CHLORIDE, concentration),)), volume_mL,
                             Solution(((SODIUM, concentration),)), TEXTBOOK)


def weak_acid(pKa, concentration=0.1, volume_mL=25.0):
    return AcidBaseTitration(Solution(((Acid("weak acid", (pKa,)), concentration),)), volume_mL,
                             Solution(((SODIUM, concentration),)), TEXTBOOK)


def phthalate():
    acid = Acid("phthalic acid", (2.950, 5.408))
    return AcidBaseTitration(Solution(((acid, 0.05), (POTASSIUM, 0.05))), 50.0, Solution(((SODIUM, 0.1),)), TEXTBOOK)


def strong_base(concentration, volume_mL=25.0):
    return AcidBaseTitration(Solution(((SODIUM, concentration),)), volume_mL, Solution(((CHLORIDE, concentration),)),
                             TEXTBOOK)


def ranked(titration, flask, criterion=None):
    return rank_indicators(titration_curve(titration), flask, criterion)


def of_system(system):
    ready = prepared(system)
    curve = titration_curve(ready.titration)
    return curve, rank_indicators(curve, ready.flask)


# --- volumes on a curve -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("titration", [strong_acid(0.1), strong_acid(0.001), weak_acid(4.76), weak_acid(9.0),
                                       phthalate(), strong_base(0.1)])
def test_a_volume_read_between_points_is_that_of_the_equilibria_solved_anew(titration):
    curve = titration_curve(titration)
    values = np.linspace(*sorted((curve.values[2], curve.values[-2])), 40)
    assert volumes_at(curve, values) == pytest.approx(volume_at(titration, values, curve), abs=2e-5)


def test_a_value_that_the_curve_does_not_reach_has_no_volume():
    curve = titration_curve(weak_acid(4.76))
    assert np.isnan(volumes_at(curve, np.array([1.0, 13.9]))).all()


# --- titration errors against closed forms ----------------------------------------------------------------------------


@pytest.mark.parametrize("concentration", [0.1, 0.01])
@pytest.mark.parametrize("pH", [4.0, 5.0, 8.5, 9.5])
def test_the_error_with_a_strong_acid_is_the_acid_or_base_left_over(concentration, pH):
    """Closed form: (V0 + V) ([OH-] - [H+]) = c (V - V_equivalence)."""
    curve = titration_curve(strong_acid(concentration))
    V = float(volumes_at(curve, np.array([pH]))[0])
    left = (25.0 + V) * (10 ** (pH - 14) - 10**-pH) / concentration
    assert pytest.approx(left, abs=5e-6) == V - 25.0


@pytest.mark.parametrize(("concentration", "error_mL"), [(0.1, 0.05), (0.01, 0.5)])
def test_strong_base_to_methyl_orange_at_pH_4_is_overrun_by_a_drop_at_a_tenth_and_ten_at_a_hundredth(
    concentration, error_mL
):
    """25 mL + 25 mL in the flask at pH 4 hold 50 mL × 1e-4 mol/L of acid: 0.05 mL of 0.1 mol/L. Hand calculation."""
    (ranking,) = ranked(strong_base(concentration), Flask(25.0, concentration))
    found = ranking.of("methyl orange")
    assert found.titration_error_mL == pytest.approx(error_mL, rel=0.02)


@pytest.mark.parametrize("pH", [8.2, 8.4])
def test_first_blush_on_phthalate_leaves_what_the_acid_s_constant_says(pH):
    """Closed form: the fraction 1/(1 + 10^(pH - pKa2)) is not yet titrated: 0.16 % at pH 8.2 and 0.10 % at pH 8.4."""
    V = float(volumes_at(titration_curve(phthalate()), np.array([pH]))[0])
    left = 1 / (1 + 10 ** (pH - 5.408))
    hydroxide = 75.0 * 10 ** (pH - 14) / 0.1
    assert pytest.approx(-left + hydroxide / 25.0, abs=2e-5) == (V - 25.0) / 25.0
    assert 0.0009 < left < 0.0017


@pytest.mark.parametrize("difference", [-0.5, -0.2, 0.2, 0.5])
@pytest.mark.parametrize("pKa", [4.76, 6.0, 7.0])
def test_the_error_with_a_weak_acid_follows_ringbom_s_formula(pKa, difference):
    """E = (10^d - 10^-d) / sqrt(c Ka/Kw), d = pH(endpoint) - pH(equivalence), c at equivalence. From memory."""
    titration = weak_acid(pKa)
    curve = titration_curve(titration)
    pH = float(np.interp(25.0, curve.volume_mL, curve.values)) + difference
    formula = (10**difference - 10**-difference) / math.sqrt(0.05 * 10 ** (14 - pKa))
    assert float(volumes_at(curve, np.array([pH]))[0]) / 25.0 - 1 == pytest.approx(formula, rel=0.03)


def test_the_error_with_a_metal_follows_ringbom_s_formula():
    """E = (10^d - 10^-d) / sqrt(c K'), d = pM(endpoint) - pM(equivalence), with K' = c/[M]² at equivalence."""
    system = System("complexometric", (Portion("Ca2+", 0.01),), 25.0, (Portion(EDTA, 0.01),), pH=10.0,
                    activity="ideal", data_set="Schwarzenbach at 0.1 mol/L")
    curve, _ = of_system(system)
    at = float(np.interp(25.0, curve.volume_mL, curve.values))
    root = 10 ** (2 * at) * 0.005
    for difference in (-0.3, 0.3):
        V = float(volumes_at(curve, np.array([at + difference]))[0])
        formula = (10**difference - 10**-difference) / math.sqrt(0.005 * root)
        assert pytest.approx(formula, rel=0.02) == V / 25.0 - 1


def test_the_uncertainty_is_the_slope_of_the_curve_times_that_of_the_tint():
    (ranking,) = ranked(strong_base(0.1), Flask(25.0, 0.1))
    one = ranking.of("methyl orange")
    slope = abs(50.0 * 1e-4 * math.log(10) / 0.1)  # mL per pH, from the closed form above
    assert one.observer_mL == pytest.approx(slope * 0.2 / math.sqrt(3), rel=0.05)
    assert one.tint_mL == pytest.approx(slope * (4.4 - 3.1) / 4 / math.sqrt(3), rel=0.1)
    assert one.standard_uncertainty_mL == pytest.approx(math.hypot(one.tint_mL, one.observer_mL))


def test_sharpness_is_the_volume_through_the_interval_in_drops():
    curve = titration_curve(weak_acid(4.76))
    (ranking,) = rank_indicators(curve, Flask(25.0, 0.1))
    one = ranking.of("phenolphthalein")
    low, high = volumes_at(curve, np.array([8.2, 10.0]))
    assert one.crossing_mL == pytest.approx(high - low)
    assert one.crossing_drops == pytest.approx((high - low) / 0.05)
    crossings = [each.crossing_mL for each in ranking.by_sharpness]
    assert crossings == sorted(crossings)


# --- which is best ----------------------------------------------------------------------------------------------------


def test_the_textbook_s_choice_is_good_enough_and_its_warning_is_not():
    """Phenolphthalein for acetic acid, methyl red for ammonia, and not the other way: common practice, no source."""
    (acetic,) = ranked(weak_acid(4.76), Flask(25.0, 0.1))
    assert "phenolphthalein" in [one.indicator.name for one in acetic.good_enough]
    assert acetic.of("methyl red") is None
    _, (ammonia,) = of_system(System("acid-base", (Portion("ammonia", 0.1),), 25.0, (Portion("HCl", 0.1),)))
    assert "methyl red" in [one.indicator.name for one in ammonia.good_enough]
    assert ammonia.of("phenolphthalein").bound_percent > 1


def test_the_ranking_goes_by_error_with_twice_its_uncertainty():
    (ranking,) = ranked(weak_acid(4.76), Flask(25.0, 0.1))
    bounds = [one.bound_percent for one in ranking.by_error]
    assert bounds == sorted(bounds)
    assert all(one.bound_percent <= 0.2 for one in ranking.good_enough)
    named = {one.indicator.name for one in (*ranking.by_error, *ranking.elsewhere, *ranking.unranked)}
    assert named == {one.name for one in indicators("acid-base", "mixed acid-base")}


def test_each_equivalence_point_has_indicators_of_its_own():
    system = System("acid-base", (Portion("sodium carbonate", 0.05),), 25.0, (Portion("HCl", 0.1),))
    _, rankings = of_system(system)
    assert [one.equivalence_mL for one in rankings] == pytest.approx([12.5, 25.0])
    assert rankings[0].of("phenolphthalein") is not None
    assert rankings[1].of("methyl orange") is not None
    assert rankings[0].of("methyl orange") is None


def test_where_no_endpoint_will_do_that_is_said_with_the_criterion_and_what_to_do():
    curve, (ranking,) = of_system(System("acid-base", (Portion("boric acid", 0.1),), 25.0, (Portion("NaOH", 0.1),)))
    assert ranking.good_enough == ()
    assert "No visual endpoint is good enough" in ranking.verdict
    assert "0.2 %" in ranking.verdict
    advice = " ".join(ranking.advice)
    assert "glass electrode" in advice
    assert "mannitol" in advice
    assert jump(curve, 25.0) < 0.1


def test_boiling_is_advised_where_carbonic_acid_is_titrated():
    system = System("acid-base", (Portion("sodium carbonate", 0.05),), 25.0, (Portion("HCl", 0.1),))
    _, rankings = of_system(system)
    assert rankings[1].advice[0].startswith("boil the carbon dioxide off")


def test_a_stricter_criterion_lets_fewer_pass():
    loose, strict = (ranked(weak_acid(4.76), Flask(25.0, 0.1), Criterion(limit))[0] for limit in (1.0, 0.05))
    assert len(strict.good_enough) < len(loose.good_enough)
    with pytest.raises(Refusal, match="give more than 0"):
        Criterion(0.0)


# --- adsorption, metals, precipitates, iodine -------------------------------------------------------------------------


def test_of_adsorption_indicators_it_is_said_that_no_error_can_be_computed():
    _, (ranking,) = of_system(System("precipitation", (Portion("sodium chloride", 0.1),), 25.0,
                                     (Portion("silver nitrate", 0.1),)))
    said = {one.indicator.name: one.reason for one in ranking.unranked}
    assert set(said) == {one.name for one in indicators("adsorption")}
    assert all("cannot be computed" in reason for reason in said.values())


def test_a_metal_indicator_outside_its_pH_or_without_a_constant_says_so():
    flask = Flask(50.0, 0.01, pH=10.0)
    assert turn(indicator("EBT"), "pM", "Mg2+", flask, rising=True).endpoint == pytest.approx(5.4)
    assert "no constant is held" in turn(indicator("EBT"), "pM", "Fe3+", flask, rising=True)
    assert "used between pH 12 and 13" in turn(indicator("calcon"), "pM", "Ca2+", flask, rising=True)
    assert "the pH of the flask" in turn(indicator("EBT"), "pM", "Mg2+", Flask(50.0, 0.01), rising=True)


def test_chromate_asks_ten_times_the_volume_of_a_titrant_ten_times_weaker():
    found = []
    for concentration in (0.1, 0.01):
        system = System("precipitation", (Portion("sodium chloride", concentration),), 50.0,
                        (Portion("silver nitrate", concentration),), activity="ideal")
        _, (ranking,) = of_system(system)
        found.append(ranking.of("potassium chromate").titration_error_mL)
    assert found[1] == pytest.approx(10 * found[0], rel=0.1)
    assert found[0] > 0


def test_chromate_begins_where_its_solubility_product_says():
    """Hand calculation, ideal: 1.5 mL of 5 % chromate per 100 mL is 3.86e-3 mol/L; [Ag+] = sqrt(Ksp / 3.86e-3)."""
    system = System("precipitation", (Portion("sodium chloride", 0.1),), 50.0, (Portion("silver nitrate", 0.1),),
                    activity="ideal")
    _, (ranking,) = of_system(system)
    chromate = 1.5 * 50 / 194.19 / 100
    silver = math.sqrt(10 ** -solubility("silver chromate").pKsp / chromate)
    excess = 100.0 * (silver - 10 ** -solubility("AgCl").pKsp / silver) / 0.1 + 4.0 * 1e-3 / 0.1
    assert ranking.of("potassium chromate").titration_error_mL == pytest.approx(excess, rel=0.02)


def test_starch_is_early_with_thiosulfate_and_late_with_iodine():
    _, (early,) = of_system(System("redox", (Portion("iodine", 0.05),), 25.0, (Portion("sodium thiosulfate", 0.1),)))
    _, (late,) = of_system(System("redox", (Portion("sodium thiosulfate", 0.1),), 25.0, (Portion("iodine", 0.05),)))
    first, second = early.of("starch"), late.of("starch")
    assert first.titration_error_mL == pytest.approx(-0.5 * 3e-3 / 0.1)
    assert second.titration_error_mL == pytest.approx(0.5 * 3e-3 / 0.1)
    assert (first.colours[0], first.colours[2]) == ("blue-black", "colourless")
    assert (second.colours[0], second.colours[2]) == ("colourless", "blue-black")


def test_permanganate_shows_itself_and_no_other_titrant_does():
    _, (ranking,) = of_system(System("redox", (Portion("Fe2+", 0.1),), 25.0, (Portion("KMnO4", 0.02),)))
    assert ranking.of("potassium permanganate").titration_error_mL == pytest.approx(0.5 * 0.5e-3 / 0.02)
    _, (other,) = of_system(System("redox", (Portion("Fe2+", 0.1),), 25.0, (Portion("K2Cr2O7", 1 / 60),)))
    assert other.of("potassium permanganate") is None


# --- the indicator's own consumption ----------------------------------------------------------------------------------


def test_two_drops_of_a_tenth_of_a_per_cent_of_methyl_orange_hold_three_tenths_of_a_micromole():
    """0.1 mL × 1 g/L / 327.3 g/mol = 0.31 µmol, or 0.003 mL of 0.1 mol/L at most. Hand calculation."""
    one = indicator("methyl orange")
    assert amount_per_unit_umol(one, one.preparation) * 0.1 == pytest.approx(0.31, abs=0.005)
    assert dose_umol(one) == pytest.approx(0.31, abs=0.005)
    assert titrant_per_unit_uL(one, Flask(100.0, 0.1)) * 0.1 == pytest.approx(3.1, abs=0.05)


def test_methyl_orange_takes_up_acid_and_phenolphthalein_base():
    (falling,) = ranked(strong_base(0.1), Flask(25.0, 0.1))
    (rising,) = ranked(strong_acid(0.1), Flask(25.0, 0.1))
    assert 0 < falling.of("methyl orange").consumption_mL < 0.003
    assert 0 < rising.of("phenolphthalein").consumption_mL < 0.05
    assert falling.of("phenolphthalein").consumption_mL < 0
    assert falling.of("screened methyl orange").consumption_mL is None


def test_a_metal_indicator_keeps_metal_back_and_a_large_dose_asks_for_a_blank():
    _, (ranking,) = of_system(System("complexometric", (Portion("Ca2+", 0.01),), 25.0, (Portion(EDTA, 0.01),), pH=12.5))
    one = ranking.of("hydroxy naphthol blue")
    assert one.consumption_mL < 0
    assert one.wants_blank(ranking.criterion)
    assert "asks for an indicator blank" in ranking.verdict


# --- what cancels -----------------------------------------------------------------------------------------------------


def test_the_same_titration_twice_cancels_its_error_and_all_but_the_observer():
    (ranking,) = ranked(strong_base(0.1), Flask(25.0, 0.1))
    one = ranking.of("methyl orange")
    found = cancellation(one, one)
    assert found.shared
    assert found.net_percent == pytest.approx(0, abs=1e-12)
    assert found.cancelled_percent == pytest.approx(100)
    assert found.standard_uncertainty_percent == pytest.approx(math.sqrt(2) * 100 * one.observer_mL / 25.0)
    assert found.without_percent[1] > 100 * one.observer_mL / 25.0


def test_what_is_left_is_the_ratio_of_two_wrong_titres():
    """The content goes with V_assay / V_standard: exactly (1 + a)/(1 + s) - 1 for relative errors a and s."""
    (assay,) = ranked(strong_base(0.1), Flask(25.0, 0.1))
    (standard,) = ranked(strong_base(0.1, 40.0), Flask(40.0, 0.1))
    first, second = assay.of("methyl orange"), standard.of("methyl orange")
    exact = (first.volume_mL / 25.0) / (second.volume_mL / 40.0) - 1
    assert cancellation(first, second).net_percent == pytest.approx(100 * exact, abs=1e-3)


def test_another_indicator_or_the_opposite_change_shares_no_tint():
    (acid,), (base,) = (ranked(one, Flask(25.0, 0.1)) for one in (strong_acid(0.1), strong_base(0.1)))
    opposite = cancellation(base.of("methyl orange"), acid.of("methyl orange"))
    other = cancellation(base.of("methyl orange"), base.of("bromophenol blue"))
    assert not opposite.shared
    assert not other.shared
    assert opposite.net_percent > abs(base.of("methyl orange").titration_error_percent)
    assert opposite.cancelled_percent < 0


# --- colours, words, speed --------------------------------------------------------------------------------------------


def test_an_interval_ends_at_ten_to_one_and_yellow_with_blue_gives_green():
    assert turned(np.array([3.1, 3.75, 4.4]), (3.1, 4.4)) == pytest.approx([1 / 11, 1 / 2, 10 / 11])
    blue = indicator("bromothymol blue")
    ends = flask_swatches(blue, np.array([0.0, 0.5, 1.0]))
    assert ends == (blue.low.swatch, blue.between.swatch, blue.high.swatch)
    red, green, below = (int(flask_swatches(blue, np.array([0.4]))[0][place:place + 2], 16) for place in (1, 3, 5))
    assert green > max(red, below)


def test_the_flask_is_colourless_before_and_pink_after_the_endpoint():
    curve = titration_curve(weak_acid(4.76))
    (ranking,) = rank_indicators(curve, Flask(25.0, 0.1))
    one = ranking.of("phenolphthalein")
    colours = colours_along(curve, one, np.array([0.0, 20.0, 30.0]))
    pink = [int(colours[2][place:place + 2], 16) for place in (1, 3, 5)]
    wanted = [int(one.indicator.high.swatch[place:place + 2], 16) for place in (1, 3, 5)]
    assert colours[:2] == (one.indicator.low.swatch,) * 2
    assert pink == pytest.approx(wanted, abs=2)


def test_a_signed_volume_has_a_true_minus_and_nought_no_sign():
    assert (signed(-0.0021), signed(0.0021), signed(-0.0001)) == ("−0.002", "+0.002", "0.000")


@pytest.mark.parametrize("bad", [{"volume_mL": 0.0}, {"titrant_mol_per_L": -0.1}, {"drop_mL": math.nan}])
def test_an_impossible_flask_is_refused(bad):
    with pytest.raises(Refusal, match="give one above zero"):
        Flask(**{"volume_mL": 25.0, "titrant_mol_per_L": 0.1} | bad)


def test_a_batch_of_curves_is_refused():
    batch = AcidBaseTitration(Solution(((CHLORIDE, np.array([[0.1], [0.2]])),)), 25.0, Solution(((SODIUM, 0.1),)))
    with pytest.raises(Refusal, match="one curve at a time"):
        volumes_at(titration_curve(batch), np.array([7.0]))


def test_a_curve_with_its_ranking_takes_less_than_fifty_milliseconds_of_the_processor():
    system = System("acid-base", (Portion("phosphoric acid", 0.05),), 25.0, (Portion("NaOH", 0.1),))
    ready = prepared(system)
    rank_indicators(titration_curve(ready.titration), ready.flask)
    spent = []
    for _round in range(7):
        begin = time.process_time()
        rank_indicators(titration_curve(ready.titration), ready.flask)
        spent.append(time.process_time() - begin)
    assert min(spent) < 0.050
