"""The verb ``curve``: methods and systems followed, drawn, told, and refused in one sentence."""

import json
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from assaywright.assay.method import load_method, method_names
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
    """Coming from base, bromocresol green ends late in acid; coming from acid, it ends early in phthalate's buffer."""
    asked = ("caustic-soda-by-acid", "--against", "naoh-by-khp", "--indicator", "bromocresol green")
    found = record_of(*asked)["cancellation"]
    assert found["cancelled_percent"] < 0
    assert "the two errors add up" in told(*asked)


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
        (("naoh-by-khp", "--nominal", "0 mol/L"), "mol/L"),
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
