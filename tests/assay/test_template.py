"""The blank worksheet of every method: empty it is refused by name, filled with its own examples it is evaluated."""

import re
import tomllib

import pytest

from assaywright.assay.bench.cautioned import of_nominals
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method, method_names
from assaywright.assay.template import blank_worksheet
from assaywright.assay.worksheet import read_bytes
from assaywright.cli.show_method import method_lines
from assaywright.metrology.units import conversion
from tests.assay.sheets import refusal_of

EMPTY_FIELD = re.compile(r'^(\w+) = ""\s+# example: (.+?)(?:   .*)?$', re.MULTILINE)
MAY_BE_GIVEN = re.compile(r"^# (\[|(?!fillings|decimal_mark)\w+ = )", re.MULTILINE)


def filled(text):
    """Return the worksheet with every empty field filled by its example."""
    return EMPTY_FIELD.sub(lambda found: f"{found[1]} = {found[2]}", text)


@pytest.fixture(params=method_names())
def method(request):
    return load_method(request.param)


def test_a_blank_worksheet_is_refused_by_the_name_of_an_empty_field(method):
    text = blank_worksheet(method)
    assert tomllib.loads(text)["method"] == method.name
    assert re.fullmatch(r"ws\.toml: [\w, ]+: the text is empty; write it, like \w+ = .+\.", refusal_of(text))


def test_a_blank_worksheet_filled_with_its_own_examples_is_evaluated(method):
    text = filled(blank_worksheet(method))
    assert '= ""' not in text
    sheet = read_bytes(text.encode(), "ws.toml")
    outcome = evaluate_worksheet(sheet, lambda _path: b"")
    assert len(outcome.determinations) == method.replicates
    assert outcome.result.expanded_uncertainty > 0


# Methods whose worked example takes its portion, its blank or its burette otherwise than the blank worksheet does.
TAKEN_OTHERWISE = {"calcium-carbonate-by-excess-acid", "caustic-soda-by-acid", "hcl-against-naoh",
                   "hydrogen-peroxide-by-permanganate", "hypochlorite-by-thiosulfate"}


def test_the_examples_behind_the_fields_are_those_of_the_methods_worked_example(method):
    if method.name in TAKEN_OTHERWISE:
        assert {"dilution", "blank", "against"} & set(tomllib.loads(method.example.worksheet))
        return
    outcome = evaluate_worksheet(read_bytes(filled(blank_worksheet(method)).encode(), "ws.toml"), lambda _path: b"")
    expected = method.example.expected[0].value
    found = outcome.result.estimate
    assert found.value * conversion(found.unit, expected.unit)[0] == pytest.approx(float(expected.value), rel=0.02)


def test_what_it_is_stands_before_who_before_the_equipment_before_the_solutions_before_the_readings(method):
    text = blank_worksheet(method)
    wanted = ["id = ", "method = ", "performed = ", "analyst = ", "[sample]", "[vessels.", "[thermometers.",
              "[titrant]", "[standard]", "[[determination]]"]
    places = [text.index(f"\n{one}") for one in wanted if f"\n{one}" in text]
    assert len(places) >= len(wanted) - 2
    assert places == sorted(places)


def test_cautions_stand_before_the_first_field(method):
    opening = blank_worksheet(method).partition("format = ")[0]
    told = " ".join(line.removeprefix("# ") for line in opening.splitlines())
    assert method.cautions.text.rstrip(".") in told
    for hazard in of_nominals(method).hazards:
        assert hazard.substance in told
        assert all(code in told for code in hazard.codes)
    assert "qualified person" in told


def test_every_field_that_may_be_given_is_one_that_is_read(method):
    text = filled(blank_worksheet(method)).replace('upper = "…', 'upper = "21').replace("…", "20")
    given = MAY_BE_GIVEN.sub(r"\1", text)
    assert given.count("\n# ") < text.count("\n# ") - 10
    assert refusal_of(given) == ""


@pytest.mark.parametrize("told", ["blank worksheet", "method on the terminal"])
def test_solutions_are_cautioned_about_by_their_strength_in_the_same_words_everywhere(told: str) -> None:
    """CLP Annex VI 011-002-00-6: H315 and H319 from 0.5 % to 2 %, H314 from 2 %; M(NaOH) 39.997 g/mol, by hand.

    0.5 mol/L of 1.02 kg/L are 1.96 %, 1 mol/L of 1.04 kg/L 3.84 %. Bands of a strength that no titrant has stay.
    """
    method = load_method("naoh-by-khp")
    text = blank_worksheet(method) if told == "blank worksheet" else "\n".join(method_lines(method, 100))
    plain = " ".join(text.replace("\n# ", " ").split())
    assert "sodium hydroxide solution, 0.5 mol/L, 1.96 % w/w (H315 Causes skin irritation; H319" in plain
    assert "Danger: sodium hydroxide solution, 1 mol/L, 3.84 % w/w (H314 Causes severe skin burns" in plain
    assert "sodium hydroxide solution, 0.1 mol/L, 0.399 % w/w (not classified)" in plain
    assert "Danger: sodium hydroxide solution, 5 % w/w and more" in plain
    assert "2 % to under 5 % w/w" not in plain
