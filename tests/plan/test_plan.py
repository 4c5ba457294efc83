"""The plan: what it offers, whether its best is the best, what it refuses and how."""

import json
from dataclasses import replace

import pytest

from assaywright.assay.plan.grid import model_of
from assaywright.assay.plan.plan import plan_assay
from assaywright.assay.plan.setup import (
    PIPETTED,
    PIPETTED_FLASK,
    WAYS,
    WEIGHED,
    WEIGHED_DILUTION,
    WEIGHED_FLASK,
    expected_worksheet,
)
from assaywright.assay.plan.shelf import read_shelf
from assaywright.assay.plan.standardise import disagreement, plan_standardisation
from assaywright.assay.upstream import Upstream
from assaywright.cli.entry import main
from assaywright.metrology.model import evaluate_plain
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.reference.substances import primary_standard
from tests.plan.exhaustive import tried
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
    shelf_text,
    vessel,
)

SMALL = (vessel("burette", 50), vessel("pipette", 5), EIGHT, vessel("pipette", 25), vessel("flask", 100),
         vessel("flask", 250), BALANCE, NORMAL_ACID)
CARBONATE = """[[reference_material]]
name = "sodium carbonate"
content = "99.97 % ± 0.04 %, k = 2"
certificate = { id = "RM-204", issued = 2026-01-15, due = "2028-01", traceable_to = "SI" }
minimum_sample = "500 mg"
"""


def test_twenty_per_cent_caustic_takes_8_mL_for_40_mL_of_normal_acid_and_as_much_by_mass():
    plan = planned(shelf_of(*SMALL))
    pipetted, weighed, dilution = (by_way(plan, way) for way in (PIPETTED, WEIGHED, WEIGHED_DILUTION))
    # 8 mL × 200 g/L / 39.997 g/mol = 40.003 mmol, by hand
    assert pipetted.setup.pipette.nominal.text == "8 mL"
    assert pipetted.setup.titre_mL == pytest.approx(40.003, abs=0.01)
    assert pipetted.burette_use == pytest.approx(0.80, abs=0.001)
    # m = 8 mL × 1.185 g/mL, the density of 20 % w/v (16.9 % w/w: CRC Handbook); 1.219 g/mL belongs to 20 % w/w
    assert weighed.setup.portion_g == pytest.approx(8 * 1.185, abs=0.02)
    assert not any("g/mL is stated" in note for note in plan.notes)
    wrong = planned(shelf_of(*SMALL), product_of(CAUSTIC.replace("1.185", "1.219")))
    assert any("1.219 g/mL is stated, and the table has" in note for note in wrong.notes)
    for one in (weighed, dilution):
        assert one.setup.titre_mL == pytest.approx(40.0)
        assert one.relative_uncertainty < pipetted.relative_uncertainty


def test_every_way_that_the_method_allows_is_offered_and_nothing_that_is_not_listed():
    shelf = shelf_of(*SMALL)
    plan = planned(shelf)
    assert {one.setup.way for one in plan.options} == set(WAYS)
    listed = {one.identity for one in (*shelf.burettes, *shelf.pipettes, *shelf.flasks)}
    setups = [option.setup for option in plan.options]
    offered = {one.identity for setup in setups
               for one in (setup.burette, setup.pipette, setup.flask, setup.aliquot) if one is not None}
    assert offered <= listed
    without = planned(shelf_of(vessel("burette", 50), EIGHT, NORMAL_ACID))
    assert {one.setup.way for one in without.options} == {PIPETTED}


@pytest.mark.slow
@pytest.mark.parametrize("wanted", [None, 0.0023])
def test_the_best_of_the_plan_is_the_best_of_an_exhaustive_search(wanted):
    shelf = shelf_of(*SMALL, acid("0.5"), vessel("pipette", 10), vessel("burette", 25))
    # Without limits nothing is wanted unless asked for; the upper limit of 1 % above nominal still has to fit.
    product = product_of(CAUSTIC.replace('lower = "19.8 % w/v"\n', "").replace(
        "[[char", 'methods = ["caustic-soda-by-acid"]\n[[char', 1))
    plan = planned(shelf, product, wanted)
    every = list(tried(shelf, wanted))
    best = min(every, key=lambda one: one.key_by_time() if wanted else one.key())
    assert plan.reaching == len(every)
    found = plan.options[0]
    assert found.relative_uncertainty == pytest.approx(best.relative, rel=1e-6)
    assert (found.setup.way, found.setup.titrant.name, found.setup.burette.identity, found.setup.determinations) == (
        best.setup.way, best.setup.titrant.name, best.setup.burette.identity, best.setup.determinations)
    assert found.minutes == best.minutes


def test_the_readings_expected_give_the_nominal_content_and_the_same_uncertainty_by_both_roads():
    shelf = shelf_of('temperature = "24 °C"\n', *SMALL)
    plan = planned(shelf)
    upstream = Upstream(no_file)
    for one in plan.options:
        sheet = expected_worksheet(one.setup, plan.product, shelf, DAY)
        value, _ = evaluate_plain(model_of(sheet, one.setup, upstream))
        assert value == pytest.approx(20.0, rel=1e-9)
    by_arrays = sorted(place.relative_uncertainty for place in plan.places)
    for one in plan.options:  # uncertain numbers of the option shown, among those propagated on arrays
        assert min(abs(each / one.relative_uncertainty - 1) for each in by_arrays) < 1e-9


def test_more_determinations_are_taken_only_until_the_uncertainty_wanted_is_reached():
    shelf = shelf_of(*SMALL)
    best = planned(shelf, uncertainty=0.0019).options[0]
    assert best.setup.determinations > 3
    assert best.relative_uncertainty <= 0.0019
    fewer = planned(shelf, uncertainty=0.005).options[0]
    assert fewer.setup.determinations == 3


def test_a_smaller_uncertainty_of_the_titrant_makes_the_plan_better_and_another_thing_limits_it():
    poor = planned(shelf_of(vessel("burette", 50), BALANCE, acid("1", relative=0.01))).options[0]
    good = planned(shelf_of(vessel("burette", 50), BALANCE, acid("1", relative=0.0002))).options[0]
    assert poor.influences[0].name == "the concentration of hydrochloric acid 1 mol/L"
    assert good.influences[0].name != poor.influences[0].name
    assert good.relative_uncertainty < poor.relative_uncertainty
    assert sum(one.share for one in good.influences) == pytest.approx(1.0)


def test_a_wider_spread_of_the_lots_makes_both_global_risks_larger():
    shelf = shelf_of(*SMALL)
    narrow = planned(shelf).options[0].risks
    wide = planned(shelf, product_of(CAUSTIC.replace('"0.08 % w/v"', '"0.16 % w/v"'))).options[0].risks
    assert narrow.consumer < wide.consumer < 0.5
    assert narrow.producer < wide.producer < 0.5
    assert planned(shelf, product_of(CAUSTIC.partition("[lots]")[0])).options[0].risks is None


def test_a_titre_that_would_run_off_the_burette_at_the_upper_limit_is_not_offered():
    # 10 mL take 50.004 mL at nominal; with an acid of 1.005 mol/L 49.75 mL, and 50.25 mL at the upper limit.
    strong = NORMAL_ACID.replace("1.0000 eq/L", "1.0050 eq/L")
    with pytest.raises(Refusal, match="nearest is 10 mL"):
        planned(shelf_of(vessel("burette", 50), vessel("pipette", 10), strong))


def test_a_portion_below_the_balances_minimum_weight_is_not_offered():
    weak = (vessel("burette", 10), acid("0.1"))
    light = planned(shelf_of(*weak, BALANCE)).options  # 0.8 mmol are 0.19 g; at least 2 × 0.08 mg/0.10 % = 0.16 g
    # 8 mL less the 1.231 × 83 mL × 10^-4 / 0.89 / 0.1 = 0.115 mL that turn methyl orange, 0.7885 mmol; × 39.997 g/mol
    # / 0.2 g/mL × 1.185 g/mL = 0.1869 g, by hand; 1.231 is the mean of 10^-pH over a pH that scatters by 0.28
    assert light[0].setup.portion_g == pytest.approx(0.1869, abs=0.0006)
    with pytest.raises(Refusal, match="lighter than the balance"):
        planned(shelf_of(*weak, BALANCE.replace('"0.08 mg"', '"0.10 mg"')))  # 0.20 g


# --- what cannot be ---------------------------------------------------------------------------------------------------


def test_an_uncertainty_out_of_reach_is_refused_with_the_nearest_option_and_what_limits_it():
    told = r"out of reach: the nearest feasible option, .* and 0\.1\d % with 12, limited by"
    with pytest.raises(Refusal, match=told):
        planned(shelf_of(*SMALL), uncertainty=0.0005)


def test_a_titrant_too_weak_is_refused_with_how_much_stronger_it_should_be():
    with pytest.raises(Refusal, match=r"the nearest is 5 mL.*250\.\d\d mL of a 50 mL burette.*6\.3 times as strong"):
        planned(shelf_of(vessel("burette", 50), vessel("pipette", 5), acid("0.1")))


def test_a_missing_density_rules_out_what_needs_it_and_is_refused_where_nothing_else_is_left():
    bare = product_of(CAUSTIC.replace('density = "1.185 g/mL ± 0.001 g/mL, k = 2"\n', ""))
    plan = planned(shelf_of(*SMALL), bare)
    assert {one.setup.way for one in plan.options} <= {PIPETTED, PIPETTED_FLASK}
    assert any("density, which is not stated" in note for note in plan.notes)
    with pytest.raises(Refusal, match="density, which is not stated"):
        planned(shelf_of(vessel("burette", 50), BALANCE, NORMAL_ACID), bare)


def test_without_a_suitable_vessel_or_titrant_the_refusal_says_what_to_list():
    with pytest.raises(Refusal, match="no burette on the shelf"):
        planned(shelf_of(EIGHT, NORMAL_ACID))
    with pytest.raises(Refusal, match="list a titrant of a method that suits"):
        planned(shelf_of(vessel("burette", 50), EIGHT))


def test_what_is_missing_on_the_shelf_is_named():
    with pytest.raises(Refusal, match="neither a pipette nor a balance on the shelf"):
        planned(shelf_of(vessel("burette", 50), NORMAL_ACID))
    with pytest.raises(Refusal, match="caustic-soda-by-acid is left out: its titrant, hydrochloric acid, is not on"):
        planned(shelf_of(vessel("burette", 50), EIGHT, BALANCE))


def test_a_product_far_too_weak_is_refused_with_a_weaker_titrant_not_with_kilograms_on_a_balance():
    # 25 mL × 0.1 g/L / 39.997 g/mol = 0.0625 mmol: 0.0625 mL of 1 N, and 75 mL × 10^-4 = 0.0075 mL for the colour;
    # 80 % of 50 mL would take it 570 times as weak
    weak = product_of(CAUSTIC.partition("[[char")[0].replace('"20 % w/v"', '"0.01 % w/v"'))
    asked = r"nearest is 25 mL.*0\.07 mL of a 50 mL burette.*5\d\d\.\d times as weak"
    with pytest.raises(Refusal, match=asked) as told:
        planned(shelf_of(*SMALL), weak)
    assert "carbonate" not in str(told.value)  # what was assumed for another method is no reason


def test_a_load_above_the_balances_is_told_in_grams():
    heavy = BALANCE.replace('"220 g"', '"25 g"')
    with pytest.raises(Refusal, match=r"about 29\.5 g with its vessel; the balance takes 25\.0 g"):
        planned(shelf_of(vessel("burette", 50), heavy, NORMAL_ACID))


def test_a_substance_that_no_method_determines_is_refused():
    strange = product_of(CAUSTIC.replace("sodium hydroxide", "K2SO4"))
    with pytest.raises(Refusal, match="no method of the library determines K2SO4"):
        planned(shelf_of(*SMALL), strange)


@pytest.mark.parametrize(("old", "new", "told"), [
    ('nominal = "20 % w/v"', 'nominal = "20 %"', "nominal"),
    ("[lots]", "[batches]", "batches"),
    ('standard_deviation = "0.08 % w/v"', 'standard_deviation = "0 % w/v"', "standard_deviation"),
    ("format = ", "form = ", "format"),
    ('name = "caustic', 'density_ = "1"\nname = "caustic', 'write "density"'),
])
def test_a_product_that_cannot_be_is_refused_by_field(old, new, told):
    with pytest.raises(Refusal, match=told):
        product_of(CAUSTIC.replace(old, new, 1))


def test_two_vessels_of_one_number_are_refused():
    with pytest.raises(Refusal, match="stands twice"):
        shelf_of(vessel("pipette", 25), vessel("pipette", 25))


@pytest.mark.parametrize(("old", "new", "told"), [
    ('"ISO 385"', '"ISO 9999"', r"shelf\.toml: burette 1, standard: 'ISO 9999' is not held"),
    ('nominal = "50 mL"', 'nominal = "47 mL"', r"shelf\.toml: burette 1, nominal: the size 47 mL"),
    ('formula = "HCl"', 'formula = "Xx"', r"shelf\.toml: titrant 1, formula: 'Xx'"),
    ("[[burette]]", 'temperature = "80 °C"\n[[burette]]', r"shelf\.toml: temperature: .*80 °C lies outside"),
])
def test_a_shelf_that_cannot_be_is_refused_by_file_and_field(old, new, told):
    with pytest.raises(Refusal, match=told):
        planned(read_shelf(shelf_text(*SMALL).replace(old, new, 1).encode(), "shelf.toml"))


@pytest.mark.parametrize("nominal", ["-0.5 mol/L", "0 mol/L"])
def test_a_strength_that_is_not_above_zero_is_refused_as_such(nominal):
    with pytest.raises(Refusal, match=r"--nominal: .* is no concentration of a titrant"):
        plan_standardisation("hcl-by-sodium-carbonate", shelf_of(*SMALL, CARBONATE), DAY, no_file,
                             nominal=read_quantity(nominal))


# --- standardising ----------------------------------------------------------------------------------------------------


def test_the_standard_is_weighed_for_80_per_cent_of_the_burette():
    shelf = shelf_of(vessel("burette", 50), BALANCE, CARBONATE)
    found = plan_standardisation("hcl-by-sodium-carbonate", shelf, DAY, no_file, nominal=read_quantity("1 mol/L"))
    # 40 mL × 1 mol/L × 105.988 g/mol / 2 / 0.9997 = 2.1204 g, by hand (the air's buoyancy takes off 0.03 %)
    assert found.plan.options[0].setup.portion_g == pytest.approx(2.1204, rel=6e-4)


def test_a_portion_below_the_certificates_smallest_sample_is_not_offered():
    shelf = shelf_of(vessel("burette", 50), BALANCE, CARBONATE)
    with pytest.raises(Refusal, match="lighter than the balance or the certificate"):
        plan_standardisation("hcl-by-sodium-carbonate", shelf, DAY, no_file, nominal=read_quantity("0.1 mol/L"))


def test_disagreeing_sources_on_drying_are_all_told():
    told = disagreement(primary_standard("potassium hydrogen phthalate").drying)
    assert told.startswith("The sources disagree: 105 to 120 °C, 2 h or 3 h or to constant mass")


# --- on the command line ----------------------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "shelf.toml").write_text(shelf_text(*SMALL), encoding="utf-8")
    text = CAUSTIC.replace("[[char", 'shelf = "shelf.toml"\n[[char', 1)
    (tmp_path / "caustic.toml").write_text(text, encoding="utf-8")
    return tmp_path


def test_the_options_come_best_first_as_JSON(folder, capsys):
    assert main(["plan", str(folder / "caustic.toml"), "--uncertainty", "0.3%", "--json", "--day", "2026-11-02"]) == 0
    options = json.loads(capsys.readouterr().out)["options"]
    reach = [one["reaches_wanted"] for one in options]
    assert reach == sorted(reach, reverse=True)
    pipetted = next(one for one in options if one["way"] == PIPETTED)
    assert pipetted["aliquot"].startswith("8 mL")
    assert pipetted["titrant"] == "hydrochloric acid 1 N"
    assert pipetted["expected_titre_mL"] == pytest.approx(40.0, abs=0.02)
    assert pipetted["burette_use"] == pytest.approx(80, abs=0.1)
    assert 0.03 < pipetted["expanded_uncertainty"] < 0.07
    for other in pipetted["other_indicators"]:
        assert 0 < other["relative_expanded_uncertainty_percent"] < 1
        assert other["name"] != pipetted["indicator"]


def test_a_chart_is_drawn_and_an_impossible_wish_ends_with_status_2(folder, capsys):
    product, chart = str(folder / "caustic.toml"), folder / "plan.svg"
    assert main(["plan", product, "--day", "2026-11-02", "--chart", str(chart)]) == 0
    assert "weighed dilution" in chart.read_text(encoding="utf-8")
    assert main(["plan", product, "--day", "2026-11-02", "--uncertainty", "0.05 %"]) == 2
    assert "nearest feasible option" in capsys.readouterr().err
    assert main(["plan", product, "--uncertainty", "0.2"]) == 2
    capsys.readouterr()
    assert main(["plan", product, "--uncertainty", "0,3 %"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert told.startswith("--uncertainty: ")
    assert told.endswith("write 0.3.")  # decimal_mark is a field of files: an option has no top to write it at


def test_a_titrant_standardised_with_the_same_burette_is_planned_with_what_they_share():
    from tests.plan.study import played, prediction

    chain = played(PIPETTED, 1)
    shared = prediction(chain)
    apart = prediction(replace(chain, shelf=chain.shelf.replace('worksheets = ["first.toml"]', chain.certified)))
    assert shared != pytest.approx(apart, rel=0.02)


def test_a_plan_rests_on_the_files_that_its_shelf_names():
    shelf = shelf_of(vessel("burette", 50), EIGHT, NORMAL_ACID.replace(
        'concentration = "1.0000 eq/L ± 0.0010 eq/L, k = 2"\n', 'worksheets = ["gone.toml"]\n').replace(
        NORMAL_ACID.splitlines()[-1], ""))
    with pytest.raises(Refusal, match="is not there to be read"):
        plan_assay(product_of(), shelf, DAY, no_file)


def test_a_dilution_gives_aliquots_for_every_determination():
    plan = planned(shelf_of(*SMALL))
    for way in (PIPETTED_FLASK, WEIGHED_FLASK):
        setup = by_way(plan, way).setup
        assert (setup.method.replicates + 1) * setup.aliquot.nominal.to("mL") <= setup.flask.nominal.to("mL")
