"""Back titrations, two endpoints, barium chloride, a titrant against a solution: the plan against hand arithmetic."""

import io
from dataclasses import replace

import pypdf
import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method, method_names
from assaywright.assay.plan.detail import detailed, expanded_with
from assaywright.assay.plan.guide import bench_guide
from assaywright.assay.plan.indicators import suitable_indicators, with_indicator
from assaywright.assay.plan.setup import (
    PIPETTED,
    PIPETTED_FLASK,
    WEIGHED,
    WEIGHED_DILUTION,
    WEIGHED_FLASK,
    expected_worksheet,
)
from assaywright.assay.plan.standardise import plan_standardisation
from assaywright.assay.plan.ways import Search, suitable_methods
from assaywright.assay.upstream import Upstream
from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.reports.render import guide_pdf
from tests.plan.shelves import BALANCE, DAY, NORMAL_ACID, no_file, planned, product_of, shelf_of, vessel

DENSITY = 'density = "1.02 g/mL ± 0.001 g/mL, k = 2"\n'


def solution(name: str, formula: str, nominal: str, concentration: str = "") -> str:
    """Return a standard solution as a shelf lists it; without a concentration only its nominal one is known."""
    known = f'concentration = "{concentration}"\ncertificate = {{ id = "C-{formula}" }}\n' if concentration else ""
    return f'[[titrant]]\nname = "{name} {nominal}"\nformula = "{formula}"\nnominal = "{nominal}"\n{known}'


BASE = solution("sodium hydroxide", "NaOH", "1 mol/L", "1.000 mol/L ± 0.001 mol/L, k = 2")
ACID = solution("hydrochloric acid", "HCl", "1 mol/L", "1.000 mol/L ± 0.001 mol/L, k = 2")
SILVER = solution("silver nitrate", "AgNO3", "0.1 mol/L", "0.1001 mol/L ± 0.0001 mol/L, k = 2")
THIOCYANATE = solution("potassium thiocyanate", "KSCN", "0.1 mol/L", "0.0998 mol/L ± 0.0001 mol/L, k = 2")
GLASS = (vessel("burette", 50), vessel("pipette", 25), vessel("pipette", 50))


def product(substance: str, nominal: str, *lines: str) -> object:
    """Return a product without limits."""
    return product_of(f'format = "assaywright product 1"\nname = "{substance}"\nsubstance = "{substance}"\n'
                      f'nominal = "{nominal}"\n{DENSITY}' + "".join(f"{line}\n" for line in lines))


LIME = ("calcium carbonate", "99.0 % w/w", 'state = "solid"')


def evaluated(plan, option):
    """Return the outcome of the worksheet that an option expects."""
    return evaluate_worksheet(expected_worksheet(option.setup, plan.product, plan.shelf, DAY), no_file)


def option_with(plan, way: str = "", blanks: int | None = None, method: str = ""):
    """Return the best option of a way, with a number of blanks, by a method."""
    return next(one for one in plan.options if way in ("", one.setup.way)
                and blanks in (None, one.setup.blanks) and method in ("", one.setup.method.name))


# --- back titrations --------------------------------------------------------------------------------------------------


def test_a_weighed_portion_leaves_a_third_of_the_acid_in_excess():
    plan = planned(shelf_of(*GLASS[::2], BALANCE, BASE, ACID), product(*LIME))
    setup = option_with(plan, WEIGHED, 0).setup
    # 50 mL × 1 mol/L leave 16.667 mL of base; 33.333 mmol of acid / 2 × 100.086 g/mol / 0.99 = 1.6850 g, by hand
    assert setup.excess.nominal.text == "50 mL"
    assert setup.titre_mL == pytest.approx(16.667, abs=0.01)
    assert setup.portion_g == pytest.approx(1.6850, rel=2e-3)  # the air carries 0.1 % of it


def test_chloride_by_silver_in_excess_takes_what_the_hand_calculation_of_the_method_has():
    chloride = product("Cl", "4.700 g/L", 'methods = ["chloride-by-excess-silver-nitrate"]')
    setup = option_with(planned(shelf_of(*GLASS, SILVER, THIOCYANATE), chloride), PIPETTED, 0).setup
    # 50 × 0.1001 = 5.0050 mmol of silver, less 25 × 4.700 / 35.4515 = 3.3144 mmol: 1.6906 / 0.0998 = 16.940 mL
    assert setup.titre_mL == pytest.approx(16.940, abs=0.002)


def test_blanks_titrated_likewise_take_all_of_the_reagent_and_need_no_concentration_of_it():
    weaker = solution("hydrochloric acid", "HCl", "1 mol/L").replace('"1 mol/L"', '"0.96 mol/L"')
    plan = planned(shelf_of(*GLASS[::2], BALANCE, BASE, weaker), product(*LIME))
    assert {one.setup.blanks for one in plan.options} == {3}
    setup = plan.options[0].setup
    assert setup.blank_mL == pytest.approx(48.00, abs=0.01)  # 50 × 0.96 / 1.000, by hand
    assert setup.titre_mL == pytest.approx(16.00, abs=0.01)
    assert setup.used_mL == pytest.approx(3 * 48 + 3 * 16, abs=0.1)


def test_a_method_that_demands_the_blank_is_planned_with_it_alone():
    thiosulfate = solution("sodium thiosulfate", "Na2S2O3", "0.1 mol/L", "0.1000 mol/L ± 0.0001 mol/L, k = 2")
    bromine = solution("bromine", "Br2", "0.05 mol/L", "0.0460 mol/L ± 0.0001 mol/L, k = 2")
    plan = planned(shelf_of(*GLASS, vessel("flask", 250), BALANCE, thiosulfate, bromine),
                   product("C6H6O", "99 % w/w", 'state = "solid"'))
    assert {one.setup.blanks for one in plan.options} == {3}
    # 50 mL × 0.0460 × 2 / 0.1000 = 46.0 mL, by hand
    assert plan.options[0].setup.blank_mL == pytest.approx(46.0, abs=0.05)


def test_a_reagent_that_a_limit_would_use_up_is_refused_with_what_to_do():
    strong = product("Cl", "9.0 g/L", 'methods = ["chloride-by-excess-silver-nitrate"]')
    # 50 mL × 9.0 / 35.45 = 12.7 mmol and 25 mL half of it: more than the 5.0 mmol of silver that 50 mL hold
    with pytest.raises(Refusal, match=r"less than a tenth of the reagent left.*larger pipette, take it stronger"):
        planned(shelf_of(*GLASS, SILVER, THIOCYANATE), strong)


def test_a_reagent_that_is_not_on_the_shelf_is_named():
    with pytest.raises(Refusal, match="its reagent, silver nitrate, is not among the titrants"):
        planned(shelf_of(*GLASS, THIOCYANATE),
                product("Cl", "4.7 g/L", 'methods = ["chloride-by-excess-silver-nitrate"]'))


# --- alkali with carbonate --------------------------------------------------------------------------------------------


def test_two_endpoints_are_expected_where_the_printed_example_has_them():
    # 3.20 g/L NaOH and 2.12 g/L Na2CO3, 25 mL with N/10 acid: 25 and 30 mL (a publicly posted question bank item, the
    # method's own example; it rounds the molar masses to 40 and 106)
    alkali = product("sodium hydroxide", "4.80 g/L", 'carbonate = "2.12 g/L"',
                     'methods = ["caustic-soda-two-endpoints"]')
    acid = NORMAL_ACID.replace("1.0000 eq/L ± 0.0010", "0.1000 eq/L ± 0.0001").replace('"1 eq/L"', '"0.1 eq/L"')
    option = option_with(planned(shelf_of(*GLASS, acid), alkali), PIPETTED)
    # and the second colour late by 1.231 × (10^-4 × 105 mL / 0.1 - 0.85 × 10^(4 - 6.351) × 5 mL) / 0.85 = 0.125 mL, by
    # hand; 1.231 as in the method
    assert option.setup.titre_mL == pytest.approx(30.125, abs=0.01)
    assert option.setup.first_mL == pytest.approx(25.00, abs=0.02)
    assert [round(one.estimate.value, 2) for one in option.further] == [3.20, 2.12]


def test_barium_chloride_takes_two_aliquots_of_one_pipette():
    # total 0.5153 % w/v, carbonate 0.0246 % w/v, 25 mL with 0.1002 mol/L: 32.143 and 30.983 mL by hand, in the method
    alkali = product("sodium hydroxide", "0.5153 % w/v", 'carbonate = "0.0246 % w/v"',
                     'methods = ["caustic-soda-by-barium-chloride"]')
    acid = solution("hydrochloric acid", "HCl", "0.1 mol/L", "0.1002 mol/L ± 0.0001 mol/L, k = 2")
    plan = planned(shelf_of(*GLASS, BALANCE, acid), alkali)
    option = plan.options[0]
    assert {one.setup.way for one in plan.options} == {PIPETTED}
    late = 0.152  # 1.231 × (10^-4 × 107.1 mL / 0.1002 - 0.85 × 10^(4 - 6.351) × 0.58 mL) / 0.85 by hand, in the method
    assert option.setup.titre_mL == pytest.approx(32.143 + late, abs=0.004)
    assert option.setup.first_mL == pytest.approx(30.983, abs=0.006)
    assert option.setup.used_mL == pytest.approx(3 * (32.143 + late + 30.983), abs=0.03)
    assert next(step for step in option.steps if step.name == "titrate").times == 6


def test_carbonate_that_is_not_stated_is_assumed_and_said():
    alkali = product("sodium hydroxide", "4.80 g/L", 'methods = ["caustic-soda-two-endpoints"]')
    acid = NORMAL_ACID.replace("1.0000 eq/L ± 0.0010", "0.1000 eq/L ± 0.0001").replace('"1 eq/L"', '"0.1 eq/L"')
    plan = planned(shelf_of(*GLASS, acid), alkali)
    assert any("1 % of its alkali is taken to be carbonate" in note for note in plan.notes)
    assert plan.options[0].setup.first_mL == pytest.approx(
        0.995 * (plan.options[0].setup.titre_mL - plan.options[0].setup.late_mL))


# --- a titrant against another solution -------------------------------------------------------------------------------


def test_a_base_set_against_a_pipetted_acid_takes_what_both_concentrations_say():
    acid = solution("hydrochloric acid", "HCl", "0.5 mol/L", "0.50120 mol/L ± 0.00050 mol/L, k = 2")
    shelf = shelf_of(vessel("burette", 50), vessel("pipette", 20), acid)
    plan = plan_standardisation("naoh-against-hcl", shelf, DAY, no_file, nominal=read_quantity("0.5 mol/L")).plan
    setup = plan.options[0].setup
    assert (setup.in_burette.formula, setup.in_pipette.formula) == ("NaOH", "HCl")
    assert setup.titre_mL == pytest.approx(20 * 0.50120 / 0.5, abs=0.003)  # 20.048 mL, by hand


def test_an_acid_set_against_a_base_in_the_burette_is_the_one_that_is_pipetted():
    base = solution("sodium hydroxide", "NaOH", "0.5 mol/L", "0.4960 mol/L ± 0.0005 mol/L, k = 2")
    shelf = shelf_of(vessel("burette", 50), vessel("pipette", 25), base)
    plan = plan_standardisation("hcl-against-naoh", shelf, DAY, no_file, nominal=read_quantity("0.5 mol/L")).plan
    setup = plan.options[0].setup
    assert (setup.in_burette.formula, setup.in_pipette.formula) == ("NaOH", "HCl")
    assert setup.titre_mL == pytest.approx(25 * 0.5 / 0.4960, abs=0.003)  # 25.202 mL, by hand
    guide = bench_guide(plan, plan.options[0], DAY, no_file)
    assert "hydrochloric acid 0.5 mol/L" in guide.take[0]
    assert "sodium hydroxide 0.5 mol/L" in guide.burette[0]


def test_without_a_known_solution_or_with_a_method_of_assay_the_refusal_says_so():
    shelf = shelf_of(vessel("burette", 50), vessel("pipette", 25))
    with pytest.raises(Refusal, match="no hydrochloric acid of known concentration"):
        plan_standardisation("naoh-against-hcl", shelf, DAY, no_file)
    with pytest.raises(Refusal, match="assays a product and standardises nothing"):
        plan_standardisation("caustic-soda-by-acid", shelf, DAY, no_file)


# --- whatever the scheme ----------------------------------------------------------------------------------------------


def plans():
    """Return a plan of each kind."""
    acid = solution("hydrochloric acid", "HCl", "0.5 mol/L", "0.4995 mol/L ± 0.0005 mol/L, k = 2")
    weaker = ACID.replace("1.000 mol/L ± 0.001", "0.960 mol/L ± 0.001")
    warm = 'temperature = "24 °C"\n'
    alkali = product("sodium hydroxide", "2.0 % w/v", 'carbonate = "0.20 % w/v"')
    glass = (*GLASS, vessel("burette", 25), vessel("pipette", 5), vessel("flask", 250), BALANCE)
    yield planned(shelf_of(warm, *glass, acid), alkali)
    yield planned(shelf_of(warm, *glass, BASE, weaker), product(*LIME))
    yield planned(shelf_of(warm, *glass, SILVER, THIOCYANATE), product(
        "I", "2.0 % w/w", 'methods = ["iodide-by-excess-silver-nitrate"]'))


def test_what_an_option_expects_is_what_the_evaluation_of_its_worksheet_says():
    schemes = set()
    for plan in plans():
        for option in plan.options:
            outcome = evaluated(plan, option)
            nominal = float(plan.product.nominal.value)
            assert outcome.result.estimate.value == pytest.approx(nominal, rel=1e-6)
            assert option.result.expanded_uncertainty == pytest.approx(outcome.result.expanded_uncertainty, rel=1e-9)
            for mine, theirs in zip(option.further, outcome.results[1:], strict=True):
                assert mine.estimate.value == pytest.approx(theirs.estimate.value, rel=1e-9)
                assert mine.expanded_uncertainty == pytest.approx(theirs.expanded_uncertainty, rel=1e-9)
            schemes.add((option.setup.method.scheme, option.setup.way, option.setup.blanks))
        by_arrays = [place.relative_uncertainty for place in plan.places]
        for option in plan.options:  # uncertain numbers of the option shown, among those propagated on arrays
            assert min(abs(each / option.relative_uncertainty - 1) for each in by_arrays) < 1e-9
    assert {one[0] for one in schemes} == {"direct", "two endpoints", "barium chloride", "back"}
    assert ("back", WEIGHED, 3) in schemes
    assert {("back", PIPETTED, 0), ("back", PIPETTED_FLASK, 0), ("back", WEIGHED_FLASK, 0)} <= schemes


def test_another_indicator_gives_what_the_method_with_it_in_place_of_its_own_would():
    for plan in plans():
        search = Search(plan.shelf, Upstream(no_file), float(plan.product.nominal.value),
                        lambda setup, plan=plan: expected_worksheet(setup, plan.product, plan.shelf, DAY))
        for option in plan.options:
            found = detailed(option.setup, search)
            for other in suitable_indicators(option.setup.method, round(found.strength_mol_per_L, 2)):
                changed = with_indicator(option.setup.method, other)
                full = detailed(replace(option.setup, method=changed), search).expanded
                assert expanded_with(other, option.setup, found, search) == pytest.approx(full, rel=1e-5)
                assert changed.endpoint.indicator == other.name != option.setup.method.endpoint.indicator


def test_an_indicator_with_a_large_error_makes_the_uncertainty_larger():
    plan = next(plans())
    option = option_with(plan, method="caustic-soda-by-barium-chloride")
    errors = [abs(one.titration_error_mL) + one.standard_uncertainty_mL for one in option.other_indicators]
    assert len(errors) > 1
    far, near = (option.other_indicators[errors.index(pick(errors))] for pick in (max, min))
    assert far.relative_uncertainty > near.relative_uncertainty


def test_a_substance_that_is_not_the_methods_own_needs_its_equivalents():
    salt = ('format = "assaywright product 1"\nname = "salt"\nsubstance = "sodium chloride"\nnominal = "5.844 g/L"\n'
            'methods = ["chloride-by-silver-nitrate"]\n')
    silver = SILVER.replace("0.1001 mol/L", "0.1000 mol/L")
    with pytest.raises(Refusal, match="determines Cl, and nothing tells how NaCl counts"):
        planned(shelf_of(*GLASS, silver), product_of(salt))
    plan = planned(shelf_of(*GLASS, silver), product_of(salt + "equivalents = 1\n"))
    # 25 mL × 5.844 g/L / 58.44 g/mol / 0.1000 mol/L = 25.00 mL, and the blank assumed on top of it, by hand
    assumed = 0.05 if load_method("chloride-by-silver-nitrate").blank.required else 0.0
    assert option_with(plan, PIPETTED).setup.titre_mL == pytest.approx(25.00 + assumed, abs=0.01)


@pytest.mark.parametrize("substance", ["sodium hydroxide", "calcium carbonate", "Cl"])
def test_every_assay_of_a_substance_is_found_without_reading_the_whole_library(substance):
    sought = product(substance, "1 % w/w")
    every = [one for one in map(load_method, method_names()) if one.kind == "assay"
             and parse_formula(one.analyte.formula).is_same_entity(parse_formula(sought.formula))]
    assert list(suitable_methods(sought)) == every
    assert every


def test_every_standardisation_of_the_library_is_planned():
    planned_ones = []
    for name in method_names():
        method = load_method(name)
        if method.kind != "standardisation":
            continue
        strength = max(method.titrant.nominal, key=lambda one: one.to("mol/L"))
        material = method.standard and (
            f'[[reference_material]]\nname = "{method.standard.name}"\nformula = "{method.standard.formula}"\n'
            'content = "99.9 % ± 0.05 %, k = 2"\ncertificate = { id = "RM-1" }\n')
        known = method.against and solution(method.against.name, method.against.formula, strength.text,
                                            f"{strength.text} ± {float(strength.value) / 1000} mol/L, k = 2")
        balance = BALANCE.replace('"0.08 mg"', '"0.01 mg"').replace('"0.1 mg"', '"0.01 mg"')
        shelf = shelf_of(vessel("burette", 50), vessel("burette", 10), vessel("pipette", 25), vessel("pipette", 5),
                         vessel("flask", 250), balance, material or known)
        plan = plan_standardisation(name, shelf, DAY, no_file, nominal=strength).plan
        planned_ones.append(name)
        assert plan.options[0].result.estimate.value == pytest.approx(strength.to("mol/L"), rel=1e-6)
    assert len(planned_ones) > 10


# --- at the bench -----------------------------------------------------------------------------------------------------


def test_the_guide_tells_the_reagent_the_blanks_and_both_endpoints():
    alkali, lime, _ = plans()
    option = option_with(lime, WEIGHED, 3)
    words = " ".join(bench_guide(lime, option, DAY, no_file).take)
    assert "50 mL of hydrochloric acid 1 mol/L with pipette P-50-1" in words
    assert "Make up 3 blanks alike" in words
    assert "more of it leaves less of the reagent and takes less titrant" in words
    assert f"about {option.setup.blank_mL:.2f} mL" in words
    sheet = pypdf.PdfReader(io.BytesIO(guide_pdf(bench_guide(lime, option, DAY, no_file))))
    page = " ".join(" ".join(one.extract_text() for one in sheet.pages).split())
    assert "Blanks titrated likewise, without a sample" in page
    assert all(f" B{number} " in f"{page} " for number in (1, 2, 3))
    option = option_with(alkali, method="caustic-soda-two-endpoints")
    guide = bench_guide(alkali, option, DAY, no_file)
    assert guide.free_to_mL < option.setup.first_mL < option.setup.titre_mL
    assert any(sentence.startswith("First endpoint") for sentence in guide.titrate)
    assert guide.indicator.index("phenolphthalein") < guide.indicator.index("methyl orange")
    assert "First, mL" in headings(guide)
    option = option_with(alkali, method="caustic-soda-by-barium-chloride")
    guide = bench_guide(alkali, option, DAY, no_file)
    assert any("two such aliquots" in sentence for sentence in guide.take)
    titrated = [one for one in guide.tables if {"Initial, mL", "Final, mL"} <= set(one.columns)]
    assert len(titrated) == 2  # hydroxide_initial and hydroxide_final of the worksheet have a place of their own


def headings(guide) -> set[str]:
    """Return every heading of a sheet's blanks."""
    return {column for one in guide.tables for column in one.columns}


def test_a_sheet_has_a_place_for_each_reading_of_the_worksheet_and_weighs_no_blank():
    # the fields of docs/worksheet.md: excess_pipette and excess_temperature, gross and tare of the portion
    _, lime, _ = plans()
    portions, titrations, blanks = bench_guide(lime, option_with(lime, WEIGHED, 3), DAY, no_file).tables
    assert portions.columns == ("Gross, g", "Tare, g", "Excess pipette", "Excess temp., °C")
    assert titrations.columns[:2] == ("Initial, mL", "Final, mL")
    assert blanks.lines == ("B1", "B2", "B3")
    assert "Excess temp., °C" in blanks.columns
    assert not {"Gross, g", "Tare, g"} & set(blanks.columns)


def test_a_dilution_has_a_line_of_its_own_and_an_aliquot_its_temperature():
    plan = planned(shelf_of(vessel("burette", 50), vessel("pipette", 25), vessel("flask", 250), vessel("flask", 100),
                            BALANCE, NORMAL_ACID))
    dilution, rest = bench_guide(plan, option_with(plan, WEIGHED_FLASK), DAY, no_file).tables
    assert dilution.columns[:4] == ("Gross, g", "Tare, g", "Flask", "Flask temp., °C")
    assert rest.columns[:2] == ("Pipette", "Aliquot temp., °C")
    dilution, rest = bench_guide(plan, option_with(plan, WEIGHED_DILUTION), DAY, no_file).tables
    assert {"Flask filled, g", "Flask empty, g"} <= set(dilution.columns)  # total_gross and total_tare
    assert rest.columns[:2] == ("Gross, g", "Tare, g")


def test_a_blank_that_fills_the_burette_leaves_no_room_for_the_start():
    # 50 mL × 0.9995 / 1.000 = 49.98 mL, by hand: it ends off the scale of 50 mL from a start at 0.05 mL
    nearly = solution("hydrochloric acid", "HCl", "1 mol/L").replace('"1 mol/L"', '"0.9995 mol/L"')
    with pytest.raises(Refusal, match="a blank that takes more titrant than the burette holds"):
        planned(shelf_of(*GLASS[::2], BALANCE, BASE, nearly), product(*LIME))


def test_a_blank_titrated_likewise_has_a_free_run_of_its_own():
    weaker = solution("hydrochloric acid", "HCl", "1 mol/L").replace('"1 mol/L"', '"0.96 mol/L"')
    plan = planned(shelf_of(*GLASS[::2], BALANCE, BASE, weaker), product(*LIME))
    guide = bench_guide(plan, plan.options[0], DAY, no_file)
    # 48.00 mL, the reagent within 5 % of what it is called, and a millilitre before: 44.6 mL, by hand
    assert guide.blank_free_to_mL == pytest.approx(0.95 * 48.00 - 1.0, abs=0.02)
    assert guide.free_to_mL < 17
