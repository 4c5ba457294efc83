"""Cautions at the edges of the limits, their precedence and refusals: Regulation (EC) 1272/2008, from memory."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.chemistry.cautions import DEFERRAL, cautions
from assaywright.chemistry.classification import classify_pure, classify_solution, family, own_classes
from assaywright.chemistry.strength import strength_of_concentration
from assaywright.metrology.refusal import Refusal
from assaywright.reference.labelling import (
    concentration_limits,
    generic_limits,
    has_label_element,
    label_element,
    precaution_wording,
    precautions,
)
from assaywright.reference.load import table
from assaywright.reference.safety import hazard_statement
from assaywright.reference.tables import substance, substances


def codes(name, mass_percent, **more):
    return {one.code for one in cautions(name, mass_percent=mass_percent, **more).classes}


# --- edges ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "below", "at", "code"),
    [
        ("sodium hydroxide", 0.4999, 0.5, "H315"),
        ("sodium hydroxide", 1.9999, 2.0, "H314"),
        ("potassium hydroxide", 1.9999, 2.0, "H314"),
        ("sulfuric acid", 14.99, 15.0, "H314"),
        ("hydrochloric acid", 9.99, 10.0, "H335"),
        ("perchloric acid", 0.999, 1.0, "H319"),
        ("acetic acid", 24.99, 25.0, "H314"),
        ("hydrogen peroxide", 7.99, 8.0, "H318"),
        ("nitric acid", 64.99, 65.0, "H272"),
        ("potassium dichromate", 0.0999, 0.1, "H350"),
        ("potassium dichromate", 0.1999, 0.2, "H334"),
        ("boric acid", 0.2999, 0.3, "H360FD"),
        ("potassium permanganate", 0.2499, 0.25, "H412"),
        ("potassium permanganate", 2.4999, 2.5, "H411"),
        ("phenolphthalein", 0.999, 1.0, "H350"),
        ("sodium carbonate", 9.99, 10.0, "H319"),
        ("copper(II) sulfate pentahydrate", 0.2499, 0.25, "H412"),
    ],
)
def test_a_limit_belongs_to_the_class_that_begins_there(name, below, at, code):
    assert code not in codes(name, below)
    assert code in codes(name, at)


def test_a_range_of_a_note_with_its_ends_the_other_way_round_is_kept_so():
    assert "H332" not in codes("nitric acid", 13.0)
    assert "H332" in codes("nitric acid", 13.01)
    assert "H332" in codes("nitric acid", 26.0)
    assert {"H331"} <= codes("nitric acid", 26.01)


def test_the_density_decides_where_a_molar_strength_lies_at_a_limit():
    # Half-molar caustic: 1.96 % by its density, 2.00 % were it water.
    by_density = cautions("NaOH", concentration_mol_per_L=0.5, density_g_per_mL=1.02)
    as_water = cautions("NaOH", concentration_mol_per_L=0.5, density_g_per_mL=0.999)
    assert {one.name for one in by_density.classes} == {"Skin Irrit. 2", "Eye Irrit. 2"}
    assert {one.name for one in as_water.classes} == {"Skin Corr. 1B"}
    assert any("close to a limit at 2 %" in remark for remark in by_density.remarks)


def test_the_hydrate_counts_with_its_water_and_the_basis_says_so():
    hydrate = cautions("zinc sulfate heptahydrate", concentration_mol_per_L=0.1, density_g_per_mL=1.015)
    salt = cautions("zinc sulfate", concentration_mol_per_L=0.1, density_g_per_mL=1.015)
    assert "H411" in {one.code for one in hydrate.statements}
    assert "H412" in {one.code for one in salt.statements}
    assert "with its hydrate water" in hydrate.basis


def test_silver_in_water_counts_by_its_m_factor():
    # 0.1 mol/L silver nitrate, 1.7 %: 1000 x 1.7 is far above 25, 0.1 mmol/L is below.
    assert {"H400", "H410"} <= codes("silver nitrate", 1.7)
    assert "H410" not in codes("silver nitrate", 0.0017)
    assert [one.code for one in cautions("silver nitrate", mass_percent=1.7).statements].count("H400") == 0


@pytest.mark.parametrize(
    ("name", "mass_percent", "category"),
    [("barium chloride dihydrate", 33.4, "3"), ("barium chloride dihydrate", 33.2, "4"),
     ("barium chloride dihydrate", 5.0, "4"), ("barium chloride dihydrate", 4.99, ""), ("sodium nitrite", 34.0, "3")],
)
def test_acute_toxicity_thins_out_by_the_additivity_formula(name, mass_percent, category):
    # Point estimate of category 3 by mouth 100 mg/kg; bounds 300 and 2000 mg/kg: 33.3 % and 5 %.
    found = [one.name for one in classify_solution(name, mass_percent) if "oral" in one.name]
    assert found == ([f"Acute Tox. {category} (oral)"] if category else [])


# --- precedence -------------------------------------------------------------------------------------------------------


def test_the_skull_drives_out_the_exclamation_mark_and_danger_drives_out_warning():
    found = cautions("nitric acid", mass_percent=50)
    assert found.pictograms == ("GHS05", "GHS06")
    assert found.signal_word == "Danger"
    assert cautions("hydrochloric acid", mass_percent=30).pictograms == ("GHS05", "GHS07")
    assert cautions("NaOH", mass_percent=1).signal_word == "Warning"
    assert cautions("NaCl", mass_percent=5).signal_word == ""


def test_a_statement_that_another_covers_is_left_off_the_label_but_its_class_stays():
    found = cautions("ammonia solution", mass_percent=7)
    assert "Eye Dam. 1" in {one.name for one in found.classes}
    assert "H318" not in {one.code for one in found.statements}
    assert {"H314", "H335"} <= {one.code for one in found.statements}


def test_the_pictograms_of_the_table_are_those_its_classes_give():
    for name in substances():
        entry = next(row for row in table("hazards").rows if row["substance"] == name and row["chosen"] == "yes")
        if entry["basis"] in {"harmonised", "supplier or self-classification"} and not entry["from_percent"]:
            assert " ".join(cautions(name).pictograms) == entry["pictograms"], name
            assert cautions(name).signal_word == entry["signal_word"], name


# --- solvents ---------------------------------------------------------------------------------------------------------


def test_perchloric_acid_in_acetic_acid_is_judged_by_its_solvent_and_burns():
    found = cautions("perchloric acid", mass_percent=1.0, solvent="acetic acid")
    assert {"H314", "H226"} <= {one.code for one in found.statements}
    assert found.solvent == "acetic acid"
    assert any("organic" in pair.other or "organic" in pair.one for pair in found.incompatibilities)


def test_a_molar_strength_in_another_solvent_needs_its_density():
    with pytest.raises(Refusal, match="the density of perchloric acid in acetic acid is not held"):
        cautions("perchloric acid", concentration_mol_per_L=0.1, solvent="acetic acid")
    assert cautions("perchloric acid", concentration_mol_per_L=0.1, solvent="acetic acid",
                    density_g_per_mL=1.05).mass_percent == pytest.approx(0.957, abs=0.001)


# --- strength ---------------------------------------------------------------------------------------------------------


def test_a_strength_without_a_density_says_how_it_was_come_by():
    held = cautions("NaOH", concentration_mol_per_L=1.0)
    assert "from the table held" in held.basis
    assert held.mass_percent == pytest.approx(3.85, abs=0.02)
    estimated = cautions("disodium edetate dihydrate", concentration_mol_per_L=0.01)
    assert "estimated as that of water" in estimated.basis or "from the table held" in estimated.basis


@pytest.mark.parametrize(
    ("question", "told"),
    [
        (lambda: cautions("unobtainium"), "no substance 'unobtainium' is held"),
        (lambda: cautions("NaOH", mass_percent=101), "a mass fraction of 101 %"),
        (lambda: cautions("NaOH", mass_percent=float("nan")), "a mass fraction of nan %"),
        (lambda: cautions("NaOH", mass_percent=1, concentration_mol_per_L=1), "both a mass fraction and"),
        (lambda: cautions("NaOH", concentration_mol_per_L=-1), "a concentration of -1 mol/L"),
        (lambda: cautions("NaOH", concentration_mol_per_L=1, density_g_per_mL=0), "a density of 0 g/mL"),
        (lambda: cautions("NaOH", concentration_mol_per_L=1, density_g_per_mL=1040), "a density of 1040 g/mL"),
        (lambda: cautions("NaOH", concentration_mol_per_L=40, density_g_per_mL=1.2), "of the solution's mass"),
        (lambda: cautions("sulfanilamide", concentration_mol_per_L=2), "needs a density"),
        (lambda: precautions("Skin Corr. 1B", "afterwards"), "there is no stage"),
        (lambda: precaution_wording("P999"), "no precautionary statement 'P999'"),
        (lambda: label_element("Skin Tickle 3"), "no hazard class"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(question, told):
    with pytest.raises(Refusal, match=told):
        question()


# --- whole table ------------------------------------------------------------------------------------------------------


def test_every_substance_has_cautions_as_supplied_and_in_a_dilute_solution():
    for name in substances():
        supplied, dilute = cautions(name), cautions(name, mass_percent=0.05)
        assert supplied.deferral == dilute.deferral == DEFERRAL
        assert supplied.protection[0].startswith("laboratory coat")
        if supplied.classes:
            assert supplied.statements, name
            assert supplied.sources, name
        for one in (*supplied.classes, *dilute.classes):
            assert hazard_statement(one.code), name
            assert one.reason, name
            assert one.source, name


def test_every_limit_belongs_to_a_substance_and_every_class_to_a_label():
    for row in table("ghs_concentration_limits").rows:
        assert substance(row["substance"]).name == row["substance"]
        assert has_label_element(row["hazard_class"]) or row["code"].startswith("EUH"), row["key"]
        if row["below_percent"]:
            assert float(row["from_percent"] or 0) < float(row["below_percent"]), row["key"]
    for row in table("ghs_generic_limits").rows:
        assert has_label_element(row["hazard_class"]) or row["ingredient_class"].startswith("EUH"), row["key"]
        assert generic_limits(row["ingredient_class"])
    for row in table("hazards").rows:
        assert substance(row["substance"]).name == row["substance"]


@given(st.sampled_from(["sodium hydroxide", "hydrochloric acid", "sulfuric acid", "acetic acid", "nitric acid",
                        "phosphoric acid", "formic acid", "perchloric acid", "zinc chloride", "silver nitrate"]),
       st.floats(0, 99.9), st.floats(0, 99.9))
def test_a_stronger_solution_never_harms_skin_less(name, one, other):
    rank = {"Skin Irrit. 2": 1, "Skin Corr. 1C": 2, "Skin Corr. 1B": 3, "Skin Corr. 1A": 4}
    weak, strong = (max((rank.get(item.name, 0) for item in classify_solution(name, share)), default=0)
                    for share in sorted((one, other)))
    assert weak <= strong


def test_a_specific_limit_takes_the_place_of_the_generic_one_for_its_kind_only():
    assert family("Acute Tox. 4 (oral)") == family("Acute Tox. 3 (oral)")
    assert "H314" not in codes("acetic acid", 24)
    assert "H314" in codes("zinc chloride", 5)
    assert {"H360Df", "H361f"} & codes("lead(II) nitrate", 1) == {"H360Df"}
    assert any(not one.chosen for one in concentration_limits("hydrogen peroxide"))


def test_the_most_careful_reading_counts_what_only_some_sources_give():
    assert "H373" not in codes("iodine", 1.23)
    assert "H373" in codes("iodine", 1.23, strictest=True)
    assert "STOT RE 1" in own_classes("iodine", strictest=True)
    assert any("classifies it as" in remark for remark in cautions("iodine").remarks)


def test_what_tests_decide_is_said_and_not_guessed():
    dilute = cautions("silver nitrate", mass_percent=1.7)
    assert not any(one.name.startswith("Ox.") for one in dilute.classes)
    assert any("oxidising" in line for line in dilute.judged_by_test)
    assert any("H290" in line for line in cautions("sulfuric acid", mass_percent=2).judged_by_test)
    assert any(one.name.startswith("Ox.") for one in classify_pure("silver nitrate"))


def test_gas_from_acids_is_among_the_dangerous_pairs_the_severe_first():
    pairs = cautions("sodium hypochlorite", mass_percent=12).incompatibilities
    assert any(pair.product == "Cl2" for pair in pairs)
    order = ["severe", "moderate", "low"]
    assert [order.index(pair.severity) for pair in pairs] == sorted(order.index(pair.severity) for pair in pairs)
    assert "EUH031" in codes("sodium hypochlorite", 12)


def test_protection_follows_the_classes_and_names_the_strongest_once():
    caustic = cautions("NaOH", mass_percent=10).protection
    assert "goggles and face shield" in caustic
    assert "goggles" not in caustic
    assert not any("glasses" in line for line in caustic)
    assert any("fume cupboard" in line for line in cautions("nitric acid", mass_percent=50).protection)
    assert cautions("NaCl", mass_percent=1).protection == ("laboratory coat and safety glasses",)


def test_precautions_are_codes_with_our_wording_by_stage():
    stages = dict(cautions("NaOH", mass_percent=10).precautions)
    assert {one.code for one in stages["prevention"]} >= {"P260", "P280"}
    assert any(one.code == "P305+P351+P338" and one.wording.startswith("IF IN EYES: ") for one in stages["response"])
    assert not {"P261"} & {one.code for one in stages["prevention"]}


def test_a_strength_is_the_definition_of_the_mass_fraction():
    found = strength_of_concentration(substance("H2SO4"), 0.5, 1.031)
    assert found.mass_percent == pytest.approx(0.5 * 98.08 / 10.31, rel=1e-4)
