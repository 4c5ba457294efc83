"""The verb ``curve``: methods and systems followed, drawn, told, and refused in one sentence."""

import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from assaywright.assay.method import library_text, load_method, method_names
from assaywright.assay.titrated import KINDS, titrated_system
from assaywright.cli.curve_file import (
    COUPLE_FIELDS,
    FLASK_FIELDS,
    LIGAND_FIELDS,
    PORTION_FIELDS,
    SYSTEM_FIELDS,
)
from assaywright.metrology.typed import read_quantity
from tests.cli.terminal import assert_refused_in_one_sentence, call

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "curve.md").read_text(encoding="utf-8")
COMMANDS = (Path(__file__).resolve().parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")
EXAMPLES = dict(re.findall(r"<!-- file: (\S+) -->\n```toml\n(.*?)```", PAGE, re.DOTALL))
SILVER_BY_HAND = "silver-nitrate-by-sodium-chloride"


@pytest.fixture
def systems(tmp_path):
    """Return a folder with the system files that the page shows."""
    for name, text in EXAMPLES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def record_of(*arguments):
    answer = call("curve", *arguments, "--json")
    assert (answer.status, answer.errors) == (0, "")
    return json.loads(answer.output)


# --- methods ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in method_names() if load_method(name).type in KINDS])
def test_a_method_is_followed_to_the_titre_its_reaction_asks_for(name):
    """25 mL of titrant are taken for the amount in the flask, by the method's own equivalents: hand calculation.

    Further points may follow where the flask holds a weaker acid as well: ammonium, or phosphoric acid's next proton.
    """
    record = record_of(name)
    assert [one for one in record["equivalence_points_mL"] if one == pytest.approx(25.0, rel=0.01)]
    assert record[record["quantity"]]
    assert len(record["volume_mL"]) == len(record[record["quantity"]]) > 200


def test_the_json_holds_what_programs_need():
    record = record_of("naoh-by-khp")
    assert record["quantity"] == "pH"
    assert record["pH"][0] < 5
    assert record["pH"][-1] > 11
    assert record["equivalence_points_mL"] == pytest.approx([25.0])
    (ranking,) = record["indicators"]
    best = ranking["by_error"][0]
    assert best["indicator"] == record["indicator"] == "phenolphthalein"
    assert best["titration_error_mL"] == pytest.approx(best["endpoint_mL"] - 25.0)
    assert [colour["words"] for colour in best["colours"]] == ["colourless", "pale pink", "pink"]
    assert all(re.fullmatch(r"#[0-9A-F]{6}", colour["swatch"]) for colour in best["colours"])


def test_what_is_not_a_number_is_null_in_the_json():
    record = record_of(SILVER_BY_HAND)
    assert record["quantity"] == "pX"
    assert record["followed"] == "Ag+"
    assert record["pX"][0] is None


def test_every_key_of_the_json_is_explained():
    def keys(record):
        if isinstance(record, dict):
            names = set() if "form" in record else set(record)
            return names.union(*map(keys, record.values()))
        return set().union(*map(keys, record)) if isinstance(record, list) else set()

    record = record_of("caustic-soda-by-acid", "--against", "hcl-by-sodium-carbonate")
    record.pop("fractions")
    section = COMMANDS.split("\n## `curve", 1)[1].split("\n## ", 1)[0]
    assert not {key for key in keys(record) if f"`{key}`" not in section}


def told(*arguments):
    """Return what the verb prints, with its lines run together."""
    return " ".join(call("curve", *arguments).output.split())


@pytest.mark.parametrize("width", [80, 140])
def test_text_shows_equivalence_points_curve_and_indicators_with_the_criterion(width, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    text = told("naoh-by-khp")
    for part in ("EQUIVALENCE POINTS", "CURVE", "INDICATORS: phthalic acid, step 2 at 25.000 mL", "IN USE"):
        assert part in text
    assert "within 0.2 % of the" in text
    assert "colours before, at and after the endpoint: colourless; pale pink; pink" in text
    assert ("colourless, pale pink, pink" in text) == (width == 140)


@pytest.mark.parametrize("width", [80, 100, 140])
@pytest.mark.parametrize("name", ["iron-by-dichromate", "acetic-acid-by-naoh", "hcl-by-sodium-carbonate"])
def test_the_text_fits_the_terminal(name, width, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    text = call("curve", name, "--indicators").output
    assert max(map(len, text.splitlines())) <= width


def test_all_indicators_are_listed_with_reasons_when_asked_for():
    few, every = (" ".join(call("curve", SILVER_BY_HAND, *more).output.split()) for more in ((), ("--indicators",)))
    assert "fluorescein" not in few
    assert "fluorescein: an adsorption indicator" in every
    assert "its error cannot be computed" in every


def test_where_no_endpoint_will_do_what_to_do_is_said():
    text = " ".join(call("curve", SILVER_BY_HAND).output.split())
    assert "No visual endpoint is good enough" in text
    assert "take an indicator blank" in text
    assert "a silver electrode" in text


def test_a_looser_limit_is_stated_and_lets_more_pass():
    strict, loose = (record_of(SILVER_BY_HAND, "--limit", limit)["indicators"][0] for limit in ("0.2", "0.5"))
    assert strict["good_enough"] == []
    assert loose["good_enough"] == ["potassium chromate"]
    assert "0.5 %" in loose["verdict"]


def test_the_error_cancels_against_a_standardisation_with_the_same_indicator():
    record = record_of("caustic-soda-by-acid", "--against", "hcl-by-sodium-carbonate", "--indicator", "methyl orange")
    found = record["cancellation"]
    assert found["shared"] is True
    assert found["net_percent"] == pytest.approx(found["assay_percent"] - found["standardisation_percent"])
    assert abs(found["net_percent"]) < abs(found["assay_percent"])
    text = told("caustic-soda-by-acid", "--against", "hcl-by-sodium-carbonate", "--indicator", "methyl orange")
    assert "of the error cancels" in text


UNBOILED = """
format = "assaywright system 1"
title = "Sodium carbonate by hydrochloric acid, not boiled"
type = "acid-base"
indicator = "methyl orange"
flask = { volume = "50 mL" }
analyte = [{ substance = "sodium carbonate", concentration = "0.025 mol/L" }]
titrant = { substance = "hydrochloric acid", concentration = "0.1 mol/L" }
"""


def test_a_standardisation_with_a_dull_endpoint_is_said_to_leave_more_doubt_than_it_takes_away(tmp_path):
    """Carbonic acid left in the flask buffers where methyl orange turns: textbooks have it boiled off for that."""
    (tmp_path / "unboiled.toml").write_text(UNBOILED, encoding="utf-8")
    asked = ("caustic-soda-by-acid", "--against", tmp_path / "unboiled.toml", "--indicator", "methyl orange")
    found = record_of(*asked)["cancellation"]
    alone, left = found["assay_standard_uncertainty_percent"], found["standard_uncertainty_percent"]
    assert left > 3 * alone
    assert "it grows, since the standardisation's endpoint is the less sharp one" in told(*asked)


def test_opposite_errors_are_said_to_add_up():
    """Phenolphthalein turns at pH 8.2: before the 8.7 of acetate, and after the 7 of a strong acid with strong base.

    pH of 0.05 mol/L sodium acetate, 8.7: common practice, no source.
    """
    asked = ("acetic-acid-by-naoh", "--against", "naoh-by-sulfamic-acid", "--indicator", "phenolphthalein")
    found = record_of(*asked)["cancellation_with_the_same_indicator"]
    assert found["assay_percent"] < 0 < found["standardisation_percent"]
    assert found["cancelled_percent"] < 0
    assert "the two errors add up" in told(*asked)


def test_a_titrant_that_stood_in_the_flask_of_its_standardisation_turns_the_sign():
    """Both titrations end at the tint of pH 4, too much acid in one, too little alkali in the other: they cancel.

    c(HCl) = c(NaOH) V(NaOH)/V(HCl): a titre of alkali too small finds the acid too weak. Common practice, no source.
    """
    asked = ("caustic-soda-by-acid", "--against", "hcl-against-naoh", "--indicator", "methyl orange")
    found = record_of(*asked)["cancellation_with_the_same_indicator"]
    assert found["reversed"] is True
    assert found["assay_percent"] > 0 > found["standardisation_percent"]
    assert found["net_percent"] == pytest.approx(found["assay_percent"] + found["standardisation_percent"])
    assert "its titrant having stood in the flask" in told(*asked)


def test_the_standardisation_is_taken_with_its_own_indicator_and_the_same_is_told_beside_it():
    """Phenolphthalein finds half of sodium carbonate, long before what methyl orange finds: nobody sets acid by it.

    The method hcl-by-sodium-carbonate names methyl orange; its own endpoint misses by well under 0.2 %.
    """
    record = record_of("naoh-against-hcl", "--against", "hcl-by-sodium-carbonate")
    found, same = record["cancellation"], record["cancellation_with_the_same_indicator"]
    assert (found["assay_indicator"], found["standardisation_indicator"]) == ("phenolphthalein", "methyl orange")
    assert abs(found["standardisation_percent"]) < 0.2
    assert same["standardisation_indicator"] == "phenolphthalein"
    assert "Were phenolphthalein taken in the standardisation too" in told(
        "naoh-against-hcl", "--against", "hcl-by-sodium-carbonate")


@pytest.mark.parametrize(("against", "asked", "own"), [
    ("hcl-by-sodium-carbonate", "phenolphthalein", "methyl orange"),
    ("hcl-by-tris", "bromothymol blue", "bromocresol green"),
])
def test_an_indicator_asked_for_is_that_of_the_titration_and_not_of_its_standardisation(against, asked, own):
    """An indicator that turns far from where the standardisation ends is told apart, and never as what is left.

    Tris is protonated with a pKa of 8.07 (Bates and Hetzer 1961, from memory): it ends near pH 5, where bromothymol
    blue has long been yellow.
    """
    arguments = ("naoh-against-hcl", "--against", against, "--indicator", asked)
    record, text = record_of(*arguments), told(*arguments)
    found, same = record["cancellation"], record["cancellation_with_the_same_indicator"]
    assert (found["assay_indicator"], found["standardisation_indicator"]) == (asked, own)
    assert abs(found["standardisation_percent"]) < 0.2
    assert same["standardisation_indicator"] == asked
    assert abs(same["standardisation_percent"]) > 1
    assert text.index(f", by {own}") < text.index(f"Were {asked} taken in the standardisation too")


def test_what_is_sought_in_the_burette_takes_its_own_error_with_the_opposite_sign():
    """c(NaOH) = V(HCl) c(HCl)/V(NaOH), c(HCl) = n/V'; a and b of the two titres leave 1/((1 + a)(1 + b)) - 1."""
    found = record_of("naoh-against-hcl", "--against", "hcl-by-tris")["cancellation"]
    assert found["inverse"] is True
    first, second = (found[f"{name}_percent"] / 100 for name in ("assay", "standardisation"))
    assert found["net_percent"] == pytest.approx(100 * (1 / ((1 + first) * (1 + second)) - 1), abs=1e-4)
    assert found["net_percent"] < 0 < min(first, second)
    assert "leaves −0.019 %" in told("naoh-against-hcl", "--against", "hcl-by-tris")
    known = record_of("hcl-against-naoh", "--against", "naoh-by-khp")["cancellation"]
    assert known["inverse"] is False
    first, second = (known[f"{name}_percent"] / 100 for name in ("assay", "standardisation"))
    assert known["net_percent"] == pytest.approx(100 * ((1 + first) / (1 + second) - 1), abs=1e-4)


@pytest.mark.parametrize(("against", "piece"), [
    ("naoh-by-khp", "it standardises NaOH, and the standard solution of"),
    ("acetic-acid-by-naoh", "it is an assay and standardises no solution"),
])
def test_a_standardisation_of_another_titrant_is_refused(against, piece):
    answer = call("curve", "caustic-soda-by-acid", "--against", against)
    assert_refused_in_one_sentence(answer, piece, "name a standardisation of HCl")


def test_a_system_standardises_what_it_holds(systems):
    answer = call("curve", systems / "iron.toml", "--against", systems / "acetic.toml")
    assert_refused_in_one_sentence(answer, "it standardises sodium hydroxide or acetic acid")
    assert record_of("acetic-acid-by-naoh", "--against", systems / "acetic.toml")["cancellation"]["reversed"] is False


def test_the_curve_tells_the_error_that_the_check_of_methods_tells():
    # Mohr's chromate: the blank that the method titrates is taken off there, and not in the ranking of the curve.
    record = record_of(SILVER_BY_HAND)
    (own,) = record["method_endpoints"]
    checked = json.loads(call("methods", SILVER_BY_HAND, "--check", "--json").output)
    (one,) = checked if isinstance(checked, list) else checked["endpoints"]
    assert own["titration_error_mL"] == one["titration_error_mL"]
    assert abs(own["titration_error_mL"]) < abs(record["indicators"][0]["by_error"][0]["titration_error_mL"])
    assert "THE METHOD'S OWN ENDPOINT" in told(SILVER_BY_HAND)
    assert " ".join(own["why"].split()) in told(SILVER_BY_HAND)


def test_an_indicator_that_is_not_held_is_said_to_be_replaced(tmp_path):
    text = library_text("naoh-by-khp").replace('name = "naoh-by-khp"', 'name = "ours"')
    own = tmp_path / "ours.toml"
    own.write_text(text.replace('method = "naoh-by-khp"', 'method = "ours"').replace(
        'indicator = "phenolphthalein"', 'indicator = "turmeric"'), encoding="utf-8")
    assert record_of(own)["indicator_not_held"] == "turmeric"
    assert "The method names 'turmeric', which is no indicator held here: phenolphthalein" in told(own)
    assert record_of("naoh-by-khp")["indicator_not_held"] is None


def test_a_weaker_titrant_of_a_method_overruns_methyl_orange_by_more():
    """The acid left at pH 4 is the same, the titrant that brings it ten times weaker: ten times the volume."""
    errors = []
    for nominal in ("0.1 mol/L", "0.01 mol/L"):
        record = record_of("caustic-soda-by-acid", "--nominal", nominal, "--indicator", "methyl orange")
        (one,) = [one for one in record["indicators"][0]["by_error"] if one["indicator"] == "methyl orange"]
        errors.append(one["titration_error_mL"])
    assert errors[1] == pytest.approx(10 * errors[0], rel=0.1)


def test_hardness_holds_magnesium_and_iron_the_potentials_of_phosphoric_acid():
    hardness = titrated_system(load_method("hardness-by-edta"))
    assert hardness.pH == 10.0
    assert hardness.followed == "Mg2+"
    assert sum(one.concentration_mol_per_L for one in hardness.analyte) == pytest.approx(0.005)
    iron = titrated_system(load_method("iron-by-dichromate"), read_quantity("0.02 mol/L"))
    assert [one.name for one in iron.couples] == ["Fe3+/Fe2+", "Cr2O7 2-/Cr3+"]
    assert titrated_system(load_method("edta-by-calcium-carbonate")).pH == 12.5


# --- systems ----------------------------------------------------------------------------------------------------------


def test_the_examples_of_the_page_are_followed(systems):
    """Equivalence volumes by hand: 0.1 × 25 mmol of acid and 75 mL × 2e-5 mol/L of carbon dioxide; 50 mL; 25 mL."""
    acetic = record_of(systems / "acetic.toml")
    assert acetic["temperature_degC"] == 22
    assert acetic["indicator"] == "phenolphthalein"
    acid_mmol, carbonic_mmol = 0.1 * 25, 2e-5 * 75  # the carbonate of the titrant stops at hydrogencarbonate there
    volumes = [point["volume_mL"] for point in acetic["equivalence_points"]]
    assert any(volume == pytest.approx((acid_mmol + carbonic_mmol) / (0.098 + 0.001), rel=2e-3) for volume in volumes)
    (hidden,) = acetic["hidden"]
    assert "acetic acid at 25.000 mL makes no jump of its own" in hidden  # 2.5 mmol by (0.098 + 2 × 0.001) mol/L
    assert record_of(systems / "zinc.toml")["hidden"] == []
    assert record_of(systems / "zinc.toml")["equivalence_points_mL"] == pytest.approx([50.0])
    iron = record_of(systems / "iron.toml")
    assert iron["equivalence_points_mL"] == pytest.approx([25.0])
    assert "ferroin" in iron["indicators"][0]["good_enough"]


def test_the_model_of_activities_of_a_system_can_be_chosen(systems):
    path = systems / "acetic.toml"
    strong = EXAMPLES["acetic.toml"].replace('"0.1 mol/L"', '"2 mol/L"').replace('"0.098 mol/L"', '"2 mol/L"')
    starts = []
    for model in ("Davies", "ideal", "SIT"):
        path.write_text(strong.replace("title =", f'activity = "{model}"\ntitle ='), encoding="utf-8")
        starts.append(record_of(path)["pH"][-1])
    assert len({round(one, 2) for one in starts}) == 3
    assert "activities by specific ion interaction" in told(path)
    path.write_text(path.read_text(encoding="utf-8").replace('"acetic acid"', '"ammonium chloride"'), encoding="utf-8")
    assert_refused_in_one_sentence(call("curve", path), "no coefficient of specific interaction is held for NH4+")


def test_the_potential_half_way_is_the_formal_potential_of_the_medium(systems):
    """0.68 V in 1 mol/L H2SO4, handbooks, from memory: at half the titre both forms of iron are equal."""
    iron = record_of(systems / "iron.toml")
    half = min(range(len(iron["volume_mL"])), key=lambda place: abs(iron["volume_mL"][place] - 12.5))
    assert iron["potential_V"][half] == pytest.approx(0.68, abs=0.002)


def test_every_field_of_a_system_is_explained():
    named = set(re.findall(r"`([A-Za-z_]+)", PAGE)) | set(re.findall(r"\[+([a-z]+)\]", PAGE))
    fields = (*SYSTEM_FIELDS, *FLASK_FIELDS, *PORTION_FIELDS, *LIGAND_FIELDS, *COUPLE_FIELDS)
    assert not set(fields) - named


def test_a_laboratory_s_own_method_is_followed(tmp_path):
    from importlib.resources import files

    own = tmp_path / "ours.toml"
    own.write_bytes((files("assaywright.assay") / "methods" / "naoh-by-khp.toml").read_bytes())
    assert record_of(own)["equivalence_points_mL"] == pytest.approx([25.0])


# --- drawings ---------------------------------------------------------------------------------------------------------


def test_a_curve_is_drawn_as_svg_or_png(systems):
    svg, png = systems / "curve.svg", systems / "curve.PNG"
    assert call("curve", systems / "acetic.toml", "-o", svg).output == f"{svg} written\n"
    root = ET.fromstring(svg.read_text(encoding="utf-8"))  # noqa: S314  our own drawing
    assert root.tag.endswith("svg")
    assert call("curve", systems / "acetic.toml", "-o", png).status == 0
    assert png.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    assert not list(systems.glob(".*"))


def test_a_drawing_is_told_as_well_where_the_ranking_is_asked_for(systems):
    svg, other = systems / "curve.svg", systems / "other.svg"
    printed = " ".join(call("curve", "naoh-by-khp", "-o", svg, "--indicators").output.split())
    assert "by sharpness:" in printed
    assert printed.endswith(f"{svg} written")
    assert "Against" in call("curve", "acetic-acid-by-naoh", "-o", other, "--against", "naoh-by-khp").output


def test_both_endpoints_of_a_method_of_two_are_drawn_with_their_indicators(systems):
    svg = systems / "two.svg"
    assert call("curve", "caustic-soda-two-endpoints", "-o", svg).status == 0
    words = ["".join(one.itertext()) for one in ET.parse(svg).iter("{http://www.w3.org/2000/svg}text")]  # noqa: S314
    for name in ("phenolphthalein", "methyl orange"):
        assert f"endpoint of {name}" in words
        assert f"Colour of the flask with {name}" in words


# --- refusals ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        (("naoh-by-kph",), "did you mean 'naoh-by-khp'?"),
        (("nowhere.toml",), "the file cannot be read"),
        (("naoh-by-khp", "-o", "curve.gif"), "let the name end in .svg or .png"),
        (("naoh-by-khp", "--indicator", "phenolphtalein"), "did you mean 'phenolphthalein'?"),
        (("naoh-by-khp", "--indicator", "ferroin"), "no endpoint can be given here"),
        (("naoh-by-khp", "--indicator", "bromocresol green"), "it turns at"),
        (("naoh-by-khp", "--limit", "0"), "give more than 0"),
        (("naoh-by-khp", "--limit", "little"), "--limit"),
        (("naoh-by-khp", "--nominal", "5 g"), "--nominal"),
        (("naoh-by-khp", "--nominal", "0 mol/L"), "--nominal: a nominal concentration of 0 mol/L"),
        (("naoh-by-khp", "--nominal", "-1mol/L"), "--nominal: a nominal concentration of -1"),
        (("naoh-by-khp", "--against", "naoh-by-kph"), "did you mean 'naoh-by-khp'?"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_one_sentence(arguments, piece, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert_refused_in_one_sentence(call("curve", *arguments), piece)


@pytest.mark.parametrize(
    ("old", "new", "piece"),
    [
        ('"acetic acid"', '"aceetic acid"', "no substance 'aceetic acid' is held"),
        ('"acetic acid"', '"methyl orange"', "methyl orange"),
        ('"acid-base"', '"acid-bass"', 'write "acid-base" if that is meant'),
        ('volume = "25 mL"', 'volume = "25 g"', "flask, volume"),
        ('volume = "25 mL"', 'volume = "-25 mL"', "flask, volume"),
        ('volume = "25 mL"', "volume = 25", "bare number"),
        ('"0.1 mol/L"', '"1e9 mol/L"', "give 1e-08 to 20 mol/L"),
        ('"22 °C"', '"70 °C"', "5 to 50 °C"),
        ('"phenolphthalein"', '"fenolftaleine"', "no indicator 'fenolftaleine' is held"),
        ("[titrant]", "[titrent]", '"titrent" is not known'),
        ("system 1", "system 9", 'write format = "assaywright system 1"'),
        ('concentration = "0.1 mol/L"', 'concentration = "0.1 mol/L"\npKa = ["x"]', "pKa"),
        ('concentration = "0.1 mol/L"', 'concentration = "0.1 mol/L"\npKa = ["4.8"]\ncharge = "one"', "charge"),
        ("title =", "titel =", '"titel" is not known'),
        ("title =", 'activity = "davis"\ntitle =', '"Davies" if that is meant'),
        ('concentration = "0.1 mol/L"', 'concentration = "0.1 mol/L"\npKa = ["4.8", "3.1"]', "4.8 and 3.1 do not rise"),
    ],
)
def test_a_system_that_cannot_be_is_refused_with_its_file_and_field(systems, old, new, piece):
    path = systems / "acetic.toml"
    path.write_text(EXAMPLES["acetic.toml"].replace(old, new, 1), encoding="utf-8")
    assert_refused_in_one_sentence(call("curve", path), "acetic.toml", piece)


def test_a_system_takes_no_nominal_and_a_titration_without_a_reaction_is_refused(systems):
    answer = call("curve", systems / "zinc.toml", "--nominal", "0.1 mol/L")
    assert_refused_in_one_sentence(answer, "leave --nominal out")
    path = systems / "salt.toml"
    path.write_text(EXAMPLES["acetic.toml"].replace('"acetic acid"', '"sodium chloride"').replace(
        'carbon_dioxide = "0.00002 mol/L"\n', ""), encoding="utf-8")
    assert_refused_in_one_sentence(call("curve", path), "equivalence point")
