"""Preparations that cannot be, or that say two things at once: one sentence, before anything is worked out."""

import re

import pytest

from tests.cli.terminal import assert_refused_in_one_sentence, call

SALT = ("prepare", "--of", "sodium chloride", "--to", "0.1 mol/L", "--volume", "1 L")
FILE = """
format = "assaywright preparation 1"
id = "PR-1"
substance = "hydrochloric acid"
content = "2 mol/L"
volume = "1 L"
responsible = "Maren Tolliver"
[[source]]
name = "hydrochloric acid 37 %"
content = "37 % w/w"
"""


def refused(*arguments):
    answer = call(*arguments)
    assert_refused_in_one_sentence(answer)
    return answer.errors


def of_file(folder, text, *more):
    path = folder / "prep.toml"
    path.write_text(text, encoding="utf-8")
    return call("prepare", path, *more)


@pytest.mark.parametrize("option", [
    ("--to", "1 mol/L"), ("--volume", "3 L"), ("--mass", "3 kg"), ("--from", "37 % w/w"), ("--assay", "99 %"),
    ("--temperature", "25 °C"), ("--tolerance", "0.4 mL"), ("--responsible", "Ines Okafor"),
])
def test_an_option_that_the_file_says_itself_is_refused(option, tmp_path):
    assert_refused_in_one_sentence(of_file(tmp_path, FILE, *option), f"{option[0]} is given beside the file")


def test_a_seed_of_no_simulation_and_a_replacement_of_nothing_are_refused(tmp_path):
    assert "--seed is given and nothing is simulated" in refused(*SALT, "--seed", "1")
    assert call(*SALT, "--seed", "1", "--monte-carlo", "2000").status == 0
    assert "nothing to replace" in refused(*SALT, "--replace")
    assert "nothing to replace" in refused("adjust", "a.toml", "--replace")
    assert "nothing to replace" in refused("blend", "b.toml", "--replace")


@pytest.mark.parametrize("asked", [SALT, ("adjust", "a.toml"), ("blend", "b.toml")])
def test_a_sheet_is_a_PDF_by_its_name(asked, tmp_path):
    assert "its name does not end in .pdf" in refused(*asked, "-o", tmp_path / "x.txt")
    assert not (tmp_path / "x.txt").exists()


@pytest.mark.parametrize(("option", "said"), [
    (("--assay", "120 %"), "120 % is more than all of the solid"),
    (("--assay", "101 %"), "101 % is more than all of the solid"),
    (("--assay", "100.5 % ± 0.2 %, k = 2"), "is more than all of the solid"),
    (("--water", "100 %"), "at most 90 %"),
    (("--water", "120 %"), "at most 90 %"),
    (("--tolerance", "5 L"), "more than a twentieth of 1 L"),
    (("--greatest-temperature", "5 °C"), "cannot hold a solution at 20 °C"),
    (("--assay", "nan % "), '"nan %" is not a finite number'),
])
def test_nonsense_is_refused_with_the_option_that_holds_it(option, said):
    answer = refused(*SALT, *option)
    assert said in answer
    assert answer.startswith(option[0])


def test_what_a_name_says_is_the_substance_or_it_is_refused(tmp_path):
    wrong = FILE.replace('name = "hydrochloric acid 37 %"', 'name = "{}"')
    for name in ("caustic soda liquor", "NaOH 50 %", "concentrated nitric acid"):
        assert_refused_in_one_sentence(of_file(tmp_path, wrong.format(name)), "hydrochloric acid (HCl) is wanted")
    for name in ("muriatic acid 20 °Bé", "HCl, drum 7", "hydrogen chloride solution"):
        assert of_file(tmp_path, wrong.format(name)).status == 0, name
    assert_refused_in_one_sentence(of_file(tmp_path, FILE.replace('"1 L"', '"1e12 L"')), "more than any tank holds")


def test_an_assay_above_100_within_its_uncertainty_is_taken():
    assert call(*SALT, "--assay", "100.1 % ± 0.2 %, k = 2").status == 0
    assert call(*SALT, "--assay", "100.1 % w/w ± 0.1 % w/w, standard", "--water", "0.5 % w/w").status == 0


def test_the_remedy_for_a_comma_in_an_option_names_no_file():
    answer = refused(*SALT, "--assay", "99,5 %")
    assert "write 99.5" in answer
    assert "decimal_mark" not in answer


def test_a_flask_has_one_mark(tmp_path):
    assert_refused_in_one_sentence(
        of_file(tmp_path, FILE + '[vessel]\nkind = "flask"\ncapacity = "2 L"\n'), "prep.toml", "vessel, capacity",
        "has one mark")


@pytest.mark.parametrize(("fields", "said"), [
    ('tolerance = "100 mL"', "vessel, tolerance"), ('greatest_temperature = "5 °C"', "vessel, greatest_temperature"),
])
def test_a_vessel_that_cannot_be_is_refused_in_a_file(fields, said, tmp_path):
    assert_refused_in_one_sentence(of_file(tmp_path, f"{FILE}[vessel]\n{fields}\n"), said)


# --- what can be made and measured ------------------------------------------------------------------------------------


def test_a_temperature_of_making_up_is_refused_where_nothing_is_made_up(tmp_path):
    bottle = FILE + '[vessel]\nkind = "bottle"\n'
    assert of_file(tmp_path, bottle).status == 0
    warm = bottle.replace('volume = "1 L"', 'volume = "1 L"\ntemperature = "35 °C"')
    assert_refused_in_one_sentence(of_file(tmp_path, warm), "temperature: 35 °C", "the bottle is weighed in")


def test_a_gas_is_not_weighed_out(tmp_path):
    for name in ("NH3", "ammonia"):
        assert "by itself it is a gas" in refused("prepare", "--of", name, "--to", "1 mol/L", "--volume", "1 L")
        assert "is a gas, which is not weighed out" in refused(
            "prepare", "--of", name, "--to", "1 mol/L", "--volume", "1 L", "--assay", "99.9 %")
    told = page("--of", "NH3", "--to", "1 mol/L", "--volume", "1 L", "--from", "25 % w/w")
    assert "1 L of ammonia 1 mol/L" in told
    assert "H314" in told


def test_normality_without_a_reaction_asks_for_it_and_with_one_is_made():
    """1 mol of H2SO4 has 2 equivalents in its neutralisation: 0.1 eq/L are 0.05 mol/L."""
    asked = ("prepare", "--of", "sulfuric acid", "--to", "0.1 eq/L", "--volume", "1 L", "--from", "98 % w/w")
    answer = refused(*asked)
    assert "name the reaction" in answer
    assert "nearest" not in answer
    told = " ".join(call(*asked, "--reaction", "H2SO4 + 2 NaOH -> Na2SO4 + 2 H2O", "--json").output.split())
    other = " ".join(call(*asked[:4], "0.05 mol/L", *asked[5:], "--json").output.split())
    mass = '"text": '
    assert told.split(mass)[1] == other.split(mass)[1]


def test_what_is_counted_can_be_named():
    """1 mol of KIO3 takes up 6 mol of electrons on its way to iodide: KIO3 + 6 e- (half-reaction, common practice)."""
    asked = ("prepare", "--of", "potassium iodate", "--to", "0.1 eq/L", "--volume", "1 L", "--reaction",
             "IO3- + 6 H+ + 6 e- -> I- + 3 H2O")
    counted = call(*asked, "--counting", "e-")
    assert counted.status == 0, counted.errors
    assert "3.57 g" in counted.output  # 0.1/6 mol × 214.0 g/mol


TOO_STRONG = ("--of", "sulfuric acid", "--to", "99 % w/w", "--from", "98 % w/w")


@pytest.mark.parametrize(("arguments", "wrong", "right"), [
    ((*TOO_STRONG, "--mass", "1 kg"), "(99 % w/w)", "99 % w/w is"),
    ((*TOO_STRONG, "--mass", "1 kg"), "itself, 98", "itself"),
    (("--of", "sodium chloride", "--to", "1 % w/w", "--mass", "1 kg", "--readability", "100 kg"), "e+", "0.01 kg of"),
])
def test_amounts_and_contents_are_written_once_and_in_plain_figures(arguments, wrong, right):
    answer = refused("prepare", *arguments)
    assert wrong not in answer
    assert right in answer


# --- what is said at the top ------------------------------------------------------------------------------------------


def page(*arguments):
    answer = call("prepare", *arguments)
    assert answer.status == 0, answer.errors
    return " ".join(answer.output.split())


def of(substance, *more):
    return page("--of", substance, "--to", "0.1 mol/L", "--volume", "1 L", *more)


@pytest.mark.parametrize("substance", ["NaCN", "CuSO4", "NaN3"])
def test_that_no_hazards_are_held_comes_before_anything_else(substance):
    told = of(substance)
    assert told.index("CAUTIONS") < told.index("NO HAZARDS ARE HELD") < told.index("Wear:")
    made = r" and the solution made, 0\.1 mol/L(?: \([^)]*1 g/mL\))?"
    assert re.search(rf"{substance}(?:{made})?: no hazards are held; read", told)
    assert "NO HAZARDS" not in of("sodium hydroxide")


def test_the_hazards_of_another_hydrate_are_told():
    """Copper(II) sulfate pentahydrate: H302, H318, H410 (Regulation (EC) 1272/2008, Annex VI, from memory)."""
    told = of("CuSO4")
    assert "Of another form, copper(II) sulfate pentahydrate: H302" in told


@pytest.mark.parametrize(("substance", "said"), [
    ("benzoic acid", True), ("EDTA", True), ("NaCN", True), ("sodium chloride", False), ("potassium iodate", False),
])
def test_a_solubility_that_was_not_checked_is_said(substance, said):
    """Sodium chloride and potassium iodate have solubilities in every handbook's table; the tables here too."""
    assert ("Check first The solubility of" in of(substance)) is said


def test_iodine_needs_iodide():
    """0.3 g/L dissolve in water alone (handbooks, from memory); 12.7 g/L are 0.05 mol/L."""
    told = page("--of", "iodine", "--to", "0.05 mol/L", "--volume", "1 L")
    assert "Check first iodine hardly dissolves in water alone" in told
    steps = told[told.index("STEPS"):]
    assert "potassium iodide" in steps


def test_a_density_far_from_the_table_is_said_at_the_top():
    """Hydrochloric acid of 37 % w/w has 1.18 g/mL at 20 °C (CRC Handbook, from memory)."""
    asked = ("--of", "hydrochloric acid", "--to", "1 mol/L", "--volume", "1 L", "--from", "37 % w/w", "--density")
    assert "Check first Density of hydrochloric acid 37 % w/w: 1.5 g/mL is stated" in page(*asked, "1.5 g/mL")
    assert "Check first" not in page(*asked, "1.18 g/mL")


# --- steps and heat ---------------------------------------------------------------------------------------------------


def test_water_that_is_weighed_is_weighed_from_the_first(tmp_path):
    text = FILE.replace('volume = "1 L"', 'mass = "100 kg"') + 'readability = "0.01 kg"\n'
    told = " ".join(of_file(tmp_path, text).output.split())
    first, acid, rest, all_of_it, whole = (float(re.search(pattern, told)[1]) for pattern in (
        r"Weigh ([\d.]+) kg of purified water", r"Weigh ([\d.]+) kg of hydrochloric acid 37 %",
        r"rest of the purified water, ([\d.]+) kg", r"so that ([\d.]+) kg are in it altogether",
        r"then weighs ([\d.]+) kg"))
    assert first + rest == pytest.approx(all_of_it)
    assert acid + all_of_it == pytest.approx(whole) == pytest.approx(100.0)
    assert not re.search(r"Put about [\d.]+ L", told)


def test_a_fall_of_temperature_is_told_as_one():
    """Potassium iodide dissolves with about 20 kJ/mol taken up, ammonium nitrate with 25.7 (handbooks, from memory)."""
    for name in ("ammonium nitrate", "potassium chloride", "ammonium chloride"):
        told = page("--of", name, "--to", "1 mol/L", "--volume", "1 L")
        assert "Warms by" not in told
        assert "colder" not in told
        if found := re.search(r"Cools by ([\d.]+) K, to (\d+) °C at least", told):
            assert int(found[2]) <= 20 - float(found[1]) + 0.051


def test_a_hot_source_above_what_the_vessel_may_take_is_no_rise_of_nothing():
    from assaywright.assay.prepare.safety import heat_sentences
    from assaywright.chemistry.heat import Warming

    told = " ".join(heat_sentences(Warming(0.1, 0.1, 55.0, (), recalled=False, water_only=False), 50.0))
    assert "a rise of 0 K" not in told
    assert "above the 50 °C that the vessel may take" in told


# --- which field holds it ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("old", "new", "where"), [
    ('substance = "hydrochloric acid"', 'substance = "Xx"', "prep.toml: substance: no substance 'Xx' is held"),
    ('volume = "1 L"', 'volume = "1 L"\nreaction = "rubbish"', 'prep.toml: reaction: "rubbish" is no reaction'),
    ('name = "hydrochloric acid 37 %"', 'name = "A"\nsubstance = "Xx"', "prep.toml: source A: substance: no substance"),
])
def test_a_refusal_names_the_file_and_the_field(old, new, where, tmp_path):
    assert old in FILE
    assert_refused_in_one_sentence(of_file(tmp_path, FILE.replace(old, new, 1)), where)
