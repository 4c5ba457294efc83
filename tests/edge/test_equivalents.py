"""Edge cases 1 to 8: equivalents belong to a reaction, and one normal is another molarity in another reaction.

Each expected figure is worked out by hand beside its check, with the abridged atomic weights of CIAAW 2021.
"""

import pytest

from assaywright.assay.method import load_method, parse_method
from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import assay, evaluated, standardisation
from tests.edge.house import BORAX, by_method, certified, input_value, mean, method_text, remarks_of

IN_ACID = "5 H2O2 + 2 MnO4^- + 6 H+ -> 5 O2 + 2 Mn^2+ + 8 H2O"
NEUTRAL = "3 Mn^2+ + 2 MnO4^- + 2 H2O -> 5 MnO2 + 4 H+"
TITRES = (35.40, 35.44, 35.42)


def manganese_method():
    """Return manganese(II) by permanganate in neutral solution: three electrons to a permanganate."""
    return method_text(
        "hydrogen-peroxide-by-permanganate",
        (f'reaction = "{IN_ACID}"', f'reaction = "{NEUTRAL}"'),
        ('formula = "H2O2"\nequivalents = 2', 'formula = "Mn"\nequivalents = 2\nreacts_as = "Mn^2+"'),
        ("equivalents = 5", "equivalents = 3"),
        ('mg_per_mL = "1.7007"', 'mg_per_mL = "1.6481"'),  # 0.02 × 3/2 × 54.938 g/mol
        ('species = "H2O2"', 'species = "Mn"'),
        called="manganese")


def permanganate(method, titrant):
    return assay(method, name="potassium permanganate", formula="KMnO4", nominal="0.02 mol/L", titres=TITRES,
                 titrant=titrant)


def test_one_normal_permanganate_is_a_fifth_of_a_mole_in_acid_and_a_third_in_neutral_solution():
    """Edge case 1: 0.1 N is 0.0200 mol/L by 5 electrons, 0.03333 mol/L by 3 (common practice, no source)."""
    acid = evaluated(permanganate("hydrogen-peroxide-by-permanganate",
                                  certified("0.1000", "eq/L", reaction=IN_ACID)))
    neutral = evaluated(permanganate("own.toml", certified("0.1000", "eq/L", reaction=NEUTRAL)),
                        {"own.toml": manganese_method()})
    assert input_value(acid, "c_t") == pytest.approx(0.1 / 5, rel=1e-12)
    assert input_value(neutral, "c_t") == pytest.approx(0.1 / 3, rel=1e-12)
    net = mean(TITRES) - 0.025  # the visible pink, of 0.02 mol/L
    assert acid.result.estimate.value == pytest.approx(0.1 * net / 10 / 2 * 34.014 / 10, rel=1e-4)
    net = mean(TITRES) - 0.025 * 0.02 / 0.03333  # as much permanganate in less of a stronger solution
    assert neutral.result.estimate.value == pytest.approx(0.1 * net / 10 / 2 * 54.938 / 10, rel=1e-4)


def test_a_normality_without_its_reaction_or_of_another_is_refused():
    """Edge case 1: the certificate's 0.1 N names the reaction it was counted for."""
    with pytest.raises(Refusal) as without:
        evaluated(permanganate("hydrogen-peroxide-by-permanganate", certified("0.1000", "eq/L")))
    assert "which reaction they refer to is not said" in str(without.value)
    with pytest.raises(Refusal) as other:
        evaluated(permanganate("hydrogen-peroxide-by-permanganate", certified("0.1000", "eq/L", reaction=NEUTRAL)))
    assert str(other.value) == ("ws.toml: titrant: the concentration in equivalents refers to another reaction than "
                                "the method's; give the concentration in mol/L.")


def test_a_normality_in_a_back_titration_refers_to_the_reaction_of_each_solution():
    """Edge case 1: thiocyanate is counted for silver and thiocyanate, silver for chloride and silver."""
    method = load_method("chloride-by-excess-silver-nitrate")
    text = method.example.worksheet
    plain = evaluated(text).result.estimate.value
    for figure, reaction in (("0.0998", "Ag^+ + SCN^- -> AgSCN"), ("0.1001", "Cl^- + Ag^+ -> AgCl")):
        typed = f'concentration = "{figure} mol/L ± 0.0001 mol/L, k = 2"'
        assert typed in text
        text = text.replace(typed, typed.replace("mol/L", "eq/L") + f'\nreaction = "{reaction}"')
    assert evaluated(text).result.estimate.value == pytest.approx(plain, rel=1e-12)


@pytest.mark.parametrize(("standard", "reaction", "electrons"), [
    ("KIO3", "IO3^- + 6 S2O3^2- + 6 H+ -> I^- + 3 S4O6^2- + 3 H2O", 6),
    ("KIO3", "IO3^- + 5 I^- + 6 H+ -> 3 I2 + 3 H2O", 5),
])
def test_iodate_counts_six_for_thiosulfate_and_five_for_iodide_alone(standard, reaction, electrons):
    """Edge case 1: KIO3 6 or 5; a method that counts otherwise than its reaction is not loaded."""
    text = method_text("thiosulfate-by-potassium-iodate", called="own")
    assert f'formula = "{standard}"\nequivalents = 6' in text
    wrong = text.replace(f'formula = "{standard}"\nequivalents = 6', f'formula = "{standard}"\nequivalents = 5')
    with pytest.raises(Refusal):
        parse_method(wrong)
    if electrons == 6:
        assert reaction in text
        assert parse_method(text).standard.equivalents == electrons
    else:
        with pytest.raises(Refusal):
            parse_method(text.replace("IO3^- + 6 S2O3^2- + 6 H+ -> I^- + 3 S4O6^2- + 3 H2O", reaction))


@pytest.mark.parametrize(("equivalents", "reaction"), [
    (1, "H3PO4 + NaOH -> NaH2PO4 + H2O"),
    (2, "H3PO4 + 2 NaOH -> Na2HPO4 + 2 H2O"),
    (3, "H3PO4 + 3 NaOH -> Na3PO4 + 3 H2O"),
])
def test_phosphoric_acid_counts_as_many_protons_as_the_reaction_takes(equivalents, reaction):
    """Edge case 1: H3PO4 1, 2 or 3. c = c_t V / (z V_s); M(H3PO4) = 97.994 g/mol."""
    text = method_text(
        "hydrochloric-acid-by-naoh",
        ("HCl + NaOH -> NaCl + H2O", reaction),
        ('formula = "HCl"\nequivalents = 1', f'formula = "H3PO4"\nequivalents = {equivalents}'),
        (f'mg_per_mL = "{load_method("hydrochloric-acid-by-naoh").titrimetric_equivalent.mg_per_mL}"',
         f'mg_per_mL = "{97.994 / equivalents:.1f}"'),
        ('species = "HCl"', 'species = "H3PO4"'), called="phosphoric")
    outcome = by_method(text, titrant=certified("0.1000"), titres=TITRES)
    assert outcome.result.estimate.unit == "mol/L"
    assert outcome.result.estimate.value == pytest.approx(0.1 * mean(TITRES) / 10 / equivalents, rel=1e-6)


def iodine_method():
    """Return ascorbic acid by iodine."""
    return method_text(
        "hypochlorite-by-thiosulfate",
        ("ClO^- + 2 S2O3^2- + 2 H+ -> Cl^- + S4O6^2- + H2O", "C6H8O6 + I2 -> C6H6O6 + 2 I^- + 2 H+"),
        ('formula = "NaClO"\nequivalents = 2\nreacts_as = "ClO^-"', 'formula = "C6H8O6"\nequivalents = 2'),
        ('formula = "Na2S2O3"\nequivalents = 1\nreacts_as = "S2O3^2-"', 'formula = "I2"\nequivalents = 2'),
        ('titrant_concentration = "0.1 mol/L"', 'titrant_concentration = "0.05 mol/L"'),
        ('mg_per_mL = "3.722"', 'mg_per_mL = "8.806"'),  # 0.05 × 176.12
        ('species = "NaClO"', 'species = "C6H8O6"'),
        ('titration_error = "-0.02 mL ± 0.02 mL, rectangular"', 'titration_error = "0 mL ± 0.02 mL, rectangular"'),
        called="ascorbic")


def test_tenth_normal_iodine_is_a_twentieth_of_a_mole_of_iodine():
    """Edge case 2: each mL of 0.05 mol/L I2 is 8.806 mg of ascorbic acid (USP Ascorbic Acid, Assay, from memory)."""
    options = {"name": "iodine", "formula": "I2", "nominal": "0.05 mol/L", "titres": TITRES,
               "extra": '[blank]\nkind = "reagent blank"\nvolume = "0.00 mL ± 0.01 mL, rectangular"\n'}
    reaction = "C6H8O6 + I2 -> C6H6O6 + 2 I^- + 2 H+"
    by_normality = by_method(iodine_method(), titrant=certified("0.1000", "eq/L", reaction=reaction), **options)
    by_amount = by_method(iodine_method(), titrant=certified("0.0500"), **options)
    assert input_value(by_normality, "c_t") == pytest.approx(0.05, rel=1e-12)
    assert by_normality.result.estimate.value == pytest.approx(by_amount.result.estimate.value, rel=1e-12)
    assert by_amount.result.estimate.value == pytest.approx(8.806 * mean(TITRES) / 10 / 10, rel=1e-4)


def test_a_tenth_of_a_mole_of_iodine_where_a_twentieth_is_meant_holds_the_result():
    """Edge case 2: "0.1 N" typed as 0.1 mol/L doubles the result; the nominal concentration gives it away."""
    outcome = by_method(iodine_method(), titrant=certified("0.1000"), name="iodine", formula="I2",
                        nominal="0.05 mol/L", titres=TITRES)
    assert remarks_of(outcome, "titrant-of-another-strength")
    assert not outcome.releasable


def test_thiosulfate_counts_one_against_iodine_and_eight_against_hypochlorite_in_alkali():
    """Edge case 3: S2O3^2- to tetrathionate takes one electron, to sulfate eight."""
    alkaline = ("ClO^- + 2 S2O3^2- + 2 H+ -> Cl^- + S4O6^2- + H2O",
                "4 ClO^- + S2O3^2- + 2 OH^- -> 4 Cl^- + 2 SO4^2- + H2O")
    with pytest.raises(Refusal, match="equivalents"):
        parse_method(method_text("hypochlorite-by-thiosulfate", alkaline, called="own"))
    eight = parse_method(method_text(
        "hypochlorite-by-thiosulfate", alkaline,
        ('formula = "Na2S2O3"\nequivalents = 1', 'formula = "Na2S2O3"\nequivalents = 8'),
        ('mg_per_mL = "3.722"', 'mg_per_mL = "29.776"'),  # 0.1 × 8/2 × 74.439
        called="own"))
    assert eight.titrant.equivalents == 8 * load_method("hypochlorite-by-thiosulfate").titrant.equivalents


def two_endpoints(first, final):
    """Return the outcome of 25 mL of alkali with 0.1 mol/L acid, thrice alike."""
    rows = (f'[[determination]]\npipette = "pipette"\nsample_temperature = "20.0 °C"\ninitial = "0.00 mL"\n'
            f'first = "{first} mL"\nfinal = "{final} mL"\ntemperature = "20.0 °C"\n' * 3)
    return evaluated(assay("caustic-soda-two-endpoints", name="hydrochloric acid", formula="HCl", pipette="25",
                           rows=rows, titrant=certified("0.1000"),
                           top='titration_error = "0 mL ± 0.105 mL, rectangular"'))


def test_carbonate_between_two_endpoints_counts_its_full_molar_mass_per_proton():
    """Edge case 4: 5.00 mL of 0.1 mol/L between the endpoints are 0.5 mmol of carbonate: 52.99 mg in 25 mL, by hand.

    Counted by its two equivalents it would be 26.5 mg, half of what is there.
    """
    outcome = two_endpoints("25.00", "30.00")
    found = next(one for one in outcome.results if one.measurand == "sodium carbonate")
    per_litre = found.estimate.value * {"% w/v": 10, "g/L": 1}[found.estimate.unit]
    assert per_litre == pytest.approx(5.00 * 0.1 * 105.988 / 25, rel=1e-4)


def test_borax_takes_two_protons():
    """Edge case 5: B4O7^2- + 2 H+ + 5 H2O -> 4 H3BO3. c = 2 m / (M V), M = 381.38 g/mol (by hand)."""
    text = method_text(
        "hcl-by-sodium-carbonate",
        ("Na2CO3 + 2 HCl -> 2 NaCl + H2O + CO2", "Na2B4O7·10H2O + 2 HCl -> 4 H3BO3 + 2 NaCl + 5 H2O"),
        ('name = "sodium carbonate"\nformula = "Na2CO3"', 'name = "borax decahydrate"\nformula = "Na2B4O7·10H2O"'),
        ('mg_per_mL = "52.994"', 'mg_per_mL = "190.7"'), called="borax")
    masses, titres = (0.7640, 0.7700, 0.7580), (40.07, 40.38, 39.75)
    sheet = standardisation(masses=masses, titres=titres).replace('"naoh-by-khp"', '"own.toml"').replace(
        '"potassium hydrogen phthalate"', '"borax decahydrate"').replace('"NaOH"', '"HCl"').replace(
        'basis = "dried"', 'weighed_as = "in air"')
    outcome = evaluated(sheet.replace('dried = "2 h at 110 °C"\n', ""), {"own.toml": text})
    by_hand = mean([2 * m * 0.9997 / BORAX / v * 1000 for m, v in zip(masses, titres, strict=True)])
    assert outcome.result.estimate.value == pytest.approx(by_hand, rel=3e-5)
    with pytest.raises(Refusal, match="equivalents"):
        parse_method(text.replace('10H2O"\nequivalents = 2', '10H2O"\nequivalents = 1'))


def test_boric_acid_with_mannitol_takes_one_hydroxide():
    """Edge case 5: H3BO3 + OH- -> B(OH)4-; a method that counts three for its three hydrogens is not loaded."""
    changes = [("HCl + NaOH -> NaCl + H2O", "H3BO3 + NaOH -> NaB(OH)4"),
               (f'mg_per_mL = "{load_method("hydrochloric-acid-by-naoh").titrimetric_equivalent.mg_per_mL}"',
                'mg_per_mL = "61.8"'),
               ('species = "HCl"', 'species = "H3BO3"')]
    one = ('formula = "HCl"\nequivalents = 1', 'formula = "H3BO3"\nequivalents = 1')
    assert parse_method(method_text("hydrochloric-acid-by-naoh", *changes, one, called="own")).analyte.equivalents == 1
    with pytest.raises(Refusal, match="equivalents"):
        parse_method(method_text("hydrochloric-acid-by-naoh", *changes, (one[0], one[1].replace("= 1", "= 3")),
                                 called="own"))


def test_normal_edta_may_mean_half_and_is_refused():
    """Edge case 6: EDTA binds metals one to one, and "N" counts one equivalent or two."""
    method = load_method("hardness-by-edta")
    text = method.example.worksheet
    typed = next(line for line in text.splitlines() if line.startswith("concentration"))
    normal = f'{typed.replace("mol/L", "eq/L")}\nreaction = "{method.reaction}"'
    with pytest.raises(Refusal) as caught:
        evaluated(text.replace(typed, normal))
    told = str(caught.value)
    assert "binds metals one to one, is called one equivalent by some and two by others" in told
    assert told.endswith("give the concentration in mol/L.")
    assert method.titrant.equivalents == method.analyte.equivalents == 1


def test_phthalate_is_an_acid_in_water_and_a_base_in_acetic_acid():
    """Edge case 7: one proton either way, and a solvent that expands by 0.11 % a kelvin (common practice, no source).

    c = m w / (M V [1 − 0.0011 (t − 20)]) at 25 °C, the glass left to its 9.9 parts in a million a kelvin.
    """
    text = method_text(
        "naoh-by-khp",
        ("C8H5KO4 + NaOH -> C8H4KNaO4 + H2O", "C8H5KO4 + HClO4 -> C8H6O4 + KClO4"),
        ('name = "sodium hydroxide"\nformula = "NaOH"', 'name = "perchloric acid in acetic acid"\nformula = "HClO4"'),
        called="perchloric")
    law = next(line for line in text.splitlines() if line.startswith("thermal"))
    text = text.replace(law, 'thermal = "0.0011 /K"')
    masses, titres = (0.7888, 0.7950, 0.7740), (38.62, 38.93, 37.90)
    sheet = standardisation(masses=masses, titres=titres, temperature="25.0 °C").replace(
        '"naoh-by-khp"', '"own.toml"').replace('"NaOH"', '"HClO4"').replace(
        'basis = "dried"', 'basis = "dried"\nweighed_as = "in air"')
    by_hand = mean([
        m * 0.9997 / 204.2212 / (v * (1 + 5 * 9.9e-6) / (1 + 5 * 0.0011)) * 1000
        for m, v in zip(masses, titres, strict=True)])
    assert evaluated(sheet, {"own.toml": text}).result.estimate.value == pytest.approx(by_hand, rel=4e-5)


def test_dichromate_counted_by_sixths_is_already_per_equivalent():
    """Edge case 8: GB/T 601's c(1/6 K2Cr2O7) = 0.1 mol/L is 0.1 eq/L, which is 0.016667 mol/L of K2Cr2O7."""
    method = load_method("iron-by-dichromate")
    text = method.example.worksheet
    typed = next(line for line in text.splitlines() if line.startswith("concentration"))
    nominal = next(line for line in text.splitlines() if line.startswith("nominal"))
    sixths = f'concentration = "0.1000 eq/L ± 0.0001 eq/L, k = 2"\nreaction = "{method.reaction}"'
    right = text.replace(typed, sixths).replace(nominal, 'nominal = "0.016667 mol/L"', 1)
    assert input_value(evaluated(right), "c_t") == pytest.approx(0.1 / 6, rel=1e-12)
    wrong = right.replace(sixths, 'concentration = "0.1000 mol/L ± 0.0001 mol/L, k = 2"')
    held = evaluated(wrong)
    assert remarks_of(held, "titrant-of-another-strength")
    assert not held.releasable
