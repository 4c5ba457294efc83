"""The verbs: what each prints and writes, and how each refuses."""

import json
import math
import re

import pytest

from assaywright.assay.bench.cautioned import of_nominals
from assaywright.assay.method import load_method, method_names
from assaywright.cli.opening import VERBS
from tests.cli.terminal import assert_refused_in_one_sentence, call, example_of

LOT = """\
format = "assaywright worksheet 1"
kind = "lot"
id = "0417"
product = "caustic soda 20 % w/v"
maker = "Tarn Hollow Reagents"
certificate_number = "C-26-0417"
made = 2026-10-09
issued = 2026-10-14
use_before = "2027-10"
hazards = ["H290", "H314"]
responsible = "Mirela Anand"
responsible_function = "authorised signatory"

[[characteristic]]
name = "total alkali as NaOH"
worksheet = "caustic-soda-by-acid.toml"
lower = "19.8 % w/v"
upper = "20.2 % w/v"

[[characteristic]]
name = "appearance"
found = "clear, colourless"
required = "clear, colourless"
satisfied = true
source = "looked at by I. Okafor, 2026-10-12"
"""

SPECIFICATION = """
[specification]
characteristic = "total alkali as NaOH"
lower = "19.8 % w/v"
upper = "20.2 % w/v"

[lot]
maker = "Tarn Hollow Reagents"
certificate_number = "C-26-0417"
issued = 2026-10-14
responsible = "Mirela Anand"
responsible_function = "authorised signatory"
"""


@pytest.fixture
def assay(tmp_path):
    return example_of("caustic-soda-by-acid", tmp_path)


@pytest.fixture
def lot(tmp_path):
    example_of("caustic-soda-by-acid", tmp_path)
    path = tmp_path / "0417.toml"
    path.write_text(LOT, encoding="utf-8")
    return path


# --- help -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("arguments", [(), ("--help",), ("-h",)])
def test_help_names_every_verb_and_who_is_responsible(arguments):
    answer = call(*arguments)
    assert answer.status == 0
    for verb in VERBS:
        assert f"\n  {verb} " in answer.output
    assert "qualified person" in " ".join(answer.output.split())


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_help_of_its_own(verb):
    answer = call(verb, "--help")
    assert answer.status == 0
    assert answer.output.startswith(f"usage: assaywright {verb}")


@pytest.mark.parametrize("width", [60, 80])
def test_what_is_printed_fits_the_terminal(lot, width, monkeypatch):
    """Figures of a working are never broken; all else is."""
    monkeypatch.setenv("COLUMNS", str(width))
    monkeypatch.chdir(lot.parent)
    for asked in (("--help",), ("methods",), ("methods", "naoh-by-khp"), ("evaluate", lot.name),
                  ("evaluate", "caustic-soda-by-acid.toml")):
        assert max(map(len, call(*asked).output.splitlines())) <= width, asked


def test_the_version_is_printed():
    assert call("--version").output == "Assaywright 0.1.0\n"


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        (("evalute",), "write 'evaluate' if that is meant"),
        (("titrate\nall",), "there is no verb 'titrate?all'"),
        (("--frob",), "there is no option '--frob' before a verb"),
        (("evaluate",), "the following arguments are required: FILE"),
        (("evaluate", "ws.toml", "--frob"), "unrecognized arguments: --frob"),
        (("evaluate", "ws.toml", "--monte-carlo", "10"), "not a whole number from 1000 to 10000000"),
        (("evaluate", "ws.toml", "--seed", "-1"), "--seed"),
        (("explain", "a", "b"), "unrecognized arguments: b"),
        (("evaluate", "nowhere.toml"), "nowhere.toml: the file cannot be read (no such file or directory)"),
        (("evaluate", "."), ".: it is a folder; name a file in it"),
        (("evaluate", "a\0b"), "the file cannot be read"),
        (("new", "naoh-by-kph"), "did you mean 'naoh-by-khp'?"),
        (("methods", "naoh"), "there is no method 'naoh'"),
        (("methods", "nowhere.toml"), "nowhere.toml: the file cannot be read"),
        (("evaluate", "a.toml", "b.toml", "--save", "r.json"), "--save keeps the result of one worksheet"),
        (("evaluate", "a.toml", "--seed", "3"), "--seed is of a simulation, and none is asked for"),
        (("explain", "a.toml", "--pdf", "a.txt"), "a.txt: the file is written as PDF, and its name does not"),
        (("certify", "a.toml", "-o", "a"), "a: the file is written as PDF, and its name does not end in .pdf"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_one_sentence(arguments, piece, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert_refused_in_one_sentence(call(*arguments), piece)


# --- new and methods --------------------------------------------------------------------------------------------------


def test_a_blank_worksheet_is_printed_or_written_but_never_over_another(tmp_path):
    printed = call("new", "naoh-by-khp")
    assert 'method = "naoh-by-khp"' in printed.output
    path = tmp_path / "std.toml"
    assert call("new", "naoh-by-khp", "-o", path).status == 0
    assert path.read_text(encoding="utf-8") == printed.output
    path.write_text("mine", encoding="utf-8")
    assert_refused_in_one_sentence(call("new", "naoh-by-khp", "-o", path), "the file exists already")
    assert path.read_text(encoding="utf-8") == "mine"
    nowhere = tmp_path / "none" / "std.toml"
    assert_refused_in_one_sentence(call("new", "naoh-by-khp", "-o", nowhere), "cannot be written")


def test_a_laboratorys_own_method_is_shown_and_given_a_worksheet_that_finds_it(tmp_path, monkeypatch):
    from importlib.resources import files

    own = tmp_path / "methods" / "ours.toml"
    own.parent.mkdir()
    own.write_bytes((files("assaywright.assay") / "methods" / "naoh-by-khp.toml").read_bytes())
    monkeypatch.chdir(tmp_path)
    assert "CAUTIONS" in call("methods", "methods/ours.toml").output
    (tmp_path / "runs").mkdir()
    assert call("new", "methods/ours.toml", "-o", "runs/std.toml").status == 0
    assert 'method = "../methods/ours.toml"' in (tmp_path / "runs" / "std.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("width", [76, 80, 120])
def test_methods_are_listed_by_name(monkeypatch, width):
    monkeypatch.setenv("COLUMNS", str(width))
    listed = call("methods").output
    assert all(f"\n{name} " in listed for name in method_names())
    assert listed.index("ASSAYS") < listed.index("\ncaustic-soda-by-acid ") < listed.index("STANDARDISATIONS")


@pytest.mark.parametrize("name", method_names())
def test_a_method_is_shown_with_its_cautions_before_its_steps(name):
    shown = call("methods", name).output
    words, method = " ".join(shown.split()), load_method(name)
    assert shown.index("CAUTIONS") < shown.index("PROCEDURE") < shown.index("REFERENCES")
    assert "qualified person" in words
    for hazard in of_nominals(method).hazards:
        assert hazard.substance in words
    assert method.reaction in words


# --- evaluate ---------------------------------------------------------------------------------------------------------


def test_evaluate_prints_the_published_result_of_the_guide(tmp_path):
    """EURACHEM/CITAC Guide CG 4, 3rd edition (2012), example A2: 0.10214 mol/L (read in the method's example)."""
    answer = call("evaluate", example_of("naoh-by-khp", tmp_path))
    assert answer.status == 0
    assert "concentration of sodium hydroxide 0.1 mol/L: 0.10214 mol/L ±" in answer.output
    for part in ("RESULT", "DETERMINATIONS", "BUDGET", "REMARKS", "CHAIN"):
        assert f"\n{part}\n" in answer.output
    assert "  HOLD      " in answer.output
    assert "1 determination counts and the method asks for 3" in " ".join(answer.output.split())
    assert "Not releasable: 1 remark holds it back" in answer.output


def test_evaluate_shows_replicates_budget_and_chain(assay):
    text = call("evaluate", assay).output
    assert "  1        24.850        19.8905         −0.067" in text
    assert "certificate C-118" in text
    assert "HOLD" not in text
    assert "is the method file's starting figure" in " ".join(text.split())
    assert "Nothing holds this back from release" in text
    assert "SIMULATION" not in text


def test_a_simulation_is_compared_when_asked_for_and_is_the_same_for_the_same_seed(assay):
    first, second = (call("evaluate", assay, "--json", "--monte-carlo", 5000, "--seed", 7).output for _ in range(2))
    other = call("evaluate", assay, "--json", "--monte-carlo", 5000, "--seed", 8).output
    assert first == second != other
    found = json.loads(first)["monte_carlo"]
    assert (found["trials"], found["seed"]) == (5000, 7)
    assert "SIMULATION" in call("evaluate", assay, "--monte-carlo", 5000).output


def test_json_holds_what_programs_need(assay):
    record = json.loads(call("evaluate", assay, "--json").output)
    assert {"result", "other_results", "determinations", "budget", "remarks", "decision", "chain", "monte_carlo",
            "releasable", "worksheet"} <= set(record)
    assert {"value", "unit", "standard_uncertainty", "expanded_uncertainty", "coverage_factor", "degrees_of_freedom",
            "measurand", "value_text", "uncertainty_text"} <= set(record["result"])
    assert {"id", "digest"} <= set(record["worksheet"])
    result = record["result"]
    assert result["expanded_uncertainty"] == pytest.approx(result["coverage_factor"] * result["standard_uncertainty"])
    squares = math.fsum(line["contribution"] ** 2 for line in record["budget"])
    assert math.sqrt(squares) == pytest.approx(result["standard_uncertainty"], rel=1e-12)
    assert math.fsum(line["share"] for line in record["budget"]) == pytest.approx(1)
    assert (record["monte_carlo"], record["decision"], record["releasable"]) == (None, None, True)


def test_the_scatter_in_json_is_that_of_the_values_beside_it(assay):
    record = json.loads(call("evaluate", assay, "--json").output)
    values = [one["value"] for one in record["determinations"]]
    mean = sum(values) / len(values)
    s = math.sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))
    assert record["statistics"]["standard_deviation"] == pytest.approx(s)
    assert record["statistics"]["relative_standard_deviation_percent"] == pytest.approx(100 * s / mean)
    assert f"relative {100 * s / mean:.2g} %" in call("evaluate", assay).output


def test_several_files_give_a_list_and_one_refusal_holds_all_back(assay, tmp_path):
    other = example_of("naoh-by-khp", tmp_path)
    records = json.loads(call("evaluate", assay, other, "--json").output)
    assert [record["method"]["name"] for record in records] == ["caustic-soda-by-acid", "naoh-by-khp"]
    answer = call("evaluate", assay, tmp_path / "none.toml", tmp_path / "neither.toml")
    assert (answer.status, answer.output, answer.errors.count("\n")) == (2, "", 2)


def test_a_saved_result_can_be_named_by_an_assay(tmp_path):
    saved = tmp_path / "acid.json"
    assert call("evaluate", example_of("hcl-by-sodium-carbonate", tmp_path), "--save", saved).status == 0
    assay = example_of("caustic-soda-by-acid", tmp_path)
    text = assay.read_text(encoding="utf-8")
    start, end = text.index("concentration = "), text.index("[vessels.burette]")
    assay.write_text(text[:start] + 'stored = "acid.json"\n\n' + text[end:], encoding="utf-8")
    record = json.loads(call("evaluate", assay, "--json").output)
    keys = {part["key"] for part in json.loads(saved.read_text(encoding="utf-8"))["result"]["contributions"]}
    assert keys & {line["key"] for line in record["budget"]}
    assert_refused_in_one_sentence(call("evaluate", assay, "--save", tmp_path), "it is a folder")


def test_a_result_is_never_saved_over_one_that_it_rests_on(tmp_path):
    saved = tmp_path / "acid.json"
    assert call("evaluate", example_of("hcl-by-sodium-carbonate", tmp_path), "--save", saved).status == 0
    kept = saved.read_bytes()
    assay = example_of("caustic-soda-by-acid", tmp_path)
    text = assay.read_text(encoding="utf-8")
    start, end = text.index("concentration = "), text.index("[vessels.burette]")
    assay.write_text(text[:start] + 'stored = "acid.json"\n\n' + text[end:], encoding="utf-8")
    (tmp_path / "other.json").symlink_to(saved)
    for name in ("acid.json", "other.json"):
        assert_refused_in_one_sentence(call("evaluate", assay, "--save", tmp_path / name, "--replace"),
                                       "the command itself has read that file, which is left as it is")
    assert saved.read_bytes() == kept
    assert call("evaluate", tmp_path / "hcl-by-sodium-carbonate.toml", "--save", saved, "--replace").status == 0


def test_a_lot_is_evaluated_with_all_its_characteristics(lot):
    answer = call("evaluate", lot)
    assert answer.status == 0
    assert re.search(r"19\.904 ± 0\.0\d\d % w/v", answer.output)
    assert answer.output.count("conforms") >= 2
    record = json.loads(call("evaluate", lot, "--json").output)
    assert [one["decision"]["decision"] for one in record["characteristics"]] == ["conforms", "conforms"]
    assert record["worksheets"][0]["worksheet"]["lot"] == "0417"
    assert_refused_in_one_sentence(call("evaluate", lot, "--monte-carlo", 1000), "a simulation is of one worksheet")
    assert_refused_in_one_sentence(call("evaluate", lot, "--save", "r.json"), "no single result to keep")


def test_a_decision_is_printed_with_its_rule_and_risk(assay):
    text = assay.read_text(encoding="utf-8")
    assay.write_text(text.replace("\n[[determination]]", SPECIFICATION + "\n[[determination]]", 1), encoding="utf-8")
    shown = call("evaluate", assay).output
    assert "DECISION\n" in shown
    assert "rule: simple acceptance" in shown
    said = re.findall(r"probability of conformity:? (\S+ ?\S* %|\S+ %)", " ".join(shown.split()))
    assert len(said) == 2
    assert len(set(said)) == 1
    assert "probability of conformity: 99.8" in shown  # Φ((19.904 - 19.8) / 0.0352) = 0.9984


# --- explain and certify ----------------------------------------------------------------------------------------------


def test_certificates_and_workings_are_written_as_pdf(lot, tmp_path):
    answer = call("certify", lot)
    assert answer.status == 0
    assert "a draft until Mirela Anand has checked and signed it" in answer.output
    assert (tmp_path / "0417.pdf").read_bytes().startswith(b"%PDF-")
    named = tmp_path / "working.pdf"
    assert call("explain", tmp_path / "caustic-soda-by-acid.toml", "--pdf", named).status == 0
    assert named.read_bytes().startswith(b"%PDF-")
    assert not list(tmp_path.glob(".*"))


def test_a_worksheet_with_its_own_lot_table_is_certified(assay, tmp_path):
    text = assay.read_text(encoding="utf-8")
    assert_refused_in_one_sentence(call("certify", assay), "add [lot]")
    assay.write_text(text.replace("\n[[determination]]", SPECIFICATION + "\n[[determination]]", 1), encoding="utf-8")
    answer = call("certify", assay, "-o", tmp_path / "c.pdf")
    assert (answer.status, answer.errors) == (0, "")
    assert (tmp_path / "c.pdf").read_bytes().startswith(b"%PDF-")


def test_what_is_held_back_is_not_certified_and_an_earlier_file_stays(lot, tmp_path):
    (tmp_path / "0417.pdf").write_bytes(b"the earlier one")
    lot.write_text(LOT.replace("satisfied = true", "satisfied = false"), encoding="utf-8")
    assert_refused_in_one_sentence(call("certify", lot), "0417.toml: lot 0417: no certificate, because the lot is held")
    assert (tmp_path / "0417.pdf").read_bytes() == b"the earlier one"
    assert_refused_in_one_sentence(call("explain", lot), "a lot has no working of its own")


def test_an_output_never_takes_the_place_of_what_was_read_or_of_another_kind(lot, tmp_path):
    assay = tmp_path / "caustic-soda-by-acid.toml"
    typed = assay.read_bytes()
    link = tmp_path / "link.pdf"
    link.symlink_to(assay)
    (tmp_path / "notes.pdf").write_text("my own words", encoding="utf-8")
    for name in ("link.pdf", "notes.pdf"):
        for arguments in (("certify", lot, "-o"), ("certify", lot, "--replace", "-o"), ("explain", assay, "--pdf")):
            answer = call(*arguments, tmp_path / name)
            assert_refused_in_one_sentence(answer, f"{name}: a file stands there that is no PDF")
    for target in (assay, lot, tmp_path / "notes.pdf"):
        for more in ((), ("--replace",)):
            assert_refused_in_one_sentence(call("evaluate", assay, "--save", target, *more),
                                           "a file stands there that is no saved result", "name another file")
    assert (assay.read_bytes(), lot.read_text(encoding="utf-8")) == (typed, LOT)
    assert link.is_symlink()


def test_a_certificate_and_a_saved_result_are_replaced_only_when_asked_for(lot, tmp_path):
    assay, saved, drafted = tmp_path / "caustic-soda-by-acid.toml", tmp_path / "r.json", tmp_path / "0417.pdf"
    for arguments, path in ((("certify", lot), drafted), (("evaluate", assay, "--save", saved), saved)):
        assert call(*arguments).status == 0
        with path.open("ab") as file:
            file.write(b"\n")
        earlier = path.read_bytes()
        assert_refused_in_one_sentence(call(*arguments), "exists already and is left as it is; name another file")
        assert path.read_bytes() == earlier
        assert call(*arguments, "--replace").status == 0
        assert path.read_bytes() != earlier


def test_a_working_never_takes_the_place_of_a_certificate(lot, tmp_path):
    assay, working = tmp_path / "caustic-soda-by-acid.toml", tmp_path / "working.pdf"
    assert call("certify", lot).status == 0
    certificate = (tmp_path / "0417.pdf").read_bytes()
    assert call("explain", assay, "--pdf", working).status == 0
    for more in ((), ("--replace",)):
        assert_refused_in_one_sentence(call("explain", assay, "--pdf", tmp_path / "0417.pdf", *more), "is no working")
        assert_refused_in_one_sentence(call("certify", lot, "-o", working, *more), "is no certificate")
    assert (tmp_path / "0417.pdf").read_bytes() == certificate


def test_a_missing_worksheet_of_a_lot_is_named_with_the_lot(lot, tmp_path):
    (tmp_path / "caustic-soda-by-acid.toml").unlink()
    assert_refused_in_one_sentence(call("evaluate", lot), "0417.toml", "caustic-soda-by-acid.toml")
