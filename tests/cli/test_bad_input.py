"""What cannot be, typed at the command line: one sentence that says what and where, and exit status 2."""

from importlib.resources import files

import pytest

from tests.cli.terminal import assert_refused_in_one_sentence, call

SYSTEM = """format = "assaywright system 1"
title = "a titration"
type = "{kind}"
{more}
[flask]
volume = "25 mL"

[[analyte]]
substance = "{analyte}"
concentration = "{concentration}"

[titrant]
substance = "{titrant}"
concentration = "0.1 mol/L"
"""
EDTA = "disodium edetate dihydrate"


def system(folder, kind, analyte, titrant, more="", concentration="0.1 mol/L"):
    path = folder / "system.toml"
    path.write_text(SYSTEM.format(kind=kind, analyte=analyte, titrant=titrant, more=more, concentration=concentration),
                    encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        (("1 mol/L", "--of", "H2SO5Q", "--to", "g/L"), "has no element of that symbol at character 6"),
        (("1 mol/L", "--of", "unobtainium", "--to", "g/L"), "no substance 'unobtainium' is held"),
        (("0.1 N", "--of", "KMnO4", "--to", "mol/L"), "no reaction is named"),
        (("0.1 N", "--of", "KMnO4", "--to", "mol/L", "--reaction", "MnO4- + 5 e- -> Mn2+ + 4 H2O"), "does not balance"),
        (("105 % w/w", "--of", "HCl", "--to", "mol/L", "--density", "1.2 g/mL"), "105 % w/w of hydrochloric acid"),
        (("30 mol/L", "--of", "H2SO4", "--to", "% w/w", "--density", "1.84 g/mL"), "cannot be"),
        (("30 % w/w", "--of", "NaCl", "--to", "mol/L"), "more than dissolves in water"),
        (("300 g/L", "--of", "KMnO4", "--to", "mol/L"), "more than dissolves in water"),
        (("0.1 mol/L", "--of", "AgCl", "--to", "g/L"), "far more than dissolves in water"),
        (("0.5 mol/L", "--of", "BaSO4", "--to", "g/L"), "far more than dissolves in water"),
        (("60 mol/L", "--of", "H2O2"), "more than 100 % w/w"),
        (("20 % w/w", "--of", "CaCO3"), "far more than dissolves in water"),
        (("10 mol/L", "--of", "AgCl"), "far more than dissolves in water"),
        (("30 mol/L", "--of", "NaOH"), "more than dissolves in water"),
        (("25 mol/L", "--of", "HCl"), "more than dissolves in water"),
        (("20 % w/w", "--of", "NaOH", "--of", "KOH"), "--of is given twice"),
        (("-1 mol/L", "--of", "HCl", "--to", "g/L"), "give one of zero or more"),
        (("nan mol/L", "--of", "HCl", "--to", "g/L"), "not a finite number"),
    ],
)
def test_a_content_that_cannot_be_is_not_converted(arguments, piece):
    """Solubilities in water at 20 °C: NaCl 26 %, KMnO4 6 %, NaOH 52 %, HCl 42 % w/w (handbooks, from memory).

    Silver chloride, barium sulfate and calcium carbonate hardly dissolve; H2O2 has 1.45 g/mL (from memory).
    """
    assert_refused_in_one_sentence(call("convert", *arguments), piece)


@pytest.mark.parametrize(
    "arguments",
    [
        ("0.05 mol/L", "--of", "I2", "--to", "g/L"),  # a titrant: dissolved with iodide
        ("1 mg/L", "--of", "AgCl", "--to", "mol/L"),
        ("25 % w/w", "--of", "NaCl", "--to", "% w/v"),
        ("1 g/L", "--of", "Ca(OH)2", "--to", "mol/L"),
    ],
)
def test_a_content_that_can_be_is_converted(arguments):
    answer = call("convert", *arguments)
    assert (answer.status, answer.errors) == (0, "")


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        (("XyZ2",), "has no element of that symbol"),
        (("Na2(CO3",), "a bracket that is empty or not closed"),
        (("unobtainium",), "no substance 'unobtainium' is held"),
        (("HCl", "--content", "105 % w/w"), "a mass fraction of 105 %"),
        (("NaCl", "--content", "50 % w/w"), "more than dissolves in water"),
        (("NaCl", "--content", "-1 % w/w"), "a mass fraction of -1 %"),
        (("Na2CO3", "--content", "much"), "--content"),
    ],
)
def test_what_is_no_substance_or_no_strength_is_not_looked_up(arguments, piece):
    assert_refused_in_one_sentence(call("substance", *arguments), piece)


@pytest.mark.parametrize(
    ("kind", "analyte", "titrant", "more", "piece"),
    [
        ("acid-base", "XyZ2", "NaOH", "", "no substance 'XyZ2' is held"),
        ("acid-base", "sucrose", "NaOH", "", "no substance 'sucrose' is held"),
        ("acid-base", "acetic acid", "acetic acid", "", "without an equivalence point"),
        ("acid-base", "acetic acid", "NaOH", 'carbon_dioxide = "0.5 mol/L"', "dissolves under one atmosphere"),
        ("complexometric", "Na+", EDTA, 'pH = "10"', "no metal that EDTA binds"),
        ("complexometric", "Zn2+", "Mg2+", 'pH = "10"', "no metal that EDTA binds, or no EDTA"),
        ("complexometric", "Zn2+", EDTA, "", "the pH of a complexometric titration is not stated"),
        ("complexometric", "Zn2+", EDTA, 'pH = "99"', "a pH of 99"),
        ("complexometric", "Zn2+", EDTA, 'pH = "10"\nfollowed = "Ca2+"', "Ca2+ takes no part"),
        ("complexometric", "Zn2+", EDTA, 'pH = "10"\nionic_strength = "50 mol/L"', "an ionic strength of 50 mol/L"),
        ("complexometric", "Zn2+", EDTA, 'pH = "10"\nconstants = "Nobody"', "the set 'Nobody' holds no constant"),
        ("complexometric", "Zn2+", EDTA, 'pH = "10"\nligand = [{name = "tea", concentration = "1 mol/L"}]', "'tea'"),
        ("precipitation", "NaNO3", "AgNO3", "", "no sparingly soluble salt is held"),
        ("precipitation", "NaCl", "AgNO3", 'followed = "Zn2+"', "takes no part"),
        ("redox", "Na+", "Ce4+", "", "no redox couple of Na+ is held"),
        ("redox", "Fe2+", "Ce4+", 'medium = "lemonade"', "in lemonade is held"),
        ("redox", "Fe2+", "Ce4+", 'couple = [{ name = "Un3+/Un2+" }]', "'Un3+/Un2+'"),
    ],
)
def test_a_curve_without_its_constants_is_refused(kind, analyte, titrant, more, piece, tmp_path):
    assert_refused_in_one_sentence(call("curve", system(tmp_path, kind, analyte, titrant, more)), "system.toml", piece)


@pytest.mark.parametrize(
    ("analyte", "concentration", "piece"),
    [("NaHCO3", "5 mol/L", "more than dissolves in water"), ("acetic acid", "60 mol/L", "give 1e-08 to 20 mol/L"),
     ("acetic acid", "19 mol/L", "a litre of the pure substance weighs")],
)
def test_a_solution_that_cannot_be_made_is_not_followed(analyte, concentration, piece, tmp_path):
    """Sodium hydrogencarbonate: 9.6 g in 100 g of water at 20 °C; a litre of acetic acid is 17.5 mol: handbooks."""
    path = system(tmp_path, "acid-base", analyte, "HCl" if analyte == "NaHCO3" else "NaOH", concentration=concentration)
    assert_refused_in_one_sentence(call("curve", path), "system.toml", piece)


def test_a_titrant_stronger_than_dissolves_is_not_followed():
    answer = call("curve", "permanganate-by-sodium-oxalate", "--nominal", "2 mol/L")
    assert_refused_in_one_sentence(answer, "permanganate-by-sodium-oxalate", "KMnO4 is more than dissolves in water")


@pytest.mark.parametrize("verb", ["methods", "curve", "new"])
@pytest.mark.parametrize(
    ("old", "new", "piece"),
    [
        ("CH3COOH + NaOH -> CH3COONa + H2O", "CH3COOH + NaOH -> CH3COONa", "does not balance"),
        ('formula = "CH3COOH"', 'formula = "CH3CQQH"', "has no element of that symbol"),
        ('formula = "CH3COOH"\nequivalents = 1', 'formula = "CH3COOH"\nequivalents = 3', "takes 1 mol of NaOH"),
        ('mg_per_mL = "60.052"', 'mg_per_mL = "61.052"', "is not the 60.052 mg/mL"),
    ],
)
def test_a_method_that_contradicts_itself_is_refused_by_every_verb(verb, old, new, piece, tmp_path):
    text = (files("assaywright.assay") / "methods" / "acetic-acid-by-naoh.toml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "ours.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    assert_refused_in_one_sentence(call(verb, path), "ours.toml", piece)
