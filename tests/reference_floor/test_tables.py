"""The cited tables: every row names a source and a status, and each question has one answer or a refusal."""

import csv
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.refusal import Refusal
from assaywright.reference import load
from assaywright.reference.editions import current, edition, editions, fingerprints, in_force
from assaywright.reference.labelling import STAGES, precautionary_statement
from assaywright.reference.tables import (
    atomic_weight,
    elements,
    glass_expansion,
    hazard_statement,
    hazards,
    incompatibilities,
    law_coefficients,
    law_source,
    primary_standard,
    primary_standards,
    substance,
    substances,
    tolerance,
    volume_correction_column,
)

TITRIMETRY = Path(__file__).parents[1] / "reference" / "titrimetry"


def test_every_row_of_every_table_names_a_source_and_a_status():
    assert len(load.names()) >= 20
    for name in load.names():
        table = load.table(name)
        assert table.rows, name
        for row in table.rows:
            assert row["key"], name
            if name != "sources":
                assert row["source"] in load.by_key("sources"), (name, row)
                assert row["status"] in load.STATUSES, (name, row)
                assert row["locator"], (name, row)


def test_every_key_is_given_once_and_every_source_is_cited():
    cited = {row["source"] for name in load.names() if name != "sources" for row in load.table(name).rows}
    for name in load.names():
        assert len(load.by_key(name)) == len(load.table(name).rows), name
    assert set(load.by_key("sources")) - cited <= {"bp_2012", "iso_8655_6"}


def test_no_reference_value_is_written_without_what_bounds_it():
    for name in load.names():
        for row in load.table(name).rows:
            if row.get("value") and "half_width" in row:
                assert float(row["half_width"]) >= 0, (name, row["key"])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("key,value,source,status\na,1,nobody,read\n", "line 2: the source 'nobody' is not known"),
        ("key,value,source,status\na,1,iso_385,read\nb,2,,read\n", "line 3: the source '' is not known"),
        ("key,value,source,status\na,1,iso_385,guessed\n", "line 2: the status 'guessed' is not known"),
        ("key,value,source\na,1,iso_385\n", "the status '' is not known"),
        ("key,value,source,status\na,1,iso_385\n", "line 2: 3 fields under 4 headings"),
        ("key,value,value,status\n", "a heading is missing, empty or given twice"),
        ("key,,source,status\n", "a heading is missing, empty or given twice"),
    ],
)
def test_a_table_without_source_status_or_order_is_refused(text, told, tmp_path, monkeypatch):
    data = tmp_path / "data"
    data.mkdir()
    (data / "wrong.csv").write_text(text, encoding="utf-8")
    sources = load.table("sources")
    monkeypatch.setattr(load, "files", lambda _: tmp_path)
    load.table.cache_clear()
    monkeypatch.setattr(load, "by_key", lambda _: {row["key"]: row for row in sources.rows})
    try:
        with pytest.raises(Refusal, match=told):
            load.table("wrong")
    finally:
        load.table.cache_clear()


def test_a_table_that_is_not_there_is_refused_with_those_that_are():
    with pytest.raises(Refusal, match="glassware_tolerances"):
        load.table("horoscopes")


def test_the_fingerprint_of_a_table_follows_its_text():
    prints = fingerprints()
    assert set(prints) == set(load.names())
    assert all(len(value) == 64 for value in prints.values())
    assert len(set(prints.values())) == len(prints)


def test_the_questions_need_no_arithmetic_library():
    code = ("import sys; import assaywright.reference.tables, assaywright.reference.editions; "
            "sys.exit(bool({'numpy', 'scipy', 'GTC', 'pandas'} & set(sys.modules)))")
    assert subprocess.run([sys.executable, "-c", code], check=False, env={"PYTHONPATH": "src"},
                          cwd=Path(__file__).parents[2]).returncode == 0


def test_the_edition_in_force_is_found_by_the_day():
    assert in_force(date(2026, 1, 1)).name == current().name == "CIAAW 2021"
    assert in_force(date(2022, 5, 3)).name == "CIAAW 2013"
    assert in_force(date(2022, 5, 4)).name == "CIAAW 2021"
    assert [one.name for one in editions()] == ["CIAAW 2021", "CIAAW 2013", "CIAAW 2007"]


def test_a_day_whose_edition_is_not_held_is_refused():
    for day in (date(1990, 1, 1), date(2012, 1, 1)):
        with pytest.raises(Refusal, match="CIAAW 2013 from 2016-02-24"):
            in_force(day)


def test_the_values_of_a_worked_example_are_never_in_force():
    example = edition("QUAM 2012 A2")
    assert not example.covers(date(2012, 6, 1))
    with pytest.raises(Refusal, match="gives no atomic weight of sodium"):
        atomic_weight("Na", "QUAM 2012 A2")


def test_an_atomic_weight_revised_since_is_still_the_old_one_in_its_edition():
    # CIAAW, Atomic weights of the elements 2013, abstract: selenium, molybdenum, cadmium revised.
    assert atomic_weight("Se", "CIAAW 2007").as_printed == "78.96(3)"
    assert atomic_weight("Se", "CIAAW 2013").as_printed == "78.971(8)"
    assert atomic_weight("Cd", "CIAAW 2013").as_printed == "112.414(4)"
    assert atomic_weight("Mo", "CIAAW 2013").as_printed == "95.95(1)"


def test_all_elements_are_known_and_a_stranger_is_refused():
    assert len(elements()) == 118
    assert elements()["Fe"].atomic_number == 26
    with pytest.raises(Refusal, match="no element 'Xx'"):
        atomic_weight("Xx")


@pytest.mark.parametrize(
    ("question", "half_width", "graduation", "waiting"),
    [
        (("ISO 385", "burette", "A", 50), 0.05, 0.1, None),
        (("ISO 385", "burette", "AS", 50), 0.05, 0.1, 30.0),
        (("ISO 385:2005", "burette", "B", 50), 0.10, 0.1, None),
        (("ISO 648", "one-mark pipette", "AS", 25), 0.03, None, 5.0),
        (("ISO 1042", "volumetric flask", "A", 1000), 0.40, None, None),
        (("ASTM E288", "volumetric flask", "A", 500), 0.20, None, None),
        (("JJG 196-2006", "burette", "A", 25), 0.04, None, 30.0),
    ],
)
def test_a_tolerance_comes_with_its_graduation_and_waiting_time(question, half_width, graduation, waiting):
    # The standards named, as transcribed in public sources or recalled; see the status of each row.
    found = tolerance(*question)
    assert (found.half_width_mL, found.graduation_mL, found.waiting_time_s) == (half_width, graduation, waiting)
    assert found.source
    assert found.status in load.STATUSES


def test_standards_differ_and_the_user_names_the_one_that_holds():
    # README of the tables: a 25 mL burette has 0.05 mL by ISO 385 with 0.1 mL graduation, 0.03 mL by ASTM E287.
    assert tolerance("ISO 385", "burette", "A", 25, graduation_mL=0.1).half_width_mL == 0.05
    assert tolerance("ASTM E287", "burette", "A", 25).half_width_mL == 0.03
    assert tolerance("ISO 648", "one-mark pipette", "B", 100).half_width_mL == 0.15
    assert tolerance("ASTM E969", "one-mark pipette", "B", 100).half_width_mL == 0.16


def test_piston_limits_are_per_cent_of_the_nominal_volume():
    # ISO 8655-3:2022: above 10 up to 25 mL 0.2 % systematic, 0.07 % random for a motor-driven piston burette.
    found = tolerance("ISO 8655-3", "piston burette", "", 20, form="motor driven")
    assert found.half_width_mL == pytest.approx(0.040)
    assert found.random_standard_deviation_mL == pytest.approx(0.014)
    unsaid = tolerance("ISO 8655-3", "piston burette", "", 20)
    assert unsaid.half_width_mL == found.half_width_mL
    assert unsaid.random_standard_deviation_mL == pytest.approx(0.020)


@pytest.mark.parametrize(
    ("question", "extra", "told"),
    [
        (("ISO 385", "burette", "A", 10), {}, "0.02 mL, 0.05 mL"),
        (("ISO 385", "burette", "A", 10), {"graduation_mL": 0.1}, "graduation 0.1 mL"),
        (("ISO 385", "burette", "C", 50), {}, "class 'C'.*A, AS, B"),
        (("ISO 385", "burette", "", 50), {}, "class .* is not stated"),
        (("ISO 385", "burette", "A", 40), {}, "size 40 mL.*25 mL.*50 mL"),
        (("ISO 9999", "burette", "A", 50), {}, "ISO 385:2005, ASTM E287"),
        (("ISO 385", "bucket", "A", 50), {}, "burette"),
        (("ISO 8655-2", "piston pipette", "", 1), {}, "several editions.*2002.*2022"),
        (("ISO 8655-2:2002", "piston pipette", "", 3), {}, "size 3 mL"),
        (("ISO 8655-3", "piston burette", "", 8), {}, "form .* is not stated"),
        (("ISO 8655-3", "piston burette", "", -1), {}, "size -1 mL"),
    ],
)
def test_a_vessel_that_is_not_in_the_tables_is_refused_with_those_that_are(question, extra, told):
    with pytest.raises(Refusal, match=told):
        tolerance(*question, **extra)


def test_glass_expands_as_its_kind_and_wood_is_no_glass():
    assert glass_expansion("borosilicate glass 3.3") == glass_expansion(" Borosilicate ")
    assert glass_expansion("soda-lime glass").cubic_per_K == 27e-6
    assert glass_expansion("soda-lime glass 25e-6").cubic_per_K == 25e-6
    assert glass_expansion("PP").estimate.standard_uncertainty == pytest.approx(150e-6 / 3**0.5)
    with pytest.raises(Refusal, match="soda-lime glass"):
        glass_expansion("wood")


def test_where_sources_of_an_expansion_differ_the_half_width_reaches_them():
    for row in load.table("glass_expansion").rows:
        if row["chosen"] == "no":
            family = "borosilicate" if row["key"].startswith("borosilicate") else "soda-lime glass"
            chosen = glass_expansion(family)
            assert abs(float(row["value"]) - chosen.cubic_per_K) <= chosen.half_width_per_K * 1.001, row["key"]


def test_every_substance_has_a_formula_that_can_be_read_and_its_hazards_a_wording():
    for name in substances():
        held = substance(name)
        assert parse_formula(held.formula).atoms
        for one in hazards(name):
            assert all(statement.wording for statement in one.statements)
        if held.density:
            assert 0.3 < held.density.density_g_per_mL < 12


def test_a_substance_answers_to_its_name_alias_formula_and_registry_number():
    for name in ("potassium hydrogen phthalate", "KHP", "C8H5KO4", "KHC8H4O4", "877-24-7"):
        assert substance(name).name == "potassium hydrogen phthalate"
    assert substance("Sulphuric acid").name == "sulfuric acid"
    with pytest.raises(Refusal, match="ammonia or ammonia solution"):
        substance("NH3")
    with pytest.raises(Refusal, match="acetic acid"):
        substance("acetic")
    with pytest.raises(Refusal, match="state formula and density"):
        substance("phlogiston")


def test_the_drying_of_a_standard_keeps_its_disagreeing_sources_apart():
    # Ph. Eur. 4.2.1, USP, WHO: phthalate at 105, 110 or 120 °C; USP: calcium carbonate 110 °C 2 h, later 210 °C 4 h.
    assert {one.temperature_degC for one in primary_standard("KHP").drying} == {"105", "110", "120"}
    calcium_carbonate = {(one.temperature_degC, one.time_h) for one in primary_standard("CaCO3").drying}
    assert calcium_carbonate == {("210", "4"), ("110", "2")}


def test_a_standard_and_its_substance_say_the_same():
    for name in primary_standards():
        try:
            held = substance(name)
        except Refusal:
            continue
        standard = primary_standard(name)
        assert parse_formula(held.formula).is_same_entity(parse_formula(standard.formula)), name
        if held.density and standard.density:
            assert held.density.density_g_per_mL == standard.density.density_g_per_mL, name


@pytest.mark.parametrize(
    ("name", "percent", "codes"),
    [
        # Regulation (EC) 1272/2008, Annex VI, as summarised in public text: 5, 2 and 0.5 % for sodium hydroxide.
        ("NaOH", 5.0, ["H314"]), ("NaOH", 4.0, ["H314"]), ("NaOH", 2.0, ["H314"]), ("NaOH", 1.96, ["H315", "H319"]),
        ("NaOH", 0.5, ["H315", "H319"]), ("NaOH", 0.399, []), ("KOH", 0.559, ["H315", "H319"]),
        ("hydrochloric acid", 31.5, ["H314", "H335"]), ("hydrochloric acid", 3.6, []),
        ("sulfuric acid", 9.24, ["H315", "H319"]), ("sulfuric acid", 17.5, ["H314"]), ("sulfuric acid", 4.76, []),
        ("phosphoric acid", 85.0, ["H314"]), ("phosphoric acid", 15.0, ["H315", "H319"]),
        ("acetic acid", 36.0, ["H314"]), ("acetic acid", 5.96, []), ("formic acid", 5.0, ["H315", "H319"]),
        ("perchloric acid", 1.0, ["H315", "H319"]), ("hydrogen peroxide", 6.0, ["H319"]),
        ("hydrogen peroxide", 3.0, []), ("potassium permanganate", 0.316, ["H412"]),
        ("phenolphthalein", 1.0, ["H341", "H350"]), ("phenolphthalein", 0.5, []),
    ],
)
def test_a_solution_is_classified_by_its_mass_fraction_lower_limit_included(name, percent, codes):
    assert [one.code for one in hazards(name, percent)[0].statements] == codes


def test_the_bands_of_a_substance_do_not_overlap():
    bands: dict[str, list[tuple[float, float]]] = {}
    for row in load.table("hazards").rows:
        if row["chosen"] == "yes" and row["basis"] == "limits by mass fraction":
            bands.setdefault(row["substance"], []).append(
                (float(row["from_percent"]), float(row["below_percent"] or 100.1)))
    for name, held in bands.items():
        for (_, left), (right, _) in zip(sorted(held), sorted(held)[1:], strict=False):
            assert left <= right, name


def test_a_strength_the_table_does_not_settle_has_no_entry():
    assert hazards("silver nitrate", 1.7) == ()
    assert hazards("silver nitrate")[0].signal_word == "Danger"
    with pytest.raises(Refusal, match="mass fraction"):
        hazards("silver nitrate", 120.0)


def test_bleach_and_acid_must_not_meet():
    # Regulation (EC) 1272/2008: EUH031 on hypochlorite solutions.
    pairs = incompatibilities("sodium hypochlorite", "HCl")
    assert any(pair.product == "Cl2" and pair.severity == "severe" for pair in pairs)
    assert any(pair.other == "acids in general" for pair in incompatibilities("NaClO", "sulfuric acid"))
    assert incompatibilities("sodium chloride", "potassium chloride") == ()
    assert len(incompatibilities("potassium permanganate")) > 4
    with pytest.raises(Refusal):
        incompatibilities()


@pytest.mark.parametrize(("code", "english", "german"), [
    ("H290", "May be corrosive to metals", "Kann gegenüber Metallen korrosiv sein"),
    ("H314", "Causes severe skin burns and eye damage",
     "Verursacht schwere Verätzungen der Haut und schwere Augenschäden"),
    ("H319", "Causes serious eye irritation", "Verursacht schwere Augenreizung"),
    ("H272", "May intensify fire; oxidiser", "Kann Brand verstärken; Oxidationsmittel"),
    ("EUH031", "Contact with acids liberates toxic gas", "Entwickelt bei Berührung mit Säure giftige Gase"),
])
def test_a_hazard_statement_has_its_published_wording(code, english, german):
    # UN GHS, Annex 3, section 1, and Regulation (EC) 1272/2008, Annex III (from memory, compared with transcriptions
    # that are public).
    assert (hazard_statement(code), hazard_statement(code, "de")) == (english, german)


@pytest.mark.parametrize(("code", "stated", "english", "german"), [
    ("P280", "", "Wear protective gloves/protective clothing/eye protection/face protection.",
     "Schutzhandschuhe/Schutzkleidung/Augenschutz/Gesichtsschutz tragen."),
    ("P303+P361+P353", "",
     "IF ON SKIN (or hair): Take off immediately all contaminated clothing. Rinse skin with water [or shower].",
     ("BEI BERÜHRUNG MIT DER HAUT (oder dem Haar): Alle kontaminierten Kleidungsstücke sofort ausziehen. Haut mit "
      "Wasser abwaschen [oder duschen].")),
    ("P362+P364", "", "Take off contaminated clothing and wash it before reuse.",
     "Kontaminierte Kleidung ausziehen und vor erneutem Tragen waschen."),
    ("P301+P312", "", "IF SWALLOWED: Call a POISON CENTER/doctor if you feel unwell.",
     "BEI VERSCHLUCKEN: Bei Unwohlsein GIFTINFORMATIONSZENTRUM/Arzt anrufen."),
    ("P403+P233", "", "Store in a well-ventilated place. Keep container tightly closed.",
     "An einem gut belüfteten Ort aufbewahren. Behälter dicht verschlossen halten."),
    ("P370+P378", "", "In case of fire: Use … to extinguish.", "Bei Brand: … zum Löschen verwenden."),
    ("P264", "A", "Wash A thoroughly after handling.", "Nach Gebrauch A gründlich waschen.")])
def test_a_precautionary_statement_has_its_published_wording(code, stated, english, german):
    # UN GHS, Annex 3, section 2, and Regulation (EC) 1272/2008, Annex IV (from memory, the German compared with a
    # transcription that is public).
    assert precautionary_statement(code, stated) == english
    assert precautionary_statement(code, stated, "de") == german


def test_every_precaution_that_a_class_asks_for_has_its_published_wording():
    for row in load.table("ghs_precautions_by_class").rows:
        for code in " ".join(row[stage] for stage in STAGES).split():
            assert precautionary_statement(code), code
    with pytest.raises(Refusal, match="no precautionary statement 'P999'"):
        precautionary_statement("P280+P999")


def test_an_invented_hazard_statement_or_a_language_without_them_is_refused():
    with pytest.raises(Refusal, match="language 'xx'"):
        hazard_statement("H314", "xx")
    with pytest.raises(Refusal, match="H999"):
        hazard_statement("H999")


def test_the_atomic_weights_are_those_of_the_commission_table():
    # CIAAW Standard Atomic Weights 2021; Pure Appl. Chem. 2022, 94, 573. Transcription compared text by text.
    with (TITRIMETRY / "atomic_weights.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            ours = atomic_weight(row["symbol"], "CIAAW 2021")
            printed = row["standard_atomic_weight_2021"].replace(" ", "").replace(",", ", ")
            assert ours.as_printed.partition("(")[0] == printed, row["symbol"]
            assert ours.standard_uncertainty == pytest.approx(float(row["u_rectangular"]), rel=0.005)


def test_a_misprint_is_kept_and_told():
    column = volume_correction_column("water_le_0.05")
    assert column.corrections[33].correction_mL_per_L == -3.04
    assert "-3.19" in column.corrections[33].doubt
    with pytest.raises(Refusal, match="choose from water_le"):
        volume_correction_column("syrup")


def test_an_erratum_points_at_a_row_that_exists():
    for row in load.table("errata").rows:
        assert row["row"] in load.by_key(row["table"]), row["key"]


def test_a_law_without_coefficients_is_refused():
    assert law_source("tanaka_2001").startswith("Tanaka")
    with pytest.raises(Refusal, match="tanaka_2001"):
        law_coefficients("aristotle")
