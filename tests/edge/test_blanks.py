"""Edge cases 14 to 21: blanks, their sign, their size and their uncertainty; figures by hand beside each check."""

import math

import pytest

from assaywright.assay.method import load_method
from tests.assay.laboratory import CERTIFIED, assay, evaluated, kinds
from tests.edge.house import blank, certified, mean, remarks_of, share

TITRES = (39.81, 39.84, 39.80)


def carbonate_by_blank(likewise, titre):
    """Return calcium carbonate by excess acid, with a blank of the same acid titrated likewise."""
    rows = (f'[[determination]]\nnet = "0.5000 g"\nexcess_pipette = "pipette"\nexcess_temperature = "20.0 °C"\n'
            f'initial = "0.00 mL"\nfinal = "{titre} mL"\ntemperature = "20.0 °C"\n' * 3)
    blanks = f'{{ initial = "0.00 mL", final = "{likewise} mL", temperature = "20.0 °C", excess_pipette = "pipette" }}'
    extra = ('[reagent]\nname = "hydrochloric acid"\nformula = "HCl"\n'
             f'[blank]\nkind = "titrated likewise"\ntitrations = [{blanks}, {blanks}]\n')
    return evaluated(assay("calcium-carbonate-by-excess-acid", titrant=certified("0.5000", half="0.0005"), rows=rows,
                           extra=extra, nominal="0.5 mol/L", pipette="50", sample='density = "2.71 g/mL"\n'))


def test_the_blank_of_a_back_titration_is_larger_than_the_titre_and_that_is_right():
    """Edge case 14: n = c (V_B − V)/2 = 0.5 × (49.80 − 30.00)/2 = 4.95 mmol of CaCO3, 100.086 g/mol, in 0.5 g.

    99.086 % w/w before buoyancy; the balance reading counts (1 − 1.2/8000)/(1 − 1.2/2710).
    """
    outcome = carbonate_by_blank("49.80", "30.00")
    buoyancy = (1 - 1.2 / 8000) / (1 - 1.2 / 2710)
    assert outcome.result.estimate.value == pytest.approx(
        0.5 * (49.80 - 30.00) / 2 * 100.086 / 500 / buoyancy * 100, rel=3e-5)
    assert not {"blank-large", "net-volume-not-positive", "negative-content"} & set(kinds(outcome))


def test_a_sample_that_takes_more_titrant_than_its_blank_has_a_negative_content_and_is_held():
    """Edge case 14: the two crossed."""
    outcome = carbonate_by_blank("30.00", "49.80")
    assert outcome.result.estimate.value < 0
    assert "negative-content" in kinds(outcome)
    assert not outcome.releasable


def test_a_back_titration_that_finds_nothing_left_is_held():
    """Edge case 17: with no reagent left over the content is only known to be no less."""
    outcome = carbonate_by_blank("49.80", "0.00")
    assert len(remarks_of(outcome, "net-volume-not-positive")) == 3
    assert "nothing was left of the reagent" in remarks_of(outcome, "net-volume-not-positive")[0].what
    assert not outcome.releasable


@pytest.mark.parametrize("volume", ["0.10", "-0.10", "0.00"])
def test_a_blank_of_either_sign_is_taken_away(volume):
    """Edge case 15: a mixed indicator takes titrant, starch with iodide may set some free: c = 0.1 (V − V_0)/10."""
    outcome = evaluated(assay(titrant=CERTIFIED, extra=blank(volume)))
    assert outcome.result.estimate.value == pytest.approx(0.1 * (mean(TITRES) - float(volume)) / 10, rel=1e-9)


@pytest.mark.parametrize(("volume", "held"), [
    ("13.26", False), ("13.29", True), ("-13.26", False), ("-13.29", True)])
def test_a_blank_above_a_third_of_the_titre_is_held_whatever_its_sign(volume, held):
    """Edge case 16: a third of 39.81 mL is 13.27 mL, of 39.80 mL 13.267 mL."""
    outcome = evaluated(assay(titrant=CERTIFIED, extra=blank(volume)))
    assert ("blank-large" in kinds(outcome)) is held
    assert ("blank-large" in [one.kind for one in outcome.remarks if one.holds]) is held


@pytest.mark.parametrize(("volume", "titres"), [("41.00", TITRES), ("0.05", (0.02, 0.03, 0.02))])
def test_a_net_volume_below_zero_is_computed_and_held(volume, titres):
    """Edge case 17: c = 0.1 (V − V_0)/10, negative as it comes."""
    outcome = evaluated(assay(titrant=CERTIFIED, titres=titres, extra=blank(volume)))
    assert outcome.result.estimate.value == pytest.approx(0.1 * (mean(titres) - float(volume)) / 10, rel=1e-9)
    assert {"net-volume-not-positive", "negative-content"} <= set(kinds(outcome))
    assert not outcome.releasable


def test_a_titration_without_titrant_is_held_without_any_blank():
    """Edge case 17: a net volume of nothing."""
    outcome = evaluated(assay(titrant=CERTIFIED, titres=(0.00, 0.00, 0.00)))
    assert outcome.result.estimate.value == 0
    assert len(remarks_of(outcome, "net-volume-not-positive")) == 3
    assert not outcome.releasable


@pytest.mark.parametrize("titres", [(0.00, 0.00, 0.00), (0.02, 0.03, 0.02)])
def test_titres_of_next_to_nothing_keep_the_uncertainty_of_reading_and_drop(titres):
    """u(c) = 0.1/10 × sqrt((2 × 0.01² + 0.025²)/3)/√3: two readings to half a division and half a drop.

    JCGM 100:2008, 4.3.7 (rectangular); a relative repeatability of nothing is nothing.
    """
    outcome = evaluated(assay(titrant=CERTIFIED, titres=titres))
    floor = 0.1 / 10 * math.sqrt((2 * 0.01**2 + 0.025**2) / 3) / math.sqrt(3)
    assert outcome.statistics.repeatability_of_mean == pytest.approx(floor, rel=1e-3)
    assert outcome.statistics.repeatability_source == "reading and drop"
    assert outcome.result.estimate.standard_uncertainty >= floor


def test_the_pink_of_permanganate_in_another_bulk_is_stated_by_the_worksheet():
    """Edge case 18: 0.025 mL in the method's 100 mL are 0.0625 mL in 250 mL; c changes by the difference.

    w = 5/2 c (V − V_e) M / V_s, M(H2O2) = 34.014 g/mol (by hand). A scale for the bulk is not on the worksheet: the
    chemist states what the bulk takes.
    """
    options = {"name": "potassium permanganate", "formula": "KMnO4", "nominal": "0.02 mol/L",
               "titrant": certified("0.0200", half="0.00002")}
    found = [evaluated(assay("hydrogen-peroxide-by-permanganate", **options, top=top)).result.estimate.value
             for top in ("", 'titration_error = "0.0625 mL ± 0.0400 mL, rectangular"\n')]
    for value, pink in zip(found, (0.025, 0.0625), strict=True):
        assert value == pytest.approx(2.5 * 0.02 * (mean(TITRES) - pink) * 34.014 / 10 / 10, rel=1e-4)


@pytest.mark.parametrize(("strength", "titres", "volume"), [
    ("0.1000", (4.05, 4.05, 4.05), "0.05"), ("0.0100", (40.50, 40.50, 40.50), "0.50")])
def test_the_blank_of_chromate_is_ten_times_as_many_millilitres_of_a_tenth_of_the_strength(strength, titres, volume):
    """Edge case 19: the same 5 µmol of silver: (4.05 − 0.05) × 0.1 = (40.50 − 0.50) × 0.01 = 0.400 mmol of chloride."""
    outcome = evaluated(assay("chloride-by-silver-nitrate", name="silver nitrate", formula="AgNO3", titres=titres,
                              nominal=f"{strength[:-2]} mol/L", titrant=certified(strength, half="0.00001"),
                              extra=blank(volume)))
    assert outcome.result.estimate.unit == "g/L"
    assert outcome.result.estimate.value == pytest.approx(0.400 * 35.4515 / 10, rel=1e-5)
    assert "ten times as many mL" in load_method("chloride-by-silver-nitrate").blank.text


def test_a_blank_forgotten_with_a_weak_titrant_is_held():
    """Edge case 19: 0.50 mL in 40 is 1.2 %."""
    outcome = evaluated(assay("chloride-by-silver-nitrate", name="silver nitrate", formula="AgNO3",
                              nominal="0.01 mol/L", titrant=certified("0.0100", half="0.00001")))
    assert "blank-missing" in kinds(outcome)
    assert not outcome.releasable


def test_the_uncertainty_of_a_blank_is_whole_in_the_mean_of_three_and_of_six():
    """Edge case 20: u(V_0)/V = 0.02/√3/(39.82 − 0.05), however many replicates share it."""
    shares = [share(evaluated(assay(titrant=CERTIFIED, titres=TITRES * times, extra=blank("0.05"))), "indicator blank")
              for times in (1, 2)]
    assert shares[0] == pytest.approx(shares[1], rel=1e-9)
    assert shares[0] == pytest.approx(0.02 / math.sqrt(3) / (mean(TITRES) - 0.05), rel=1e-6)


def test_blanks_titrated_on_the_day_have_the_scatter_of_their_mean():
    """Edge case 20: 0.02, 0.08 and 0.14 mL: mean 0.08, s = 0.06, u = 0.06/√3 with two degrees of freedom."""
    titrations = ", ".join(f'{{ initial = "0.00 mL", final = "{volume} mL" }}' for volume in ("0.02", "0.08", "0.14"))
    outcome = evaluated(assay(titrant=CERTIFIED,
                              extra=f'[blank]\nkind = "indicator blank"\ntitrations = [{titrations}]\n'))
    assert outcome.result.estimate.value == pytest.approx(0.1 * (mean(TITRES) - 0.08) / 10, rel=1e-9)
    line = next(line for line in outcome.budget if line.influence == "indicator blank, worksheet WS-1")
    assert line.standard_uncertainty == pytest.approx(0.06 / math.sqrt(3), rel=1e-9)
    assert line.degrees_of_freedom == 2


def test_what_was_added_at_the_endpoint_is_taken_away_again():
    """Edge case 21: 5 µmol added and titrated over are 0.05 mL of 0.1 mol/L: n = c V − 0.005 mmol."""
    outcome = evaluated(assay(titrant=CERTIFIED, extra=blank("0.05", "reagent blank")))
    assert outcome.result.estimate.value == pytest.approx((0.1 * mean(TITRES) - 0.005) / 10, rel=1e-9)


@pytest.mark.parametrize(("final", "asked"), [("49.78", "larger than the value"), ("49.70", "% of the value"),
                                              ("45.00", "")])
def test_a_result_that_is_hardly_known_asks_to_look_again(final, asked):
    """JCGM 100:2008, 5.1.2: the blank alone brings u = √((2 × 0.01² + 0.025²)/3)/√2 = 0.012 mL for two alike.

    With k = 2 that is 0.023 mL: more than the difference of 0.02 mL, and more than a fifth of 0.10 mL. A fifth of
    4.80 mL is 0.96 mL, more than any class B burette leaves open (ISO 385:2005, table 1: 0.1 mL).
    """
    told = [one.what for one in carbonate_by_blank("49.80", final).remarks if one.kind == "uncertainty-large"]
    assert bool(told) is bool(asked)
    assert all(asked in one for one in told)
