"""Edge cases of the job, by number, where they concern evaluation; the parsing layer's stand in test_worksheet.py."""

import math

import pytest

from assaywright.assay.method import load_method
from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import CERTIFIED, assay, evaluated, kinds, standardisation

NORMAL = 'certificate = { id = "C-1", issued = 2026-01-12, traceable_to = "SI" }'


def acid_on_caustic(concentration, extra="", **options):
    """Return an assay of caustic soda by an acid whose concentration is given as its certificate's line."""
    return assay("caustic-soda-by-acid", name="acid", formula="HCl", nominal="1 mol/L", pipette="9",
                 titrant=f"{concentration}\n{NORMAL}\n{extra}", titres=(45.00, 45.00, 45.00), **options)


def test_a_concentration_in_equivalents_names_its_reaction_or_is_refused():
    """Edge cases 1 and 10: N depends on the reaction."""
    with pytest.raises(Refusal, match="reaction"):
        evaluated(acid_on_caustic('concentration = "1.0000 eq/L ± 0.0005 eq/L, k = 2"'))
    with pytest.raises(Refusal, match="another reaction"):
        evaluated(acid_on_caustic('concentration = "1.0000 eq/L ± 0.0005 eq/L, k = 2"',
                                  'reaction = "HCl + NH3 -> NH4Cl"'))
    reaction = load_method("caustic-soda-by-acid").reaction
    named = evaluated(acid_on_caustic('concentration = "1.0000 eq/L ± 0.0005 eq/L, k = 2"', f'reaction = "{reaction}"'))
    assert named.result.estimate.value == pytest.approx(45 * 39.997 / 90, rel=1e-4)


def test_dichromate_counts_six_and_thiosulfate_one():
    """Edge cases 3 and 8: equivalents belong to a method's reaction."""
    assert load_method("iron-by-dichromate").titrant.equivalents == 6
    assert load_method("hypochlorite-by-thiosulfate").titrant.equivalents == 1
    assert load_method("hydrogen-peroxide-by-permanganate").titrant.equivalents == 5


def test_edta_reacts_one_to_one():
    """Edge case 6: whatever the charge of the metal."""
    method = load_method("hardness-by-edta")
    assert method.titrant.equivalents == method.analyte.equivalents == 1


def test_carbonate_between_two_endpoints_counts_its_full_molar_mass_per_proton():
    """Edge case 4: P = 25, T = 30, 0.1 mol/L, 25 mL: (T − P) × 0.1 × 105.99 / 25 = 2.12 g/L (by hand)."""
    outcome = evaluated(two_endpoints((25.00, 30.00)))
    carbonate = outcome.results[[r.measurand for r in outcome.results].index("sodium carbonate")]
    assert carbonate.estimate.value * (10 if carbonate.estimate.unit == "% w/v" else 1) == pytest.approx(
        (30 - 25) * 0.1 * 105.988 / 25, rel=1e-3)


def two_endpoints(*pairs):
    """Return an assay by two endpoints, from one initial reading of zero."""
    rows = "".join(
        f'[[determination]]\npipette = "pipette"\nsample_temperature = "20.0 °C"\ninitial = "0.00 mL"\n'
        f'first = "{first:.2f} mL"\nfinal = "{final:.2f} mL"\ntemperature = "20.0 °C"\n' for first, final in pairs * 3)
    return assay("caustic-soda-two-endpoints", name="acid", formula="HCl", nominal="0.1 mol/L", pipette="25", rows=rows,
                 titrant='concentration = "0.1000 mol/L ± 0.0001 mol/L, k = 2"\n' + NORMAL,
                 top='titration_error = "0 mL ± 0.105 mL, rectangular"')


def test_more_acid_after_the_first_endpoint_than_before_means_hydrogencarbonate():
    """Edge case 25: with 2P < T there is carbonate 2P and hydrogencarbonate T − 2P, never negative caustic."""
    outcome = evaluated(two_endpoints((10.00, 30.00)))
    assert "hydrogencarbonate-present" in kinds(outcome)
    assert all(result.estimate.value > 0 for result in outcome.results)
    found = next(result for result in outcome.results if "hydrogencarbonate" in result.measurand)
    grams_per_litre = found.estimate.value * (10 if found.estimate.unit == "% w/v" else 1)
    assert grams_per_litre == pytest.approx((30 - 2 * 10) * 0.1 * 84.006 / 25, rel=1e-3)


def test_borax_counts_two_equivalents():
    """Edge case 5: Na2B4O7·10H2O + 2 HCl (common practice; Vogel, from memory)."""
    from assaywright.reference.tables import primary_standard

    acid = [one.number for one in primary_standard("borax").equivalents]
    assert 2 in acid


def test_a_factor_is_actual_over_nominal_and_far_from_one_is_asked_about():
    """Edge cases 9 and 12."""
    outcome = evaluated(standardisation(titres=(36.20, 36.49, 35.52)))
    assert outcome.result.factor == pytest.approx(outcome.result.estimate.value / 0.1)
    assert outcome.result.factor > 1.05
    using = evaluated(assay(), {"st1.toml": standardisation(titres=(36.20, 36.49, 35.52))})
    assert "titrant-far-from-nominal" in kinds(using)


def test_a_blank_above_a_third_of_the_titre_holds_the_result():
    """Edge case 16."""
    blank = '[blank]\nkind = "indicator blank"\nvolume = "14.0 mL ± 0.02 mL, rectangular"\n'
    outcome = evaluated(assay(titrant=CERTIFIED, extra=blank))
    assert "blank-large" in kinds(outcome)
    assert not outcome.releasable


def test_a_blank_above_the_titre_is_computed_and_held():
    """Edge case 17: negative net volume."""
    blank = '[blank]\nkind = "indicator blank"\nvolume = "41.0 mL ± 0.02 mL, rectangular"\n'
    outcome = evaluated(assay(titrant=CERTIFIED, extra=blank))
    assert "net-volume-not-positive" in kinds(outcome)
    assert "negative-content" in kinds(outcome)
    assert not outcome.releasable


def test_a_titration_that_delivered_nothing_is_held_back_until_somebody_leaves_it_out():
    """JOB edge case 17 at its border: initial and final reading are the same."""
    three = evaluated(assay(titrant=CERTIFIED, titres=(39.60, 0.00, 39.62)))
    (said,) = [one for one in three.remarks if one.kind == "net-volume-not-positive"]
    assert (said.where, said.holds) == ("ws.toml: determination 2", True)
    assert said.what == "initial and final reading are the same, so nothing was delivered"
    two = evaluated(assay(titrant=CERTIFIED, titres=(39.60, 0.00, 39.62)).replace(
        'final = "0.00 mL"', 'final = "0.00 mL"\nexcluded = "tap not opened"\nexcluded_by = "Ines Okafor"'))
    assert not {"net-volume-not-positive", "outside-burette-range"} & set(kinds(two))
    assert two.statistics.number == 2


def test_a_specification_without_a_limit_is_reported_only_and_asked_about():
    outcome = evaluated(assay(titrant=CERTIFIED, extra='[specification]\ncharacteristic = "strength"\n'))
    assert outcome.decision is None
    (said,) = [one for one in outcome.remarks if one.kind == "specification-without-limit"]
    assert said.what == "strength has neither a lower nor an upper limit, so it is reported only"
    assert not said.holds


def test_a_blank_titrated_likewise_is_larger_than_the_titre_and_that_is_right():
    """Edge case 14: in a back titration the sample spares titrant."""
    names = ("calcium-carbonate-by-excess-acid", "iodide-by-excess-silver-nitrate", "chloride-by-excess-silver-nitrate")
    likewise = [load_method(name) for name in names]
    assert any("likewise" in method.example.worksheet or "[reagent]" in method.example.worksheet for method in likewise)
    for method in likewise:
        outcome = evaluated(method.example.worksheet)
        assert outcome.result.estimate.value > 0
        assert "blank-large" not in kinds(outcome)


@pytest.mark.parametrize(("weighed_as", "shift"), [("in vacuo", 0.00058), ("in air", 0.0)])
def test_buoyancy_follows_the_basis_of_the_certificate(weighed_as, shift):
    """Edge cases 31 and 32: phthalate, 1.64 g/cm³ against 8.0 in air of 1.2 kg/m³: +0.058 % (JOB table of mistakes)."""
    outcome = evaluated(standardisation().replace('basis = "dried"', f'basis = "dried"\nweighed_as = "{weighed_as}"'))
    bare = (0.7888 / 38.62 + 0.7950 / 38.93 + 0.7740 / 37.90) / 3 * 999.7 / 204.2206
    assert outcome.result.estimate.value / bare - 1 == pytest.approx(shift, abs=2e-5)


def test_a_certificate_for_dried_material_asks_how_it_was_dried():
    """Edge case 33."""
    outcome = evaluated(standardisation().replace('dried = "2 h at 110 °C"\n', ""))
    assert "basis-unclear" in kinds(outcome)


def test_the_formula_decides_between_hydrate_and_anhydrous():
    """Edge case 34: sodium carbonate decahydrate over anhydrous is 2.70 (by hand: 286.14/105.99)."""
    from assaywright.chemistry.formula import molar_mass

    assert molar_mass("Na2CO3·10H2O").value / molar_mass("Na2CO3").value == pytest.approx(286.141 / 105.988, rel=1e-4)


def test_a_coverage_factor_of_the_certificate_is_divided_out():
    """Edge case 35: ± 0.07 % with k = 2 is u = 0.035 %, with k = 2.58 it is 0.027 %."""
    for factor in ("2", "2.58"):
        outcome = evaluated(standardisation().replace("± 0.07 %, k = 2", f"± 0.07 %, k = {factor}"))
        line = next(line for line in outcome.budget if "RM-204" in line.influence)
        assert line.standard_uncertainty == pytest.approx(0.07 / float(factor))


def test_a_purity_above_one_hundred_per_cent_is_used_and_asked_about():
    """Edge case 36."""
    outcome = evaluated(standardisation().replace("99.97 %", "100.02 %"))
    assert "content-above-purity" in kinds(outcome)
    plain = evaluated(standardisation())
    assert outcome.result.estimate.value / plain.result.estimate.value == pytest.approx(100.02 / 99.97, rel=1e-9)


def test_a_portion_below_the_certificates_smallest_is_held():
    """Edge case 37."""
    outcome = evaluated(standardisation().replace('basis = "dried"', 'basis = "dried"\nminimum_sample = "0.8 g"'))
    assert kinds(outcome).count("below-minimum-sample") == 3
    assert not outcome.releasable


def test_per_cent_by_weight_and_by_volume_differ_by_the_density():
    """Edge cases 40 and 41: 20 % w/v caustic of 1.219 g/mL is 16.4 % w/w (20/1.219, by hand)."""
    density = 'density = "1.2190 g/mL ± 0.0010 g/mL, k = 2"\n'
    by_volume = evaluated(acid_on_caustic('concentration = "1.0000 mol/L ± 0.0005 mol/L, k = 2"', sample=density))
    by_mass = evaluated(acid_on_caustic('concentration = "1.0000 mol/L ± 0.0005 mol/L, k = 2"', sample=density,
                                        top='[report]\nunit = "% w/w"\n'))
    assert by_mass.result.estimate.unit == "% w/w"
    assert by_volume.result.estimate.value / by_mass.result.estimate.value == pytest.approx(1.2190, rel=1e-9)
    with pytest.raises(Refusal, match="density"):
        evaluated(acid_on_caustic('concentration = "1.0000 mol/L ± 0.0005 mol/L, k = 2"',
                                  top='[report]\nunit = "% w/w"\n'))


def test_a_vessel_marked_at_another_temperature_is_brought_to_it():
    """Edge case 42: a burette of 27 °C holds 7 K of glass expansion less at 20 °C (9.9e-6 per K, ISO 4787)."""
    at_20 = evaluated(standardisation())
    at_27 = evaluated(standardisation().replace('id = "B-07"', 'id = "B-07"\nreference_temperature = "27 °C"'))
    assert at_27.result.estimate.value / at_20.result.estimate.value - 1 == pytest.approx(7 * 9.9e-6, rel=0.01)


def test_two_warm_liquids_nearly_cancel():
    """Edge case 43: acid and caustic both at 25 °C; by titrant alone it would be 0.1 %."""
    law = 'thermal = "aq_0.1_0.2"\n'
    cold = evaluated(assay(titrant=CERTIFIED, sample=law))
    both = evaluated(assay(titrant=CERTIFIED, sample=law, temperature="25.0 °C"))
    assert abs(both.result.estimate.value / cold.result.estimate.value - 1) < 1e-5
    warm = assay(titrant=CERTIFIED, sample=law).replace('\ntemperature = "20.0 °C"', '\ntemperature = "25.0 °C"')
    one = evaluated(warm)
    assert one.result.estimate.value / cold.result.estimate.value - 1 == pytest.approx(-0.0011, abs=0.0003)


def test_a_correction_is_taken_at_both_readings():
    """Edge case 44: C(10) = +0.02, C(50) = −0.01: 10.00 to 50.00 delivers 39.97 mL (by hand)."""
    burette = ('corrections = [["10 mL", "+0.020 mL"], ["50 mL", "-0.010 mL"]]\n'
               'calibration_uncertainty = "0.010 mL, k = 2"\n'
               'certificate = { id = "K-1", issued = 2026-03-01, due = 2027-03-01, traceable_to = "SI" }')
    text = standardisation(masses=(0.8165,) * 3, titres=(50.0,) * 3).replace(
        'initial = "0.00 mL"', 'initial = "10.00 mL"').replace('class = "A"\nstandard = "ISO 385"', burette)
    assert evaluated(text).determinations[0].titre_mL == pytest.approx(39.97, abs=5e-4)


def test_two_fillings_add_up_and_bear_two_errors():
    """Edge case 45: 0 to 50 and 0 to 3.12 mL deliver 53.12 mL."""
    text = standardisation(masses=(1.0850,) * 3, titres=(49.0,) * 3).replace(
        'initial = "0.00 mL"\nfinal = "49.00 mL"', 'fillings = [["0.00 mL", "50.00 mL"], ["0.00 mL", "3.12 mL"]]')
    outcome = evaluated(text)
    assert outcome.determinations[0].titre_mL == pytest.approx(53.12, abs=5e-4)
    error = math.hypot(*(line.contribution for line in outcome.budget if "burette B-07" in line.influence))
    single = 0.05 / math.sqrt(6) / 53.12 * outcome.result.estimate.value
    assert error == pytest.approx(math.sqrt(2) * single, rel=0.02)


def test_an_aliquot_of_a_dilution_carries_the_ratio_of_both_vessels():
    """Edge case 48: 10 mL to 100 mL and 10 mL of that is 1 mL of sample."""
    flask = ('[vessels.flask]\nkind = "flask"\nid = "F-1"\nnominal = "100 mL"\nclass = "A"\nstandard = "ISO 1042"\n'
             '[dilution]\npipette = "pipette"\nflask = "flask"\ntemperature = "20.0 °C"\n')
    undiluted = evaluated(assay(titrant=CERTIFIED))
    diluted = evaluated(assay(titrant=CERTIFIED, extra=flask))
    assert diluted.result.estimate.value / undiluted.result.estimate.value == pytest.approx(10.0, rel=1e-6)


@pytest.mark.parametrize(("rule", "decision"), [
    ('rule = "rounding method"\nrounding_step = "0.1"\nrounding = "half up"', "conforms"),
    ('rule = "absolute method"', "does not conform"),
    ("", "does not conform"),
])
def test_a_value_that_rounds_to_its_limit(rule, decision):
    """Edge case 49: 0.3985 against 0.40 mol/L, to 0.1: USP 7.20 rounds before it compares, the absolute method not."""
    specification = ('[specification]\ncharacteristic = "hydrogen chloride"\nlower = "0.4 mol/L"\n'
                     f'upper = "0.5 mol/L"\n{rule}\n')
    outcome = evaluated(assay(titrant=CERTIFIED, extra=specification))
    assert outcome.result.estimate.value < 0.4
    assert outcome.decision.decision == decision


def test_determinations_that_agree_to_the_reading_have_the_resolutions_uncertainty():
    """Edge case 53: s = 0 from coarse readings; d/sqrt(12) stands in (JCGM 100:2008, F.2.2.1)."""
    outcome = evaluated(assay(titrant=CERTIFIED, titres=(39.8, 39.8), top='[report]\nrepeatability = "observed"\n')
                        .replace("39.80 mL", "39.8 mL"))
    assert "scatter-below-resolution" in kinds(outcome)
    assert outcome.statistics.repeatability_of_mean / outcome.result.estimate.value == pytest.approx(
        0.1 / math.sqrt(12) / 39.8, rel=0.01)


def test_a_mean_that_passes_and_a_determination_that_fails():
    """Edge case 58."""
    specification = ('[specification]\ncharacteristic = "hydrogen chloride"\nlower = "0.39800 mol/L"\n'
                     'upper = "0.5 mol/L"\n')
    outcome = evaluated(assay(titrant=CERTIFIED, titres=(39.90, 39.90, 39.75), extra=specification))
    assert outcome.decision.decision == "conforms"
    assert "determination-outside-limits" in kinds(outcome)


def test_an_excluded_determination_stays_on_record_with_its_reason():
    """Edge case 55: what is flagged or left out is still data."""
    out = 'excluded = "drop lost beside the flask"\nexcluded_by = "Jonas Feld"\n'
    text = assay(titrant=CERTIFIED, titres=(39.81, 39.84, 39.80, 38.00))
    cut = text.rindex('temperature = "20.0 °C"\n')
    outcome = evaluated(text[:cut] + 'temperature = "20.0 °C"\n' + out)
    assert outcome.statistics.number == 3
    assert len(outcome.determinations) == 4
    assert outcome.determinations[3].excluded
    assert "determination-excluded" in kinds(outcome)
    unnamed = evaluated(text[:cut] + 'temperature = "20.0 °C"\n' + out.splitlines()[0] + "\n")
    assert "excluded-without-name" in kinds(unnamed)
    assert not unnamed.releasable


@pytest.mark.parametrize(("line", "kind"), [
    ("use_before = 2026-10-11", "titrant-past-its-date"),
    ('use_before = "2026-09"', "titrant-past-its-date"),
    ("opened = 2026-09-01\nin_use_days = 30", "titrant-past-its-date"),
    ("use_before = 2026-10-12", ""),
    ('use_before = "2026-10"', ""),
    ("opened = 2026-09-12\nin_use_days = 30", ""),
])
def test_a_titrant_lasts_through_its_last_day(line, kind):
    """Edge cases 59 and 62: performed on 12 October 2026."""
    outcome = evaluated(assay(titrant=f"{CERTIFIED}\n{line}"))
    assert ("titrant-past-its-date" in kinds(outcome)) is bool(kind)
    assert outcome.releasable is not bool(kind)


def test_a_titrant_standardised_after_the_assay_holds_it():
    """Edge case 61."""
    later = standardisation().replace("performed = 2026-10-05", "performed = 2026-10-13")
    outcome = evaluated(assay(), {"st1.toml": later})
    assert "titrant-standardised-afterwards" in kinds(outcome)
    assert not outcome.releasable


def test_a_standardisation_that_is_held_holds_the_assay():
    held = standardisation(masses=(0.7888,), titres=(38.62,))
    outcome = evaluated(assay(), {"st1.toml": held})
    assert "titrant-not-accepted" in kinds(outcome)


@pytest.mark.parametrize(("old", "new"), [
    ("due = 2027-03-01", "due = 2026-10-04"), ("due = 2027-02-01", "due = 2026-10-04"),
])
def test_an_overdue_calibration_holds_the_result(old, new):
    outcome = evaluated(standardisation().replace(old, new))
    assert "calibration-overdue" in kinds(outcome)
    assert not outcome.releasable


def test_a_reference_material_past_its_date_holds_the_result():
    outcome = evaluated(standardisation().replace('basis = "dried"', 'basis = "dried"\nuse_before = 2026-10-04'))
    assert "reference-material-past-its-date" in kinds(outcome)
    assert not outcome.releasable


def test_nobody_reviews_their_own_work():
    outcome = evaluated(standardisation(top='reviewer = "ines okafor"\n'))
    assert "reviewer-is-analyst" in kinds(outcome)


def test_two_bottles_under_one_certificate_share_what_it_leaves_open():
    """Edge case 67: the certificate holds for the lot; a bottle's own factor has its own worksheet and key."""
    first, second = (
        evaluated(assay(titrant=f'{CERTIFIED}\nlot = "T-1"\nbottle = "{bottle}"')) for bottle in ("1", "2"))
    keys = [next(p.key for p in o.result.estimate.contributions if "certified" in p.label) for o in (first, second)]
    assert keys[0] == keys[1]
    other = evaluated(assay(titrant=CERTIFIED.replace("C-118", "C-119") + '\nlot = "T-2"'))
    assert keys[0] not in [part.key for part in other.result.estimate.contributions]


def test_atomic_weights_revised_since_change_the_result_only_through_the_edition():
    """Edge case 69: the chain and the keys name the edition."""
    outcome = evaluated(standardisation())
    keys = [line.key for line in outcome.budget if line.key.startswith("atomic weight")]
    assert keys
    assert all("2021" in key for key in keys)


def test_infinite_degrees_of_freedom_and_one_are_both_computed():
    """Edge case 57: k = 12.7 for one degree of freedom (JCGM 100:2008, Table G.2)."""
    outcome = evaluated(assay(titrant=CERTIFIED, titres=(39.60, 40.00), top='[report]\nrepeatability = "observed"\n'))
    assert outcome.statistics.repeatability_degrees_of_freedom == 1
    assert outcome.result.coverage_factor > 10
