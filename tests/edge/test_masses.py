"""Edge cases 31 to 38: masses, hydrates, purity. Buoyancy by OIML D 28:2004, b = (1 − 1.2/8000)/(1 − 1.2/ρ)."""

import math

import pytest

from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import CERTIFIED, VESSELS, assay, evaluated, kinds, standardisation
from tests.edge.house import PHTHALATE, PHTHALATE_BUOYANCY, certified, mean, method_text, remarks_of

MASSES, TITRES = (0.7888, 0.7950, 0.7740), (38.62, 38.93, 37.90)
PLAIN = mean([m * 0.9997 / PHTHALATE / v * 1000 for m, v in zip(MASSES, TITRES, strict=True)])


def with_standard(*lines, **options):
    """Return a standardisation with further lines in its table of the standard."""
    return standardisation(**options).replace('basis = "dried"', "\n".join(('basis = "dried"', *lines)))


def test_a_mass_in_air_and_a_mass_in_vacuo_differ_by_the_buoyancy_of_the_standard():
    """Edge case 31: phthalate of 1.64 g/mL: b − 1 = 5.82e-4, by hand."""
    assert pytest.approx(1.000582, abs=1e-6) == PHTHALATE_BUOYANCY
    in_vacuo = evaluated(with_standard()).result.estimate.value
    in_air = evaluated(with_standard('weighed_as = "in air"')).result.estimate.value
    assert in_air == pytest.approx(PLAIN, rel=2e-5)
    assert in_vacuo / in_air == pytest.approx(PHTHALATE_BUOYANCY, rel=1e-6)


def test_the_standard_and_the_sample_have_each_their_own_buoyancy():
    """Edge case 31: a sample of 1.219 g/mL weighed: b = 1.000835; with the standard's buoyancy it would be 1.000582."""
    rows = ('[[determination]]\nnet = "9.7600 g"\ninitial = "0.00 mL"\nfinal = "39.98 mL"\n'
            'temperature = "20.0 °C"\n' * 3)
    text = assay("caustic-soda-by-acid", name="hydrochloric acid", formula="HCl", nominal="1 mol/L", rows=rows,
                 titrant=certified("1.0000", half="0.0005"), top='[report]\nunit = "% w/w"\n',
                 sample='density = "1.219 g/mL ± 0.001 g/mL, k = 2"\n')
    buoyancy = (1 - 1.2 / 8000) / (1 - 1.2 / 1219)
    assert buoyancy == pytest.approx(1.000835, abs=1e-6)
    by_hand = 1.0 * 39.98 * 39.997 / 1000 / (9.7600 * buoyancy) * 100
    assert evaluated(text).result.estimate.value == pytest.approx(by_hand, rel=2e-5)


def test_a_weighed_liquid_without_its_density_is_held():
    """Edge case 31: without a density there is no buoyancy; a part in a thousand is left open."""
    rows = ('[[determination]]\nnet = "9.7600 g"\ninitial = "0.00 mL"\nfinal = "39.98 mL"\n'
            'temperature = "20.0 °C"\n' * 3)
    outcome = evaluated(assay(titrant=CERTIFIED, rows=rows, top='[report]\nunit = "% w/w"\n'))
    assert "density-missing" in kinds(outcome)
    assert not outcome.releasable


def test_a_content_that_already_refers_to_the_mass_in_air_is_not_corrected_again():
    """Edge case 32: nor does the air's density then enter the budget."""
    outcome = evaluated(with_standard('weighed_as = "in air"'))
    assert outcome.result.estimate.value == pytest.approx(PLAIN, rel=2e-5)
    assert not [line for line in outcome.budget if "air" in line.influence]
    assert [line for line in evaluated(with_standard()).budget if "density of the air" in line.influence]


@pytest.mark.parametrize(("lines", "asked"), [
    (('basis = "dried"', 'dried = "2 h at 110 °C"'), False), (('basis = "dried"',), True),
    (('basis = "as is"',), False)])
def test_a_content_of_dried_material_asks_how_it_was_dried(lines, asked):
    """Edge case 33: as is, or dried as the certificate says."""
    text = standardisation().replace('basis = "dried"\ndried = "2 h at 110 °C"', "\n".join(lines))
    assert ("basis-unclear" in kinds(evaluated(text))) is asked


CARBONATE = {"masses": (0.2120, 0.2140, 0.2100), "titres": (40.02, 40.40, 39.64)}


def carbonate(name="sodium carbonate", formula=""):
    """Return a standardisation of 0.1 mol/L acid against sodium carbonate, weighed in air."""
    text = standardisation(**CARBONATE).replace('"naoh-by-khp"', '"hcl-by-sodium-carbonate"').replace(
        '"NaOH"', '"HCl"').replace('"potassium hydrogen phthalate"', f'"{name}"').replace(
        'basis = "dried"', 'basis = "dried"\nweighed_as = "in air"' + (f'\nformula = "{formula}"' if formula else ""))
    return evaluated(text)


@pytest.mark.parametrize(("formula", "molar_mass", "ratio"), [
    ("Na2CO3·H2O", 124.003, "1.17"), ("Na2CO3·10H2O", 286.138, "2.7")])
def test_a_hydrate_on_the_label_counts_as_the_hydrate_and_is_held(formula, molar_mass, ratio):
    """Edge case 34: M(Na2CO3·H2O)/M(Na2CO3) = 124.003/105.988 = 1.170 (by hand); computed with, and told about."""
    anhydrous, hydrate = carbonate(), carbonate("sodium carbonate hydrate", formula)
    assert anhydrous.releasable
    assert hydrate.result.estimate.value == pytest.approx(
        mean([2 * m * 0.9997 / molar_mass / v * 1000
              for m, v in zip(CARBONATE["masses"], CARBONATE["titres"], strict=True)]), rel=3e-5)
    told = remarks_of(hydrate, "standard-of-another-kind")
    assert f"counts as {formula}, with {ratio}" in told[0].what
    assert not hydrate.releasable


def by_oxalic_acid(formula=""):
    """Return a standardisation of base by a laboratory's own method with oxalic acid dihydrate, weighed in air."""
    method = method_text(
        "naoh-by-khp",
        ("C8H5KO4 + NaOH -> C8H4KNaO4 + H2O", "H2C2O4·2H2O + 2 NaOH -> Na2C2O4 + 4 H2O"),
        ('name = "potassium hydrogen phthalate"\nformula = "C8H5KO4"\nequivalents = 1',
         'name = "oxalic acid dihydrate"\nformula = "H2C2O4·2H2O"\nequivalents = 2'),
        ('mg_per_mL = "20.422"', 'mg_per_mL = "6.303"'), called="own")
    line = f'\nformula = "{formula}"' if formula else ""
    text = standardisation(masses=(0.2521, 0.2540, 0.2502), titres=(40.00, 40.30, 39.70)).replace(
        '"naoh-by-khp"', '"own.toml"').replace('"potassium hydrogen phthalate"', '"oxalic acid dihydrate"').replace(
        'basis = "dried"', f'basis = "dried"\nweighed_as = "in air"{line}')
    return evaluated(text, {"own.toml": method})


def test_an_anhydrous_formula_under_the_name_of_a_hydrate_is_held():
    """Edge case 34: M(H2C2O4·2H2O)/M(H2C2O4) = 126.064/90.034 = 1.400 (by hand), and the base as much too strong.

    c = 2 m w / (M V) with the dihydrate, 0.2521 g to 40.00 mL.
    """
    right, wrong = by_oxalic_acid(), by_oxalic_acid("H2C2O4")
    assert right.result.estimate.value == pytest.approx(mean([
        2 * m * 0.9997 / 126.064 / v * 1000 for m, v in ((0.2521, 40.00), (0.2540, 40.30), (0.2502, 39.70))]), rel=3e-5)
    assert right.releasable
    assert wrong.result.estimate.value / right.result.estimate.value == pytest.approx(1.400, abs=5e-4)
    assert remarks_of(wrong, "standard-of-another-kind")
    assert not wrong.releasable


def test_another_standard_than_the_methods_is_computed_by_its_own_formula_and_held():
    """Edge case 34: sodium chloride on a worksheet for phthalate; M = 58.440 g/mol by hand."""
    outcome = evaluated(with_standard('weighed_as = "in air"').replace(
        '"potassium hydrogen phthalate"', '"sodium chloride"'))
    assert outcome.result.estimate.value == pytest.approx(PLAIN * PHTHALATE / 58.440, rel=5e-5)
    assert {"standard-of-another-kind", "titrant-of-another-strength"} <= set(kinds(outcome))
    assert not outcome.releasable


def test_a_standard_of_unknown_name_is_refused_without_its_formula():
    """Edge case 34."""
    with pytest.raises(Refusal) as caught:
        evaluated(standardisation().replace('"potassium hydrogen phthalate"', '"white powder"'))
    assert str(caught.value) == ("ws.toml: standard: nothing tells the formula of 'white powder'; give formula = "
                                 '"...", or a name that the program knows.')


@pytest.mark.parametrize(("statement", "uncertainty"), [
    ("0.07 %, k = 2", 0.07 / 2), ("0.07 %, k = 2.58", 0.07 / 2.58), ("0.07 %, standard", 0.07),
    ("0.07 %, rectangular", 0.07 / math.sqrt(3)), ("0.07 %, triangular", 0.07 / math.sqrt(6))])
def test_the_uncertainty_of_a_purity_is_read_by_what_the_certificate_says_it_is(statement, uncertainty):
    """Edge case 35: 99.97 ± 0.07; JCGM 100:2008, 4.3.3, 4.3.7 and 4.3.9."""
    outcome = evaluated(with_standard().replace("0.07 %, k = 2", statement))
    line = next(line for line in outcome.budget if "content of potassium hydrogen phthalate" in line.influence)
    assert line.standard_uncertainty == pytest.approx(uncertainty, rel=1e-12)
    assert abs(line.contribution) / outcome.result.estimate.value == pytest.approx(uncertainty / 99.97, rel=1e-9)


def test_a_purity_above_one_hundred_per_cent_is_used_as_certified_and_asked_about():
    """Edge case 36: a coulometric 100.02 % may be true within its uncertainty."""
    outcome = evaluated(with_standard('weighed_as = "in air"').replace("99.97 %", "100.02 %"))
    assert outcome.result.estimate.value == pytest.approx(PLAIN * 100.02 / 99.97, rel=2e-5)
    assert "content-above-purity" in kinds(outcome)
    assert outcome.releasable


@pytest.mark.parametrize(("least", "below"), [
    ("0.7740 g", 0), ("0.7741 g", 1), ("0.7888 g", 1), ("790 mg", 2), ("0.7950 g", 2), ("1 g", 3)])
def test_a_portion_below_the_certificates_smallest_is_held(least, below):
    """Edge case 37: portions of 0.7888, 0.7950 and 0.7740 g."""
    outcome = evaluated(with_standard(f'minimum_sample = "{least}"'))
    assert len(remarks_of(outcome, "below-minimum-sample")) == below
    assert outcome.releasable is (below == 0)


def test_a_portion_just_as_large_as_the_certificates_smallest_is_large_enough():
    """Edge case 37: 60.8567 − 60.1562 = 0.7005 g; in binary it is 0.70049999999999812."""
    assert 60.8567 - 60.1562 < 0.7005
    text = with_standard('minimum_sample = "0.7005 g"', masses=(0.7005,) * 3, titres=(34.30,) * 3)
    assert 'gross = "60.8567 g"' in text
    assert "below-minimum-sample" not in kinds(evaluated(text))


def test_a_portion_below_the_balances_minimum_weight_is_held():
    """Edge case 37: of the balance, as USP <41> wants it (from memory)."""
    text = standardisation().replace('id = "BAL-2"', 'id = "BAL-2"\nminimum_weight = "780 mg"')
    assert len(remarks_of(evaluated(text), "below-minimum-sample")) == 1


def test_a_tare_taken_for_the_portion_is_held():
    """Edge case 38: the bottle's 60.1562 g entered as the mass of phthalate makes a base of 7.6 mol/L."""
    text = standardisation()
    for mass in MASSES:
        text = text.replace(f'gross = "{60.1562 + mass:.4f} g"\ntare = "60.1562 g"', 'net = "60.1562 g"')
    outcome = evaluated(text)
    assert remarks_of(outcome, "titrant-of-another-strength")
    assert not outcome.releasable


def test_a_tare_and_a_gross_that_are_crossed_are_refused():
    """Edge case 38."""
    text = standardisation().replace('gross = "60.9450 g"\ntare = "60.1562 g"',
                                     'gross = "60.1562 g"\ntare = "60.9450 g"')
    with pytest.raises(Refusal, match=r"^ws.toml: determination 1, tare: the tare 60.9450 g is above the gross mass"):
        evaluated(text)


def test_a_solution_against_another_needs_no_mass_and_no_standard():
    """Edge case 33: nothing about drying is asked where nothing was weighed; c = 0.1 × 25.00/25.02 by hand."""
    sheet = ('format = "assaywright worksheet 1"\nkind = "standardisation"\nid = "ST-9"\nmethod = "naoh-against-hcl"\n'
             'performed = 2026-10-05\nanalyst = "Ines Okafor"\n[titrant]\nname = "sodium hydroxide"\n'
             'formula = "NaOH"\nnominal = "0.1 mol/L"\n[against]\nname = "hydrochloric acid"\nformula = "HCl"\n'
             f'{certified("0.1000")}\nnominal = "0.1 mol/L"\n{VESSELS.format(pipette=25)}'
             + '[[determination]]\npipette = "pipette"\nsample_temperature = "20.0 °C"\ninitial = "0.00 mL"\n'
               'final = "25.02 mL"\ntemperature = "20.0 °C"\n' * 3)
    outcome = evaluated(sheet)
    assert outcome.result.estimate.value == pytest.approx(0.1 * 25.00 / 25.02, rel=1e-6)
    assert "basis-unclear" not in kinds(outcome)
