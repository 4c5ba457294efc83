"""Edge cases 39 to 48: volumes, temperatures, densities; figures by hand beside each check.

Expansion of borosilicate glass 3.3: 9.9e-6 per kelvin (ISO 4787:2021, Annex, from memory). Volumes of solutions at
20 °C: GB/T 601-2016, Appendix A, Table A.1 as in tests/reference/volumetry, printed to 0.1 mL/L, with a glass of 25e-6
per kelvin (common practice, no source).
"""

import csv
import math

import pytest

from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import CERTIFIED, assay, evaluated, kinds, standardisation
from tests.edge.house import certified, flask, input_value, mean
from tests.house.sources import HOUSE

TITRES = (39.81, 39.84, 39.80)
GLASS, GLASS_OF_THE_TABLE = 9.9e-6, 25e-6
PLAIN = 0.1 * mean(TITRES) / 10


def correction_mL_per_L(column, temperature):
    """Return the standard's correction of a solution's volume to 20 °C."""
    path = HOUSE / "tests" / "reference" / "volumetry" / "temperature_correction_standard_solutions.csv"
    with path.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["solution_key"] == column and float(row["temperature_C"]) == temperature:
                return float(row["correction_mL_per_L"])
    raise LookupError((column, temperature))


def density_ratio(temperature):
    """Return ρ(t)/ρ(20 °C) of a solution of 0.1 mol/L: the table's correction less its glass."""
    return 1 + correction_mL_per_L("aq_0.1_0.2", temperature) / 1000 - GLASS_OF_THE_TABLE * (temperature - 20)


def by_mass(concentration, unit, densities=""):
    """Return an assay whose titrant is weighed out of a squeeze bottle."""
    rows = "".join('[[determination]]\npipette = "pipette"\nsample_temperature = "20.0 °C"\n'
                   f'titrant_gross = "{140 + mass:.4f} g"\ntitrant_tare = "140.0000 g"\n' for mass in TITRES)
    return assay(rows=rows, titrant=certified(concentration, unit) + densities)


def test_a_titrant_weighed_out_counts_by_the_kilogram():
    """Edge case 39: b in mol/kg; n = b m with the solution's own buoyancy, (1 − 1.2/8000)/(1 − 1.2/1002)."""
    outcome = evaluated(by_mass("0.1000", "mol/kg",
                                '\ndensities = [["20 °C", "1.0020 g/mL"], ["25 °C", "1.0009 g/mL"]]'))
    buoyancy = (1 - 1.2 / 8000) / (1 - 1.2 / 1002)
    assert outcome.result.estimate.value == pytest.approx(PLAIN * buoyancy, rel=1e-6)


def test_moles_per_litre_of_a_weighed_titrant_are_refused_and_not_divided_by_some_density():
    """Edge case 39: 0.1 mol/L NaOH has 1.002 g/mL; divided by the 1.04 g/mL of 1 mol/L the result is 3.6 % low."""
    with pytest.raises(Refusal) as caught:
        evaluated(by_mass("0.1000", "mol/L"))
    assert str(caught.value) == (
        "ws.toml: titrant: the titrant is delivered by mass and its concentration is in mol/L; give it in mol/kg: "
        "divide it by the density of a solution of this very strength, in kg/L.")


def test_moles_per_kilogram_of_a_titrant_in_a_burette_are_refused():
    """Edge case 39, the other way round."""
    with pytest.raises(Refusal, match="measured out by volume and its concentration is in mol/kg"):
        evaluated(assay(titrant=certified("0.1000", "mol/kg")))


CAUSTIC = {"name": "hydrochloric acid", "formula": "HCl", "nominal": "1 mol/L", "pipette": "9",
           "titrant": certified("1.0000", half="0.0005"), "titres": (45.00, 45.00, 45.00)}


@pytest.mark.parametrize(("temperature", "factor"), [("15 °C", 1.2212 / 1.2191), ("25 °C", 1.2166 / 1.2191)])
def test_a_content_by_volume_belongs_to_a_temperature(temperature, factor):
    """Edge case 40: % w/v falls with the density, 1.2212, 1.2191 and 1.2166 g/mL at 15, 20 and 25 °C (invented)."""
    sample = 'densities = [["15 °C", "1.2212 g/mL"], ["20 °C", "1.2191 g/mL"], ["25 °C", "1.2166 g/mL"]]\n'
    found = [evaluated(assay("caustic-soda-by-acid", **CAUSTIC, sample=sample,
                             top=f'[report]\ntemperature = "{at}"\n')).result for at in ("20 °C", temperature)]
    assert found[0].estimate.value == pytest.approx(45.00 * 39.997 / 9 / 10, rel=3e-5)
    assert found[1].estimate.value / found[0].estimate.value == pytest.approx(factor, rel=2e-5)
    assert [one.reference_temperature_degC for one in found] == [20, float(temperature.split()[0])]


@pytest.mark.parametrize(("density", "by_volume", "by_mass"), [("1.2190", 24.38, 20.00), ("1.1850", 20.00, 16.88)])
def test_twenty_per_cent_by_mass_is_twenty_four_by_volume(density, by_volume, by_mass):
    """Edge case 41: w/v = w/w × ρ: 20 % w/w of 1.219 g/mL is 24.4 % w/v; 20 % w/v of 1.185 g/mL is 16.9 % w/w."""
    titre = by_volume * 9 * 10 / 39.997
    options = CAUSTIC | {"titres": (titre,) * 3} | ({"pipette": "5", "titres": (titre * 5 / 9,) * 3} if titre > 50
                                                     else {})
    sample = f'density = "{density} g/mL ± 0.0010 g/mL, k = 2"\n'
    found = [evaluated(assay("caustic-soda-by-acid", **options, sample=sample, top=f'[report]\nunit = "{unit}"\n'))
             for unit in ("% w/v", "% w/w")]
    assert found[0].result.estimate.value == pytest.approx(by_volume, abs=0.01)
    assert found[1].result.estimate.value == pytest.approx(by_mass, abs=0.01)


def test_a_content_by_mass_of_what_was_pipetted_wants_the_density():
    """Edge case 41: one sentence names the field."""
    with pytest.raises(Refusal) as caught:
        evaluated(assay("caustic-soda-by-acid", **CAUSTIC, top='[report]\nunit = "% w/w"\n'))
    assert str(caught.value).startswith("ws.toml: sample, density: the result is asked for in % w/w and needs")


@pytest.mark.parametrize("reference", ["15", "20", "25", "27"])
def test_a_vessel_is_right_at_its_own_reference_temperature(reference):
    """Edge case 42: at 20 °C a vessel marked for t_ref holds 1 − γ (t_ref − 20) of its mark.

    Both vessels alike it cancels; the burette alone changes the result by γ (20 − t_ref).
    """
    line = f'\nreference_temperature = "{reference} °C"'
    burette = assay(titrant=CERTIFIED).replace('id = "B-07"', f'id = "B-07"{line}')
    one = evaluated(burette).result.estimate.value
    both = evaluated(burette.replace('id = "P-02"', f'id = "P-02"{line}')).result.estimate.value
    assert one / PLAIN - 1 == pytest.approx(GLASS * (20 - float(reference)), abs=1e-8)
    assert both == pytest.approx(PLAIN, rel=1e-9)


@pytest.mark.parametrize("content", ["15", "25", "27"])
def test_a_concentration_certified_at_another_temperature_is_brought_to_the_titration(content):
    """Edge case 42: c certified at t_c, used at 20 °C: as GB/T 601 reduces the volume, V_tc = V_20 ρ(20)/ρ(t_c)."""
    outcome = evaluated(assay(titrant=f'{CERTIFIED}\nat_temperature = "{content} °C"'))
    assert outcome.result.estimate.value / PLAIN == pytest.approx(1 / density_ratio(float(content)), abs=6e-5)


def test_the_litre_of_mohr_is_a_vessel_with_its_own_tolerance_and_temperature():
    """Edge case 42: Mohr's litre, the volume of 1000 g of water weighed in air at 17.5 °C, is 1.0023 L (from memory).

    It is entered as a correction of the burette: 10 mL of its scale deliver 10.023 mL.
    """
    scale = ('corrections = [["10 mL", "+0.023 mL"], ["50 mL", "+0.115 mL"]]\n'
             'calibration_uncertainty = "0.020 mL, k = 2"\n')
    text = assay(titrant=CERTIFIED).replace('class = "A"\nstandard = "ISO 385"\n', scale)
    assert evaluated(text).result.estimate.value == pytest.approx(PLAIN * 1.0023, rel=1e-6)


def test_two_warm_liquids_nearly_cancel_and_one_does_not():
    """Edge case 43: at 25 °C 0.1 mol/L loses 1.1 mL/L; twice alike it is gone, once it stays."""
    law = 'thermal = "aq_0.1_0.2"\n'
    both = evaluated(assay(titrant=CERTIFIED, sample=law, temperature="25.0 °C")).result.estimate.value
    assert both == pytest.approx(PLAIN, rel=1e-9)
    text = assay(titrant=CERTIFIED, sample=law).replace('\ntemperature = "20.0 °C"', '\ntemperature = "25.0 °C"')
    one = evaluated(text).result.estimate.value
    assert one / PLAIN == pytest.approx((1 + 5 * GLASS) * density_ratio(25), abs=6e-5)


@pytest.mark.parametrize(("temperature", "asked", "density_of_water"), [
    ("25.0 °C", "thermal-expansion-unknown", 997.0470), (None, "temperature-not-recorded", 997.0470),
    ("30.0 °C", "thermal-expansion-unknown", 995.6488)])
def test_a_liquid_that_expands_by_no_known_law_is_asked_about_as_when_its_temperature_is_left_out(
        temperature, asked, density_of_water):
    """Edge case 43: it is not corrected, and twice what water expands is allowed for (common practice, no source).

    Water at 20, 25 and 30 °C: 998.2067, 997.0470 and 995.6488 kg/m3 (Tanaka et al., Metrologia 38 (2001) 301, from
    memory).
    """
    text = assay("caustic-soda-by-acid", **CAUSTIC)
    line = 'sample_temperature = "20.0 °C"\n'
    assert line in text
    found = evaluated(text.replace(line, f'sample_temperature = "{temperature}"\n' if temperature else ""))
    assert [one.severity.value for one in found.remarks if one.kind == asked] == ["question"]
    assert found.releasable
    allowed = next(one for one in found.budget if one.influence == "thermal expansion not known")
    relative = 2 * (1 - density_of_water / 998.2067) / math.sqrt(3)
    assert abs(allowed.contribution) / found.result.estimate.value == pytest.approx(relative, rel=2e-3)
    there = evaluated(text)
    assert "thermal-expansion-unknown" not in kinds(there)
    assert not [one for one in there.budget if one.influence == "thermal expansion not known"]


def test_the_correction_of_a_burette_is_taken_at_both_ends():
    """Edge case 44: C(10) = +0.020, C(30) = −0.010, C(50) = −0.030: 10 to 40 mL delivers 30 − 0.020 − 0.020 = 29.960.

    Only at the end it would be 29.980, only at the start 29.980 too, neither 30.000.
    """
    scale = ('corrections = [["10 mL", "+0.020 mL"], ["30 mL", "-0.010 mL"], ["50 mL", "-0.030 mL"]]\n'
             'calibration_uncertainty = "0.010 mL, k = 2"\n')
    text = assay(titrant=CERTIFIED, titres=(40.00,) * 3).replace(
        'initial = "0.00 mL"', 'initial = "10.00 mL"').replace('class = "A"\nstandard = "ISO 385"\n', scale)
    assert evaluated(text).determinations[0].titre_mL == pytest.approx(29.960, abs=1e-9)


def test_two_fillings_have_two_starts_and_two_errors():
    """Edge case 45: (50.00 − 0.10) + (3.12 − 0.02) = 53.00 mL; each filling bears the tolerance, 0.05/√6, once.

    However alike the two err, together they err more than one and at most twice as much.
    """
    rows = ('[[determination]]\npipette = "pipette"\nsample_temperature = "20.0 °C"\n'
            'fillings = [["0.10 mL", "50.00 mL"], ["0.02 mL", "3.12 mL"]]\ntemperature = "20.0 °C"\n' * 3)
    outcome = evaluated(assay(titrant=CERTIFIED, rows=rows, pipette="25"))
    assert outcome.determinations[0].titre_mL == pytest.approx(53.00, abs=1e-9)
    found = math.hypot(*(line.contribution for line in outcome.budget if "burette B-07" in line.influence))
    once = 0.05 / math.sqrt(6) / 53.00 * outcome.result.estimate.value
    assert once < found <= 2 * once


def test_a_reading_beyond_one_filling_is_refused():
    """Edge case 45: 53.12 mL cannot be read on 50 mL."""
    with pytest.raises(Refusal, match="enter a refilled burette as two fillings"):
        evaluated(assay(titrant=CERTIFIED, titres=(53.12, 53.10, 53.11)))


def test_both_readings_at_the_upper_edge_of_the_meniscus_give_the_same_volume():
    """Edge case 46: 0.10 mL higher twice drops out; once it would be 0.25 % of 40 mL."""
    upper = assay(titrant=CERTIFIED, titres=[titre + 0.10 for titre in TITRES]).replace(
        'initial = "0.00 mL"', 'initial = "0.10 mL"')
    assert evaluated(upper).result.estimate.value == pytest.approx(PLAIN, rel=1e-9)


def diluted(dilution, **options):
    """Return the outcome of an assay of aliquots of a dilution; every portion by a 10 mL pipette."""
    return evaluated(assay(titrant=CERTIFIED, extra=flask() + dilution, **options))


ONE_STAGE = ('[dilution]\npipette = "pipette"\nsample_temperature = "20.0 °C"\n'
             'flask = "flask"\ntemperature = "20.0 °C"\n')


def test_a_dilution_is_what_the_flask_holds_and_not_what_was_poured_together():
    """Edge case 47: 10 mL made up to 100 mL is one in ten; 10 mL with 100 mL would be one in eleven."""
    assert diluted(ONE_STAGE).result.estimate.value == pytest.approx(PLAIN * 100 / 10, rel=1e-9)


def test_a_dilution_by_mass_is_in_proportion_to_the_masses():
    """Edge case 47: 10.0000 g in 100.0000 g, 20.0000 g titrated: 2.0000 g of sample, whatever the volumes.

    w = c V M / m with M(HCl) = 36.458 g/mol and the sample's buoyancy at 1.05 g/mL.
    """
    extra = ('[dilution]\nnet = "10.0000 g"\ntotal_net = "100.0000 g"\n')
    rows = ('[[determination]]\nnet = "20.0000 g"\ninitial = "0.00 mL"\nfinal = "39.81 mL"\n'
            'temperature = "20.0 °C"\n' * 3)
    outcome = evaluated(assay(titrant=CERTIFIED, extra=extra, rows=rows, top='[report]\nunit = "% w/w"\n',
                              sample='density = "1.05 g/mL ± 0.01 g/mL, k = 2"\n'))
    buoyancy = (1 - 1.2 / 8000) / (1 - 1.2 / 1050)
    assert outcome.result.estimate.value == pytest.approx(
        0.1 * 39.81 * 36.458 / 1000 / (2.0 * buoyancy) * 100, rel=1e-4)


def test_a_dilution_by_volume_with_weighed_aliquots_is_refused():
    """Edge case 47: neither volume nor mass of the whole is then known."""
    rows = '[[determination]]\nnet = "20.0000 g"\ninitial = "0.00 mL"\nfinal = "39.81 mL"\n' * 3
    with pytest.raises(Refusal, match=r"^ws.toml: dilution: the dilution is made up by one means and its aliquots"):
        diluted(ONE_STAGE, rows=rows)


TWO_STAGES = ONE_STAGE + ('[dilution.further]\npipette = "pipette"\nsample_temperature = "20.0 °C"\n'
                          'flask = "large flask"\ntemperature = "20.0 °C"\n')


def test_an_aliquot_of_an_aliquot_is_the_product_of_both_ratios():
    """Edge case 48: 10 in 100 mL, of which 10 in 250 mL, of which 10 mL: 10 × 10/100 × 10/250 = 0.04 mL of sample."""
    outcome = evaluated(assay(titrant=CERTIFIED,
                              extra=flask() + flask("250 mL", '"large flask"').replace('F-"large flask"', "F-250")
                              + TWO_STAGES))
    assert outcome.result.estimate.value == pytest.approx(0.1 * mean(TITRES) / 0.04, rel=1e-9)
    nodes = {node.identity for node in outcome.chain.rests_on if node.kind == "vessel"}
    assert {"flask F-flask, 100 mL", "flask F-250, 250 mL"} <= nodes


def test_a_pipette_used_at_three_stages_errs_three_times_alike():
    """Edge case 48: its tolerance, 0.02/√6 in 10 mL, counts whole three times and not by the root of three."""
    outcome = evaluated(assay(titrant=CERTIFIED,
                              extra=flask() + flask("250 mL", '"large flask"').replace('F-"large flask"', "F-250")
                              + TWO_STAGES))
    found = math.hypot(*(line.contribution for line in outcome.budget if "pipette P-02, tol" in line.influence))
    assert found / outcome.result.estimate.value == pytest.approx(3 * 0.02 / math.sqrt(6) / 10, rel=1e-6)


def test_a_second_stage_without_its_flask_is_refused_by_its_place():
    """Edge case 48."""
    with pytest.raises(Refusal, match=r"^ws.toml: dilution, further, flask: no table"):
        diluted(TWO_STAGES)


def test_a_standard_made_up_and_titrated_in_aliquots_counts_by_the_aliquot():
    """Edge case 48: 8.1690 g of phthalate in 250 mL, 25 mL titrated: 0.8169 g, with 40.00 mL of base.

    c = 0.81690 × 0.9997 / 204.222 / 40.00 × 1000 (by hand), weighed as its certificate says, in air.
    """
    text = standardisation(titres=(40.00, 40.00, 40.00)).replace(
        'basis = "dried"', 'basis = "dried"\nweighed_as = "in air"')
    for mass in (0.7888, 0.7950, 0.7740):
        text = text.replace(f'gross = "{60.1562 + mass:.4f} g"\ntare = "60.1562 g"',
                            'pipette = "pipette"\nsample_temperature = "20.0 °C"')
    text = text.replace("[balances.balance]", flask("250 mL")
                        + '[dilution]\nnet = "8.1690 g"\nflask = "flask"\ntemperature = "20.0 °C"\n[balances.balance]')
    outcome = evaluated(text)
    assert outcome.result.estimate.value == pytest.approx(0.81690 * 0.9997 / 204.222 / 40.00 * 1000, rel=2e-5)
    assert input_value(outcome, "W_gs") == 8.1690


def test_the_smallest_portion_of_a_standard_is_that_which_was_weighed_and_not_its_aliquot():
    """Edge cases 37 and 48: 8 g weighed are enough where the certificate wants 1 g."""
    text = standardisation(titres=(40.00, 40.00, 40.00)).replace(
        'basis = "dried"', 'basis = "dried"\nminimum_sample = "1 g"')
    for mass in (0.7888, 0.7950, 0.7740):
        text = text.replace(f'gross = "{60.1562 + mass:.4f} g"\ntare = "60.1562 g"', 'net = "25.0000 g"')
    text = text.replace("[balances.balance]",
                        '[dilution]\nnet = "{mass}"\ntotal_net = "250.0000 g"\n[balances.balance]')
    assert "below-minimum-sample" not in kinds(evaluated(text.replace("{mass}", "8.1690 g")))
    assert "below-minimum-sample" in kinds(evaluated(text.replace("{mass}", "0.8169 g")))
