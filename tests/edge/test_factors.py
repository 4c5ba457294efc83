"""Edge cases 9 to 13: factors and how a strength is named. Expected figures by hand beside each check."""

import pytest

from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import CERTIFIED, VESSELS, assay, evaluated, kinds, standardisation
from tests.edge.house import PHTHALATE, PHTHALATE_BUOYANCY, certified, mean, method_text, remarks_of

MASSES, TITRES = (0.7888, 0.7950, 0.7740), (38.62, 38.93, 37.90)


def made_up_to(factor):
    """Return a standardisation whose titrant has very nearly a factor, by titres that are as much shorter."""
    return standardisation(titres=[round(titre / factor, 2) for titre in TITRES])


def test_a_factor_is_actual_over_nominal_and_never_the_other_way_round():
    """Edge case 9: with f = 1.02 the inverse is 0.980, and a content computed with it 3.9 % low.

    c = m w b / (M V), b the buoyancy of phthalate; f = c / 0.1 mol/L.
    """
    titres = [round(titre / 1.02, 2) for titre in TITRES]
    result = evaluated(standardisation(titres=titres)).result
    by_hand = mean([m * 0.9997 * PHTHALATE_BUOYANCY / PHTHALATE / v * 1000
                    for m, v in zip(MASSES, titres, strict=True)])
    assert result.factor == pytest.approx(by_hand / 0.1, rel=2e-5)
    assert 1.019 < result.factor < 1.021
    content = evaluated(assay(), {"st1.toml": standardisation(titres=titres)}).result.estimate.value
    rows = mean([39.81, 39.84, 39.80])
    assert content == pytest.approx(by_hand * rows / 10, rel=3e-5)
    assert (0.1 / (by_hand / 0.1) * rows / 10) / content == pytest.approx(1 - 0.039, abs=0.001)


@pytest.mark.parametrize(("typed", "sentence"), [
    ('concentration = "1.002"', "the number 1.002 has no unit"),
    ('concentration = "3.646 mg/mL ± 0.004 mg/mL, k = 2"', "mg/mL is a unit of mass concentration"),
    ('concentration = "100.2 % ± 0.1 %, k = 2"', "%"),
    ('factor = "1.002"', 'the field "factor" is not known'),
    ('titre = "1.002"', 'the field "titre" is not known'),
])
def test_a_titer_that_may_be_a_factor_or_a_concentration_is_asked_for_its_unit(typed, sentence):
    """Edge case 10: "titer" is a factor for some, mol/L for others, mg/mL of an analyte for a third."""
    with pytest.raises(Refusal) as caught:
        evaluated(assay(titrant=f'{typed}\ncertificate = {{ id = "C-1" }}'))
    told = str(caught.value)
    assert told.startswith("ws.toml: titrant")
    assert sentence in told


def test_a_factor_is_not_carried_to_a_dilution_by_itself():
    """Edge case 11: a tenfold dilution used with the value of what it was made from is held back, and told about."""
    outcome = evaluated(assay(nominal="0.01 mol/L"), {"st1.toml": standardisation()})
    assert "titrant-of-another-strength" in kinds(outcome)
    assert not outcome.releasable


def test_a_diluted_titrant_that_was_standardised_anew_has_its_own_factor():
    """Edge case 11: redetermined, as the Indian Pharmacopoeia asks (from memory); c = 0.1 × 25.00/25.10 by hand."""
    sheet = ('format = "assaywright worksheet 1"\nkind = "standardisation"\nid = "ST-9"\nmethod = "naoh-against-hcl"\n'
             'performed = 2026-10-05\nanalyst = "Ines Okafor"\n[titrant]\nname = "sodium hydroxide 0.1 mol/L"\n'
             'formula = "NaOH"\nnominal = "0.1 mol/L"\n[against]\nname = "hydrochloric acid"\nformula = "HCl"\n'
             f'nominal = "0.1 mol/L"\n{certified("0.1000")}\n'
             + VESSELS.format(pipette=25)
             + '[[determination]]\npipette = "pipette"\nsample_temperature = "20.0 °C"\ninitial = "0.00 mL"\n'
               'final = "25.10 mL"\ntemperature = "20.0 °C"\n' * 3)
    result = evaluated(sheet).result
    assert result.factor == pytest.approx(25.00 / 25.10, rel=1e-6)


@pytest.mark.parametrize(("within", "factor", "asked"), [
    ("", 1.04, False), ("", 1.06, True), ("", 0.93, True),
    ('nominal_within = "10 %"', 1.08, False), ('nominal_within = "10 %"', 1.12, True),
    ('nominal_within = "3 %"', 1.04, True), ('nominal_within = "3 %"', 1.02, False),
])
def test_the_house_says_how_far_a_factor_may_be_from_one(within, factor, asked):
    """Edge case 12: 0.95 to 1.05 by GB/T 601 (from memory), 0.90 to 1.10 or 0.97 to 1.03 in other houses."""
    outcome = evaluated(standardisation(titres=[round(titre / factor, 2) for titre in TITRES], titrant=within))
    assert outcome.result.factor == pytest.approx(factor, abs=0.002)
    assert ("titrant-far-from-nominal" in kinds(outcome)) is asked
    using = evaluated(assay(titrant=f'worksheets = ["st1.toml"]\n{within}'), {"st1.toml": made_up_to(factor)})
    assert ("titrant-far-from-nominal" in kinds(using)) is asked


def test_how_far_from_nominal_is_refused_without_a_nominal_concentration():
    """Edge case 12."""
    text = assay(titrant=f'{CERTIFIED}\nnominal_within = "3 %"').replace('nominal = "0.1 mol/L"\n', "")
    with pytest.raises(Refusal, match="nominal_within: it stands without the nominal concentration"):
        evaluated(text)


def sulfuric(titrant):
    """Return an assay of caustic soda with sulfuric acid, by a laboratory's own method."""
    method = method_text(
        "caustic-soda-by-acid", ("NaOH + HCl -> NaCl + H2O", "2 NaOH + H2SO4 -> Na2SO4 + 2 H2O"),
        ('formula = "HCl"\nequivalents = 1', 'formula = "H2SO4"\nequivalents = 2'),
        ('mg_per_mL = "39.997"', 'mg_per_mL = "79.99"'), called="own")
    text = assay("own.toml", name="sulfuric acid", formula="H2SO4", nominal="0.5 mol/L", pipette="9",
                 titres=(45.00, 45.02, 44.98), titrant=titrant)
    return evaluated(text, {"own.toml": method})


def test_a_certificate_for_half_a_molecule_is_entered_in_equivalents_beside_a_label_in_moles():
    """Edge case 13: c(1/2 H2SO4) = 1 mol/L is 0.5 mol/L of H2SO4. 45 mL on 9 mL of caustic: 20.00 % w/v, by hand."""
    reaction = "2 NaOH + H2SO4 -> Na2SO4 + 2 H2O"
    counted = sulfuric(certified("1.0000", "eq/L", "0.0005", reaction=reaction))
    moles = sulfuric(certified("0.5000", half="0.00025"))
    assert counted.result.estimate.value == pytest.approx(45.00 * 1.0 * 39.997 / 9 / 10, rel=3e-5)
    assert moles.result.estimate.value == pytest.approx(counted.result.estimate.value, rel=1e-12)
    assert not remarks_of(counted, "titrant-of-another-strength")


def test_a_certificate_for_half_a_molecule_typed_as_moles_is_held_back():
    """Edge case 13: the label's 0.5 mol/L shows that 1.0000 mol/L counts halves."""
    held = sulfuric(certified("1.0000", half="0.0005"))
    told = remarks_of(held, "titrant-of-another-strength")
    assert [one.what for one in told] == ["sulfuric acid is 2 times its nominal concentration"]
    assert not held.releasable
