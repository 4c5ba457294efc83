"""What happens while a solution is made: heat at the hottest moment, vessels, forms of a solid, hazards by strength."""

import json
import math
import re

import pytest

from assaywright.assay.method import load_method, method_names
from assaywright.assay.prepare.steps import about
from assaywright.chemistry.classification import added_by_suppliers, classify_pure
from assaywright.chemistry.counting import count_equivalents
from assaywright.chemistry.heat import HeatPortion, warming
from assaywright.chemistry.heat_of_adding import warmest_where_they_meet, warmest_while_adding
from assaywright.chemistry.solute import find_solute
from tests.cli.terminal import call


def made(*arguments):
    answer = call("prepare", *arguments, "--json")
    assert answer.status == 0, answer.errors
    return json.loads(answer.output)


def page(*arguments):
    return " ".join(call("prepare", *arguments).output.split())


ACID = ("--of", "sulfuric acid", "--to", "5 mol/L", "--volume", "1 L", "--from", "96 % w/w")
LYE = ("--of", "sodium hydroxide", "--to", "5 mol/L", "--volume", "10 L", "--assay", "98.5 %")


# --- heat -------------------------------------------------------------------------------------------------------------


def test_acid_into_less_than_all_the_water_is_hotter():
    """n (L_96 - L_48)/(m c_p) = 5.00 mol × (88.9 − 36.5) kJ/mol ÷ (1010 g × 2.58 J/(g K)) = 100 K in 500 g of water.

    Heats of dilution after NBS Circular 500 and the heat capacity of 48 % after Perry, both from memory.
    """
    found = warming(find_solute("H2SO4"), [HeatPortion(510.0, 96.0), HeatPortion(500.0, 0.0)])
    assert found.rise_K == pytest.approx(5.00 * (88.9 - 36.5) * 1000 / (1010 * 2.58), abs=3)
    assert found.boils
    record = made(*ACID)
    assert "Put about 690 mL" in record["steps"][0] or "Put about 700 mL" in record["steps"][0]
    assert record["warming"]["rise_K"] < found.rise_K - 10


# Sources with their content, and what is made of each [% w/w]: acids and caustic in the trade, the strongest included.
STRONG = [("NaOH", "98.5", (4, 20, 33, 50)), ("KOH", "85", (10, 45)), ("H2SO4", "96", (10, 50, 70, 78, 93)),
          ("HCl", "37", (3.6, 17, 36)), ("HNO3", "65", (10, 53)), ("H3PO4", "85", (10, 60, 80)),
          ("acetic acid", "99.8", (10, 80))]


@pytest.mark.parametrize(("name", "source", "percent"), [(*one[:2], each) for one in STRONG for each in one[2]])
def test_the_vessel_never_holds_much_more_than_what_is_made(name, source, percent):
    """Read off the printed steps: the substance over all that is in the vessel, at most 1.1 times the final content.

    Acid into water and not the reverse; common practice, no source. The limit of 1.1 is our own.
    """
    of = ("--assay", f"{source} %") if name in ("NaOH", "KOH") else ("--from", f"{source} % w/w")
    record = made("--of", name, "--to", f"{percent} % w/w", "--mass", "100 kg", *of)
    strong_g, water_g = (one["mass_g"] for one in record["portions"])
    first_g = float(re.match(r"Weigh ([\d.]+) g of purified water", record["steps"][0])[1])
    pure_g = strong_g * float(source) / 100
    assert 0.85 * water_g < first_g <= water_g
    assert 100 * pure_g / (strong_g + first_g) <= 1.1 * percent
    rest = [step for step in record["steps"] if "the rest of the purified water" in step]
    assert bool(rest) == (first_g < water_g)
    assert all(step.startswith("Slowly and with stirring") for step in rest)
    assert not (rest and name == "H2SO4" and percent > 80)


@pytest.mark.parametrize(("name", "content", "source"), [
    ("sulfuric acid", "5 mol/L", "96"), ("sulfuric acid", "9 mol/L", "96"), ("NaOH", "10 mol/L", "50"),
    ("HCl", "6 mol/L", "37"), ("HNO3", "1 mol/L", "65")])
def test_towards_a_mark_only_what_rinses_and_fills_is_kept_back(name, content, source):
    """Read off the printed steps as above; a tenth of the whole is enough to rinse with and to fill: our own limit."""
    record = made("--of", name, "--to", content, "--volume", "1 L", "--from", f"{source} % w/w")
    strong_g, water_g = (one["mass_g"] for one in record["portions"])
    first_mL = float(re.match(r"Put about (\d+) mL of purified water", record["steps"][0])[1])
    assert first_mL < water_g
    assert (strong_g + water_g) / (strong_g + first_mL) <= 1.1


def test_an_uncertainty_that_leaves_the_source_out_says_so():
    """What is exact only because nothing was said of it: JCGM 100, 4.3, asks for every influence (from memory)."""
    assert "alone, for the content of sodium hydroxide was stated without one" in page(*LYE)
    stated = page("--of", "HCl", "--to", "1 mol/L", "--volume", "1 L", "--from", "37 % w/w ± 0.2 % w/w, k = 2")
    assert "as weighed and measured" in stated
    assert "stated without one" not in stated


def test_no_last_water_is_poured_to_a_mark_onto_acid_on_which_it_boils():
    told = page("--of", "sulfuric acid", "--to", "17 mol/L", "--volume", "1 L", "--from", "96 % w/w")
    assert "Check first The last water would come onto a mixture of 91.9 % w/w" in told
    assert "Check first" not in page(*ACID)


def test_a_vessel_is_held_against_the_hottest_moment():
    """3 mol/L: 294.2 g of acid in 306.5 g, 0.87 kg of water in all, about 780 g of it first; the limit lies between.

    The masses by hand from the definition, density 1.177 g/mL after CRC (from memory).
    """
    acid, water = HeatPortion(306.5, 96.0), HeatPortion(1177 - 306.5, 0.0)
    at_the_end = warming(find_solute("H2SO4"), [acid, water]).final_degC
    hottest = warming(find_solute("H2SO4"), [acid, HeatPortion(780.0, 0.0)]).final_degC
    limit = round((at_the_end + hottest) / 2)
    assert at_the_end < limit < hottest
    told = page("--of", "sulfuric acid", "--to", "3 mol/L", "--volume", "1 L", "--from", "96 % w/w",
                "--greatest-temperature", f"{limit} °C")
    assert f"above the {limit} °C" in told


def test_caustic_soda_in_nearly_all_of_the_water_rises_by_57_degrees():
    """50 mol × 44.5 kJ/mol (CRC after Parker) ÷ (10.9 kg × 3.58 J/(g K), lye of 18 %, from memory) = 57 K."""
    rise = made("--of", "NaOH", "--to", "5 mol/L", "--volume", "10 L")["warming"]["rise_K"]
    assert rise == pytest.approx(50 * 44.5 / (10.9 * 3.58), abs=3)


def test_the_hottest_moment_lies_on_the_way_when_strong_acid_stays_strong():
    """Made to 93 %, the mixture passes through the proportions that boil, and the rest of the acid cools it again."""
    acid = find_solute("H2SO4")
    portions = [HeatPortion(161.0, 0.0), HeatPortion(5000.0, 96.0)]
    assert warmest_while_adding(acid, portions).boils
    assert not warming(acid, portions).boils


def test_what_cools_is_told_at_its_coldest():
    """17.2 kJ/mol taken up (CRC after Parker): less water, colder."""
    portions = [HeatPortion(500.0, 0.0), HeatPortion(74.55, 100.0), HeatPortion(500.0, 0.0)]
    found = warmest_while_adding(find_solute("KCl"), portions)
    assert found.rise_K < warming(find_solute("KCl"), portions).rise_K < 0


def test_water_meets_oil_of_vitriol_above_its_boiling_point_and_hydrochloric_acid_far_below():
    """The reason for the rule of acid into water: common practice, no source."""
    water = HeatPortion(1.0, 0.0)
    assert warmest_where_they_meet(find_solute("H2SO4"), HeatPortion(1.0, 96.0), water).boils
    assert warmest_where_they_meet(find_solute("HCl"), HeatPortion(1.0, 37.0), water).final_degC < 50


def test_by_mass_the_rest_of_the_water_waits_until_the_mixture_has_cooled():
    """No water on a hot strong mixture, and none of it into a bottle of thick glass: common practice, no source."""
    steps = made("--of", "H2SO4", "--to", "48 % w/w", "--mass", "2 kg", "--from", "96 % w/w")["steps"]
    assert "heat-resistant vessel" in steps[0]
    order = [next(n for n, step in enumerate(steps) if words in step)
             for words in ("with stirring and cooling", "Let it cool", "add the rest", "filled into the bottle")]
    assert order == sorted(order)


def test_of_two_stocks_the_stronger_goes_into_the_weaker():
    """Acid into the weaker: common practice, no source."""
    record = made("--of", "sulfuric acid", "--to", "40 % w/w", "--mass", "2 kg", "--from", "96 % w/w", "--from",
                  "10 % w/w")
    assert "stronger acid goes slowly into the weaker" in record["cautions"]["first"][0]
    assert "kept back" not in " ".join(record["cautions"]["first"])
    put = " ".join(record["steps"])
    assert put.index("sulfuric acid 10 % w/w into") < put.index("add the sulfuric acid 96 % w/w slowly")


def test_at_most_is_never_below_the_start_and_the_rise():
    """20 °C and 0.4 K are 20.4 °C: at most 21 in whole degrees."""
    told = page("--of", "hydrochloric acid", "--to", "0.1 mol/L", "--volume", "1 L", "--from", "37 % w/w")
    (rise, most), = re.findall(r"Warms by ([\d.]+) K, to (\d+) °C", told)
    assert int(most) == math.ceil(20 + float(rise))


def test_strong_lye_gives_off_more_heat_than_the_first_row_of_the_table():
    """50 % NaOH is 2.22 mol of water per mole, the table begins at 3 (42.6 %) and L falls by 5.56 kJ/mol to 4 mol.

    On that slope 50 % has 18.3 kJ/mol and 40 % (3.33 mol) 12.2: 62.5 kmol × 6.2 kJ/mol ÷ (6250 kg × 3.3 J/(g K)) =
    19 K. Heats after NBS Circular 500, heat capacity after Perry, both from memory; the curve bends upwards.
    """
    at_least = 62.5e3 * (18.3 - 12.2) / (6250 * 3.35)
    found = warming(find_solute("NaOH"), [HeatPortion(5000.0, 50.0), HeatPortion(1250.0, 0.0)])
    assert at_least <= found.rise_K < 1.4 * at_least
    assert found.beyond_table
    assert not warming(find_solute("NaOH"), [HeatPortion(5000.0, 42.0), HeatPortion(1250.0, 0.0)]).beyond_table


def test_nothing_added_to_strong_lye_sets_no_heat_free():
    """A sum over one portion is that portion: the two ways of going beyond the table are never mixed."""
    assert warming(find_solute("NaOH"), [HeatPortion(5000.0, 50.0)]).rise_K == pytest.approx(0.0, abs=1e-9)


def test_beyond_the_table_is_said_and_printed_on_the_safe_side():
    """NaOH 50 % to 5 mol/L, 10 L: 50 mol × (18.3 kJ/mol or more) ÷ (11.8 kg × 3.5 J/(g K)) = 22 K at the end."""
    arguments = ("--of", "NaOH", "--to", "5 mol/L", "--volume", "10 L", "--from", "50 % w/w")
    assert made(*arguments)["warming"]["rise_K"] > 50 * 18.3 / (11.8 * 3.5)
    assert "beyond the table" in page(*arguments)


def test_solid_caustic_made_to_strong_lye_is_not_made_cooler_by_going_beyond_the_table():
    """To 50 %: at most 44.5 − 18.3 kJ/mol by the slope against moles of water; the steeper curve would say less."""
    found = warming(find_solute("NaOH"), [HeatPortion(500.0, 100.0), HeatPortion(500.0, 0.0)])
    assert found.heat_kJ == pytest.approx(12.5 * (44.51 - 18.3), rel=0.01)


def test_strong_potash_lye_whose_heat_is_not_held_is_not_called_cool():
    """Only the solid's heat of solution is held; a lye of 45 % gives off heat when diluted: common practice."""
    told = page("--of", "KOH", "--to", "5 mol/L", "--volume", "10 L", "--from", "45 % w/w")
    assert "How warm it gets is not known here" in told


def test_what_boils_still_names_the_limit_of_the_vessel():
    told = page("--of", "sulfuric acid", "--to", "5 mol/L", "--volume", "10 L", "--from", "96 % w/w",
                "--greatest-temperature", "99 °C")
    danger = told[told.index("DANGER"):].partition("Add in small portions")[0]
    assert "above the 99 °C that the vessel may take" in danger
    assert "boil and spit" in danger


def test_a_cold_dilution_by_mass_is_not_said_to_spit():
    """Hydrogen peroxide in water: no heat of note, common practice, no source."""
    steps = " ".join(made("--of", "H2O2", "--to", "3 % w/w", "--mass", "1 kg", "--from", "30 % w/w")["steps"])
    assert "spits" not in steps
    assert "Should it have grown warm, let it cool" in steps


# --- water and vessels ------------------------------------------------------------------------------------------------


def test_the_water_to_the_mark_is_what_the_masses_leave():
    """11 848 g of solution less 2030 g of caustic soda of 98.5 %: 9818 g; density of 5 mol/L after CRC, from memory."""
    water = made(*LYE)["portions"][1]
    assert water["mass_g"] == pytest.approx(11_848 - 2030, rel=0.002)
    assert "9.84 L" in water["text"]


def test_large_volumes_are_written_without_powers_of_ten():
    assert about(129_600, 2) == "130 L"
    assert about(518_000, 2) == "520 L"
    for litres in ("200 L", "800 L"):
        steps = " ".join(made("--of", "NaCl", "--to", "0.1 mol/L", "--volume", litres, "--readability", "1 g")["steps"])
        assert "e+" not in steps


def test_what_grows_hot_is_dissolved_apart_and_cooled_before_it_meets_the_flask():
    """A flask holds its volume at 20 °C (ISO 4787, from memory); rinsing the beaker into it: common practice."""
    steps = made(*ACID)["steps"]
    assert "into a beaker" in steps[0]
    cooled = next(n for n, step in enumerate(steps) if "come to 20 °C" in step)
    transferred = next(n for n, step in enumerate(steps) if "Transfer it to the flask" in step)
    filled = next(n for n, step in enumerate(steps) if "Make up" in step)
    assert cooled < transferred < filled
    assert "rinse the beaker into it three times" in steps[transferred]


def test_a_cool_dilution_goes_into_the_flask_at_once():
    steps = made("--of", "hydrochloric acid", "--to", "0.1 mol/L", "--volume", "1 L", "--from", "37 % w/w")["steps"]
    assert "into the flask" in steps[0]
    assert "beaker" not in " ".join(steps)


@pytest.mark.parametrize("litres", ["10 L", "1000 L"])
def test_no_volumetric_flask_holds_more_than_two_litres(litres):
    """Common practice, no source."""
    record = made("--of", "NaOH", "--to", "5 mol/L", "--volume", litres, "--readability", "1 g")
    assert "flask" not in " ".join(record["steps"])
    assert "tank" in record["steps"][0]
    assert any("more than a volumetric flask takes" in note for note in record["notes"])


def test_masses_need_no_density():
    """10 kg of 3 % from 30 %: 10 × 3/30 = 1 kg and 9 kg of water."""
    record = made("--of", "hydrogen peroxide", "--to", "3 % w/w", "--mass", "10 kg", "--from", "30 % w/w")
    assert [one["mass_g"] for one in record["portions"]] == pytest.approx([1000, 9000])
    assert record["result"]["value"] == pytest.approx(3.0)
    refused = call("prepare", "--of", "hydrogen peroxide", "--to", "3 % w/w", "--volume", "10 L", "--from", "30 % w/w")
    assert refused.status == 2
    assert "density" in refused.errors


# --- what is weighed --------------------------------------------------------------------------------------------------


def test_a_solid_is_named_with_its_formula_and_the_hydrate_that_bottles_hold():
    """Labels: disodium edetate 336.21 g/mol, its dihydrate 372.24 g/mol; 0.05 mol of it 18.61 g."""
    told = page("--of", "disodium edetate", "--to", "0.05 mol/L", "--volume", "1 L")
    before, after = told.split("WHAT MAKES IT UNCERTAIN")
    assert "C10H14N2Na2O8, 336.21 g/mol" in before
    assert "C10H14N2Na2O8·2H2O, 372.24 g/mol" in after
    assert f"{0.05 * 372.24:.2f} g for as much" in after


def test_a_substance_of_one_form_has_no_note_on_others():
    assert "is sold as" not in page("--of", "potassium chloride", "--to", "0.1 mol/L", "--volume", "1 L")


@pytest.mark.parametrize(
    ("name", "assay", "code"),
    [("potassium permanganate", "99", "H272"), ("silver nitrate", "99.9", "H272"),
     ("potassium dichromate", "99.9", "H272"), ("potassium bromate", "99.8", "H271")],
)
def test_a_solid_of_less_than_100_percent_keeps_its_hazards(name, assay, code):
    """Classes of the solids, Regulation (EC) 1272/2008, Annex VI, and suppliers for bromate, from memory."""
    record = made("--of", name, "--to", "0.01 mol/L", "--volume", "1 L", "--assay", f"{assay} %")
    hazards = record["cautions"]["hazards"]
    (solid,) = (one for one in hazards if one.startswith(f"{name}:"))
    assert code in solid
    assert {one.code for one in classify_pure(name)} >= {code}


@pytest.mark.parametrize(
    ("name", "source"),
    [("hydrochloric acid", ("--from", "37 % w/w")), ("sulfuric acid", ("--from", "96 % w/w")),
     ("sodium hydroxide", ("--from", "50 % w/w")), ("sodium hydroxide", ("--assay", "99 %"))],
)
def test_source_and_solution_alike_corrode_metals(name, source):
    """H290 as suppliers add it; no limit of concentration decides it (from memory)."""
    hazards = made("--of", name, "--to", "5 mol/L", "--volume", "1 L", *source)["cautions"]["hazards"]
    assert all("H290" in one for one in hazards)


@pytest.mark.parametrize(
    ("named", "substance", "percent"),
    [("hydrochloric acid, 25 % w/w and more", "hydrochloric acid", 25.0),
     ("hydrochloric acid under 10 % w/w (1 mol/L is about 3.6 %)", "hydrochloric acid", 3.6),
     ("sodium hydroxide solution, 2 % to under 5 % w/w (0.51 mol/L to 1.3 mol/L)", "sodium hydroxide", 2.0),
     ("sulfuric acid, 15 % w/w and more", "sulfuric acid", 15.0),
     ("phosphoric acid, 25 % w/w and more", "phosphoric acid", 25.0)],
)
def test_methods_and_preparations_print_the_same_for_metals(named, substance, percent):
    """Both say what suppliers add; a method that no longer does fails here."""
    told = {hazard for name in method_names() for hazard in load_method(name).cautions.hazards
            if hazard.substance == named}
    assert told
    assert all("H290" in hazard.codes for hazard in told)
    assert [one.code for one in added_by_suppliers(substance, percent)] == ["H290"]


# --- counting ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("solute", "reaction", "number"),
    [("H2SO4", "H2SO4 + 2 NaOH -> Na2SO4 + 2 H2O", 2), ("H2SO4", "H2SO4 + NaOH -> NaHSO4 + H2O", 1),
     ("NaOH", "H2SO4 + 2 NaOH -> Na2SO4 + 2 H2O", 1), ("H3PO4", "H3PO4 + 2 KOH -> K2HPO4 + 2 H2O", 2),
     ("Ca(OH)2", "Ca(OH)2 + 2 HCl -> CaCl2 + 2 H2O", 2)],
)
def test_a_neutralisation_written_with_whole_substances_counts_its_hydroxide(solute, reaction, number):
    """An equivalent answers to one OH-: IUPAC Compendium of Chemical Terminology, equivalent entity."""
    assert count_equivalents(find_solute(solute), reaction).number == number


def test_a_reaction_that_counts_nothing_is_refused_where_it_stands():
    answer = call("prepare", "--of", "H2SO4", "--to", "1 eq/L", "--volume", "1 L", "--from", "96 % w/w", "--reaction",
                  "H2SO4 + BaCl2 -> BaSO4 + 2 HCl")
    assert answer.status == 2
    assert answer.errors.startswith("reaction")
    assert "with its ions" in answer.errors


# --- hazards of what is made where no density is held -----------------------------------------------------------------


def test_a_weak_carcinogen_is_labelled_without_a_density():
    """0.0167 mol/L × 167.0 g/mol = 2.79 g/L, 0.28 %: above 0.1 %, the limit of category 1 (UN GHS, table 3.6.1)."""
    told = page("--of", "potassium bromate", "--to", "0.0167 mol/L", "--volume", "1 L")
    line = told[told.index("the solution made"):].partition("Wear:")[0]
    assert "0.28 % w/w, its density taken as 1 g/mL" in line
    assert "H350" in line


@pytest.mark.parametrize("name", ["KCN", "HgCl2", "phenol", "K2CrO4", "KIO3"])
def test_no_weak_solution_is_passed_over(name):
    assert "the solution made, 0.1 mol/L" in page("--of", name, "--to", "0.1 mol/L", "--volume", "1 L")


def test_a_strong_solution_of_unknown_density_is_said_not_to_be_judged():
    """1 mol/L of K2CrO4 is 194 g/L, far above 5 %."""
    told = page("--of", "K2CrO4", "--to", "1 mol/L", "--volume", "1 L")
    assert "the solution made, 1 mol/L: not judged" in told


# --- steps that a balance for so much has -----------------------------------------------------------------------------


def test_half_a_tonne_is_not_weighed_to_the_hundredth_of_a_gram():
    """A balance that takes 500 kg shows 0.1 kg, one of 6 kg shows 0.01 g: common practice, no source."""
    acid = " ".join(made("--of", "sulfuric acid", "--to", "5 mol/L", "--volume", "1000 L", "--from",
                         "96 % w/w")["steps"])
    assert re.search(r"Weigh 51\d\.\d kg of sulfuric acid", acid)
    salt = " ".join(made("--of", "NaCl", "--to", "0.01 % w/w", "--mass", "1000 kg")["steps"])
    assert "Weigh 100.00 g of NaCl" in salt
    assert "999.9 kg are in it altogether" in salt


def test_a_readability_that_is_stated_is_kept():
    steps = made("--of", "sulfuric acid", "--to", "5 mol/L", "--volume", "1000 L", "--from", "96 % w/w",
                 "--readability", "10 g")["steps"]
    assert re.search(r"Weigh 51\d{3}0 g of", " ".join(steps))


def test_a_gas_is_asked_for_as_its_solution_and_never_by_assay():
    """37 % is hydrochloric acid's strength, no ammonia's; an assay of the gas would be refused as well."""
    refused = call("prepare", "--of", "NH3", "--to", "1 mol/L", "--volume", "1 L")
    assert refused.status == 2
    told = " ".join(refused.errors.split())
    assert "gas" in told
    assert "--from" in told
    assert "--assay" not in told
    assert "37 %" not in told
    advised = re.search(r'--from "([^"]+)"', told).group(1)
    assert call("prepare", "--of", "NH3", "--to", "1 mol/L", "--volume", "1 L", "--from", advised).status == 0
