"""Cautions by strength: mass fraction w = c M / (10 ρ).

Sodium hydroxide 1 mol/L: 40.0 g/L at 1.040 g/mL, 3.8 % w/w; hydrochloric acid 1 mol/L: 36.5 g/L at 1.016 g/mL,
3.6 % w/w; 5 mol/L: 182 g/L at 1.08 g/mL, 17 % w/w (densities of handbook tables, from memory). Bands: Regulation
(EC) 1272/2008, Annex VI, 011-002-00-6 and 017-002-01-X, as the methods state them.
"""

from assaywright.assay.bench.cautioned import of_strength
from assaywright.assay.method import load_method

HCL = "hydrochloric-acid-by-naoh"


def shown(name, nominal="", **solutions):
    heading = {role: {"formula": formula, "nominal": text} for role, (formula, text) in solutions.items()}
    cautions, left_out = of_strength(load_method(name), heading, nominal)
    return [one.substance for one in cautions.hazards], left_out


def test_the_lots_band_and_the_titrants_are_shown_and_the_others_named_as_left_out():
    kept, left_out = shown(HCL, "5 mol/L", titrant=("NaOH", "1 mol/L"))
    assert [one for one in kept if one.startswith("hydrochloric")] == ["hydrochloric acid, 10 % to under 25 % w/w"]
    assert [one for one in kept if one.startswith("sodium hydroxide")]
    assert [one for one in left_out if "25 % w/w and more" in one]
    assert [one for one in left_out if "under 10 %" in one]
    assert [one for one in kept if one.startswith("phenolphthalein")], "an indicator is of no strength of these"


def test_where_a_strength_is_not_known_all_bands_stay():
    method = load_method(HCL)
    assert shown(HCL, "", titrant=("NaOH", "1 mol/L")) == ([one.substance for one in method.cautions.hazards], ())
    assert not shown(HCL, "20.0 % w/v", titrant=("NaOH", "1 mol/L"))[1], "per volume tells no mass fraction by itself"


def test_a_strength_outside_all_bands_leaves_them_all():
    kept, left_out = shown("naoh-against-hcl", titrant=("NaOH", "0.01 mol/L"), against=("HCl", "0.01 mol/L"))
    assert len([one for one in kept if one.startswith("sodium hydroxide")]) == 2
    assert not left_out


def test_a_titrant_to_be_set_is_cautioned_at_its_strength():
    _, left_out = shown("naoh-against-hcl", titrant=("NaOH", "1 mol/L"), against=("HCl", "1 mol/L"))
    assert left_out == ("sodium hydroxide solution, 5 % w/w and more (the stock it is made from)",)


def test_a_titrant_of_another_substance_is_cautioned_about_with_its_own_statements():
    heading = {"titrant": {"name": "potassium permanganate", "formula": "KMnO4", "nominal": "0.02 mol/L"}}
    notes = of_strength(load_method(HCL), heading)[0].notes
    assert "potassium permanganate (KMnO4) stands on the bench" in notes[0]
    assert "safety data sheet" in notes[0]
    caustic = {"titrant": {"name": "potassium hydroxide", "formula": "KOH", "nominal": "1 mol/L"}}
    assert "H314" in of_strength(load_method(HCL), caustic)[0].notes[0], "56.1 g/L at about 1.05 g/mL: 5.3 % w/w"
    same = {"titrant": {"name": "x", "formula": "NaOH", "nominal": "1 mol/L"}}
    assert of_strength(load_method(HCL), same)[0].notes == load_method(HCL).cautions.notes
