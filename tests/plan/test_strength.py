"""How strong a product is decides which methods are offered, how it is taken, and what the sheet warns of."""

import pytest

from assaywright.assay.method import load_method
from assaywright.assay.plan.guide import bench_guide
from assaywright.assay.plan.setup import PIPETTED, WEIGHED
from assaywright.assay.plan.strength import converted, product_caution, too_strong
from assaywright.cli.guide import guide_lines
from assaywright.metrology.refusal import Refusal
from tests.plan.shelves import (
    BALANCE,
    CAUSTIC,
    DAY,
    EIGHT,
    NORMAL_ACID,
    acid,
    by_way,
    no_file,
    planned,
    product_of,
    shelf_of,
    vessel,
)

AMMONIA = """format = "assaywright product 1"
name = "ammonia solution"
substance = "ammonia"
nominal = "25 % w/w"
density = "0.907 g/mL ± 0.001 g/mL, k = 2"
"""
SHELF = (vessel("burette", 50), EIGHT, BALANCE, NORMAL_ACID)


def test_ammonia_of_25_per_cent_is_not_offered_the_method_for_dilute_ammonia():
    # 0.25 × 907 g/L / 17.031 g/mol = 13.31 mol/L, by hand; the method's own text: up to 2 mol/L
    strong = product_of(AMMONIA)
    assert converted(strong).estimate.value == pytest.approx(13.31, abs=0.01)
    method = load_method("ammonia-by-hydrochloric-acid")
    assert "13.3 mol/L" in too_strong(strong, method)
    with pytest.raises(Refusal, match="meant for up to 2 mol/L"):
        planned(shelf_of(vessel("burette", 50), BALANCE, acid("1")), strong)
    dilute = product_of(AMMONIA.replace("25 % w/w", "1 mol/L").replace("0.907", "0.991"))
    assert too_strong(dilute, method) == ""
    plan = planned(shelf_of(vessel("burette", 50), vessel("pipette", 25), BALANCE, acid("1")), dilute)
    assert {one.setup.method.name for one in plan.options} == {"ammonia-by-hydrochloric-acid"}


def test_the_sheet_warns_of_the_product_at_its_own_strength():
    # CLP Annex VI 007-001-01-2: ammonia solution, Skin Corr. 1B, Aquatic Acute 1; STOT SE 3 from 5 % (from memory)
    told = product_caution(product_of(AMMONIA))
    assert told.startswith("Danger: the product itself, ammonia solution, 25.0 % w/w")
    assert all(code in told for code in ("H314", "H335", "H400"))
    plan = planned(shelf_of(*SHELF))
    guide = bench_guide(plan, by_way(plan, WEIGHED), DAY, no_file)
    # 20 g in 100 mL of 1.185 g/mL are 16.9 % w/w, by hand; from 5 % sodium hydroxide is Skin Corr. 1A (CLP, read)
    assert guide.cautions[1].startswith("Danger: the product itself, sodium hydroxide, 16.9 % w/w")
    assert "H314" in guide.cautions[1]


def test_a_strong_caustic_that_is_pipetted_carries_what_the_method_says_of_it():
    plan = planned(shelf_of(*SHELF))
    pipetted, weighed = by_way(plan, PIPETTED), by_way(plan, WEIGHED)
    # 200 g/L / 39.997 g/mol = 5.00 mol/L, by hand; the method: above about 1 mol/L weigh it or dilute it first
    (told,) = pipetted.remarks
    assert told.startswith("5.00 mol/L are pipetted as they are")
    assert weighed.remarks == ()
    assert told in bench_guide(plan, pipetted, DAY, no_file).take


def test_a_section_of_the_guide_with_nothing_in_it_is_not_printed():
    plan = planned(shelf_of(*SHELF))
    option = next(one for one in plan.options if one.setup.method.name == "caustic-soda-by-barium-chloride")
    guide = bench_guide(plan, option, DAY, no_file)
    assert guide.flask == ()
    text = "\n".join(guide_lines(guide, 90))
    assert "IN THE FLASK" not in text
    assert text.index("yellow to the first orange") < text.index("10 mL of 10 % barium chloride")


def test_two_endpoints_with_little_carbonate_are_sent_to_barium_chloride_as_the_method_says():
    plan = planned(shelf_of(*SHELF))
    option = next(one for one in plan.options if one.setup.method.name == "caustic-soda-two-endpoints")
    # 1 % of 40 mL is carbonate, and half of that lies between the endpoints: 0.20 mL, by hand
    assert any("only 0.20 mL apart" in one and "barium chloride" in one for one in option.remarks)


def test_portions_that_a_method_never_has_pipetted_are_said_not_to_be_tried():
    sulfite = product_of('format = "assaywright product 1"\nname = "sulfite"\nsubstance = "sodium sulfite"\n'
                         'nominal = "10 g/L"\n')
    thiosulfate = acid("0.1").replace("hydrochloric acid", "sodium thiosulfate").replace('"HCl"', '"Na2S2O3"')
    with pytest.raises(Refusal, match="No portion is pipetted by sodium-sulfite-by-excess-iodine"):
        planned(shelf_of(vessel("burette", 50), vessel("pipette", 10), BALANCE, thiosulfate), sulfite)


@pytest.mark.parametrize(("nominal", "told"), [
    # 1200 g/L in 1.185 g/mL would be 101 % w/w, by hand
    ("120 % w/v", r"product\.toml: nominal: 101\.27 % w/w of sodium hydroxide cannot be"),
    ("120 % w/w", r"product\.toml: nominal: 120 % w/w is more than the whole"),
    ("60 mol/L", r"product\.toml: nominal: .*cannot be"),
])
def test_a_nominal_content_that_cannot_be_is_refused(nominal, told):
    bare = CAUSTIC.partition("[[char")[0].replace('"20 % w/v"', f'"{nominal}"')
    with pytest.raises(Refusal, match=told):
        planned(shelf_of(*SHELF), product_of(bare))


@pytest.mark.parametrize(("nominal", "told"), [
    ("25 % w/v", "upper: the nominal content 25 % w/v is above the upper limit 20.2 % w/v"),
    ("19.7 % w/v", "lower: the nominal content 19.7 % w/v is below the lower limit 19.8 % w/v"),
])
def test_a_nominal_content_outside_its_own_limits_is_refused(nominal, told):
    with pytest.raises(Refusal, match=told):
        product_of(CAUSTIC.replace('nominal = "20 % w/v"', f'nominal = "{nominal}"'))


def test_lots_whose_mean_lies_outside_the_limits_are_remarked_on():
    plan = planned(shelf_of(*SHELF), product_of(CAUSTIC.replace('mean = "20.0', 'mean = "20.3')))
    assert any(one.startswith("The mean of the lots, 20.3 % w/v, lies outside the limits") for one in plan.notes)
    assert not any("mean of the lots" in one for one in planned(shelf_of(*SHELF)).notes)


def test_limits_that_are_one_and_the_same_are_refused_by_field():
    same = CAUSTIC.replace('lower = "19.8', 'lower = "20.2').replace('nominal = "20 ', 'nominal = "20.2 ')
    with pytest.raises(Refusal, match=r"characteristic 1, upper: the lower limit .* are the same"):
        product_of(same)


# --- the shelf --------------------------------------------------------------------------------------------------------


def test_a_solution_that_no_method_asks_for_is_named_and_a_bare_concentration_is_told_of():
    other = acid("0.5").replace("hydrochloric acid", "sulfuric acid").replace('"HCl"', '"H2SO4"')
    bare = acid("1.01").replace(" ± 0.00101 mol/L, k = 2", "")
    plan = planned(shelf_of(*SHELF, other, bare))
    assert "No method that suits asks for sulfuric acid 0.5 mol/L." in plan.notes
    assert any("hydrochloric acid 1.01 mol/L states 1.01 mol/L without an uncertainty" in one for one in plan.notes)
    assert not any("hydrochloric acid 1 N states" in one for one in plan.notes)


def test_a_reaction_that_is_none_and_equivalents_that_contradict_the_method_are_refused():
    with pytest.raises(Refusal, match=r"shelf\.toml: titrant 1, reaction: 'rubbish'"):
        shelf_of(acid("1").replace('formula = "HCl"', 'formula = "HCl"\nreaction = "rubbish"'))
    with pytest.raises(Refusal, match="counts 1 to one mole of NaOH, and the product says 7"):
        planned(shelf_of(*SHELF), product_of(CAUSTIC.replace("[[char", "equivalents = 7\n[[char")))
