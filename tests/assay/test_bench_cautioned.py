"""Cautions by strength: mass fraction w = c M / (10 ρ).

Sodium hydroxide 0.1 mol/L: 4.0 g/L at 1.003 g/mL, 0.40 % w/w; 0.5 mol/L: 20.0 g/L at 1.020 g/mL, 1.96 % w/w;
1 mol/L: 40.0 g/L at 1.040 g/mL, 3.8 % w/w; potassium hydroxide 1 mol/L: 56.1 g/L at 1.045 g/mL, 5.4 % w/w;
hydrochloric acid 4 mol/L: 145.8 g/L at 1.066 g/mL, 13.7 % w/w; 5 mol/L: 182 g/L at 1.08 g/mL, 17 % w/w (densities of
handbook tables, from memory). Limits: Regulation (EC) 1272/2008, Annex VI, 011-002-00-6 (from 0.5 %: H315, H319; from
2 %: H314), 019-002-00-8 (from 5 %: H314), 017-002-01-X (10 % to 25 %: H315, H319, H335). H290 as suppliers add it (from
memory). H400 is left off beside H410 (Annex IV, from memory).
"""

import pytest

from assaywright.assay.bench.cautioned import BELOW_LIMITS, hazard_words, of_nominals, of_strength
from assaywright.assay.method import load_method
from assaywright.records.selectors.proposed_hazards import proposed_hazards

HCL = "hydrochloric-acid-by-naoh"


def shown(name, nominal="", **solutions):
    heading = {role: {"formula": formula, "nominal": text} for role, (formula, text) in solutions.items()}
    cautions, left_out = of_strength(load_method(name), heading, nominal)
    return [one.substance for one in cautions.hazards], left_out


def of_titrant(name, formula, nominal, named=""):
    heading = {"titrant": {"name": named, "formula": formula, "nominal": nominal}}
    return of_strength(load_method(name), heading)[0]


@pytest.mark.parametrize(("method", "formula", "nominal", "word", "codes"), [
    ("acetic-acid-by-naoh", "NaOH", "0.1 mol/L", "", ()),
    ("acetic-acid-by-naoh", "NaOH", "0.5 mol/L", "Warning", ("H315", "H319")),
    ("acetic-acid-by-naoh", "NaOH", "1 mol/L", "Danger", ("H314", "H290")),
    ("acetic-acid-by-naoh", "KOH", "1 mol/L", "Danger", ("H314", "H290")),
    ("sodium-carbonate-by-acid", "HCl", "0.5 mol/L", "Warning", ("H290",)),
    ("sodium-carbonate-by-acid", "HCl", "4 mol/L", "Warning", ("H315", "H319", "H335", "H290")),
    ("ammonia-by-hydrochloric-acid", "HCl", "1 eq/L", "Warning", ("H290",)),
    ("sodium-carbonate-by-acid", "H2SO4", "1 mol/L", "Warning", ("H315", "H319", "H290")),
    ("sodium-carbonate-by-acid", "HNO3", "1 mol/L", "Danger", ("H314", "H290")),
    ("chloride-by-silver-nitrate", "AgNO3", "0.1 mol/L", "Warning", ("H315", "H319", "H410")),
])
def test_a_titrant_is_cautioned_about_as_its_label_has_it(method, formula, nominal, word, codes):
    own = of_titrant(method, formula, nominal).hazards[0]
    assert (own.signal_word, own.codes) == (word, codes)
    proposed = proposed_hazards(f"{formula} {nominal}".replace("eq/L", "mol/L"))
    assert proposed is not None
    assert proposed.codes == codes
    assert ("none" in proposed.words) == (not codes)
    assert (BELOW_LIMITS in hazard_words(own)) == (not codes)


def test_before_a_heading_is_stated_each_nominal_concentration_stands_by_its_strength():
    told = [hazard_words(one) for one in of_nominals(load_method("naoh-by-khp")).hazards]
    assert [one.partition(" (")[0] for one in told if " mol/L, " in one] == [
        "No signal word: sodium hydroxide solution, 0.1 mol/L, 0.399 % w/w",
        "Warning: sodium hydroxide solution, 0.2 mol/L, 0.794 % w/w",
        "Warning: sodium hydroxide solution, 0.5 mol/L, 1.96 % w/w",
        "Danger: sodium hydroxide solution, 1 mol/L, 3.84 % w/w"]
    assert [one for one in told if "the 50 % stock" in one]
    assert not [one for one in told if "to under 2 %" in one]


def test_the_lot_and_the_titrant_stand_by_their_strengths_and_other_bands_are_named_as_left_out():
    kept, left_out = shown(HCL, "5 mol/L", titrant=("NaOH", "1 mol/L"))
    assert [one for one in kept if one.startswith("hydrochloric")] == [
        "hydrochloric acid solution, 5 mol/L, 16.8 % w/w"]
    assert [one for one in kept if one.startswith("sodium hydroxide")] == [
        "sodium hydroxide solution, 1 mol/L, 3.84 % w/w"]
    assert [one for one in left_out if "25 % w/w and more" in one]
    assert [one for one in left_out if "under 10 %" in one]
    assert [one for one in kept if one.startswith("phenolphthalein")], "an indicator is of no strength of these"


def test_where_a_strength_is_not_known_all_bands_stay():
    own = [one.substance for one in load_method(HCL).cautions.hazards]
    kept, left_out = shown(HCL, "", titrant=("NaOH", "1 mol/L"))
    assert {one for one in own if one.startswith("hydrochloric")} < {*kept}
    assert not left_out
    assert {*own} <= {*shown(HCL, "", titrant=("NaOH", ""))[0]}


def test_what_is_dissolved_in_another_solvent_keeps_the_methods_own_lines():
    own = load_method("glycine-by-perchloric-acid").cautions.hazards
    assert of_titrant("glycine-by-perchloric-acid", "HClO4", "0.1 mol/L").hazards == own
    assert not of_titrant(HCL, "KOH", "0.5 mol/L", "KOH 0.5 mol/L in ethanol").hazards[0].statements
    assert proposed_hazards("HClO4 0.1 mol/L", "perchloric acid in glacial acetic acid") is None


def test_a_liquid_that_burns_keeps_its_statement():
    kept = of_strength(load_method("acetic-acid-by-naoh"), {}, "99.8 % w/w")[0].hazards
    assert kept[0].codes == ("H226", "H314"), "607-002-00-6: H226 from 90 % (from memory)"


def test_a_titrant_to_be_set_is_cautioned_at_its_strength():
    _, left_out = shown("naoh-against-hcl", titrant=("NaOH", "1 mol/L"), against=("HCl", "1 mol/L"))
    assert left_out == ("sodium hydroxide solution, 5 % w/w and more (the stock it is made from)",)


def test_a_titrant_of_another_substance_takes_the_place_of_the_methods():
    cautions = of_titrant(HCL, "KOH", "1 mol/L", "potassium hydroxide 1 mol/L")
    assert hazard_words(cautions.hazards[0]) == (
        "Danger: potassium hydroxide solution, 1 mol/L, 5.37 % w/w (H314 Causes severe skin burns and eye damage; "
        "H290 May be corrosive to metals).")
    assert not [one for one in cautions.hazards if one.substance.startswith("sodium hydroxide")]
    assert "in place of sodium hydroxide: read its safety data sheet first" in cautions.notes[0]
    assert [one for one in cautions.incompatibilities if "aluminium, zinc, tin" in one]
    same = of_titrant(HCL, "NaOH", "1 mol/L", "x")
    assert (same.notes, same.incompatibilities) == (
        load_method(HCL).cautions.notes, load_method(HCL).cautions.incompatibilities)
